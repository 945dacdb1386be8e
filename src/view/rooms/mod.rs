//! The rooms.

pub mod styles;
pub mod lesson;
pub mod draft;
pub mod received;
pub mod unbuilt;
pub mod voices;
