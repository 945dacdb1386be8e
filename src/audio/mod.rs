//! The sounding side: a context's life, buffers, the graph of native nodes, the pump, and offline renders.
//!
//! What is played is decided by [`crate::schedule`] (when) and [`voicing`] (with what), both pure; [`plan`] takes a whole
//! stretch of it for renders. The rest turns it into nodes: [`Player`] is all a page needs.

pub mod status;
pub mod voicing;
pub mod click;
pub mod plan;
pub mod levels;
pub mod ducking;
pub mod mix;
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
#[cfg(feature = "web")]
mod run;
#[cfg(feature = "web")]
mod bench;
#[cfg(feature = "web")]
mod engine;
#[cfg(feature = "web")]
mod stock;
#[cfg(feature = "web")]
pub mod breath;
#[cfg(feature = "web")]
pub mod player;
#[cfg(feature = "web")]
pub mod offline;

pub use plan::{Plan, Planned, plan};
#[cfg(feature = "web")]
pub use player::Player;
pub use status::{Failure, PlayOptions, Sounding, Status};
