//! A lane in a file: a row of box notation, and details by place.
//!
//! ```json
//! {"role": "snare", "row": "....X.......X...|....X..o....X..o", "lean_ms": 14}
//! ```
//! Besides `role` and `row` a lane may have `pulse` (a note value, where it is not the groove's), `swings` (whether the
//! swing moves it, where it is not the rule), `lean_ms`, `optional` (the style is itself without it) and `details`.

use super::reader::{FaultKind, Node};
use super::{details, layout, note_value};
use crate::rhythm::boxes::{RowError, Ruling, read_row, write_row};
use crate::rhythm::{Lane, LaneHead, Lean, Pattern, Place, Strength, Stroke, Tick};
use crate::role::Role;
use serde_json::{Map, Value, json};

/// Reads a role.
pub fn read_role(node: &Node) -> Option<Role> {
    node.parsed("a role such as kick, snare, hat-closed", |text| text.parse().ok())
}

/// The lane as a place in a fault: `lanes[2] (snare)`.
fn named<'a>(node: &Node<'a>) -> Node<'a> {
    let role = node.value().get("role").and_then(Value::as_str).and_then(|text| text.parse::<Role>().ok());
    role.map_or_else(|| node.clone(), |role| node.within(&format!(" ({role})")))
}

/// Reads a lane over `ruling`, whose pulse holds unless the lane states its own. Every mistake is noted.
pub fn read(node: &Node, ruling: &Ruling) -> Option<Lane> {
    let node = named(node);
    let lane = node.object(&["role", "row", "pulse", "swings", "lean_ms", "optional", "details"])?;
    let role = lane.field("role").and_then(|n| read_role(&n));
    let swings = lane.optionally("swings", Node::boolean);
    let lean = lane.optionally("lean_ms", |n| Lean::from_ms(n.number(-60.0..=60.0)?));
    let optional = lane.optionally("optional", Node::boolean);
    let length = ruling.metre.bar().times(i64::from(ruling.bars));
    let pulse = lane.optionally("pulse", |n| {
        let pulse = note_value::read(n, Tick(40), Tick(3840))?;
        if length.0 % pulse.0 == 0 { Some(pulse) } else { n.refuse("a note value that divides the pattern") }
    });
    let row = lane.field("row");
    let ruling = Ruling { pulse: pulse?.unwrap_or(ruling.pulse), ..*ruling };
    let strokes = row.and_then(|row| read_strokes(&row, &node, &ruling));
    let strokes = match lane.optional("details") {
        // Where the row is at fault the places cannot be judged.
        Some(found) => details::read(&found, &ruling, strokes?),
        None => strokes,
    };
    let head = LaneHead {
        role: role?,
        pulse: ruling.pulse,
        swings: swings?,
        lean: lean?.unwrap_or_default(),
        optional: optional?.unwrap_or(false),
    };
    let lane = Lane::with_strokes(head, strokes?);
    match Pattern::new(ruling.metre.clone(), ruling.bars, vec![lane.clone()]) {
        Ok(_) => Some(lane),
        Err(error) => node.refuse(format!("a lane that fits the pattern ({error})")),
    }
}

/// The most characters of a row in one text; a longer row is an array of texts that follow one another.
const LONGEST_ROW: usize = 1_000;

/// The text of a row, joined where it is an array.
fn read_text(node: &Node) -> Option<String> {
    if let Value::Array(_) = node.value() {
        let parts = node.each(16, |n| n.text(LONGEST_ROW).map(str::to_owned))?;
        return Some(parts.concat());
    }
    node.text(LONGEST_ROW).map(str::to_owned)
}

/// Writes the text of a row.
fn write_text(row: &str) -> Value {
    let characters: Vec<char> = row.chars().collect();
    if characters.len() <= LONGEST_ROW {
        return json!(row);
    }
    Value::Array(characters.chunks(LONGEST_ROW).map(|part| json!(part.iter().collect::<String>())).collect())
}

/// Reads a row; after a mistake it reads on with the mistake mended, so that all are noted.
fn read_strokes(node: &Node, lane: &Node, ruling: &Ruling) -> Option<Vec<Stroke>> {
    let mut bars: Vec<Vec<char>> =
        read_text(node)?.split('|').map(|bar| bar.chars().filter(|c| !c.is_whitespace()).collect()).collect();
    let mut sound = true;
    for _ in 0..super::reader::MOST_FAULTS {
        let row: Vec<String> = bars.iter().map(|bar| bar.iter().collect()).collect();
        let error = match read_row(&row.join("|"), ruling) {
            Ok(strokes) => return sound.then_some(strokes),
            Err(error) => error,
        };
        sound = false;
        let note = |place: String, expected: String, found: String| {
            lane.within(&format!(", row{place}")).note(FaultKind::Unexpected { expected, found });
        };
        let bar = match error {
            RowError::Bars { expected, found } => {
                note(
                    String::new(),
                    format!("{expected} bar{}", if expected == 1 { "" } else { "s" }),
                    found.to_string(),
                );
                return None;
            }
            RowError::Pulses { bar, expected, found } => {
                note(format!(", bar {bar}"), format!("{expected} characters"), found.to_string());
                bars.get_mut(bar - 1).map(|bar| bar.resize(expected, '.'))
            }
            RowError::Character { bar, pulse, found } => {
                let place = format!(", bar {bar}, place {pulse}");
                note(place, "one of X x o . 2-8 f".to_owned(), format!("{found:?}"));
                bars.get_mut(bar - 1).and_then(|bar| bar.get_mut(pulse - 1)).map(|c| *c = '.')
            }
            RowError::NothingToRepeat => {
                note(", bar 1".to_owned(), "a bar of its own".to_owned(), "% (repeats the bar before)".to_owned());
                return None;
            }
        };
        bar?;
    }
    None
}

/// Writes a lane; see [`read`].
pub fn write(lane: &Lane, ruling: &Ruling) -> Value {
    let mut map = Map::new();
    let head = lane.head;
    let own = Ruling { pulse: head.pulse, ..*ruling };
    let (row, detailed) = write_row(lane, &own);
    map.insert("role".to_owned(), json!(head.role.id()));
    map.insert("row".to_owned(), write_text(&row));
    if head.pulse != ruling.pulse {
        map.insert("pulse".to_owned(), json!(note_value::text(head.pulse)));
    }
    if let Some(swings) = head.swings {
        map.insert("swings".to_owned(), json!(swings));
    }
    if head.lean != Lean::default() {
        map.insert("lean_ms".to_owned(), layout::number(head.lean.ms()));
    }
    if head.optional {
        map.insert("optional".to_owned(), json!(true));
    }
    let told = read_row(&row, &own).unwrap_or_default();
    let mut details = Map::new();
    for stroke in detailed {
        let plain = Stroke::new(stroke.at, own.dynamics.loudness(Strength::Plain));
        let base = told.iter().find(|told| told.at == stroke.at).unwrap_or(&plain);
        details.insert(Place::of(stroke.at, own.metre).to_string(), details::write(stroke, base, own.pulse));
    }
    if !details.is_empty() {
        map.insert("details".to_owned(), Value::Object(details));
    }
    Value::Object(map)
}
