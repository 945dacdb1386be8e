//! `workbench likeness FILE|LINK --json`: which styles a groove leans to, how surely, and why.
//!
//! ```text
//! { "leader": ID or null,            null where it is likelier none of these
//!   "none": 0 to 1,                  how sure that it is none
//!   "ties": [ID],                    styles only their sound could tell from the first
//!   "leanings": [{ "style": ID, "confidence": 0 to 1,
//!                  "writing": "same" | "double" | "half",     how the groove was read
//!                  "distance": 0 to 1, "tempo_octaves": 0 to 1,
//!                  "hallmarks": [{ "id": ID, "rank": "frame" | "signature" | "seasoning",
//!                                  "outcome": "holds" | "fails" | "does not apply" | "unknown",
//!                                  "strokes": [{ "role": ROLE, "tick": N }],   those concerned, where it was read as written
//!                                  "empty": [N] }] }] }                      places concerned that are not struck, in ticks
//! ```
//! The likeliest comes first; confidences and `none` sum to 1. Styles are read from `lessons/styles`.

use crate::events::groove_of;
use crate::{Trouble, measure};
use serde_json::{Value, json};
use stickleback::lesson;
use stickleback::rhythm::Groove;
use stickleback::style::likeness::{HallmarkReason, Leaning, StyleModel, Writing, likeness};
use stickleback::style::{Outcome, Rank};

/// The models of the styles in `lessons/styles`.
pub fn models() -> Result<Vec<StyleModel>, Trouble> {
    Ok(measure::styles("lessons")?.iter().map(lesson::likeness::model).collect())
}

/// Prints the likeness of the groove of `source`.
pub fn run(source: &str) -> Result<(), Trouble> {
    let groove = groove_of(source)?;
    let found = likeness(&groove, &models()?, None);
    let leanings: Vec<Value> = found.leanings.iter().map(|leaning| told(&groove, leaning)).collect();
    let ties: Vec<&str> = found.ties.iter().map(|tie| tie.as_str()).collect();
    let leader = found.leader().map(|leader| leader.style.as_str());
    println!("{}", json!({ "leader": leader, "none": found.none, "ties": ties, "leanings": leanings }));
    Ok(())
}

fn told(groove: &Groove, leaning: &Leaning) -> Value {
    let (writing, same) = match leaning.writing {
        Writing::Same => ("same", true),
        Writing::Double => ("double", false),
        Writing::Half => ("half", false),
    };
    let hallmarks: Vec<Value> = leaning.hallmarks.iter().map(|reason| hallmark(groove, reason, same)).collect();
    json!({
        "style": leaning.style.as_str(), "confidence": leaning.confidence, "writing": writing,
        "distance": leaning.distance, "tempo_octaves": leaning.tempo, "hallmarks": hallmarks,
    })
}

fn hallmark(groove: &Groove, reason: &HallmarkReason, same: bool) -> Value {
    let rank = match reason.rank {
        Rank::Frame => "frame",
        Rank::Signature => "signature",
        Rank::Seasoning => "seasoning",
    };
    let outcome = match reason.verdict.outcome {
        Outcome::Holds => "holds",
        Outcome::Unknown => "unknown",
        Outcome::DoesNotApply => "does not apply",
        Outcome::Fails => "fails",
    };
    let stroke = |&(lane, stroke)| {
        let lane = groove.pattern.lane(lane)?;
        let found = lane.strokes().iter().find(|own| own.id == stroke)?;
        Some(json!({ "role": lane.head.role.id(), "tick": found.at.0 }))
    };
    let strokes: Vec<Value> = reason.verdict.strokes.iter().filter(|_| same).filter_map(stroke).collect();
    let empty: Vec<i64> = reason.verdict.places.iter().filter(|_| same).map(|(_, at)| at.0).collect();
    json!({ "id": reason.id.as_str(), "rank": rank, "outcome": outcome, "strokes": strokes, "empty": empty })
}
