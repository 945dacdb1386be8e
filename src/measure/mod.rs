//! Measures: numbers that describe a pattern, one file each, after the papers they come from.
//!
//! All take a [`Cycle`]: onsets on ticks in a whole number of bars of some metre, read from the lanes of one or several
//! roles. Nothing here needs a grid chosen beforehand; where a definition speaks of pulses, [`Cycle::grid`] says which.
//!
//! A number of syncopation *describes*; it is no grade of difficulty. Over the 35 patterns of Shmulevich & Povel (2000)
//! the measures here follow judged complexity more or less (Spearman .46 to .76, see `tests/measures.rs`); over the 24 of
//! Essens (1995, table 8) none does.
//!
//! What is not here: nothing is judged (that is `style`) and nothing is put in words (that is `words`).

pub mod cycle;
pub mod metrical_hierarchy;

// syncopation and complexity
pub mod longuet_higgins_lee;
pub mod note_to_beat_distance;
pub mod keith;
pub mod off_beatness;
pub mod metrical_complexity;
pub mod pressing;
pub mod polyphonic_syncopation;
pub mod povel_essens;

// shape of the cycle
pub mod pairwise_variability;
pub mod evenness;
pub mod balance;
pub mod oddity;
pub mod interval_vector;
pub mod maximal_evenness;
pub mod euclidean;

// the drum set and its feel
pub mod density;
pub mod backbeat;
pub mod beat_upbeat_ratio;
pub mod swing_density;

// distances
pub mod hamming;
pub mod edit_distance;
pub mod swap;
pub mod directed_swap;
pub mod chronotonic;
pub mod interval_distance;
pub mod polyphonic_distance;

pub use cycle::{Cycle, CycleError};
