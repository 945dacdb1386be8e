//! Where sounds are ended and how they slide there: found in the pattern, over seams and segments, never in a window.

use super::desired::Timed;
use super::echo::EchoPhase;
use super::event::{Cause, End, GlideTime, Instrument, Key, Line};
use super::score::cuts;
use super::segment::Opening;
use super::transport::Transport;
use crate::rhythm::{Frames, Seconds};

impl Transport {
    /// End and glide of `timed`, of which the cutting stroke starts at `not_before` or later.
    pub(super) fn ending(&self, timed: &Timed, not_before: Frames) -> (Option<End>, Option<GlideTime>) {
        let strike = timed.strike;
        let length = strike.length.map(|length| {
            let frame = Frames(self.advance(timed.segment, timed.time, length.as_f64()).round() as i64);
            End { frame, cause: Cause::Length }
        });
        let cut = self.cut(timed, not_before);
        let mut end = length.into_iter().chain(cut).min_by_key(|end| end.frame);
        let mono = matches!(strike.instrument, Instrument::Role(role) if role.is_mono());
        if strike.length.is_some() || mono {
            let later = self.segments.iter().skip(timed.segment + 1);
            let other = later.filter(|segment| segment.opening == Opening::Exchange).map(|segment| segment.from);
            let taken_over = other.map(|frame| End { frame: frame.max(timed.frame), cause: Cause::Length });
            end = end.into_iter().chain(taken_over).chain(self.handed_over(timed)).min_by_key(|end| end.frame);
        }
        let glide = strike.glide.and_then(|(to, lasts)| {
            // A sound that nothing ends slides into the next stroke of its lane.
            let arrival =
                end.map(|end| end.frame).or_else(|| self.next(not_before, |line, _| line == timed.key.line))?;
            let start = (arrival - lasts.to_frames(self.rate)).max(timed.frame);
            Some(GlideTime { from: 0.0, to, start, end: arrival })
        });
        (end, glide)
    }

    /// End and glide of an event that started at `frame`, as the groove now stands; `None` if the stroke is no more.
    pub(super) fn ending_since(
        &self,
        key: &Key,
        frame: Frames,
        not_before: Frames,
    ) -> Option<(Option<End>, Option<GlideTime>)> {
        let ruling = self.segments.partition_point(|segment| segment.from <= frame).saturating_sub(1);
        let (_, strike) = self.segments.iter().rev().find_map(|segment| segment.find(key))?;
        // Its exact time, unless it was moved: a length is rounded once, with it.
        let exact = self.owner(key).filter(|timed| timed.frame == frame).map_or(frame.0 as f64, |timed| timed.time);
        let timed = Timed { key: *key, segment: ruling, strike, time: exact, frame };
        Some(self.ending(&timed, not_before))
    }

    /// The seam after which the learner plays, for a sound that would be held over it.
    fn handed_over(&self, timed: &Timed) -> Option<End> {
        let segment = self.segments.get(timed.segment)?;
        let turn = segment.turn_of(timed.key.pass)?;
        segment.echo.filter(|echo| echo.phase(segment.pass_of(turn + 1)) == EchoPhase::Yours)?;
        let left = segment.part_of(turn).end().as_f64() - timed.strike.ticks;
        let written = timed.time - timed.strike.offset.0 * self.rate;
        let frame = Frames(self.advance(timed.segment, written, left).round() as i64);
        Some(End { frame: frame.max(timed.frame), cause: Cause::Length })
    }

    /// The stroke that cuts `timed`.
    fn cut(&self, timed: &Timed, not_before: Frames) -> Option<End> {
        let (ringing, lane) = (timed.strike.instrument, timed.key.line);
        let frame = self.next(not_before, |line, by| cuts(by, line, ringing, lane))?;
        let cause = if cuts(ringing, lane, ringing, lane) { Cause::Mono } else { Cause::Choked };
        Some(End { frame, cause })
    }

    /// The first start at or after `from` on a line that `wanted` names.
    fn next(&self, from: Frames, wanted: impl Fn(Line, Instrument) -> bool) -> Option<Frames> {
        let last = self.segments.last()?;
        let lines = || self.segments.iter().flat_map(|segment| segment.score.lines());
        if !lines().any(|line| wanted(line.line, line.instrument) && !line.strikes().is_empty()) {
            return None;
        }
        // In a loop everything comes again within a pass, or never.
        let pass = last.groove.tempo.seconds(last.groove.pattern.length().as_f64()).to_frames(self.rate);
        let limit = from.max(last.from) + pass + pass + Seconds(1.0).to_frames(self.rate);
        let (mut start, mut width) = (from, Seconds(0.25).to_frames(self.rate));
        while start < limit {
            if let Some(first) = self.timed(start, start + width, &wanted).first() {
                return Some(first.frame);
            }
            start += width;
            width += width;
        }
        None
    }

    /// The exact frame `ticks` after the exact frame `time`, which segment `index` plays: each segment's stretch at its
    /// own tempo.
    fn advance(&self, index: usize, time: f64, ticks: f64) -> f64 {
        let (mut time, mut ticks) = (time, ticks);
        for (segment, next) in self.segments.iter().zip(self.segments.iter().skip(1)).skip(index) {
            let until = next.from.0 as f64;
            let inside = segment.groove.tempo.ticks(Seconds((until - time) / self.rate)).max(0.0);
            if ticks <= inside {
                return time + segment.groove.tempo.seconds(ticks).0 * self.rate;
            }
            ticks -= inside;
            time = time.max(until);
        }
        let tempo = self.segments.last().map_or(Seconds(0.0), |segment| segment.groove.tempo.seconds(ticks));
        time + tempo.0 * self.rate
    }
}
