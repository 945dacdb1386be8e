//! Guided builds: a sound made stage by stage, each stage with something to hear, something to move and a goal.
//!
//! ```json
//! {
//!   "stickleback": 1,
//!   "kind": "build",
//!   "id": "kick-from-layers",
//!   "title": "A kick from layers",
//!   "about": "One sentence.",
//!   "role": "kick",
//!   "start": { "model": "membrane", "level_db": -3, "release_ms": 30, "pitch_hz": 110 },
//!   "stages": [
//!     {
//!       "title": "Down to the floor",
//!       "text": "What to do, and why.",
//!       "heard": ["body"],
//!       "move": ["pitch"],
//!       "goals": [{ "of": "pitch_hz", "from": 48, "to": 60 }],
//!       "hints": ["A first hint.", "A plainer one."],
//!       "solution": { "pitch": 21.6 }
//!     }
//!   ]
//! }
//! ```
//! (with all figures of the model, as in a kit file). `move`, `of` and the keys of `solution` are dials by their names or
//! figures by theirs, those of the finish as `finish.gate_ms`.

use super::kit::{VERSION, voice};
use super::reader::{Fault, FaultKind, Node, parse, read};
use crate::role::Role;
use crate::synth::dials::{Dial, figure, position, set, with};
use crate::synth::{Part, Patch, Voice};

/// The guided builds that come with the practice room, in the order they are offered: `lessons/builds/ID.json`.
pub const BUILD_IDS: [&str; 4] = ["kick-from-layers", "staged-kick", "worn-snare", "gliding-sub"];

/// Longest file taken, bytes.
pub const LONGEST_FILE: usize = 60_000;

/// Most stages of a build, and most entries of any list in a stage.
const MOST: usize = 12;

/// A sound to be built.
#[derive(Clone, Debug, PartialEq)]
pub struct Build {
    /// The identifier, which is the name of its file.
    pub id: String,
    /// What it is called.
    pub title: String,
    /// What it is about, in a sentence.
    pub about: String,
    /// The role the finished voice plays.
    pub role: Role,
    /// Where the learner starts.
    pub start: Voice,
    /// The way to the end; each stage goes on from what the one before has left.
    pub stages: Vec<BuildStage>,
}

/// One stage of a build.
#[derive(Clone, Debug, PartialEq)]
pub struct BuildStage {
    /// What it is called.
    pub title: String,
    /// What to do and what to listen for.
    pub text: String,
    /// The parts that sound; empty for all of them.
    pub heard: Vec<Part>,
    /// What is to be moved.
    pub moves: Vec<Handle>,
    /// What must hold at the end, all of it.
    pub goals: Vec<Goal>,
    /// Hints, from a nudge to the plain answer.
    pub hints: Vec<String>,
    /// One way to reach the goals.
    pub solution: Vec<(Handle, f64)>,
}

/// Something that can be moved: a dial, or a figure where no dial leads it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Handle {
    /// A dial, 0 to 100.
    Dial(Dial),
    /// A figure of the model, or of the finish as `finish.NAME`, in its own unit.
    Figure(String),
}

impl Handle {
    /// Where it stands at `patch`, if the patch has it.
    pub fn read(&self, patch: &Patch) -> Option<f64> {
        match self {
            Handle::Dial(dial) => position(patch, *dial),
            Handle::Figure(name) => figure(patch, name).map(|(_, value)| value),
        }
    }

    /// `patch` with it at `to`, held to what is possible.
    pub fn put(&self, patch: &Patch, to: f64) -> Patch {
        match self {
            Handle::Dial(dial) => set(patch, *dial, to),
            Handle::Figure(name) => with(patch, name, to),
        }
    }

    /// The handle called `name`, if `patch` has it.
    fn named(patch: &Patch, name: &str) -> Option<Handle> {
        let handle = Dial::named(name).map_or_else(|| Handle::Figure(name.to_owned()), Handle::Dial);
        handle.read(patch).map(|_| handle)
    }

    /// The values it can have.
    fn ends(&self, patch: &Patch) -> (f64, f64) {
        match self {
            Handle::Dial(_) => (0.0, 100.0),
            Handle::Figure(name) => figure(patch, name).map_or((0.0, 0.0), |(field, _)| {
                (field.off.map_or(field.lowest, |off| off.min(field.lowest)), field.highest)
            }),
        }
    }
}

/// A range something must lie in, both ends included.
#[derive(Clone, Debug, PartialEq)]
pub struct Goal {
    /// What.
    pub of: Handle,
    /// Least.
    pub from: f64,
    /// Greatest.
    pub to: f64,
}

/// How a goal stands.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Standing {
    /// Reached.
    Reached,
    /// Too little by this share of the range's width.
    Below(f64),
    /// Too much by this share of the range's width.
    Above(f64),
}

impl Goal {
    /// How the goal stands at `patch`.
    pub fn standing(&self, patch: &Patch) -> Standing {
        let width = (self.to - self.from).max(1e-9);
        match self.of.read(patch) {
            Some(value) if value > self.to + 1e-9 => Standing::Above((value - self.to) / width),
            Some(value) if value >= self.from - 1e-9 => Standing::Reached,
            Some(value) => Standing::Below((self.from - value) / width),
            None => Standing::Below(f64::INFINITY),
        }
    }
}

impl BuildStage {
    /// Whether every goal is reached at `patch`.
    pub fn is_reached(&self, patch: &Patch) -> bool {
        self.goals.iter().all(|goal| goal.standing(patch) == Standing::Reached)
    }

    /// `patch` with the stage's solution.
    pub fn solve(&self, patch: &Patch) -> Patch {
        self.solution.iter().fold(*patch, |patch, (handle, to)| handle.put(&patch, *to))
    }
}

/// Reads a build file.
///
/// # Errors
/// Every fault of the file, with its place.
pub fn read_build(text: &str) -> Result<Build, Vec<Fault>> {
    let value = parse(text, LONGEST_FILE).map_err(|fault| vec![fault])?;
    read(&value, |root| {
        let file = root.object(&["stickleback", "kind", "id", "title", "about", "role", "start", "stages"])?;
        let version = file.field("stickleback").and_then(|node| node.integer(VERSION..=VERSION));
        let kind = file.field("kind").and_then(|node| node.choice(&[("build", ())]));
        let text = |key: &str, most| file.field(key).and_then(|node| node.text(most).map(str::to_owned));
        let (id, title, about) = (text("id", 60), text("title", 60), text("about", 300));
        let role = file.field("role").and_then(|node| node.parsed("a role", |text| text.parse().ok()));
        // The handles are looked up at the voice, so without it the stages cannot be read.
        let start = file.field("start").and_then(|node| voice(&node))?;
        let stages = file.field("stages").and_then(|node| node.each(MOST, |node| stage(node, &start.patch)));
        version.and(kind)?;
        Some(Build { id: id?, title: title?, about: about?, role: role?, start, stages: stages? })
    })
}

fn stage(node: &Node, patch: &Patch) -> Option<BuildStage> {
    let stage = node.object(&["title", "text", "heard", "move", "goals", "hints", "solution"])?;
    let title = stage.field("title").and_then(|node| node.text(60).map(str::to_owned));
    let text = stage.field("text").and_then(|node| node.text(700).map(str::to_owned));
    let heard = stage.optionally("heard", |node| node.each(MOST, part));
    let moves = stage.field("move").and_then(|node| node.each(MOST, |node| handle(node, patch)));
    let goals = stage.field("goals").and_then(|node| node.each(MOST, |node| goal(node, patch)));
    let hints = stage.field("hints").and_then(|node| node.each(MOST, |node| node.text(300).map(str::to_owned)));
    let solution = stage.field("solution").and_then(|node| {
        let read: Vec<_> = node.entries()?.iter().map(|(name, node)| solved(name, node, patch)).collect();
        read.into_iter().collect::<Option<Vec<_>>>()
    });
    Some(BuildStage {
        title: title?,
        text: text?,
        heard: heard?.unwrap_or_default(),
        moves: moves?,
        goals: goals?,
        hints: hints?,
        solution: solution?,
    })
}

fn part(node: &Node) -> Option<Part> {
    node.choice(&Part::ALL.map(|part| (part.id(), part)))
}

fn handle(node: &Node, patch: &Patch) -> Option<Handle> {
    node.parsed("a dial or figure of this voice", |name| Handle::named(patch, name))
}

fn goal(node: &Node, patch: &Patch) -> Option<Goal> {
    let goal = node.object(&["of", "from", "to"])?;
    let of = goal.field("of").and_then(|node| handle(&node, patch))?;
    let (low, high) = of.ends(patch);
    let from = goal.field("from").and_then(|node| node.number(low..=high))?;
    let to = goal.field("to").and_then(|node| node.number(from..=high))?;
    Some(Goal { of, from, to })
}

fn solved(name: &str, node: &Node, patch: &Patch) -> Option<(Handle, f64)> {
    let Some(handle) = Handle::named(patch, name) else {
        let known = Dial::ALL.map(Dial::id).into_iter().map(str::to_owned).collect();
        node.note(FaultKind::UnknownKey { known });
        return None;
    };
    let (low, high) = handle.ends(patch);
    node.number(low..=high).map(|to| (handle, to))
}
