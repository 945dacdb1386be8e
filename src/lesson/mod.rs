//! The files of the practice room: kits, styles and lessons, read with located faults and written to be diffed.

pub mod reader;
pub mod style;

pub use style::{LaneNote, LeanRange, LessonFacts, Style, SwingRange, TempoRange, Variant};
