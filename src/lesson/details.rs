//! Details: what a row cannot tell of a stroke, under the stroke's place.
//!
//! `{"1:3 and": {"roll": {"strokes": 3, "span": "1/8", "shape": "rising"}}}` changes the stroke the row has on the "and"
//! of beat 3 of bar 1. A place off the lane's pulse brings a stroke of its own, plain unless its loudness is given.

use super::note_value;
use super::reader::{FaultKind, Node};
use crate::rhythm::boxes::Ruling;
use crate::rhythm::{Flam, Glide, Loudness, Place, Roll, RollShape, Strength, Stroke, Tick};
use serde_json::{Map, Value, json};

/// The words for the shapes of a roll.
const SHAPES: [(&str, RollShape); 4] = [
    ("even", RollShape::Even),
    ("rising", RollShape::Rising),
    ("falling", RollShape::Falling),
    ("swelling", RollShape::Swelling),
];

/// Lays the details of a lane over the strokes of its row. Every mistake is noted with the lane and the place.
pub fn read(details: &Node, ruling: &Ruling, mut strokes: Vec<Stroke>) -> Option<Vec<Stroke>> {
    let length = ruling.metre.bar().times(i64::from(ruling.bars));
    let mut sound = true;
    let mut met: Vec<Tick> = Vec::new();
    for (name, node) in details.entries()? {
        let note = |expected: String, found: &str| {
            node.note(FaultKind::Unexpected { expected, found: found.to_owned() });
        };
        let at = Place::parse(name).and_then(|place| place.tick(ruling.metre));
        let at = match at {
            Ok(at) if at < length => at,
            Ok(_) => {
                let (bars, plural) = (ruling.bars, if ruling.bars == 1 { "" } else { "s" });
                note(format!("a place within {bars} bar{plural} of {}", ruling.metre), "one after the end");
                sound = false;
                continue;
            }
            Err(_) => {
                note(format!("a place of {} such as 1:2 and (bar, beat, syllable)", ruling.metre), "none");
                sound = false;
                continue;
            }
        };
        if met.contains(&at) {
            note("each place once".to_owned(), "it twice");
            sound = false;
            continue;
        }
        met.push(at);
        let index = strokes.iter().position(|stroke| stroke.at == at);
        let base = match index.and_then(|index| strokes.get(index)) {
            Some(stroke) => stroke.clone(),
            None if at.0 % ruling.pulse.0 != 0 => Stroke::new(at, ruling.dynamics.loudness(Strength::Plain)),
            None => {
                note("a stroke in the row to detail".to_owned(), "a rest");
                sound = false;
                continue;
            }
        };
        match read_one(&node, ruling, base) {
            None => sound = false,
            Some(stroke) => match index.and_then(|index| strokes.get_mut(index)) {
                Some(old) => *old = stroke,
                None => strokes.push(stroke),
            },
        }
    }
    sound.then_some(strokes)
}

/// One stroke's details over what its row tells.
fn read_one(node: &Node, ruling: &Ruling, base: Stroke) -> Option<Stroke> {
    let keys = ["loudness", "nudge", "roll", "flam_ms", "pitches", "length", "glide"];
    let object = node.object(&keys)?;
    let loudness = object.optionally("loudness", |n| Some(Loudness::clamped(n.integer(1..=127)? as i32)));
    let most = (ruling.pulse.0 - 1) / 2;
    let nudge = object.optionally("nudge", |n| n.integer(-most..=most).map(Tick));
    let roll = object.optionally("roll", |n| read_roll(n, ruling.pulse));
    let flam = object.optionally("flam_ms", |n| Some(Flam { gap_ms: n.integer(5..=60)? as u8 }));
    let pitch = |n: &Node| n.integer(-48..=48).map(|p| p as i8);
    let pitches = object.optionally("pitches", |n| n.each(8, pitch));
    let length = object.optionally("length", |n| note_value::read_in_pulses(n, ruling.pulse, Tick(30), Tick(61_440)));
    let glide = object.optionally("glide", |n| {
        let object = n.object(&["to", "ms"])?;
        let to = object.field("to").and_then(|n| n.integer(-48..=48));
        let ms = object.field("ms").and_then(|n| n.integer(5..=2000));
        Some(Glide { to: to? as i8, ms: ms? as u16 })
    });
    let pitchless =
        object.optional("glide").is_some() && matches!(&pitches, Some(p) if p.as_ref().is_none_or(Vec::is_empty));
    if pitchless && let Some(node) = object.optional("glide") {
        node.note(FaultKind::Unexpected { expected: "pitches to glide from".to_owned(), found: "none".to_owned() });
        return None;
    }
    Some(Stroke {
        loudness: loudness?.unwrap_or(base.loudness),
        nudge: nudge?.unwrap_or(base.nudge),
        roll: roll?.or(base.roll),
        flam: flam?.or(base.flam),
        pitches: pitches?.unwrap_or(base.pitches),
        length: length?.or(base.length),
        glide: glide?.or(base.glide),
        id: base.id,
        at: base.at,
    })
}

fn read_roll(node: &Node, pulse: Tick) -> Option<Roll> {
    let object = node.object(&["strokes", "span", "shape", "bend"])?;
    let strokes = object.field("strokes").and_then(|n| n.integer(2..=32));
    let span = object.field("span").and_then(|n| note_value::read_in_pulses(&n, pulse, Tick(60), Tick(7680)));
    let shape = object.optionally("shape", |n| n.choice(&SHAPES));
    let bend = object.optionally("bend", |n| n.integer(-24..=24));
    Some(Roll {
        strokes: strokes? as u8,
        span: span?,
        shape: shape?.unwrap_or_default(),
        bend: bend?.unwrap_or(0) as i8,
    })
}

/// What must be written of `stroke` beyond `told`, the stroke its row tells (for a place off the pulse a plain one).
pub fn write(stroke: &Stroke, told: &Stroke, pulse: Tick) -> Value {
    let mut map = Map::new();
    if stroke.loudness != told.loudness {
        map.insert("loudness".to_owned(), json!(stroke.loudness.get()));
    }
    if stroke.nudge != told.nudge {
        map.insert("nudge".to_owned(), json!(stroke.nudge.0));
    }
    if let Some(roll) = stroke.roll
        && stroke.roll != told.roll
    {
        let mut object = Map::new();
        object.insert("strokes".to_owned(), json!(roll.strokes));
        object.insert("span".to_owned(), json!(note_value::text(roll.span)));
        if let Some((word, _)) = SHAPES.iter().find(|(_, shape)| *shape == roll.shape && *shape != RollShape::Even) {
            object.insert("shape".to_owned(), json!(word));
        }
        if roll.bend != 0 {
            object.insert("bend".to_owned(), json!(roll.bend));
        }
        map.insert("roll".to_owned(), Value::Object(object));
    }
    if let Some(flam) = stroke.flam
        && stroke.flam != told.flam
    {
        map.insert("flam_ms".to_owned(), json!(flam.gap_ms));
    }
    if stroke.pitches != told.pitches {
        map.insert("pitches".to_owned(), json!(stroke.pitches));
    }
    if let Some(length) = stroke.length {
        map.insert("length".to_owned(), note_value::write_in_pulses(length, pulse));
    }
    if let Some(glide) = stroke.glide {
        map.insert("glide".to_owned(), json!({"to": glide.to, "ms": glide.ms}));
    }
    Value::Object(map)
}
