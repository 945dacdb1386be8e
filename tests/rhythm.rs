//! Properties of the rhythm core: edits undo exactly, text reads back, and the feel keeps the order of strokes.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test says by panicking that it fails")]

mod grooves;

use grooves::*;
use proptest::collection::vec;
use proptest::prelude::*;
use proptest::sample::{Index, select};
use stickleback::rhythm::boxes::{Ruling, read_row, write_row};
use stickleback::rhythm::*;
use stickleback::role::Role;

/// An edit of any kind, fitting or not: some name lanes that are not there or leave the limits.
fn any_edit() -> impl Strategy<Value = Edit> {
    let simple = any_simple_edit().boxed();
    prop_oneof![
        8 => simple.clone(),
        1 => vec(simple, 0..5).prop_map(Edit::Several),
    ]
}

fn any_lane_id() -> impl Strategy<Value = LaneId> {
    (1_u16..7).prop_map(LaneId)
}

fn any_simple_edit() -> impl Strategy<Value = Edit> {
    let (long, pulse) = (Tick(12_000), Tick(240));
    let loudness = || (1_u8..=127).prop_map(|value| Loudness::new(value).unwrap());
    let dynamics = (loudness(), loudness(), loudness())
        .prop_filter_map("in order", |(accent, plain, ghost)| Dynamics::new(accent, plain, ghost));
    let code = vec(any::<u8>(), 1..=200).prop_map(|code| MadeVoice::new(code).unwrap());
    let voices = prop::option::of((select(Role::ALL.to_vec()), code));
    let voices =
        voices.prop_map(|own| own.map_or(MadeVoices::NONE, |(role, code)| MadeVoices::NONE.with(role, code).unwrap()));
    let sound = (select(vec!["plain", "worn"]), 250_u32..=4000, voices).prop_map(|(kit, speed, voices)| {
        let kit: Id = kit.parse().unwrap();
        Sound { speed: TapeSpeed::from_thousandths(speed).unwrap(), voices, ..Sound::of(kit) }
    });
    let recut = (select(vec![480, 960, 1000]), vec(0_u8..12, 2..12));
    prop_oneof![
        4 => (any_lane_id(), any_stroke(long, pulse)).prop_map(|(lane, stroke)| Edit::Put(lane, stroke)),
        2 => (any_lane_id(), 0..50_i64).prop_map(move |(lane, n)| Edit::Clear(lane, pulse.times(n))),
        1 => (0_usize..8, any_lane(long)).prop_map(|(index, lane)| Edit::AddLane(index, lane)),
        1 => any_lane_id().prop_map(Edit::RemoveLane),
        1 => (any_lane_id(), 0_usize..8).prop_map(|(lane, to)| Edit::MoveLane(lane, to)),
        1 => (any_lane_id(), any_head(long)).prop_map(|(lane, head)| Edit::SetHead(lane, head)),
        1 => any_tempo().prop_map(Edit::SetTempo),
        1 => any_feel().prop_map(Edit::SetFeel),
        1 => dynamics.prop_map(Edit::SetDynamics),
        1 => (0_u8..=96).prop_map(|note| Edit::SetTonic(Tonic::new(note).unwrap())),
        1 => sound.prop_map(Edit::SetSound),
        1 => (0_u8..=9).prop_map(Edit::SetBars),
        1 => any_metre().prop_map(Edit::SetMetre),
        1 => (0_u16..=4000).prop_map(Edit::Tape),
        1 => recut.prop_map(|(slice, order)| Edit::Recut(Tick(slice), order)),
        1 => any_groove().prop_map(|groove| Edit::Restore(Box::new(groove))),
    ]
}

/// Every identity in the groove, lane by lane: equality of grooves does not look at them.
fn identities(groove: &Groove) -> Vec<(LaneId, Vec<StrokeId>)> {
    let strokes = |lane: &Lane| lane.strokes().iter().map(|stroke| stroke.id).collect();
    groove.pattern.lanes().iter().map(|lane| (lane.id, strokes(lane))).collect()
}

/// Whether every lane and stroke is in order, in its limits and has an identity of its own.
fn sound(groove: &Groove) -> bool {
    let mut ids: Vec<LaneId> = groove.pattern.lanes().iter().map(|lane| lane.id).collect();
    ids.sort_unstable();
    ids.dedup();
    ids.len() == groove.pattern.lanes().len()
        && groove.pattern.lanes().iter().all(|lane| {
            let mut ids: Vec<StrokeId> = lane.strokes().iter().map(|stroke| stroke.id).collect();
            ids.sort_unstable();
            ids.dedup();
            ids.len() == lane.strokes().len()
                && lane.strokes().windows(2).all(|two| two[0].at < two[1].at)
                && lane.strokes().iter().all(|stroke| {
                    stroke.id != StrokeId(0)
                        && stroke.fault().is_none()
                        && (0..groove.pattern.length().0).contains(&stroke.at.0)
                        && 2 * stroke.nudge.0.abs() < lane.head.pulse.0
                })
        })
}

fn swing_alone(feel: &Feel) -> Feel {
    Feel::new(feel.pair(), feel.written(), feel.swing(), Vec::new()).unwrap()
}

proptest! {
    #![proptest_config(seeded(256))]

    #[test]
    fn undo_is_the_identity(groove in any_groove(), edits in vec(any_edit(), 1..24)) {
        let mut played = groove.clone();
        let mut states = vec![played.clone()];
        let mut undo = Vec::new();
        for edit in &edits {
            let before = played.clone();
            match played.apply(edit) {
                Ok(inverse) => {
                    prop_assert!(sound(&played), "{:?}", edit);
                    undo.push(inverse);
                    states.push(played.clone());
                }
                Err(_) => {
                    prop_assert_eq!(&played, &before, "a failed edit changed something");
                    prop_assert_eq!(identities(&played), identities(&before));
                }
            }
        }
        let last = played.clone();
        let mut redo = Vec::new();
        for inverse in undo.iter().rev() {
            states.pop();
            redo.push(played.apply(inverse).unwrap());
            let want = states.last().unwrap();
            prop_assert_eq!(&played, want);
            prop_assert_eq!(identities(&played), identities(want));
        }
        prop_assert_eq!(&played, &groove);
        for edit in redo.iter().rev() {
            played.apply(edit).unwrap();
        }
        prop_assert_eq!(&played, &last);
        prop_assert_eq!(identities(&played), identities(&last));
    }

    #[test]
    fn a_row_and_its_details_read_back(pattern in any_pattern()) {
        for lane in pattern.lanes() {
            let ruling = Ruling {
                metre: pattern.metre(),
                bars: pattern.bars(),
                pulse: lane.head.pulse,
                dynamics: Dynamics::DEFAULT,
            };
            let (row, details) = write_row(lane, &ruling);
            let told = read_row(&row, &ruling).unwrap();
            let all = told.into_iter().chain(details.into_iter().cloned());
            prop_assert_eq!(&Lane::with_strokes(lane.head, all), lane, "{}", row);
        }
    }

    #[test]
    fn the_feel_keeps_the_order_of_strokes(groove in any_groove()) {
        for lane in groove.pattern.lanes() {
            let played: Vec<f64> = lane.strokes().iter().map(|s| sounding::played(&groove, lane, s.at)).collect();
            prop_assert!(played.windows(2).all(|two| two[0] < two[1]), "{:?}", played);
        }
    }

    #[test]
    fn the_feel_is_monotone_and_swing_fixes_bar_lines(metre in any_metre(), feel in any_feel(), swings: bool) {
        let bar = metre.bar();
        let warped: Vec<f64> = (0..=2 * bar.0 / 10).map(|n| feel.warp(n as f64 * 10.0, &metre, swings)).collect();
        for (n, two) in warped.windows(2).enumerate() {
            prop_assert!(two[0] < two[1], "at {}: {:?}", n * 10, two);
        }
        let feel = swing_alone(&feel);
        for line in 0..4 {
            let at = bar.times(line).as_f64();
            prop_assert!((feel.warp(at, &metre, swings) - at).abs() < 1e-9, "bar line {}", line);
        }
    }

    #[test]
    fn the_feel_is_the_same_in_every_bar(metre in any_metre(), feel in any_feel(), at: Index, swings: bool) {
        let bar = metre.bar();
        let at = at.index(bar.0 as usize) as f64;
        let moved = feel.warp(at, &metre, swings) - at;
        let later = at + bar.times(5).as_f64();
        prop_assert!((feel.warp(later, &metre, swings) - later - moved).abs() < 1e-9);
    }

    #[test]
    fn places_read_back(metre in any_metre(), at: Index) {
        let at = Tick(at.index(metre.bar().0 as usize * 8) as i64);
        let place = Place::of(at, &metre);
        prop_assert_eq!(place.tick(&metre), Ok(at));
        prop_assert_eq!(Place::parse(&place.to_string()), Ok(place));
    }

    #[test]
    fn a_roll_divides_evenly_between_its_warped_ends(groove in any_groove()) {
        for lane in groove.pattern.lanes() {
            let hits = sounding::lane_hits(&groove, lane);
            for stroke in lane.strokes() {
                let own: Vec<_> = hits.iter().filter(|h| h.stroke == stroke.id && h.part != Part::Grace).collect();
                let Some(roll) = stroke.roll else {
                    prop_assert_eq!(own.len(), 1);
                    continue;
                };
                prop_assert_eq!(own.len(), usize::from(roll.strokes));
                let nudge = stroke.nudge.as_f64();
                let start = sounding::played(&groove, lane, stroke.at) + nudge;
                let end = sounding::played(&groove, lane, stroke.at + roll.span) + nudge;
                let gap = (end - start) / own.len() as f64;
                for (n, hit) in own.iter().enumerate() {
                    prop_assert!((hit.ticks - start - gap * n as f64).abs() < 1e-6);
                }
                prop_assert!(gap > 0.0);
                prop_assert!((own[own.len() - 1].bend - f64::from(roll.bend)).abs() < 1e-9);
            }
        }
    }

    #[test]
    fn no_hit_sounds_before_the_lead(groove in any_groove()) {
        let lead = sounding::lead(&groove).0;
        let earliest = sounding::hits(&groove).iter().map(|hit| hit.seconds(&groove).0).fold(0.0, f64::min);
        prop_assert!((lead + earliest).abs() < 1e-12);
    }
}
