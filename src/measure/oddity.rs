//! The rhythmic oddity property: no two onsets cut the cycle into halves.
//!
//! S. Arom, "African Polyphony and Polyrhythm" (1991), after whom G. Toussaint (2013). The cycle here is the whole one, of
//! however many bars. A cycle with an odd number of pulses has the property always, an empty one too.

use super::cycle::Cycle;

/// Whether no two onsets lie exactly half the cycle apart.
pub fn has_oddity(cycle: &Cycle) -> bool {
    let onsets = cycle.onsets();
    let length = cycle.length();
    let faces =
        |at: &crate::rhythm::Tick| 2 * at.0 < length.0 && onsets.iter().any(|other| 2 * (other.0 - at.0) == length.0);
    !onsets.iter().any(faces)
}
