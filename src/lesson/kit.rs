//! The kit file: a kit as JSON that a musician can read and diff.
//!
//! ```json
//! {
//!   "stickleback": 1,
//!   "kind": "kit",
//!   "id": "house",
//!   "name": "House kit",
//!   "voices": {
//!     "kick": { "model": "membrane", "level_db": -1.5, "release_ms": 30, "pitch_hz": 52, "finish": { "drive": 0.2 } }
//!   },
//!   "tone": { "high_pass_hz": 30, "low_pass_hz": 17000, "level_db": 2, "room": { "decay_ms": 700 } }
//! }
//! ```
//! (with all parameters of the model and the room). Units stand in the keys. A parameter at its off value is left out. Voices stand in the order of
//! [`Role::ALL`]; writing what was read gives the same text.

use serde_json::{Map, Value, json};
use std::collections::BTreeMap;

use super::reader::{Fault, FaultKind, Node, Object, parse, read};
use crate::role::Role;
use crate::synth::facts::{Fact, Facts, SoundFacts};
use crate::synth::kit::Place;
use crate::synth::tone::ToneFigures;
use crate::synth::{Field, Finish, Kit, Model, Patch, Room, Tone, Voice};

/// The version of the file format.
pub const VERSION: i64 = 1;

/// Longest kit file taken, bytes: ten times the largest there is.
pub const LONGEST_FILE: usize = 200_000;

/// Longest identifier and name, characters.
const LONGEST_NAME: usize = 60;

/// Reads a kit file.
///
/// # Errors
/// Every fault of the file, with its place: unknown and missing keys, unknown roles and models, figures out of range.
pub fn read_kit(text: &str) -> Result<Kit, Vec<Fault>> {
    kit_from_json(&parse(text, LONGEST_FILE).map_err(|fault| vec![fault])?)
}

/// Reads a kit file with the facts it keeps of its sound. Facts of another sound than the file's are none: a figure was
/// changed by hand and not measured since.
///
/// # Errors
/// As [`read_kit`], and every fault of the facts.
pub fn read_kit_file(text: &str) -> Result<(Kit, Option<SoundFacts>), Vec<Fault>> {
    let value = parse(text, LONGEST_FILE).map_err(|fault| vec![fault])?;
    read(&value, |root| {
        let file = root.object(&MEMBERS)?;
        // Both, so that every fault is told at once.
        let (kit, facts) = (kit(&file), file.optionally("facts", sound_facts));
        let (kit, facts) = (kit?, facts?);
        let facts = facts.filter(|facts| facts.of == kit.content_hash());
        Some((kit, facts))
    })
}

/// Writes a kit file with the facts of its sound.
pub fn write_kit_file(kit: &Kit, facts: Option<&SoundFacts>) -> String {
    let mut value = kit_to_json(kit);
    if let (Some(object), Some(facts)) = (value.as_object_mut(), facts) {
        let voices: Map<String, Value> =
            facts.voices.iter().map(|(role, facts)| (role.id().to_owned(), facts_to_json(facts))).collect();
        let of = format!("{:08x}", facts.of);
        object.insert("facts".to_owned(), json!({ "of": of, "voices": voices, "tone": facts_to_json(&facts.tone) }));
    }
    format!("{value:#}\n")
}

fn facts_to_json(facts: &Facts) -> Value {
    Value::Object(facts.iter().map(|(fact, value)| (fact.id().to_owned(), number(value))).collect())
}

fn sound_facts(node: &Node) -> Option<SoundFacts> {
    let object = node.object(&["of", "voices", "tone"])?;
    let of = object.field("of").and_then(|node| {
        let text = node.text(8)?;
        // A sign is no digit, but numbers may have one.
        let digits = text.len() == 8 && text.bytes().all(|digit| digit.is_ascii_hexdigit());
        let hash = if digits { u32::from_str_radix(text, 16).ok() } else { None };
        hash.or_else(|| node.refuse("a hash of eight digits 0-9 and a-f"))
    });
    let voices = object.field("voices").and_then(|node| by_role(&node, facts_of));
    let tone = object.field("tone").and_then(|node| facts_of(&node));
    Some(SoundFacts { of: of?, voices: voices?, tone: tone? })
}

fn facts_of(node: &Node) -> Option<Facts> {
    let object = node.object(&Fact::ALL.map(Fact::id))?;
    let read = Fact::ALL.map(|fact| Some((fact, object.optionally(fact.id(), |node| node.number(fact.range()))?)));
    let read: Option<Vec<(Fact, Option<f64>)>> = read.into_iter().collect();
    Some(read?.into_iter().filter_map(|(fact, value)| Some((fact, value?))).collect())
}

/// Reads a kit from JSON already parsed.
///
/// # Errors
/// As [`read_kit`].
pub fn kit_from_json(value: &Value) -> Result<Kit, Vec<Fault>> {
    read(value, |root| kit(&root.object(&MEMBERS)?))
}

/// The members of a kit file.
const MEMBERS: [&str; 7] = ["stickleback", "kind", "id", "name", "voices", "tone", "facts"];

fn kit(file: &Object) -> Option<Kit> {
    let version = file.field("stickleback").and_then(|node| node.integer(VERSION..=VERSION));
    let kind = file.field("kind").and_then(|node| node.choice(&[("kit", ())]));
    let id = file.field("id").and_then(|node| identifier(&node));
    let name = file.field("name").and_then(|node| node.text(LONGEST_NAME).map(str::to_owned));
    let voices = file.field("voices").and_then(|node| by_role(&node, voice));
    let tone = file.field("tone").and_then(|node| tone(&node));
    version.and(kind)?;
    Some(Kit { id: id?, name: name?, voices: voices?, tone: tone? })
}

/// Writes a kit as JSON.
pub fn kit_to_json(kit: &Kit) -> Value {
    let voices: Map<String, Value> =
        kit.voices.iter().map(|(role, voice)| (role.id().to_owned(), voice_to_json(voice))).collect();
    let mut tone = figures(ToneFigures::FIELDS, &kit.tone.figures.values());
    tone.insert("room".to_owned(), Value::Object(figures(Room::FIELDS, &kit.tone.room.values())));
    json!({ "stickleback": VERSION, "kind": "kit", "id": kit.id, "name": kit.name, "voices": voices, "tone": tone })
}

/// Writes a kit file: one parameter a line, ending in a newline.
pub fn write_kit(kit: &Kit) -> String {
    write_kit_file(kit, None)
}

/// Writes one voice of a kit.
pub(super) fn voice_to_json(voice: &Voice) -> Value {
    let model = voice.patch.model;
    let mut object = Map::new();
    object.insert("model".to_owned(), json!(model.id()));
    object.extend(figures(Place::FIELDS, &voice.place.values()));
    object.extend(figures(model.fields(), &model.values()));
    let finish = figures(Finish::FIELDS, &voice.patch.finish.values());
    if !finish.is_empty() {
        object.insert("finish".to_owned(), Value::Object(finish));
    }
    Value::Object(object)
}

/// Every figure not at its off value, whole numbers without a point.
fn figures(fields: &[Field], values: &[f64]) -> Map<String, Value> {
    let shown = fields.iter().zip(values).filter(|(field, value)| !is_off(field, **value));
    shown.map(|(field, &value)| (field.name.to_owned(), number(value))).collect()
}

fn is_off(field: &Field, value: f64) -> bool {
    field.off.is_some_and(|off| (off - value).abs() < f64::EPSILON)
}

fn number(value: f64) -> Value {
    if value.fract().abs() < f64::EPSILON && value.abs() < 1e15 { json!(value as i64) } else { json!(value) }
}

/// A lower-case identifier: letters, digits, hyphens.
fn identifier(node: &Node) -> Option<String> {
    let fits = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-';
    let text = node.text(LONGEST_NAME)?;
    if text.chars().all(fits) { Some(text.to_owned()) } else { node.refuse("an identifier of a-z, 0-9 and hyphens") }
}

/// Something for each of several roles; every one is read, so that each fault is told.
fn by_role<T>(node: &Node, read: fn(&Node) -> Option<T>) -> Option<BTreeMap<Role, T>> {
    let read: Vec<_> = node.entries()?.iter().map(|(key, node)| Some((role(key, node)?, read(node)?))).collect();
    read.into_iter().collect()
}

/// The role a key names.
pub(super) fn role(key: &str, node: &Node) -> Option<Role> {
    let found = key.parse().ok();
    if found.is_none() {
        node.note(FaultKind::UnknownKey { known: Role::ALL.iter().map(|role| role.id().to_owned()).collect() });
    }
    found
}

/// One voice of a kit.
pub(super) fn voice(node: &Node) -> Option<Voice> {
    // The model decides which keys are known, so it is looked at before the rest.
    let models: Vec<(&str, &str)> = Model::IDS.iter().map(|&id| (id, id)).collect();
    let id = match node.value().get("model") {
        Some(Value::String(text)) => Model::IDS.iter().find(|id| *id == text).copied(),
        _ => None,
    };
    let Some((id, fields)) = id.and_then(|id| Model::fields_of(id).map(|fields| (id, fields))) else {
        let known: Vec<&str> =
            node.value().as_object().map(|map| map.keys().map(String::as_str).collect()).unwrap_or_default();
        return node.object(&known)?.field("model").and_then(|model| model.choice(&models)).and(None);
    };
    let known = ["model", "finish"].into_iter().chain(names(Place::FIELDS)).chain(names(fields));
    let object = node.object(&known.collect::<Vec<_>>())?;
    let place = Place::build(&mut |field| figure(&object, field));
    let model = Model::build(id, &mut |field| figure(&object, field));
    let finish = object.optionally("finish", |node| {
        let object = node.object(&names(Finish::FIELDS).collect::<Vec<_>>())?;
        Finish::build(&mut |field| figure(&object, field))
    });
    Some(Voice { place: place?, patch: Patch { model: model?, finish: finish?.unwrap_or(Finish::NONE) } })
}

fn tone(node: &Node) -> Option<Tone> {
    let object = node.object(&names(ToneFigures::FIELDS).chain(["room"]).collect::<Vec<_>>())?;
    let figures = ToneFigures::build(&mut |field| figure(&object, field));
    let room = object.field("room").and_then(|node| {
        let object = node.object(&names(Room::FIELDS).collect::<Vec<_>>())?;
        Room::build(&mut |field| figure(&object, field))
    });
    Some(Tone { figures: figures?, room: room? })
}

fn names(fields: &'static [Field]) -> impl Iterator<Item = &'static str> {
    fields.iter().map(|field| field.name)
}

/// One figure of an object, in range; its off value where it may be left out and is.
fn figure(object: &Object, field: &'static Field) -> Option<f64> {
    match (object.optional(field.name), field.off) {
        (None, Some(off)) => Some(off),
        (None, None) => object.field(field.name).and(None),
        (Some(node), off) => match node.value().as_f64() {
            Some(value) if field.admits(value) => Some(value),
            _ if field.whole => node.integer(field.lowest as i64..=field.highest as i64).map(|whole| whole as f64),
            _ => node.number(field.range()).or_else(|| off.filter(|off| node.value().as_f64() == Some(*off))),
        },
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const FILE: &str = r#"{
  "stickleback": 1,
  "kind": "kit",
  "id": "two-drums",
  "name": "Two drums",
  "voices": {
    "kick": {
      "model": "membrane",
      "level_db": -1.5,
      "release_ms": 30,
      "pitch_hz": 52,
      "start_hz": 150,
      "drop_ms": 40,
      "decay_ms": 250,
      "click_hz": 2500,
      "skin_hz": 800,
      "finish": {
        "drive": 0.2
      }
    },
    "clave": {
      "model": "wood",
      "level_db": 0,
      "release_ms": 20,
      "tone_hz": 2500,
      "decay_ms": 45,
      "knock_hz": 4000
    }
  },
  "tone": {
    "high_pass_hz": 30,
    "low_pass_hz": 17000,
    "level_db": 2.25,
    "room": {
      "decay_ms": 700,
      "wet_percent": 12,
      "damping": 0.4
    }
  }
}
"#;

    fn check(old: &str, new: &str, expected: &[&str]) {
        let text = FILE.replacen(old, new, 1);
        assert_ne!(text, FILE, "the file has no {old}");
        let faults: Vec<String> =
            read_kit(&text).map(|_| Vec::new()).unwrap_or_else(|f| f.iter().map(ToString::to_string).collect());
        assert_eq!(faults, expected, "{old} -> {new}");
    }

    #[test]
    fn a_file_reads_and_writes_back_to_the_byte() {
        let kit = read_kit(FILE).unwrap();
        assert_eq!(write_kit(&kit), FILE);
        assert_eq!(kit.check(), Ok(()));
        assert_eq!(kit_from_json(&kit_to_json(&kit)).as_ref(), Ok(&kit));
    }

    #[test]
    fn each_fault_of_a_file_is_told_with_its_place() {
        check(
            "\"decay_ms\": 250",
            "\"decay_ms\": 9000",
            &["voices.kick.decay_ms: expected a number from 10 to 4000, found 9000."],
        );
        check("\"decay_ms\": 250,", "", &["voices.kick.decay_ms: expected here, but missing."]);
        check(
            "\"drive\": 0.2",
            "\"drive\": \"hot\"",
            &["voices.kick.finish.drive: expected a number from 0 to 1, found the text \"hot\"."],
        );
        check(
            "\"stickleback\": 1",
            "\"stickleback\": 2",
            &["stickleback: expected a whole number from 1 to 1, found 2."],
        );
        check("\"kit\"", "\"style\"", &["kind: expected one of \"kit\", found the text \"style\"."]);
        check(
            "two-drums",
            "Two Drums",
            &["id: expected an identifier of a-z, 0-9 and hyphens, found the text \"Two Drums\"."],
        );
        check(
            "\"damping\": 0.4",
            "\"damp\": 0.4",
            &[
                "tone.room.damp: this key is not known here; known are decay_ms, wet_percent, damping, pre_delay_ms.",
                "tone.room.damping: expected here, but missing.",
            ],
        );
        let models = Model::IDS.iter().map(|id| format!("\"{id}\"")).collect::<Vec<_>>().join(", ");
        check(
            "\"model\": \"wood\"",
            "\"model\": \"plank\"",
            &[&format!("voices.clave.model: expected one of {models}, found the text \"plank\".")],
        );
        check("\"model\": \"wood\",", "", &["voices.clave.model: expected here, but missing."]);
        let roles = Role::ALL.map(Role::id).join(", ");
        check("\"clave\"", "\"claves\"", &[&format!("voices.claves: this key is not known here; known are {roles}.")]);
        check("\"voices\": {", "\"voices\": { \"rim\": 3,", &["voices.rim: expected an object, found 3."]);
    }
}
