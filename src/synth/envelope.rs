//! Shapes in time: exponential decay, attack, pitch fall, and the smooth ending every buffer has.

use core::f64::consts::PI;

/// Whole frames in `ms` milliseconds at `rate`.
pub fn frames(ms: f64, rate: f64) -> usize {
    (ms.max(0.0) * 0.001 * rate).round() as usize
}

/// An exponential fall from 1, by a constant factor a frame.
#[derive(Clone, Copy, Debug)]
pub struct Decay {
    level: f64,
    factor: f64,
}

impl Decay {
    /// Falls 40 dB in `ms`, counted at `rate`; 0 ms holds at 1.
    pub fn new(ms: f64, rate: f64) -> Decay {
        let factor = if ms > 0.0 { 10f64.powf(-2.0 / (ms * 0.001 * rate).max(1.0)) } else { 1.0 };
        Decay { level: 1.0, factor }
    }

    /// The level of this frame; moves to the next.
    pub fn advance(&mut self) -> f64 {
        let level = self.level;
        self.level *= self.factor;
        level
    }

    /// Starts again from 1.
    pub fn strike(&mut self) {
        self.level = 1.0;
    }
}

/// A pitch that falls (or rises) exponentially from one frequency to another.
#[derive(Clone, Copy, Debug)]
pub struct Fall {
    end: f64,
    above: f64,
    factor: f64,
}

impl Fall {
    /// From `start_hz` to `end_hz`; after `ms` 95 % of the way is done (three time constants).
    pub fn new(start_hz: f64, end_hz: f64, ms: f64, rate: f64) -> Fall {
        let factor = if ms > 0.0 { (-3.0 / (ms * 0.001 * rate).max(1.0)).exp() } else { 0.0 };
        Fall { end: end_hz, above: start_hz - end_hz, factor }
    }

    /// The frequency of this frame, Hz; moves to the next.
    pub fn advance(&mut self) -> f64 {
        let hz = self.end + self.above;
        self.above *= self.factor;
        hz
    }
}

/// The level at frame `i` of a linear attack over `frames` frames; frame 0 already sounds.
pub fn attack(i: usize, frames: usize) -> f64 {
    if i >= frames { 1.0 } else { (i + 1) as f64 / (frames + 1) as f64 }
}

/// Fades the last `frames` of `buffer` to zero along half a cosine.
pub fn taper(buffer: &mut [f64], frames: usize) {
    let frames = frames.min(buffer.len());
    let start = buffer.len() - frames;
    for (i, sample) in buffer[start..].iter_mut().enumerate() {
        *sample *= 0.5 + 0.5 * (PI * (i + 1) as f64 / frames as f64).cos();
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_decay_falls_forty_decibels_in_its_time() {
        for rate in [8_000.0, 48_000.0, 192_000.0] {
            let mut decay = Decay::new(200.0, rate);
            let last = (0..=frames(200.0, rate)).map(|_| decay.advance()).last().unwrap();
            assert!((last - 0.01).abs() < 1e-9, "{last}");
        }
        assert!((Decay::new(0.0, 48_000.0).advance() - 1.0).abs() < 1e-12);
    }

    #[test]
    fn a_fall_does_most_of_its_way_in_its_time() {
        let mut fall = Fall::new(150.0, 50.0, 40.0, 48_000.0);
        let hz: Vec<f64> = (0..=1920).map(|_| fall.advance()).collect();
        assert!((hz[0] - 150.0).abs() < 1e-9 && (hz[1920] - 54.98).abs() < 0.01, "{}", hz[1920]);
    }

    #[test]
    fn a_taper_ends_at_zero() {
        let mut buffer = vec![1.0; 100];
        taper(&mut buffer, 10);
        assert!((buffer[89] - 1.0).abs() < 1e-12 && buffer[99].abs() < 1e-12 && buffer[95] < buffer[94]);
    }
}
