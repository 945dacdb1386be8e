//! Backbeat strength: how much louder some drums strike the second of every two beats than the first.
//!
//! A definition of our own; the word is the trade's. Beats are those of the felt pulse, so a half-time groove has its
//! backbeat on 3 of four quarters. Only places on the beats count, whatever sounds between them.

use crate::rhythm::{Pattern, Tick};
use crate::role::Role;

/// How loud the drums strike on the backbeats and on the beats between.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Backbeat {
    /// Mean over beats 2, 4 ... of the loudest stroke there as a share of the hardest possible, 0 where there is none.
    pub on: f64,
    /// The same over beats 1, 3 ...
    pub off: f64,
}

impl Backbeat {
    /// The difference, -1 to 1: above 0, the weight is on the backbeats.
    pub fn strength(self) -> f64 {
        self.on - self.off
    }
}

/// The backbeat of `roles` taken together, in beats of `felt` ticks; `None` where the bar is no even number of such beats:
/// in three or in seven there is no backbeat to speak of.
pub fn backbeat(pattern: &Pattern, roles: &[Role], felt: Tick) -> Option<Backbeat> {
    let bar = pattern.metre().bar();
    if felt.0 <= 0 || bar.0 % (2 * felt.0) != 0 {
        return None;
    }
    let lanes = || pattern.lanes().iter().filter(|lane| roles.contains(&lane.head.role));
    let loudest = |at: Tick| {
        let strokes = lanes().filter_map(|lane| lane.at(at));
        strokes.map(|stroke| stroke.loudness.share()).fold(0.0, f64::max)
    };
    let beats = pattern.length().0 / felt.0;
    let mean = |first: i64| {
        let places = (0..beats / 2).map(|pair| felt.times(2 * pair + first));
        places.map(loudest).sum::<f64>() / (beats / 2) as f64
    };
    Some(Backbeat { on: mean(1), off: mean(0) })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rhythm::{Lane, LaneHead, Loudness, Metre, Stroke};

    #[track_caller]
    fn check(metre: &str, felt: i64, strokes: &[(i64, u8)], want: Option<f64>) {
        let strokes = strokes.iter().map(|&(at, loud)| Stroke::new(Tick(480 * at), Loudness::new(loud).unwrap()));
        let lane = Lane::with_strokes(LaneHead::new(Role::Snare, Tick(480)), strokes);
        let pattern = Pattern::new(Metre::parse(metre).unwrap(), 1, vec![lane]).unwrap();
        let found = backbeat(&pattern, &[Role::Snare, Role::Clap], Tick(felt)).map(Backbeat::strength);
        assert!(
            match (found, want) {
                (Some(found), Some(want)) => (found - want).abs() < 1e-12,
                (found, want) => found == want,
            },
            "{found:?} {want:?}"
        );
    }

    #[test]
    fn strengths() {
        check("4/4", 960, &[(2, 127), (6, 127)], Some(1.0));
        check("4/4", 960, &[(0, 127), (4, 127)], Some(-1.0));
        check("4/4", 960, &[(2, 127), (3, 30), (7, 30)], Some(0.5));
        check("4/4", 1920, &[(4, 127)], Some(1.0));
        check("4/4", 960, &[], Some(0.0));
        check("6/8", 1440, &[(3, 127)], Some(1.0));
        check("3/4", 960, &[(2, 127)], None);
        check("4/4", 0, &[], None);
    }
}
