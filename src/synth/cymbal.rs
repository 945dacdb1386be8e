//! Hi-hats, ride and crash.

use super::envelope::{Decay, attack};
use super::filter::{Biquad, FLAT_DB};
use super::oscillator::{Partial, add_partials};
use super::parameter::parameters;
use super::parts::Part;
use super::voice::Strike;

parameters! {
    /// A plate of bronze: a crowd of inharmonic partials, a wash of noise, and the tap of the stick.
    Cymbal = "cymbal" {
        /// Lower edge, Hz.
        high_pass_hz: 500.0 to 12000.0;
        /// Upper edge, Hz.
        low_pass_hz: 2000.0 to 20000.0;
        /// Time to fall 40 dB, ms.
        decay_ms: 8.0 to 4000.0;
        /// 0 all noise, 1 all partials.
        metal: 0.0 to 1.0;
        /// The lowest partial, Hz.
        metal_hz: 200.0 to 4000.0;
        /// The stick's tap and the bell-like ping under it.
        stick: 0.0 to 1.0, off(0.0);
        /// The ping, Hz.
        stick_hz: 800.0 to 9000.0;
        /// Time to full level, ms: a pedal closes softly, a crash blooms.
        attack_ms: 0.0 to 40.0, off(0.0);
    }
}

/// Ratios of the crowd: spread like the modes of a plate, with no two nearly equal and none in a simple ratio.
const CROWD: [f64; 22] = [
    1.0, 1.342, 1.691, 2.117, 2.476, 2.873, 3.371, 3.789, 4.316, 4.937, 5.432, 6.143, 6.803, 7.517, 8.371, 9.243,
    10.17, 11.31, 12.47, 13.89, 15.37, 17.03,
];

impl Cymbal {
    pub(super) fn render(&self, strike: &Strike) -> Vec<f64> {
        let rate = strike.rate;
        let mut buffer = strike.buffer(self.attack_ms, self.decay_ms);
        // A soft stroke leaves the highest modes asleep.
        let top_hz = self.low_pass_hz * (0.5 + 0.5 * strike.hardness);
        // The filters' response is put on each partial instead of filtering their sum.
        let response = |hz: f64| {
            let (low, high) = ((self.high_pass_hz / hz).powi(2), (hz / top_hz).powi(2));
            1.0 / ((1.0 + low * low).sqrt() * (1.0 + high * high).sqrt())
        };
        let crowd: Vec<Partial> = CROWD
            .iter()
            .enumerate()
            .map(|(i, &ratio)| {
                let hz = self.metal_hz * ratio * strike.shift;
                // Neighbours start in opposite directions, so that the crowd does not add up to a spike.
                let sign = if i % 2 == 0 { 1.0 } else { -1.0 };
                Partial {
                    hz,
                    level: strike.of(Part::Overtones, sign * 0.3 * self.metal * response(hz)),
                    decay_ms: self.decay_ms * (1.05 - 0.02 * ratio),
                }
            })
            .collect();
        add_partials(&mut buffer, &crowd, rate);

        let mut high = Biquad::high_pass(self.high_pass_hz, FLAT_DB, rate);
        let mut edge = Biquad::high_pass(0.6 * self.high_pass_hz, FLAT_DB, rate);
        let mut low = Biquad::low_pass(top_hz, FLAT_DB, rate);
        let mut noise = strike.noise(1);
        let (mut wash, mut contact) =
            (Decay::new(self.decay_ms, rate), Decay::new((0.25 * self.decay_ms).clamp(4.0, 40.0), rate));
        let rise = strike.frames(self.attack_ms);
        let (hiss, tap) = (strike.of(Part::Noise, 1.0 - self.metal), strike.of(Part::Click, 0.5));
        for (i, sample) in buffer.iter_mut().enumerate() {
            let white = noise.advance();
            let band = high.run(edge.run(white));
            let level = hiss * wash.advance() + tap * contact.advance();
            *sample = attack(i, rise) * (*sample + low.run(level * band));
        }
        if self.stick > 0.0 && strike.hears(Part::Click) {
            let level = 0.6 * self.stick * strike.transient();
            let ping = [(1.0, 1.0, 0.35), (1.483, 0.6, 0.28), (2.09, 0.5, 0.2), (2.87, 0.35, 0.12)];
            let ping = ping.map(|(ratio, share, time)| Partial {
                hz: self.stick_hz * ratio * strike.shift,
                level: level * share,
                decay_ms: (self.decay_ms * time).clamp(6.0, 400.0),
            });
            add_partials(&mut buffer, &ping, rate);
        }
        buffer
    }
}
