//! The finish of a buffer: drive, filters, level, gate, resolution, and the smooth ending every buffer has.
//!
//! A finish works on the whole voice. Where a *share* of the voice (some of its parts) is asked for, each linear stage is
//! applied to it as to the whole, and each stage that bends the waveform multiplies it, frame by frame, by the gain the
//! whole got there. So the shares of all parts add up to the whole, finished, and a click is ducked by the body it meets
//! in a drive as it is in the whole.

use core::f64::consts::PI;

use super::drive::{coarsen, drive, soft};
use super::envelope::taper;
use super::filter::{Biquad, FLAT_DB, Split, block_dc};
use super::patch::Patch;
use super::voice::Strike;

/// The level every buffer is brought to: the greatest power over about 10 ms, as an amplitude.
const LEVEL: f64 = 0.32;

/// The peak no buffer exceeds.
const PEAK: f64 = 0.95;

/// A voice on its way through the finish, with the share of it that is asked for.
struct Finishing {
    whole: Vec<f64>,
    share: Option<Vec<f64>>,
}

impl Finishing {
    /// A stage that treats sums as the sum of what it makes of each.
    fn linear(&mut self, stage: impl Fn(&mut Vec<f64>)) {
        stage(&mut self.whole);
        self.share.iter_mut().for_each(&stage);
    }

    /// A stage that bends the waveform.
    fn bent(&mut self, stage: impl Fn(&mut Vec<f64>)) {
        let before = self.share.is_some().then(|| self.whole.clone());
        stage(&mut self.whole);
        if let (Some(before), Some(share)) = (before, &mut self.share) {
            for ((share, old), new) in share.iter_mut().zip(before).zip(&self.whole) {
                *share *= if old.abs() > 1e-12 { new / old } else { 0.0 };
            }
        }
    }
}

/// The voice `whole` finished, and the share `share` of it (empty if none is asked for).
pub(super) fn finish(patch: &Patch, strike: &Strike, whole: Vec<f64>, share: Option<Vec<f64>>) -> (Vec<f64>, Vec<f64>) {
    let rate = strike.rate;
    let finish = patch.finish;
    let mut voice = Finishing { whole, share };
    if finish.gate_ms > 0.0 {
        voice.linear(|buffer| buffer.truncate(strike.frames(finish.gate_ms + 6.0).max(16)));
    }
    voice.bent(|buffer| drive(buffer, finish.drive * (0.6 + 0.4 * strike.hardness)));
    if finish.high_pass_hz > 0.0 {
        voice.linear(|buffer| Biquad::high_pass(finish.high_pass_hz, FLAT_DB, rate).run_all(buffer));
    }
    if finish.low_pass_hz > 0.0 && finish.low_pass_hz < 0.45 * rate {
        voice.linear(|buffer| Biquad::low_pass(finish.low_pass_hz, FLAT_DB, rate).run_all(buffer));
    }
    if strike.hardness <= 0.999 {
        let middle = middle_hz(&voice.whole, rate);
        voice.linear(|buffer| soften(buffer, strike.hardness, middle, rate));
    }
    voice.linear(|buffer| block_dc(buffer, 12.0, rate));
    voice.bent(|buffer| level(buffer, patch.model.is_noise(), rate));
    if finish.bits > 0.0 || finish.hold_hz > 0.0 {
        voice.linear(|buffer| coarsen(buffer, 0.0, finish.hold_hz, rate));
        voice.bent(|buffer| coarsen(buffer, finish.bits, 0.0, rate));
    }
    let ending = if finish.gate_ms > 0.0 { 6.0 } else { 20.0 };
    let ending = strike.frames(ending).min(voice.whole.len() / 3);
    voice.linear(|buffer| taper(buffer, ending));
    voice.linear(|buffer| centre(buffer));
    (voice.whole, voice.share.unwrap_or_default())
}

/// Softer strokes are darker: the parts above two fixed pivots and above the voice's own middle are turned down, so the
/// spectrum's centre falls with the layer whatever the voice is.
fn soften(buffer: &mut [f64], hardness: f64, middle: f64, rate: f64) {
    let keep = 0.45 + 0.55 * hardness;
    for pivot in [220.0, 3500.0, middle] {
        let mut split = Split::new(pivot, rate);
        for sample in &mut *buffer {
            let (low, high) = split.run(*sample);
            *sample = low + keep * high;
        }
    }
}

/// The root-mean-square frequency: from the power of the slope against the power itself.
fn middle_hz(buffer: &[f64], rate: f64) -> f64 {
    let power: f64 = buffer.iter().map(|x| x * x).sum();
    let slope: f64 = buffer.windows(2).map(|pair| (pair[1] - pair[0]).powi(2)).sum();
    let ratio = if power > 0.0 { 0.5 * (slope / power).sqrt() } else { 0.0 };
    rate / PI * ratio.min(1.0).asin()
}

/// Brings the strongest 10 ms to [`LEVEL`] and keeps the peak at [`PEAK`]: tones by less gain, noise, whose peaks are
/// chance and would make strokes unequal, mostly by a soft clip, which nobody hears in noise.
fn level(buffer: &mut [f64], is_noise: bool, rate: f64) {
    let keep = (-1.0 / (0.010 * rate)).exp();
    let (mut power, mut most, mut peak) = (0.0, 0.0_f64, 0.0_f64);
    for &sample in &*buffer {
        power = sample * sample + keep * (power - sample * sample);
        most = most.max(power);
        peak = peak.max(sample.abs());
    }
    if most <= 0.0 || peak <= 0.0 {
        return;
    }
    let over = if is_noise { 2.6 * PEAK } else { PEAK };
    let gain = (LEVEL / most.sqrt()).min(over / peak);
    let clips = peak * gain > PEAK;
    for sample in buffer {
        let x = gain * *sample;
        *sample = if clips { PEAK * soft(x / PEAK) } else { x };
    }
}

/// Takes the mean away under a smooth bump, so that both ends keep their place.
fn centre(buffer: &mut [f64]) {
    let sum: f64 = buffer.iter().sum();
    let n = buffer.len() as f64;
    // The bump 6 x (1 - x) has mean 1 and vanishes at both ends.
    let scale = 6.0 * sum / (n * n * n);
    for (i, sample) in buffer.iter_mut().enumerate() {
        let x = i as f64;
        *sample -= scale * x * (n - 1.0 - x);
    }
}
