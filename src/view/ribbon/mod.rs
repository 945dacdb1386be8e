//! The time ribbon: our drawing of a pattern, and the instrument it is played on.
//!
//! What is drawn and what a gesture means is pure and tested natively; the parts over them are thin.

pub mod layout;
pub mod fin;
pub mod sign;
pub mod ring;
pub mod ink;
pub mod navigation;
pub mod gesture;

#[cfg(feature = "web")]
mod drag;
#[cfg(feature = "web")]
mod place;
#[cfg(feature = "web")]
mod sheet;
#[cfg(feature = "web")]
pub mod grid;
#[cfg(feature = "web")]
pub mod magnify;
