//! Evenness: how near the onsets come to equal spacing.
//!
//! E. Amiot, "Discrete Fourier transform and Bach's good temperament" (2009), and A. Milne, D. Bulger and S. Herff, "Exploring
//! the space of perfectly balanced rhythms and scales", J. Mathematics and Music 11 (2017): put K onsets on the unit circle
//! in order; evenness is the size of the first Fourier coefficient of that list, |1/K sum z_k exp(-2 pi i k / K)|. It is 1
//! for equal spacing, wherever it starts, and does not change by rotation. Another formula goes by the same name in drum
//! software (a mean of |cos| of phase-corrected angles); it changes by rotation and is not this one.

use super::cycle::Cycle;
use core::f64::consts::TAU;

/// The evenness, 0 to 1; `None` for a cycle without onsets.
pub fn evenness(cycle: &Cycle) -> Option<f64> {
    let count = cycle.onsets().len() as f64;
    let length = cycle.length().as_f64();
    let turns = cycle.onsets().iter().enumerate().map(|(index, at)| at.as_f64() / length - index as f64 / count);
    let (x, y) = turns.fold((0.0, 0.0), |(x, y), turn| (x + (TAU * turn).cos(), y + (TAU * turn).sin()));
    (count > 0.0).then(|| (x.hypot(y) / count).min(1.0))
}
