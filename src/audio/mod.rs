//! The sounding side: a context's life, buffers, the graph of native nodes, the pump, and offline renders.
//!
//! What is played is decided by [`crate::schedule`] (when) and [`voicing`] (with what), both pure; the rest of this
//! module turns their plan into nodes. [`Player`] is all a page needs.

pub mod heard;
pub mod status;
pub mod watch;

#[cfg(feature = "web")]
pub mod clock;
#[cfg(feature = "web")]
pub mod context;
#[cfg(feature = "web")]
mod listener;
