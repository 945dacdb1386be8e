//! Tasks: what a stage asks the learner to do, checked and never trusted.
//!
//! ```json
//! {"kind": "build", "ask": "Put the clap on 3.", "goal": {condition}, "hints": ["...", "...", "..."]}
//! {"kind": "predict", "ask": "Mark where the second clap falls.", "lane": "clap", "hints": ["...", "..."]}
//! {"kind": "choose", "ask": "Later or earlier?", "choices": ["later", "earlier"], "answer": 0, "because": "..."}
//! ```
//! `start` and `solution` of a build task, and `change` of a choice, are written as variations; see [`super::course`] for
//! what they change and what stands where they are absent.

use super::condition;
use super::groove::refuse;
use super::hallmark::{read_variation, write_variation};
use super::lane::read_role;
use super::reader::{Node, Object};
use crate::rhythm::Groove;
use crate::role::Role;
use crate::style::{Condition, Variation};
use serde_json::{Map, Value, json};

/// What a stage asks the learner to do.
#[derive(Clone, Debug, PartialEq)]
pub enum Task {
    /// To make a condition true.
    Build(Build),
    /// To mark a lane's strokes before hearing them.
    Predict(Predict),
    /// To choose an answer before hearing.
    Choose(Choose),
}

/// A groove to be changed until a condition holds.
#[derive(Clone, Debug, PartialEq)]
pub struct Build {
    /// What is asked; 1 to 240 characters.
    pub ask: String,
    /// What has to be true.
    pub goal: Condition,
    /// What the learner starts from, over the stage's target; `None` is the target before, with the stage's new lanes empty.
    pub start: Option<Variation>,
    /// One solution, over the start; `None` is the stage's target.
    pub solution: Option<Variation>,
    /// Hints, each telling more: the first turns the ear, the next names a beat or a lane, the last gives the answer.
    pub hints: Hints,
}

/// A lane whose strokes are to be marked before they are heard.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Predict {
    /// What is asked; 1 to 240 characters.
    pub ask: String,
    /// Whose strokes; the first lane of that role.
    pub lane: Role,
    /// As in [`Build::hints`].
    pub hints: Hints,
}

/// A question with a few answers.
#[derive(Clone, Debug, PartialEq)]
pub struct Choose {
    /// What is asked; 1 to 240 characters.
    pub ask: String,
    /// What is heard against the stage's target.
    pub change: Option<Variation>,
    /// 2 to 5 answers of 1 to 80 characters, each different.
    pub choices: Vec<String>,
    /// The right one, from 0.
    pub answer: u8,
    /// Why; 1 to 400 characters.
    pub because: String,
}

/// Two or three hints of 1 to 240 characters.
pub type Hints = Vec<String>;

impl Task {
    /// What is asked.
    pub fn ask(&self) -> &str {
        match self {
            Task::Build(task) => &task.ask,
            Task::Predict(task) => &task.ask,
            Task::Choose(task) => &task.ask,
        }
    }

    /// The hints, from the lightest to the answer; a choice has none.
    pub fn hints(&self) -> &[String] {
        match self {
            Task::Build(task) => &task.hints,
            Task::Predict(task) => &task.hints,
            Task::Choose(_) => &[],
        }
    }
}

/// Every kind with the keys it reads.
const KINDS: [(&str, &[&str]); 3] = [
    ("build", &["kind", "ask", "goal", "start", "solution", "hints"]),
    ("predict", &["kind", "ask", "lane", "hints"]),
    ("choose", &["kind", "ask", "change", "choices", "answer", "because"]),
];

/// Reads a task of a lesson over the groove `reference`.
pub fn read(node: &Node, reference: &Groove) -> Option<Task> {
    let kind = node.value().get("kind").and_then(Value::as_str).unwrap_or_default();
    let Some((kind, keys)) = KINDS.iter().find(|(name, _)| *name == kind) else {
        return node.refuse("a task whose kind is one of build, predict, choose");
    };
    let object = node.object(keys)?;
    let ask = object.field("ask").and_then(|n| n.text(240).map(str::to_owned));
    match *kind {
        "build" => {
            let goal = object.field("goal").and_then(|n| read_goal(&n, reference));
            let start = object.optionally("start", |n| read_inside(n, reference));
            let solution = object.optionally("solution", |n| read_inside(n, reference));
            let hints = read_hints(&object);
            Some(Task::Build(Build { ask: ask?, goal: goal?, start: start?, solution: solution?, hints: hints? }))
        }
        "predict" => {
            let lane = object.field("lane").and_then(|n| read_role(&n));
            let hints = read_hints(&object);
            Some(Task::Predict(Predict { ask: ask?, lane: lane?, hints: hints? }))
        }
        _ => {
            let change = object.optionally("change", |n| read_variation(n, reference));
            let choices = object.field("choices").and_then(|n| read_choices(&n));
            let last = choices.as_ref().map_or(5, Vec::len) as i64 - 1;
            let answer = object.field("answer").and_then(|n| n.integer(0..=last));
            let because = object.field("because").and_then(|n| n.text(400).map(str::to_owned));
            let (choices, answer) = (choices?, answer? as u8);
            Some(Task::Choose(Choose { ask: ask?, change: change?, choices, answer, because: because? }))
        }
    }
}

/// Reads the goal of a task; its places must be places of the groove's metre.
fn read_goal(node: &Node, reference: &Groove) -> Option<Condition> {
    let goal = condition::read(node)?;
    let metre = reference.pattern.metre();
    let strange = goal.spots().find(|spot| spot.tick(metre).is_err()).copied();
    match strange {
        Some(spot) => refuse(node, &format!("places of {metre}"), &format!("\"{spot}\"")),
        None => Some(goal),
    }
}

/// Reads a variation that stays within the metre and bars of the groove, so that lanes keep their identities.
fn read_inside(node: &Node, reference: &Groove) -> Option<Variation> {
    match read_variation(node, reference)? {
        change if change.instead.is_some() => node.refuse("a change within the metre and bars of the groove"),
        change => Some(change),
    }
}

fn read_hints(object: &Object) -> Option<Hints> {
    let node = object.field("hints")?;
    let hints = node.each(3, |n| n.text(240).map(str::to_owned))?;
    if hints.len() < 2 { node.refuse("2 or 3 hints") } else { Some(hints) }
}

fn read_choices(node: &Node) -> Option<Vec<String>> {
    let choices = node.each(5, |n| n.text(80).map(str::to_owned))?;
    let repeated = (1..choices.len()).any(|i| choices[..i].contains(&choices[i]));
    if choices.len() < 2 || repeated { node.refuse("2 to 5 answers, each different") } else { Some(choices) }
}

/// Writes a task; `reference` is the style's groove.
pub fn write(task: &Task, reference: &Groove) -> Value {
    let mut map = Map::new();
    let mut set = |key: &str, value: Value| {
        map.insert(key.to_owned(), value);
    };
    let kind = match task {
        Task::Build(_) => "build",
        Task::Predict(_) => "predict",
        Task::Choose(_) => "choose",
    };
    set("kind", json!(kind));
    set("ask", json!(task.ask()));
    match task {
        Task::Build(task) => {
            set("goal", condition::write(&task.goal));
            for (key, change) in [("start", &task.start), ("solution", &task.solution)] {
                if let Some(change) = change {
                    set(key, write_variation(change, reference));
                }
            }
        }
        Task::Predict(task) => set("lane", json!(task.lane.id())),
        Task::Choose(task) => {
            if let Some(change) = &task.change {
                set("change", write_variation(change, reference));
            }
            set("choices", json!(task.choices));
            set("answer", json!(task.answer));
            set("because", json!(task.because));
        }
    }
    if !task.hints().is_empty() {
        set("hints", json!(task.hints()));
    }
    Value::Object(map)
}
