//! Reading and writing style files; see [`Style`] for what is in them.

use super::course::{Course, CourseFault};
use super::groove::{self, read_bpm, read_header, read_id, read_swing, write_bpm};
use super::hallmark::{
    read_hallmark, read_neighbour, read_variation, write_hallmark, write_neighbour, write_variation,
};
use super::lane::read_role;
use super::reader::{Fault, Node};
use super::stage::{StageEntry, built};
use super::style::{LaneNote, LeanRange, LessonFacts, Style, SwingRange, TempoRange, Variant};
use super::{layout, stage};
use crate::rhythm::{Groove, Id, Lean};
use crate::style::Hallmark;
use serde_json::{Map, Value, json};

/// The keys of a style file, in order.
const KEYS: [&str; 21] = [
    "stickleback",
    "kind",
    "id",
    "name",
    "family",
    "essence",
    "signature",
    "origin",
    "counting",
    "tempo_range",
    "swing_range",
    "mode",
    "loudness",
    "confidence",
    "groove",
    "leans",
    "lane_notes",
    "variants",
    "hallmarks",
    "neighbours",
    "lesson",
];

/// Reads a style file.
///
/// # Errors
/// Every fault, each with its place. Beyond what single values may be: the groove has a lane; ranges are in order and
/// hold the groove's own tempo and swing; identifiers of hallmarks and variants are unique; a hallmark implies only others
/// of the style; places of conditions exist in the groove's metre; no style is its own neighbour; the stages of a
/// staged lesson make a [`Course`].
pub fn read(text: &str) -> Result<Style, Vec<Fault>> {
    super::reader::read(&groove::parse(text)?, read_root)
}

fn read_root(root: Node) -> Option<Style> {
    let file = root.object(&KEYS)?;
    let header = read_header(&file, "style");
    let text = |key: &str, most: usize| file.field(key).and_then(|n| n.text(most).map(str::to_owned));
    let id = file.field("id").and_then(|n| read_id(&n));
    let name = text("name", 80);
    let family = file.field("family").and_then(|n| read_id(&n));
    let (essence, signature, origin) = (text("essence", 300), text("signature", 160), text("origin", 500));
    let (counting, mode, loudness) = (text("counting", 600), text("mode", 80), text("loudness", 400));
    let confidence = text("confidence", 600);
    let groove = file.field("groove").and_then(|n| match groove::read_node(&n)? {
        groove if groove.pattern.lanes().is_empty() => groove::refuse(&n, "at least one lane", "none"),
        groove => Some(groove),
    });
    let reference = groove.as_ref();
    let tempo_range = file.field("tempo_range").and_then(|n| read_tempo_range(&n, reference));
    let swing_range = file.field("swing_range").and_then(|n| read_swing_range(&n, reference));
    let leans = file.optionally("leans", |n| n.each(24, read_lean_range));
    let lane_notes = file.optionally("lane_notes", |n| {
        let read_note = |(role, n): &(&str, Node)| {
            let text = n.text(300).map(str::to_owned);
            match role.parse() {
                Ok(role) => Some(LaneNote { role, text: text? }),
                Err(_) => groove::refuse(n, "a role as the key", "none"),
            }
        };
        let notes: Vec<Option<LaneNote>> = n.entries()?.iter().map(read_note).collect();
        notes.into_iter().collect::<Option<Vec<_>>>()
    });
    let variants = file.optionally("variants", |n| {
        let read: Vec<Variant> = n.each(16, |n| read_variant(n, reference))?;
        unique(n, read.iter().map(|variant| &variant.id)).then_some(read)
    });
    let hallmarks = file.field("hallmarks").and_then(|n| {
        let read = n.each(16, |n| read_hallmark(n, reference))?;
        let unique = unique(&n, read.iter().map(|hallmark| &hallmark.id));
        let sound = check_hallmarks(&n, &read, reference);
        (unique && sound).then_some(read)
    });
    let neighbours = file.field("neighbours").and_then(|n| {
        let read = n.each(8, read_neighbour)?;
        if read.iter().any(|neighbour| Some(&neighbour.id) == id.as_ref()) {
            return groove::refuse(&n, "other styles", "this one");
        }
        unique(&n, read.iter().map(|neighbour| &neighbour.id)).then_some(read)
    });
    let lesson = file.field("lesson").and_then(|n| read_lesson(&n, reference));
    header?;
    Some(Style {
        id: id?,
        name: name?,
        family: family?,
        essence: essence?,
        origin: origin?,
        counting: counting?,
        signature: signature?,
        confidence: confidence?,
        tempo_range: tempo_range?,
        swing_range: swing_range?,
        mode: mode?,
        loudness: loudness?,
        leans: leans?.unwrap_or_default(),
        lane_notes: lane_notes?.unwrap_or_default(),
        groove: groove?,
        variants: variants?.unwrap_or_default(),
        hallmarks: hallmarks?,
        neighbours: neighbours?,
        lesson: lesson?,
    })
}

/// Whether no identifier comes twice; notes the first that does.
fn unique<'i>(node: &Node, ids: impl Iterator<Item = &'i Id>) -> bool {
    let mut met: Vec<&Id> = Vec::new();
    for id in ids {
        if met.contains(&id) {
            let _: Option<()> = groove::refuse(node, "every id once", &format!("\"{id}\" twice"));
            return false;
        }
        met.push(id);
    }
    true
}

/// Whether hallmarks refer to one another and to places the metre has; notes each that does not.
fn check_hallmarks(node: &Node, hallmarks: &[Hallmark], groove: Option<&Groove>) -> bool {
    let mut sound = true;
    let mut fault = |index: usize, key: &str, expected: &str, found: &str| {
        let _: Option<()> = groove::refuse(&node.within(&format!("[{index}].{key}")), expected, found);
        sound = false;
    };
    for (index, hallmark) in hallmarks.iter().enumerate() {
        for implied in &hallmark.implies {
            if *implied == hallmark.id || !hallmarks.iter().any(|other| other.id == *implied) {
                fault(index, "implies", "another hallmark of the style", &format!("\"{implied}\""));
            }
        }
        let Some(groove) = groove else { continue };
        let metre = groove.pattern.metre();
        for spot in hallmark.condition.spots() {
            if spot.tick(metre).is_err() {
                fault(index, "condition", &format!("places of {metre}"), &format!("\"{spot}\""));
            }
        }
    }
    sound
}

fn read_tempo_range(node: &Node, groove: Option<&Groove>) -> Option<TempoRange> {
    let object = node.object(&["slowest", "fastest"])?;
    let slowest = object.field("slowest").and_then(|n| read_bpm(&n));
    let fastest = object.field("fastest").and_then(|n| read_bpm(&n));
    let range = TempoRange { slowest: slowest?, fastest: fastest? };
    if range.slowest > range.fastest {
        return node.refuse("slowest not over fastest");
    }
    match groove.map(|groove| groove.tempo.bpm) {
        Some(bpm) if !(range.slowest..=range.fastest).contains(&bpm) => {
            groove::refuse(node, &format!("a range that holds the groove's {bpm} BPM"), "one beside it")
        }
        _ => Some(range),
    }
}

fn read_swing_range(node: &Node, groove: Option<&Groove>) -> Option<SwingRange> {
    let object = node.object(&["lightest", "strongest"])?;
    let lightest = object.field("lightest").and_then(|n| read_swing(&n));
    let strongest = object.field("strongest").and_then(|n| read_swing(&n));
    let range = SwingRange { lightest: lightest?, strongest: strongest? };
    if range.lightest > range.strongest {
        return node.refuse("lightest not over strongest");
    }
    match groove.map(|groove| groove.feel.swing()) {
        Some(swing) if !(range.lightest..=range.strongest).contains(&swing) => {
            groove::refuse(node, &format!("a range that holds the groove's {} %", swing.percent()), "one beside it")
        }
        _ => Some(range),
    }
}

fn read_lean_range(node: &Node) -> Option<LeanRange> {
    let object = node.object(&["role", "earliest_ms", "latest_ms", "why"])?;
    let lean = |key: &str| object.field(key).and_then(|n| Lean::from_ms(n.number(-60.0..=60.0)?));
    let role = object.field("role").and_then(|n| read_role(&n));
    let (earliest, latest) = (lean("earliest_ms"), lean("latest_ms"));
    let why = object.field("why").and_then(|n| n.text(200).map(str::to_owned));
    let range = LeanRange { role: role?, earliest: earliest?, latest: latest?, why: why? };
    if range.earliest <= range.latest { Some(range) } else { node.refuse("earliest_ms not over latest_ms") }
}

fn read_variant(node: &Node, groove: Option<&Groove>) -> Option<Variant> {
    let object = node.object(&["id", "name", "note", "change"])?;
    let id = object.field("id").and_then(|n| read_id(&n));
    let name = object.field("name").and_then(|n| n.text(80).map(str::to_owned));
    let note = object.optionally("note", |n| n.text(300).map(str::to_owned));
    let change = object.field("change").and_then(|n| read_variation(&n, groove?));
    Some(Variant { id: id?, name: name?, note: note?.unwrap_or_default(), change: change? })
}

fn read_lesson(node: &Node, reference: Option<&Groove>) -> Option<LessonFacts> {
    let object = node.object(&["stages", "listen", "mistake", "hear_first"])?;
    let text = |key: &str| object.field(key).and_then(|n| n.text(500).map(str::to_owned));
    let stages = object.field("stages").and_then(|n| n.each(12, |n| stage::read(n, reference)));
    let sound = match (object.optional("stages"), &stages, reference) {
        (Some(node), Some(stages), Some(reference)) => check_stages(&node, stages, reference),
        _ => true,
    };
    let (listen, mistake, hear_first) = (text("listen"), text("mistake"), text("hear_first"));
    let lesson = LessonFacts { stages: stages?, listen: listen?, mistake: mistake?, hear_first: hear_first? };
    sound.then_some(lesson)
}

/// Whether a staged lesson can be taught; notes what in it cannot be.
fn check_stages(node: &Node, entries: &[StageEntry], reference: &Groove) -> bool {
    let Some(stages) = built(entries) else { return true };
    let Err(faults) = Course::over(reference, &stages) else { return true };
    for fault in faults {
        let (at, expected, found) = match fault {
            CourseFault::NotStaged => continue,
            CourseFault::IdTwice(stage, id) => {
                (format!("[{stage}].id"), "every id once".to_owned(), format!("\"{id}\" twice"))
            }
            CourseFault::NoLane(stage, key, role) => {
                (format!("[{stage}].{key}"), "a role that has a lane there".to_owned(), format!("\"{role}\""))
            }
            CourseFault::Unfit(stage, key, error) => {
                (format!("[{stage}].{key}"), "a change that fits the groove".to_owned(), error.to_string())
            }
            CourseFault::NoStroke(stage, topic, spot) => {
                let at = format!("[{stage}].topic[{topic}]");
                (at, "places where the stage has a stroke".to_owned(), format!("\"{spot}\""))
            }
            CourseFault::TooManyBars(stage, topic) => {
                let bars = format!("at most {} bars", reference.pattern.bars());
                (format!("[{stage}].topic[{topic}].phrase"), bars, "more".to_owned())
            }
            CourseFault::SolvedAtStart(stage) => {
                let expected = "a task with something left to do at its start";
                (format!("[{stage}].task"), expected.to_owned(), "one that is solved there".to_owned())
            }
            CourseFault::Unsolved(stage) => {
                let expected = "a goal that holds in the solution";
                (format!("[{stage}].task.goal"), expected.to_owned(), "one that does not".to_owned())
            }
        };
        let _: Option<()> = groove::refuse(&node.within(&at), &expected, &found);
    }
    false
}

/// Writes a style file; [`read`] gives the style back, and what was written so reads and writes to the same bytes.
pub fn write(style: &Style) -> String {
    let mut map = Map::new();
    let mut set = |key: &str, value: Value| {
        map.insert(key.to_owned(), value);
    };
    set("stickleback", json!(groove::FORMAT));
    set("kind", json!("style"));
    set("id", json!(style.id.as_str()));
    set("name", json!(style.name));
    set("family", json!(style.family.as_str()));
    set("essence", json!(style.essence));
    set("signature", json!(style.signature));
    set("origin", json!(style.origin));
    set("counting", json!(style.counting));
    let TempoRange { slowest, fastest } = style.tempo_range;
    set("tempo_range", json!({"slowest": write_bpm(slowest), "fastest": write_bpm(fastest)}));
    let SwingRange { lightest, strongest } = style.swing_range;
    let percent = |swing: crate::rhythm::Swing| layout::number(swing.percent());
    set("swing_range", json!({"lightest": percent(lightest), "strongest": percent(strongest)}));
    set("mode", json!(style.mode));
    set("loudness", json!(style.loudness));
    set("confidence", json!(style.confidence));
    set("groove", Value::Object(groove::write_object(&style.groove)));
    if !style.leans.is_empty() {
        set("leans", Value::Array(style.leans.iter().map(write_lean_range).collect()));
    }
    if !style.lane_notes.is_empty() {
        let notes = style.lane_notes.iter().map(|note| (note.role.id().to_owned(), json!(note.text)));
        set("lane_notes", Value::Object(notes.collect()));
    }
    if !style.variants.is_empty() {
        set("variants", Value::Array(style.variants.iter().map(|v| write_variant(v, &style.groove)).collect()));
    }
    set("hallmarks", Value::Array(style.hallmarks.iter().map(|h| write_hallmark(h, &style.groove)).collect()));
    set("neighbours", Value::Array(style.neighbours.iter().map(write_neighbour).collect()));
    let LessonFacts { stages, listen, mistake, hear_first } = &style.lesson;
    let stages: Vec<Value> = stages.iter().map(|entry| stage::write(entry, &style.groove)).collect();
    set("lesson", json!({"stages": stages, "listen": listen, "mistake": mistake, "hear_first": hear_first}));
    layout::write(&Value::Object(map))
}

fn write_lean_range(range: &LeanRange) -> Value {
    json!({
        "role": range.role.id(),
        "earliest_ms": layout::number(range.earliest.ms()),
        "latest_ms": layout::number(range.latest.ms()),
        "why": range.why,
    })
}

fn write_variant(variant: &Variant, groove: &Groove) -> Value {
    let mut map = Map::new();
    map.insert("id".to_owned(), json!(variant.id.as_str()));
    map.insert("name".to_owned(), json!(variant.name));
    if !variant.note.is_empty() {
        map.insert("note".to_owned(), json!(variant.note));
    }
    map.insert("change".to_owned(), write_variation(&variant.change, groove));
    Value::Object(map)
}
