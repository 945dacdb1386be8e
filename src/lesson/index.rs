//! The index of styles: the little of each that the first page needs, so that a style is fetched only when opened.

use super::groove::{
    self, read_bpm, read_header, read_id, read_metre, read_tempo, write_bpm, write_metre, write_tempo,
};
use super::layout;
use super::reader::{Fault, Node};
use super::style::{Style, TempoRange};
use crate::rhythm::{Id, Metre, Tempo};
use serde_json::{Value, json};

/// What the index tells of one style.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct IndexEntry {
    /// Its name in links and files.
    pub id: Id,
    /// Its name on the page.
    pub name: String,
    /// The family it is listed under.
    pub family: Id,
    /// What it is, in one sentence.
    pub essence: String,
    /// The tempo of its reference groove, written and felt.
    pub tempo: Tempo,
    /// Tempos it is played at.
    pub tempo_range: TempoRange,
    /// Its metre.
    pub metre: Metre,
    /// The kit it opens with.
    pub kit: Id,
}

impl From<&Style> for IndexEntry {
    fn from(style: &Style) -> IndexEntry {
        IndexEntry {
            id: style.id.clone(),
            name: style.name.clone(),
            family: style.family.clone(),
            essence: style.essence.clone(),
            tempo: style.groove.tempo,
            tempo_range: style.tempo_range,
            metre: style.groove.pattern.metre().clone(),
            kit: style.groove.sound.kit.clone(),
        }
    }
}

/// Reads an index file of at most 500 styles.
///
/// # Errors
/// Every fault, each with its place.
pub fn read(text: &str) -> Result<Vec<IndexEntry>, Vec<Fault>> {
    super::reader::read(&groove::parse(text)?, |root| {
        let file = root.object(&["stickleback", "kind", "styles"])?;
        let header = read_header(&file, "index");
        let styles = file.field("styles").and_then(|n| n.each(500, read_entry));
        header.and(styles)
    })
}

fn read_entry(node: &Node) -> Option<IndexEntry> {
    let entry = node.object(&["id", "name", "family", "essence", "metre", "tempo", "slowest", "fastest", "kit"])?;
    let id = |key: &str| entry.field(key).and_then(|n| read_id(&n));
    let bpm = |key: &str| entry.field(key).and_then(|n| read_bpm(&n));
    let (own, family, kit) = (id("id"), id("family"), id("kit"));
    let name = entry.field("name").and_then(|n| n.text(80).map(str::to_owned));
    let essence = entry.field("essence").and_then(|n| n.text(300).map(str::to_owned));
    let metre = entry.field("metre").and_then(|n| read_metre(&n));
    let tempo = entry.field("tempo").and_then(|n| read_tempo(&n));
    let (slowest, fastest) = (bpm("slowest"), bpm("fastest"));
    Some(IndexEntry {
        id: own?,
        name: name?,
        family: family?,
        essence: essence?,
        tempo: tempo?,
        tempo_range: TempoRange { slowest: slowest?, fastest: fastest? },
        metre: metre?,
        kit: kit?,
    })
}

/// Writes an index file.
pub fn write(entries: &[IndexEntry]) -> String {
    let styles: Vec<Value> = entries.iter().map(write_entry).collect();
    layout::write(&json!({"stickleback": groove::FORMAT, "kind": "index", "styles": styles}))
}

fn write_entry(entry: &IndexEntry) -> Value {
    json!({
        "id": entry.id.as_str(),
        "name": entry.name,
        "family": entry.family.as_str(),
        "essence": entry.essence,
        "metre": write_metre(&entry.metre),
        "tempo": write_tempo(&entry.tempo),
        "slowest": write_bpm(entry.tempo_range.slowest),
        "fastest": write_bpm(entry.tempo_range.fastest),
        "kit": entry.kit.as_str(),
    })
}
