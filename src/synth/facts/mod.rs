//! Facts of a sound: what can be measured of a voice's stroke and of a tone, in numbers a musician would use.
//!
//! All is measured from rendered sound at [`RATE`], the loudest layer, the voice's own pitch; nothing is read from a
//! patch. `workbench facts` measures, kit files keep the result beside the hash of what was measured, so that nobody has
//! to render a kit to know how it sounds.

mod tone;
mod voice;

use std::collections::BTreeMap;

use super::kit::Kit;
use super::tone::Tone;
use crate::role::Role;

/// The rate at which facts are measured, Hz.
pub const RATE: u32 = 48_000;

/// The ratio of the amplitudes of a square wave's harmonics to its fundamental: the root of π²/8 - 1.
const SQUARE: f64 = 0.483;

/// Something measured of a voice or a tone.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Fact {
    /// Highest frequency that still carries sound, Hz. Of a voice: the upper edge of the highest third of an octave
    /// within 25 dB of its strongest. Of a tone: where a quiet click through it has fallen by 3 dB for good.
    Bandwidth,
    /// Of a tone: level of what sounds when nothing plays, dB against full scale; -120 for nothing.
    NoiseFloor,
    /// From the greatest sample to the last one within 40 dB of it, ms. A voice that holds has none.
    Decay,
    /// Pitch when any drop is over, Hz: the median of the later half of the pitch curve.
    Pitch,
    /// From the first half period, of body and tail alone, to that pitch, semitones; negative if it rises.
    Drop,
    /// Centre of gravity of the power spectrum of the whole stroke, Hz.
    Brightness,
    /// Harmonics against the fundamental once the drop is over: the ratio of their amplitudes over that of a square
    /// wave (0.483), at most 1. 0 is a pure tone, 1 a square wave and beyond. Of a tone: what its drive makes of a sine of
    /// 100 Hz as strong as a busy mix (peak 0.4).
    Grit,
    /// How often in a second the middle of the spectrum moves up and down while the voice holds, Hz.
    Wobble,
    /// Of a tone: time in which its room falls by 60 dB, ms, from the fall between -5 and -35 dB of the backward
    /// integrated answer of the bus to a click, less its answer without the room (M. R. Schroeder, JASA 37, 1965;
    /// ISO 3382-1). None where there is no room.
    Room,
    /// When the tail is cut, ms after the start: where it is last within 40 dB of its peak and gone by 60 dB within 8 ms.
    Gate,
    /// From the start to the first sample within 3 dB of the greatest, ms.
    Attack,
    /// From the start until nine tenths of the drop, in octaves, are done, ms: by the half periods of the body alone.
    DropTime,
    /// Energy of the part that is noise (`synth::parts`) against that of the whole stroke, at most 1; 0 is all tone.
    NoiseShare,
    /// Of a tone: how far the kick pushes a steady tone of 1 kHz down, dB; 0 for not at all.
    Ducking,
}

impl Fact {
    /// Every fact, in stable order.
    pub const ALL: [Fact; 14] = [
        Fact::Bandwidth,
        Fact::NoiseFloor,
        Fact::Decay,
        Fact::Pitch,
        Fact::Drop,
        Fact::Brightness,
        Fact::Grit,
        Fact::Wobble,
        Fact::Room,
        Fact::Gate,
        Fact::Attack,
        Fact::DropTime,
        Fact::NoiseShare,
        Fact::Ducking,
    ];

    /// The word files use; its end is the unit.
    pub const fn id(self) -> &'static str {
        match self {
            Fact::Bandwidth => "bandwidth_hz",
            Fact::NoiseFloor => "noise_floor_db",
            Fact::Decay => "decay_ms",
            Fact::Pitch => "pitch_hz",
            Fact::Drop => "drop_semitones",
            Fact::Brightness => "brightness_hz",
            Fact::Grit => "grit",
            Fact::Wobble => "wobble_hz",
            Fact::Room => "room_ms",
            Fact::Gate => "gate_ms",
            Fact::Attack => "attack_ms",
            Fact::DropTime => "drop_ms",
            Fact::NoiseShare => "noise_share",
            Fact::Ducking => "ducking_db",
        }
    }

    /// The values a file may give it.
    pub const fn range(self) -> core::ops::RangeInclusive<f64> {
        match self {
            Fact::NoiseFloor => -120.0..=0.0,
            Fact::Drop => -60.0..=96.0,
            Fact::Grit | Fact::NoiseShare => 0.0..=1.0,
            Fact::Ducking => 0.0..=60.0,
            Fact::Decay | Fact::Room | Fact::Gate | Fact::Attack | Fact::DropTime => 0.0..=20_000.0,
            Fact::Bandwidth | Fact::Pitch | Fact::Brightness | Fact::Wobble => 0.0..=24_000.0,
        }
    }
}

/// What was measured of one voice, or of one tone; what does not apply is absent.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Facts(BTreeMap<Fact, f64>);

impl Facts {
    /// One of them.
    pub fn get(&self, fact: Fact) -> Option<f64> {
        self.0.get(&fact).copied()
    }

    /// All of them.
    pub fn iter(&self) -> impl Iterator<Item = (Fact, f64)> + '_ {
        self.0.iter().map(|(&fact, &value)| (fact, value))
    }
}

impl FromIterator<(Fact, f64)> for Facts {
    /// Each value rounded to three figures that count: finer is neither heard nor promised.
    fn from_iter<I: IntoIterator<Item = (Fact, f64)>>(measured: I) -> Facts {
        Facts(measured.into_iter().map(|(fact, value)| (fact, rounded(value))).collect())
    }
}

fn rounded(value: f64) -> f64 {
    if value.abs() < 1e-9 {
        return 0.0;
    }
    let places = 2 - value.abs().log10().floor() as i32;
    let scale = 10f64.powi(places.min(3));
    (value * scale).round() / scale
}

/// The facts of a kit: of its voices and of its tone.
#[derive(Clone, Debug, PartialEq)]
pub struct SoundFacts {
    /// [`Kit::content_hash`] of what was measured.
    pub of: u32,
    /// Of each voice.
    pub voices: BTreeMap<Role, Facts>,
    /// Of the tone.
    pub tone: Facts,
}

impl SoundFacts {
    /// Measures a kit: some tenths of a second.
    pub fn measure(kit: &Kit) -> SoundFacts {
        SoundFacts {
            of: kit.content_hash(),
            voices: kit.voices.iter().map(|(&role, voice)| (role, voice::measure(&voice.patch))).collect(),
            tone: of_tone(&kit.tone),
        }
    }
}

/// Measures a tone.
pub fn of_tone(tone: &Tone) -> Facts {
    tone::measure(tone)
}

/// Measures a voice.
pub fn of_patch(patch: &super::Patch) -> Facts {
    voice::measure(patch)
}

/// What a groove sounds like by its facts: one kit's voices through the same or another kit's tone.
#[derive(Clone, Copy, Debug)]
pub struct Heard<'a> {
    /// The kit of the voices, which tells what stands in for what.
    pub kit: &'a Kit,
    /// Its facts.
    pub voices: &'a SoundFacts,
    /// The facts of the kit whose tone is used.
    pub tone: &'a SoundFacts,
    /// Tape speed: how much faster the voices run; 1 as recorded.
    pub speed: f64,
}

impl Heard<'_> {
    /// A fact of the voice that plays `role`, or of the whole mix; `None` where it does not apply or was not measured.
    ///
    /// The bandwidth of the mix is that of its tone, or of its brightest voice where that is less; so it is not known
    /// while a voice that was not measured may be brighter.
    pub fn fact(&self, role: Option<Role>, fact: Fact) -> Option<f64> {
        let Some(role) = role else { return self.of_mix(fact) };
        let (_, played) = self.kit.voice_for(role)?;
        let value = self.voices.voices.get(&played)?.get(fact)?;
        Some(match fact {
            Fact::Bandwidth => (value * self.speed).min(self.tone.tone.get(fact).unwrap_or(f64::INFINITY)),
            Fact::Pitch | Fact::Brightness | Fact::Wobble => value * self.speed,
            Fact::Decay | Fact::Gate | Fact::Attack | Fact::DropTime => value / self.speed,
            _ => value,
        })
    }

    fn of_mix(&self, fact: Fact) -> Option<f64> {
        let tone = self.tone.tone.get(fact)?;
        if fact != Fact::Bandwidth {
            return Some(tone);
        }
        let brightest = self.voices.voices.values().filter_map(|voice| voice.get(fact)).fold(0.0, f64::max);
        let all_measured = self.kit.voices.keys().all(|role| self.voices.voices.contains_key(role));
        (all_measured || brightest * self.speed >= tone).then(|| tone.min(brightest * self.speed))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn three_figures_count() {
        for (value, expected) in [(61.83, 61.8), (12_345.0, 12_300.0), (0.012_34, 0.012), (-48.26, -48.3), (0.0, 0.0)] {
            assert!((rounded(value) - expected).abs() < 1e-9, "{value}: {}", rounded(value));
        }
    }
}
