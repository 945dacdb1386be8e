//! The part of a pattern that plays: all of it, or a loop of some beats.

use crate::rhythm::{Pattern, Tick};

/// A stretch of a pattern in whole beats, from its start to before its end.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Span {
    start: Tick,
    end: Tick,
}

impl Span {
    /// The stretch from `start` to before `end`; `None` unless both are beats of `pattern` (or its end) and in order.
    pub fn new(pattern: &Pattern, start: Tick, end: Tick) -> Option<Span> {
        let beat = |at: Tick| {
            let inside = at.rem_euclid(pattern.metre().bar());
            inside == pattern.metre().beat_at(inside).1
        };
        let inside = Tick::ZERO <= start && start < end && end <= pattern.length();
        (inside && beat(start) && beat(end)).then_some(Span { start, end })
    }

    /// The whole pattern.
    pub fn whole(pattern: &Pattern) -> Span {
        Span { start: Tick::ZERO, end: pattern.length() }
    }

    /// A stretch as it stands, for the rest of a pass: it need not be whole beats, and may be empty.
    pub(super) fn cut(start: Tick, end: Tick) -> Span {
        Span { start, end: end.max(start) }
    }

    /// Whether it still is a stretch of whole beats in `pattern`.
    pub fn fits(self, pattern: &Pattern) -> bool {
        Span::new(pattern, self.start, self.end).is_some()
    }

    /// Where it starts.
    pub const fn start(self) -> Tick {
        self.start
    }

    /// Where it ends: the first tick that is not part of it.
    pub const fn end(self) -> Tick {
        self.end
    }

    /// How long it is.
    pub fn length(self) -> Tick {
        self.end - self.start
    }

    /// Whether `at` lies in it.
    pub fn contains(self, at: Tick) -> bool {
        self.start <= at && at < self.end
    }
}
