//! The room: a stereo impulse response rendered from a few figures.

use super::envelope::{Decay, frames};
use super::filter::{Biquad, FLAT_DB, Split};
use super::noise::Noise;
use super::parameter::parameters;

parameters! {
    /// A room as one hears it.
    Room = "room" {
        /// Reverberation time: 60 dB, ms.
        decay_ms: 50.0 to 5000.0;
        /// Level of the room beside the dry sound, percent.
        wet_percent: 0.0 to 100.0;
        /// How much sooner the highs die: 0 tiles, 1 curtains.
        damping: 0.0 to 1.0;
        /// Time before the room answers, ms.
        pre_delay_ms: 0.0 to 100.0, off(0.0);
    }
}

impl Room {
    /// How long its answer lasts after the pre-delay, ms.
    fn tail_ms(&self) -> f64 {
        1.1 * self.decay_ms.min(5000.0)
    }

    /// How long its answer to a click lasts, seconds.
    pub fn seconds(&self) -> f64 {
        0.001 * (self.pre_delay_ms + self.tail_ms())
    }
}

/// First reflections: time after the pre-delay in ms, level, and level on the other side.
const REFLECTIONS: [(f64, f64, f64); 6] =
    [(3.1, 0.8, 0.4), (7.9, -0.6, -0.7), (12.7, 0.5, 0.3), (17.3, 0.3, -0.5), (23.9, -0.35, 0.3), (31.7, 0.2, 0.28)];

/// The impulse response of `room` at `rate`, left and right.
///
/// Exponentially dying noise, whose highs die sooner, after a few early reflections, without its deepest part. White
/// noise keeps its level through it; so set the convolver node's `normalize` to false, and the wet gain to
/// `wet_percent / 100`.
pub fn impulse(room: &Room, rate: u32) -> [Vec<f32>; 2] {
    [side(room, f64::from(rate), 0), side(room, f64::from(rate), 1)]
}

fn side(room: &Room, rate: f64, side: u32) -> Vec<f32> {
    let pre = frames(room.pre_delay_ms, rate);
    let tail = frames(room.tail_ms(), rate).max(64);
    let mut noise = Noise::new(4001 + 61 * side, rate);
    let mut split = Split::new(2200.0, rate);
    // Decay counts 40 dB, reverberation 60.
    let lows_ms = room.decay_ms / 1.5;
    let (mut lows, mut highs) = (Decay::new(lows_ms, rate), Decay::new(lows_ms * (1.0 - 0.75 * room.damping), rate));
    let mut gathering = Decay::new(0.12 * room.decay_ms, rate);
    let high_level = 1.0 - 0.6 * room.damping;
    let mut buffer: Vec<f64> = (0..tail)
        .map(|_| {
            let (low, high) = split.run(noise.advance());
            (1.0 - 0.8 * gathering.advance()) * (1.6 * lows.advance() * low + high_level * highs.advance() * high)
        })
        .collect();
    // Reflections as strong as ten milliseconds of the tail, whatever the rate.
    let strength = 0.5 * (0.010 * rate).sqrt();
    for (ms, near, far) in REFLECTIONS {
        if let Some(sample) = buffer.get_mut(frames(if side == 0 { ms } else { ms * 1.07 }, rate)) {
            *sample += strength * if side == 0 { near } else { far };
        }
    }
    Biquad::high_pass(180.0, FLAT_DB, rate).run_all(&mut buffer);
    Biquad::low_pass(14_000.0 - 9_000.0 * room.damping, FLAT_DB, rate).run_all(&mut buffer);
    let fade = frames(20.0, rate).min(tail / 4);
    super::envelope::taper(&mut buffer, fade);
    let energy: f64 = buffer.iter().map(|x| x * x).sum();
    // The noise is drawn at 48 kHz: above, its power lies below 24 kHz and counts the more there.
    let gain = (48_000.0 / rate).min(1.0).sqrt() / energy.max(1e-12).sqrt();
    let silence = core::iter::repeat_n(0.0, pre);
    silence.chain(buffer.iter().map(|x| (x * gain) as f32)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Time from the start of the tail in which the energy left falls from 5 to 35 dB, doubled: T60 by ISO 3382.
    fn reverberation_ms(impulse: &[f32], rate: f64) -> f64 {
        let total: f64 = impulse.iter().map(|x| f64::from(*x).powi(2)).sum();
        let mut left = total;
        let mut times = Vec::new();
        for (i, x) in impulse.iter().enumerate() {
            left -= f64::from(*x).powi(2);
            times.push((i, 10.0 * (left.max(1e-30) / total).log10()));
        }
        let at = |db: f64| times.iter().find(|(_, level)| *level < db).map_or(0, |(i, _)| *i) as f64;
        2000.0 * (at(-35.0) - at(-5.0)) / rate
    }

    #[test]
    fn a_room_lasts_as_long_as_it_says() {
        for (decay_ms, rate) in [(150.0, 48_000), (600.0, 44_100), (1800.0, 48_000), (600.0, 96_000)] {
            let room = Room { decay_ms, wet_percent: 10.0, damping: 0.3, pre_delay_ms: 10.0 };
            let [left, right] = impulse(&room, rate);
            let found = reverberation_ms(&left, f64::from(rate));
            assert!((0.75..1.15).contains(&(found / decay_ms)), "{decay_ms}: {found}");
            assert!(left.iter().take(400).all(|x| x.abs() < 1e-9) && left != right);
            let energy: f64 = right.iter().map(|x| f64::from(*x).powi(2)).sum();
            assert!((energy - (48_000.0 / f64::from(rate)).min(1.0)).abs() < 1e-3, "{energy}");
        }
    }
}
