//! The time ribbon: our drawing of a pattern, and the instrument it is played on.
//!
//! `layout`, `fin` and `navigation` are pure and tested natively; the components over them are thin.

pub mod layout;
pub mod fin;
pub mod navigation;
pub mod sign;
pub mod ring;

#[cfg(feature = "web")]
mod drag;
#[cfg(feature = "web")]
mod place;
#[cfg(feature = "web")]
mod ink;
#[cfg(feature = "web")]
pub mod grid;
#[cfg(feature = "web")]
pub mod magnify;
