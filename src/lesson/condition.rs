//! Conditions in files.
//!
//! `{"kind": "only-on", "voices": ["snare", "clap"], "places": ["2", "4"]}`; a phrase of several bars stands under
//! `phrase`: `[["3"], ["4"]]`, with `null` for a bar left open. `touch` is `sounded` (plain strokes and accents) unless it
//! is `any`, `accent` or `ghost`. See [`Condition`] for what each kind means.

use super::groove::{read_bpm, read_inside, read_metre, read_pair, read_swing};
use super::lane::read_role;
use super::note_value;
use super::reader::{Node, Object};
use crate::rhythm::{Lean, Metre, Tick};
use crate::style::{Condition, Per, Places, SoundMeasure, Spot, Touch, Voices};
use serde_json::Value;

mod writing;

pub use writing::{write, write_places};

const TOUCHES: [(&str, Touch); 4] =
    [("any", Touch::Any), ("sounded", Touch::Sounded), ("accent", Touch::Accent), ("ghost", Touch::Ghost)];
const PERS: [(&str, Per); 2] = [("bar", Per::Bar), ("loop", Per::Loop)];

/// Every kind with the keys it reads.
const KINDS: [(&str, &[&str]); 25] = [
    ("strikes", &["voices", "places", "phrase", "touch"]),
    ("only-on", &["voices", "places", "phrase", "touch"]),
    ("kept-empty", &["voices", "places", "phrase", "touch"]),
    ("some-of", &["voices", "places", "phrase", "touch", "at_least", "per"]),
    ("every", &["voices", "pulse", "touch"]),
    ("off-the-beat", &["voices", "percent"]),
    ("follows-cell", &["voices", "cell", "pulse", "touch", "only"]),
    ("count", &["voices", "touch", "per", "min", "max"]),
    ("displaced", &["voices", "places", "phrase", "within", "at_least"]),
    ("chain", &["voices", "gaps", "at_least"]),
    ("rolls", &["voices", "per", "min", "max"]),
    ("tuplets", &["voices", "at_least"]),
    ("slides", &["voices", "at_least"]),
    ("sustains", &["voices", "at_least"]),
    ("octave-leaps", &["voices", "at_least"]),
    ("tempo", &["min", "max", "unit"]),
    ("metre", &["any_of"]),
    ("beat-division", &["parts"]),
    ("swings", &["pair", "min", "max"]),
    ("straight", &["max"]),
    ("leans", &["voices", "min_ms", "max_ms"]),
    ("positions-early", &["at"]),
    ("sounds", &["voice", "measure", "min", "max"]),
    ("all", &["of"]),
    ("one-of", &["of"]),
];

/// The object of a condition, its keys checked against its kind.
fn open<'a>(node: &Node<'a>) -> Option<(&'static str, Object<'a>)> {
    let kind = node.value().get("kind").and_then(Value::as_str).unwrap_or_default();
    let Some((kind, keys)) = KINDS.iter().find(|(name, _)| *name == kind) else {
        let kinds: Vec<&str> = KINDS.iter().map(|(name, _)| *name).collect();
        return node.refuse(format!("a condition whose kind is one of {}", kinds.join(", ")));
    };
    let keys: Vec<&str> = ["kind"].into_iter().chain(keys.iter().copied()).collect();
    Some((kind, node.object(&keys)?))
}

/// Reads a condition.
pub fn read(node: &Node) -> Option<Condition> {
    let (kind, object) = open(node)?;
    if !matches!(kind, "all" | "one-of") {
        return read_single(kind, &object);
    }
    let parts = object.field("of")?;
    let conditions = parts.each(8, |part| match open(part)? {
        ("all" | "one-of", _) => part.refuse("a condition that has no parts itself"),
        (kind, object) => read_single(kind, &object),
    })?;
    match (kind, conditions.len()) {
        (_, 0 | 1) => parts.refuse("2 to 8 conditions"),
        ("all", _) => Some(Condition::All(conditions)),
        _ => Some(Condition::OneOf(conditions)),
    }
}

fn read_single(kind: &str, object: &Object) -> Option<Condition> {
    let place = |object: &Object| {
        let (voices, places, touch) = (voices(object), read_places(object), touch(object));
        Some((voices?, places?, touch?))
    };
    let some = |object: &Object| {
        let (voices, at_least) = (voices(object), few(object, "at_least"));
        Some((voices?, at_least?))
    };
    Some(match kind {
        "strikes" => place(object).map(|(voices, places, touch)| Condition::Strikes { voices, places, touch })?,
        "only-on" => place(object).map(|(voices, places, touch)| Condition::OnlyOn { voices, places, touch })?,
        "kept-empty" => place(object).map(|(voices, places, touch)| Condition::KeptEmpty { voices, places, touch })?,
        "some-of" => {
            let (place, at_least, per) = (place(object), few(object, "at_least"), per(object));
            let (voices, places, touch) = place?;
            Condition::SomeOf { voices, places, touch, at_least: at_least?, per: per? }
        }
        "every" => {
            let (voices, pulse, touch) = (voices(object), length(object, "pulse"), touch(object));
            Condition::Every { voices: voices?, pulse: pulse?, touch: touch? }
        }
        "off-the-beat" => {
            let (voices, percent) = (voices(object), object.field("percent").and_then(|n| n.integer(1..=100)));
            Condition::OffTheBeat { voices: voices?, percent: percent? as u8 }
        }
        "follows-cell" => {
            let (voices, pulse, touch) = (voices(object), length(object, "pulse"), touch(object));
            let cell = object.field("cell").and_then(|n| match n.each(16, |n| n.integer(1..=32).map(|g| g as u8))? {
                cell if cell.is_empty() => n.refuse("at least one group"),
                cell => Some(cell),
            });
            let only = object.optionally("only", Node::boolean);
            Condition::FollowsCell {
                voices: voices?,
                cell: cell?,
                pulse: pulse?,
                touch: touch?,
                only: only?.unwrap_or(false),
            }
        }
        "count" => {
            let (voices, touch, per, range) = (voices(object), touch(object), per(object), range(object));
            let (min, max) = range?;
            Condition::Count { voices: voices?, touch: touch?, per: per?, min, max }
        }
        "displaced" => {
            let (some, places, within) = (some(object), read_places(object), length(object, "within"));
            let (voices, at_least) = some?;
            Condition::Displaced { voices, places: places?, within: within?, at_least }
        }
        "chain" => {
            let gaps = object.field("gaps").and_then(|n| {
                let gaps = n.each(8, |n| note_value::read(n, Tick(1), Tick(30_720)))?;
                if gaps.is_empty() { n.refuse("at least one note value") } else { Some(gaps) }
            });
            let (voices, at_least) = some(object)?;
            Condition::Chain { voices, gaps: gaps?, at_least }
        }
        "rolls" => {
            let (voices, per, range) = (voices(object), per(object), range(object));
            let (min, max) = range?;
            Condition::Rolls { voices: voices?, per: per?, min, max }
        }
        "tuplets" => some(object).map(|(voices, at_least)| Condition::Tuplets { voices, at_least })?,
        "slides" => some(object).map(|(voices, at_least)| Condition::Slides { voices, at_least })?,
        "octave-leaps" => some(object).map(|(voices, at_least)| Condition::OctaveLeaps { voices, at_least })?,
        "sustains" => {
            let (voices, at_least) = (voices(object), length(object, "at_least"));
            Condition::Sustains { voices: voices?, at_least: at_least? }
        }
        "tempo" => {
            let bpm = |key| object.field(key).and_then(|n| read_bpm(&n));
            let (min, max) = (bpm("min"), bpm("max"));
            let unit = object.optionally("unit", |n| note_value::read(n, Tick(120), Tick(7680)));
            let (min, max) = ordered(object, min?, max?)?;
            Condition::Tempo { min, max, unit: unit?.unwrap_or(Tick::QUARTER) }
        }
        "metre" => {
            let node = object.field("any_of")?;
            let any_of = node.each(8, read_metre)?;
            if any_of.is_empty() {
                return node.refuse("at least one metre");
            }
            Condition::Metre { any_of }
        }
        "beat-division" => Condition::BeatDivision { parts: object.field("parts")?.integer(2..=8)? as u8 },
        "swings" => {
            let swing = |key| object.field(key).and_then(|n| read_swing(&n));
            let (pair, min, max) = (object.field("pair").and_then(|n| read_pair(&n)), swing("min"), swing("max"));
            let (min, max) = ordered(object, min?, max?)?;
            Condition::Swings { pair: pair?, min, max }
        }
        "straight" => Condition::Straight { max: read_swing(&object.field("max")?)? },
        "leans" => {
            let lean = |key| object.field(key).and_then(|n| Lean::from_ms(n.number(-60.0..=60.0)?));
            let (voices, min, max) = (voices(object), lean("min_ms"), lean("max_ms"));
            let (min, max) = ordered(object, min?, max?)?;
            Condition::Leans { voices: voices?, min, max }
        }
        "positions-early" => {
            let node = object.field("at")?;
            let at = node.each(16, |n| read_inside(n, &Metre::four_four()))?;
            if at.is_empty() {
                return node.refuse("at least one place");
            }
            Condition::PositionsEarly { at }
        }
        "sounds" => {
            let measures = SoundMeasure::ALL.map(|measure| (measure.id(), measure));
            let voice = object.optionally("voice", read_role);
            let measure = object.field("measure").and_then(|n| n.choice(&measures));
            let end = |key| object.optionally(key, |n| n.number(-1e6..=1e6));
            let (min, max) = (end("min"), end("max"));
            let (min, max) = (min?, max?);
            if min.is_none() && max.is_none() {
                return object.node().refuse("min, max or both");
            }
            if let (Some(min), Some(max)) = (min, max) {
                ordered(object, min, max)?;
            }
            Condition::Sounds { voice: voice?, measure: measure?, min, max }
        }
        _ => return None,
    })
}

fn ordered<T: PartialOrd>(object: &Object, min: T, max: T) -> Option<(T, T)> {
    if min <= max { Some((min, max)) } else { object.node().refuse("min not over max") }
}

fn voices(object: &Object) -> Option<Voices> {
    let node = object.field("voices")?;
    let voices = node.each(8, read_role)?;
    if voices.is_empty() { node.refuse("at least one role") } else { Some(voices) }
}

fn spots(node: &Node) -> Option<Vec<Spot>> {
    node.each(64, |n| n.parsed("a place such as 2 or a of 2", |text| Spot::parse(text).ok()))
}

/// Reads the places of an object: the same in every bar (`places`) or bar by bar (`phrase`).
pub fn read_places(object: &Object) -> Option<Places> {
    match (object.optional("places"), object.optional("phrase")) {
        (Some(node), None) => Some(Places::every_bar(spots(&node)?)),
        (None, Some(node)) => {
            let bars = node.each(8, |n| if n.value().is_null() { Some(None) } else { spots(n).map(Some) })?;
            if bars.len() < 2 { node.refuse("2 to 8 bars (one bar stands under places)") } else { Some(Places(bars)) }
        }
        _ => object.node().refuse("places or a phrase, and not both"),
    }
}

fn touch(object: &Object) -> Option<Touch> {
    Some(object.optionally("touch", |n| n.choice(&TOUCHES))?.unwrap_or_default())
}

fn per(object: &Object) -> Option<Per> {
    object.field("per")?.choice(&PERS)
}

fn few(object: &Object, key: &str) -> Option<u8> {
    object.field(key)?.integer(1..=64).map(|n| n as u8)
}

fn length(object: &Object, key: &str) -> Option<Tick> {
    note_value::read(&object.field(key)?, Tick(1), Tick(30_720))
}

fn range(object: &Object) -> Option<(u16, Option<u16>)> {
    let min = object.field("min").and_then(|n| n.integer(0..=8192));
    let max = object.optionally("max", |n| n.integer(0..=8192));
    let (min, max) = (min? as u16, max?.map(|max| max as u16));
    ordered(object, min, max.unwrap_or(u16::MAX))?;
    Some((min, max))
}
