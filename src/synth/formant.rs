//! A sung or spoken syllable cut short.

use super::envelope::{Decay, Fall, attack};
use super::filter::Sweep;
use super::low::TUNE_EVERY;
use super::oscillator::{Phase, cents_ratio};
use super::parameter::parameters;
use super::parts::Part;
use super::voice::Strike;

parameters! {
    /// A voice-like buzz through three resonances that move from one vowel to another.
    ///
    /// Vowels are places on a line: 0 "oo", 1 "oh", 2 "ah", 3 "eh", 4 "ee".
    Formant = "formant" {
        /// The note where a stroke gives none (MIDI-like number).
        own_note: 30.0 to 90.0;
        /// The vowel at the start.
        vowel_start: 0.0 to 4.0;
        /// The vowel at the end.
        vowel_end: 0.0 to 4.0;
        /// Time from the one to the other, ms.
        vowel_ms: 10.0 to 1000.0;
        /// Time to full level, ms.
        attack_ms: 0.0 to 100.0, off(0.0);
        /// Time to fall 40 dB, ms; 0 holds as long as the stroke.
        decay_ms: 30.0 to 6000.0, off(0.0);
        /// The pitch starts this much below, semitones.
        scoop_semitones: 0.0 to 12.0, off(0.0);
        /// Breath in the voice.
        breath: 0.0 to 1.0, off(0.0);
        /// Size of the throat: 1 as measured, less for a bigger one, more for a smaller (pitched-up) one.
        throat: 0.6 to 1.8;
    }
}

/// First three formants of the five vowels, Hz, rounded means of men and women (G. E. Peterson and H. L. Barney,
/// "Control methods used in a study of the vowels", JASA 24, 1952, table II).
const VOWELS: [[f64; 3]; 5] = [
    [330.0, 900.0, 2450.0],
    [550.0, 880.0, 2550.0],
    [780.0, 1150.0, 2650.0],
    [570.0, 2000.0, 2700.0],
    [290.0, 2450.0, 3150.0],
];

/// Resonance of each formant, dB, and its level.
const SHAPE: [(f64, f64); 3] = [(17.0, 1.0), (19.0, 0.6), (20.0, 0.35)];

fn formants(vowel: f64) -> [f64; 3] {
    let below = vowel.clamp(0.0, 3.999) as usize;
    let x = vowel - below as f64;
    core::array::from_fn(|i| VOWELS[below][i] + x * (VOWELS[below + 1][i] - VOWELS[below][i]))
}

impl Formant {
    pub(super) fn render(&self, strike: &Strike) -> Vec<f64> {
        let rate = strike.rate;
        let pitch = strike.notes(self.own_note)[0];
        let mut buffer = strike.buffer(self.attack_ms, self.decay_ms);
        let rise = strike.frames(self.attack_ms.max(2.0));
        let mut fall = Fall::new(pitch * cents_ratio(-100.0 * self.scoop_semitones), pitch, 60.0, rate);
        let mut vowel = Fall::new(self.vowel_start, self.vowel_end, self.vowel_ms, rate);
        let mut decay = Decay::new(self.decay_ms, rate);
        let mut phase = Phase { turns: 0.5 };
        let (buzz, breath) = (strike.of(Part::Body, 1.0), strike.of(Part::Noise, self.breath));
        let mut noise = strike.noise(1);
        let mut bands = SHAPE.map(|(resonance, _)| Sweep::new(resonance, rate));
        for (i, sample) in buffer.iter_mut().enumerate() {
            let place = vowel.advance();
            if i % TUNE_EVERY == 0 {
                for (band, hz) in bands.iter_mut().zip(formants(place)) {
                    band.tune(hz * self.throat);
                }
            }
            let turns = (fall.advance() / rate).min(0.45);
            let source = buzz * phase.saw(turns) + breath * noise.advance();
            phase.advance(turns);
            let mut value = 0.08 * source;
            for (band, (_, level)) in bands.iter_mut().zip(SHAPE) {
                value += level * 0.2 * band.run(source).1;
            }
            *sample = attack(i, rise) * decay.advance() * value;
        }
        buffer
    }
}
