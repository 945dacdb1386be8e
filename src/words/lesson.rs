//! The words of a lesson's course: its stages, its tasks, and what a learner does with them.

#![allow(missing_docs, reason = "each constant is named after the words it holds")]

/// The name of stage 0.
pub const WHOLE: &str = "The whole groove";
/// What to do with it.
pub const WHOLE_TEXT: &str =
    "Hear it as it is, before anything is taken apart. Tap along. Which drum would you miss first?";
/// The list of stages, for screen readers.
pub const STAGES: &str = "Stages";
/// The panel of the stage, for screen readers.
pub const STAGE: &str = "Stage";
/// The panel of its task, for screen readers.
pub const TASK: &str = "Task";
/// Added to the name of a stage whose task is solved.
pub const SOLVED: &str = "solved";

pub const BEGIN: &str = "Build it from nothing";
pub const NEXT: &str = "Next stage";
pub const BACK: &str = "Stage before";
pub const CHECK: &str = "Check it";
pub const HEAR: &str = "Now hear it";
pub const HINT: &str = "Give me a hint";
pub const ANOTHER_HINT: &str = "Another hint";
pub const SHOW: &str = "Show me how it goes";
pub const AGAIN: &str = "Begin this stage again";
pub const MINE: &str = "Back to my version";

pub const LISTEN: &str = "Listen for:";
pub const COUNT: &str = "Count:";
pub const SAY: &str = "Say:";
/// Which of two grooves is heard while they are compared.
pub const AS_IT_IS: &str = "Heard now: as it is";
pub const OTHER_WAY: &str = "Heard now: the other way";

/// Where a learner stands in the course: "Stage 2 of 7".
pub fn stage_of(number: usize, count: usize) -> String {
    format!("Stage {number} of {count}")
}

/// How slow a stage is best learnt.
pub fn pace(percent: u8) -> String {
    format!("Learn it at {percent} %")
}
