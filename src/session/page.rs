//! The page itself: how wide its parts are, and how it came here.

pub use crate::browser::watch::{WidthWatch, is_secure};
