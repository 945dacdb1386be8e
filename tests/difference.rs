//! The edits between two grooves: they lead from one to the other, they are few, and they leave alone what stays.

#![allow(clippy::unwrap_used, reason = "a test may stop at the first surprise")]

mod grooves;

use grooves::{any_groove, change, change_head, edited, groove, seeded};
use proptest::prelude::*;
use stickleback::rhythm::{Edit, Groove, Lane, LaneId, StrokeId, Tick, edits_between};

fn told(edits: &[Edit]) -> Vec<String> {
    let one = |edit: &Edit| match edit {
        Edit::Put(lane, stroke) => format!("put {} {} ({})", lane.0, stroke.at.0, stroke.id.0),
        Edit::Clear(lane, at) => format!("clear {} {}", lane.0, at.0),
        Edit::AddLane(place, lane) => format!("add {} {} ({})", place, lane.head.role, lane.id.0),
        Edit::RemoveLane(lane) => format!("remove {}", lane.0),
        Edit::MoveLane(lane, place) => format!("move {} {place}", lane.0),
        Edit::SetHead(lane, _) => format!("head {}", lane.0),
        Edit::SetTempo(_) => "tempo".to_owned(),
        Edit::SetBars(bars) => format!("bars {bars}"),
        Edit::SetMetre(metre) => format!("metre {metre}"),
        _ => "another".to_owned(),
    };
    edits.iter().map(one).collect()
}

#[track_caller]
fn check(from: &Groove, to: &Groove, want: &[&str]) {
    let edits = edits_between(from, to);
    assert_eq!(told(&edits), want);
    assert_eq!(&edited(from, Edit::Several(edits)), to);
}

fn three() -> Groove {
    let rows = [("hat-closed", 480, "xxxxxxxx"), ("snare", 480, "..x...x."), ("kick", 480, "x...x...")];
    groove(100.0, "4/4", 1, &rows)
}

#[test]
fn single_edits() {
    let beat = three();
    check(&beat, &beat, &[]);
    check(&beat, &change(&beat, 1, 960, |stroke| stroke.nudge = Tick(9)), &["put 2 960 (1)"]);
    let ghosted = change(&beat, 2, 0, |stroke| stroke.at = Tick(480));
    check(&beat, &ghosted, &["put 3 480 (0)"]);
    check(&ghosted, &beat, &["clear 3 480"]);
    check(&beat, &change_head(&beat, 0, |head| head.optional = true), &["head 1"]);
    check(&beat, &edited(&beat, Edit::RemoveLane(LaneId(2))), &["remove 2"]);
    check(&edited(&beat, Edit::RemoveLane(LaneId(2))), &beat, &["add 1 snare (2)"]);
    check(&beat, &edited(&beat, Edit::MoveLane(LaneId(1), 2)), &["move 1 2"]);
    check(&beat, &edited(&beat, Edit::MoveLane(LaneId(3), 0)), &["move 3 0"]);
    check(&beat, &edited(&beat, Edit::SetBars(2)), &["bars 2"]);
}

#[test]
fn lanes_of_other_grooves_go_by_role() {
    let other = groove(100.0, "4/4", 1, &[("kick", 480, "x.......")]);
    check(&three(), &other, &["remove 1", "remove 2", "clear 3 1920"]);
    // A new lane does not take the identity of one that was there.
    let shaker = groove(100.0, "4/4", 1, &[("shaker", 480, "x.......")]);
    check(&three(), &shaker, &["remove 1", "remove 2", "remove 3", "add 0 shaker (0)"]);
}

#[test]
fn a_pulse_with_less_room_comes_after_the_nudges_it_has_no_room_for() {
    let beat = change(&three(), 1, 960, |stroke| stroke.nudge = Tick(200));
    let fine = edited(&three(), Edit::Clear(LaneId(2), Tick(960)));
    let fine = change_head(&fine, 1, |head| head.pulse = Tick(240));
    check(&beat, &fine, &["clear 2 960", "head 2"]);
    let fine = change(&change_head(&three(), 1, |head| head.pulse = Tick(240)), 1, 960, |s| s.nudge = Tick(100));
    check(&beat, &fine, &["clear 2 960", "head 2", "put 2 960 (1)"]);
}

fn ids(groove: &Groove) -> Vec<(LaneId, StrokeId, Tick)> {
    let lane = |lane: &Lane| lane.strokes().iter().map(|stroke| (lane.id, stroke.id, stroke.at)).collect::<Vec<_>>();
    groove.pattern.lanes().iter().flat_map(lane).collect()
}

proptest! {
    #![proptest_config(seeded(400))]

    #[test]
    fn edits_lead_from_one_to_the_other(from in any_groove(), to in any_groove()) {
        let edits = edits_between(&from, &to);
        prop_assert!(!edits.iter().any(|edit| matches!(edit, Edit::Restore(_) | Edit::Several(_))));
        let mut walked = from.clone();
        let undo = walked.apply(&Edit::Several(edits)).unwrap();
        prop_assert_eq!(&walked, &to);
        prop_assert!(edits_between(&walked, &to).is_empty());
        walked.apply(&undo).unwrap();
        prop_assert_eq!(&walked, &from);
        prop_assert_eq!(ids(&walked), ids(&from));
    }

    #[test]
    fn what_stays_keeps_its_identity(from in any_groove(), other in any_groove()) {
        // Another groove over the same bars, of the same lanes.
        let to = Groove { tempo: other.tempo, feel: other.feel, ..from.clone() };
        let walked = edited(&from, Edit::Several(edits_between(&from, &to)));
        prop_assert_eq!(ids(&walked), ids(&from));
    }
}
