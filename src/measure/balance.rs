//! Balance: how near the centre of the circle the onsets' centre of gravity lies.
//!
//! A. Milne, D. Bulger and S. Herff, "Exploring the space of perfectly balanced rhythms and scales", J. Mathematics and Music
//! 11 (2017): 1 less the size of the mean of the onsets on the unit circle. 1 is perfect balance, and an even rhythm always
//! has it; the reverse is not true. It does not change by rotation.

use super::cycle::Cycle;
use core::f64::consts::TAU;

/// The balance, 0 to 1; `None` for a cycle without onsets.
pub fn balance(cycle: &Cycle) -> Option<f64> {
    let count = cycle.onsets().len() as f64;
    let length = cycle.length().as_f64();
    let angles = cycle.onsets().iter().map(|at| TAU * at.as_f64() / length);
    let (x, y) = angles.fold((0.0, 0.0), |(x, y), angle| (x + angle.cos(), y + angle.sin()));
    (count > 0.0).then(|| (1.0 - x.hypot(y) / count).max(0.0))
}
