//! The edits that change a groove in one respect alone.

use super::{Finding, is_even};
use crate::rhythm::{Edit, Feel, Groove, Lane, LaneHead, Sound, Stroke, Tempo, Tick, edits_between};
use crate::style::crossing::frame;

/// The edits that make `a` like `b` in what `finding` is about, and leave all else.
pub fn edits(a: &Groove, b: &Groove, finding: &Finding) -> Vec<Edit> {
    match finding {
        Finding::Tempo { from, to } => {
            // The same count where its figure is a tempo; the other's where not (it would leave 20 to 400).
            let same =
                to.counted_in(from.unit()).and_then(|tempo| Tempo::new(tempo.bpm, from.unit(), from.felt()).ok());
            vec![Edit::SetTempo(same.unwrap_or(*to))]
        }
        Finding::Count { from, to } => {
            let counted = from.counted_in(to.unit()).and_then(|tempo| Tempo::new(tempo.bpm, to.unit(), to.felt()).ok());
            let felt = || Tempo::new(from.bpm, from.unit(), to.felt()).ok();
            counted.or_else(felt).map(Edit::SetTempo).into_iter().collect()
        }
        Finding::Metre { to, .. } => vec![Edit::SetMetre(to.clone())],
        Finding::Bars { to, .. } => vec![frame::bars(a, *to)],
        Finding::Swing { from, to } => {
            let swing = if is_even(to) { Feel::straight() } else { to.clone() };
            let feel = Feel::new(swing.pair(), swing.written(), swing.swing(), from.shifts().to_vec());
            feel.ok().map(Edit::SetFeel).into_iter().collect()
        }
        Finding::Shifts { from, to } => {
            let feel = Feel::new(from.pair(), from.written(), from.swing(), to.shifts().to_vec());
            feel.ok().map(Edit::SetFeel).into_iter().collect()
        }
        Finding::Lean { lane, to, .. } => {
            let lane = a.pattern.lane(*lane);
            lane.map(|lane| Edit::SetHead(lane.id, LaneHead { lean: *to, ..lane.head })).into_iter().collect()
        }
        Finding::Part(change) => {
            let (own, other) = change.lanes;
            part(a, b, own.and_then(|id| a.pattern.lane(id)), other.and_then(|id| b.pattern.lane(id)))
        }
        Finding::Sound { voice: Some(_), .. } => {
            vec![Edit::SetSound(Sound { kit: b.sound.kit.clone(), speed: b.sound.speed, ..a.sound.clone() })]
        }
        Finding::Sound { voice: None, .. } => {
            vec![Edit::SetSound(Sound { tone: b.sound.tone.clone(), ..a.sound.clone() })]
        }
        Finding::Kit { .. } => vec![Edit::SetSound(b.sound.clone())],
    }
}

/// The lane `own` of `a` playing what `other` of `b` plays, over the bars of `a`; put in or taken out where one of them
/// is missing.
fn part(a: &Groove, b: &Groove, own: Option<&Lane>, other: Option<&Lane>) -> Vec<Edit> {
    let mut edits = Vec::new();
    match (own, other) {
        (Some(own), None) => edits.push(Edit::RemoveLane(own.id)),
        (None, Some(other)) => {
            let rank = other.head.role.score_rank();
            let lanes = a.pattern.lanes();
            let place = lanes.iter().position(|lane| lane.head.role.score_rank() > rank).unwrap_or(lanes.len());
            let head = LaneHead { pulse: fitting(other.head.pulse, a), ..other.head };
            edits.push(Edit::AddLane(place, Lane::with_strokes(head, strokes(a, b, other, head.pulse))));
        }
        (Some(own), Some(other)) => {
            let pulse = fitting(other.head.pulse, a);
            let wanted = strokes(a, b, other, pulse);
            let stays = |stroke: &Stroke| wanted.iter().any(|new| new.at == stroke.at);
            edits.extend(
                own.strokes().iter().filter(|stroke| !stays(stroke)).map(|stroke| Edit::Clear(own.id, stroke.at)),
            );
            // Strokes that stay give way for the new pulse first: their nudges may have no room in it.
            edits.extend(
                own.strokes()
                    .iter()
                    .filter(|stroke| stays(stroke))
                    .map(|stroke| Edit::Put(own.id, Stroke { nudge: Tick::ZERO, ..stroke.clone() })),
            );
            let lean = own.head.lean;
            edits.push(Edit::SetHead(own.id, LaneHead { lean, optional: own.head.optional, pulse, ..other.head }));
            edits.extend(wanted.into_iter().map(|stroke| {
                let id = own.at(stroke.at).map_or_else(Default::default, |old| old.id);
                Edit::Put(own.id, Stroke { id, ..stroke })
            }));
        }
        (None, None) => {}
    }
    // The same in as few edits as there can be; a lane that changes its role keeps its identity as it is.
    let mut to = a.clone();
    let same_role = own.zip(other).is_some_and(|(own, other)| own.head.role == other.head.role);
    match to.apply(&Edit::Several(edits.clone())) {
        Ok(_) if same_role => edits_between(a, &to),
        _ => edits,
    }
}

/// `pulse`, or a usual one that divides the pattern of `groove`.
fn fitting(pulse: Tick, groove: &Groove) -> Tick {
    let length = groove.pattern.length();
    let usual = [pulse, Tick::EIGHTH, Tick::SIXTEENTH, Tick(160), Tick(120)];
    usual.into_iter().find(|pulse| length.0 % pulse.0 == 0).unwrap_or(Tick(120))
}

/// The strokes of a lane of `b` over the bars of `a`, bar on bar; what lies past the end of a shorter bar is left out.
fn strokes(a: &Groove, b: &Groove, lane: &Lane, pulse: Tick) -> Vec<Stroke> {
    let (own, other) = (a.pattern.metre().bar(), b.pattern.metre().bar());
    let mut laid = Vec::new();
    for bar in 0..i64::from(a.pattern.bars()) {
        let from = other.times(bar % i64::from(b.pattern.bars()));
        let inside =
            lane.strokes().iter().filter(|stroke| (from.0..from.0 + other.0.min(own.0)).contains(&stroke.at.0));
        laid.extend(inside.map(|stroke| {
            let limit = (pulse.0 - 1) / 2;
            let nudge = Tick(stroke.nudge.0.clamp(-limit, limit));
            Stroke { at: own.times(bar) + stroke.at - from, nudge, id: Default::default(), ..stroke.clone() }
        }));
    }
    laid
}
