//! Readings: the same groove written at half or double time, and with an instrument read as its equivalent.

use crate::rhythm::{Bpm, Edit, Feel, Groove, Lane, LaneHead, Pattern, Stroke, Tick};
use crate::role::Role;

/// How a groove was written against how it is read.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Writing {
    /// As written.
    Same,
    /// Read twice as fast: its eighths are the style's quarters.
    Double,
    /// Read half as fast: its eighths are the style's sixteenths.
    Half,
}

/// Instruments that stand for one another.
const EQUIVALENT: [&[Role]; 3] = [
    &[Role::Snare, Role::Clap, Role::Snap, Role::Rim],
    &[Role::Bass, Role::SubBass],
    &[Role::HatClosed, Role::Ride, Role::Shaker],
];

/// The groove as it is, and at half and double time where its bars and tempo allow.
pub fn readings(groove: &Groove) -> Vec<(Writing, Groove)> {
    let mut all = vec![(Writing::Same, groove.clone())];
    all.extend(scaled(groove, 2, 1).map(|groove| (Writing::Double, groove)));
    all.extend(scaled(groove, 1, 2).map(|groove| (Writing::Half, groove)));
    all
}

/// The groove with every length times `up` over `down`, and the tempo likewise: it sounds the same. An odd number of bars
/// is gone through twice before it is halved. `None` where bars or tempo would leave their ranges.
pub fn scaled(groove: &Groove, up: i64, down: i64) -> Option<Groove> {
    let pattern = &groove.pattern;
    let passes = if (i64::from(pattern.bars()) * up) % down == 0 { 1 } else { down };
    let bars = u8::try_from(i64::from(pattern.bars()) * passes * up / down).ok()?;
    let scale = |tick: Tick| Tick(tick.0 * up / down);
    let lanes = pattern.lanes().iter().map(|lane| {
        let strokes = (0..passes).flat_map(|pass| {
            lane.strokes().iter().map(move |stroke| {
                let roll = stroke.roll.map(|roll| crate::rhythm::Roll { span: scale(roll.span), ..roll });
                let at = scale(stroke.at + pattern.length().times(pass));
                Stroke { at, nudge: scale(stroke.nudge), roll, length: stroke.length.map(scale), ..stroke.clone() }
            })
        });
        let pulse = LaneHead { pulse: Tick(scale(lane.head.pulse).0.clamp(40, 3840)), ..lane.head };
        Lane::with_strokes(pulse, strokes)
    });
    let pattern = Pattern::new(pattern.metre().clone(), bars, lanes.collect()).ok()?;
    let bpm = Bpm::new(groove.tempo.bpm.get() * up as f64 / down as f64)?;
    let feel = &groove.feel;
    let feel = feel.with_pair(scale(feel.pair())).unwrap_or_else(|_| Feel::straight());
    Some(Groove { pattern, tempo: groove.tempo.at(bpm), feel, ..groove.clone() })
}

/// The groove with a lane of an equivalent instrument read as one of `voices`, for every one of them that it lacks while
/// it has an equivalent which `voices` do not name. `None` where nothing changes.
pub fn relabelled(groove: &Groove, voices: &[Role]) -> Option<Groove> {
    let has = |groove: &Groove, role: Role| {
        groove.pattern.lanes().iter().any(|lane| lane.head.role == role && !lane.strokes().is_empty())
    };
    let mut read = groove.clone();
    let mut changed = false;
    for group in EQUIVALENT {
        let Some(&wanted) = voices.iter().find(|role| group.contains(role)) else { continue };
        if group.iter().any(|&role| voices.contains(&role) && has(groove, role)) {
            continue;
        }
        let stand_in = group.iter().find(|&&role| has(groove, role));
        let lane = stand_in.and_then(|role| groove.pattern.lanes().iter().find(|lane| lane.head.role == *role));
        if let Some(lane) = lane {
            changed |= read.apply(&Edit::SetHead(lane.id, LaneHead { role: wanted, ..lane.head })).is_ok();
        }
    }
    changed.then_some(read)
}
