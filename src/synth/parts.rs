//! A voice taken apart: click, body, tail, overtones and noise, singly and in any company.
//!
//! A part is what a model adds to its sum *before* the finish: each part is one or more of the terms whose sum the model
//! is. What is heard of a part is its share of the finished voice: every linear stage of the finish treats it as it
//! treats the whole, and where a drive or clip bends the whole, the part gets the gain the whole got at that instant. So
//! the parts of a voice add up to the voice as heard, drive and all.

use super::patch::{Model, Patch};
use super::voice::{Voicing, render_share};

/// A part of a voice.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Part {
    /// The first milliseconds: stick, beater, finger, key, the tap on a cymbal.
    Click,
    /// The tone: of a skin while its pitch falls, of a shell, a string's lowest harmonic, the hands of a clap.
    Body,
    /// What goes on after the body: the tone at rest, the last hand's ring, a bass drum's swelling tail, a growl.
    Tail,
    /// What rings above the body: modes of a skin or bar, bronze, harmonics.
    Overtones,
    /// Wires, seeds, skin, breath, wash.
    Noise,
}

impl Part {
    /// Every part, in the order they are shown.
    pub const ALL: [Part; 5] = [Part::Click, Part::Body, Part::Tail, Part::Overtones, Part::Noise];

    /// The identifier in files.
    pub const fn id(self) -> &'static str {
        match self {
            Part::Click => "click",
            Part::Body => "body",
            Part::Tail => "tail",
            Part::Overtones => "overtones",
            Part::Noise => "noise",
        }
    }

    pub(super) const fn bit(self) -> u8 {
        1 << self as u8
    }
}

/// The parts `patch` has, in the order of [`Part::ALL`]; at least one.
pub fn parts(patch: &Patch) -> Vec<Part> {
    let [click, body, tail, overtones, noise] = match &patch.model {
        Model::Membrane(m) => [m.click > 0.0, true, m.has_tail(), m.overtones > 0.0, m.skin > 0.0],
        Model::Snare(m) => [m.crack > 0.0, m.noise < 1.0, false, false, m.noise > 0.0],
        Model::Clap(m) => [m.snap > 0.0, m.hands > 1.0, true, false, false],
        Model::Shaker(_) => [false, false, false, false, true],
        Model::Tambourine(_) => [true, false, false, true, true],
        Model::Scraper(_) => [false, true, false, false, true],
        Model::Cymbal(m) => [true, false, false, m.metal > 0.0, m.metal < 1.0],
        Model::Bell(m) => [m.clang > 0.0, true, false, true, false],
        Model::Wood(m) => [m.knock > 0.0, true, false, true, false],
        Model::Squeak(m) => [false, true, false, false, m.breath > 0.0],
        Model::Sub(m) => [false, true, m.growl > 0.0, m.presence > 0.0, false],
        Model::LogDrum(m) => [m.knock > 0.0, true, false, m.hollow > 0.0, false],
        Model::PluckedString(m) => [m.finger > 0.0, true, false, true, false],
        Model::Subtractive(m) => {
            let edged = m.saw > 0.0 || m.square > 0.0;
            [false, m.sine > 0.0 || !edged, false, edged, false]
        }
        Model::ElectricPiano(m) => [m.bell > 0.0, true, false, true, false],
        Model::Organ(m) => [m.click > 0.0, true, false, m.octaves + m.twelfth + m.reed > 0.0, false],
        Model::Formant(m) => [false, true, false, false, m.breath > 0.0],
        Model::StagedKick(m) => [m.click > 0.0, m.body > 0.0, m.tail > 0.0, false, false],
    };
    let has = [click, body, tail, overtones, noise];
    Part::ALL.into_iter().zip(has).filter(|(_, has)| *has).map(|(part, _)| part).collect()
}

/// One part of a stroke: as long as [`render`](super::render) makes the whole, and at the level it has in the whole. Parts
/// that cancel each other there may go beyond full scale by themselves, up to 2.
pub fn render_part(patch: &Patch, voicing: &Voicing, part: Part) -> Vec<f32> {
    render_share(patch, voicing, part.bit())
}

/// Several parts of a stroke together; with all of them, the whole to within rounding.
pub fn render_parts(patch: &Patch, voicing: &Voicing, parts: &[Part]) -> Vec<f32> {
    render_share(patch, voicing, parts.iter().fold(0, |bits, part| bits | part.bit()))
}
