//! What a tone does, measured through the reference bus.

use core::f64::consts::TAU;

use super::super::bus::{BusEvent, mix};
use super::super::spectrum::Spectrum;
use super::super::tone::Tone;
use super::{Fact, Facts, RATE, SQUARE};

/// Frames of the click's answer: 6 Hz a bin.
const ANSWER: usize = 8192;

/// Height of the click: so small that the drive is straight.
const CLICK: f32 = 0.002;

pub(super) fn measure(tone: &Tone) -> Facts {
    let noise = noise_floor_db(tone);
    // Neither surface nor level nor wander belongs to the rest.
    let mut tone = *tone;
    (tone.figures.surface_noise_db, tone.figures.level_db, tone.figures.wander_cents) = (-120.0, 0.0, 0.0);
    let mut bare = tone;
    bare.room.wet_percent = 0.0;
    let figures = [
        Some((Fact::Bandwidth, bandwidth_hz(&bare))),
        Some((Fact::NoiseFloor, noise)),
        room_ms(&tone, &bare).map(|ms| (Fact::Room, ms)),
        Some((Fact::Grit, grit(&bare))),
        Some((Fact::Ducking, ducking_db(&bare))),
    ];
    figures.into_iter().flatten().collect()
}

fn answer(tone: &Tone, frames: usize) -> Vec<f32> {
    let [left, _] = mix(&[BusEvent { kick: true, ..BusEvent::plain(0, &[CLICK], 1.0) }], tone, frames, RATE);
    left
}

fn energy(samples: &[f32]) -> f64 {
    samples.iter().map(|&x| f64::from(x) * f64::from(x)).sum()
}

fn bandwidth_hz(bare: &Tone) -> f64 {
    let spectrum = Spectrum::of(&answer(bare, ANSWER), RATE);
    let most = spectrum.powers.iter().copied().fold(0.0, f64::max);
    let last = spectrum.powers.iter().rposition(|&power| power > 0.5 * most).unwrap_or(0);
    last as f64 * spectrum.bin_hz
}

fn noise_floor_db(tone: &Tone) -> f64 {
    let [left, _] = mix(&[], tone, 5 * RATE as usize, RATE);
    (10.0 * (energy(&left) / left.len() as f64).max(1e-12).log10()).max(-120.0)
}

fn room_ms(tone: &Tone, bare: &Tone) -> Option<f64> {
    if tone.room.wet_percent <= 0.0 {
        return None;
    }
    let frames = 6 * RATE as usize;
    let (wet, dry) = (answer(tone, frames), answer(bare, frames));
    let mut rest: Vec<f64> = wet.iter().zip(&dry).map(|(wet, dry)| f64::from(wet - dry).powi(2)).collect();
    for i in (1..rest.len()).rev() {
        rest[i - 1] += rest[i];
    }
    let whole = rest.first().copied().filter(|whole| *whole > 0.0)?;
    let when = |db: f64| rest.iter().position(|&rest| rest < whole * 10f64.powf(db / 10.0));
    let (early, late) = (when(-5.0)?, when(-35.0)?);
    Some(2.0 * (late - early) as f64 * 1000.0 / f64::from(RATE))
}

fn sine(hz: f64, level: f64, frames: usize) -> Vec<f32> {
    (0..frames).map(|i| (level * (TAU * hz * i as f64 / f64::from(RATE)).sin()) as f32).collect()
}

fn ducking_db(bare: &Tone) -> f64 {
    // Two milliseconds hold two periods.
    const SPAN: usize = 96;
    let (kick, frames) = (SPAN * 100, SPAN * 400);
    let steady = sine(1000.0, 0.01, frames);
    let blow = BusEvent { kick: true, ..BusEvent::plain(kick as i64, &[0.0], 1.0) };
    let [left, _] = mix(&[BusEvent::plain(0, &steady, 1.0), blow], bare, frames, RATE);
    let energies: Vec<f64> = left.chunks(SPAN).map(energy).collect();
    let (before, after) = energies.split_at(99);
    let least = after.iter().copied().fold(f64::INFINITY, f64::min).max(1e-12);
    let steady = before.last().copied().unwrap_or(least);
    (10.0 * (steady / least).log10()).max(0.0)
}

fn grit(bare: &Tone) -> f64 {
    // Of the drive, not of the filters before it.
    let mut bare = *bare;
    (bare.figures.high_pass_hz, bare.figures.low_pass_hz) = (10.0, 20_000.0);
    // Whole periods in a power of two of frames, after the filters have settled.
    const FRAMES: usize = 1 << 15;
    let hz = 68.0 * f64::from(RATE) / FRAMES as f64;
    let [left, _] = mix(&[BusEvent::plain(0, &sine(hz, 0.4, 2 * FRAMES), 1.0)], &bare, 2 * FRAMES, RATE);
    let spectrum = Spectrum::of(&left[FRAMES..], RATE);
    let (own, above) = (spectrum.share(0.5 * hz, 1.5 * hz), spectrum.share(1.5 * hz, 0.5 * f64::from(RATE)));
    if own > 0.0 { ((above / own).sqrt() / SQUARE).min(1.0) } else { 0.0 }
}
