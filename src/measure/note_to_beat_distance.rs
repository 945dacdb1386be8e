//! Weighted note-to-beat distance: how near off-beat notes lie to a beat, and whether they are held across one.
//!
//! F. Gomez, A. Melvin, D. Rappaport and G. Toussaint, "Mathematical measures of syncopation", Proc. BRIDGES (2005). A note
//! on a beat counts 0. Any other, at the distance T to its nearest beat (as a share of its beat), counts 1/T, or 2/T if it
//! ends after the next beat but before the second next. A note ends where the next starts. The sum is divided by the
//! number of notes.
//!
//! In words the paper's table needs "before the second beat"; the wording that went around, "on or before it", gives 22/5
//! for the soukous timeline where the table has 18/5. Both are here. Notes written a few ticks off a beat count very high,
//! as the formula has it: it is meant for places, not for feel.

use super::cycle::Cycle;
use crate::rhythm::Tick;

/// Which notes count twice.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Held {
    /// Those that end after the next beat and before the second: the published table.
    Strict,
    /// Those that end on the second beat too: the common wording.
    Loose,
}

/// The weighted note-to-beat distance, from 0; `None` for a cycle without onsets.
pub fn note_to_beat_distance(cycle: &Cycle, held: Held) -> Option<f64> {
    let beats = cycle.beats();
    let count = cycle.onsets().len();
    let distance = |(&note, gap): (&Tick, Tick)| {
        let index = beats.partition_point(|beat| beat.start <= note).saturating_sub(1);
        let beat = beats.get(index)?;
        let inside = note - beat.start;
        if inside == Tick::ZERO {
            return None;
        }
        let first = beat.length;
        let second = first + beats.get((index + 1) % beats.len())?.length;
        let end = inside + gap;
        let is_held = end > first && (end < second || (held == Held::Loose && end == second));
        let nearest = inside.min(first - inside).as_f64() / beat.length.as_f64();
        Some(if is_held { 2.0 / nearest } else { 1.0 / nearest })
    };
    let distances = cycle.onsets().iter().zip(cycle.gaps()).filter_map(distance);
    let sum = distances.fold(0.0, |sum, distance| sum + distance);
    (count > 0).then(|| sum / count as f64)
}
