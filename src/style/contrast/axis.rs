//! The strokes of two grooves on one time axis: which only the first has, which only the second, and which moved.
//!
//! Where the bars of one metre are whole numbers of those of the other (2/4 beside 4/4), both loops simply run on beside each
//! other; else bar is laid on bar, and a place keeps its distance from its bar line. The axis is as long as both loops need
//! to come round together, or as the longer one where that would be more than [`MOST_BARS`] bars.

use super::pairing::{self, Set};
use crate::rhythm::{Dynamics, Groove, Lane, LaneId, Stroke, StrokeId, Tick};

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
    /// Both strike here, but not alike: an accent in one of them, a roll, another pitch.
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

/// How the places of two grooves are laid on one axis.
#[derive(Clone, Copy)]
pub(super) struct Laying {
    bars: i64,
    bar: Tick,
    /// Whether the loops run on beside each other; else bar on bar.
    running: bool,
}

impl Laying {
    pub(super) fn of(a: &Groove, b: &Groove) -> Laying {
        let (own, other) = (a.pattern.metre().bar(), b.pattern.metre().bar());
        let (bar, short) = (own.max(other), own.min(other));
        let running = bar.0 % short.0 == 0;
        let (loops, unit) = if running {
            ((a.pattern.length().0, b.pattern.length().0), bar.0)
        } else {
            ((i64::from(a.pattern.bars()), i64::from(b.pattern.bars())), 1)
        };
        let together = least_common(loops.0, loops.1) / unit;
        let longer = (loops.0.max(loops.1) + unit - 1) / unit;
        Laying { bars: if together <= MOST_BARS { together } else { longer }, bar, running }
    }

    /// The strokes of a lane over the whole axis, with their places there.
    pub(super) fn laid<'g>(&self, groove: &Groove, lane: &'g Lane) -> Vec<Set<'g>> {
        self.over(groove, lane, self.bars, self.bar)
    }

    /// The strokes of a lane of `groove` over `bars` bars of `bar` ticks each; none past the end of such a bar.
    pub(super) fn over<'g>(&self, groove: &Groove, lane: &'g Lane, bars: i64, bar: Tick) -> Vec<Set<'g>> {
        let mut laid = Vec::new();
        if self.running {
            let (length, end) = (groove.pattern.length(), bar.times(bars));
            for turn in (0..).map(|turn| length.times(turn)).take_while(|&turn| turn < end) {
                let sets = lane.strokes().iter().map(|stroke| Set { at: turn + stroke.at, stroke });
                laid.extend(sets.filter(|set| set.at < end));
            }
            return laid;
        }
        let own = groove.pattern.metre().bar();
        for turn in 0..bars {
            let from = own.times(turn % i64::from(groove.pattern.bars()));
            let end = from + own.min(bar);
            let inside = lane.strokes().iter().filter(|stroke| (from.0..end.0).contains(&stroke.at.0));
            laid.extend(inside.map(|stroke| Set { at: bar.times(turn) + stroke.at - from, stroke }));
        }
        laid
    }
}

impl Axis {
    /// Lays `b` beside `a`.
    pub fn of(a: &Groove, b: &Groove) -> Axis {
        let laying = Laying::of(a, b);
        let Laying { bars, bar, .. } = laying;
        let sets = |lane, second| laying.laid(if second { b } else { a }, lane);
        let (lanes, others) = (a.pattern.lanes(), b.pattern.lanes());
        let mut lines: Vec<(usize, Line)> = Vec::new();
        let length = bar.times(bars);
        let mut add = |x: Option<&Lane>, y: Option<&Lane>| {
            let own = x.map(|lane| laying.laid(a, lane)).unwrap_or_default();
            let theirs = y.map(|lane| laying.laid(b, lane)).unwrap_or_default();
            let marks = marks((&own, a.dynamics), (&theirs, b.dynamics), length);
            let both = marks.iter().filter(|mark| matches!(mark, Mark::Same(..) | Mark::Played(..))).count();
            if let (Some(x), Some(y)) = (x, y)
                && x.head.role != y.head.role
                && 2 * both < own.len().min(theirs.len())
            {
                return false;
            }
            let rank = x.or(y).map_or(0, |lane| lane.head.role.score_rank());
            lines.push((rank, Line { a: x.map(|lane| lane.id), b: y.map(|lane| lane.id), marks }));
            true
        };
        for (x, y) in pairing::lanes((lanes, others), &sets, length) {
            let (x, y) = (x.and_then(|x| lanes.get(x)), y.and_then(|y| others.get(y)));
            // Another instrument with another rhythm is another part.
            if !add(x, y) {
                add(x, None);
                add(None, y);
            }
        }
        lines.sort_by_key(|(rank, _)| *rank);
        Axis { bars, bar, lines: lines.into_iter().map(|(_, line)| line).collect() }
    }

    /// The whole length.
    pub fn length(&self) -> Tick {
        self.bar.times(self.bars)
    }
}

fn marks((a, own): (&[Set], Dynamics), (b, other): (&[Set], Dynamics), length: Tick) -> Vec<Mark> {
    // Each groove's strokes are loud or soft among its own.
    let alike = |x: &Stroke, y: &Stroke| {
        own.strength(x.loudness) == other.strength(y.loudness)
            && x.is_ornamented_as(&Stroke { nudge: x.nudge, ..y.clone() })
    };
    let spot = |set: &Set| Spot { at: set.at, written: set.stroke.at, stroke: set.stroke.id };
    let mark = |(x, y): (Option<usize>, Option<usize>)| {
        Some(match (x.and_then(|x| a.get(x)), y.and_then(|y| b.get(y))) {
            (Some(x), None) => Mark::OnlyA(spot(x)),
            (None, Some(y)) => Mark::OnlyB(spot(y)),
            (Some(x), Some(y)) if x.at != y.at => Mark::Moved(spot(x), spot(y)),
            (Some(x), Some(y)) if alike(x.stroke, y.stroke) => Mark::Same(spot(x), spot(y)),
            (Some(x), Some(y)) => Mark::Played(spot(x), spot(y)),
            (None, None) => return None,
        })
    };
    pairing::strokes(a, b, length).0.into_iter().filter_map(mark).collect()
}
