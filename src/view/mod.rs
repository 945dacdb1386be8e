//! What is seen: components without rules. The geometry is pure and compiles without the browser.

pub mod ribbon;
#[cfg(feature = "web")]
pub mod app;
#[cfg(feature = "web")]
mod later;
#[cfg(feature = "web")]
mod notice;
#[cfg(feature = "web")]
mod rooms;
#[cfg(feature = "web")]
mod desk;
#[cfg(feature = "web")]
mod marks;
#[cfg(feature = "web")]
mod practice;
#[cfg(feature = "web")]
mod recording;
#[cfg(feature = "web")]
mod aria;
#[cfg(feature = "web")]
mod cards;
#[cfg(feature = "web")]
mod focus;
#[cfg(feature = "web")]
mod link_slip;
