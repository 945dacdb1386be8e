//! A segment: a stretch of the clock in which one tempo, one feel and one loop are in force.
//!
//! Time in a segment is its anchor plus an exact number of ticks at its tempo; nothing is accumulated from pass to pass.
//! The passes of a segment are its *turns*: turn 0 is the pass the segment opens in (perhaps in its middle), turn 1 the
//! next, turn -1 the one before, of which rolls and late strokes may still be to come.

use super::echo::{Echo, EchoPhase};
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
        turn: i64,
        /// Where the line lies in it.
        line: Tick,
    },
    /// Another groove takes over: it plays what sounds from the anchor on, and ends what the old one held.
    Exchange,
}

/// A pass that is over, but for rolls and late strokes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Past {
    /// Its number.
    pub pass: u32,
    /// The part of the pattern that belonged to it.
    pub part: Span,
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
    /// The passes before it of which something may still be to come, the latest first.
    pub before: Vec<Past>,
    /// The number of the pass after it.
    pub next_pass: u32,
    /// The part of the pattern that plays in the passes after.
    pub span: Span,
    /// How it takes over.
    pub opening: Opening,
    /// Which passes sound, if not all do.
    pub echo: Option<Echo>,
    /// The groove in force.
    pub groove: Arc<Groove>,
    /// That groove laid out.
    pub score: Arc<Score>,
    /// Which revision of the groove that is.
    pub revision: u64,
}

impl Segment {
    /// The number of the pass of turn `turn`.
    pub fn pass_of(&self, turn: i64) -> u32 {
        match turn {
            0 => self.pass,
            1.. => self.next_pass + (turn - 1) as u32,
            _ => self.past(turn).map_or(self.pass, |past| past.pass),
        }
    }

    /// The turn in which pass `pass` is played, if it is.
    pub fn turn_of(&self, pass: u32) -> Option<i64> {
        if pass == self.pass {
            return Some(0);
        }
        let past = || self.before.iter().position(|past| past.pass == pass).map(|index| -1 - index as i64);
        pass.checked_sub(self.next_pass).map(|turns| i64::from(turns) + 1).or_else(past)
    }

    /// The part of the pattern that belongs to turn `turn`.
    pub fn part_of(&self, turn: i64) -> Span {
        match turn {
            0 => self.first,
            1.. => self.span,
            _ => self.past(turn).map_or(self.first, |past| past.part),
        }
    }

    fn past(&self, turn: i64) -> Option<&Past> {
        self.before.get(usize::try_from(-1 - turn).ok()?)
    }

    /// The passes before turn `turn` of which something may still be to come, the latest first.
    pub fn before(&self, turn: i64) -> Vec<Past> {
        // The longest roll, the widest swing and position shift, the latest lean at half pace.
        let longest = 7680.0 + 2400.0 + self.groove.tempo.ticks(Seconds(0.120));
        let mut over = 0.0;
        let earliest = -(self.before.len() as i64);
        (earliest..turn)
            .rev()
            .map(|turn| Past { pass: self.pass_of(turn), part: self.part_of(turn) })
            .take_while(|past| {
                let reaches = over <= longest;
                over += past.part.length().as_f64();
                reaches
            })
            .collect()
    }

    /// Ticks from the anchor to where the pattern's tick 0 would lie in turn `turn`.
    fn base(&self, turn: i64) -> f64 {
        let whole = match turn {
            0 => Tick::ZERO,
            1.. => self.first.end() - self.span.start() + self.span.length().times(turn - 1),
            _ => {
                let since = self.before.iter().take((-1 - turn) as usize).map(|past| past.part.length().0).sum();
                self.first.start() - Tick(since) - self.part_of(turn).end()
            }
        };
        whole.as_f64() - self.tick
    }

    /// The exact frame of the place `ticks` in turn `turn`, `offset` seconds later.
    pub fn time(&self, turn: i64, ticks: f64, offset: Seconds, rate: f64) -> f64 {
        self.anchor + (self.groove.tempo.seconds(self.base(turn) + ticks) + offset).0 * rate
    }

    /// The exact frame at which `strike` sounds in turn `turn`.
    pub fn strike_time(&self, turn: i64, strike: &Strike, rate: f64) -> f64 {
        self.time(turn, strike.ticks, strike.offset, rate)
    }

    /// The turn and the position in the pattern at the exact frame `frame`. Before the start the position lies before
    /// the first place that plays.
    pub fn position(&self, frame: f64, rate: f64) -> (i64, f64) {
        let at = self.tick + self.groove.tempo.ticks(Seconds((frame - self.anchor) / rate));
        let over = at - self.first.end().as_f64();
        if over < 0.0 {
            return (0, at);
        }
        let length = self.span.length().as_f64();
        let turns = (over / length).floor();
        (turns as i64 + 1, self.span.start().as_f64() + (over - turns * length))
    }

    /// Whether a strike of `line` written at `at` plays in turn `turn`. The count-in belongs to the very first pass; a pass
    /// left to the learner has its click, but no strokes.
    pub fn plays(&self, turn: i64, line: Line, at: Tick) -> bool {
        match line {
            Line::CountIn => turn == 0 && self.pass == 0,
            Line::Click => self.part_of(turn).contains(at),
            Line::Lane(_) => {
                let sounds = self.echo.is_none_or(|echo| echo.phase(self.pass_of(turn)) == EchoPhase::Listen);
                sounds && self.part_of(turn).contains(at)
            }
        }
    }

    /// The turn and the strike of that name, if this segment would play it.
    pub fn find(&self, key: &Key) -> Option<(i64, &Strike)> {
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
        mut each: impl FnMut(i64, &'a Strike),
    ) {
        let seconds = |frame: Frames, slop: f64| (frame.0 as f64 + slop - self.anchor) / rate;
        let (from, to) = (seconds(from, -1.0), seconds(to, 1.0));
        let tempo = self.groove.tempo;
        let mut turn_strikes = |turn: i64| {
            let base = tempo.seconds(self.base(turn)).0;
            for strike in line.between(Seconds(from - base), Seconds(to - base)) {
                if self.plays(turn, line.line, strike.at) {
                    each(turn, strike);
                }
            }
        };
        for turn in -(self.before.len() as i64)..=0 {
            turn_strikes(turn);
        }
        let (second, length) = (tempo.seconds(self.base(1)).0, tempo.seconds(self.span.length().as_f64()).0);
        let turn = |time: f64| ((time - second) / length).clamp(0.0, f64::from(u32::MAX / 2)) as i64 + 1;
        if to - self.score.earliest().0 >= second {
            for turn in turn(from - self.score.latest().0)..=turn(to - self.score.earliest().0) {
                turn_strikes(turn);
            }
        }
    }
}
