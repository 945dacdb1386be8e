//! What a voice's stroke is like, measured from its buffer.

use super::super::parts::{Part, parts, render_part, render_parts};
use super::super::patch::Patch;
use super::super::portrait::{Grid, portrait};
use super::super::spectrum::Spectrum;
use super::super::voice::{LAYERS, Voicing, render};
use super::{Fact, Facts, RATE, SQUARE};

/// Seconds for which a voice that holds is held.
const HELD: f64 = 2.0;
/// How far below its strongest band, dB, a band still carries sound.
const CARRIES_DB: f64 = -25.0;
/// Columns of the pitch curve.
const COLUMNS: usize = 60;

pub(super) fn measure(patch: &Patch) -> Facts {
    let holds = patch.model.sustains();
    let voicing = Voicing { layer: LAYERS - 1, pitches: &[], variation: 0, rate: RATE, length: holds.then_some(HELD) };
    let samples = render(patch, &voicing);
    let spectrum = Spectrum::of(&samples, RATE);
    let decay_ms = if holds { None } else { Some(fall_ms(&samples, 0.01)) };
    let pitch_hz = pitch_hz(&samples);
    let grit = pitch_hz.and_then(|pitch| grit(&samples, pitch, decay_ms.unwrap_or(1000.0 * HELD)));
    let (has, energy) = (parts(patch), |samples: &[f32]| samples.iter().map(|x| f64::from(x * x)).sum::<f64>());
    let noise = if has.contains(&Part::Noise) { energy(&render_part(patch, &voicing, Part::Noise)) } else { 0.0 };
    let tonal: Vec<Part> = has.into_iter().filter(|part| matches!(part, Part::Body | Part::Tail)).collect();
    let drop = pitch_hz.and_then(|pitch| drop(&render_parts(patch, &voicing, &tonal), pitch));
    let facts = [
        (Fact::Bandwidth, Some(bandwidth_hz(&spectrum))),
        (Fact::Decay, decay_ms),
        (Fact::Pitch, pitch_hz),
        (Fact::Drop, drop.map(|(semitones, _)| semitones)),
        (Fact::Brightness, Some(spectrum.centroid_hz())),
        (Fact::Grit, grit),
        (Fact::Wobble, if holds { wobble_hz(&samples) } else { None }),
        (Fact::Gate, if holds { None } else { gate_ms(&samples) }),
        (Fact::Attack, Some(attack_ms(&samples))),
        (Fact::DropTime, drop.and_then(|(_, time)| time)),
        (Fact::NoiseShare, Some((noise / energy(&samples).max(1e-12)).min(1.0))),
    ];
    facts.into_iter().filter_map(|(fact, value)| Some((fact, value?))).collect()
}

fn ms(frames: usize) -> f64 {
    frames as f64 * 1000.0 / f64::from(RATE)
}

/// The greatest sample and where it is.
fn peak(samples: &[f32]) -> (usize, f32) {
    samples
        .iter()
        .enumerate()
        .fold((0, 0.0), |(at, most), (i, x)| if x.abs() > most { (i, x.abs()) } else { (at, most) })
}

/// From the greatest sample to the last one above `share` of it, ms.
fn fall_ms(samples: &[f32], share: f32) -> f64 {
    let (at, most) = peak(samples);
    let last = samples.iter().rposition(|x| x.abs() > share * most).unwrap_or(at);
    ms(last - at)
}

/// When the sound is cut: it is last heard within 40 dB of its peak, and gone by 60 dB in less than 8 ms.
fn gate_ms(samples: &[f32]) -> Option<f64> {
    let (_, most) = peak(samples);
    let last = |share: f32| samples.iter().rposition(|x| x.abs() > share * most).map_or(0.0, ms);
    let (heard, gone) = (last(0.01), last(0.001));
    (heard > 60.0 && gone - heard < 8.0).then_some(heard)
}

/// The middle of the later half of the pitch curve; `None` if less than half of the stroke has a pitch.
fn pitch_hz(samples: &[f32]) -> Option<f64> {
    let seconds = (ms(peak(samples).0) + fall_ms(samples, 0.03)) / 1000.0;
    let drawn = portrait(samples, RATE, Grid { columns: COLUMNS, seconds: seconds.clamp(0.03, 2.0), bands: 1 });
    let found: Vec<f32> = drawn.pitch_hz.iter().copied().flatten().collect();
    if found.len() * 3 < COLUMNS {
        return None;
    }
    let mut later = found[found.len() / 2..].to_vec();
    later.sort_by(f32::total_cmp);
    later.get(later.len() / 2).map(|&hz| f64::from(hz))
}

fn attack_ms(samples: &[f32]) -> f64 {
    let (_, most) = peak(samples);
    ms(samples.iter().position(|x| x.abs() >= 0.708 * most).unwrap_or(0))
}

/// Drop in semitones and its time in ms, from the half periods of the tonal parts alone: the blow's click is no pitch.
fn drop(body: &[f32], pitch: f64) -> Option<(f64, Option<f64>)> {
    let frames = body.windows(2).enumerate().take(RATE as usize / 2);
    let crossings: Vec<f64> = frames
        .filter(|(_, pair)| (pair[0] < 0.0) != (pair[1] < 0.0))
        .map(|(i, pair)| i as f64 + f64::from(pair[0] / (pair[0] - pair[1])))
        .collect();
    let halves: Vec<(f64, f64)> = crossings
        .windows(2)
        .filter(|pair| pair[1] - pair[0] > 4.0)
        .map(|pair| (0.5 * (pair[0] + pair[1]), (0.5 * f64::from(RATE) / (pair[1] - pair[0])).log2()))
        .collect();
    let &(_, start) = halves.first()?;
    let whole = start - pitch.log2();
    let done = halves.iter().find(|(_, octaves)| (start - octaves) / whole >= 0.9);
    // Less than a semitone is the waveform's own unevenness.
    let time = done.filter(|_| whole.abs() > 1.0 / 12.0).map(|(at, _)| 1000.0 * at / f64::from(RATE));
    Some((12.0 * whole, time))
}

fn bandwidth_hz(spectrum: &Spectrum) -> f64 {
    // Thirds of an octave, from 25 Hz to half the rate.
    let edge = |k: usize| (25.0 * (k as f64 / 3.0).exp2()).min(f64::from(RATE) / 2.0);
    let bands: Vec<f64> = (0..30).map(|k| spectrum.share(edge(k), edge(k + 1))).collect();
    let most = bands.iter().copied().fold(0.0, f64::max);
    let last = bands.iter().rposition(|&band| band > most * 10f64.powf(CARRIES_DB / 10.0)).unwrap_or(0);
    edge(last + 1)
}

fn grit(samples: &[f32], pitch: f64, decay_ms: f64) -> Option<f64> {
    let frames = |ms: f64| (0.001 * ms * f64::from(RATE)) as usize;
    // After the drop, while it is still loud, for at least four periods.
    let from = frames((0.3 * decay_ms).clamp(8.0, 60.0));
    let length = frames((0.5 * decay_ms).max(4000.0 / pitch).min(400.0));
    let part = samples.get(from..(from + length).min(samples.len()))?;
    if (part.len() as f64) < 3.0 * f64::from(RATE) / pitch {
        return None;
    }
    let turn = core::f64::consts::TAU / part.len() as f64;
    let windowed: Vec<f32> =
        part.iter().enumerate().map(|(i, &x)| x * (0.5 - 0.5 * (turn * i as f64).cos()) as f32).collect();
    let spectrum = Spectrum::of(&windowed, RATE);
    let own = spectrum.share(0.5 * pitch, 1.5 * pitch);
    let above = spectrum.share(1.5 * pitch, 0.5 * f64::from(RATE));
    (own > 0.0).then(|| ((above / own).sqrt() / SQUARE).min(1.0))
}

/// The period of the spectrum's middle, by the first high peak of its autocorrelation; `None` if it hardly moves.
fn wobble_hz(samples: &[f32]) -> Option<f64> {
    const FRAME: usize = RATE as usize / 100;
    let middle = |frame: &[f32]| {
        let power: f32 = frame.iter().map(|x| x * x).sum();
        let slope: f32 = frame.windows(2).map(|pair| (pair[1] - pair[0]).powi(2)).sum();
        f64::from(slope / power.max(1e-9)).sqrt().max(1e-6).ln()
    };
    // Two frames each, so that low notes have their period in them; without the blow and the release.
    let curve: Vec<f64> =
        (10..samples.len() / FRAME - 12).map(|i| middle(&samples[i * FRAME..(i + 4) * FRAME])).collect();
    let mean = curve.iter().sum::<f64>() / curve.len().max(1) as f64;
    let power: f64 = curve.iter().map(|x| (x - mean).powi(2)).sum();
    // An octave up and down is a deviation of 0.25 of its logarithm.
    if curve.len() < 60 || (power / curve.len() as f64).sqrt() < 0.12 {
        return None;
    }
    let alike = |lag: usize| {
        let pairs = curve.len() - lag;
        let sum: f64 = (0..pairs).map(|i| (curve[i] - mean) * (curve[i + lag] - mean)).sum();
        sum / power * curve.len() as f64 / pairs as f64
    };
    let most = curve.len() / 2;
    let likeness: Vec<f64> = (0..=most).map(alike).collect();
    let lag = (6..most)
        .find(|&lag| likeness[lag] > 0.6 && likeness[lag] >= likeness[lag - 1] && likeness[lag] > likeness[lag + 1])?;
    Some(100.0 / lag as f64)
}
