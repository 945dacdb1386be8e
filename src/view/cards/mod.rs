//! The cards under the sheet: what the chosen stroke or lane is like, and the controls that change it; with the panels of
//! the score marks, which are made of the same controls.

mod number;
pub mod choice;
mod fold;
pub mod stroke;
mod time;
mod ornament;
mod pitch;
pub mod lane;
mod played;
pub mod count;
pub mod bars;
pub mod sound;
