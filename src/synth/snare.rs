//! The snare drum, from a crack to a brush.

use super::envelope::{Decay, Fall, attack};
use super::filter::{Biquad, FLAT_DB, band_gain};
use super::membrane::{Band, add_band};
use super::oscillator::Phase;
use super::parameter::parameters;
use super::parts::Part;
use super::voice::Strike;

parameters! {
    /// Two modes of the shell and skin, the wires' noise in two decays, and the crack of the stick.
    Snare = "snare" {
        /// The lower mode, Hz.
        tone_hz: 80.0 to 900.0;
        /// Middle of the wires' noise, Hz.
        noise_hz: 500.0 to 12000.0;
        /// Time of the noise to fall 40 dB, ms; the tone takes two thirds of it.
        decay_ms: 20.0 to 3000.0;
        /// 0 all tone, 1 all noise.
        noise: 0.0 to 1.0;
        /// The stick's crack.
        crack: 0.0 to 1.0, off(0.0);
        /// Time to full level, ms: a brush swells, a stick does not.
        attack_ms: 0.0 to 40.0, off(0.0);
    }
}

impl Snare {
    pub(super) fn render(&self, strike: &Strike) -> Vec<f64> {
        let rate = strike.rate;
        let tone = strike.pitch(self.tone_hz);
        let mut buffer = strike.buffer(self.attack_ms, self.decay_ms);
        let rise = strike.frames(self.attack_ms.max(0.15));
        let tone_ms = 0.66 * self.decay_ms;
        let mut modes = [(1.0, 1.0, 1.0), (1.72, 0.55, 0.7)].map(|(ratio, level, time)| {
            let fall = Fall::new(1.3 * ratio * tone, ratio * tone, 18.0, rate);
            (Phase::default(), fall, Decay::new(tone_ms * time, rate), level)
        });
        let mut noise = strike.noise(1);
        let mut band = Biquad::band_pass(self.noise_hz, 0.6, rate);
        let mut air = Biquad::high_pass(1.4 * self.noise_hz, FLAT_DB, rate);
        let mut rattle = Biquad::high_pass(500.0, FLAT_DB, rate);
        let (mut quick, mut slow) = (Decay::new(0.55 * self.decay_ms, rate), Decay::new(self.decay_ms, rate));
        // The wires answer a hard blow more than a soft one.
        let wires = strike.of(Part::Noise, self.noise * (0.7 + 0.3 * strike.hardness));
        let skin = strike.of(Part::Body, 1.0 - self.noise);
        let gain = 1.1 * band_gain(self.noise_hz, 0.6);
        for (i, sample) in buffer.iter_mut().enumerate() {
            let mut body = 0.0;
            for (phase, fall, decay, level) in &mut modes {
                body += *level * decay.advance() * phase.sine();
                phase.advance((fall.advance() / rate).min(0.45));
            }
            let hiss = noise.advance();
            let hiss = rattle.run(gain * band.run(hiss) + 0.35 * air.run(hiss));
            let fading = 0.55 * quick.advance() + 0.45 * slow.advance();
            *sample = attack(i, rise) * (skin * body + wires * fading * hiss);
        }
        if self.crack > 0.0 && strike.hears(Part::Click) {
            let level = 1.1 * self.crack * strike.transient();
            add_band(&mut buffer, strike, Band { part: 2, hz: 0.8 * self.noise_hz, q: 0.5, level, decay_ms: 9.0 });
        }
        buffer
    }
}
