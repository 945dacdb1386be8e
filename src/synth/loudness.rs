//! Loudness: from a stroke's number to gain and layer, and the K-weighted level of a mix.

use core::f64::consts::PI;

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

/// The programme loudness of `channels` in LUFS: ITU-R BS.1770-4, blocks of 400 ms that overlap by three quarters, without
/// the blocks below -70 LUFS and those more than 10 LU below the mean of the rest. Silence is -120.
pub fn integrated(channels: &[&[f32]], rate: u32) -> f64 {
    let weighted: Vec<Vec<f64>> = channels.iter().map(|channel| weighted_powers(channel, rate)).collect();
    let frames = weighted.iter().map(Vec::len).min().unwrap_or(0);
    let (block, hop) = ((rate as usize * 2 / 5).max(4), (rate as usize / 10).max(1));
    let starts = (0..(frames + hop).saturating_sub(block)).step_by(hop);
    let power = |start: usize| -> f64 {
        weighted.iter().map(|channel| mean(channel.get(start..(start + block).min(frames)).unwrap_or_default())).sum()
    };
    let over = |powers: &[f64], gate: f64| -> Vec<f64> {
        powers.iter().copied().filter(|&power| to_lufs(power) > gate).collect()
    };
    let heard = over(&starts.map(power).collect::<Vec<_>>(), -70.0);
    let gated = over(&heard, to_lufs(mean(&heard)) - 10.0);
    to_lufs(mean(&gated))
}

/// The true peak of `samples`: the greatest magnitude of the signal read at four times the rate, as ITU-R BS.1770-4,
/// annex 2, asks for; the interpolation is a sinc under a Hann window of twelve samples.
pub fn true_peak(samples: &[f32]) -> f32 {
    const HALF: i64 = 6;
    let weight = |x: f64| {
        let window = 0.5 + 0.5 * (PI * x / (HALF as f64)).cos();
        window * if x.abs() < 1e-9 { 1.0 } else { (PI * x).sin() / (PI * x) }
    };
    let phases = [0.25, 0.5, 0.75].map(|phase| (1 - HALF..=HALF).map(|k| weight(k as f64 - phase)).collect::<Vec<_>>());
    let own = samples.iter().fold(0.0_f32, |peak, x| peak.max(x.abs()));
    let between = samples.windows(2 * HALF as usize).flat_map(|window| {
        phases
            .iter()
            .map(move |phase| phase.iter().zip(window).map(|(w, &x)| w * f64::from(x)).sum::<f64>().abs() as f32)
    });
    between.fold(own, f32::max)
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
    let k = (PI * 1_681.974_450_955_533 / rate).tan();
    let q = 0.707_175_236_955_419_6;
    let vh = 10f64.powf(3.999_843_853_973_347 / 20.0);
    let vb = vh.powf(0.499_666_774_154_541_6);
    let a0 = 1.0 + k / q + k * k;
    let b = [vh + vb * k / q + k * k, 2.0 * (k * k - vh), vh - vb * k / q + k * k];
    Biquad::from_coefficients(b.map(|b| b / a0), [2.0 * (k * k - 1.0) / a0, (1.0 - k / q + k * k) / a0])
}

/// The second stage: less below 38 Hz.
fn low_cut(rate: f64) -> Biquad {
    let k = (PI * 38.135_470_876_024_44 / rate).tan();
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
    fn the_programme_leaves_out_its_silences() {
        let tone = |seconds: u32, gain: f64| {
            (0..48_000 * seconds)
                .map(move |i| (gain * (core::f64::consts::TAU * 997.0 * f64::from(i) / 48_000.0).sin()) as f32)
        };
        let check = |samples: Vec<f32>, expected: f64| {
            let found = integrated(&[&samples, &samples], 48_000);
            assert!((found - expected).abs() < 0.1, "{found} for {expected}");
        };
        check(tone(4, 0.1).collect(), -20.0);
        // EBU Tech 3341, case 3: quiet parts before and after do not count.
        check(tone(4, 0.015).chain(tone(20, 0.0708)).chain(tone(4, 0.015)).collect(), -23.0);
        check(vec![0.0; 48_000], -120.0);
    }

    #[test]
    fn a_peak_between_samples_is_found() {
        // A quarter of the rate, met at 45 degrees: the samples stay at 0.707 of the peak.
        let tone: Vec<f32> =
            (0..480).map(|i| (core::f64::consts::FRAC_PI_2 * (f64::from(i) + 0.5)).sin() as f32).collect();
        let own = tone.iter().fold(0.0_f32, |peak, x| peak.max(x.abs()));
        assert!((own - 0.707).abs() < 1e-3 && (true_peak(&tone) - 1.0).abs() < 0.03, "{}", true_peak(&tone));
    }

    #[test]
    fn every_loudness_has_a_gain_and_a_layer() {
        for loudness in 1..=127 {
            assert!(gain(loudness) > gain(loudness - 1) && layer(loudness) < LAYERS);
        }
        assert_eq!((layer(1), layer(127)), (0, LAYERS - 1));
    }
}
