//! Moving through a ribbon by keyboard: which place comes next.
//!
//! Left and right go from place to place of a lane in time, strokes off the pulse included; up and down to the nearest
//! place of the lane above or below. Nothing wraps, as is usual for grids (WAI-ARIA Authoring Practices, grid pattern).

use crate::rhythm::{Lane, LaneId, Pattern, Tick};

/// A place of one lane.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Spot {
    /// The lane.
    pub lane: LaneId,
    /// The tick.
    pub at: Tick,
}

/// What can have the keyboard: a place, or the name of a lane before its first place.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Stop {
    /// A lane's name.
    Name(LaneId),
    /// A place.
    Place(Spot),
}

/// A movement.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Move {
    /// To the place before in time.
    Earlier,
    /// To the next place in time.
    Later,
    /// To the lane above.
    Up,
    /// To the lane below.
    Down,
    /// To the lane's first place.
    First,
    /// To the lane's last place.
    Last,
    /// To the first place of the first lane.
    Top,
    /// To the last place of the last lane.
    Bottom,
    /// A bar earlier.
    BarBack,
    /// A bar later.
    BarOn,
}

/// All places of a lane in a pattern of `length` ticks, in order: every pulse, and every stroke off the pulse.
pub fn places(lane: &Lane, length: Tick) -> Vec<Tick> {
    let pulse = lane.head.pulse.0.max(1);
    let mut places: Vec<Tick> = (0..length.0 / pulse).map(|index| Tick(index * pulse)).collect();
    places.extend(lane.strokes().iter().map(|stroke| stroke.at).filter(|at| at.0 % pulse != 0));
    places.sort_unstable();
    places
}

/// The place of `lane` nearest to the tick `at`; the earlier of two equally near ones.
pub fn nearest(lane: &Lane, length: Tick, at: Tick) -> Tick {
    places(lane, length).into_iter().min_by_key(|place| ((place.0 - at.0).abs(), place.0)).unwrap_or(Tick::ZERO)
}

/// Where `movement` leads from `spot`; the spot itself at an edge, `None` if the pattern has no lanes. A spot whose lane or
/// place is gone counts as the nearest one that is there.
pub fn moved(pattern: &Pattern, spot: Spot, movement: Move) -> Option<Spot> {
    let lanes = pattern.lanes();
    let length = pattern.length();
    let last = lanes.len().checked_sub(1)?;
    let row = pattern.lane_index(spot.lane).unwrap_or(0);
    let to_lane =
        |row: usize, at: Tick| lanes.get(row).map(|lane| Spot { lane: lane.id, at: nearest(lane, length, at) });
    let lane = lanes.get(row)?;
    let places = places(lane, length);
    let here = places.partition_point(|&place| place < nearest(lane, length, spot.at));
    let along = |index: usize| places.get(index).map(|&at| Spot { lane: lane.id, at });
    let bar = pattern.metre().bar();
    match movement {
        Move::Earlier => along(here.saturating_sub(1)),
        Move::Later => along((here + 1).min(places.len().saturating_sub(1))),
        Move::First => along(0),
        Move::Last => along(places.len().saturating_sub(1)),
        Move::Up => to_lane(row.saturating_sub(1), spot.at),
        Move::Down => to_lane((row + 1).min(last), spot.at),
        Move::Top => to_lane(0, Tick::ZERO),
        Move::Bottom => to_lane(last, length),
        Move::BarBack => to_lane(row, if spot.at >= bar { spot.at - bar } else { Tick::ZERO }),
        Move::BarOn => to_lane(row, spot.at + bar),
    }
}

/// Where `movement` leads from a place or a name; `None` if the pattern has no lanes. Names stand before the first places
/// of their lanes and above each other.
pub fn stop(pattern: &Pattern, from: Stop, movement: Move) -> Option<Stop> {
    let (lane, on_name) = match from {
        Stop::Name(lane) => (lane, true),
        Stop::Place(spot) => (spot.lane, false),
    };
    let spot = match from {
        Stop::Place(spot) => spot,
        Stop::Name(lane) => Spot { lane, at: Tick::ZERO },
    };
    let next = moved(pattern, spot, movement)?;
    Some(match movement {
        Move::Earlier if on_name || (next == spot && next.at == Tick::ZERO) => Stop::Name(lane),
        Move::Later if on_name => Stop::Place(moved(pattern, spot, Move::First)?),
        Move::Up | Move::Down if on_name => Stop::Name(next.lane),
        _ => Stop::Place(next),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rhythm::{LaneHead, Loudness, Metre, Stroke};
    use crate::role::Role;

    fn pattern() -> Pattern {
        let kick = Lane::with_strokes(
            LaneHead::new(Role::Kick, Tick(480)),
            [Stroke::new(Tick(500), Loudness::MAX), Stroke::new(Tick(960), Loudness::MAX)],
        );
        let hat = Lane::new(LaneHead::new(Role::HatClosed, Tick(320)));
        Pattern::new(Metre::four_four(), 1, vec![kick, hat]).unwrap()
    }

    #[track_caller]
    fn check(row: usize, at: i64, movement: Move, to_row: usize, to: i64) {
        let pattern = pattern();
        let spot = Spot { lane: pattern.lanes()[row].id, at: Tick(at) };
        let want = Spot { lane: pattern.lanes()[to_row].id, at: Tick(to) };
        assert_eq!(moved(&pattern, spot, movement), Some(want));
    }

    #[test]
    fn from_place_to_place() {
        check(0, 0, Move::Earlier, 0, 0);
        check(0, 0, Move::Later, 0, 480);
        check(0, 480, Move::Later, 0, 500);
        check(0, 500, Move::Later, 0, 960);
        check(0, 960, Move::Earlier, 0, 500);
        check(0, 3360, Move::Later, 0, 3360);
        check(0, 960, Move::Last, 0, 3360);
        check(0, 960, Move::First, 0, 0);
        check(0, 480, Move::Down, 1, 320);
        check(1, 640, Move::Down, 1, 640);
        check(1, 640, Move::Up, 0, 500);
        check(1, 640, Move::Top, 0, 0);
        check(0, 0, Move::Bottom, 1, 3520);
        check(0, 0, Move::BarOn, 0, 3360);
        check(0, 3360, Move::BarBack, 0, 0);
    }

    #[test]
    fn names_stand_before_the_first_places() {
        let pattern = pattern();
        let ids = [pattern.lanes()[0].id, pattern.lanes()[1].id];
        let name = |row: usize| Stop::Name(ids[row]);
        let place = |row: usize, at: i64| Stop::Place(Spot { lane: ids[row], at: Tick(at) });
        for (from, movement, to) in [
            (place(0, 0), Move::Earlier, name(0)),
            (name(0), Move::Earlier, name(0)),
            (name(0), Move::Later, place(0, 0)),
            (name(0), Move::Down, name(1)),
            (name(1), Move::Down, name(1)),
            (name(1), Move::Up, name(0)),
            (name(1), Move::First, place(1, 0)),
            (name(0), Move::Last, place(0, 3360)),
            (name(1), Move::Top, place(0, 0)),
            (place(0, 480), Move::Earlier, place(0, 0)),
            (place(1, 0), Move::BarBack, place(1, 0)),
        ] {
            assert_eq!(stop(&pattern, from, movement), Some(to), "{from:?} {movement:?}");
        }
    }

    #[test]
    fn a_place_that_is_gone_counts_as_its_neighbour() {
        check(0, 510, Move::Later, 0, 960);
        let empty = Pattern::empty(Metre::four_four(), 1).unwrap();
        assert_eq!(moved(&empty, Spot { lane: LaneId(1), at: Tick(0) }, Move::Down), None);
    }
}
