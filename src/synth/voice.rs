//! From a patch and one stroke to a buffer of sound.

use super::envelope::frames;
use super::finishing::finish;
use super::noise::Noise;
use super::oscillator::{cents_ratio, note_hz};
use super::parts::Part;
use super::patch::Patch;

/// Loudness layers: 0 the softest, `LAYERS - 1` the patch as written.
pub const LAYERS: u8 = 8;

/// Slight variations of a stroke; 0 is the patch as written.
pub const VARIATIONS: u8 = 4;

/// Longest buffer, seconds.
pub const LONGEST_SECONDS: f64 = 6.0;

/// Sample rates taken, Hz; others are held to the nearer end.
pub const RATES: core::ops::RangeInclusive<u32> = 8_000..=192_000;

/// The peak of a share: parts that cancel in the whole may each go beyond it.
const MOST_SHARE: f64 = 2.0;

/// Most notes rendered into one buffer; further ones are left out.
const MOST_NOTES: usize = 8;

/// One stroke of a patch.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Voicing<'a> {
    /// Loudness layer, 0 to `LAYERS - 1`. It sets the *timbre* (softer is darker); buffers of all layers are equally
    /// strong, and the event's gain ([`loudness::gain`](super::loudness::gain)) sets the level.
    pub layer: u8,
    /// Pitches as MIDI-like note numbers (69 = 440 Hz); several make a chord. Empty: the patch's own pitch.
    pub pitches: &'a [f64],
    /// Which slight difference of tone, pitch (within 5 cents) and grain, 0 to `VARIATIONS - 1`.
    pub variation: u8,
    /// Sample rate, Hz, within [`RATES`].
    pub rate: u32,
    /// Seconds to render of a voice that holds (2 if not given), or at most of one that dies away; up to
    /// [`LONGEST_SECONDS`]. A stroke's release is the event's gain envelope, so ask for its length plus its release.
    pub length: Option<f64>,
}

/// One stroke as the models see it.
#[derive(Clone, Debug)]
pub(super) struct Strike {
    /// Sample rate, Hz.
    pub rate: f64,
    /// 0 the softest layer, 1 the patch as written.
    pub hardness: f64,
    /// The stroke's own pitches, Hz, with the variation's shift applied.
    pub hz: Vec<f64>,
    /// The variation's ratio of pitch.
    pub shift: f64,
    /// The variation's ratio of transient levels.
    pub bite: f64,
    /// Most seconds.
    pub seconds: Option<f64>,
    /// Seed of the stroke's noise.
    pub seed: u32,
    /// The parts that sound, a bit each.
    heard: u8,
}

impl Strike {
    fn new(voicing: &Voicing) -> Strike {
        let variation = usize::from(voicing.variation % VARIATIONS);
        let shift = cents_ratio([0.0, 3.0, -3.5, 1.5][variation]);
        let pitches = voicing.pitches.iter().take(MOST_NOTES);
        Strike {
            rate: f64::from(voicing.rate.clamp(*RATES.start(), *RATES.end())),
            hardness: f64::from(voicing.layer.min(LAYERS - 1)) / f64::from(LAYERS - 1),
            hz: pitches.map(|&note| note_hz(note.clamp(0.0, 127.0)) * shift).collect(),
            shift,
            bite: [1.0, 0.9, 1.08, 0.96][variation],
            seconds: voicing.length,
            seed: 977 * (variation as u32 + 1),
            heard: u8::MAX,
        }
    }

    /// Whether `part` sounds.
    pub fn hears(&self, part: Part) -> bool {
        self.heard & part.bit() != 0
    }

    /// A level that is heard with its `part`, else 0.
    pub fn of(&self, part: Part, level: f64) -> f64 {
        if self.hears(part) { level } else { 0.0 }
    }

    /// The stroke's first pitch, or the patch's `own_hz`.
    pub fn pitch(&self, own_hz: f64) -> f64 {
        self.hz.first().copied().unwrap_or(own_hz * self.shift)
    }

    /// All pitches of the stroke, or the patch's own as a note number.
    pub fn notes(&self, own_note: f64) -> Vec<f64> {
        if self.hz.is_empty() { vec![note_hz(own_note) * self.shift] } else { self.hz.clone() }
    }

    /// Noise of this stroke; `part` keeps several noises of one voice apart.
    pub fn noise(&self, part: u32) -> Noise {
        Noise::new(self.seed.wrapping_add(part.wrapping_mul(7919)), self.rate)
    }

    /// An empty buffer for a voice that falls 40 dB in `decay_ms` after `attack_ms`: 60 dB of its fall. A decay of 0
    /// holds for the stroke's length.
    pub fn buffer(&self, attack_ms: f64, decay_ms: f64) -> Vec<f64> {
        let own = if decay_ms > 0.0 { 0.001 * (attack_ms + 1.5 * decay_ms) } else { self.seconds.unwrap_or(2.0) };
        let seconds = self.seconds.map_or(own, |most| own.min(most)).clamp(0.005, LONGEST_SECONDS);
        vec![0.0; frames(1000.0 * seconds, self.rate).max(16)]
    }

    /// Frames in `ms`.
    pub fn frames(&self, ms: f64) -> usize {
        frames(ms, self.rate)
    }

    /// The level of stick, beater or finger noise at this hardness, 1 for the patch as written.
    pub fn transient(&self) -> f64 {
        self.bite * (0.25 + 0.75 * self.hardness)
    }
}

/// Renders one stroke of `patch`: mono, from -1 to 1, sounding from its first frame, ending in silence.
///
/// The same arguments give the same bytes. A patch outside its ranges ([`Patch::check`]) still renders something finite.
pub fn render(patch: &Patch, voicing: &Voicing) -> Vec<f32> {
    let strike = Strike::new(voicing);
    let (whole, _) = finish(patch, &strike, patch.model.render(&strike), None);
    samples(&whole, 1.0)
}

/// What `heard` of the parts contribute to the stroke [`render`] gives; see [`parts`](super::parts).
pub(super) fn render_share(patch: &Patch, voicing: &Voicing, heard: u8) -> Vec<f32> {
    let strike = Strike::new(voicing);
    let whole = patch.model.render(&strike);
    let share = patch.model.render(&Strike { heard, ..strike.clone() });
    samples(&finish(patch, &strike, whole, Some(share)).1, MOST_SHARE)
}

fn samples(buffer: &[f64], most: f64) -> Vec<f32> {
    buffer.iter().map(|&sample| if sample.is_finite() { sample.clamp(-most, most) as f32 } else { 0.0 }).collect()
}
