//! The picture of a sound: its waveform, its loudness over time, its pitch over time, and its spectrum.

use super::spectrum::fourier;

/// How finely a sound is drawn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Grid {
    /// Columns of time.
    pub columns: usize,
    /// Seconds the columns span; a shorter sound leaves the rest silent.
    pub seconds: f64,
    /// Bands of the spectrum, evenly in octaves from 20 Hz to 20 kHz (30 are thirds of an octave).
    pub bands: usize,
}

/// Below this, dB, nothing is drawn.
pub const FLOOR_DB: f32 = -72.0;

/// The lowest and highest frequency of the spectrum, Hz.
pub const BAND_ENDS: (f64, f64) = (20.0, 20_000.0);

/// A drawn sound.
#[derive(Clone, Debug, PartialEq)]
pub struct Portrait {
    /// Least and greatest sample of each column.
    pub wave: Vec<(f32, f32)>,
    /// Level of each column, dB below full scale, at least [`FLOOR_DB`].
    pub level_db: Vec<f32>,
    /// Pitch of each column, Hz, where the sound has one.
    pub pitch_hz: Vec<Option<f32>>,
    /// Middle of each band, Hz, and its level, dB below the strongest, at least [`FLOOR_DB`].
    pub spectrum: Vec<(f32, f32)>,
}

/// Draws `samples` at `rate`.
pub fn portrait(samples: &[f32], rate: u32, grid: Grid) -> Portrait {
    let columns = grid.columns.clamp(1, 4000);
    let span = (grid.seconds.clamp(0.01, 10.0) * f64::from(rate)).max(columns as f64);
    let edge = |i: usize| ((i as f64 * span / columns as f64) as usize).min(samples.len());
    let column = |i: usize| samples.get(edge(i)..edge(i + 1)).unwrap_or_default();
    let wave = (0..columns)
        .map(|i| column(i).iter().fold((0.0_f32, 0.0_f32), |(low, high), &x| (low.min(x), high.max(x))))
        .collect();
    let level = |i: usize| {
        let column = column(i);
        let power: f32 = column.iter().map(|x| x * x).sum::<f32>() / column.len().max(1) as f32;
        (10.0 * (2.0 * power).max(1e-12).log10()).max(FLOOR_DB)
    };
    Portrait {
        wave,
        level_db: (0..columns).map(level).collect(),
        pitch_hz: pitches(samples, rate, columns, span),
        spectrum: spectrum(samples, rate, grid.bands.clamp(1, 300)),
    }
}

/// Rate at which pitch is looked for, Hz: enough for tones up to 600 Hz, the tonal drums and basses.
const SLOW: f64 = 6000.0;

/// Lowest and highest pitch looked for, Hz.
const PITCHES: (f64, f64) = (28.0, 1000.0);

/// Most places of time at which pitch is looked for.
const MOST_PLACES: usize = 60;

/// A pitch is one if the sound differs from itself a period later by less than this share.
const LIKE: f64 = 0.18;

/// The pitch of each column by the cumulative mean normalised difference of A. de Cheveigné and H. Kawahara, "YIN, a
/// fundamental frequency estimator for speech and music", JASA 111, 2002, on the sound averaged down to about 6 kHz.
fn pitches(samples: &[f32], rate: u32, columns: usize, span: f64) -> Vec<Option<f32>> {
    let every = ((f64::from(rate) / SLOW) as usize).max(1);
    let slow_rate = f64::from(rate) / every as f64;
    let slow: Vec<f32> = samples.chunks(every).map(|chunk| chunk.iter().sum::<f32>() / every as f32).collect();
    let longest = (slow_rate / PITCHES.0) as usize;
    let shortest = ((slow_rate / PITCHES.1) as usize).max(2);
    let window = (0.018 * slow_rate) as usize;
    let loudest = slow.iter().fold(0.0_f32, |peak, x| peak.max(x.abs()));
    let places = columns.min(MOST_PLACES);
    let found: Vec<Option<f32>> = (0..places)
        .map(|place| {
            let start = ((place as f64 + 0.5) * span / places as f64 / every as f64) as usize;
            let here = slow.get(start..(start + window + longest).min(slow.len())).unwrap_or_default();
            let longest = longest.min(here.len().saturating_sub(window));
            let peak = here.iter().fold(0.0_f32, |peak, x| peak.max(x.abs()));
            if longest <= shortest + 2 || peak < 0.003 * loudest.max(1e-6) {
                return None;
            }
            period(here, window, shortest, longest).map(|frames| (slow_rate / frames) as f32)
        })
        .collect();
    (0..columns).map(|i| found.get(i * places / columns).copied().flatten()).collect()
}

/// The period of the start of `here`, in frames with a fraction.
fn period(here: &[f32], window: usize, shortest: usize, longest: usize) -> Option<f64> {
    let mut sum = 0.0;
    let mut likeness = vec![1.0; longest + 1];
    for lag in 1..=longest {
        let apart: f32 = here[..window].iter().zip(&here[lag..]).map(|(a, b)| (a - b) * (a - b)).sum();
        sum += f64::from(apart);
        likeness[lag] = if sum > 0.0 { f64::from(apart) * lag as f64 / sum } else { 1.0 };
    }
    let mut lag = (shortest..longest).find(|&lag| likeness[lag] < LIKE)?;
    while lag + 1 < longest && likeness[lag + 1] < likeness[lag] {
        lag += 1;
    }
    let [a, b, c] = [likeness[lag - 1], likeness[lag], likeness[lag + 1]];
    let bend = a - 2.0 * b + c;
    Some(lag as f64 + if bend > 1e-12 { (0.5 * (a - c) / bend).clamp(-0.5, 0.5) } else { 0.0 })
}

/// Most frames of the spectrum: two thirds of a second at 48 kHz, in which a stroke has said what it is.
const MOST_FRAMES: usize = 32_768;

fn spectrum(samples: &[f32], rate: u32, bands: usize) -> Vec<(f32, f32)> {
    let n = samples.len().clamp(2048, MOST_FRAMES).next_power_of_two().min(MOST_FRAMES);
    let used = samples.len().min(n);
    let fade = if samples.len() > n { n / 4 } else { 0 };
    let mut re: Vec<f64> = samples[..used]
        .iter()
        .enumerate()
        .map(|(i, &x)| f64::from(x) * if i + fade >= n { (n - i) as f64 / fade as f64 } else { 1.0 })
        .collect();
    re.resize(n, 0.0);
    let mut im = vec![0.0; n];
    fourier(&mut re, &mut im);
    let bin = f64::from(rate) / n as f64;
    let octaves = (BAND_ENDS.1 / BAND_ENDS.0).log2();
    let edge = |band: f64| BAND_ENDS.0 * (octaves * band / bands as f64).exp2();
    let powers: Vec<f64> = (0..bands)
        .map(|band| {
            let (low, high) = (edge(band as f64) / bin, edge(band as f64 + 1.0) / bin);
            // Bins at the edges count by their share, so that narrow low bands are not empty.
            let bins = low as usize..=(high as usize).min(n / 2);
            bins.map(|k| {
                let share = ((k as f64 + 1.0).min(high) - (k as f64).max(low)).max(0.0);
                share * (re[k] * re[k] + im[k] * im[k])
            })
            .sum()
        })
        .collect();
    let most = powers.iter().copied().fold(1e-12, f64::max);
    let level = |power: f64| ((10.0 * (power / most).max(1e-12).log10()) as f32).max(FLOOR_DB);
    powers.iter().enumerate().map(|(i, &power)| (edge(i as f64 + 0.5) as f32, level(power))).collect()
}

#[cfg(test)]
mod tests {
    use core::f64::consts::TAU;

    use super::*;

    /// A sine whose pitch falls from `from` to `to` Hz in a second, dying 40 dB.
    fn tone(from: f64, to: f64, rate: u32) -> Vec<f32> {
        let mut turns = 0.0;
        (0..rate)
            .map(|i| {
                let x = f64::from(i) / f64::from(rate);
                turns += (from + x * (to - from)) / f64::from(rate);
                (10f64.powf(-2.0 * x) * (TAU * turns).sin()) as f32
            })
            .collect()
    }

    const GRID: Grid = Grid { columns: 50, seconds: 1.0, bands: 30 };

    #[test]
    fn a_falling_tone_is_drawn_as_it_is() {
        for rate in [22_050, 44_100, 48_000, 96_000] {
            let drawn = portrait(&tone(200.0, 100.0, rate), rate, GRID);
            for i in 0..45 {
                let x = (i as f32 + 0.5) / 50.0;
                let pitch = drawn.pitch_hz[i].unwrap_or(0.0);
                // What is found lies a window's half ahead.
                assert!((pitch / (200.0 - 100.0 * (x + 0.014)) - 1.0).abs() < 0.03, "{rate}: {pitch} at {x}");
                assert!((drawn.level_db[i] + 40.0 * x).abs() < 1.5, "{rate}: {} at {x}", drawn.level_db[i]);
                let (low, high) = drawn.wave[i];
                let peak = 10f32.powf(-2.0 * (x - 0.01));
                assert!(high <= peak && low >= -peak && high > 0.7 * peak, "{rate}: {low} {high} at {x}");
            }
        }
    }

    #[test]
    fn a_spectrum_has_its_peak_where_the_tone_is() {
        for hz in [50.0, 440.0, 3000.0] {
            let drawn = portrait(&tone(hz, hz, 48_000), 48_000, GRID);
            let (middle, level) =
                drawn.spectrum.iter().copied().fold((0.0, -100.0), |a, b| if b.1 > a.1 { b } else { a });
            assert!((f64::from(middle) / hz).log2().abs() < 0.2 && level.abs() < 1e-6, "{hz}: {middle}");
        }
    }

    #[test]
    fn noise_has_no_pitch_and_silence_no_level() {
        let mut noise = crate::synth::noise::Noise::new(1, 48_000.0);
        let drawn = portrait(&(0..48_000).map(|_| noise.advance() as f32).collect::<Vec<_>>(), 48_000, GRID);
        assert!(drawn.pitch_hz.iter().flatten().count() < 5, "{:?}", drawn.pitch_hz);
        for samples in [vec![], vec![0.0; 1000]] {
            let drawn = portrait(&samples, 48_000, Grid { columns: 0, seconds: f64::NAN, bands: 0 });
            assert_eq!((drawn.wave.len(), drawn.spectrum.len()), (1, 1));
            assert!(drawn.pitch_hz[0].is_none() && (drawn.level_db[0] - FLOOR_DB).abs() < 1e-6);
        }
    }
}
