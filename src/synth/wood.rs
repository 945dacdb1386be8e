//! Struck wood and rims: cross-stick, claves, cascara on a shell.

use super::membrane::{Band, add_band};
use super::oscillator::{Partial, add_partials};
use super::parameter::parameters;
use super::parts::Part;
use super::voice::Strike;

parameters! {
    /// A short bar or shell: a ringing tone with the higher modes of a bar, and the knock of the stick.
    Wood = "wood" {
        /// The tone, Hz.
        tone_hz: 200.0 to 5000.0;
        /// Time to fall 40 dB, ms.
        decay_ms: 8.0 to 600.0;
        /// The higher modes: 0 a pure clave, 1 a hard rim.
        edge: 0.0 to 1.0, off(0.0);
        /// The stick's noise.
        knock: 0.0 to 1.0, off(0.0);
        /// Middle of that noise's band, Hz.
        knock_hz: 300.0 to 9000.0;
    }
}

impl Wood {
    pub(super) fn render(&self, strike: &Strike) -> Vec<f64> {
        let tone = strike.pitch(self.tone_hz);
        let mut buffer = strike.buffer(0.0, self.decay_ms);
        let edge = self.edge * strike.transient();
        // A free bar's modes lie at 1 : 2.756 : 5.404 (Fletcher and Rossing, table 2.2).
        let modes =
            [(1.0, 0.9, 1.0), (1.58, 0.4 * edge, 0.7), (2.756, 0.1 + 0.5 * edge, 0.5), (5.404, 0.35 * edge, 0.3)];
        let mut modes =
            modes.map(|(ratio, level, time)| Partial { hz: tone * ratio, level, decay_ms: self.decay_ms * time });
        for (i, mode) in modes.iter_mut().enumerate() {
            mode.level = strike.of(if i == 0 { Part::Body } else { Part::Overtones }, mode.level);
        }
        add_partials(&mut buffer, &modes, strike.rate);
        if self.knock > 0.0 && strike.hears(Part::Click) {
            let level = self.knock * strike.transient();
            let decay_ms = (0.5 * self.decay_ms).clamp(5.0, 25.0);
            add_band(&mut buffer, strike, Band { part: 1, hz: self.knock_hz, q: 0.9, level, decay_ms });
        }
        buffer
    }
}
