//! Euclidean interval-vector distance: how far the gaps of two patterns, in order, lie apart.
//!
//! D. Zhang-Coyle and I. Shmulevich, "A system for machine recognition of music patterns" (1998), and G. Toussaint (2004): the
//! Euclidean distance of the two lists of gaps, each from its first onset. It does not see where the first onset lies, so
//! distance 0 does not mean equal; among patterns of as many onsets it otherwise has the properties of a metric. The
//! definition asks for as many onsets; as one open research program does, a shorter list is repeated to the longer's
//! length.

use super::cycle::Cycle;

/// The distance in pulses, the finer of the two stated; `None` if just one of the cycles has no onsets.
pub fn interval_distance(a: &Cycle, b: &Cycle) -> Option<f64> {
    let pulse = a.pulse().min(b.pulse()).as_f64();
    let in_pulses = |cycle: &Cycle| -> Vec<f64> { cycle.gaps().iter().map(|gap| gap.as_f64() / pulse).collect() };
    between_gaps(&in_pulses(a), &in_pulses(b))
}

/// The distance of two lists of gaps; `None` if just one is empty.
pub fn between_gaps(a: &[f64], b: &[f64]) -> Option<f64> {
    if a.is_empty() || b.is_empty() {
        return (a.len() == b.len()).then_some(0.0);
    }
    let length = a.len().max(b.len());
    let squares = a.iter().cycle().zip(b.iter().cycle()).take(length).map(|(a, b)| (a - b).powi(2));
    Some(squares.sum::<f64>().sqrt())
}
