//! Tempo: so many of a stated count unit a minute, and the pulse that is felt.

use super::units::{Bpm, Seconds, Tick};

/// How fast the score runs, and how it is counted.
///
/// The written count and the felt pulse are two things: a trap groove is written at 142 quarter notes a minute and felt
/// at 71. The click, the count-in and the second count row follow the felt pulse.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Tempo {
    /// How many count units a minute.
    pub bpm: Bpm,
    unit: u16,
    felt: u16,
}

/// The count unit or the felt pulse is out of range: 120 to 7680 ticks in whole 120s.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct CountError(pub Tick);

impl core::fmt::Display for CountError {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        write!(f, "a count is 120 to 7680 ticks in whole 120s, found {}", self.0.0)
    }
}

fn count(ticks: Tick) -> Result<u16, CountError> {
    match ticks.0 {
        n @ 120..=7680 if n % 120 == 0 => Ok(n as u16),
        _ => Err(CountError(ticks)),
    }
}

impl Tempo {
    /// A tempo of `bpm` count units of `unit` ticks a minute, felt in pulses of `felt` ticks.
    pub fn new(bpm: Bpm, unit: Tick, felt: Tick) -> Result<Tempo, CountError> {
        Ok(Tempo { bpm, unit: count(unit)?, felt: count(felt)? })
    }

    /// Quarter notes a minute, felt in quarter notes.
    pub const fn quarters(bpm: Bpm) -> Tempo {
        Tempo { bpm, unit: 960, felt: 960 }
    }

    /// The same count at another speed.
    pub const fn at(self, bpm: Bpm) -> Tempo {
        Tempo { bpm, ..self }
    }

    /// The same speed counted in notes of `unit` ticks: 142 quarter notes a minute are 71 half notes. `None` if that is no
    /// count or leaves 20 to 400.
    pub fn counted_in(self, unit: Tick) -> Option<Tempo> {
        let bpm = Bpm::new(self.bpm.get() * f64::from(self.unit) / unit.as_f64())?;
        Tempo::new(bpm, unit, self.felt()).ok()
    }

    /// The length of one written count.
    pub const fn unit(self) -> Tick {
        Tick(self.unit as i64)
    }

    /// The length of one felt pulse.
    pub const fn felt(self) -> Tick {
        Tick(self.felt as i64)
    }

    /// How many felt pulses a minute: 71 for 142 quarter notes felt in halves.
    pub fn felt_bpm(self) -> f64 {
        self.bpm.get() * f64::from(self.unit) / f64::from(self.felt)
    }

    /// Seconds one tick lasts.
    pub fn tick_seconds(self) -> f64 {
        60.0 / (self.bpm.get() * f64::from(self.unit))
    }

    /// How long `ticks` (a real number of ticks) last.
    pub fn seconds(self, ticks: f64) -> Seconds {
        Seconds(ticks * 60.0 / (self.bpm.get() * f64::from(self.unit)))
    }

    /// How many ticks pass in `time`.
    pub fn ticks(self, time: Seconds) -> f64 {
        time.0 * self.bpm.get() * f64::from(self.unit) / 60.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn counted_and_felt() {
        let trap = Tempo::new(Bpm::new(142.0).unwrap(), Tick(960), Tick(1920)).unwrap();
        assert!((trap.felt_bpm() - 71.0).abs() < 1e-12);
        assert!((trap.seconds(960.0).0 - 60.0 / 142.0).abs() < 1e-15);
        let ballad = Tempo::new(Bpm::new(56.0).unwrap(), Tick(1440), Tick(1440)).unwrap();
        assert!((ballad.seconds(1440.0).0 - 60.0 / 56.0).abs() < 1e-15);
        assert!((ballad.ticks(ballad.seconds(77.0)) - 77.0).abs() < 1e-9);
        let halves = trap.counted_in(Tick(1920)).unwrap();
        assert_eq!((halves.bpm.get(), halves.unit(), halves.felt()), (71.0, Tick(1920), Tick(1920)));
        assert!((halves.tick_seconds() - trap.tick_seconds()).abs() < 1e-15);
        assert_eq!(trap.counted_in(Tick(240)), None);
        assert_eq!(trap.counted_in(Tick(0)), None);
        assert_eq!(Tempo::new(Bpm::MIN, Tick(100), Tick(960)), Err(CountError(Tick(100))));
        assert_eq!(Tempo::new(Bpm::MIN, Tick(960), Tick(0)), Err(CountError(Tick(0))));
    }
}
