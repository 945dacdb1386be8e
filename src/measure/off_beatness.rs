//! Off-beatness: how many onsets no even division of the bar can reach.
//!
//! G. Toussaint, "Classification and phylogenetic analysis of African ternary rhythm timelines" (2003) and "The Geometry of
//! Musical Rhythm" (2013): of n pulses those at p with gcd(p, n) = 1 lie on no regular polygon that starts with the bar.
//! The number depends on the pulses, so those of [`Cycle::grid`] are kept even if the pattern leaves most of them empty:
//! one program that first shrinks a pattern to its fewest pulses finds 2 for the shiko timeline where the table has 0.
//! For several bars, n is a bar's pulses and places count from their bar.

use super::cycle::{Cycle, gcd};
use crate::rhythm::Tick;

/// The number of onsets off every division of the bar, over all bars; 0 if a bar is a single pulse.
pub fn off_beatness(cycle: &Cycle) -> usize {
    let grid = cycle.grid().0.max(1);
    let bar = Tick(cycle.metre().bar().0 / grid);
    let is_off = |at: &&Tick| bar > Tick(1) && gcd(Tick(at.0 / grid).rem_euclid(bar), bar) == Tick(1);
    cycle.onsets().iter().filter(is_off).count()
}
