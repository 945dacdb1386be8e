//! Contrast: in what two grooves differ.

pub mod audible;
pub mod pairing;
