//! A lane: one role's line in a pattern.

use super::stroke::{Stroke, StrokeFault, StrokeId};
use super::units::Tick;
use crate::role::Role;

/// Which lane of its pattern this is, for as long as it lives. It is not content: see [`StrokeId`].
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct LaneId(pub u16);

/// A whole lane's systematic shift in time, in tenths of a millisecond: positive leans late. At most 60 ms either way.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Lean(i16);

impl Lean {
    /// A lean from milliseconds, rounded to a tenth; `None` beyond 60 ms or if it is not a number.
    pub fn from_ms(ms: f64) -> Option<Lean> {
        (ms.is_finite() && ms.abs() <= 60.0).then(|| Lean((ms * 10.0).round() as i16))
    }

    /// A lean from tenths of a millisecond; `None` beyond 600.
    pub fn from_tenths(tenths: i16) -> Option<Lean> {
        (-600..=600).contains(&tenths).then_some(Lean(tenths))
    }

    /// Tenths of a millisecond.
    pub const fn tenths(self) -> i16 {
        self.0
    }

    /// Milliseconds.
    pub fn ms(self) -> f64 {
        f64::from(self.0) / 10.0
    }
}

/// How a lane is written: everything about it but its strokes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct LaneHead {
    /// What the lane is.
    pub role: Role,
    /// The distance between its places, for drawing and input only: 40 to 3840 ticks, dividing every beat it meets or
    /// being whole beats. Strokes may lie on any tick.
    pub pulse: Tick,
    /// Whether the swing moves it; `None` follows the rule of [`super::feel::Feel::moves`].
    pub swings: Option<bool>,
    /// Its systematic shift.
    pub lean: Lean,
    /// Whether the style is still itself without it.
    pub optional: bool,
}

impl LaneHead {
    /// A lane of `role` with places every `pulse` ticks, and nothing special about it.
    pub fn new(role: Role, pulse: Tick) -> LaneHead {
        LaneHead { role, pulse, swings: None, lean: Lean::default(), optional: false }
    }

    /// The largest nudge a stroke of this lane may have: less than half a pulse.
    pub const fn nudge_limit(&self) -> Tick {
        Tick((self.pulse.0 - 1) / 2)
    }

    /// The nearest nudge this lane allows.
    pub(super) fn nudge_within(&self, nudge: Tick) -> Tick {
        let limit = self.nudge_limit().0;
        Tick(nudge.0.clamp(-limit, limit))
    }

    /// Its pulse if that divides a pattern of `length` ticks, or else the first usual one that does.
    pub(super) fn pulse_within(&self, length: Tick) -> Tick {
        let usual = [self.pulse, Tick::EIGHTH, Tick::SIXTEENTH, Tick(160)];
        usual.into_iter().find(|pulse| length.0 % pulse.0 == 0).unwrap_or(Tick(120))
    }
}

/// One role's line in a pattern: its head and its strokes in order of place, at most one to a tick.
#[derive(Clone, Debug)]
pub struct Lane {
    /// Which lane of its pattern this is.
    pub id: LaneId,
    /// How it is written.
    pub head: LaneHead,
    strokes: Vec<Stroke>,
    next_id: u32,
}

/// The most strokes one lane may have.
pub const MAX_STROKES: usize = 1024;

impl Lane {
    /// An empty lane.
    pub fn new(head: LaneHead) -> Lane {
        Lane { id: LaneId::default(), head, strokes: Vec::new(), next_id: 1 }
    }

    /// A lane with these strokes, put in order and given fresh identities; of two on one tick the later one stays.
    pub fn with_strokes(head: LaneHead, strokes: impl IntoIterator<Item = Stroke>) -> Lane {
        let mut lane = Lane::new(head);
        for stroke in strokes {
            lane.put(Stroke { id: StrokeId::default(), ..stroke });
        }
        lane
    }

    /// This lane without its strokes and with another head; identities used up stay used up.
    pub(super) fn emptied(&self, head: LaneHead) -> Lane {
        Lane { id: self.id, head, strokes: Vec::new(), next_id: self.next_id }
    }

    /// The strokes in order of place.
    pub fn strokes(&self) -> &[Stroke] {
        &self.strokes
    }

    /// The stroke on the tick `at`, if there is one.
    pub fn at(&self, at: Tick) -> Option<&Stroke> {
        self.find(at).ok().and_then(|index| self.strokes.get(index))
    }

    /// The stroke with identity `id`.
    pub fn by_id(&self, id: StrokeId) -> Option<&Stroke> {
        self.strokes.iter().find(|stroke| stroke.id == id)
    }

    fn find(&self, at: Tick) -> Result<usize, usize> {
        self.strokes.binary_search_by_key(&at, |stroke| stroke.at)
    }

    /// Puts a stroke on its tick and returns what stood there. A stroke without identity (0) takes that of the stroke it
    /// replaces, or else a fresh one that no stroke of this lane has had.
    pub(super) fn put(&mut self, mut stroke: Stroke) -> Option<Stroke> {
        match self.find(stroke.at) {
            Ok(index) => {
                let old = &mut self.strokes[index];
                if stroke.id == StrokeId::default() {
                    stroke.id = old.id;
                }
                self.next_id = self.next_id.max(stroke.id.0.saturating_add(1));
                Some(core::mem::replace(old, stroke))
            }
            Err(index) => {
                if stroke.id == StrokeId::default() {
                    stroke.id = StrokeId(self.next_id);
                }
                self.next_id = self.next_id.max(stroke.id.0.saturating_add(1));
                self.strokes.insert(index, stroke);
                None
            }
        }
    }

    /// Takes the stroke on the tick `at` away.
    pub(super) fn take(&mut self, at: Tick) -> Option<Stroke> {
        self.find(at).ok().map(|index| self.strokes.remove(index))
    }

    /// Gives no stroke an identity that one of `before`, an earlier state of this lane, has had.
    pub(super) fn remember_identities(&mut self, before: &Lane) {
        self.next_id = self.next_id.max(before.next_id);
    }

    /// What keeps this lane out of a pattern of `length` ticks.
    pub(super) fn fault(&self, length: Tick) -> Option<LaneFault> {
        if !(40..=3840).contains(&self.head.pulse.0) || length.0 % self.head.pulse.0 != 0 {
            return Some(LaneFault::Pulse(self.head.pulse));
        }
        if self.strokes.len() > MAX_STROKES {
            return Some(LaneFault::TooMany(self.strokes.len()));
        }
        self.strokes.iter().find_map(|stroke| {
            let fault = if !(0..length.0).contains(&stroke.at.0) {
                Some(StrokeFault::Place)
            } else if 2 * stroke.nudge.0.abs() >= self.head.pulse.0 {
                Some(StrokeFault::Nudge)
            } else {
                stroke.fault()
            };
            fault.map(|fault| LaneFault::Stroke(stroke.at, fault))
        })
    }
}

/// Equality is musical: identities do not count.
impl PartialEq for Lane {
    fn eq(&self, other: &Lane) -> bool {
        self.head == other.head && self.strokes == other.strokes
    }
}

impl Eq for Lane {}

/// Why a lane does not fit its pattern.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LaneFault {
    /// The pulse is not 40 to 3840 ticks, or does not divide the pattern.
    Pulse(Tick),
    /// More than [`MAX_STROKES`].
    TooMany(usize),
    /// A stroke on this tick is at fault.
    Stroke(Tick, StrokeFault),
}

impl core::fmt::Display for LaneFault {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        match self {
            LaneFault::Pulse(pulse) => {
                write!(f, "a pulse is 40 to 3840 ticks and divides the pattern, found {}", pulse.0)
            }
            LaneFault::TooMany(count) => write!(f, "a lane has at most {MAX_STROKES} strokes, found {count}"),
            LaneFault::Stroke(_, fault) => fault.fmt(f),
        }
    }
}
