//! Rhythm: the score and how it is played. Exact, pure, and the ground everything else stands on.

pub mod units;
pub mod metre;
pub mod tempo;
pub mod stroke;
pub mod lane;
pub mod pattern;
pub mod feel;
pub mod groove;
pub mod made;
pub mod sounding;
pub mod place;
pub mod boxes;
pub mod edit;
pub mod bars;
pub mod recast;
pub mod quantity;
pub mod difference;

pub use difference::edits_between;
pub use edit::{Edit, EditError};
pub use feel::{Feel, FeelError, PositionShift, Swing, Written};
pub use groove::{Groove, Id, IdError, Sound, TapeSpeed, Tonic};
pub use lane::{Lane, LaneFault, LaneHead, LaneId, Lean};
pub use made::{MadeVoice, MadeVoices, TooManyVoices};
pub use metre::{Metre, MetreError};
pub use pattern::{Pattern, PatternError};
pub use place::Place;
pub use quantity::{Quantity, Refusal};
pub use sounding::{Hit, Part};
pub use stroke::{Dynamics, Flam, Glide, Roll, RollShape, Strength, Stroke, StrokeFault, StrokeId};
pub use tempo::{CountError, Tempo};
pub use units::{Bpm, Frames, Loudness, Seconds, Tick};
