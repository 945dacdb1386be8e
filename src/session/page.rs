//! The page itself: how wide its parts are, and how it came here.

pub use crate::browser::watch::{Listener, WidthWatch, is_secure};

/// Whether the learner asked for less motion.
pub fn reduced_motion() -> bool {
    crate::browser::watch::media("(prefers-reduced-motion: reduce)")
}
