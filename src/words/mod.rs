//! Words: typed findings become English sentences here, and nowhere else.
//!
//! The reader is fourteen and clever. Sentences are plain and warm; they say what happened before why, and what to do if
//! there is something to do. One file a subject; another language would be another folder like this one.

pub mod ui;
pub mod ribbon;
pub mod roles;
pub mod places;
pub mod counts;
pub mod marks;
pub mod notes;
pub mod strokes;
pub mod numbers;
pub mod cards;
pub mod faults;
pub mod families;
pub mod library;
pub mod lesson;
pub mod practice;
pub mod recording;
pub mod drafts;
pub mod tasks;
pub mod voices;
pub mod matching;
pub mod builds;
pub mod contrast;
pub mod crossing;
