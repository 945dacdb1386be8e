//! Files the learner picks or drops.

pub use crate::browser::files::{Picked, dropped, picked};
