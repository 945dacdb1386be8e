//! Keith's measure: which notes start or end off the beat of their own length.
//!
//! M. Keith, "From Polychords to Polya" (1991), as read by G. Toussaint. A note of d pulses has the beat D, the largest
//! power of two that is not longer. It starts off the beat if its place is no multiple of D, ends off it if its end is
//! none. Ends off: hesitation, 1; starts off: anticipation, 2; both: syncopation, 3. Toussaint counts the notes that start
//! off.
//!
//! Defined only where a bar has a power of two of pulses. A note longer than a bar has the bar for its beat.

use super::cycle::Cycle;

/// How many notes there are of each kind.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub struct Keith {
    /// Notes that only end off the beat.
    pub hesitations: u32,
    /// Notes that only start off the beat.
    pub anticipations: u32,
    /// Notes that do both.
    pub syncopations: u32,
}

impl Keith {
    /// Hesitations once, anticipations twice, syncopations three times.
    pub fn weighted(self) -> u32 {
        self.hesitations + 2 * self.anticipations + 3 * self.syncopations
    }

    /// The notes that start off the beat: Toussaint's reading.
    pub fn off_starts(self) -> u32 {
        self.anticipations + self.syncopations
    }
}

/// Keith's kinds of notes; `None` unless the pulses of a bar are a power of two.
pub fn keith(cycle: &Cycle) -> Option<Keith> {
    let grid = cycle.grid().0.max(1);
    let bar = u64::try_from(cycle.metre().bar().0 / grid).ok().filter(|bar| bar.is_power_of_two())?;
    let mut kinds = Keith::default();
    for (at, gap) in cycle.onsets().iter().zip(cycle.gaps()) {
        let (start, pulses) = ((at.0 / grid) as u64, (gap.0 / grid) as u64);
        let beat = (1 << pulses.max(1).ilog2()).min(bar);
        match (start % beat != 0, (start + pulses) % beat != 0) {
            (false, false) => {}
            (false, true) => kinds.hesitations += 1,
            (true, false) => kinds.anticipations += 1,
            (true, true) => kinds.syncopations += 1,
        }
    }
    Some(kinds)
}
