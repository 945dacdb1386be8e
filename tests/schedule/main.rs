//! The schedule against the clock: hand-computed frames, cases in box notation, and properties under random pumping and
//! editing.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test says by panicking that it fails")]

#[path = "../grooves/mod.rs"]
mod grooves;
mod player;
mod exact;
mod endings;
mod changes;
mod random;
mod practice;
