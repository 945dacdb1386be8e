//! What a press that moves means: along the line it writes or takes away, up and down it turns the loudness.
//!
//! Pure: points in, what is to be done out. A press that does not move is no gesture, and its click toggles the place.

use super::navigation::Spot;
use crate::rhythm::{LaneId, Loudness, Tick};

/// How far the pointer moves before a press becomes a gesture, in pixels.
const SLACK: f64 = 5.0;
/// Loudness a pixel.
const PER_PIXEL: f64 = 1.4;

/// What a movement asks for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Act {
    /// Nothing.
    Nothing,
    /// Strokes on every pulse of a lane from one place to another, either way round, where there are none.
    Write(LaneId, Tick, Tick),
    /// No strokes from one place of a lane to another.
    TakeAway(LaneId, Tick, Tick),
    /// The stroke at a place is to be this loud.
    Turn(Spot, Loudness),
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Course {
    Undecided,
    Writing,
    Taking,
    Turning,
    Idle,
}

/// A press and what has become of it.
#[derive(Clone, Copy, Debug)]
pub struct Gesture {
    spot: Spot,
    stroke: Option<Loudness>,
    finger: bool,
    x: f64,
    y: f64,
    course: Course,
    reached: Tick,
}

impl Gesture {
    /// A press at the point (`x`, `y`) on a place whose stroke, if there is one, is this loud. A finger turns nothing: up
    /// and down it moves the page.
    pub fn press(spot: Spot, stroke: Option<Loudness>, finger: bool, x: f64, y: f64) -> Gesture {
        Gesture { spot, stroke, finger, x, y, course: Course::Undecided, reached: spot.at }
    }

    /// The place that was pressed.
    pub fn spot(&self) -> Spot {
        self.spot
    }

    /// The pointer is at (`x`, `y`) now, over (or beside) the place `under` of the line it began on. The course is decided
    /// once, by where the pointer leaves the place it pressed.
    pub fn glide(&mut self, x: f64, y: f64, under: Tick) -> Act {
        let (across, up) = (x - self.x, self.y - y);
        if self.course == Course::Undecided {
            if across.abs().max(up.abs()) < SLACK {
                return Act::Nothing;
            }
            self.course = match (across.abs() > up.abs(), self.stroke, self.finger) {
                (true, None, _) => Course::Writing,
                (true, Some(_), _) => Course::Taking,
                (false, Some(_), false) => Course::Turning,
                (false, ..) => Course::Idle,
            };
        } else if under == self.reached && self.course != Course::Turning {
            return Act::Nothing;
        }
        let from = core::mem::replace(&mut self.reached, under);
        match (self.course, self.stroke) {
            (Course::Writing, _) => Act::Write(self.spot.lane, from, under),
            (Course::Taking, _) => Act::TakeAway(self.spot.lane, from, under),
            (Course::Turning, Some(stroke)) => {
                Act::Turn(self.spot, Loudness::clamped((f64::from(stroke.get()) + up * PER_PIXEL).round() as i32))
            }
            _ => Act::Nothing,
        }
    }

    /// Whether it has changed anything, so that the click after it is none.
    pub fn counts(&self) -> bool {
        !matches!(self.course, Course::Undecided | Course::Idle)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const LANE: LaneId = LaneId(3);
    const SPOT: Spot = Spot { lane: LANE, at: Tick(480) };

    /// Presses at (100, 100) and moves to each point in turn; places are 24 pixels wide and 240 ticks long.
    #[track_caller]
    fn check(stroke: Option<i32>, finger: bool, points: &[(f64, f64)], want: &[Act], counts: bool) {
        let mut gesture = Gesture::press(SPOT, stroke.map(Loudness::clamped), finger, 100.0, 100.0);
        let under = |x: f64| Tick(480 + ((x - 100.0) / 24.0).round() as i64 * 240);
        let acts: Vec<Act> = points.iter().map(|&(x, y)| gesture.glide(x, y, under(x))).collect();
        assert_eq!(acts, want);
        assert_eq!(gesture.counts(), counts);
    }

    #[test]
    fn a_press_that_hardly_moves_is_a_click() {
        check(None, false, &[(103.0, 98.0)], &[Act::Nothing], false);
        check(Some(88), true, &[(100.0, 104.0)], &[Act::Nothing], false);
    }

    #[test]
    fn along_an_empty_line_it_writes_what_is_passed() {
        let points = [(106.0, 100.0), (110.0, 101.0), (124.0, 140.0), (196.0, 30.0), (172.0, 100.0)];
        let want = [
            Act::Write(LANE, Tick(480), Tick(480)),
            Act::Nothing,
            Act::Write(LANE, Tick(480), Tick(720)),
            Act::Write(LANE, Tick(720), Tick(1440)),
            Act::Write(LANE, Tick(1440), Tick(1200)),
        ];
        check(None, false, &points, &want, true);
        check(None, true, &points, &want, true);
    }

    #[test]
    fn along_from_a_stroke_it_takes_away() {
        let want = [Act::TakeAway(LANE, Tick(480), Tick(480)), Act::TakeAway(LANE, Tick(480), Tick(240))];
        check(Some(88), true, &[(94.0, 100.0), (76.0, 100.0)], &want, true);
    }

    #[test]
    fn up_and_down_it_turns_the_loudness_by_mouse_only() {
        let loud = |loudness| Act::Turn(SPOT, Loudness::clamped(loudness));
        check(Some(60), false, &[(102.0, 90.0), (180.0, 110.0)], &[loud(74), loud(46)], true);
        check(Some(60), true, &[(102.0, 90.0), (180.0, 90.0)], &[Act::Nothing; 2], false);
        check(None, false, &[(102.0, 90.0), (180.0, 90.0)], &[Act::Nothing; 2], false);
    }
}
