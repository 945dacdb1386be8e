//! The sound: voice models, kits, and a reference bus, in plain Rust.
//!
//! A [`Patch`] says in physical parameters what a voice is; [`render`] makes one stroke of it a mono buffer at any
//! sample rate. A [`Kit`] joins a voice to each [`Role`](crate::role::Role) and a [`Tone`] to the whole mix. [`bus::mix`]
//! plays buffers through that tone; the live graph of native nodes is built from the same figures (see [`bus`]).
//!
//! Everything is a pure function of its arguments: noise is seeded, so the same stroke is the same bytes.

mod burst;
mod chord;
mod controls;
mod cymbal;
mod finishing;
mod formant;
mod low;
mod membrane;
mod metal;
mod parameter;
mod patch;
mod snare;
mod squeak;
mod staged_kick;
mod strings;
mod subtractive;
mod voice;
mod wood;

pub mod audition;
pub mod bus;
pub mod dials;
pub mod drive;
pub mod envelope;
pub mod facts;
pub mod filter;
pub mod kit;
pub mod loudness;
pub mod made;
pub mod matching;
pub mod noise;
pub mod oscillator;
pub mod parts;
pub mod portrait;
pub mod room;
pub mod spectrum;
pub mod surface;
pub mod tone;

pub use burst::{Clap, Scraper, Shaker, Tambourine};
pub use chord::{ElectricPiano, Organ};
pub use cymbal::Cymbal;
pub use formant::Formant;
pub use kit::{Kit, StandIn, Voice};
pub use low::{LogDrum, Sub};
pub use membrane::Membrane;
pub use metal::Bell;
pub use parameter::Field;
pub use parts::{Part, parts, render_part, render_parts};
pub use patch::{Finish, Model, Patch, PatchFault};
pub use room::Room;
pub use snare::Snare;
pub use squeak::Squeak;
pub use staged_kick::StagedKick;
pub use strings::PluckedString;
pub use subtractive::Subtractive;
pub use tone::Tone;
pub use voice::{LAYERS, LONGEST_SECONDS, RATES, VARIATIONS, Voicing, render};
pub use wood::Wood;
