//! What happens to the whole mix.

use core::f64::consts::TAU;

use super::drive::{gain, soft};
use super::loudness::gain_of_db;
use super::parameter::parameters;
use super::patch::{PatchFault, check_fields};
use super::room::Room;

parameters! {
    /// The figures of a tone besides its room.
    ToneFigures = "tone" {
        /// High-pass of the mix, Hz, 12 dB an octave.
        high_pass_hz: 10.0 to 1000.0;
        /// Low-pass of the mix, Hz, 12 dB an octave.
        low_pass_hz: 500.0 to 20000.0;
        /// Saturation of the mix: 0 clean, 0.3 warm, 0.6 audibly clipped.
        drive: 0.0 to 1.0, off(0.0);
        /// Hiss and crackle, RMS against full scale, dB; -120 for none.
        surface_noise_db: -110.0 to -20.0, off(-120.0);
        /// How much of that is crackle.
        crackle: 0.0 to 1.0, off(0.0);
        /// How far the pitch wanders either way, cents.
        wander_cents: 0.0 to 50.0, off(0.0);
        /// Wanderings in a second.
        wander_hz: 0.0 to 8.0, off(0.0);
        /// How far the kick pushes the other voices down, dB.
        duck_db: 0.0 to 30.0, off(0.0);
        /// Time until they are back, ms.
        duck_ms: 0.0 to 1000.0, off(0.0);
        /// Gain that brings the mix to the common loudness, dB.
        level_db: -30.0 to 30.0;
    }
}

/// What happens to the whole mix: filters, saturation, room, surface noise, wander, ducking, level.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tone {
    /// All but the room.
    pub figures: ToneFigures,
    /// The room.
    pub room: Room,
}

/// Both shapers' curves cover inputs from `-SHAPER_RANGE` to `SHAPER_RANGE`: a gain of 1 / `SHAPER_RANGE` stands before
/// each shaper node, whose input the Web Audio standard holds to -1 to 1.
pub const SHAPER_RANGE: f64 = 2.0;

/// Points of a shaper's curve; odd, so that zero is one of them.
pub const SHAPER_POINTS: usize = 2049;

/// Time of the way down when the kick ducks the other voices, ms: short, but no click.
pub const DUCK_ATTACK_MS: f64 = 4.0;

/// The level, near that of a busy mix, at which saturation neither raises nor lowers the loudness.
const DRIVE_PIVOT: f64 = 0.4;

impl Tone {
    /// Open, dry, level.
    pub const NEUTRAL: Tone = Tone {
        figures: ToneFigures {
            high_pass_hz: 20.0,
            low_pass_hz: 20_000.0,
            drive: 0.0,
            surface_noise_db: -120.0,
            crackle: 0.0,
            wander_cents: 0.0,
            wander_hz: 0.0,
            duck_db: 0.0,
            duck_ms: 0.0,
            level_db: 0.0,
        },
        room: Room { decay_ms: 200.0, wet_percent: 0.0, damping: 0.5, pre_delay_ms: 0.0 },
    };

    /// Whether every figure is in range.
    ///
    /// # Errors
    /// The first that is not.
    pub fn check(&self) -> Result<(), PatchFault> {
        check_fields(ToneFigures::FIELDS, &self.figures.values())?;
        check_fields(Room::FIELDS, &self.room.values())
    }

    /// The curve of the saturation's shaper node (see [`SHAPER_RANGE`]), for oversampling "none".
    pub fn shaper_curve(&self) -> Vec<f32> {
        let gain = 0.5 * gain(self.figures.drive);
        // Without drive the curve is straight.
        let level = if gain > 0.01 { DRIVE_PIVOT / soft(gain * DRIVE_PIVOT) } else { 1.0 };
        curve(|x| if gain > 0.01 { level * soft(gain * x) } else { x })
    }

    /// The gain of the common level.
    pub fn level_gain(&self) -> f64 {
        gain_of_db(self.figures.level_db)
    }

    /// The wander at `seconds` of the song, cents: a source takes the value of its start.
    pub fn wander_cents_at(&self, seconds: f64) -> f64 {
        self.figures.wander_cents * (TAU * self.figures.wander_hz * seconds).sin()
    }

    /// The gain of the other voices `ms` after a kick: down in a straight line over [`DUCK_ATTACK_MS`], back in a
    /// straight line over `duck_ms`. Live it is two linear ramps of one gain.
    pub fn duck_gain(&self, ms: f64) -> f64 {
        let depth = 1.0 - gain_of_db(-self.figures.duck_db);
        if ms < 0.0 {
            1.0
        } else if ms < DUCK_ATTACK_MS {
            1.0 - depth * ms / DUCK_ATTACK_MS
        } else {
            1.0 - depth * (1.0 - (ms - DUCK_ATTACK_MS) / self.figures.duck_ms.max(1e-3)).max(0.0)
        }
    }
}

/// The curve of the last shaper node: straight up to 0.6, then bending so that nothing exceeds 0.98.
pub fn soft_clip_curve() -> Vec<f32> {
    const KNEE: f64 = 0.6;
    const MOST: f64 = 0.98;
    curve(|x| {
        let over = x.abs() - KNEE;
        // From the knee (slope 1) the bend is flat at three times the remaining room.
        if over <= 0.0 { x } else { x.signum() * (KNEE + (MOST - KNEE) * soft(over / (MOST - KNEE))) }
    })
}

fn curve(shape: impl Fn(f64) -> f64) -> Vec<f32> {
    let middle = (SHAPER_POINTS / 2) as f64;
    (0..SHAPER_POINTS).map(|i| shape(SHAPER_RANGE * (i as f64 - middle) / middle) as f32).collect()
}

/// One sample through a gain of 1 / [`SHAPER_RANGE`] and a shaper node with `curve`: the straight-line interpolation of
/// the Web Audio standard, inputs beyond the ends held there.
pub fn through_shaper(curve: &[f32], x: f64) -> f64 {
    let last = (curve.len() - 1) as f64;
    let v = (0.5 * last * (x / SHAPER_RANGE + 1.0)).clamp(0.0, last);
    let k = (v as usize).min(curve.len() - 2);
    let f = v - k as f64;
    (1.0 - f) * f64::from(curve[k]) + f * f64::from(curve[k + 1])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shapers_rise_and_stay_in_bounds() {
        let mut driven = Tone::NEUTRAL;
        driven.figures.drive = 0.4;
        for curve in [Tone::NEUTRAL.shaper_curve(), driven.shaper_curve(), soft_clip_curve()] {
            assert!(curve.is_sorted() && curve.len() == SHAPER_POINTS && curve[SHAPER_POINTS / 2].abs() < 1e-9);
        }
        assert!(soft_clip_curve().iter().all(|y| y.abs() <= 0.981));
        assert!((through_shaper(&Tone::NEUTRAL.shaper_curve(), 0.3) - 0.3).abs() < 1e-6);
        assert!((through_shaper(&soft_clip_curve(), 0.5) - 0.5).abs() < 1e-6);
        assert!((through_shaper(&driven.shaper_curve(), 0.4) - 0.4).abs() < 1e-3);
        assert!(through_shaper(&soft_clip_curve(), 9.0) < 0.981);
    }

    #[test]
    fn ducking_goes_down_fast_and_comes_back() {
        let mut tone = Tone::NEUTRAL;
        (tone.figures.duck_db, tone.figures.duck_ms) = (6.0, 100.0);
        for (ms, gain) in [(-1.0, 1.0), (0.0, 1.0), (4.0, 0.501), (54.0, 0.751), (104.0, 1.0), (500.0, 1.0)] {
            assert!((tone.duck_gain(ms) - gain).abs() < 2e-3, "{ms}: {}", tone.duck_gain(ms));
        }
    }
}
