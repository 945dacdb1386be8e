//! Periodic sources: a polynomial sine, band-limited saw and pulse, and damped partials by recursion.
//!
//! The inner loops use only products and sums, so native and WebAssembly builds agree to rounding.

use core::f64::consts::TAU;

/// The frequency in Hz of a MIDI-like note number (69 = 440 Hz, 12 to the octave, fractions allowed).
pub fn note_hz(note: f64) -> f64 {
    440.0 * ((note - 69.0) / 12.0).exp2()
}

/// A ratio of frequencies from cents (1200 to the octave).
pub fn cents_ratio(cents: f64) -> f64 {
    (cents / 1200.0).exp2()
}

/// The sine of `turns` whole circles, for 0 <= turns < 1.25; error below 1e-7.
///
/// Taylor's series to the eleventh power on a quarter circle either side of zero.
pub fn sine(turns: f64) -> f64 {
    let x = if turns >= 1.0 { turns - 1.0 } else { turns };
    let x = if x >= 0.75 {
        x - 1.0
    } else if x > 0.25 {
        0.5 - x
    } else {
        x
    };
    let x = x * TAU;
    let q = x * x;
    x * (1.0 + q * (-1.0 / 6.0 + q * (1.0 / 120.0 + q * (-1.0 / 5040.0 + q * (1.0 / 362_880.0 - q / 39_916_800.0)))))
}

/// A phase in turns, always within 0 to 1.
#[derive(Clone, Copy, Debug, Default)]
pub struct Phase {
    /// Where in the circle, 0 to 1.
    pub turns: f64,
}

impl Phase {
    /// Moves on by `turns` (0 to 1: the frequency over the sample rate).
    pub fn advance(&mut self, turns: f64) {
        self.turns += turns;
        if self.turns >= 1.0 {
            self.turns -= 1.0;
        }
    }

    /// The sine here.
    pub fn sine(self) -> f64 {
        sine(self.turns)
    }

    /// The cosine here.
    pub fn cosine(self) -> f64 {
        sine(self.turns + 0.25)
    }

    /// A falling sawtooth, band-limited by a two-sample polynomial correction; `turns` is the advance a sample.
    ///
    /// V. Välimäki and A. Huovilainen, "Antialiasing oscillators in subtractive synthesis", IEEE Signal Processing
    /// Magazine 24(2), 2007, 116-125.
    pub fn saw(self, turns: f64) -> f64 {
        1.0 - 2.0 * self.turns + corner(self.turns, turns)
    }

    /// A square wave, band-limited like [`Phase::saw`].
    pub fn square(self, turns: f64) -> f64 {
        let half = if self.turns >= 0.5 { self.turns - 0.5 } else { self.turns + 0.5 };
        let level = if self.turns < 0.5 { 1.0 } else { -1.0 };
        level + corner(self.turns, turns) - corner(half, turns)
    }
}

/// The polynomial that rounds an upward jump of 2 at phase 0.
fn corner(phase: f64, turns: f64) -> f64 {
    if phase < turns {
        let x = phase / turns;
        2.0 * x - x * x - 1.0
    } else if phase > 1.0 - turns {
        let x = (phase - 1.0) / turns;
        x * x + 2.0 * x + 1.0
    } else {
        0.0
    }
}

/// A sum of the harmonics 2 to 8 of a sine, each weighing its reciprocal, by the recurrence
/// sin(n+1)x = 2 cos x sin nx - sin(n-1)x; `most` limits the highest harmonic.
///
/// Added at a low level it lets a small loudspeaker tell the pitch of a tone too deep for it.
pub fn harmonics(phase: Phase, most: usize) -> f64 {
    let (mut before, mut now) = (0.0, phase.sine());
    let twice_cosine = 2.0 * phase.cosine();
    let mut sum = 0.0;
    for n in 2..=most.min(8) {
        let next = twice_cosine * now - before;
        sum += next / n as f64;
        (before, now) = (now, next);
    }
    sum
}

/// A sine that dies away.
#[derive(Clone, Copy, Debug)]
pub struct Partial {
    /// Frequency, Hz.
    pub hz: f64,
    /// Level at the start; the sign sets the first direction.
    pub level: f64,
    /// Time to fall 40 dB, ms; infinite for a tone that holds.
    pub decay_ms: f64,
}

/// Adds `partials` to `buffer`; those above 0.45 of the sample rate are left out.
///
/// Each is the two-pole recursion y\[n\] = 2 r cos w y\[n-1\] - r^2 y\[n-2\], run until it is 100 dB below 1. Four run side by
/// side, which keeps the processor's multipliers busy.
pub fn add_partials(buffer: &mut [f64], partials: &[Partial], rate: f64) {
    let mut live: Vec<Recursion> = partials
        .iter()
        .filter(|partial| partial.hz > 0.0 && partial.hz < 0.45 * rate && partial.level.abs() > 1e-5)
        .map(|partial| Recursion::new(partial, rate, buffer.len()))
        .collect();
    live.sort_by_key(|recursion| recursion.frames);
    for group in live.chunks_mut(4) {
        let frames = group.iter().map(|recursion| recursion.frames).max().unwrap_or(0);
        if let [a, b, c, d] = group {
            for sample in &mut buffer[..frames] {
                *sample += (a.next() + b.next()) + (c.next() + d.next());
            }
        } else {
            for recursion in group {
                for sample in &mut buffer[..frames] {
                    *sample += recursion.next();
                }
            }
        }
    }
}

struct Recursion {
    one: f64,
    two: f64,
    now: f64,
    before: f64,
    frames: usize,
}

impl Recursion {
    fn new(partial: &Partial, rate: f64, most: usize) -> Recursion {
        let angle = TAU * partial.hz / rate;
        let (radius, frames) = if partial.decay_ms.is_finite() {
            let decay = (partial.decay_ms * 0.001 * rate).max(1.0);
            let fall_db = 100.0 + 20.0 * partial.level.abs().log10();
            (10f64.powf(-2.0 / decay), (decay * fall_db / 40.0).ceil())
        } else {
            (1.0, f64::INFINITY)
        };
        // The state is set so that the first sample is 0 and the second level * r * sin w.
        let before = -partial.level * angle.sin() / radius;
        Recursion {
            one: 2.0 * radius * angle.cos(),
            two: radius * radius,
            now: 0.0,
            before,
            frames: if frames < most as f64 { frames as usize } else { most },
        }
    }

    fn next(&mut self) -> f64 {
        let out = self.now;
        let next = self.one * self.now - self.two * self.before;
        self.before = self.now;
        self.now = next;
        out
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_polynomial_sine_is_a_sine() {
        for i in 0..1250 {
            let turns = f64::from(i) / 1000.0;
            assert!((sine(turns) - (TAU * turns).sin()).abs() < 1e-7, "{turns}");
        }
    }

    #[test]
    fn a_partial_is_a_damped_sine() {
        let partials = [
            (440.0, 0.5, 100.0),
            (3000.0, -0.3, 50.0),
            (50.0, 1.0, f64::INFINITY),
            (2.5e4, 1.0, 9.0),
            (700.0, 0.2, 30.0),
        ]
        .map(|(hz, level, decay_ms)| Partial { hz, level, decay_ms });
        let mut buffer = vec![0.0; 4800];
        add_partials(&mut buffer, &partials, 48_000.0);
        for (i, sample) in buffer.iter().enumerate() {
            let t = i as f64 / 48_000.0;
            let expected: f64 = partials
                .iter()
                .filter(|p| p.hz < 21_600.0)
                .map(|p| p.level * (TAU * p.hz * t).sin() * 10f64.powf(-2.0 * t / (p.decay_ms * 0.001)))
                .sum();
            assert!((sample - expected).abs() < 2e-5, "{i}: {sample} {expected}");
        }
    }

    #[test]
    fn harmonics_follow_the_recurrence() {
        let phase = Phase { turns: 0.07 };
        let expected: f64 = (2..=5).map(|n| (TAU * 0.07 * f64::from(n)).sin() / f64::from(n)).sum();
        assert!((harmonics(phase, 5) - expected).abs() < 1e-6);
    }

    #[test]
    fn notes_are_equal_tempered() {
        for (note, hz) in [(69.0, 440.0), (57.0, 220.0), (60.0, 261.625_565), (28.0, 41.203_445)] {
            assert!((note_hz(note) - hz).abs() < 1e-5, "{note}");
        }
        assert!((cents_ratio(700.0) - note_hz(64.0) / note_hz(57.0)).abs() < 1e-12);
    }
}
