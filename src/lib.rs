//! Stickleback: a practice room in the browser for telling drum styles apart.
//!
//! The order below is a good order to read in. Everything down to `route` is pure: it takes time, seeded randomness
//! and sample rates as arguments, never touches the browser, and compiles with the `web` feature off.
//! `DEVELOPERS.md` has the map, the invariants and who may import whom.

pub mod role;
pub mod rhythm;
pub mod audio;
pub mod style;
pub mod lesson;
pub mod synth;
pub mod schedule;
