//! What the player tells the page about itself.

use crate::rhythm::{LaneId, Part, StrokeId, Tick};

/// Whether anything can be heard, drawn from the context's own state and never from what was asked of it.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub enum Status {
    /// Nothing plays, and the next press of Play will.
    #[default]
    Silent,
    /// Play was pressed; the engine says yes but its clock has not moved yet (up to 2 s in some engines).
    Waking,
    /// The clock moves and the groove runs (the count-in included).
    Playing,
    /// The engine holds the sound back: it wants a gesture, or a call or an alarm has taken the device. What was asked
    /// for is remembered; [`super::Player::wake`] in the next gesture goes on with it.
    Blocked,
    /// There will be no sound, for this reason.
    Failed(Failure),
}

/// Why there is no sound.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Failure {
    /// The browser has no Web Audio.
    Unsupported,
    /// The browser refused to make a context or a node; its own words.
    Refused(String),
    /// The engine says it runs, yet its clock stands, even after a fresh start.
    Standing,
}

/// What the learner asked for beside the groove itself.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PlayOptions {
    /// Bars of count-in before the first pass, 0 to 2, counted in the felt pulse.
    pub count_in: u8,
    /// Whether the felt pulse clicks while the groove plays.
    pub click: bool,
    /// How many passes to play; `None` goes round until stopped.
    pub passes: Option<u32>,
    /// Where the first pass begins, inside the pattern.
    pub from: Tick,
}

impl Default for PlayOptions {
    /// Round and round from the start, with neither count-in nor click.
    fn default() -> PlayOptions {
        PlayOptions { count_in: 0, click: false, passes: None, from: Tick::ZERO }
    }
}

/// Where the *heard* music stands: the position of the scheduler less the delay of the output.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Caret {
    /// In the count-in; so many felt pulses are still to come, the sounding one included.
    CountIn {
        /// Felt pulses left, at least 1.
        left: u32,
    },
    /// In the groove.
    Groove {
        /// Which pass, from 0.
        pass: u64,
        /// Position inside the pattern in ticks, from 0 to before its length.
        at: f64,
    },
}

/// A hit that sounds at the caret's time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sounding {
    /// Its lane.
    pub lane: LaneId,
    /// Its stroke.
    pub stroke: StrokeId,
    /// Which hit of the stroke.
    pub part: Part,
    /// Seconds since it began to be heard, at least 0.
    pub age: f64,
    /// Seconds it rings in all, chokes and lengths counted.
    pub lasts: f64,
}
