//! Swap distance: by how many pulses the strokes of one pattern must be moved in all to become those of another.
//!
//! G. Toussaint, "A comparison of rhythmic similarity measures" (2004): for patterns of as many onsets, the sum of
//! |a_i - b_i| over the onsets in order, without going around the circle. A metric among cycles of one length and number of
//! onsets. For other numbers see [`super::directed_swap`].

use super::cycle::{Alongside, Cycle};
use crate::rhythm::Tick;

/// The distance in pulses, the finer of the two stated; `None` if the numbers of onsets differ. The shorter cycle is
/// repeated to the longer's length.
pub fn swap(a: &Cycle, b: &Cycle) -> Option<f64> {
    let both = Alongside::new(a, b);
    let moved = both.a.iter().zip(&both.b).map(|(a, b)| (*a - *b).0.abs()).sum();
    (both.a.len() == both.b.len()).then(|| both.in_pulses(Tick(moved)))
}
