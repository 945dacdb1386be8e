//! What the schedule asks the audio engine for: events, each with an identity of its own.

use crate::rhythm::{Frames, LaneId, Loudness, Part, StrokeId, Tick};
use crate::role::Role;

/// The line of the score an event comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Line {
    /// A lane of the pattern.
    Lane(LaneId),
    /// The click in the felt pulse while the groove plays.
    Click,
    /// The count-in before the first pass.
    CountIn,
}

/// Which event this is, once and for all: asked for twice, it is the same event. A stroke that has sounded in a pass never
/// sounds again in it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Key {
    /// How often the pattern (or the loop) has begun since the start. Passes count up, but may skip a number where bars
    /// are cut short or another groove takes over.
    pub pass: u32,
    /// The line it comes from.
    pub line: Line,
    /// The stroke of that line; for clicks the tick of the pulse, for the count-in the count from 0.
    pub stroke: StrokeId,
    /// Which hit of the stroke.
    pub part: Part,
}

impl Key {
    /// The lane, unless this is a click.
    pub fn lane(&self) -> Option<LaneId> {
        match self.line {
            Line::Lane(id) => Some(id),
            Line::Click | Line::CountIn => None,
        }
    }
}

/// What plays an event.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Instrument {
    /// The kit's voice for this role.
    Role(Role),
    /// The click: accented on the first felt pulse of a bar.
    Click {
        /// Whether a bar begins here.
        accent: bool,
    },
}

/// One sound, with its time to the frame.
#[derive(Clone, Debug, PartialEq)]
pub struct Event {
    /// Its identity.
    pub key: Key,
    /// When it starts, on the clock whose frame was given to [`super::Transport::start`].
    pub frame: Frames,
    /// What plays it.
    pub instrument: Instrument,
    /// Its written place in the pattern, for showing what sounds; negative in the count-in.
    pub at: Tick,
    /// How hard.
    pub loudness: Loudness,
    /// MIDI note numbers (real: a roll may bend between them), with tonic and octave; the tape speed is not in them. Empty
    /// for unpitched strokes.
    pub pitches: Vec<f64>,
    /// Where it is ended from outside; `None` lets it ring out.
    pub end: Option<End>,
    /// How its pitch slides at the end.
    pub glide: Option<GlideTime>,
}

/// Where a sound is ended, and by what.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct End {
    /// The frame of the end; never before the event's own start.
    pub frame: Frames,
    /// Why.
    pub cause: Cause,
}

/// Why a sound ends before it has rung out.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Cause {
    /// Another stroke on the same instrument damps it: a quick fade of a few ms.
    Choked,
    /// The next stroke of a part that plays one note at a time.
    Mono,
    /// Its written length is over, or another groove takes over while it is held: the voice's own release.
    Length,
}

/// A slide of pitch, in semitones relative to the event's pitches, even in semitones over time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GlideTime {
    /// Where it sets out, in semitones from the event's pitches: 0.
    pub from: f64,
    /// Where it arrives.
    pub to: f64,
    /// When it sets out; not before the event's own start.
    pub start: Frames,
    /// When it arrives: where the stroke ends.
    pub end: Frames,
}
