//! Saws and squares through a moving low-pass: synthetic basses, pads, stabs, brass.

use super::envelope::{Decay, attack};
use super::filter::Sweep;
use super::low::TUNE_EVERY;
use super::oscillator::{Phase, cents_ratio};
use super::parameter::parameters;
use super::parts::Part;
use super::voice::Strike;

parameters! {
    /// One to seven detuned oscillators a note, through a resonant low-pass that opens or closes from the blow.
    Subtractive = "subtractive" {
        /// The note where a stroke gives none (MIDI-like number).
        own_note: 20.0 to 90.0;
        /// Level of the sawtooth.
        saw: 0.0 to 1.0, off(0.0);
        /// Level of the square.
        square: 0.0 to 1.0, off(0.0);
        /// Level of a sine at the pitch.
        sine: 0.0 to 1.0, off(0.0);
        /// Oscillators a note.
        unison: 1.0 to 7.0, whole();
        /// Distance of the outermost two, cents.
        detune_cents: 0.0 to 100.0, off(0.0);
        /// Low-pass at rest, Hz.
        low_pass_hz: 60.0 to 16000.0;
        /// Peak at the cut-off, dB (-3 is flat).
        resonance_db: -3.0 to 18.0;
        /// Where the low-pass starts: octaves above its rest (below, if negative).
        sweep_octaves: -5.0 to 5.0, off(0.0);
        /// Time of that move, ms.
        sweep_ms: 0.0 to 2000.0, off(0.0);
        /// Time to full level, ms.
        attack_ms: 0.0 to 1000.0, off(0.0);
        /// Time to fall 40 dB, ms; 0 holds as long as the stroke.
        decay_ms: 30.0 to 6000.0, off(0.0);
    }
}

struct Oscillator {
    phase: Phase,
    turns: f64,
    level: f64,
}

impl Subtractive {
    pub(super) fn render(&self, strike: &Strike) -> Vec<f64> {
        let rate = strike.rate;
        let mut buffer = strike.buffer(self.attack_ms, self.decay_ms);
        let unison = self.unison.clamp(1.0, 7.0) as u32;
        let mut place = strike.noise(3);
        let notes = strike.notes(self.own_note);
        let level = 1.0 / f64::from(unison).sqrt();
        let mut oscillators = Vec::new();
        for &hz in &notes {
            for i in 0..unison {
                let side = if unison == 1 { 0.0 } else { f64::from(i) / f64::from(unison - 1) - 0.5 };
                let turns = (hz * cents_ratio(self.detune_cents * side) / rate).min(0.45);
                // A lone oscillator starts at its zero; several start apart, or they would flange. Two keep their
                // distance in every variation, since their beating sets the level of a short note.
                let turns_in = if unison <= 2 { 0.5 + 0.31 * f64::from(i) } else { place.chance().min(0.999) };
                let phase = Phase { turns: turns_in };
                oscillators.push(Oscillator { phase, turns, level });
                place.advance();
            }
        }
        let edged = if strike.hears(Part::Overtones) { oscillators.as_mut_slice() } else { &mut [] };
        for oscillator in edged {
            for sample in &mut buffer {
                let mut value = 0.0;
                if self.saw > 0.0 {
                    value += self.saw * oscillator.phase.saw(oscillator.turns);
                }
                if self.square > 0.0 {
                    value += self.square * oscillator.phase.square(oscillator.turns);
                }
                *sample += oscillator.level * value;
                oscillator.phase.advance(oscillator.turns);
            }
        }
        if self.sine > 0.0 && strike.hears(Part::Body) {
            for &hz in &notes {
                let mut phase = Phase::default();
                for sample in &mut buffer {
                    *sample += self.sine * phase.sine();
                    phase.advance((hz / rate).min(0.45));
                }
            }
        }
        let mut filter = Sweep::new(self.resonance_db, rate);
        let rest = self.low_pass_hz * (strike.hardness - 1.0).exp2();
        // The move is done to 95 % in its time, like a fall of pitch.
        let keep =
            if self.sweep_ms > 0.0 { (-3.0 * TUNE_EVERY as f64 / (0.001 * self.sweep_ms * rate)).exp() } else { 0.0 };
        let mut away = self.sweep_octaves;
        let rise = strike.frames(self.attack_ms.max(0.5));
        let mut decay = Decay::new(self.decay_ms, rate);
        for (i, sample) in buffer.iter_mut().enumerate() {
            if i % TUNE_EVERY == 0 {
                filter.tune(rest * away.exp2());
                away *= keep;
            }
            let level = attack(i, rise) * if i < rise { 1.0 } else { decay.advance() };
            *sample = level * filter.run(*sample).0;
        }
        buffer
    }
}
