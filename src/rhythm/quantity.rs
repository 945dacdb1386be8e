//! Everything about a stroke, its lane and its groove that is a number and can be turned: what it is, how far it goes, and
//! the edit that sets it.

use super::edit::{Edit, EditError};
use super::groove::{Groove, Tonic};
use super::lane::{Lane, LaneHead, LaneId, Lean};
use super::recast;
use super::stroke::{Flam, Glide, Roll, RollShape, Stroke};
use super::units::{Loudness, Tick};

/// One number. All but the last two belong to a stroke.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Quantity {
    /// How hard it is played, 1 to 127.
    Loudness,
    /// Its shift off its place, in ticks.
    Nudge,
    /// Its place, in ticks from the pattern's start.
    Place,
    /// Strokes of its roll.
    RollStrokes,
    /// From the roll's first stroke to where the next after its last would fall, in ticks.
    RollSpan,
    /// Semitones from the roll's first stroke to its last.
    RollBend,
    /// How long before it the grace stroke sounds, in ms.
    FlamGap,
    /// One of its pitches, counted from 0, in semitones from the tonic.
    Pitch(u8),
    /// How long it is held, in ticks.
    Length,
    /// Where its lowest pitch slides, in semitones from the tonic.
    GlideTo,
    /// How long the slide lasts, in ms.
    GlideTime,
    /// The shift of the whole lane, in tenths of a millisecond.
    Lean,
    /// The MIDI note number the groove's pitches are counted from.
    Tonic,
}

/// How far a quantity goes, and by how much it is turned.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Range {
    /// The least value.
    pub least: i32,
    /// The greatest value.
    pub most: i32,
    /// By how much one turn changes it.
    pub near: i32,
    /// By how much a large turn changes it.
    pub far: i32,
}

/// Why a quantity was not set.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Refusal {
    /// There is no stroke, or it has no such part.
    NoStroke,
    /// Another stroke stands on that place.
    Occupied,
    /// That place is not in the pattern.
    Outside,
    /// The edit does not fit.
    Edit(EditError),
}

impl From<EditError> for Refusal {
    fn from(error: EditError) -> Refusal {
        Refusal::Edit(error)
    }
}

/// A part that a stroke may have or not.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Addition {
    /// Several strokes in place of one.
    Roll,
    /// A grace stroke.
    Flam,
    /// A stated length.
    Length,
    /// A slide at its end.
    Glide,
}

impl Addition {
    /// Whether the stroke has it.
    pub const fn is_in(self, stroke: &Stroke) -> bool {
        match self {
            Addition::Roll => stroke.roll.is_some(),
            Addition::Flam => stroke.flam.is_some(),
            Addition::Length => stroke.length.is_some(),
            Addition::Glide => stroke.glide.is_some(),
        }
    }

    /// The stroke without it, or with one such as is often wanted: two strokes in a pulse, a flam of 25 ms, a length of one
    /// pulse, a slide of 120 ms to the octave.
    pub fn toggled(self, stroke: &Stroke, head: &LaneHead) -> Stroke {
        let mut stroke = stroke.clone();
        let pulse = Tick(head.pulse.0.clamp(60, 7680));
        match self {
            Addition::Roll if stroke.roll.is_some() => stroke.roll = None,
            Addition::Roll => stroke.roll = Some(Roll { strokes: 2, span: pulse, shape: RollShape::Even, bend: 0 }),
            Addition::Flam if stroke.flam.is_some() => stroke.flam = None,
            Addition::Flam => stroke.flam = Some(Flam::DEFAULT),
            Addition::Length if stroke.length.is_some() => stroke.length = None,
            Addition::Length => stroke.length = Some(pulse),
            Addition::Glide if stroke.glide.is_some() => stroke.glide = None,
            Addition::Glide => {
                let lowest = stroke.pitches.iter().min().copied();
                let octave = |pitch: i8| if pitch <= 36 { pitch + 12 } else { pitch - 12 };
                stroke.glide = lowest.map(|pitch| Glide { to: octave(pitch), ms: 120 });
            }
        }
        stroke
    }
}

impl Quantity {
    /// The value in `groove`, of the stroke on `at` of a lane where it belongs to one. `None` where there is no such thing.
    pub fn value(self, groove: &Groove, lane: LaneId, at: Tick) -> Option<i32> {
        if self == Quantity::Tonic {
            return Some(groove.tonic.note().into());
        }
        let lane = groove.pattern.lane(lane)?;
        if self == Quantity::Lean { Some(lane.head.lean.tenths().into()) } else { self.of(lane.at(at)?) }
    }

    fn of(self, stroke: &Stroke) -> Option<i32> {
        Some(match self {
            Quantity::Loudness => stroke.loudness.get().into(),
            Quantity::Nudge => whole(stroke.nudge),
            Quantity::Place => whole(stroke.at),
            Quantity::RollStrokes => stroke.roll?.strokes.into(),
            Quantity::RollSpan => whole(stroke.roll?.span),
            Quantity::RollBend => stroke.roll?.bend.into(),
            Quantity::FlamGap => stroke.flam?.gap_ms.into(),
            Quantity::Pitch(index) => (*stroke.pitches.get(usize::from(index))?).into(),
            Quantity::Length => whole(stroke.length?),
            Quantity::GlideTo => stroke.glide?.to.into(),
            Quantity::GlideTime => stroke.glide?.ms.into(),
            Quantity::Lean | Quantity::Tonic => return None,
        })
    }

    /// How far it goes for the strokes of `lane` in `groove`.
    pub fn range(self, groove: &Groove, lane: LaneId) -> Range {
        let range = |least, most, near, far| Range { least, most, near, far };
        let head = groove.pattern.lane(lane).map(|lane| lane.head);
        let pulse = head.map_or(240, |head| whole(head.pulse));
        match self {
            Quantity::Loudness => range(1, 127, 1, 8),
            Quantity::Nudge => {
                let limit = head.map_or(0, |head| whole(head.nudge_limit()));
                range(-limit, limit, 1, 10)
            }
            Quantity::Place => range(0, whole(groove.pattern.length()) - 1, 1, pulse),
            Quantity::RollStrokes => range(2, 32, 1, 4),
            Quantity::RollSpan => range(60, 7680, 10, 240),
            Quantity::RollBend => range(-24, 24, 1, 12),
            Quantity::FlamGap => range(5, 60, 1, 5),
            Quantity::Pitch(_) | Quantity::GlideTo => range(-48, 48, 1, 12),
            Quantity::Length => range(30, 61_440, 10, 240),
            Quantity::GlideTime => range(5, 2000, 5, 50),
            Quantity::Lean => range(-600, 600, 10, 50),
            Quantity::Tonic => range(0, 96, 1, 12),
        }
    }

    /// The edit that gives it the value nearest to `value` within its range. A place where another stroke stands is refused.
    pub fn edit(self, groove: &Groove, lane: LaneId, at: Tick, value: i32) -> Result<Edit, Refusal> {
        let Range { least, most, .. } = self.range(groove, lane);
        let value = value.clamp(least, most);
        if self == Quantity::Tonic {
            let tonic = u8::try_from(value).ok().and_then(Tonic::new).ok_or(Refusal::NoStroke)?;
            return Ok(Edit::SetTonic(tonic));
        }
        let there = groove.pattern.lane(lane).ok_or(EditError::NoLane(lane))?;
        match self {
            Quantity::Lean => {
                let lean = i16::try_from(value).ok().and_then(Lean::from_tenths).ok_or(Refusal::NoStroke)?;
                Ok(Edit::SetHead(lane, LaneHead { lean, ..there.head }))
            }
            Quantity::Place => recast::moved(&groove.pattern, lane, at, Tick(value.into())),
            _ => self.stroke_edit(there, at, value),
        }
    }

    fn stroke_edit(self, lane: &Lane, at: Tick, value: i32) -> Result<Edit, Refusal> {
        let mut stroke = lane.at(at).cloned().ok_or(Refusal::NoStroke)?;
        // The value is within the range, which fits the type it becomes.
        let small = value as i8;
        match self {
            Quantity::Loudness => stroke.loudness = Loudness::clamped(value),
            Quantity::Nudge => stroke.nudge = Tick(value.into()),
            Quantity::Length if stroke.length.is_some() => stroke.length = Some(Tick(value.into())),
            Quantity::Pitch(index) => {
                *stroke.pitches.get_mut(usize::from(index)).ok_or(Refusal::NoStroke)? = small;
            }
            Quantity::RollStrokes | Quantity::RollSpan | Quantity::RollBend => {
                let roll = stroke.roll.as_mut().ok_or(Refusal::NoStroke)?;
                match self {
                    Quantity::RollStrokes => roll.strokes = value as u8,
                    Quantity::RollSpan => roll.span = Tick(value.into()),
                    _ => roll.bend = small,
                }
            }
            Quantity::FlamGap => stroke.flam.as_mut().ok_or(Refusal::NoStroke)?.gap_ms = value as u8,
            Quantity::GlideTo => stroke.glide.as_mut().ok_or(Refusal::NoStroke)?.to = small,
            Quantity::GlideTime => stroke.glide.as_mut().ok_or(Refusal::NoStroke)?.ms = value as u16,
            _ => return Err(Refusal::NoStroke),
        }
        Ok(Edit::Put(lane.id, stroke))
    }
}

/// Ticks as a whole number; all that are set here fit.
fn whole(ticks: Tick) -> i32 {
    i32::try_from(ticks.0).unwrap_or(i32::MAX)
}
