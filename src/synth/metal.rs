//! Bells: cowbell, agogô, hand bell, iron.

use super::membrane::{Band, add_band};
use super::oscillator::{Partial, add_partials};
use super::parameter::parameters;
use super::parts::Part;
use super::voice::Strike;

parameters! {
    /// A bell of two strong inharmonic partials with weaker ones above, and the stick's clang.
    Bell = "bell" {
        /// The lower strong partial, Hz.
        low_hz: 200.0 to 4000.0;
        /// The higher strong partial, Hz.
        high_hz: 200.0 to 6000.0;
        /// Time to fall 40 dB, ms.
        decay_ms: 15.0 to 3000.0;
        /// The stick's clang: noise and high partials, a few milliseconds.
        clang: 0.0 to 1.0, off(0.0);
    }
}

impl Bell {
    pub(super) fn render(&self, strike: &Strike) -> Vec<f64> {
        let low = strike.pitch(self.low_hz);
        let high = low * self.high_hz / self.low_hz;
        let mut buffer = strike.buffer(0.0, self.decay_ms);
        let clang = self.clang * strike.transient();
        let partials = [
            (low, 0.7, 1.0),
            (high, 0.6, 0.85),
            (2.004 * low, 0.12 + 0.2 * clang, 0.5),
            (3.01 * low, 0.08 + 0.3 * clang, 0.35),
            (1.97 * high, 0.05 + 0.25 * clang, 0.3),
            (3.55 * high, 0.25 * clang, 0.2),
        ];
        let mut partials = partials.map(|(hz, level, time)| Partial { hz, level, decay_ms: self.decay_ms * time });
        for (i, partial) in partials.iter_mut().enumerate() {
            partial.level = strike.of(if i < 2 { Part::Body } else { Part::Overtones }, partial.level);
        }
        add_partials(&mut buffer, &partials, strike.rate);
        if clang > 0.0 && strike.hears(Part::Click) {
            add_band(&mut buffer, strike, Band { part: 1, hz: 4.0 * high, q: 0.8, level: 0.7 * clang, decay_ms: 7.0 });
        }
        buffer
    }
}
