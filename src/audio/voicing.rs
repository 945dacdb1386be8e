//! With what a hit is played: which buffer, how loud, how it bends and how it ends.
//!
//! Pure: the live graph, offline renders and native tests all play what this says. *When* is the schedule's matter.

use crate::rhythm::{Frames, Groove, Part, TapeSpeed};
use crate::role::{Register, Role};
use crate::schedule::{Cause, Event, GlideTime, Instrument, Key};
use crate::synth::bus::Bend;
use crate::synth::{Kit, LONGEST_SECONDS, Patch, VARIATIONS, Voicing, loudness, render};

/// The fade of a hit that another one cuts (a choke, or the next note of a part that plays one at a time), in ms: long
/// enough not to click, short enough that the cut is heard as one.
pub const CUT_MS: f64 = 8.0;
/// How long a held voice without a stated end is held, in seconds.
const UNSTATED_HOLD: f64 = 2.0;
/// The end of a buffer, where it is led to silence, in seconds: nothing of it is to be heard.
const TAPER: f64 = 0.025;

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
    /// Tenths of a second rendered of a voice that holds, or of one that is ended before it has died away; 0 for one that
    /// rings out.
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
                length: (self.held > 0).then(|| f64::from(self.held) / 10.0),
            },
        ))
    }
}

/// A number for the content of a patch: FNV-1a, 64 bits, over the model's id and the bits of every value.
pub fn fingerprint(patch: &Patch) -> u64 {
    let bits =
        patch.model.values().into_iter().chain(patch.finish.values()).flat_map(|value| value.to_bits().to_le_bytes());
    let bytes = patch.model.id().bytes().chain([0]).chain(bits);
    bytes.fold(0xcbf2_9ce4_8422_2325, |hash, byte| (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3))
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

/// How `event` sounds with `kit` at `rate` frames a second; `bend` is the roll's, in semitones, for a stroke without
/// pitches (see [`roll_bend`]). `None` for clicks, and if the kit has neither the voice nor a stand-in.
pub fn voice(event: &Event, kit: &Kit, speed: TapeSpeed, bend: f64, rate: f64) -> Option<Voiced> {
    let Instrument::Role(wanted) = event.instrument else { return None };
    let (voice, role) = kit.voice_for(wanted)?;
    let (notes, rest) = notes(event);
    let bend = if event.pitches.is_empty() { bend } else { rest };
    let base = 1200.0 * speed.ratio().log2() + 100.0 * bend;
    let after = |frame: Frames| (frame - event.frame).to_seconds(rate).0.max(0.0);
    let fade = event.end.map(|end| {
        let ms = match end.cause {
            Cause::Choked | Cause::Mono => CUT_MS,
            Cause::Length => voice.place.release_ms.max(CUT_MS),
        };
        (after(end.frame), ms)
    });
    let bend = corners(base, event.glide.map(|glide| (after(glide.start), after(glide.end), glide)));
    // What is heard takes this much of the buffer at the fastest it is read.
    let fastest = bend.iter().map(|corner| corner.cents).fold(0.0, f64::max);
    let heard = fade.map(|(at, ms)| (at + ms / 1000.0) * (fastest / 1200.0).exp2());
    let held = match heard {
        _ if voice.patch.model.sustains() => held_tenths(heard.unwrap_or(UNSTATED_HOLD), &[10, 20, 40]),
        // A drum is short, and two of its strokes are to share a buffer whatever ends them.
        Some(heard) if wanted.is_pitched() => held_tenths(heard + TAPER, &[5, 10, 20, 40]),
        _ => 0,
    };
    Some(Voiced {
        key: VoiceKey {
            role,
            patch: fingerprint(&voice.patch),
            layer: loudness::layer(event.loudness.get()),
            notes,
            variation: variation(event.key, wanted),
            held,
        },
        gain: loudness::gain(event.loudness.get()) * voice.gain(),
        bend,
        fade,
        kick: wanted == Role::Kick,
    })
}

/// The bend of an event's roll at its part, in semitones: a drum's roll bends too, though a drum has no pitches.
pub fn roll_bend(groove: &Groove, key: Key) -> f64 {
    let stroke = key.lane().and_then(|lane| groove.pattern.lane(lane)?.by_id(key.stroke));
    match (stroke.and_then(|stroke| stroke.roll), key.part) {
        (Some(roll), Part::Stroke(index)) => {
            f64::from(roll.bend) * f64::from(index) / f64::from(roll.strokes.max(2) - 1)
        }
        _ => 0.0,
    }
}

/// The whole notes of an event, and the semitones (half at most) its pitches lie above them.
fn notes(event: &Event) -> (Vec<u8>, f64) {
    let rest = event.pitches.first().map_or(0.0, |pitch| pitch - pitch.round());
    (event.pitches.iter().map(|pitch| (pitch - rest).round().clamp(0.0, 127.0) as u8).collect(), rest)
}

/// Which variation a hit takes. The same stroke takes the same in every pass, for a loop is heard as one; neighbours
/// differ, for a row of equal cymbals is heard as a machine. Low and pitched parts have one: theirs would beat.
fn variation(key: Key, role: Role) -> u8 {
    let count = match role.register() {
        _ if role.is_pitched() => 1,
        Register::Low => 1,
        Register::Mid => 2,
        Register::High => 3,
    };
    let part = match key.part {
        Part::Grace => 1,
        Part::Stroke(index) => u32::from(index),
    };
    (key.stroke.0.wrapping_add(part) % u32::from(VARIATIONS.min(count))) as u8
}

/// Tenths of a second to render where `needed` seconds are heard: few sizes, so that strokes share buffers.
fn held_tenths(needed: f64, sizes: &[u8]) -> u8 {
    let longest = (10.0 * LONGEST_SECONDS) as u8;
    sizes.iter().copied().find(|&size| f64::from(size) >= 10.0 * needed).unwrap_or(longest)
}

/// The bend over its base, with a slide from and to so many seconds after the start.
fn corners(base: f64, slide: Option<(f64, f64, GlideTime)>) -> Vec<Bend> {
    let mut corners = vec![Bend { seconds: 0.0, cents: base }];
    let Some((from, to, glide)) = slide else {
        return if base.abs() > 1e-9 { corners } else { Vec::new() };
    };
    let at = |seconds, semitones: f64| Bend { seconds, cents: base + 100.0 * semitones };
    if from > 0.0 {
        corners.push(at(from, glide.from));
    }
    corners.push(at(to.max(from + 0.002), glide.to));
    corners
}
