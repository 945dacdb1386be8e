//! Filters: the Web Audio second-order sections, one-pole splits, and a sweepable state-variable low-pass.

use core::f64::consts::{PI, TAU};

/// The quality in dB at which a Web Audio low- or high-pass is maximally flat (a Butterworth section, Q = 0.7071).
pub const FLAT_DB: f64 = -3.010_299_956_639_812;

/// Highest cut-off, as a share of the sample rate: every filter stays below half the rate.
const HIGHEST: f64 = 0.45;

/// A cut-off held to what `rate` can carry.
pub fn clamp_hz(hz: f64, rate: f64) -> f64 {
    hz.clamp(1.0, HIGHEST * rate)
}

/// A second-order section, transposed direct form II.
///
/// Low- and high-pass follow the formulas of the Web Audio specification, "Filters characteristics" of BiquadFilterNode:
/// with w = 2 pi f / rate and alpha = sin w / (2 * 10^(Q/20)), where Q is in **dB** for these two kinds.
#[derive(Clone, Copy, Debug)]
pub struct Biquad {
    b: [f64; 3],
    a: [f64; 2],
    z: [f64; 2],
}

impl Biquad {
    /// The Web Audio low-pass at `hz` (clamped) with quality `q_db`.
    pub fn low_pass(hz: f64, q_db: f64, rate: f64) -> Biquad {
        let (cos, alpha) = angle(hz, 10f64.powf(q_db / 20.0), rate);
        let side = (1.0 - cos) / 2.0;
        Biquad::normalised([side, 1.0 - cos, side], 1.0 + alpha, [-2.0 * cos, 1.0 - alpha])
    }

    /// The Web Audio high-pass at `hz` (clamped) with quality `q_db`.
    pub fn high_pass(hz: f64, q_db: f64, rate: f64) -> Biquad {
        let (cos, alpha) = angle(hz, 10f64.powf(q_db / 20.0), rate);
        let side = (1.0 + cos) / 2.0;
        Biquad::normalised([side, -1.0 - cos, side], 1.0 + alpha, [-2.0 * cos, 1.0 - alpha])
    }

    /// The Web Audio band-pass around `hz` (clamped), peak gain 1; `q` is linear for this kind.
    pub fn band_pass(hz: f64, q: f64, rate: f64) -> Biquad {
        let (cos, alpha) = angle(hz, q, rate);
        Biquad::normalised([alpha, 0.0, -alpha], 1.0 + alpha, [-2.0 * cos, 1.0 - alpha])
    }

    /// A section from its coefficients with a0 = 1.
    pub fn from_coefficients(b: [f64; 3], a: [f64; 2]) -> Biquad {
        Biquad { b, a, z: [0.0; 2] }
    }

    fn normalised(b: [f64; 3], a0: f64, a: [f64; 2]) -> Biquad {
        Biquad::from_coefficients(b.map(|b| b / a0), a.map(|a| a / a0))
    }

    /// One sample through the section.
    pub fn run(&mut self, x: f64) -> f64 {
        let y = self.b[0] * x + self.z[0];
        self.z[0] = self.b[1] * x - self.a[0] * y + self.z[1];
        self.z[1] = self.b[2] * x - self.a[1] * y;
        y
    }

    /// The whole buffer through the section.
    pub fn run_all(mut self, buffer: &mut [f64]) {
        for sample in buffer {
            *sample = self.run(*sample);
        }
    }
}

fn angle(hz: f64, q: f64, rate: f64) -> (f64, f64) {
    let w = TAU * clamp_hz(hz, rate) / rate;
    (w.cos(), w.sin() / (2.0 * q.max(1e-3)))
}

/// The linear quality of a band `octaves` wide between its half-power points.
pub fn band_quality(octaves: f64) -> f64 {
    let ratio = octaves.max(0.05).exp2();
    ratio.sqrt() / (ratio - 1.0)
}

/// A band of white noise brought to about the level of a full-scale sine.
///
/// White noise at 48 kHz has its power over 24 kHz; a band-pass of quality Q keeps pi/2 * f/Q of it.
pub fn band_gain(hz: f64, q: f64) -> f64 {
    (24_000.0 / (1.571 * hz / q)).sqrt().clamp(1.0, 12.0)
}

/// A one-pole split into low and high parts that add up to the input.
#[derive(Clone, Copy, Debug)]
pub struct Split {
    keep: f64,
    low: f64,
}

impl Split {
    /// Parts at `hz`.
    pub fn new(hz: f64, rate: f64) -> Split {
        Split { keep: (-TAU * clamp_hz(hz, rate) / rate).exp(), low: 0.0 }
    }

    /// The low and the high part of one sample.
    pub fn run(&mut self, x: f64) -> (f64, f64) {
        self.low = x + self.keep * (self.low - x);
        (self.low, x - self.low)
    }
}

/// Removes what does not move, below `hz`: y\[n\] = x\[n\] - x\[n-1\] + r y\[n-1\].
pub fn block_dc(buffer: &mut [f64], hz: f64, rate: f64) {
    let keep = (-TAU * hz / rate).exp();
    let (mut before, mut out) = (0.0, 0.0);
    for sample in buffer {
        out = *sample - before + keep * out;
        before = *sample;
        *sample = out;
    }
}

/// A low-pass of 12 dB an octave whose cut-off may move each sample without a click.
///
/// The trapezoidal state-variable filter: V. Zavalishin, "The Art of VA Filter Design", 2012, chapter 3.
#[derive(Clone, Copy, Debug)]
pub struct Sweep {
    damping: f64,
    g: f64,
    states: [f64; 2],
    rate: f64,
}

impl Sweep {
    /// A filter with a resonant peak of `resonance_db` (-3 is flat).
    pub fn new(resonance_db: f64, rate: f64) -> Sweep {
        Sweep { damping: 10f64.powf(-resonance_db / 20.0), g: 0.1, states: [0.0; 2], rate }
    }

    /// Moves the cut-off to `hz` (clamped).
    pub fn tune(&mut self, hz: f64) {
        self.g = (PI * clamp_hz(hz, self.rate) / self.rate).tan();
    }

    /// The low-passed and the band-passed sample (the band peaks at 1 / damping).
    pub fn run(&mut self, x: f64) -> (f64, f64) {
        let [s1, s2] = self.states;
        let high = (x - (self.damping + self.g) * s1 - s2) / (1.0 + self.g * (self.damping + self.g));
        let band = self.g * high + s1;
        let low = self.g * band + s2;
        self.states = [self.g * high + band, self.g * band + low];
        (low, band)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The gain of `filter` at `hz`, from a second of sine after it has settled.
    fn gain_db(mut filter: impl FnMut(f64) -> f64, hz: f64) -> f64 {
        let rate = 48_000.0;
        let out = (0..48_000).map(|i| (i, filter((TAU * hz * f64::from(i) / rate).sin())));
        let power: f64 = out.filter(|(i, _)| *i >= 24_000).map(|(_, y)| y * y).sum::<f64>() / 12_000.0;
        10.0 * power.log10()
    }

    #[test]
    fn filters_have_their_stated_response() {
        let check = |name: &str, found: f64, expected: f64| assert!((found - expected).abs() < 0.3, "{name}: {found}");
        for (hz, expected) in [(100.0, 0.0), (1000.0, -3.0), (2000.0, -12.3)] {
            let mut low = Biquad::low_pass(1000.0, FLAT_DB, 48_000.0);
            check("low-pass", gain_db(|x| low.run(x), hz), expected);
        }
        for (hz, expected) in [(5000.0, 0.0), (1000.0, -3.0), (500.0, -12.3)] {
            let mut high = Biquad::high_pass(1000.0, FLAT_DB, 48_000.0);
            check("high-pass", gain_db(|x| high.run(x), hz), expected);
        }
        let mut peak = Biquad::low_pass(1000.0, 12.0, 48_000.0);
        check("Q is in dB", gain_db(|x| peak.run(x), 1000.0), 12.0);
        let q = band_quality(2.0);
        for (hz, expected) in [(1000.0, 0.0), (500.0, -3.0), (2000.0, -3.0)] {
            let mut band = Biquad::band_pass(1000.0, q, 48_000.0);
            check("band-pass", gain_db(|x| band.run(x), hz), expected);
        }
        let mut sweep = Sweep::new(6.0, 48_000.0);
        sweep.tune(1000.0);
        check("resonance", gain_db(|x| sweep.run(x).0, 1000.0), 6.0);
    }

    #[test]
    fn cut_offs_stay_below_half_the_rate() {
        let mut filter = Biquad::high_pass(9000.0, FLAT_DB, 8_000.0);
        let most = (0..8000).map(|i| filter.run(if i % 2 == 0 { 1.0 } else { -1.0 }).abs()).fold(0.0, f64::max);
        assert!(most < 2.0);
    }
}
