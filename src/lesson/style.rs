//! A style file: everything there is to know, hear and learn about one style.

use super::stage::{Stage, StageEntry, built};
use crate::rhythm::{Bpm, Groove, Id, Lean, Swing};
use crate::role::Role;
use crate::style::{Hallmark, Neighbour, Variation};

/// One style: facts, reference groove, variants, hallmarks, neighbours and its lesson.
///
/// All texts are plain and for learners, at most 2,000 characters; places in them are counted
/// in syllables.
#[derive(Clone, Debug, PartialEq)]
pub struct Style {
    /// Its name in links and files.
    pub id: Id,
    /// Its name on the page.
    pub name: String,
    /// The family it is listed under: `hip-hop`, `brazilian` ...
    pub family: Id,
    /// What it is, in one sentence.
    pub essence: String,
    /// Where and when it comes from, only as far as well established.
    pub origin: String,
    /// How it is counted, and its other count where it has one. The two counts themselves are the groove's written unit
    /// and felt pulse; see [`crate::rhythm::Tempo`].
    pub counting: String,
    /// What to recognise it by, in one line.
    pub signature: String,
    /// How sure the facts are, and about which of them less.
    pub confidence: String,
    /// Tempos it is played at, in the count unit of its groove.
    pub tempo_range: TempoRange,
    /// Swing it is played with, on the pairs of its groove.
    pub swing_range: SwingRange,
    /// Its mode, in words (`minor`); the tonic is the groove's.
    pub mode: String,
    /// How loudness runs through its lines, in words.
    pub loudness: String,
    /// How much its lanes may lean.
    pub leans: Vec<LeanRange>,
    /// What is worth saying about single lanes.
    pub lane_notes: Vec<LaneNote>,
    /// The reference groove. A lane marked optional may be left out: the style is still itself without it.
    pub groove: Groove,
    /// Other well-known forms.
    pub variants: Vec<Variant>,
    /// What makes it itself; see [`Hallmark`].
    pub hallmarks: Vec<Hallmark>,
    /// What it is confused with.
    pub neighbours: Vec<Neighbour>,
    /// Its lesson.
    pub lesson: LessonFacts,
}

/// Tempos from slowest to fastest, both included.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct TempoRange {
    /// The slowest.
    pub slowest: Bpm,
    /// The fastest, not under the slowest.
    pub fastest: Bpm,
}

/// Swings from lightest to strongest, both included.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SwingRange {
    /// The lightest.
    pub lightest: Swing,
    /// The strongest, not under the lightest.
    pub strongest: Swing,
}

/// How far a lane may lean and still sound right.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LeanRange {
    /// Which lane.
    pub role: Role,
    /// The earliest.
    pub earliest: Lean,
    /// The latest, not under the earliest.
    pub latest: Lean,
    /// What it does to the groove.
    pub why: String,
}

/// What is worth saying about one lane.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LaneNote {
    /// Which lane.
    pub role: Role,
    /// The words.
    pub text: String,
}

/// A well-known form of the style: what changes against the reference groove.
#[derive(Clone, Debug, PartialEq)]
pub struct Variant {
    /// Its name within the style, for links.
    pub id: Id,
    /// Its name on the page.
    pub name: String,
    /// What is worth saying about it; may be empty.
    pub note: String,
    /// What changes.
    pub change: Variation,
}

/// The lesson of a style: its stages, and what is worth saying beside them.
#[derive(Clone, Debug, PartialEq)]
pub struct LessonFacts {
    /// What is built in each stage, in order.
    pub stages: Vec<StageEntry>,
    /// What to listen for.
    pub listen: String,
    /// The mistake most often made.
    pub mistake: String,
    /// What to find first when writing the style down by ear.
    pub hear_first: String,
}

impl LessonFacts {
    /// The stages of a staged lesson; `None` while any of them is only told.
    pub fn staged(&self) -> Option<Vec<&Stage>> {
        built(&self.stages)
    }
}
