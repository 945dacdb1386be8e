//! Directed swap distance: the swap distance for patterns with different numbers of onsets.
//!
//! J. M. Diaz-Banez, G. Farigu, F. Gomez, D. Rappaport and G. Toussaint, "El compas flamenco: a phylogenetic analysis", Proc.
//! BRIDGES (2004): every onset of the denser pattern moves to an onset of the sparser one, their order is kept, and every
//! onset there is reached; the fewest pulses moved in all. Without going around the circle. Symmetric, and 0 only for equal
//! patterns; the triangle inequality is not claimed.

use super::cycle::{Alongside, Cycle};
use crate::rhythm::Tick;

/// The distance in pulses, the finer of the two stated; `None` if just one of the cycles has no onsets. The shorter cycle
/// is repeated to the longer's length.
pub fn directed_swap(a: &Cycle, b: &Cycle) -> Option<f64> {
    let both = Alongside::new(a, b);
    let (dense, sparse) = if both.a.len() >= both.b.len() { (&both.a, &both.b) } else { (&both.b, &both.a) };
    if sparse.is_empty() {
        return dense.is_empty().then_some(0.0);
    }
    // best[j]: the onsets so far moved, the last of them to the j-th; `None` where that cannot be.
    let mut best: Vec<Option<i64>> = vec![None; sparse.len()];
    for (index, from) in dense.iter().enumerate() {
        let mut before = if index == 0 { Some(0) } else { None };
        for (to, best) in sparse.iter().zip(&mut best) {
            let reached = match (before, *best) {
                (Some(before), Some(stays)) => Some(i64::min(before, stays)),
                (before, stays) => before.or(stays),
            };
            before = *best;
            *best = reached.map(|moved| moved + (*from - *to).0.abs());
        }
    }
    best.last().copied().flatten().map(|moved| both.in_pulses(Tick(moved)))
}
