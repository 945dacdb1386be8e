//! The sounding side: a context's life, buffers, the graph of native nodes, the pump, and offline renders.
//!
//! What is played is decided by [`crate::schedule`] (when) and [`voicing`] (with what), both pure; the rest of this
//! module turns their plan into nodes. [`Player`] is all a page needs.

pub mod status;
pub mod voicing;
pub mod click;
pub mod ducking;
pub mod watch;
pub mod heard;

#[cfg(feature = "web")]
mod listener;
#[cfg(feature = "web")]
pub mod context;
#[cfg(feature = "web")]
pub mod clock;
#[cfg(feature = "web")]
pub mod cache;
#[cfg(feature = "web")]
pub mod source;
#[cfg(feature = "web")]
pub mod graph;

pub use status::{Caret, Failure, PlayOptions, Sounding, Status};
