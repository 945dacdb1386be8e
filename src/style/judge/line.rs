//! The strokes of several roles as one line.

use super::super::condition::{Places, Touch};
use crate::rhythm::{Groove, LaneId, Metre, Strength, Stroke, StrokeId, Tick};
use crate::role::Role;

/// One stroke of a line.
#[derive(Clone, Copy, Debug)]
pub struct Struck<'g> {
    /// The lane it stands in.
    pub lane: LaneId,
    /// The stroke.
    pub stroke: &'g Stroke,
    /// How strong it is, by the groove's dynamics.
    pub strength: Strength,
}

impl Struck<'_> {
    /// Its place.
    pub fn at(&self) -> Tick {
        self.stroke.at
    }

    /// Its identity.
    pub fn id(&self) -> (LaneId, StrokeId) {
        (self.lane, self.stroke.id)
    }
}

/// The strokes of several roles in order of place, and the bars they lie in.
pub struct Line<'g> {
    /// The strokes; several may lie on one place.
    pub strokes: Vec<Struck<'g>>,
    /// The first lane of these roles.
    pub lane: Option<LaneId>,
    /// The metre of the bars.
    pub metre: &'g Metre,
    /// How many bars.
    pub bars: usize,
    /// The loop's length.
    pub length: Tick,
}

impl<'g> Line<'g> {
    /// The line of `voices`.
    pub fn of(groove: &'g Groove, voices: &[Role]) -> Line<'g> {
        let pattern = &groove.pattern;
        let lanes = pattern.lanes().iter().filter(|lane| voices.contains(&lane.head.role));
        let struck = lanes.clone().flat_map(|lane| {
            let strength = |stroke: &Stroke| groove.dynamics.strength(stroke.loudness);
            lane.strokes().iter().map(move |stroke| Struck { lane: lane.id, stroke, strength: strength(stroke) })
        });
        let mut strokes: Vec<Struck> = struck.collect();
        strokes.sort_by_key(Struck::at);
        // The lane hints point to is that of the role named first.
        let first = voices.iter().find_map(|role| lanes.clone().find(|lane| lane.head.role == *role));
        Line {
            strokes,
            lane: first.map(|lane| lane.id),
            metre: pattern.metre(),
            bars: usize::from(pattern.bars()),
            length: pattern.length(),
        }
    }

    /// The strokes that count by strength.
    pub fn touched(&self, touch: Touch) -> Vec<Struck<'g>> {
        self.strokes.iter().filter(|struck| touch.takes(struck.strength)).copied().collect()
    }

    /// The bar of a place, from 0.
    pub fn bar_of(&self, at: Tick) -> usize {
        at.div_euclid(self.metre.bar()) as usize
    }

    /// The places of a phrase over the loop, its bar `shift` laid on bar 0: for every bar of the loop, as often as the
    /// phrase meets it in another place, the ticks from the loop's start in order. `None` if the metre lacks one of the places.
    pub fn laid(&self, places: &Places, shift: usize) -> Option<Vec<(usize, Vec<Tick>)>> {
        let phrase = places.bars().max(1);
        let mut laid = Vec::new();
        for turn in 0..least_common(self.bars, phrase) {
            let bar = turn % self.bars;
            let Some(Some(spots)) = places.0.get((turn + shift) % phrase) else { continue };
            let start = self.metre.bar().times(bar as i64);
            let ticks = spots.iter().map(|spot| Some(start + spot.tick(self.metre).ok()?));
            let mut ticks = ticks.collect::<Option<Vec<_>>>()?;
            ticks.sort_unstable();
            laid.push((bar, ticks));
        }
        Some(laid)
    }

    /// Distances from each place struck to the next, around the loop.
    pub fn gaps(strokes: &[Struck], length: Tick) -> Vec<(Tick, Tick)> {
        let mut places: Vec<Tick> = strokes.iter().map(Struck::at).collect();
        places.dedup();
        let next = places.iter().skip(1).copied().chain(places.first().map(|first| *first + length));
        places.iter().zip(next).map(|(&at, next)| (at, next - at)).collect()
    }
}

/// The least common multiple of two numbers from 1 to 8 and products of such.
pub fn least_common(a: usize, b: usize) -> usize {
    (1..=b).map(|n| n * a).find(|multiple| multiple % b == 0).unwrap_or(a)
}
