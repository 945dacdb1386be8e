//! With what a hit is played: which buffer, how loud, how it bends and how it ends.
//!
//! Pure: the live graph, offline renders and native tests all play what this says. *When* is the schedule's matter.

use crate::rhythm::{Glide, Loudness, Part, StrokeId, TapeSpeed, Tonic};
use crate::role::{Register, Role};
use crate::synth::bus::Bend;
use crate::synth::voice::{LONGEST_SECONDS, VARIATIONS};
use crate::synth::{Kit, Patch, Voicing, loudness, render};

/// The fade of a hit that another one cuts (a choke, or the next note of a part that plays one at a time), in ms: long
/// enough not to click, short enough that the cut is heard as one.
pub const CUT_MS: f64 = 8.0;
/// How long a held voice without a stated end is held, in seconds.
const UNSTATED_HOLD: f64 = 2.0;

/// What a buffer depends on beside the sample rate. Two hits with equal keys play the same buffer.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct VoiceKey {
    /// The role whose voice plays, after stand-ins.
    pub role: Role,
    /// The content of its patch; see [`fingerprint`].
    pub patch: u64,
    /// Loudness layer.
    pub layer: u8,
    /// MIDI note numbers; empty for the patch's own pitch.
    pub notes: Vec<u8>,
    /// Which slight variation.
    pub variation: u8,
    /// Seconds rendered of a voice that holds; 0 for one that dies away by itself.
    pub held: u8,
}

impl VoiceKey {
    /// Renders the buffer at `rate` from `kit`, or nothing if the kit's voice is another by now.
    pub fn render(&self, kit: &Kit, rate: u32) -> Option<Vec<f32>> {
        let voice = kit.voices.get(&self.role).filter(|voice| fingerprint(&voice.patch) == self.patch)?;
        let pitches: Vec<f64> = self.notes.iter().map(|&note| f64::from(note)).collect();
        Some(render(
            &voice.patch,
            &Voicing {
                layer: self.layer,
                pitches: &pitches,
                variation: self.variation,
                rate,
                length: (self.held > 0).then(|| f64::from(self.held)),
            },
        ))
    }
}

/// A number for the content of a patch: FNV-1a, 64 bits, over the model's id and the bits of every value.
pub fn fingerprint(patch: &Patch) -> u64 {
    let bits = patch.model.values().into_iter().chain(patch.finish.values()).flat_map(|value| value.to_bits().to_le_bytes());
    let bytes = patch.model.id().bytes().chain([0]).chain(bits);
    bytes.fold(0xcbf2_9ce4_8422_2325, |hash, byte| (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3))
}

/// What ends a hit before its buffer does.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Ending {
    /// Another hit cuts it after so many seconds.
    Cut(f64),
    /// Its written length is over after so many seconds; the voice's release follows.
    Released(f64),
}

impl Ending {
    /// Seconds from the start.
    pub fn seconds(self) -> f64 {
        match self {
            Ending::Cut(seconds) | Ending::Released(seconds) => seconds.max(0.0),
        }
    }
}

/// One hit, as far as its sound is concerned.
#[derive(Clone, Debug, PartialEq)]
pub struct Struck<'a> {
    /// What the lane is.
    pub role: Role,
    /// The stroke, which picks the variation together with `part`.
    pub stroke: StrokeId,
    /// Which hit of the stroke.
    pub part: Part,
    /// How hard.
    pub loudness: Loudness,
    /// Semitones from the tonic.
    pub pitches: &'a [i8],
    /// Semitones above the written pitch: the bend of a roll.
    pub bend: f64,
    /// What ends it.
    pub ending: Option<Ending>,
    /// The slide at its end.
    pub glide: Option<Glide>,
}

/// How a hit is played.
#[derive(Clone, Debug, PartialEq)]
pub struct Voiced {
    /// Which buffer.
    pub key: VoiceKey,
    /// Loudness gain times voice gain.
    pub gain: f32,
    /// Pitch in cents above the buffer's own, by seconds after the start; empty for none. Tape speed, the bend of a roll
    /// and glides in one.
    pub bend: Vec<Bend>,
    /// The fade to silence: seconds after the start, and its length in ms.
    pub fade: Option<(f64, f64)>,
    /// Whether it ducks the others and is not ducked.
    pub kick: bool,
}

impl Voiced {
    /// Cents at the start, wander apart.
    pub fn first_cents(&self) -> f64 {
        self.bend.first().map_or(0.0, |corner| corner.cents)
    }

    /// Seconds it sounds at most, of a buffer of `buffer` seconds.
    pub fn lasts(&self, buffer: f64) -> f64 {
        let lowest = self.bend.iter().map(|corner| corner.cents).fold(self.first_cents(), f64::min);
        let whole = buffer * (-lowest / 1200.0).exp2();
        self.fade.map_or(whole, |(at, ms)| whole.min(at + ms / 1000.0))
    }
}

/// How `struck` sounds with `kit`; `None` if the kit has neither the voice nor a stand-in.
pub fn voice(struck: &Struck, kit: &Kit, tonic: Tonic, speed: TapeSpeed) -> Option<Voiced> {
    let (voice, role) = kit.voice_for(struck.role)?;
    let base = 1200.0 * speed.ratio().log2() + 100.0 * struck.bend;
    let end = struck.ending.map(Ending::seconds);
    let release = voice.place.release_ms;
    let fade = struck.ending.map(|ending| match ending {
        Ending::Cut(_) => (ending.seconds(), CUT_MS),
        Ending::Released(_) => (ending.seconds(), release.max(CUT_MS)),
    });
    let bend = bend(struck, base, end);
    let held = if voice.patch.model.sustains() {
        // What is heard takes this much of the buffer at the fastest it is read.
        let fastest = bend.iter().map(|corner| corner.cents).fold(0.0, f64::max);
        let heard = end.unwrap_or(UNSTATED_HOLD) + fade.map_or(0.0, |(_, ms)| ms / 1000.0);
        held_seconds(heard * (fastest / 1200.0).exp2())
    } else {
        0
    };
    Some(Voiced {
        key: VoiceKey {
            role,
            patch: fingerprint(&voice.patch),
            layer: loudness::layer(struck.loudness.get()),
            notes: notes(struck, tonic),
            variation: variation(struck),
            held,
        },
        gain: loudness::gain(struck.loudness.get()) * voice.gain(),
        bend,
        fade,
        kick: struck.role == Role::Kick,
    })
}

/// The notes of a hit: pitched parts without a stated pitch play the tonic, drums their own pitch.
fn notes(struck: &Struck, tonic: Tonic) -> Vec<u8> {
    let base = i16::from(tonic.note()) + i16::from(struck.role.octave_shift());
    let note = |pitch: &i8| (base + i16::from(*pitch)).clamp(0, 127) as u8;
    match struck.pitches {
        [] if struck.role.is_pitched() => vec![note(&0)],
        pitches => pitches.iter().map(note).collect(),
    }
}

/// Which variation a hit takes. The same stroke takes the same in every pass, for a loop is heard as one; neighbours
/// differ, for a row of equal cymbals is heard as a machine. Low and pitched parts have one: theirs would beat.
fn variation(struck: &Struck) -> u8 {
    let count = match struck.role.register() {
        _ if struck.role.is_pitched() => 1,
        Register::Low => 1,
        Register::Mid => 2,
        Register::High => 3,
    };
    let part = match struck.part {
        Part::Grace => 1,
        Part::Stroke(index) => u32::from(index),
    };
    (struck.stroke.0.wrapping_add(part) % u32::from(VARIATIONS.min(count))) as u8
}

/// Whole seconds to render of a held voice: few sizes, so that strokes share buffers.
fn held_seconds(needed: f64) -> u8 {
    let longest = LONGEST_SECONDS as u8;
    [1, 2, 4].into_iter().find(|&size| f64::from(size) >= needed).unwrap_or(longest)
}

/// The bend of a hit over its base: the glide fills the last of its time.
fn bend(struck: &Struck, base: f64, end: Option<f64>) -> Vec<Bend> {
    let start = Bend { seconds: 0.0, cents: base };
    let lowest = struck.pitches.iter().min();
    if let (Some(glide), Some(&lowest)) = (struck.glide, lowest) {
        let end = end.unwrap_or(UNSTATED_HOLD);
        let from = (end - f64::from(glide.ms) / 1000.0).max(0.0);
        let to = base + 100.0 * (f64::from(glide.to) - f64::from(lowest));
        let corner = Bend { seconds: from, cents: base };
        let goal = Bend { seconds: end.max(from + 0.005), cents: to };
        return if from > 0.0 { vec![start, corner, goal] } else { vec![corner, goal] };
    }
    if base.abs() > 1e-9 { vec![start] } else { Vec::new() }
}
