//! A lane recast: another role, no strokes, a lane more; and a stroke moved to another place. Each is an edit.

use super::edit::Edit;
use super::lane::{Lane, LaneHead, LaneId};
use super::pattern::Pattern;
use super::quantity::Refusal;
use super::stroke::Stroke;
use super::units::Tick;
use crate::role::Role;

/// The pulses a lane can be written in, from long to short: in twos, in threes and in fives.
const PULSES: [i64; 13] = [3840, 1920, 1440, 960, 720, 640, 480, 320, 240, 192, 160, 120, 60];

/// The pulses that divide a pattern of `length` ticks, from long to short.
pub fn pulses(length: Tick) -> Vec<Tick> {
    PULSES.into_iter().filter(|pulse| length.0 % pulse == 0).map(Tick).collect()
}

/// The lane played by another role. A part that has no pitches loses them; one that has them begins on the tonic.
pub fn role(lane: &Lane, role: Role) -> Edit {
    let mut edits = vec![Edit::SetHead(lane.id, LaneHead { role, ..lane.head })];
    let fitted = lane.strokes().iter().filter_map(|stroke| match (role.is_pitched(), stroke.pitches.is_empty()) {
        (true, true) => Some(Stroke { pitches: vec![0], ..stroke.clone() }),
        (false, false) => Some(Stroke { pitches: Vec::new(), glide: None, ..stroke.clone() }),
        _ => None,
    });
    edits.extend(fitted.map(|stroke| Edit::Put(lane.id, stroke)));
    Edit::Several(edits)
}

/// The lane without its strokes.
pub fn cleared(lane: &Lane) -> Edit {
    Edit::Several(lane.strokes().iter().map(|stroke| Edit::Clear(lane.id, stroke.at)).collect())
}

/// All roles, those without a lane first, each half in the order of a score.
pub fn roles_to_add(pattern: &Pattern) -> Vec<Role> {
    let mut roles = Role::ALL.to_vec();
    roles.sort_by_key(|&role| (pattern.lanes().iter().any(|lane| lane.head.role == role), role.score_rank()));
    roles
}

/// An empty lane of `role` in score order, in the pulse most lanes have.
pub fn added(pattern: &Pattern, role: Role) -> Edit {
    let lanes = pattern.lanes();
    let times = |pulse: Tick| lanes.iter().filter(|lane| lane.head.pulse == pulse).count();
    let commonest = lanes.iter().map(|lane| lane.head.pulse).max_by_key(|&pulse| (times(pulse), -pulse.0));
    let head = LaneHead::new(role, commonest.unwrap_or(Tick::SIXTEENTH));
    let head = LaneHead { pulse: head.pulse_within(pattern.length()), ..head };
    let below = lanes.iter().position(|lane| lane.head.role.score_rank() > role.score_rank());
    Edit::AddLane(below.unwrap_or(lanes.len()), Lane::new(head))
}

/// The stroke on `from` moved to `to`; it stays the same stroke. Refused where there is none, where another stands, and
/// outside the pattern.
pub fn moved(pattern: &Pattern, id: LaneId, from: Tick, to: Tick) -> Result<Edit, Refusal> {
    let lane = pattern.lane(id).ok_or(Refusal::NoStroke)?;
    let stroke = lane.at(from).ok_or(Refusal::NoStroke)?;
    if !(0..pattern.length().0).contains(&to.0) {
        return Err(Refusal::Outside);
    }
    if to == from {
        return Ok(Edit::Several(Vec::new()));
    }
    if lane.at(to).is_some() {
        return Err(Refusal::Occupied);
    }
    Ok(Edit::Several(vec![Edit::Clear(id, from), Edit::Put(id, Stroke { at: to, ..stroke.clone() })]))
}

/// The place a share of the way (`numerator` of `denominator`) between the pulse at or before `at` and the next one.
pub fn between(lane: &Lane, at: Tick, numerator: i64, denominator: i64) -> Tick {
    let pulse = lane.head.pulse;
    at - at.rem_euclid(pulse) + Tick((pulse.0 * numerator + denominator / 2) / denominator.max(1))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rhythm::{Loudness, Metre};

    fn lane(role: Role, pulse: i64, strokes: &[i64]) -> Lane {
        let strokes = strokes.iter().map(|&at| Stroke::new(Tick(at), Loudness::MAX));
        Lane::with_strokes(LaneHead::new(role, Tick(pulse)), strokes)
    }

    fn pattern() -> Pattern {
        let lanes = vec![lane(Role::HatClosed, 240, &[]), lane(Role::Kick, 480, &[0, 960]), lane(Role::Bass, 240, &[])];
        Pattern::new(Metre::four_four(), 1, lanes).unwrap()
    }

    #[test]
    fn a_lane_more_stands_where_a_drummer_looks_for_it() {
        for (role, want) in [(Role::Crash, 0), (Role::Snare, 1), (Role::Kick, 2), (Role::Chord, 2), (Role::SubBass, 3)]
        {
            let Edit::AddLane(index, lane) = added(&pattern(), role) else { panic!("{role} is no lane more") };
            assert_eq!((index, lane.head.pulse), (want, Tick(240)), "{role}");
        }
        let roles = roles_to_add(&pattern());
        assert_eq!(roles.len(), Role::ALL.len());
        assert_eq!(roles[0], Role::Crash);
        assert_eq!(roles[33..], [Role::HatClosed, Role::Kick, Role::Bass]);
    }

    #[test]
    fn only_pulses_that_come_out_even() {
        assert_eq!(pulses(Tick(3840)).len(), PULSES.len() - 2);
        assert_eq!(pulses(Tick(1680)), [Tick(240), Tick(120), Tick(60)]);
    }

    #[test]
    fn between_two_places() {
        let lane = lane(Role::Snare, 240, &[]);
        for (at, share, want) in
            [(240, (1, 2), 360), (300, (1, 2), 360), (240, (1, 3), 320), (250, (2, 3), 400), (7, (0, 1), 0)]
        {
            assert_eq!(between(&lane, Tick(at), share.0, share.1), Tick(want));
        }
        let fine = Lane::new(LaneHead::new(Role::Snare, Tick(160)));
        assert_eq!(between(&fine, Tick(0), 1, 3), Tick(53));
        assert_eq!(between(&fine, Tick(0), 2, 3), Tick(107));
    }
}
