//! What goes on in the page: signals, and the actions on them. Views call these and draw what they say.

pub mod history;
#[cfg(feature = "web")]
pub mod editor;
