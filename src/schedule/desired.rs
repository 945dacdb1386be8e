//! What is to sound in a span of frames: a pure function of the transport.
//!
//! Events are chosen by when they *sound*. A stroke that sounds before its pass begins belongs to the coming pass, one that
//! sounds after the seam to the pass that is over.

use super::event::{Event, Instrument, Key, Line};
use super::score::Strike;
use super::segment::{Opening, Segment};
use super::transport::Transport;
use crate::rhythm::{Frames, Seconds, Tick};

/// A strike with its place on the clock.
#[derive(Clone, Copy, Debug)]
pub(super) struct Timed<'a> {
    pub key: Key,
    /// The index of the segment that plays it.
    pub segment: usize,
    pub strike: &'a Strike,
    /// The exact frame, and the whole one it is rounded to.
    pub time: f64,
    pub frame: Frames,
}

/// How far before its segment's anchor a strike may lie that is then played at the anchor: the widest pair wholly swung
/// and shifted, and lean and flam gap both ways at half pace.
fn slack(segment: &Segment, rate: f64) -> Frames {
    (segment.groove.tempo.seconds(2400.0) + Seconds(0.480)).to_frames(rate)
}

/// Whether the segment before keeps a strike written at `at` in its turn `turn`, wherever it sounds.
fn keeps(next: &Segment, turn: i64, at: Tick) -> bool {
    match next.opening {
        Opening::BarLine { turn: last, line } => turn < last || (turn == last && at < line),
        _ => false,
    }
}

impl Transport {
    /// Every event that starts from the frame `from` to before `to`, in order of time. Costs what the span holds, not what
    /// the pattern holds.
    pub fn desired(&self, from: Frames, to: Frames) -> Vec<Event> {
        let all = self.timed(from, to, |line, _| self.click || line != Line::Click);
        all.iter().map(|timed| self.event_of(timed)).collect()
    }

    /// The event of that identity as it now stands, past or coming; `None` if it is not played.
    pub fn event(&self, key: &Key) -> Option<Event> {
        if key.line == Line::Click && !self.click {
            return None;
        }
        self.owner(key).map(|timed| self.event_of(&timed))
    }

    fn event_of(&self, timed: &Timed) -> Event {
        let strike = timed.strike;
        let (end, glide) = self.ending(timed, timed.frame + Frames(1));
        Event {
            key: timed.key,
            frame: timed.frame,
            instrument: strike.instrument,
            at: strike.at,
            loudness: strike.loudness,
            pitches: strike.pitches.clone(),
            end,
            glide,
        }
    }

    /// The strikes of the lines `wanted` names that start from `from` to before `to`, in order.
    pub(super) fn timed(&self, from: Frames, to: Frames, wanted: impl Fn(Line, Instrument) -> bool) -> Vec<Timed<'_>> {
        let mut found = Vec::new();
        for (index, segment) in self.segments.iter().enumerate() {
            let next = self.segments.get(index + 1);
            let kept = next.is_some_and(|next| matches!(next.opening, Opening::BarLine { .. }));
            let until = next.filter(|_| !kept).map_or(to, |next| next.from.min(to));
            let since = match segment.opening {
                Opening::Start => from,
                _ if index == 0 => from,
                Opening::Flow | Opening::BarLine { .. } if from <= segment.from => {
                    segment.from - slack(segment, self.rate)
                }
                _ => from.max(segment.from),
            };
            if until <= from || segment.from >= to || since >= until {
                continue;
            }
            for line in segment.score.lines().iter().filter(|line| wanted(line.line, line.instrument)) {
                segment.strikes(line, since, until, self.rate, |turn, strike| {
                    let key =
                        Key { pass: segment.pass_of(turn), line: line.line, stroke: strike.stroke, part: strike.part };
                    let timed = if self.segments.len() == 1 {
                        Some(self.raw(0, turn, key, strike))
                    } else {
                        self.owner(&key).filter(|timed| timed.segment == index)
                    };
                    found.extend(timed.filter(|timed| from <= timed.frame && timed.frame < to));
                });
            }
        }
        found.sort_unstable_by_key(|timed| (timed.frame, timed.key));
        found
    }

    fn raw<'a>(&'a self, index: usize, turn: i64, key: Key, strike: &'a Strike) -> Timed<'a> {
        let time = self.segments.get(index).map_or(0.0, |segment| segment.strike_time(turn, strike, self.rate));
        Timed { key, segment: index, strike, time, frame: Frames(time.round() as i64) }
    }

    /// When the strike named `key` sounds, and in which segment: the first that rules the frame at which it would sound
    /// there.
    pub(super) fn owner(&self, key: &Key) -> Option<Timed<'_>> {
        let mut before: Option<(Frames, Tick)> = None;
        for (index, segment) in self.segments.iter().enumerate() {
            let Some((turn, strike)) = segment.find(key) else {
                before = None;
                continue;
            };
            let mut timed = self.raw(index, turn, *key, strike);
            if index > 0 && timed.frame < segment.from {
                let held = match segment.opening {
                    Opening::Start | Opening::BarLine { .. } => true,
                    // It was still to come in the segment before, at the same place: it must not be lost.
                    Opening::Flow => before.is_some_and(|(frame, at)| frame >= segment.from && at == strike.at),
                    Opening::Exchange => false,
                };
                if !held {
                    before = None;
                    continue;
                }
                (timed.time, timed.frame) = (segment.from.0 as f64, segment.from);
            }
            let handed_on = self
                .segments
                .get(index + 1)
                .is_some_and(|next| timed.frame >= next.from && !keeps(next, turn, strike.at));
            if !handed_on {
                return Some(timed);
            }
            before = Some((timed.frame, strike.at));
        }
        None
    }
}
