//! Plucked and struck strings: upright and electric bass, guitars, piano.

use core::f64::consts::PI;

use super::envelope::attack;
use super::membrane::{Band, add_band};
use super::oscillator::{Partial, add_partials};
use super::parameter::parameters;
use super::parts::Part;
use super::voice::Strike;

parameters! {
    /// A string: harmonics set by the place of the pluck, dimmed above a cut-off, the higher ones dying sooner.
    PluckedString = "string" {
        /// The note where a stroke gives none (MIDI-like number).
        own_note: 20.0 to 90.0;
        /// Time of the lowest harmonic to fall 40 dB at 110 Hz, ms; higher notes die sooner.
        decay_ms: 30.0 to 6000.0;
        /// Where along the string it is plucked: 0.5 the middle (mellow), 0.05 near the bridge (thin).
        pluck: 0.03 to 0.5;
        /// Above this the harmonics are dimmed, Hz.
        bright_hz: 100.0 to 12000.0;
        /// How much sooner higher harmonics die.
        damping: 0.0 to 1.0, off(0.0);
        /// Stretch of the harmonics: n * sqrt(1 + stiffness * n * n).
        stiffness: 0.0 to 0.01, off(0.0);
        /// Noise of finger, pick or hammer.
        finger: 0.0 to 1.0, off(0.0);
        /// Middle of that noise's band, Hz.
        finger_hz: 200.0 to 9000.0;
        /// Time to full level, ms.
        attack_ms: 0.0 to 60.0, off(0.0);
        /// A second string, this far away, cents.
        detune_cents: 0.0 to 30.0, off(0.0);
    }
}

/// Most harmonics of a string.
const MOST: u32 = 28;

impl PluckedString {
    pub(super) fn render(&self, strike: &Strike) -> Vec<f64> {
        let rate = strike.rate;
        let mut buffer = strike.buffer(self.attack_ms, self.decay_ms);
        let mut partials = Vec::new();
        let bright = self.bright_hz * (1.2 * strike.hardness - 1.2).exp2();
        let doubled = self.detune_cents > 0.0;
        for hz in strike.notes(self.own_note) {
            let decay = self.decay_ms * (110.0 / hz).sqrt().clamp(0.35, 1.3);
            for n in 1..=MOST {
                let n = f64::from(n);
                let harmonic = hz * n * (1.0 + self.stiffness * n * n).sqrt();
                let dim = (harmonic / bright).powi(2);
                let level = (PI * n * self.pluck).sin() / (n * (1.0 + dim * dim).sqrt().sqrt());
                if level.abs() < 6e-4 {
                    continue;
                }
                let level = strike.of(if n < 2.0 { Part::Body } else { Part::Overtones }, level);
                let decay_ms = decay / (1.0 + self.damping * 0.5 * (n - 1.0));
                let level = if doubled { 0.6 * level } else { level };
                partials.push(Partial { hz: harmonic, level, decay_ms });
                if doubled && n < 13.0 {
                    let apart = super::oscillator::cents_ratio(self.detune_cents);
                    partials.push(Partial { hz: harmonic * apart, level: 0.8 * level, decay_ms: 0.9 * decay_ms });
                }
            }
        }
        add_partials(&mut buffer, &partials, rate);
        let rise = strike.frames(self.attack_ms.max(0.3));
        for (i, sample) in buffer.iter_mut().take(rise).enumerate() {
            *sample *= attack(i, rise);
        }
        if self.finger > 0.0 && strike.hears(Part::Click) {
            let level = 0.5 * self.finger * strike.transient();
            add_band(&mut buffer, strike, Band { part: 1, hz: self.finger_hz, q: 0.9, level, decay_ms: 16.0 });
        }
        buffer
    }
}
