//! Density: how many strokes a role has.

use super::cycle::Cycle;
use crate::rhythm::{Pattern, Stroke};
use crate::role::Role;

/// The strokes of one role over the pattern.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Density {
    /// Whose.
    pub role: Role,
    /// Places struck; two lanes of the role on one place count once.
    pub strokes: usize,
    /// Strokes heard: a roll counts as often as it strikes; the grace stroke of a flam does not count.
    pub heard: usize,
    /// Places struck in a bar, on average.
    pub per_bar: f64,
    /// Places struck in a beat, on average.
    pub per_beat: f64,
    /// The share of the pulses (see [`Cycle`]) that are struck, 0 to 1.
    pub filled: f64,
}

/// The density of every role the pattern has a lane for, of the strokes that `takes` accepts, in the order of
/// [`Role::ALL`].
pub fn densities(pattern: &Pattern, takes: &dyn Fn(&Stroke) -> bool) -> Vec<Density> {
    Role::ALL.into_iter().filter_map(|role| density(pattern, role, takes)).collect()
}

/// The density of one role; `None` if the pattern has no lane for it.
pub fn density(pattern: &Pattern, role: Role, takes: &dyn Fn(&Stroke) -> bool) -> Option<Density> {
    let cycle = Cycle::of_roles(pattern, &[role], takes)?;
    let strokes = cycle.onsets().len();
    let lanes = pattern.lanes().iter().filter(|lane| lane.head.role == role);
    let heard = lanes.flat_map(|lane| lane.strokes()).filter(|stroke| takes(stroke));
    let beats = cycle.beats().len();
    Some(Density {
        role,
        strokes,
        heard: heard.map(|stroke| stroke.roll.map_or(1, |roll| usize::from(roll.strokes))).sum(),
        per_bar: strokes as f64 / f64::from(cycle.bars()),
        per_beat: strokes as f64 / beats.max(1) as f64,
        filled: strokes as f64 / cycle.places().len().max(1) as f64,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rhythm::{Lane, LaneHead, Loudness, Metre, Roll, RollShape, Tick};

    #[test]
    fn counted_by_role() {
        let stroke = |at| Stroke::new(Tick(at), Loudness::MAX);
        let roll = Roll { strokes: 4, span: Tick(240), shape: RollShape::Even, bend: 0 };
        let hats = [0, 480, 960, 1440].map(stroke).into_iter().chain([Stroke { roll: Some(roll), ..stroke(1680) }]);
        let lanes = vec![
            Lane::with_strokes(LaneHead::new(Role::HatClosed, Tick(240)), hats),
            Lane::new(LaneHead::new(Role::Snare, Tick(240))),
        ];
        let pattern = Pattern::new(Metre::parse("2/4").unwrap(), 2, lanes).unwrap();
        let check = |role, want: Option<(usize, usize, f64, f64, f64)>| {
            let found = density(&pattern, role, &|_| true);
            assert_eq!(found.map(|d| (d.strokes, d.heard, d.per_bar, d.per_beat, d.filled)), want);
        };
        check(Role::HatClosed, Some((5, 8, 2.5, 1.25, 0.3125)));
        check(Role::Snare, Some((0, 0, 0.0, 0.0, 0.0)));
        check(Role::Kick, None);
        assert_eq!(densities(&pattern, &|_| true).len(), 2);
    }
}
