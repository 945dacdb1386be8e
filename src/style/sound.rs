//! What a condition of sound is told: the facts of a sound, in the measures conditions use.

use super::condition::SoundMeasure;
use crate::rhythm::Groove;
use crate::role::Role;
use crate::synth::facts::{Fact, Heard};

/// A measure of one voice of `groove`, or of the whole mix (`None`), as it sounds with `heard`; `None` where it was not
/// measured or does not apply.
///
/// Wobbles are counted in a quarter note of the groove's tempo; noise floor and room are the mix's, whoever is asked of.
/// What was measured and not found has an amount all the same: a tail that is never cut and a voice that holds last
/// for ever (infinity), a steady tone wobbles not at all, a dry mix has a room of 0 ms. Only a pitch may be lacking.
pub fn measured(groove: &Groove, heard: &Heard, voice: Option<Role>, measure: SoundMeasure) -> Option<f64> {
    let (voice, fact) = match measure {
        SoundMeasure::Bandwidth => (voice, Fact::Bandwidth),
        SoundMeasure::NoiseFloor => (None, Fact::NoiseFloor),
        SoundMeasure::Decay => (voice, Fact::Decay),
        SoundMeasure::Pitch => (voice, Fact::Pitch),
        SoundMeasure::Drop => (voice, Fact::Drop),
        SoundMeasure::Brightness => (voice, Fact::Brightness),
        SoundMeasure::Grit => (voice, Fact::Grit),
        SoundMeasure::Wobble => (voice, Fact::Wobble),
        SoundMeasure::Room => (None, Fact::Room),
        SoundMeasure::Gate => (voice, Fact::Gate),
    };
    let value = match heard.fact(voice, fact) {
        Some(value) => value,
        None => absent(heard, voice, fact)?,
    };
    Some(if measure == SoundMeasure::Wobble { value * groove.tempo.seconds(960.0).0 } else { value })
}

/// What it means that a voice or tone that was measured has no such fact.
fn absent(heard: &Heard, voice: Option<Role>, fact: Fact) -> Option<f64> {
    // Every voice has a bandwidth and every tone a noise floor, so these tell whether it was measured.
    let known = if voice.is_some() { Fact::Bandwidth } else { Fact::NoiseFloor };
    heard.fact(voice, known)?;
    match (voice, fact) {
        (Some(_), Fact::Gate | Fact::Decay) => Some(f64::INFINITY),
        (Some(_), Fact::Wobble) | (None, Fact::Room) => Some(0.0),
        _ => None,
    }
}
