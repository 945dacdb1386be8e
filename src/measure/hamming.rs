//! Hamming distance: on how many places only one of two patterns strikes.
//!
//! R. Hamming (1950); for rhythms G. Toussaint (2004). A metric for cycles of one length. A stroke one pulse late counts
//! twice, so it says little about a take that is merely late: see [`super::swap`].

use super::cycle::{Alongside, Cycle};

/// The distance of two cycles. The shorter is repeated to the longer's length.
pub fn hamming(a: &Cycle, b: &Cycle) -> usize {
    let Alongside { a, b, .. } = Alongside::new(a, b);
    let common = a.iter().filter(|at| b.binary_search(at).is_ok()).count();
    a.len() + b.len() - 2 * common
}
