//! A segment: a stretch of the clock in which one tempo, one feel and one loop are in force.
//!
//! Time in a segment is its anchor plus an exact number of ticks at its tempo; nothing is accumulated from pass to pass.
//! The passes of a segment are its *turns*: turn 0 is the pass the segment opens in (perhaps in its middle), turn 1 the next.

use super::event::{Key, Line};
use super::score::{Score, ScoreLine, Strike};
use super::span::Span;
use crate::rhythm::{Frames, Groove, Seconds, Tick};
use std::sync::Arc;

/// How a segment takes over from the one before.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Opening {
    /// Nothing was before it.
    Start,
    /// The same pass goes on with another tempo, feel or loop: what has not sounded before the anchor sounds in this one,
    /// at the anchor at the earliest.
    Flow,
    /// Bars or metre changed at a bar line. The segment before keeps the strokes written before the line even if they
    /// sound after it; this one has those written after it.
    BarLine {
        /// The turn of the segment before in which the line lies.
        turn: u32,
        /// Where the line lies in it.
        line: Tick,
    },
    /// Another groove takes over: it plays what sounds from the anchor on, and ends what the old one held.
    Exchange,
}

/// One segment; see the module.
#[derive(Clone, Debug)]
pub struct Segment {
    /// The first frame it rules; it rules until the next segment's.
    pub from: Frames,
    /// The exact frame (real: a bar line need not fall on a whole frame) at which the position is `tick`.
    pub anchor: f64,
    /// The position in the pattern at the anchor, in ticks.
    pub tick: f64,
    /// The number of the pass it opens in.
    pub pass: u32,
    /// The part of the pattern that belongs to that pass.
    pub first: Span,
    /// The number of the pass after it.
    pub next_pass: u32,
    /// The part of the pattern that plays in the passes after.
    pub span: Span,
    /// How it takes over.
    pub opening: Opening,
    /// The groove in force.
    pub groove: Arc<Groove>,
    /// That groove laid out.
    pub score: Arc<Score>,
    /// Which revision of the groove that is.
    pub revision: u64,
}

impl Segment {
    /// The number of the pass of turn `turn`.
    pub fn pass_of(&self, turn: u32) -> u32 {
        if turn == 0 { self.pass } else { self.next_pass + (turn - 1) }
    }

    /// The turn in which pass `pass` is played, if it is.
    pub fn turn_of(&self, pass: u32) -> Option<u32> {
        if pass == self.pass { Some(0) } else { pass.checked_sub(self.next_pass).map(|turns| turns + 1) }
    }

    /// The part of the pattern that belongs to turn `turn`.
    pub fn part_of(&self, turn: u32) -> Span {
        if turn == 0 { self.first } else { self.span }
    }

    /// Ticks from the anchor to where the pattern's tick 0 would lie in turn `turn`.
    fn base(&self, turn: u32) -> f64 {
        match turn.checked_sub(1) {
            None => -self.tick,
            Some(turns) => {
                let whole = self.first.end() - self.span.start() + self.span.length().times(i64::from(turns));
                whole.as_f64() - self.tick
            }
        }
    }

    /// The exact frame of the place `ticks` in turn `turn`, `offset` seconds later.
    pub fn time(&self, turn: u32, ticks: f64, offset: Seconds, rate: f64) -> f64 {
        self.anchor + (self.groove.tempo.seconds(self.base(turn) + ticks) + offset).0 * rate
    }

    /// The exact frame at which `strike` sounds in turn `turn`.
    pub fn strike_time(&self, turn: u32, strike: &Strike, rate: f64) -> f64 {
        self.time(turn, strike.ticks, strike.offset, rate)
    }

    /// The turn and the position in the pattern at the exact frame `frame`. Before the start the position lies before
    /// the first place that plays.
    pub fn position(&self, frame: f64, rate: f64) -> (u32, f64) {
        let at = self.tick + self.groove.tempo.ticks(Seconds((frame - self.anchor) / rate));
        let over = at - self.first.end().as_f64();
        if over < 0.0 {
            return (0, at);
        }
        let length = self.span.length().as_f64();
        let turns = (over / length).floor();
        (turns as u32 + 1, self.span.start().as_f64() + (over - turns * length))
    }

    /// Whether a strike of `line` written at `at` plays in turn `turn`. The count-in belongs to the very first pass.
    pub fn plays(&self, turn: u32, line: Line, at: Tick) -> bool {
        match line {
            Line::CountIn => turn == 0 && self.pass == 0,
            Line::Lane(_) | Line::Click => self.part_of(turn).contains(at),
        }
    }

    /// The turn and the strike of that name, if this segment would play it.
    pub fn find(&self, key: &Key) -> Option<(u32, &Strike)> {
        let turn = self.turn_of(key.pass)?;
        let strike = self.score.line(key.line)?.named(key.stroke, key.part)?;
        self.plays(turn, key.line, strike.at).then_some((turn, strike))
    }

    /// Calls `each` with turn and strike for every strike of `line` that this segment would sound between the frames
    /// `from` and `to`; a frame's rounding either side may come along.
    pub fn strikes<'a>(
        &'a self,
        line: &'a ScoreLine,
        from: Frames,
        to: Frames,
        rate: f64,
        mut each: impl FnMut(u32, &'a Strike),
    ) {
        let seconds = |frame: Frames, slop: f64| (frame.0 as f64 + slop - self.anchor) / rate;
        let (from, to) = (seconds(from, -1.0), seconds(to, 1.0));
        let tempo = self.groove.tempo;
        let mut turn_strikes = |turn: u32| {
            let base = tempo.seconds(self.base(turn)).0;
            for strike in line.between(Seconds(from - base), Seconds(to - base)) {
                if self.plays(turn, line.line, strike.at) {
                    each(turn, strike);
                }
            }
        };
        turn_strikes(0);
        let (second, length) = (tempo.seconds(self.base(1)).0, tempo.seconds(self.span.length().as_f64()).0);
        let turn = |time: f64| ((time - second) / length).clamp(0.0, f64::from(u32::MAX / 2)) as u32 + 1;
        if to - self.score.earliest().0 >= second {
            for turn in turn(from - self.score.latest().0)..=turn(to - self.score.earliest().0) {
                turn_strikes(turn);
            }
        }
    }
}
