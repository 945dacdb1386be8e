//! Which figures the dials lead at each model, and what goes along.

use super::dials::Dial::{
    self, Attack, Brightness, Dirt, Drop, Fullness, Grain, Length, Noise, Pitch, Ring, Swell, Tail,
};
use super::patch::Model;
use Scale::{Above, Coarser, Even, Octaves, Square};

/// How positions lie along the led figure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Scale {
    /// Evenly.
    Even,
    /// Evenly in octaves; the figure's off value stands beyond its greatest (a hold, a filter left out).
    Octaves,
    /// With the square: fine near the start.
    Square,
    /// The octaves that the led figure stands above another (a fall of pitch), up to four.
    Above(&'static str),
    /// Evenly in octaves from 32 kHz (nothing to hear) down to 4 kHz; off stands before the greatest.
    Coarser,
}

/// A dial at a model: what it leads, and what goes along.
#[derive(Clone, Copy, Debug)]
pub(super) struct Control {
    pub(super) dial: Dial,
    pub(super) lead: &'static str,
    pub(super) scale: Scale,
    pub(super) followers: &'static [&'static str],
}

const fn control(dial: Dial, lead: &'static str, scale: Scale, followers: &'static [&'static str]) -> Control {
    Control { dial, lead, scale, followers }
}

/// The parts of the finish a dial may lead; figures of the finish have these names in no model that is led by them.
pub(super) const FINISH: [Control; 3] = [
    control(Brightness, "finish.low_pass_hz", Octaves, &[]),
    control(Dirt, "finish.drive", Even, &[]),
    control(Grain, "finish.hold_hz", Coarser, &[]),
];

const GATED: &[&str] = &["finish.gate_ms"];

const FILTERED: &[&str] = &["finish.low_pass_hz"];

/// The controls of `model` besides those of the finish; one for brightness here takes the place of the finish's.
pub(super) fn own_controls(model: &Model) -> &'static [Control] {
    const MEMBRANE: [Control; 7] = [
        control(Pitch, "pitch_hz", Octaves, &["start_hz"]),
        control(Length, "decay_ms", Octaves, GATED),
        control(Attack, "click", Even, &[]),
        control(Drop, "start_hz", Above("pitch_hz"), &[]),
        control(Fullness, "presence", Even, &[]),
        control(Ring, "overtones", Even, &[]),
        control(Noise, "skin", Even, &[]),
    ];
    const SNARE: [Control; 6] = [
        control(Pitch, "tone_hz", Octaves, &[]),
        control(Length, "decay_ms", Octaves, GATED),
        control(Attack, "crack", Even, &[]),
        control(Swell, "attack_ms", Square, &[]),
        control(Noise, "noise", Even, &[]),
        control(Brightness, "noise_hz", Octaves, FILTERED),
    ];
    const CLAP: [Control; 3] = [
        control(Length, "decay_ms", Octaves, GATED),
        control(Attack, "snap", Even, &[]),
        control(Brightness, "centre_hz", Octaves, FILTERED),
    ];
    const SHAKER: [Control; 3] = [
        control(Length, "decay_ms", Octaves, GATED),
        control(Swell, "attack_ms", Square, &[]),
        control(Brightness, "high_pass_hz", Octaves, FILTERED),
    ];
    const TAMBOURINE: [Control; 3] = [
        control(Pitch, "jingle_hz", Octaves, &[]),
        control(Length, "decay_ms", Octaves, GATED),
        control(Brightness, "high_pass_hz", Octaves, FILTERED),
    ];
    const SCRAPER: [Control; 2] = [
        control(Length, "decay_ms", Octaves, &["tap_ms", "finish.gate_ms"]),
        control(Brightness, "centre_hz", Octaves, FILTERED),
    ];
    const CYMBAL: [Control; 6] = [
        control(Pitch, "metal_hz", Octaves, &["stick_hz"]),
        control(Length, "decay_ms", Octaves, GATED),
        control(Attack, "stick", Even, &[]),
        control(Swell, "attack_ms", Square, &[]),
        control(Ring, "metal", Even, &[]),
        control(Brightness, "high_pass_hz", Octaves, &["low_pass_hz"]),
    ];
    const BELL: [Control; 3] = [
        control(Pitch, "low_hz", Octaves, &["high_hz"]),
        control(Length, "decay_ms", Octaves, GATED),
        control(Attack, "clang", Even, &[]),
    ];
    const WOOD: [Control; 4] = [
        control(Pitch, "tone_hz", Octaves, &[]),
        control(Length, "decay_ms", Octaves, GATED),
        control(Attack, "knock", Even, &[]),
        control(Ring, "edge", Even, &[]),
    ];
    const SQUEAK: [Control; 3] = [
        control(Pitch, "end_hz", Octaves, &["start_hz"]),
        control(Length, "decay_ms", Octaves, &["glide_ms", "finish.gate_ms"]),
        control(Noise, "breath", Even, &[]),
    ];
    const SUB: [Control; 6] = [
        control(Pitch, "pitch_hz", Octaves, &[]),
        control(Length, "decay_ms", Octaves, GATED),
        control(Swell, "attack_ms", Square, &[]),
        control(Drop, "drop_semitones", Even, &[]),
        control(Fullness, "presence", Even, &[]),
        control(Tail, "growl", Even, &[]),
    ];
    const LOG: [Control; 6] = [
        control(Pitch, "pitch_hz", Octaves, &[]),
        control(Length, "decay_ms", Octaves, GATED),
        control(Attack, "knock", Even, &[]),
        control(Drop, "drop_semitones", Even, &[]),
        control(Fullness, "presence", Even, &[]),
        control(Ring, "hollow", Even, &[]),
    ];
    const STRING: [Control; 5] = [
        control(Pitch, "own_note", Even, &[]),
        control(Length, "decay_ms", Octaves, GATED),
        control(Attack, "finger", Even, &[]),
        control(Swell, "attack_ms", Square, &[]),
        control(Brightness, "bright_hz", Octaves, FILTERED),
    ];
    const SUBTRACTIVE: [Control; 4] = [
        control(Pitch, "own_note", Even, &[]),
        control(Length, "decay_ms", Octaves, GATED),
        control(Swell, "attack_ms", Square, &[]),
        control(Brightness, "low_pass_hz", Octaves, FILTERED),
    ];
    const PIANO: [Control; 5] = [
        control(Pitch, "own_note", Even, &[]),
        control(Length, "decay_ms", Octaves, GATED),
        control(Attack, "bell", Even, &[]),
        control(Swell, "attack_ms", Square, &[]),
        control(Ring, "bark", Even, &[]),
    ];
    const ORGAN: [Control; 5] = [
        control(Pitch, "own_note", Even, &[]),
        control(Length, "decay_ms", Octaves, GATED),
        control(Attack, "click", Even, &[]),
        control(Swell, "attack_ms", Square, &[]),
        control(Ring, "octaves", Even, &[]),
    ];
    const FORMANT: [Control; 4] = [
        control(Pitch, "own_note", Even, &[]),
        control(Length, "decay_ms", Octaves, GATED),
        control(Swell, "attack_ms", Square, &[]),
        control(Noise, "breath", Even, &[]),
    ];
    const STAGED: [Control; 7] = [
        control(Pitch, "pitch_hz", Octaves, &["start_hz"]),
        control(Length, "decay_ms", Octaves, GATED),
        control(Attack, "click", Even, &[]),
        control(Swell, "swell_ms", Octaves, &[]),
        control(Drop, "start_hz", Above("pitch_hz"), &[]),
        control(Tail, "tail", Even, &[]),
        control(Brightness, "growl_hz", Octaves, FILTERED),
    ];
    match model {
        Model::Membrane(_) => &MEMBRANE,
        Model::Snare(_) => &SNARE,
        Model::Clap(_) => &CLAP,
        Model::Shaker(_) => &SHAKER,
        Model::Tambourine(_) => &TAMBOURINE,
        Model::Scraper(_) => &SCRAPER,
        Model::Cymbal(_) => &CYMBAL,
        Model::Bell(_) => &BELL,
        Model::Wood(_) => &WOOD,
        Model::Squeak(_) => &SQUEAK,
        Model::Sub(_) => &SUB,
        Model::LogDrum(_) => &LOG,
        Model::PluckedString(_) => &STRING,
        Model::Subtractive(_) => &SUBTRACTIVE,
        Model::ElectricPiano(_) => &PIANO,
        Model::Organ(_) => &ORGAN,
        Model::Formant(_) => &FORMANT,
        Model::StagedKick(_) => &STAGED,
    }
}
