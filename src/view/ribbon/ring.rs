//! Rings: pencilled round strokes by a lesson, and what became of a prediction. Each kind has a shape of its own, so that
//! none needs its ink to be told from another.

use crate::rhythm::{LaneId, Tick};
use crate::words::ribbon::rings;

/// A sign round one place.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Ring {
    /// The lane.
    pub lane: LaneId,
    /// The written place; the ring goes round the stroke there, where it sounds, or round the empty place.
    pub at: Tick,
    /// What it says.
    pub kind: RingKind,
}

/// What a ring says.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum RingKind {
    /// The lesson speaks of this stroke: a dashed oval.
    Topic,
    /// Foretold, and there: a whole oval with a tick mark.
    Found,
    /// There, and not foretold: an oval open at the top and the bottom.
    Missed,
    /// Foretold, and not there: a cross on the line.
    Extra,
}

/// How far a ring stands out to either side of its middle, in pixels.
pub const HALF_WIDTH: f64 = 11.0;
/// How far its middle lies right of the plumb edge: a fin falls to the right.
const MIDDLE: f64 = 4.0;
/// The room a ring leaves above and below what it goes round.
const CLEAR: f64 = 5.0;

impl RingKind {
    /// The word that follows the description of the stroke.
    pub const fn word(self) -> &'static str {
        match self {
            RingKind::Topic => rings::TOPIC,
            RingKind::Found => rings::FOUND,
            RingKind::Missed => rings::MISSED,
            RingKind::Extra => rings::EXTRA,
        }
    }

    /// The name of its ink in the style sheet.
    pub const fn class(self) -> &'static str {
        match self {
            RingKind::Topic => "ring topic",
            RingKind::Found => "ring found",
            RingKind::Missed => "ring missed",
            RingKind::Extra => "ring extra",
        }
    }

    /// The path round a fin `height` pixels high whose plumb edge stands at `x` on a line at `base` pixels from the top.
    pub fn path(self, x: f64, base: f64, height: f64) -> String {
        let (low, high) = (base + CLEAR, base - height.max(12.0) - CLEAR);
        let (middle, half) = (x + MIDDLE, HALF_WIDTH);
        let (y, ry) = ((low + high) / 2.0, (low - high) / 2.0);
        let (left, right) = (middle - half, middle + half);
        let oval = format!(
            "M{left:.1} {y:.1}a{half:.1} {ry:.1} 0 1 1 {:.1} 0a{half:.1} {ry:.1} 0 1 1 {:.1} 0",
            half * 2.0,
            -half * 2.0
        );
        match self {
            RingKind::Topic => oval,
            RingKind::Found => format!("{oval}M{:.1} {:.1}l2.5 3l5 -7", right - 4.0, high + 2.0),
            RingKind::Missed => {
                let (dx, dy) = (half * 0.5, ry * 0.866);
                let arc = |x: f64, sweep: u8| {
                    format!("M{x:.1} {:.1}A{half:.1} {ry:.1} 0 0 {sweep} {x:.1} {:.1}", y - dy, y + dy)
                };
                arc(middle - dx, 0) + &arc(middle + dx, 1)
            }
            RingKind::Extra => format!("M{:.1} {:.1}l12 -12m0 12l-12 -12", middle - 6.0, base - 2.0),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const KINDS: [RingKind; 4] = [RingKind::Topic, RingKind::Found, RingKind::Missed, RingKind::Extra];

    #[test]
    fn a_topic_ring_is_an_oval_round_the_fin() {
        // Middle at 104, from 5 px under the line to 5 px over the fin's top.
        assert_eq!(
            RingKind::Topic.path(100.0, 50.0, 40.0),
            "M93.0 30.0a11.0 25.0 0 1 1 22.0 0a11.0 25.0 0 1 1 -22.0 0"
        );
    }

    #[test]
    fn a_missed_ring_is_open_and_its_halves_meet_nowhere() {
        assert_eq!(
            RingKind::Missed.path(100.0, 50.0, 40.0),
            "M98.5 8.4A11.0 25.0 0 0 0 98.5 51.6M109.5 8.4A11.0 25.0 0 0 1 109.5 51.6"
        );
    }

    #[test]
    fn every_kind_has_a_shape_an_ink_and_a_word_of_its_own() {
        for (index, a) in KINDS.into_iter().enumerate() {
            for b in KINDS.into_iter().skip(index + 1) {
                assert_ne!(a.path(0.0, 50.0, 20.0), b.path(0.0, 50.0, 20.0));
                assert_ne!((a.class(), a.word()), (b.class(), b.word()));
            }
        }
    }

    #[test]
    fn an_empty_place_has_room_in_its_ring() {
        assert_eq!(RingKind::Topic.path(0.0, 50.0, 0.0), RingKind::Topic.path(0.0, 50.0, 12.0));
    }
}
