//! Sharing: a groove as a link, and its sound as a wave file.
//!
//! A link pins its kit by name and content, carries a checksum over every character, and is read with suspicion: whatever
//! arrives, the reader neither panics nor builds more than a groove may hold.

mod alphabet;
mod checksum;
mod coder;
mod link;
mod numbers;
mod names;
mod score;
mod sound;
mod details;
pub mod take;
pub mod wav;

pub use link::{LinkFault, MAX_LINK, MAX_TITLE, Shared, Unfit, decode, encode};
