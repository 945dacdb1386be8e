//! What a tone does, measured through the reference bus.

use super::super::bus::{BusEvent, mix};
use super::super::room;
use super::super::spectrum::Spectrum;
use super::super::tone::Tone;
use super::{Fact, Facts, RATE};

/// Frames of the click's answer: 6 Hz a bin.
const ANSWER: usize = 8192;

pub(super) fn measure(tone: &Tone) -> Facts {
    let figures = [
        Some((Fact::Bandwidth, bandwidth_hz(tone))),
        Some((Fact::NoiseFloor, noise_floor_db(tone))),
        room_ms(tone).map(|ms| (Fact::Room, ms)),
    ];
    figures.into_iter().flatten().collect()
}

fn bandwidth_hz(tone: &Tone) -> f64 {
    // The room and the surface would be measured with it.
    let mut bare = *tone;
    bare.room.wet_percent = 0.0;
    bare.figures.surface_noise_db = -120.0;
    let mut click = vec![0.0; 32];
    click[0] = 0.05;
    let [left, _] = mix(&[BusEvent { kick: true, ..BusEvent::plain(64, &click, 1.0) }], &bare, ANSWER, RATE);
    let spectrum = Spectrum::of(&left, RATE);
    let most = spectrum.powers.iter().copied().fold(0.0, f64::max);
    let last = spectrum.powers.iter().rposition(|&power| power > 0.5 * most).unwrap_or(0);
    last as f64 * spectrum.bin_hz
}

fn noise_floor_db(tone: &Tone) -> f64 {
    let [left, _] = mix(&[], tone, 2 * RATE as usize, RATE);
    let power: f64 = left.iter().map(|&x| f64::from(x) * f64::from(x)).sum::<f64>() / left.len() as f64;
    (10.0 * power.max(1e-12).log10()).max(-120.0)
}

fn room_ms(tone: &Tone) -> Option<f64> {
    if tone.room.wet_percent <= 0.0 {
        return None;
    }
    let [left, _] = room::impulse(&tone.room, RATE);
    let mut left_over: Vec<f64> = left.iter().map(|&x| f64::from(x) * f64::from(x)).collect();
    for i in (1..left_over.len()).rev() {
        left_over[i - 1] += left_over[i];
    }
    let whole = left_over.first().copied()?;
    let when = |db: f64| left_over.iter().position(|&rest| rest < whole * 10f64.powf(db / 10.0));
    let (early, late) = (when(-5.0)?, when(-35.0)?);
    Some(2.0 * (late - early) as f64 * 1000.0 / f64::from(RATE))
}
