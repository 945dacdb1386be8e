//! A stage: one part of a lesson, in which something is added to what stands already.
//!
//! A lesson starts from nothing: the style's metre, tempo, feel and sound, and no lane. Each stage's target is the target
//! before it, with `lanes` taken whole from the style's groove and then `change` made; see [`super::course`].

use super::condition::{read_places, write_places};
use super::groove::{read_id, refuse};
use super::hallmark::{read_variation, write_variation};
use super::lane::read_role;
use super::reader::Node;
use super::task::{self, Task};
use crate::rhythm::{Groove, Id};
use crate::role::Role;
use crate::style::{Places, Variation};
use serde_json::{Map, Value, json};

/// One entry of a lesson's stages. A lesson in which any entry is a text alone is not yet staged, and only told.
#[derive(Clone, Debug, PartialEq)]
pub enum StageEntry {
    /// What is built, in words alone; 1 to 400 characters.
    Told(String),
    /// A stage that can be played and built.
    Built(Box<Stage>),
}

impl StageEntry {
    /// What the stage says.
    pub fn text(&self) -> &str {
        match self {
            StageEntry::Told(text) => text,
            StageEntry::Built(stage) => &stage.text,
        }
    }
}

/// The stages among `entries`; `None` while any of them is only told, or where there are none.
pub fn built(entries: &[StageEntry]) -> Option<Vec<&Stage>> {
    let stages = entries.iter().map(|entry| match entry {
        StageEntry::Built(stage) => Some(&**stage),
        StageEntry::Told(_) => None,
    });
    stages.collect::<Option<Vec<_>>>().filter(|stages| !stages.is_empty())
}

/// One part of a lesson.
#[derive(Clone, Debug, PartialEq)]
pub struct Stage {
    /// Its name within the lesson, for links and progress.
    pub id: Id,
    /// Its title; 1 to 60 characters.
    pub title: String,
    /// One idea in plain words; 1 to 500 characters.
    pub text: String,
    /// What to listen for; 1 to 300 characters.
    pub listen: Option<String>,
    /// How to count it aloud; 1 to 120 characters.
    pub count: Option<String>,
    /// What to say for a stroke of a role (`boom`, `ka`), each at most 12 characters, in the file's order.
    pub say: Vec<(Role, String)>,
    /// Percent of the tempo it is best learned at, 50 to 100.
    pub pace: Option<u8>,
    /// Roles whose lanes come whole from the style's groove.
    pub lanes: Vec<Role>,
    /// What else changes.
    pub change: Option<Variation>,
    /// Strokes that get a pencil ring; where there are none, the strokes new in this stage do.
    pub topic: Vec<Topic>,
    /// What the learner is asked to do.
    pub task: Option<Task>,
}

/// Strokes a stage is about: those of a role on these places.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Topic {
    /// Whose.
    pub role: Role,
    /// Which; the bars of a phrase are those of the groove.
    pub places: Places,
}

const KEYS: [&str; 11] = ["id", "title", "text", "listen", "count", "say", "pace", "lanes", "change", "topic", "task"];

/// Reads one entry of the stages of the style whose groove is `reference` (objects are not read without one).
pub fn read(node: &Node, reference: Option<&Groove>) -> Option<StageEntry> {
    if let Value::String(_) = node.value() {
        return node.text(400).map(|text| StageEntry::Told(text.to_owned()));
    }
    let object = node.object(&KEYS)?;
    let text = |key: &str, most: usize| object.field(key).and_then(|n| n.text(most).map(str::to_owned));
    let maybe = |key: &str, most: usize| object.optionally(key, |n| n.text(most).map(str::to_owned));
    let id = object.field("id").and_then(|n| read_id(&n));
    let (title, words) = (text("title", 60), text("text", 500));
    let (listen, count) = (maybe("listen", 300), maybe("count", 120));
    let say = object.optionally("say", |n| {
        let read_one = |(role, n): &(&str, Node)| {
            let syllable = n.text(12).map(str::to_owned);
            match role.parse() {
                Ok(role) => Some((role, syllable?)),
                Err(_) => refuse(n, "a role as the key", "none"),
            }
        };
        let read: Vec<Option<(Role, String)>> = n.entries()?.iter().map(read_one).collect();
        read.into_iter().collect::<Option<Vec<_>>>()
    });
    let pace = object.optionally("pace", |n| n.integer(50..=100).map(|percent| percent as u8));
    let lanes = object.optionally("lanes", |n| n.each(24, read_role));
    let change = object.optionally("change", |n| match read_variation(n, reference?)? {
        change if change.instead.is_some() => n.refuse("a change within the metre and bars of the groove"),
        change => Some(change),
    });
    let topic = object.optionally("topic", |n| n.each(24, read_topic));
    let task = object.optionally("task", |n| task::read(n, reference?));
    Some(StageEntry::Built(Box::new(Stage {
        id: id?,
        title: title?,
        text: words?,
        listen: listen?,
        count: count?,
        say: say?.unwrap_or_default(),
        pace: pace?,
        lanes: lanes?.unwrap_or_default(),
        change: change?,
        topic: topic?.unwrap_or_default(),
        task: task?,
    })))
}

fn read_topic(node: &Node) -> Option<Topic> {
    let object = node.object(&["role", "places", "phrase"])?;
    let role = object.field("role").and_then(|n| read_role(&n));
    let places = read_places(&object);
    Some(Topic { role: role?, places: places? })
}

/// Writes an entry; `reference` is the style's groove.
pub fn write(entry: &StageEntry, reference: &Groove) -> Value {
    let stage = match entry {
        StageEntry::Told(text) => return json!(text),
        StageEntry::Built(stage) => stage,
    };
    let mut map = Map::new();
    let mut set = |key: &str, value: Value| {
        map.insert(key.to_owned(), value);
    };
    set("id", json!(stage.id.as_str()));
    set("title", json!(stage.title));
    set("text", json!(stage.text));
    if let Some(listen) = &stage.listen {
        set("listen", json!(listen));
    }
    if let Some(count) = &stage.count {
        set("count", json!(count));
    }
    if !stage.say.is_empty() {
        let syllables = stage.say.iter().map(|(role, syllable)| (role.id().to_owned(), json!(syllable)));
        set("say", Value::Object(syllables.collect()));
    }
    if let Some(pace) = stage.pace {
        set("pace", json!(pace));
    }
    if !stage.lanes.is_empty() {
        set("lanes", Value::Array(stage.lanes.iter().map(|role| json!(role.id())).collect()));
    }
    if let Some(change) = &stage.change {
        set("change", write_variation(change, reference));
    }
    if !stage.topic.is_empty() {
        set("topic", Value::Array(stage.topic.iter().map(write_topic).collect()));
    }
    if let Some(task) = &stage.task {
        set("task", task::write(task, reference));
    }
    Value::Object(map)
}

fn write_topic(topic: &Topic) -> Value {
    let mut map = Map::new();
    map.insert("role".to_owned(), json!(topic.role.id()));
    write_places(&mut |key, value| drop(map.insert(key.to_owned(), value)), &topic.places);
    Value::Object(map)
}
