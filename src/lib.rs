//! Stickleback: a practice room in the browser for telling drum styles apart.
//!
//! The order below is a good order to read in. Everything down to `route` is pure: it takes time, seeded randomness
//! and sample rates as arguments, never touches the browser, and compiles with the `web` feature off. `audio`, `session`
//! and `view` have pure parts too, tested natively; the rest of them is the `web` feature's.
//! `DEVELOPERS.md` has the map, the invariants and who may import whom.

pub mod role;
pub mod rhythm;
pub mod measure;
pub mod synth;
pub mod schedule;
pub mod style;
pub mod lesson;
pub mod share;
pub mod words;
pub mod route;
pub mod audio;
#[cfg(feature = "web")]
pub mod browser;
pub mod session;
pub mod view;
