//! Loudness: from a stroke's number to gain and layer, and the K-weighted level of a mix.

use super::filter::Biquad;
use super::voice::LAYERS;

/// The gain of a stroke of `loudness` 1 to 127 (127 is 1): (loudness / 127)^1.6, so half the number is about 10 dB less.
pub fn gain(loudness: u8) -> f32 {
    (f32::from(loudness.min(127)) / 127.0).powf(1.6)
}

/// The layer of a stroke of `loudness` 1 to 127.
pub fn layer(loudness: u8) -> u8 {
    loudness.min(127) / (128 / LAYERS)
}

/// A gain from decibels.
pub fn gain_of_db(db: f64) -> f64 {
    10f64.powf(db / 20.0)
}

/// The K-weighted level of `channels` in LUFS, without gating: ITU-R BS.1770-4, whose two filters are re-derived for
/// any rate from their analogue prototypes. Silence is -120.
pub fn lufs(channels: &[&[f32]], rate: u32) -> f64 {
    let power: f64 = channels.iter().map(|channel| mean(&weighted_powers(channel, rate))).sum();
    to_lufs(power)
}

/// The K-weighted level of one stroke: its loudest 100 ms, in LUFS as if held.
pub fn stroke_lufs(samples: &[f32], rate: u32) -> f64 {
    let powers = weighted_powers(samples, rate);
    let window = (rate / 10) as usize;
    let mut sum = 0.0;
    let mut most = 0.0_f64;
    for (i, power) in powers.iter().enumerate() {
        sum += power - if i >= window { powers[i - window] } else { 0.0 };
        most = most.max(sum);
    }
    to_lufs(most / window as f64)
}

fn to_lufs(power: f64) -> f64 {
    if power > 1e-12 { -0.691 + 10.0 * power.log10() } else { -120.0 }
}

fn mean(values: &[f64]) -> f64 {
    if values.is_empty() { 0.0 } else { values.iter().sum::<f64>() / values.len() as f64 }
}

fn weighted_powers(samples: &[f32], rate: u32) -> Vec<f64> {
    let rate = f64::from(rate);
    let (mut shelf, mut cut) = (head_shelf(rate), low_cut(rate));
    samples.iter().map(|&sample| cut.run(shelf.run(f64::from(sample)))).map(|y| y * y).collect()
}

/// The first stage: 4 dB more above 1.7 kHz.
fn head_shelf(rate: f64) -> Biquad {
    let k = (core::f64::consts::PI * 1_681.974_450_955_533 / rate).tan();
    let q = 0.707_175_236_955_419_6;
    let vh = 10f64.powf(3.999_843_853_973_347 / 20.0);
    let vb = vh.powf(0.499_666_774_154_541_6);
    let a0 = 1.0 + k / q + k * k;
    let b = [vh + vb * k / q + k * k, 2.0 * (k * k - vh), vh - vb * k / q + k * k];
    Biquad::from_coefficients(b.map(|b| b / a0), [2.0 * (k * k - 1.0) / a0, (1.0 - k / q + k * k) / a0])
}

/// The second stage: less below 38 Hz.
fn low_cut(rate: f64) -> Biquad {
    let k = (core::f64::consts::PI * 38.135_470_876_024_44 / rate).tan();
    let q = 0.500_327_037_323_877_3;
    let a0 = 1.0 + k / q + k * k;
    Biquad::from_coefficients([1.0, -2.0, 1.0], [2.0 * (k * k - 1.0) / a0, (1.0 - k / q + k * k) / a0])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_kilohertz_tone_reads_as_the_standard_says() {
        for rate in [44_100, 48_000] {
            let tone: Vec<f32> = (0..rate)
                .map(|i| (core::f64::consts::TAU * 997.0 * f64::from(i) / f64::from(rate)).sin() as f32)
                .collect();
            // BS.1770: a 0 dB full-scale 997 Hz sine in one channel reads -3.01 LKFS.
            assert!((lufs(&[&tone], rate) + 3.01).abs() < 0.02, "{}", lufs(&[&tone], rate));
            assert!((stroke_lufs(&tone, rate) + 3.01).abs() < 0.1);
        }
        assert!((lufs(&[&[0.0; 10]], 48_000) + 120.0).abs() < 1e-9);
    }

    #[test]
    fn every_loudness_has_a_gain_and_a_layer() {
        for loudness in 1..=127 {
            assert!(gain(loudness) > gain(loudness - 1) && layer(loudness) < LAYERS);
        }
        assert_eq!((layer(1), layer(127)), (0, LAYERS - 1));
    }
}
