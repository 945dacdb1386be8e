//! Hallmarks with their foils, and neighbours, in files; and the variations foils and variants are written as.

use super::groove::{
    read_dynamics, read_feel, read_id, read_lanes, read_sound, read_tempo, usual_pulse, write_dynamics, write_feel,
    write_lanes, write_sound, write_tempo,
};
use super::lane::read_role;
use super::reader::Node;
use super::{condition, groove};
use crate::rhythm::boxes::Ruling;
use crate::rhythm::{Dynamics, Groove};
use crate::style::{Aspect, Foil, Hallmark, Neighbour, Rank, Variation};
use serde_json::{Map, Value, json};

const RANKS: [(&str, Rank); 3] =
    [("frame", Rank::Frame), ("signature", Rank::Signature), ("seasoning", Rank::Seasoning)];

const ASPECTS: [(&str, Aspect); 7] = [
    ("pattern", Aspect::Pattern),
    ("tempo", Aspect::Tempo),
    ("feel", Aspect::Feel),
    ("sound", Aspect::Sound),
    ("metre", Aspect::Metre),
    ("notation", Aspect::Notation),
    ("counting", Aspect::Counting),
];

/// Reads one hallmark of the style whose reference groove is `reference` (foils are not read without one).
pub fn read_hallmark(node: &Node, reference: Option<&Groove>) -> Option<Hallmark> {
    let object = node.object(&["id", "rank", "sentence", "condition", "implies", "foil"])?;
    let id = object.field("id").and_then(|n| read_id(&n));
    let rank = object.field("rank").and_then(|n| n.choice(&RANKS));
    let sentence = object.field("sentence").and_then(|n| n.text(300).map(str::to_owned));
    let condition = object.field("condition").and_then(|n| condition::read(&n));
    let implies = object.optionally("implies", |n| n.each(16, read_id));
    let foil = object.optionally("foil", |n| {
        let object = n.object(&["name", "change"])?;
        let name = object.field("name").and_then(|n| n.text(120).map(str::to_owned));
        let change = object.field("change").and_then(|n| read_variation(&n, reference?));
        Some(Foil { name: name?, change: change? })
    });
    Some(Hallmark {
        id: id?,
        rank: rank?,
        sentence: sentence?,
        condition: condition?,
        implies: implies?.unwrap_or_default(),
        foil: foil?,
    })
}

/// Writes a hallmark.
pub fn write_hallmark(hallmark: &Hallmark, reference: &Groove) -> Value {
    let mut map = Map::new();
    map.insert("id".to_owned(), json!(hallmark.id.as_str()));
    map.insert("rank".to_owned(), super::word(&RANKS, &hallmark.rank));
    map.insert("sentence".to_owned(), json!(hallmark.sentence));
    map.insert("condition".to_owned(), condition::write(&hallmark.condition));
    if !hallmark.implies.is_empty() {
        let implied: Vec<&str> = hallmark.implies.iter().map(crate::rhythm::Id::as_str).collect();
        map.insert("implies".to_owned(), json!(implied));
    }
    if let Some(foil) = &hallmark.foil {
        let change = write_variation(&foil.change, reference);
        map.insert("foil".to_owned(), json!({"name": foil.name, "change": change}));
    }
    Value::Object(map)
}

/// Reads one neighbour.
pub fn read_neighbour(node: &Node) -> Option<Neighbour> {
    let object = node.object(&["id", "aspects", "how"])?;
    let id = object.field("id").and_then(|n| read_id(&n));
    let aspects = object.field("aspects").and_then(|n| {
        let aspects = n.each(7, |n| n.choice(&ASPECTS))?;
        let repeated = (1..aspects.len()).any(|i| aspects[..i].contains(&aspects[i]));
        if aspects.is_empty() || repeated { n.refuse("at least one aspect, each once") } else { Some(aspects) }
    });
    let how = object.field("how").and_then(|n| n.text(400).map(str::to_owned));
    Some(Neighbour { id: id?, aspects: aspects?, how: how? })
}

/// Writes a neighbour.
pub fn write_neighbour(neighbour: &Neighbour) -> Value {
    let aspects: Vec<Value> = neighbour.aspects.iter().map(|aspect| super::word(&ASPECTS, aspect)).collect();
    json!({"id": neighbour.id.as_str(), "aspects": aspects, "how": neighbour.how})
}

/// What lanes of a variation are written over: the reference groove's bars, and its own loudnesses if it has any.
fn ruling(reference: &Groove, dynamics: Option<Dynamics>) -> Ruling<'_> {
    Ruling {
        metre: reference.pattern.metre(),
        bars: reference.pattern.bars(),
        pulse: usual_pulse(reference),
        dynamics: dynamics.unwrap_or(reference.dynamics),
    }
}

/// Reads a variation of `reference`: `tempo`, `feel`, `dynamics`, `sound`, `lanes`, `without` (roles), or `instead` (a
/// groove of its own, alone).
pub fn read_variation(node: &Node, reference: &Groove) -> Option<Variation> {
    let object = node.object(&["tempo", "feel", "dynamics", "sound", "lanes", "without", "instead"])?;
    let tempo = object.optionally("tempo", read_tempo);
    let feel = object.optionally("feel", |n| read_feel(n, Some(reference.pattern.metre())));
    let dynamics = object.optionally("dynamics", read_dynamics);
    let sound = object.optionally("sound", read_sound);
    let ruling = ruling(reference, dynamics.flatten());
    let lanes = object.optionally("lanes", |n| read_lanes(n, &ruling));
    let without = object.optionally("without", |n| n.each(24, read_role));
    let instead = object.optionally("instead", |n| groove::read_node(n).map(Box::new));
    let variation = Variation {
        tempo: tempo?,
        feel: feel?,
        dynamics: dynamics?,
        sound: sound?,
        lanes: lanes?.unwrap_or_default(),
        without: without?.unwrap_or_default(),
        instead: instead?,
    };
    if variation.is_empty() {
        return node.refuse("a change");
    }
    if variation.instead.is_some() && (Variation { instead: None, ..variation.clone() }) != Variation::default() {
        return node.refuse("instead alone");
    }
    Some(variation)
}

/// Writes a variation of `reference`.
pub fn write_variation(variation: &Variation, reference: &Groove) -> Value {
    let mut map = Map::new();
    let mut set = |key: &str, value: Option<Value>| {
        if let Some(value) = value {
            map.insert(key.to_owned(), value);
        }
    };
    set("tempo", variation.tempo.as_ref().map(write_tempo));
    set("feel", variation.feel.as_ref().map(|feel| write_feel(feel, reference.pattern.metre())));
    set("dynamics", variation.dynamics.as_ref().map(write_dynamics));
    set("sound", variation.sound.as_ref().map(write_sound));
    let ruling = ruling(reference, variation.dynamics);
    set("lanes", (!variation.lanes.is_empty()).then(|| write_lanes(&variation.lanes, &ruling)));
    let without: Vec<&str> = variation.without.iter().map(|role| role.id()).collect();
    set("without", (!without.is_empty()).then(|| json!(without)));
    set("instead", variation.instead.as_ref().map(|groove| Value::Object(groove::write_object(groove))));
    Value::Object(map)
}
