//! What the player tells the page about itself.

use crate::rhythm::{Groove, LaneId, Part, StrokeId, Tick};
use crate::schedule::{ClickPulse, Echo, Pace, Span, Start};

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
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct PlayOptions {
    /// Bars of count-in before the first pass, counted in the felt pulse; 0 for none.
    pub count_in: u8,
    /// Whether the pulse clicks while the groove plays.
    pub click: bool,
    /// Which pulse that is.
    pub click_pulse: ClickPulse,
    /// How fast, compared with what is written.
    pub pace: Pace,
    /// Which passes sound, if not all do.
    pub echo: Option<Echo>,
    /// How many passes to play; `None` goes round until stopped.
    pub passes: Option<u32>,
    /// Where the first pass begins, inside the pattern.
    pub from: Tick,
    /// The beats to go round in; `None` for the whole pattern.
    pub span: Option<Span>,
}

impl PlayOptions {
    /// The same in the schedule's terms for `groove`: a bar of count-in has as many felt pulses as the bar holds, and one
    /// at least.
    pub fn start(&self, groove: &Groove) -> Start {
        let pulses = (groove.pattern.metre().bar().as_f64() / groove.tempo.felt().as_f64()).round().max(1.0) as u32;
        Start {
            at: self.from,
            span: self.span,
            count_in: u32::from(self.count_in) * pulses,
            click: self.click,
            click_pulse: self.click_pulse,
            pace: self.pace,
            echo: self.echo,
        }
    }
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
