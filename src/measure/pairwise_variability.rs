//! nPVI, the normalised pairwise variability index: how much each gap differs from the next.
//!
//! E. Grabe and E. Low (2002), for rhythm A. Patel and J. Daniele (2003): 100 / (m - 1) times the sum over neighbouring
//! gaps of |a - b| / ((a + b) / 2). 0 for even gaps, below 200 always. The tables in G. Toussaint, "The Geometry of Musical
//! Rhythm" (2013) take the gaps of one pass as a list, the last one to the next pass's first onset included, and compare
//! the last with nothing; that number changes when the circle is entered elsewhere. [`cyclic`] compares it with the first.

use super::cycle::Cycle;
use crate::rhythm::Tick;

/// The index over durations in any unit, all positive; `None` for fewer than two.
pub fn pairwise_variability(durations: &[f64]) -> Option<f64> {
    let pairs = durations.len().checked_sub(1).filter(|&pairs| pairs > 0)?;
    let contrast = |two: &[f64]| (two[0] - two[1]).abs() / ((two[0] + two[1]) / 2.0);
    Some(100.0 * durations.windows(2).map(contrast).sum::<f64>() / pairs as f64)
}

/// The index of a cycle's gaps in the order of its onsets; `None` for fewer than two onsets.
pub fn open(cycle: &Cycle) -> Option<f64> {
    pairwise_variability(&lengths(cycle))
}

/// The index with the last gap followed by the first: the same wherever the circle is entered. `None` for fewer than two
/// onsets.
pub fn cyclic(cycle: &Cycle) -> Option<f64> {
    let mut gaps = lengths(cycle);
    if gaps.len() < 2 {
        return None;
    }
    gaps.extend(gaps.first().copied());
    pairwise_variability(&gaps)
}

fn lengths(cycle: &Cycle) -> Vec<f64> {
    cycle.gaps().into_iter().map(Tick::as_f64).collect()
}
