//! Saturation and reduced resolution.

/// A soft clip with slope 1 at zero that reaches exactly ±1, flat, at ±3: x (27 + x²) / (27 + 9 x²), the Padé
/// approximant of the hyperbolic tangent.
pub fn soft(x: f64) -> f64 {
    let x = x.clamp(-3.0, 3.0);
    let q = x * x;
    x * (27.0 + q) / (27.0 + 9.0 * q)
}

/// The gain into the clip for a drive of 0 (clean), 0.3 (warm), 0.6 (audibly clipped) to 0.9 (square-like).
pub fn gain(drive: f64) -> f64 {
    12.0 * drive * drive.sqrt()
}

/// One sample through a drive, held so that full scale stays full scale.
pub fn shape(x: f64, drive: f64) -> f64 {
    let gain = gain(drive);
    if gain < 1e-3 { x } else { soft(gain * x) / soft(gain) }
}

/// Drives a whole buffer, measured against its own peak.
pub fn drive(buffer: &mut [f64], drive: f64) {
    let peak = buffer.iter().fold(0.0_f64, |peak, sample| peak.max(sample.abs()));
    let gain = gain(drive);
    if gain < 1e-3 || peak < 1e-9 {
        return;
    }
    let (into, out) = (gain / peak, 1.0 / soft(gain));
    for sample in buffer {
        *sample = soft(into * *sample) * out;
    }
}

/// Holds each sample to a coarser clock of `hold_hz` and to `bits` (0 leaves either as it is), at full scale 1.
///
/// No interpolation follows: the images above half the clock are the grain one hears.
pub fn coarsen(buffer: &mut [f64], bits: f64, hold_hz: f64, rate: f64) {
    let levels = if bits > 0.0 { (bits - 1.0).exp2() } else { 0.0 };
    let advance = if hold_hz > 0.0 && hold_hz < rate { hold_hz / rate } else { 1.0 };
    let (mut due, mut held) = (1.0, 0.0);
    for sample in buffer {
        if due >= 1.0 {
            due -= 1.0;
            held = if levels > 0.0 { (*sample * levels).round() / levels } else { *sample };
        }
        due += advance;
        *sample = held;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn drive_keeps_full_scale_and_fills_below_it() {
        for drive in [0.0, 0.05, 0.3, 0.6, 0.9, 1.0] {
            assert!((shape(1.0, drive) - 1.0).abs() < 1e-12 && shape(0.0, drive).abs() < 1e-12);
        }
        let halves: Vec<f64> = [0.0, 0.3, 0.6, 0.9].iter().map(|&drive| shape(0.5, drive)).collect();
        assert!(halves.is_sorted() && (halves[0] - 0.5).abs() < 1e-9 && halves[3] > 0.98, "{halves:?}");
    }

    #[test]
    fn coarse_sound_has_few_levels_and_held_samples() {
        let mut buffer: Vec<f64> = (0..96).map(|i| f64::from(i) / 96.0).collect();
        coarsen(&mut buffer, 3.0, 24_000.0, 48_000.0);
        assert!(buffer.chunks(2).all(|pair| (pair[0] - pair[1]).abs() < 1e-12));
        assert!(buffer.iter().all(|sample| (sample * 4.0).fract().abs() < 1e-12));
    }
}
