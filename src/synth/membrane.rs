//! Struck skins: bass drums, toms, surdos, congas, small frame drums.

use super::envelope::{Decay, Fall, attack};
use super::filter::{Biquad, band_gain};
use super::oscillator::{Partial, Phase, add_partials, harmonics};
use super::parameter::parameters;
use super::parts::Part;
use super::voice::Strike;

parameters! {
    /// A skin: a tone whose pitch falls from the blow to its rest, higher modes of the skin, the noise of stick, beater
    /// or hand, and a click. A stroke's own pitch moves the whole drum.
    Membrane = "membrane" {
        /// Pitch at rest, Hz.
        pitch_hz: 20.0 to 2000.0;
        /// Pitch at the blow, Hz.
        start_hz: 20.0 to 4000.0;
        /// Time of the fall, ms.
        drop_ms: 0.0 to 500.0, off(0.0);
        /// Time to fall 40 dB, ms.
        decay_ms: 10.0 to 4000.0;
        /// The higher modes of the skin, inharmonic and short.
        overtones: 0.0 to 1.0, off(0.0);
        /// Soft harmonics of the tone, which carry a deep drum to small loudspeakers.
        presence: 0.0 to 1.0, off(0.0);
        /// The click of beater or stick, a few milliseconds.
        click: 0.0 to 1.0, off(0.0);
        /// Middle of the click's band, Hz.
        click_hz: 300.0 to 12000.0;
        /// Noise of skin or hand, dying with the drum.
        skin: 0.0 to 1.0, off(0.0);
        /// Middle of that noise's band, Hz.
        skin_hz: 100.0 to 12000.0;
    }
}

/// The first modes of an ideal circular membrane above its lowest (N. H. Fletcher and T. D. Rossing, "The Physics of
/// Musical Instruments", table 3.1), with levels and the share of the tone's decay.
const MODES: [(f64, f64, f64); 5] =
    [(1.594, 0.5, 0.5), (2.136, 0.36, 0.4), (2.296, 0.28, 0.36), (2.653, 0.22, 0.3), (2.918, 0.16, 0.26)];

impl Membrane {
    pub(super) fn render(&self, strike: &Strike) -> Vec<f64> {
        let rate = strike.rate;
        let pitch = strike.pitch(self.pitch_hz);
        // A soft blow stretches the skin less.
        let start = pitch * (self.start_hz / self.pitch_hz).powf(0.7 + 0.3 * strike.hardness);
        let mut buffer = strike.buffer(0.0, self.decay_ms);
        let (mut phase, mut fall) = (Phase::default(), Fall::new(start, pitch, self.drop_ms, rate));
        let mut decay = Decay::new(self.decay_ms, rate);
        let presence = self.presence * strike.transient();
        let mut tone = self.falling(strike);
        for sample in &mut buffer {
            let (level, heard) = (decay.advance(), tone.advance());
            let rich = if presence > 0.0 { presence * level * harmonics(phase, 8) } else { 0.0 };
            *sample = heard * level * (phase.sine() + rich);
            phase.advance((fall.advance() / rate).min(0.45));
        }
        if self.overtones > 0.0 && strike.hears(Part::Overtones) {
            let level = self.overtones * strike.transient();
            let mode = |(ratio, share, time): (f64, f64, f64)| Partial {
                hz: pitch * ratio,
                level: level * share,
                decay_ms: self.decay_ms * time,
            };
            add_partials(&mut buffer, &MODES.map(mode), rate);
        }
        if self.skin > 0.0 && strike.hears(Part::Noise) {
            let time = (0.35 * self.decay_ms).max(12.0);
            add_band(&mut buffer, strike, Band { part: 1, hz: self.skin_hz, q: 0.8, level: self.skin, decay_ms: time });
        }
        if self.click > 0.0 && strike.hears(Part::Click) {
            let level = 1.2 * self.click * strike.transient();
            add_band(&mut buffer, strike, Band { part: 2, hz: self.click_hz, q: 0.7, level, decay_ms: 6.0 });
        }
        buffer
    }
}

impl Membrane {
    /// Whether the fall of the pitch is long and deep enough to be heard as a body before the tail.
    pub(super) fn has_tail(&self) -> bool {
        self.drop_ms >= 10.0 && self.start_hz > 1.2 * self.pitch_hz
    }

    fn falling(&self, strike: &Strike) -> Crossing {
        Crossing::new(if self.has_tail() { self.drop_ms } else { 0.0 }, strike)
    }
}

/// How much of a falling tone is heard: its body, while the pitch falls, gives way to its tail.
pub(super) struct Crossing {
    body: Decay,
    shares: [f64; 2],
}

impl Crossing {
    /// The body gives way in about `ms`; 0 for a tone that is all body.
    pub(super) fn new(ms: f64, strike: &Strike) -> Crossing {
        let shares = [strike.of(Part::Body, 1.0), strike.of(Part::Tail, 1.0)];
        // All of a whole is exactly 1.
        let shares = if ms > 0.0 { shares } else { [shares[0]; 2] };
        Crossing { body: Decay::new(4.0 * ms, strike.rate), shares }
    }

    /// The share heard in this frame; moves to the next.
    pub(super) fn advance(&mut self) -> f64 {
        let [body, tail] = self.shares;
        tail + self.body.advance() * (body - tail)
    }
}

/// A burst of noise in a band.
pub(super) struct Band {
    /// Which noise of the voice.
    pub part: u32,
    /// Middle, Hz.
    pub hz: f64,
    /// Quality of the band-pass.
    pub q: f64,
    /// Level beside a full-scale sine.
    pub level: f64,
    /// Time to fall 40 dB, ms.
    pub decay_ms: f64,
}

/// Adds a burst of noise at the start of `buffer`.
pub(super) fn add_band(buffer: &mut [f64], strike: &Strike, band: Band) {
    let mut noise = strike.noise(band.part);
    let mut filter = Biquad::band_pass(band.hz, band.q, strike.rate);
    let mut decay = Decay::new(band.decay_ms, strike.rate);
    let gain = band.level * band_gain(band.hz, band.q);
    let frames = strike.frames(2.5 * band.decay_ms).min(buffer.len());
    let rise = strike.frames(0.1);
    for (i, sample) in buffer[..frames].iter_mut().enumerate() {
        *sample += gain * decay.advance() * attack(i, rise) * filter.run(noise.advance());
    }
}
