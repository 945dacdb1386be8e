//! Chronotonic distance: the area between two patterns drawn as stairs of their gaps.
//!
//! K. Gustafson, "The graphical representation of rhythm" (1988), and G. Toussaint (2004): replace every pulse by the length
//! of the gap it lies in, and add the absolute differences. A shift of a whole pattern that keeps the drawing counts
//! nothing, so distance 0 does not mean equal; otherwise it has the properties of a metric among cycles of one length and
//! pulse.

use super::cycle::{Alongside, Cycle};
use crate::rhythm::Tick;

/// The area in pulses times pulses, the finer of the two stated; `None` if just one of the cycles has no onsets. The
/// shorter cycle goes on until the longer's end.
pub fn chronotonic(a: &Cycle, b: &Cycle) -> Option<f64> {
    if a.onsets().is_empty() || b.onsets().is_empty() {
        return (a.onsets().len() == b.onsets().len()).then_some(0.0);
    }
    let both = Alongside::new(a, b);
    let mut edges: Vec<Tick> = both.a.iter().chain(&both.b).copied().chain([Tick::ZERO, both.length]).collect();
    // Where the shorter cycle begins anew nothing changes: its last gap runs on.
    edges.sort_unstable();
    edges.dedup();
    let (a_gaps, b_gaps) = (a.gaps(), b.gaps());
    let height = |cycle: &Cycle, gaps: &[Tick], at: Tick| {
        let index = cycle.onsets().partition_point(|&onset| onset <= at.rem_euclid(cycle.length()));
        // Before the first onset lies the last gap, come around.
        gaps[(index + gaps.len() - 1) % gaps.len()]
    };
    let area = edges.windows(2).map(|edge| {
        let difference = height(a, &a_gaps, edge[0]) - height(b, &b_gaps, edge[0]);
        both.in_pulses(difference).abs() * both.in_pulses(edge[1] - edge[0])
    });
    Some(area.sum())
}
