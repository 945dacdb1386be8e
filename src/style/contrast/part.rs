//! How one part of a groove differs from the same part of another.

use super::axis::{Axis, Line, Mark, Spot};
use crate::measure::polyphonic_distance::role_weight;
use crate::rhythm::{Groove, Lane, LaneId, Stroke, Tick};
use crate::role::Role;
use crate::style::crossing::costs;

/// Where and how a part plays in one groove and in the other. Places lie on the axis of the two.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct PartChange {
    /// Its lanes in the first and in the second groove.
    pub lanes: (Option<LaneId>, Option<LaneId>),
    /// What it is in the first; `None` where that has no such part.
    pub from: Option<Role>,
    /// What it is in the second; `None` where that has no such part.
    pub to: Option<Role>,
    /// Struck only in the first.
    pub only_a: Vec<Tick>,
    /// Struck only in the second.
    pub only_b: Vec<Tick>,
    /// Struck a little elsewhere: from and to.
    pub moved: Vec<(Tick, Tick)>,
    /// Struck in both, harder by a strength in the second (plain for a ghost note, an accent for a plain stroke).
    pub harder: Vec<Tick>,
    /// Struck in both, softer by a strength in the second.
    pub softer: Vec<Tick>,
    /// A single stroke in the first, a roll or flam in the second.
    pub ornamented: Vec<Tick>,
    /// A roll or flam in the first, a single stroke in the second.
    pub plain: Vec<Tick>,
    /// On other pitches, held otherwise, or with another slide, roll or flam.
    pub other_notes: Vec<Tick>,
    /// Struck in both, in whatever way.
    pub shared: Vec<Tick>,
}

impl PartChange {
    /// Whether nothing about its strokes differs that anybody would tell.
    fn is_none(&self) -> bool {
        let lists = [&self.only_a, &self.only_b, &self.harder, &self.softer, &self.ornamented, &self.plain];
        self.from == self.to
            && self.moved.is_empty()
            && self.other_notes.is_empty()
            && lists.iter().all(|l| l.is_empty())
    }

    /// The roles it is about.
    pub fn roles(&self) -> impl Iterator<Item = Role> + '_ {
        [self.from, self.to].into_iter().flatten()
    }
}

/// What differs in a line of `axis` and how much of the part that is (strokes put in or taken out a bar, weighed by the
/// role); `None` where nothing but loudness within a strength and small nudges does.
pub fn change(a: &Groove, b: &Groove, line: &Line, axis: &Axis) -> Option<(PartChange, f64)> {
    let lane = |groove: &'_ Groove, id: Option<_>| id.and_then(|id| groove.pattern.lane(id)).cloned();
    let (own, other) = (lane(a, line.a), lane(b, line.b));
    // A lane without strokes is no part.
    let role = |lane: &Option<Lane>| lane.as_ref().filter(|lane| !lane.strokes().is_empty()).map(|lane| lane.head.role);
    let mut change =
        PartChange { lanes: (line.a, line.b), from: role(&own), to: role(&other), ..PartChange::default() };
    let stroke = |lane: &'_ Option<Lane>, spot: Spot| lane.as_ref().and_then(|lane| lane.by_id(spot.stroke)).cloned();
    let mut cost = 0;
    for mark in &line.marks {
        match *mark {
            Mark::OnlyA(spot) => change.only_a.push(spot.at),
            Mark::OnlyB(spot) => change.only_b.push(spot.at),
            Mark::Moved(from, to) => {
                change.moved.push((from.at, to.at));
                cost += costs::moved(costs::way(from.at, to.at, axis.length())).unwrap_or(0);
            }
            Mark::Same(spot, _) => change.shared.push(spot.at),
            Mark::Played(from, to) => {
                change.shared.push(from.at);
                if let (Some(x), Some(y)) = (stroke(&own, from), stroke(&other, to)) {
                    cost += change.played(from.at, (&x, a), (&y, b));
                }
            }
        }
    }
    cost += costs::STROKE * (change.only_a.len() + change.only_b.len()) as i64;
    if change.from != change.to {
        cost += costs::ROLE;
    }
    let weight = change.roles().map(role_weight).fold(0.0, f64::max);
    let size = weight * cost as f64 / costs::STROKE as f64 / axis.bars.max(1) as f64;
    (!change.is_none()).then_some((change, size))
}

impl PartChange {
    /// Sorts a stroke on one place in; its cost.
    fn played(&mut self, at: Tick, (x, a): (&Stroke, &Groove), (y, b): (&Stroke, &Groove)) -> i64 {
        let (before, after) = (a.dynamics.strength(x.loudness), b.dynamics.strength(y.loudness));
        let mut cost = 0;
        if before != after {
            let list = if after > before { &mut self.harder } else { &mut self.softer };
            list.push(at);
            cost += costs::LOUDNESS;
        }
        let ornament = |stroke: &Stroke| stroke.roll.is_some() || stroke.flam.is_some();
        let own_nudge = Stroke { nudge: x.nudge, ..y.clone() };
        if !x.is_ornamented_as(&own_nudge) {
            let list = match (ornament(x), ornament(y)) {
                (false, true) => &mut self.ornamented,
                (true, false) => &mut self.plain,
                _ => &mut self.other_notes,
            };
            list.push(at);
            cost += costs::ORNAMENT;
        }
        cost
    }
}
