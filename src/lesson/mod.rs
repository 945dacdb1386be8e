//! The files of the practice room: kits, styles and lessons, read with located faults and written to be diffed.

pub mod reader;
pub mod repeats;
pub mod layout;
pub mod made;
pub mod note_value;
pub mod details;
pub mod lane;
pub mod groove;
pub mod builds;
pub mod condition;
pub mod hallmark;
pub mod task;
pub mod stage;
pub mod style;
pub mod finding;
pub mod exercise;
pub mod course;
pub mod style_file;
pub mod likeness;
pub mod index;
pub mod kit;
pub mod kit_facts;
pub mod echo;

pub use course::{Course, CourseFault, CourseStage};
pub use exercise::{Exercise, TaskVerdict};
pub use finding::Finding;
pub use index::IndexEntry;
pub use stage::{Stage, StageEntry, Topic};
pub use style::{LaneNote, LeanRange, LessonFacts, Style, SwingRange, TempoRange, Variant};
pub use task::Task;

/// The word for `meaning` among `words`.
fn word<T: PartialEq>(words: &[(&str, T)], meaning: &T) -> serde_json::Value {
    words.iter().find(|(_, m)| m == meaning).map_or(serde_json::Value::Null, |(word, _)| (*word).into())
}
