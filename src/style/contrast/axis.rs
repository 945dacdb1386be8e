//! The strokes of two grooves on one time axis: which only the first has, which only the second, and which moved.
//!
//! Bars are laid on bars: the axis has as many as both loops need to come round together (the least common multiple, or the
//! longer one's where that would be more than [`MOST_BARS`]), each as long as the longer of the two metres' bars, and a
//! place keeps its distance from its bar line.

use super::pairing::{self, Set};
use crate::rhythm::{Groove, Lane, LaneId, StrokeId, Tick};
use crate::style::crossing::costs;

/// The most bars an axis has.
pub const MOST_BARS: i64 = 8;

/// A stroke on the axis.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Spot {
    /// Its place on the axis.
    pub at: Tick,
    /// Its place in its own pattern.
    pub written: Tick,
    /// Which stroke of its lane; the same stroke comes as often as its loop goes round.
    pub stroke: StrokeId,
}

/// A stroke of the first groove, of the second, or of both.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Mark {
    /// Only the first strikes here.
    OnlyA(Spot),
    /// Only the second does.
    OnlyB(Spot),
    /// The same stroke, a little earlier or later.
    Moved(Spot, Spot),
    /// Both strike here, but not alike: softer, as a roll, on another pitch.
    Played(Spot, Spot),
    /// Both strike here alike.
    Same(Spot, Spot),
}

impl Mark {
    /// The stroke of the first groove.
    pub fn a(&self) -> Option<Spot> {
        match *self {
            Mark::OnlyA(a) | Mark::Moved(a, _) | Mark::Played(a, _) | Mark::Same(a, _) => Some(a),
            Mark::OnlyB(_) => None,
        }
    }

    /// The stroke of the second groove.
    pub fn b(&self) -> Option<Spot> {
        match *self {
            Mark::OnlyB(b) | Mark::Moved(_, b) | Mark::Played(_, b) | Mark::Same(_, b) => Some(b),
            Mark::OnlyA(_) => None,
        }
    }
}

/// A lane of the first groove, one of the second, or two that are the same part.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Line {
    /// Of the first.
    pub a: Option<LaneId>,
    /// Of the second.
    pub b: Option<LaneId>,
    /// Their strokes in order of place.
    pub marks: Vec<Mark>,
}

/// Two grooves on one time axis.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Axis {
    /// How many bars it has.
    pub bars: i64,
    /// How long each is.
    pub bar: Tick,
    /// The lines, in score order.
    pub lines: Vec<Line>,
}

fn least_common(a: i64, b: i64) -> i64 {
    (1..=b).map(|n| n * a).find(|multiple| multiple % b == 0).unwrap_or(a)
}

/// The strokes of a lane over `bars` bars of `bar` ticks each, with their places on the axis.
fn laid<'g>(groove: &Groove, lane: &'g Lane, bars: i64, bar: Tick) -> Vec<Set<'g>> {
    let own = groove.pattern.metre().bar();
    let mut laid = Vec::new();
    for turn in 0..bars {
        let from = own.times(turn % i64::from(groove.pattern.bars()));
        let inside = lane.strokes().iter().filter(|stroke| (from.0..from.0 + own.0).contains(&stroke.at.0));
        laid.extend(inside.map(|stroke| Set { at: bar.times(turn) + stroke.at - from, stroke }));
    }
    laid
}

impl Axis {
    /// Lays `b` beside `a`.
    pub fn of(a: &Groove, b: &Groove) -> Axis {
        let (own, other) = (i64::from(a.pattern.bars()), i64::from(b.pattern.bars()));
        let together = least_common(own, other);
        let bars = if together <= MOST_BARS { together } else { own.max(other) };
        let bar = a.pattern.metre().bar().max(b.pattern.metre().bar());
        let sets = |lane, second| laid(if second { b } else { a }, lane, bars, bar);
        let (lanes, others) = (a.pattern.lanes(), b.pattern.lanes());
        let mut lines: Vec<(usize, Line)> = Vec::new();
        for (x, y) in pairing::lanes((lanes, others), &sets, bar.times(bars)) {
            let (x, y) = (x.and_then(|x| lanes.get(x)), y.and_then(|y| others.get(y)));
            let Some(shown) = x.or(y) else { continue };
            let own = x.map(|lane| laid(a, lane, bars, bar)).unwrap_or_default();
            let theirs = y.map(|lane| laid(b, lane, bars, bar)).unwrap_or_default();
            let marks = marks(&own, &theirs, bar.times(bars));
            let line = Line { a: x.map(|lane| lane.id), b: y.map(|lane| lane.id), marks };
            lines.push((shown.head.role.score_rank(), line));
        }
        lines.sort_by_key(|(rank, _)| *rank);
        Axis { bars, bar, lines: lines.into_iter().map(|(_, line)| line).collect() }
    }

    /// The whole length.
    pub fn length(&self) -> Tick {
        self.bar.times(self.bars)
    }
}

fn marks(a: &[Set], b: &[Set], length: Tick) -> Vec<Mark> {
    let spot = |set: &Set| Spot { at: set.at, written: set.stroke.at, stroke: set.stroke.id };
    let mark = |(x, y): (Option<usize>, Option<usize>)| {
        Some(match (x.and_then(|x| a.get(x)), y.and_then(|y| b.get(y))) {
            (Some(x), None) => Mark::OnlyA(spot(x)),
            (None, Some(y)) => Mark::OnlyB(spot(y)),
            (Some(x), Some(y)) if x.at != y.at => Mark::Moved(spot(x), spot(y)),
            (Some(x), Some(y)) if costs::touch(x.stroke, y.stroke) == 0 => Mark::Same(spot(x), spot(y)),
            (Some(x), Some(y)) => Mark::Played(spot(x), spot(y)),
            (None, None) => return None,
        })
    };
    pairing::strokes(a, b, length).0.into_iter().filter_map(mark).collect()
}
