//! A squeak of two pitches, as of a rubbed stick in a drum or a bed spring.

use super::envelope::{Decay, Fall, attack};
use super::filter::Biquad;
use super::oscillator::{Phase, harmonics};
use super::parameter::parameters;
use super::parts::Part;
use super::voice::Strike;

parameters! {
    /// A bright tone gliding from one pitch to another, with the breath of rubbing.
    Squeak = "squeak" {
        /// First pitch, Hz.
        start_hz: 150.0 to 4000.0;
        /// Last pitch, Hz.
        end_hz: 150.0 to 4000.0;
        /// Time of the glide, ms.
        glide_ms: 5.0 to 600.0;
        /// Time to fall 40 dB after the glide, ms.
        decay_ms: 15.0 to 1000.0;
        /// Noise of rubbing.
        breath: 0.0 to 1.0, off(0.0);
    }
}

impl Squeak {
    pub(super) fn render(&self, strike: &Strike) -> Vec<f64> {
        let rate = strike.rate;
        let end = strike.pitch(self.end_hz);
        let start = end * self.start_hz / self.end_hz;
        let glide = 0.5 * self.glide_ms;
        let mut buffer = strike.buffer(glide, self.decay_ms);
        let hold = strike.frames(glide);
        let rise = strike.frames(3.0);
        let (mut phase, mut fall) = (Phase::default(), Fall::new(start, end, self.glide_ms, rate));
        let mut decay = Decay::new(self.decay_ms, rate);
        let (tone, rub) = (strike.of(Part::Body, 1.0), strike.of(Part::Noise, self.breath));
        let mut noise = strike.noise(1);
        let mut band = Biquad::band_pass(2.0 * end, 1.5, rate);
        for (i, sample) in buffer.iter_mut().enumerate() {
            let level = attack(i, rise) * if i < hold { 1.0 } else { decay.advance() };
            let most = if 3.0 * end < 0.4 * rate { 3 } else { 1 };
            let rub = rub * band.run(noise.advance());
            let tone = tone * (phase.sine() + 0.6 * strike.transient() * harmonics(phase, most));
            *sample = level * (tone + rub);
            phase.advance((fall.advance() / rate).min(0.45));
        }
        buffer
    }
}
