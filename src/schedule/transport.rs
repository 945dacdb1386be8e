//! The transport: how the passes of a groove lie on the clock, as a list of segments.

use super::caret::Caret;
use super::echo::Echo;
use super::felt::{self, ClickPulse, Pulse};
use super::margins;
use super::pace::{Pace, Paced};
use super::score::Score;
use super::segment::{Opening, Segment};
use super::span::Span;
use crate::rhythm::{Edit, Frames, Groove, Seconds, Tick};
use std::sync::Arc;

/// How to start.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Start {
    /// Where in the pattern the first pass begins; strokes written before it wait for the next.
    pub at: Tick,
    /// The loop, if not the whole pattern plays; a start outside it moves to its first beat.
    pub span: Option<Span>,
    /// How many felt pulses are counted in.
    pub count_in: u32,
    /// Whether the pulse clicks along.
    pub click: bool,
    /// Which pulse that is.
    pub click_pulse: ClickPulse,
    /// How fast, compared with what is written.
    pub pace: Pace,
    /// Which passes sound, if not all do.
    pub echo: Option<Echo>,
}

/// The most pulses of a count-in.
pub const MAX_COUNT_IN: u32 = 64;

/// A groove in play. Seconds are always a segment's anchor plus an exact position.
///
/// All frames are of one clock that counts `rate` frames a second and never runs backwards. After every change the ledger
/// should be reconciled at the same `now`.
#[derive(Clone, Debug)]
pub struct Transport {
    pub(super) rate: f64,
    pub(super) segments: Vec<Segment>,
    pub(super) count_in: Vec<Pulse>,
    pub(super) click: bool,
    pub(super) click_pulse: ClickPulse,
    pub(super) pace: Pace,
    pub(super) echo: Option<Echo>,
    written: Arc<Groove>,
    /// `written` at its pace.
    target: Paced,
    span: Option<Span>,
    started: Frames,
    revision: u64,
    pub(super) version: u64,
}

impl Transport {
    /// Lays `groove` out from soon after `now`: the first beat comes after the count-in, and late enough that the earliest
    /// early stroke still lies ahead.
    pub fn start(groove: Arc<Groove>, rate: f64, now: Frames, how: Start) -> Transport {
        let written = groove;
        let target = Paced::new(&written, how.pace);
        let groove = Arc::clone(&target.groove);
        let pattern = &groove.pattern;
        let span = how.span.filter(|span| span.fits(pattern));
        let part = span.unwrap_or(Span::whole(pattern));
        let at = if part.contains(how.at) { how.at } else { part.start() };
        let count_in = felt::pulses_before(&groove, at, how.count_in.min(MAX_COUNT_IN));
        let click = how.click_pulse.of(written.tempo);
        let score = Arc::new(Score::new(&groove, &count_in, click, target.stretch));
        let mut segment = Segment {
            from: now,
            anchor: 0.0,
            tick: at.as_f64(),
            pass: 0,
            first: Span::cut(at, part.end()),
            before: Vec::new(),
            next_pass: 1,
            span: part,
            opening: Opening::Start,
            echo: how.echo,
            groove,
            score,
            revision: 0,
        };
        segment.anchor = (now + margins::frames(margins::START, rate)).0 as f64 + lead(&segment, rate).ceil();
        Transport {
            rate,
            segments: vec![segment],
            count_in,
            click: how.click,
            click_pulse: how.click_pulse,
            pace: how.pace,
            echo: how.echo,
            written,
            target,
            span: how.span,
            started: now,
            revision: 0,
            version: 0,
        }
    }

    /// Puts an edited groove in force. Strokes, loudness, pitches and lanes change where they stand; tempo and feel change
    /// 60 ms from `now`, with the position continuous; bars and metre at the next bar line, where bar k goes on as bar k
    /// modulo the new number of bars. While a change of metre waits, so do the strokes edited meanwhile.
    pub fn edit(&mut self, groove: Arc<Groove>, now: Frames) {
        self.written = groove;
        self.revision += 1;
        self.relay(now, false);
    }

    /// Puts another groove in place of this one, with strokes of its own: 60 ms from `now` at the same bar and beat, or
    /// at the next bar line if the metre differs.
    pub fn exchange(&mut self, groove: Arc<Groove>, now: Frames) {
        self.written = groove;
        self.revision += 1;
        self.relay(now, true);
    }

    /// Loops a stretch of beats, or the whole pattern again, 60 ms from `now`. The position goes on: up to the end of
    /// the stretch if that is ahead, else to the next beat, and then from the start of the stretch. A stretch that is no
    /// whole beats of the pattern is not looped.
    pub fn set_span(&mut self, span: Option<Span>, now: Frames) {
        self.span = span;
        self.relay(now, false);
    }

    /// Turns the click on or off.
    pub fn set_click(&mut self, on: bool) {
        self.click = on;
        self.version += 1;
    }

    /// Lets go of the segments that are over; call it in every pump.
    pub fn forget(&mut self, now: Frames) {
        let since = now - margins::frames(margins::MEMORY, self.rate);
        let over = self.segments.iter().skip(1).take_while(|segment| segment.from < since).count();
        self.segments.drain(..over);
    }

    /// The groove that was put in force last, as it is written; a change of its bars or metre may still be waiting.
    pub fn groove(&self) -> &Arc<Groove> {
        &self.written
    }

    /// The revision of [`Transport::groove`], counted from 0 by edits and exchanges.
    pub fn revision(&self) -> u64 {
        self.revision
    }

    /// Frames a second.
    pub fn rate(&self) -> f64 {
        self.rate
    }

    /// The `now` it was started at.
    pub fn started(&self) -> Frames {
        self.started
    }

    /// Grows with every change of what is desired.
    pub fn version(&self) -> u64 {
        self.version
    }

    /// The segments, in order.
    pub fn segments(&self) -> &[Segment] {
        &self.segments
    }

    /// The segment that rules `frame`.
    pub(super) fn ruling(&self, frame: Frames) -> Option<&Segment> {
        let after = self.segments.partition_point(|segment| segment.from <= frame);
        self.segments.get(after.saturating_sub(1))
    }

    fn score(&self, groove: &Groove) -> Arc<Score> {
        let click = self.click_pulse.of(self.written.tempo);
        Arc::new(Score::new(groove, &self.count_in, click, self.target.stretch))
    }

    /// Opens the segments that `target` and `span` ask for, in place of those that have not begun.
    pub(super) fn relay(&mut self, now: Frames, mut exchange: bool) {
        self.version += 1;
        self.target = Paced::new(&self.written, self.pace);
        let from = now + margins::frames(margins::FROZEN, self.rate);
        while self.segments.len() > 1
            && let Some(last) = self.segments.pop_if(|last| last.from >= from)
        {
            exchange |= last.opening == Opening::Exchange;
        }
        let Some(current) = self.segments.last() else { return };
        let (old, new) = (&current.groove, &self.target.groove);
        let same_metre = old.pattern.metre() == new.pattern.metre();
        if exchange {
            let counting = matches!(self.caret(from.0 as f64), Caret::Waiting | Caret::CountIn { .. });
            let segment = if same_metre && !counting {
                self.exchanged(current, from)
            } else {
                self.at_bar_line(current, from, true)
            };
            self.segments.push(segment);
            return;
        }
        let same_bars = same_metre && old.pattern.bars() == new.pattern.bars();
        let next = if same_bars { Arc::clone(new) } else { Arc::new(waiting(old, new)) };
        let span = self.span.filter(|span| span.fits(&next.pattern)).unwrap_or(Span::whole(&next.pattern));
        if next.tempo != old.tempo || next.feel != old.feel || span != current.span {
            let segment = self.flowed(current, next, span, from);
            self.segments.push(segment);
        } else if !Arc::ptr_eq(&next, old) {
            let (score, revision) = (self.score(&next), self.revision);
            if let Some(current) = self.segments.last_mut() {
                (current.groove, current.score, current.revision) = (next, score, revision);
            }
        }
        if !same_bars && let Some(current) = self.segments.last() {
            let segment = self.at_bar_line(current, from, false);
            self.segments.push(segment);
        }
    }

    /// The same pass from the frame `from` on, with `groove` and the loop `span`.
    fn flowed(&self, current: &Segment, groove: Arc<Groove>, span: Span, from: Frames) -> Segment {
        let (turn, tick) = current.position(from.0 as f64, self.rate);
        let part = current.part_of(turn);
        let end = if span == current.span {
            part.end()
        } else if tick.max(part.start().as_f64()) < span.end().as_f64() {
            span.end()
        } else {
            beat_after(&groove, tick.max(part.start().as_f64()))
        };
        // Early strokes of the coming pass may have sounded for a seam that now lies elsewhere: it is another pass.
        let moved = u32::from(end != part.end());
        Segment {
            from,
            anchor: from.0 as f64,
            tick,
            pass: current.pass_of(turn),
            first: Span::cut(part.start(), end),
            before: current.before(turn),
            next_pass: current.pass_of(turn + 1) + moved,
            span,
            opening: Opening::Flow,
            echo: self.echo,
            score: self.score(&groove),
            groove,
            revision: self.revision,
        }
    }

    /// The target from the first bar line (or seam of the loop) at or after `from`.
    fn at_bar_line(&self, current: &Segment, from: Frames, exchange: bool) -> Segment {
        let (turn, tick) = current.position(from.0 as f64, self.rate);
        let (part, old_bar) = (current.part_of(turn), current.groove.pattern.metre().bar());
        // A position that is the line but for the last bits of its arithmetic is the line.
        let next = old_bar.times(((tick - 1e-6) / old_bar.as_f64()).ceil() as i64);
        let line = next.max(part.start()).min(part.end());
        let seam = line == part.end();
        let pattern = &self.target.groove.pattern;
        let span = self.span.filter(|span| span.fits(pattern)).unwrap_or(Span::whole(pattern));
        let wanted = if seam { 0 } else { line.div_euclid(old_bar) };
        let bar = wanted % i64::from(pattern.bars());
        // The first pass may begin inside a bar.
        let inside = if seam { Tick::ZERO } else { line - old_bar.times(wanted) };
        let inside = if inside < pattern.metre().bar() { inside } else { Tick::ZERO };
        let kept = pattern.metre().bar().times(bar) + inside;
        let place = if span.contains(kept) && !seam { kept } else { span.start() };
        let pass = if exchange {
            current.pass_of(turn + 1) + 1
        } else if seam {
            current.pass_of(turn + 1)
        } else if bar == wanted && place == kept {
            current.pass_of(turn)
        } else {
            // Strokes of this pass have sounded, and early ones of the next may have.
            current.pass_of(turn + 1) + 1
        };
        let anchor = current.time(turn, line.as_f64(), Seconds(0.0), self.rate);
        Segment {
            from: Frames(anchor.round() as i64),
            anchor,
            tick: place.as_f64(),
            pass,
            first: Span::cut(place, span.end()),
            before: Vec::new(),
            next_pass: pass + 1,
            span,
            opening: if exchange { Opening::Exchange } else { Opening::BarLine { turn, line } },
            echo: self.echo,
            score: self.score(&self.target.groove),
            groove: Arc::clone(&self.target.groove),
            revision: self.revision,
        }
    }

    /// The target from the frame `from` on, at the same bar and place in it.
    fn exchanged(&self, current: &Segment, from: Frames) -> Segment {
        let (turn, tick) = current.position(from.0 as f64, self.rate);
        let pattern = &self.target.groove.pattern;
        let span = self.span.filter(|span| span.fits(pattern)).unwrap_or(Span::whole(pattern));
        let place = tick.rem_euclid(pattern.length().as_f64());
        let inside = place >= span.start().as_f64() && place < span.end().as_f64();
        let pass = current.pass_of(turn + 1) + 1;
        Segment {
            from,
            anchor: from.0 as f64,
            tick: if inside { place } else { span.start().as_f64() },
            pass,
            first: span,
            before: Vec::new(),
            next_pass: pass + 1,
            span,
            opening: Opening::Exchange,
            echo: self.echo,
            score: self.score(&self.target.groove),
            groove: Arc::clone(&self.target.groove),
            revision: self.revision,
        }
    }
}

/// What plays while a change from the bars or metre of `old` to those of `new` waits: all of `new` but its bars. Strokes
/// edited meanwhile are heard if the metre stays and the bar they stand in plays.
fn waiting(old: &Groove, new: &Groove) -> Groove {
    let mut edited = new.clone();
    if old.pattern.metre() != new.pattern.metre() || edited.apply(&Edit::SetBars(old.pattern.bars())).is_err() {
        return Groove { pattern: old.pattern.clone(), ..edited };
    }
    for lane in old.pattern.lanes().iter().filter(|lane| new.pattern.lane(lane.id).is_some()) {
        for stroke in lane.strokes().iter().filter(|stroke| stroke.at >= new.pattern.length()) {
            // A lane whose pulse was changed may refuse an old nudge; the bar is about to go in any case.
            let _ = edited.apply(&Edit::Put(lane.id, stroke.clone()));
        }
    }
    edited
}

/// How many frames before its anchor the first segment sounds: by its count-in or by early strokes.
fn lead(segment: &Segment, rate: f64) -> f64 {
    let mut earliest: f64 = 0.0;
    for line in segment.score.lines() {
        for strike in line.strikes() {
            for turn in 0..4 {
                if segment.plays(turn, line.line, strike.at) {
                    earliest = earliest.min(segment.strike_time(turn, strike, rate) - segment.anchor);
                }
            }
        }
    }
    -earliest
}

/// The first beat at or after the position `tick`.
fn beat_after(groove: &Groove, tick: f64) -> Tick {
    let metre = groove.pattern.metre();
    let at = Tick((tick - 1e-6).ceil() as i64);
    let bar = at - at.rem_euclid(metre.bar());
    let beats = (0..=metre.beat_count()).map(|beat| bar + metre.beat_start(beat));
    beats.into_iter().find(|&beat| beat >= at).unwrap_or(bar + metre.bar())
}
