//! What is heard now: the context's clock, smoothed against the page's, less the delay of the output.
//!
//! `currentTime` moves in blocks and jitters by 5-17 ms against `performance.now()`; the two clocks drift. A caret drawn
//! from it would tremble. The map is a line of slope 1 whose offset follows the readings slowly.

/// How fast the offset follows the readings: the time constant in ms.
const FOLLOW_MS: f64 = 400.0;
/// A difference beyond this (seconds) is no jitter: the context was suspended or the page stood still. The map starts
/// anew.
const JUMP: f64 = 0.08;
/// The longest output delay believed, in seconds; wireless outputs stay below it.
const LONGEST_DELAY: f64 = 0.6;

/// The running map from the page's clock to the context's.
#[derive(Clone, Copy, Debug, Default)]
pub struct Heard {
    map: Option<(f64, f64)>,
}

impl Heard {
    /// Takes a reading: the page's clock in ms and the context's in seconds; call it at every tick and frame.
    pub fn reading(&mut self, now_ms: f64, time: f64) {
        let offset = time - now_ms / 1000.0;
        self.map = match self.map {
            Some((last_ms, last)) if (offset - last).abs() < JUMP => {
                let share = 1.0 - (-(now_ms - last_ms).max(0.0) / FOLLOW_MS).exp();
                Some((now_ms, last + (offset - last) * share))
            }
            _ => Some((now_ms, offset)),
        };
    }

    /// The context's time at `now_ms`, in seconds, smoothed; `None` before the first reading.
    pub fn at(&self, now_ms: f64) -> Option<f64> {
        self.map.map(|(_, offset)| now_ms / 1000.0 + offset)
    }

    /// Forgets all readings.
    pub fn clear(&mut self) {
        self.map = None;
    }
}

/// What an engine says about its delay; every figure may be missing or senseless.
#[derive(Clone, Copy, Debug, Default)]
pub struct Delays {
    /// `outputLatency` in seconds: from the context to the ear, if the engine knows.
    pub output: Option<f64>,
    /// `baseLatency` in seconds: inside the engine.
    pub base: Option<f64>,
    /// From `getOutputTimestamp()`: `currentTime` less the context time then heard, in seconds.
    pub stamped: Option<f64>,
}

impl Delays {
    /// The delay to subtract, 0 to 0.6 s: the stamped one when it makes sense, else the output's, else the engine's.
    pub fn seconds(&self) -> f64 {
        let sane = |delay: Option<f64>| delay.filter(|d| d.is_finite() && *d > 0.0 && *d <= LONGEST_DELAY);
        sane(self.output).or(sane(self.stamped)).or(sane(self.base)).unwrap_or(0.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Feeds 20 s of readings every 16 ms through `clock` (ms to seconds) and returns the worst error after the first
    /// second, in ms.
    fn worst(clock: impl Fn(f64) -> f64, truth: impl Fn(f64) -> f64) -> f64 {
        let mut heard = Heard::default();
        let mut worst = 0.0_f64;
        for n in 0..1250 {
            let now = f64::from(n) * 16.0;
            heard.reading(now, clock(now));
            if now > 1000.0 {
                worst = worst.max((heard.at(now).unwrap() - truth(now)).abs() * 1000.0);
            }
        }
        worst
    }

    #[test]
    fn jitter_is_smoothed_and_drift_followed() {
        let jitter = |now: f64| ((now * 12.9898).sin() * 43_758.547).fract() * 0.015;
        assert!(worst(|now| now / 1000.0 + jitter(now), |now| now / 1000.0) < 5.0);
        assert!(worst(|now| now / 1000.0 * 1.001, |now| now / 1000.0 * 1.001) < 1.0);
        let blocks = |now: f64| (now / 1000.0 * 100.0).floor() / 100.0;
        assert!(worst(blocks, |now| now / 1000.0 - 0.005) < 3.0);
    }

    #[test]
    fn a_jump_starts_anew() {
        let mut heard = Heard::default();
        heard.reading(0.0, 1.0);
        heard.reading(16.0, 1.016);
        heard.reading(5016.0, 1.02);
        assert!((heard.at(5026.0).unwrap() - 1.03).abs() < 1e-9);
        heard.clear();
        assert_eq!(heard.at(0.0), None);
    }

    #[test]
    fn delays_are_believed_in_order_and_within_reason() {
        for (output, stamped, base, want) in [
            (Some(0.04), Some(0.03), Some(0.01), 0.04),
            (Some(0.0), Some(0.03), Some(0.01), 0.03),
            (None, Some(-2.0), Some(0.01), 0.01),
            (Some(f64::NAN), Some(9.0), None, 0.0),
        ] {
            assert!((Delays { output, base, stamped }.seconds() - want).abs() < 1e-12);
        }
    }
}
