//! Style: what makes a groove the style it is, as data that can be checked.

pub mod spot;
pub mod condition;
pub mod judge;
pub mod sound;
pub mod variation;
pub mod hallmark;
pub mod likeness;
pub mod licence;
pub mod contrast;
pub mod crossing;
pub mod foils;

pub use condition::{Condition, Per, Places, SoundMeasure, Touch, Voices};
pub use hallmark::{Aspect, Foil, Hallmark, Neighbour, Rank};
pub use judge::{Outcome, SoundLookup, Verdict};
pub use spot::Spot;
pub use variation::Variation;
