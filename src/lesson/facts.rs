//! From a file of collected facts to style files.
//!
//! The facts come from research and count pulses from zero; the style files are what is taught. This is the way from one
//! to the other, with a file of corrections over it: every hallmark's name, rank and sentence, every sentence a learner
//! reads that the facts have otherwise, and what is known better. It runs in the native tool only.

use super::groove::{read_id, refuse};
use super::reader::{Fault, Node, Object};
use super::style::{LaneNote, LessonFacts, Style, SwingRange, TempoRange, Variant};
use super::typography::curved;
use super::{facts_condition, facts_groove, hallmark, note_value};
use crate::rhythm::{Bpm, Groove, Id, Swing, Tick};
use crate::style::{Hallmark, Neighbour, Rank};
use serde_json::{Map, Value};

/// Makes the styles of a facts file, with a file of corrections.
///
/// # Errors
/// Every fault of either file.
pub fn convert(facts: &str, corrections: &str) -> Result<Vec<Style>, Vec<Fault>> {
    let corrections = curved(super::groove::parse(corrections)?);
    let facts = curved(super::groove::parse(facts)?);
    super::reader::read(&facts, |root| {
        let styles = root.entries()?.into_iter().find(|(key, _)| *key == "styles")?.1;
        styles.each(500, |node| {
            let id = node.value().get("id").and_then(Value::as_str).unwrap_or_default();
            let known = corrections.get("styles").and_then(|styles| styles.get(id));
            convert_style(node, &Corrections(known.and_then(Value::as_object)))
        })
    })
}

/// The corrections of one style.
struct Corrections<'c>(Option<&'c Map<String, Value>>);

impl Corrections<'_> {
    /// What is corrected at `path`.
    fn get(&self, path: &[&str]) -> Option<&Value> {
        let (first, rest) = path.split_first()?;
        rest.iter().try_fold(self.0?.get(*first)?, |value, key| value.get(key))
    }

    /// The corrected text at `path`, or the one of the facts.
    fn text(&self, path: &[&str], facts: &str) -> String {
        self.get(path).and_then(Value::as_str).unwrap_or(facts).to_owned()
    }
}

/// What is needed of a style's facts to place its strokes.
pub struct Grid {
    /// Its metre.
    pub metre: crate::rhythm::Metre,
    /// How many bars.
    pub bars: u8,
    /// The distance between pulses.
    pub pulse: Tick,
    /// What its tempo counts.
    pub unit: Tick,
}

fn convert_style(node: &Node, corrections: &Corrections) -> Option<Style> {
    let style = node.object(&[
        "id",
        "name",
        "family",
        "essence",
        "origin",
        "tempo",
        "metre",
        "pulses",
        "pulse_name",
        "bars",
        "counting",
        "key",
        "feel",
        "layers",
        "traits",
        "sound",
        "neighbours",
        "lesson",
        "transcribe_first",
        "confidence",
        "signature",
        "variants",
    ])?;
    let id = read_id(&style.field("id")?)?;
    let text = |key: &str| Some(capital(&corrections.text(&["texts", key], style.field(key)?.string()?)));
    let grid = facts_groove::read_grid(&style)?;
    let felt = corrections.get(&["felt"]).and_then(Value::as_str).and_then(note_value::parse);
    let (groove, leans) = facts_groove::read_groove(&style, &grid, felt, &id, &lean_words(corrections))?;
    let tempo = open(&style.field("tempo")?)?;
    let bpm = |key: &str| Bpm::new(tempo.field(key)?.number(20.0..=400.0)?);
    let swing = open(&open(&style.field("feel")?)?.field("swing")?)?;
    let range = swing.field("range")?.each(2, |n| Swing::from_percent(n.number(40.0..=80.0)?.max(50.0)))?;
    let lesson = open(&style.field("lesson")?)?;
    let lesson_text = |key: &str| Some(corrections.text(&["texts", key], lesson.field(key)?.string()?));
    let stages = lesson.field("steps")?.each(12, |n| n.string())?;
    let more = corrections.get(&["texts", "stages"]).and_then(Value::as_object);
    let more = more.map_or(0, |stages| stages.keys().filter_map(|key| key.parse().ok()).max().unwrap_or(0));
    let stage = |index: usize| {
        let facts = stages.get(index).copied().unwrap_or_default();
        corrections.text(&["texts", "stages", &(index + 1).to_string()], facts)
    };
    let mut variants =
        style.optionally("variants", |n| n.each(16, |n| read_variant(n, &grid, &groove, corrections)))?;
    let added = corrections.get(&["variants"]).and_then(Value::as_array).into_iter().flatten();
    for added in added {
        let read = super::reader::read(added, |n| read_added_variant(&n, &groove));
        variants.get_or_insert_default().push(noted(node, read)?);
    }
    let key = open(&style.field("key")?)?;
    let velocity_words = open(&style.field("feel")?)?.field("velocity_shape")?.string()?;
    Some(Style {
        name: text("name")?,
        family: read_id(&style.field("family")?)?,
        essence: text("essence")?,
        origin: text("origin")?,
        counting: text("counting")?,
        signature: text("signature")?,
        confidence: text("confidence")?,
        tempo_range: TempoRange { slowest: bpm("min")?, fastest: bpm("max")? },
        swing_range: SwingRange { lightest: *range.first()?, strongest: *range.get(1)? },
        mode: corrections.text(&["texts", "mode"], key.field("mode")?.string()?),
        loudness: corrections.text(&["texts", "loudness"], velocity_words),
        leans,
        lane_notes: read_lane_notes(&style, corrections)?,
        variants: variants.unwrap_or_default(),
        hallmarks: read_hallmarks(&style, &grid, &groove, corrections)?,
        neighbours: read_neighbours(&style, corrections)?,
        lesson: LessonFacts {
            stages: (0..stages.len().max(more.min(12_usize))).map(stage).collect(),
            listen: lesson_text("listen")?,
            mistake: lesson_text("mistake")?,
            hear_first: corrections.text(&["texts", "hear_first"], style.field("transcribe_first")?.string()?),
        },
        groove,
        id,
    })
}

/// The text beginning with a capital: facts are notes, the files have sentences.
fn capital(text: &str) -> String {
    let mut characters = text.chars();
    characters.next().map_or_else(String::new, |first| first.to_uppercase().chain(characters).collect())
}

/// An object whose keys are not checked: facts hold more than is taught.
pub fn open<'a>(node: &Node<'a>) -> Option<Object<'a>> {
    let keys: Vec<&str> = node.value().as_object()?.keys().map(String::as_str).collect();
    node.object(&keys)
}

/// The result of reading a correction; its faults are told at the style's place.
fn noted<T>(node: &Node, read: Result<T, Vec<Fault>>) -> Option<T> {
    match read {
        Ok(value) => Some(value),
        Err(faults) => {
            for fault in faults {
                node.within(&format!(" correction {}", fault.at)).note(fault.what);
            }
            None
        }
    }
}

/// Corrected reasons of leans, by role.
fn lean_words<'c>(corrections: &'c Corrections<'_>) -> impl Fn(&str, &str) -> String + use<'c> {
    move |role, facts| corrections.text(&["texts", "leans", role], facts)
}

fn read_lane_notes(style: &Object, corrections: &Corrections) -> Option<Vec<LaneNote>> {
    let notes = style.field("layers")?.each(24, |n| {
        let layer = open(n)?;
        let role = super::lane::read_role(&layer.field("role")?)?;
        let facts = layer.optionally("note", Node::string)?.unwrap_or_default();
        let text = corrections.text(&["texts", "lane_notes", role.id()], facts);
        Some(LaneNote { role, text: capital(&text) })
    })?;
    let mut notes: Vec<LaneNote> = notes.into_iter().filter(|note| !note.text.is_empty()).collect();
    notes.sort_by_key(|note| note.role.score_rank());
    Some(notes)
}

fn read_neighbours(style: &Object, corrections: &Corrections) -> Option<Vec<Neighbour>> {
    let dropped = corrections.get(&["not_neighbours"]).and_then(Value::as_array);
    let neighbours = style.field("neighbours")?.each(8, |n| {
        let neighbour = open(n)?;
        let id = read_id(&neighbour.field("id")?)?;
        if dropped.is_some_and(|ids| ids.iter().any(|other| other.as_str() == Some(id.as_str()))) {
            return Some(None);
        }
        let corrected = corrections.get(&["texts", "neighbours", id.as_str(), "aspects"]);
        let aspects = neighbour.field("differs_in")?;
        let read = serde_json::json!({
            "id": id.as_str(),
            "aspects": corrected.unwrap_or(aspects.value()),
            "how": corrections.text(&["texts", "neighbours", id.as_str(), "how"], neighbour.field("how")?.string()?),
        });
        noted(n, super::reader::read(&read, |n| hallmark::read_neighbour(&n))).map(Some)
    })?;
    Some(neighbours.into_iter().flatten().collect())
}

/// The hallmarks the corrections list, each from a trait of the facts or with a condition of its own.
fn read_hallmarks(style: &Object, grid: &Grid, groove: &Groove, corrections: &Corrections) -> Option<Vec<Hallmark>> {
    let node = style.field("traits")?;
    let traits = node.array(16)?;
    let Some(listed) = corrections.get(&["hallmarks"]).and_then(Value::as_array) else {
        return refuse(&node, "corrections that name the hallmarks", "none");
    };
    let read = listed.iter().map(|listed| {
        let mut object = listed.as_object()?.clone();
        let condition = match object.remove("trait") {
            None => None,
            Some(number) => {
                let index = number.as_u64().and_then(|n| usize::try_from(n).ok())?.checked_sub(1)?;
                let fact = open(traits.get(index)?)?;
                object.entry("sentence").or_insert_with(|| fact.field("text").map(|n| n.value().clone()).into());
                match object.contains_key("condition") {
                    true => None,
                    false => Some(facts_condition::convert(&fact.field("check")?, grid)?),
                }
            }
        };
        if let Some(condition) = &condition {
            object.insert("condition".to_owned(), super::condition::write(condition));
        }
        noted(&node, super::reader::read(&Value::Object(object), |n| hallmark::read_hallmark(&n, Some(groove))))
    });
    let read: Option<Vec<Hallmark>> = read.collect();
    match read {
        Some(read) if !read.iter().any(|hallmark| hallmark.rank == Rank::Signature) => {
            refuse(&node, "a signature hallmark", "none")
        }
        Some(read) => Some(read),
        None => refuse(&node, "corrections that name traits of the style", "others"),
    }
}

/// A variant of the facts: its layers replace those of the same role.
fn read_variant(node: &Node, grid: &Grid, groove: &Groove, corrections: &Corrections) -> Option<Variant> {
    let variant = open(node)?;
    let facts = variant.field("name")?.string()?;
    let name = corrections.text(&["texts", "variants", facts, "name"], facts);
    let id: String = facts.chars().map(|c| if c.is_ascii_alphanumeric() { c } else { '-' }).collect();
    let id: Option<Id> = id.to_lowercase().parse().ok();
    let change = facts_groove::read_variation(&variant, grid, groove)?;
    Some(Variant { id: id?, name, note: corrections.text(&["texts", "variants", facts, "note"], ""), change })
}

fn read_added_variant(node: &Node, groove: &Groove) -> Option<Variant> {
    let variant = node.object(&["id", "name", "note", "change"])?;
    Some(Variant {
        id: read_id(&variant.field("id")?)?,
        name: variant.field("name")?.text(80)?.to_owned(),
        note: variant.field("note")?.text(300)?.to_owned(),
        change: hallmark::read_variation(&variant.field("change")?, groove)?,
    })
}
