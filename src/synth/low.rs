//! Deep tuned voices: the sub bass with its growls, and the plucked, log-like bass drum.

use core::f64::consts::TAU;

use super::envelope::{Decay, Fall, attack};
use super::filter::{Biquad, FLAT_DB, Sweep};
use super::membrane::{Band, add_band};
use super::oscillator::{Phase, cents_ratio, harmonics};
use super::parameter::parameters;
use super::parts::Part;
use super::voice::Strike;

parameters! {
    /// A deep sine, with harmonics for small loudspeakers and, for growling basses, two detuned saws through a low-pass
    /// that may wobble.
    Sub = "sub" {
        /// The pitch where a stroke gives none, Hz.
        pitch_hz: 20.0 to 400.0;
        /// Time to full level, ms.
        attack_ms: 0.0 to 200.0, off(0.0);
        /// Time to fall 40 dB, ms; 0 holds as long as the stroke.
        decay_ms: 30.0 to 6000.0, off(0.0);
        /// The blow starts this much above, semitones.
        drop_semitones: 0.0 to 36.0, off(0.0);
        /// Time of that fall, ms.
        drop_ms: 0.0 to 300.0, off(0.0);
        /// Soft harmonics of the sine.
        presence: 0.0 to 1.0, off(0.0);
        /// Level of the saws beside the sine.
        growl: 0.0 to 1.0, off(0.0);
        /// The saws' distance, cents.
        detune_cents: 0.0 to 60.0, off(0.0);
        /// Low-pass of the saws, Hz.
        growl_hz: 60.0 to 8000.0;
        /// Wobbles of that low-pass in a second.
        wobble_hz: 0.0 to 30.0, off(0.0);
        /// How far the low-pass closes in a wobble, octaves.
        wobble_octaves: 0.0 to 5.0, off(0.0);
    }
}

/// Frames between two moves of a filter: 16 at 48 kHz is a third of a millisecond.
pub(super) const TUNE_EVERY: usize = 16;

impl Sub {
    pub(super) fn render(&self, strike: &Strike) -> Vec<f64> {
        let rate = strike.rate;
        let pitch = strike.pitch(self.pitch_hz);
        let start = pitch * cents_ratio(100.0 * self.drop_semitones);
        let mut buffer = strike.buffer(self.attack_ms, self.decay_ms);
        let rise = strike.frames(self.attack_ms.max(0.5));
        let mut fall = Fall::new(start, pitch, self.drop_ms, rate);
        let mut decay = Decay::new(self.decay_ms, rate);
        let mut phase = Phase::default();
        let apart = cents_ratio(0.5 * self.detune_cents);
        let mut saws = [(Phase { turns: 0.25 }, apart), (Phase { turns: 0.6 }, 1.0 / apart)];
        let mut filter = Sweep::new(3.0, rate);
        let presence = strike.of(Part::Overtones, self.presence * (0.5 + 0.5 * strike.hardness));
        let (tone, growl) = (strike.of(Part::Body, 1.0), strike.of(Part::Tail, self.growl));
        let open = self.growl_hz * (0.5 * strike.hardness - 0.5).exp2();
        for (i, sample) in buffer.iter_mut().enumerate() {
            let turns = fall.advance() / rate;
            let mut value = tone * phase.sine();
            if presence > 0.0 {
                value += presence * harmonics(phase, 8);
            }
            if growl > 0.0 {
                if i % TUNE_EVERY == 0 {
                    let closed = 0.5 - 0.5 * (TAU * self.wobble_hz * i as f64 / rate).cos();
                    filter.tune(open * (-self.wobble_octaves * closed).exp2());
                }
                let mut buzz = 0.0;
                for (saw, ratio) in &mut saws {
                    buzz += saw.saw(turns * *ratio);
                    saw.advance(turns * *ratio);
                }
                value += growl * filter.run(buzz).0;
            }
            *sample = attack(i, rise) * decay.advance() * value;
            phase.advance(turns);
        }
        buffer
    }
}

parameters! {
    /// A plucked deep tone with a fast fall from above and a woody knock: the log drum of South African dance music.
    LogDrum = "log-drum" {
        /// The pitch where a stroke gives none, Hz.
        pitch_hz: 20.0 to 400.0;
        /// The blow starts this much above, semitones.
        drop_semitones: 0.0 to 36.0, off(0.0);
        /// Time of that fall, ms.
        drop_ms: 0.0 to 300.0, off(0.0);
        /// Time to fall 40 dB, ms.
        decay_ms: 40.0 to 4000.0;
        /// The hollow second partial, which gives the wood.
        hollow: 0.0 to 1.0, off(0.0);
        /// The knock of the blow.
        knock: 0.0 to 1.0, off(0.0);
        /// Soft harmonics of the tone.
        presence: 0.0 to 1.0, off(0.0);
    }
}

impl LogDrum {
    pub(super) fn render(&self, strike: &Strike) -> Vec<f64> {
        let rate = strike.rate;
        let pitch = strike.pitch(self.pitch_hz);
        let start = pitch * cents_ratio(100.0 * self.drop_semitones * (0.6 + 0.4 * strike.hardness));
        let mut buffer = strike.buffer(0.0, self.decay_ms);
        let rise = strike.frames(0.5);
        let mut fall = Fall::new(start, pitch, self.drop_ms, rate);
        let (mut decay, mut short) = (Decay::new(self.decay_ms, rate), Decay::new(0.35 * self.decay_ms, rate));
        let (mut phase, mut second) = (Phase::default(), Phase::default());
        let (presence, tone) = (self.presence * strike.transient(), strike.of(Part::Body, 1.0));
        let hollow = strike.of(Part::Overtones, self.hollow);
        for (i, sample) in buffer.iter_mut().enumerate() {
            let turns = fall.advance() / rate;
            let (long, short) = (decay.advance(), short.advance());
            let wood = hollow * short * second.sine();
            *sample = attack(i, rise) * (tone * long * (phase.sine() + presence * harmonics(phase, 8)) + wood);
            phase.advance(turns);
            // Near a twelfth, a little off: wood, not an organ.
            second.advance((3.05 * turns).min(0.45));
        }
        if self.knock > 0.0 && strike.hears(Part::Click) {
            let level = self.knock * strike.transient();
            add_band(
                &mut buffer,
                strike,
                Band { part: 1, hz: (9.0 * pitch).clamp(300.0, 1200.0), q: 1.2, level, decay_ms: 14.0 },
            );
        }
        Biquad::high_pass(18.0, FLAT_DB, rate).run_all(&mut buffer);
        buffer
    }
}
