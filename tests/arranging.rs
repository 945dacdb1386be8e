//! Bars, lanes and places rearranged, in box notation; and every number of a stroke that can be turned.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test says by panicking that it fails")]

mod grooves;

use grooves::*;
use proptest::prelude::*;
use std::collections::HashMap;
use stickleback::rhythm::boxes::{Ruling, write_row};
use stickleback::rhythm::quantity::Addition;
use stickleback::rhythm::*;
use stickleback::role::Role;

/// A groove of a kick in sixteenths and a hat in eighths, 2/4, as many bars as the kick's row has.
fn written(kick: &str, hat: &str) -> Groove {
    let bars = kick.split('|').count() as u8;
    groove(92.0, "2/4", bars, &[("kick", 240, kick), ("hat-closed", 480, hat)])
}

/// The rows of a groove.
fn rows(groove: &Groove) -> Vec<String> {
    let pattern = &groove.pattern;
    let row = |lane: &Lane| {
        let (metre, bars) = (pattern.metre(), pattern.bars());
        write_row(lane, &Ruling { metre, bars, pulse: lane.head.pulse, dynamics: groove.dynamics }).0
    };
    pattern.lanes().iter().map(row).collect()
}

/// Every stroke by its identity.
fn strokes(groove: &Groove) -> HashMap<(LaneId, StrokeId), Tick> {
    let of_lane = |lane: &Lane| lane.strokes().iter().map(|s| ((lane.id, s.id), s.at)).collect::<Vec<_>>();
    groove.pattern.lanes().iter().flat_map(of_lane).collect()
}

#[track_caller]
fn check(edit: impl Fn(&Pattern) -> Edit, before: (&str, &str), after: Result<(&str, &str), PatternError>) {
    let start = written(before.0, before.1);
    let mut groove = start.clone();
    match groove.apply(&edit(&start.pattern)) {
        Ok(inverse) => {
            assert_eq!(Ok(rows(&groove)), after.map(|(kick, hat)| rows(&written(kick, hat))));
            assert_eq!(rows(&groove), rows(&written(after.unwrap().0, after.unwrap().1)));
            groove.apply(&inverse).unwrap();
            assert_eq!(strokes(&groove), strokes(&start));
        }
        Err(EditError::Pattern(error)) => assert_eq!(Err(error), after),
        Err(error) => panic!("{error}"),
    }
    assert_eq!(groove, start);
}

const ONE: (&str, &str) = ("X...x.o.", "x.xx");
const TWO: (&str, &str) = ("X...x.o.|..x....2", "x.xx|....");

#[test]
fn a_pattern_repeated() {
    check(bars::repeat, ONE, Ok(("X...x.o.|X...x.o.", "x.xx|x.xx")));
    check(bars::repeat, TWO, Ok(("X...x.o.|..x....2|X...x.o.|..x....2", "x.xx|....|x.xx|....")));
    let five = ("X.......|........|........|........|........", "....|....|....|....|....");
    check(bars::repeat, five, Err(PatternError::Bars(10)));
}

#[test]
fn a_bar_put_in() {
    check(|p| bars::insert_bar(p, 0), ONE, Ok(("........|X...x.o.", "....|x.xx")));
    check(|p| bars::insert_bar(p, 1), TWO, Ok(("X...x.o.|........|..x....2", "x.xx|....|....")));
    check(|p| bars::insert_bar(p, 2), TWO, Ok(("X...x.o.|..x....2|........", "x.xx|....|....")));
    check(|p| bars::insert_bar(p, 200), ONE, Ok(("X...x.o.|........", "x.xx|....")));
    let eight = (
        "X.......|........|........|........|........|........|........|.......x",
        "....|....|....|....|....|....|....|....",
    );
    check(|p| bars::insert_bar(p, 3), eight, Err(PatternError::Bars(9)));
}

#[test]
fn a_bar_taken_out() {
    check(|p| bars::remove_bar(p, 0), TWO, Ok(("..x....2", "....")));
    check(|p| bars::remove_bar(p, 1), TWO, Ok(ONE));
    check(|p| bars::remove_bar(p, 9), TWO, Ok(ONE));
    check(|p| bars::remove_bar(p, 0), ONE, Err(PatternError::Bars(0)));
}

#[test]
fn a_bar_copied() {
    check(|p| bars::copy_bar(p, 0, 1), TWO, Ok(("X...x.o.|X...x.o.", "x.xx|x.xx")));
    check(|p| bars::copy_bar(p, 1, 0), TWO, Ok(("..x....2|..x....2", "....|....")));
    check(|p| bars::copy_bar(p, 1, 1), TWO, Ok(TWO));
}

#[test]
fn what_stays_is_the_same_stroke() {
    let start = written(TWO.0, TWO.1);
    let before = strokes(&start);
    let shift = |edit: Edit, shift: i64| {
        let after = strokes(&edited(&start, edit));
        let kept = before.iter().filter_map(|(id, at)| Some((at.0, after.get(id)?.0)));
        let (mut moved, mut stayed) = (0, 0);
        for (from, to) in kept {
            if from == to {
                stayed += 1;
            } else {
                assert_eq!(to - from, shift);
                moved += 1;
            }
        }
        (stayed, moved)
    };
    assert_eq!(shift(bars::repeat(&start.pattern), 0), (8, 0));
    assert_eq!(shift(bars::insert_bar(&start.pattern, 1), 1920), (6, 2));
    assert_eq!(shift(bars::remove_bar(&start.pattern, 0), -1920), (0, 2));
    // The third kick of bar 1 has nothing under it in bar 2; the rest of bar 2 is written over or gone.
    assert_eq!(shift(bars::copy_bar(&start.pattern, 0, 1), 0), (6, 0));
    assert_eq!(shift(Edit::SetMetre(Metre::parse("3/4").unwrap()), 960), (6, 2));
    assert_eq!(shift(Edit::SetBars(1), 0), (6, 0));
}

#[test]
fn an_identity_is_never_given_twice() {
    let start = written("X.......|x.......", "....|....");
    let kick = start.pattern.lanes()[0].id;
    let second = start.pattern.lanes()[0].strokes()[1].id;
    let mut groove = edited(&start, Edit::SetBars(1));
    groove.apply(&Edit::Put(kick, Stroke::new(Tick(480), Loudness::MAX))).unwrap();
    assert_ne!(groove.pattern.lanes()[0].strokes()[1].id, second);
    // Nor after an undo that puts a whole earlier groove back.
    let mut groove = start.clone();
    let back = groove.apply(&Edit::SetBars(1)).unwrap();
    groove.apply(&Edit::Put(kick, Stroke::new(Tick(480), Loudness::MAX))).unwrap();
    let third = groove.pattern.lanes()[0].strokes()[1].id;
    groove.apply(&back).unwrap();
    groove.apply(&Edit::Put(kick, Stroke::new(Tick(480), Loudness::MAX))).unwrap();
    assert_ne!(groove.pattern.lanes()[0].at(Tick(480)).unwrap().id, third);
    // Nor for lanes.
    let lane = |role| Edit::AddLane(0, Lane::new(LaneHead::new(role, Tick(240))));
    let mut groove = edited(&start, lane(Role::Clap));
    let clap = groove.pattern.lanes()[0].id;
    groove.apply(&Edit::RemoveLane(clap)).unwrap();
    groove.apply(&Edit::SetBars(1)).unwrap();
    groove.apply(&lane(Role::Rim)).unwrap();
    assert_ne!(groove.pattern.lanes()[0].id, clap);
}

#[track_caller]
fn check_move(from: i64, to: i64, want: Result<&str, Refusal>) {
    let start = written(ONE.0, ONE.1);
    let kick = start.pattern.lanes()[0].id;
    match recast::moved(&start.pattern, kick, Tick(from), Tick(to)) {
        Ok(edit) => {
            let mut groove = start.clone();
            let inverse = groove.apply(&edit).unwrap();
            assert_eq!(Ok(rows(&groove)[0].as_str()), want);
            let mut ids: Vec<_> = strokes(&groove).into_keys().collect();
            let mut before: Vec<_> = strokes(&start).into_keys().collect();
            ids.sort_unstable();
            before.sort_unstable();
            assert_eq!(ids, before);
            groove.apply(&inverse).unwrap();
            assert_eq!(groove, start);
        }
        Err(refusal) => assert_eq!(Err(refusal), want),
    }
}

#[test]
fn a_moved_stroke_stays_itself_and_harms_no_other() {
    check_move(0, 240, Ok(".X..x.o."));
    check_move(1440, 1680, Ok("X...x..o"));
    check_move(0, 0, Ok("X...x.o."));
    check_move(0, 960, Err(Refusal::Occupied));
    check_move(0, 1920, Err(Refusal::Outside));
    check_move(0, -1, Err(Refusal::Outside));
    check_move(240, 0, Err(Refusal::NoStroke));
}

#[test]
fn a_lane_changes_its_part() {
    let start = written(ONE.0, ONE.1);
    let kick = start.pattern.lanes()[0].clone();
    let bass = edited(&start, recast::role(&kick, Role::Bass));
    let lane = bass.pattern.lane(kick.id).unwrap();
    assert_eq!(lane.head.role, Role::Bass);
    assert!(lane.strokes().iter().all(|stroke| stroke.pitches == [0]));
    let back = edited(&bass, recast::role(lane, Role::Kick));
    assert_eq!(back, start);
    let empty = edited(&start, recast::cleared(&kick));
    assert_eq!(rows(&empty), ["........", "x.xx"]);
}

/// A stroke with everything.
fn full() -> Groove {
    let mut start = groove(120.0, "4/4", 1, &[("bass", 240, "x...............")]);
    let lane = start.pattern.lanes()[0].clone();
    let mut stroke = lane.strokes()[0].clone();
    for addition in [Addition::Roll, Addition::Flam, Addition::Length] {
        stroke = addition.toggled(&stroke, &lane.head);
    }
    stroke.pitches = vec![0, 7];
    stroke = Addition::Glide.toggled(&stroke, &lane.head);
    start.apply(&Edit::Put(lane.id, stroke)).unwrap();
    start
}

const QUANTITIES: [Quantity; 14] = [
    Quantity::Loudness,
    Quantity::Nudge,
    Quantity::Place,
    Quantity::RollStrokes,
    Quantity::RollSpan,
    Quantity::RollBend,
    Quantity::FlamGap,
    Quantity::Pitch(0),
    Quantity::Pitch(1),
    Quantity::Length,
    Quantity::GlideTo,
    Quantity::GlideTime,
    Quantity::Lean,
    Quantity::Tonic,
];

#[test]
fn every_number_goes_to_both_its_ends_and_no_further() {
    let start = full();
    let lane = start.pattern.lanes()[0].id;
    for quantity in QUANTITIES {
        let range = quantity.range(&start, lane);
        for (asked, want) in [
            (range.least, range.least),
            (range.most, range.most),
            (i32::MIN, range.least),
            (i32::MAX, range.most),
            (range.least + range.near, range.least + range.near),
        ] {
            let groove = edited(&start, quantity.edit(&start, lane, Tick::ZERO, asked).unwrap());
            let at = groove.pattern.lanes()[0].strokes()[0].at;
            assert_eq!(quantity.value(&groove, lane, at), Some(want), "{quantity:?}");
        }
    }
}

#[test]
fn a_number_of_a_part_that_is_not_there_is_refused() {
    let start = written(ONE.0, ONE.1);
    let kick = start.pattern.lanes()[0].id;
    for quantity in QUANTITIES.into_iter().filter(|q| !matches!(q, Quantity::Lean | Quantity::Tonic)) {
        assert_eq!(quantity.value(&start, kick, Tick(240)), None, "{quantity:?}");
        assert_eq!(quantity.edit(&start, kick, Tick(240), 8), Err(Refusal::NoStroke), "{quantity:?}");
    }
    for quantity in [Quantity::RollSpan, Quantity::FlamGap, Quantity::Pitch(0), Quantity::Length, Quantity::GlideTo] {
        assert_eq!(quantity.value(&start, kick, Tick::ZERO), None, "{quantity:?}");
        assert_eq!(quantity.edit(&start, kick, Tick::ZERO, 8), Err(Refusal::NoStroke), "{quantity:?}");
    }
}

proptest! {
    #![proptest_config(seeded(256))]

    #[test]
    fn rearranged_bars_come_back(groove in any_groove(), which in 0..4_u8, one in 0..9_u8, other in 0..9_u8) {
        let pattern = &groove.pattern;
        let edit = match which {
            0 => bars::repeat(pattern),
            1 => bars::insert_bar(pattern, one),
            2 => bars::remove_bar(pattern, one),
            _ => bars::copy_bar(pattern, one, other),
        };
        let mut changed = groove.clone();
        match changed.apply(&edit) {
            Ok(inverse) => {
                let want = match which {
                    0 => pattern.bars() * 2,
                    1 => pattern.bars() + 1,
                    2 => pattern.bars() - 1,
                    _ => pattern.bars(),
                };
                prop_assert_eq!(changed.pattern.bars(), want);
                changed.apply(&inverse).unwrap();
                prop_assert_eq!(strokes(&changed), strokes(&groove));
            }
            Err(error) => {
                let full = matches!(error, EditError::Pattern(PatternError::Bars(_)));
                prop_assert!(full, "{:?}", error);
            }
        }
        prop_assert_eq!(changed, groove);
    }

    #[test]
    fn a_bar_put_in_and_taken_out_leaves_no_trace(groove in any_groove(), at in 0..8_u8) {
        let at = at.min(groove.pattern.bars());
        let mut changed = groove.clone();
        if changed.apply(&bars::insert_bar(&groove.pattern, at)).is_ok() {
            changed.apply(&bars::remove_bar(&changed.pattern.clone(), at)).unwrap();
            let places = |groove: &Groove| strokes(groove);
            prop_assert_eq!(places(&changed), places(&groove));
        }
    }
}

#[test]
fn a_lane_more_is_there() {
    let start = written(ONE.0, ONE.1);
    let more = edited(&start, recast::added(&start.pattern, Role::Rim));
    assert_eq!(more.pattern.lanes().len(), 3);
}
