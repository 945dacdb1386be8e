//! The schedule against the clock: hand-computed frames, cases in box notation, and properties under random pumping and
//! editing.

#[path = "../grooves/mod.rs"]
mod grooves;
mod player;
mod exact;
mod endings;
mod changes;
mod random;
