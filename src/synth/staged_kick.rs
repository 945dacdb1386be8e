//! The distorted bass drum in three stages: click, driven body, and a tail that swells on a pitch.

use super::drive::shape;
use super::envelope::{Decay, Fall, attack};
use super::filter::Sweep;
use super::low::TUNE_EVERY;
use super::membrane::{Band, add_band};
use super::oscillator::{Phase, harmonics};
use super::parameter::parameters;
use super::parts::Part;
use super::voice::Strike;

parameters! {
    /// A bass drum built as its makers build it: a click, a body whose pitch falls into a drive, and a tail that rises
    /// after the body on the stroke's own pitch, driven harder as it swells, so that it can carry a melody.
    StagedKick = "staged-kick" {
        /// Pitch of the tail where a stroke gives none, Hz; the body falls to it.
        pitch_hz: 20.0 to 400.0;
        /// Pitch of the body at the blow, Hz.
        start_hz: 40.0 to 4000.0;
        /// Time of the fall, ms.
        drop_ms: 2.0 to 300.0;
        /// The click, a few milliseconds.
        click: 0.0 to 1.0, off(0.0);
        /// Middle of the click's band, Hz.
        click_hz: 300.0 to 12000.0;
        /// Level of the body.
        body: 0.0 to 1.0, off(0.0);
        /// Time of the body to fall 40 dB, ms.
        body_ms: 20.0 to 1000.0;
        /// Drive of the body: 0 clean, 0.6 audibly clipped, 0.9 square-like.
        body_drive: 0.0 to 1.0, off(0.0);
        /// Level of the tail.
        tail: 0.0 to 1.0, off(0.0);
        /// Time of the tail to swell to its full level, ms.
        swell_ms: 2.0 to 1000.0;
        /// Time of the tail to fall 40 dB after that, ms.
        decay_ms: 30.0 to 4000.0;
        /// Drive of the tail at the height of its swell.
        tail_drive: 0.0 to 1.0, off(0.0);
        /// The tail's growl: a low-pass opens to here as it swells, Hz.
        growl_hz: 100.0 to 8000.0;
    }
}

impl StagedKick {
    pub(super) fn render(&self, strike: &Strike) -> Vec<f64> {
        let rate = strike.rate;
        let pitch = strike.pitch(self.pitch_hz);
        let start = pitch * (self.start_hz / self.pitch_hz).powf(0.7 + 0.3 * strike.hardness);
        let long = if self.tail > 0.0 { self.swell_ms + self.decay_ms } else { 0.0 };
        let mut buffer = strike.buffer(0.0, long.max(self.body_ms));
        // A softer blow drives less: the same machine, turned down at its input.
        let hard = 0.6 + 0.4 * strike.hardness;
        if self.body > 0.0 && strike.hears(Part::Body) {
            let (mut phase, mut fall) = (Phase::default(), Fall::new(start, pitch, self.drop_ms, rate));
            let mut decay = Decay::new(self.body_ms, rate);
            for sample in &mut buffer {
                *sample += self.body * shape(decay.advance() * phase.sine(), self.body_drive * hard);
                phase.advance((fall.advance() / rate).min(0.45));
            }
        }
        if self.tail > 0.0 && strike.hears(Part::Tail) {
            let mut phase = Phase::default();
            let mut growl = Sweep::new(-3.0, rate);
            let mut decay = Decay::new(self.decay_ms, rate);
            let rise = strike.frames(self.swell_ms);
            for (i, sample) in buffer.iter_mut().enumerate() {
                let swell = attack(i, rise);
                let level = if i < rise { swell * swell } else { decay.advance() };
                if i % TUNE_EVERY == 0 {
                    growl.tune(self.growl_hz * (swell - 1.0 + strike.hardness - 1.0).exp2());
                }
                let rich = phase.sine() + 0.6 * harmonics(phase, 8);
                *sample += self.tail * level * growl.run(shape(0.6 * rich, self.tail_drive * hard * swell)).0;
                phase.advance((pitch / rate).min(0.45));
            }
        }
        if self.click > 0.0 && strike.hears(Part::Click) {
            let level = 1.2 * self.click * strike.transient();
            add_band(&mut buffer, strike, Band { part: 1, hz: self.click_hz, q: 0.7, level, decay_ms: 6.0 });
        }
        buffer
    }
}
