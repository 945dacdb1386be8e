//! The distance of two whole patterns: how much must be struck, left out, moved or played louder, role by role.
//!
//! J. Victor and K. Purpura, "Nature and precision of temporal coding in visual cortex", J. Neurophysiology 76 (1996), gave
//! trains of events a distance that is a metric: putting an event in or taking one out costs 1, moving one costs in
//! proportion to the time, and the cheapest way counts. Here a sixteenth's move costs 1, so that from an eighth on leaving
//! out and striking anew is as cheap; a change of loudness by the whole range costs 1. A role weighs as its part in
//! telling a groove ([`role_weight`]); the weights are our own.
//!
//! The sum grows with the number of strokes, so sparse patterns are near everything. [`unlikeness`] sets it against all
//! there is to strike, by the transform of H. Steinhaus with the empty pattern as its point, which keeps the triangle
//! inequality (M. Deza and E. Deza, "Encyclopedia of Distances", 2009).
//!
//! With positive weights the whole is a metric among patterns of one length, up to what it does not read: nudges, rolls,
//! flams, pitches and lengths.

use super::cycle::repeated;
use crate::rhythm::{Pattern, Stroke, Tick};
use crate::role::{Register, Role};

/// The ticks a stroke may move for the price of one put in or taken out.
pub const MOVE: Tick = Tick::SIXTEENTH;

/// What one role adds to the distance.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RoleDistance {
    /// Whose.
    pub role: Role,
    /// The cost without the weight.
    pub cost: f64,
    /// The weight it counts with.
    pub weight: f64,
}

/// How much a role counts: the drums that carry the beat 1, what keeps time on top of them 0.5, the rest of the drums
/// 0.75, pitched parts 0.5.
pub fn role_weight(role: Role) -> f64 {
    match role {
        Role::Kick | Role::Snare | Role::Clap | Role::Rim | Role::Clave => 1.0,
        _ if role.is_pitched() || role.register() == Register::High => 0.5,
        _ => 0.75,
    }
}

/// The distance: the costs of all roles times their weights.
pub fn polyphonic_distance(a: &Pattern, b: &Pattern, weight: &dyn Fn(Role) -> f64) -> f64 {
    role_distances(a, b, weight).iter().fold(0.0, |sum, part| sum + part.cost * part.weight)
}

/// The distance as a share: 0 for patterns that strike alike, 1 where no stroke of one is worth turning into one of the
/// other. 2 d / (|a| + |b| + d), where |a| is what it takes to strike all of a.
pub fn unlikeness(a: &Pattern, b: &Pattern, weight: &dyn Fn(Role) -> f64) -> f64 {
    let length = a.length().max(b.length());
    let strokes = |pattern: &Pattern| -> f64 {
        let count = |role: Role| weight(role) * train(pattern, role, length).len() as f64;
        Role::ALL.into_iter().map(count).sum()
    };
    let distance = polyphonic_distance(a, b, weight);
    let all = strokes(a) + strokes(b) + distance;
    if all > 0.0 { 2.0 * distance / all } else { 0.0 }
}

/// The part of every role that either pattern has a lane for, in the order of [`Role::ALL`]. The shorter pattern is
/// repeated to the longer's length.
pub fn role_distances(a: &Pattern, b: &Pattern, weight: &dyn Fn(Role) -> f64) -> Vec<RoleDistance> {
    let length = a.length().max(b.length());
    let part = |role: Role| {
        let has = |pattern: &Pattern| pattern.lanes().iter().any(|lane| lane.head.role == role);
        if !has(a) && !has(b) {
            return None;
        }
        let cost = train_distance(&train(a, role, length), &train(b, role, length));
        Some(RoleDistance { role, cost, weight: weight(role) })
    };
    Role::ALL.into_iter().filter_map(part).collect()
}

/// One event of a role: place and loudness as a share.
type Event = (Tick, f64);

fn train(pattern: &Pattern, role: Role, until: Tick) -> Vec<Event> {
    let lanes = pattern.lanes().iter().filter(|lane| lane.head.role == role);
    let mut strokes: Vec<&Stroke> = lanes.flat_map(|lane| lane.strokes()).collect();
    // Of two lanes of one role on one place the louder stroke is heard.
    strokes.sort_by_key(|stroke| (stroke.at, core::cmp::Reverse(stroke.loudness)));
    strokes.dedup_by_key(|stroke| stroke.at);
    let places: Vec<Tick> = strokes.iter().map(|stroke| stroke.at).collect();
    let loudness = strokes.iter().map(|stroke| stroke.loudness.share()).cycle();
    repeated(&places, pattern.length(), until).into_iter().zip(loudness).collect()
}

/// The cheapest way from one train to the other, by dynamic programming over both in order.
fn train_distance(a: &[Event], b: &[Event]) -> f64 {
    let mut above: Vec<f64> = (0..=b.len()).map(|count| count as f64).collect();
    for (index, event) in a.iter().enumerate() {
        let mut left = (index + 1) as f64;
        let mut corner = index as f64;
        for (other, cell) in b.iter().zip(above.iter_mut().skip(1)) {
            let changed = corner + change(*event, *other);
            corner = *cell;
            left = changed.min(*cell + 1.0).min(left + 1.0);
            *cell = left;
        }
        if let Some(first) = above.first_mut() {
            *first = (index + 1) as f64;
        }
    }
    above.last().copied().unwrap_or(0.0)
}

fn change((at, loud): Event, (other, other_loud): Event) -> f64 {
    (at - other).as_f64().abs() / MOVE.as_f64() + (loud - other_loud).abs()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rhythm::{Lane, LaneHead, Loudness, Metre};

    fn pattern(bars: u8, lanes: &[(Role, &[(i64, u8)])]) -> Pattern {
        let lane = |(role, strokes): &(Role, &[(i64, u8)])| {
            let strokes = strokes.iter().map(|&(at, loud)| Stroke::new(Tick(at), Loudness::new(loud).unwrap()));
            Lane::with_strokes(LaneHead::new(*role, Tick(240)), strokes)
        };
        Pattern::new(Metre::four_four(), bars, lanes.iter().map(lane).collect()).unwrap()
    }

    #[track_caller]
    fn check(a: &Pattern, b: &Pattern, want: f64) {
        let found = polyphonic_distance(a, b, &role_weight);
        assert!((found - want).abs() < 1e-12, "{found} {want}");
        assert!((polyphonic_distance(b, a, &role_weight) - want).abs() < 1e-12, "symmetric");
    }

    #[test]
    fn shares() {
        let check = |a: &Pattern, b: &Pattern, want: f64| {
            let found = unlikeness(a, b, &role_weight);
            assert!((found - want).abs() < 1e-12, "{found} {want}");
        };
        let kick = |strokes: &[(i64, u8)]| pattern(1, &[(Role::Kick, strokes)]);
        let empty = pattern(1, &[]);
        check(&empty, &empty, 0.0);
        check(&empty, &kick(&[(0, 127)]), 1.0);
        check(&kick(&[(0, 127)]), &kick(&[(1920, 127)]), 1.0);
        check(&kick(&[(0, 127)]), &kick(&[(0, 127), (1920, 127)]), 0.5);
        check(&kick(&[(0, 127)]), &pattern(2, &[(Role::Kick, &[(0, 127), (3840, 127)])]), 0.0);
    }

    #[test]
    fn what_a_change_costs() {
        let kick = |strokes: &[(i64, u8)]| pattern(1, &[(Role::Kick, strokes)]);
        let four = kick(&[(0, 127), (960, 127), (1920, 127), (2880, 127)]);
        check(&four, &four, 0.0);
        check(&four, &kick(&[(0, 127), (960, 127), (1920, 127)]), 1.0);
        check(&four, &kick(&[(0, 127), (960, 127), (1920, 127), (2760, 127)]), 0.5);
        check(&four, &kick(&[(0, 127), (960, 127), (1920, 127), (2640, 127)]), 1.0);
        check(&four, &kick(&[(0, 127), (960, 127), (1920, 127), (2400, 127)]), 2.0);
        check(&four, &kick(&[(0, 127), (960, 127), (1920, 127), (2880, 1)]), 126.0 / 127.0);
        check(&four, &kick(&[]), 4.0);
        check(&four, &pattern(1, &[]), 4.0);
        check(&four, &pattern(1, &[(Role::HatClosed, &[(0, 127), (960, 127), (1920, 127), (2880, 127)])]), 6.0);
        check(&four, &pattern(2, &[(Role::Kick, &[(0, 127), (960, 127), (1920, 127), (2880, 127)])]), 4.0);
    }
}
