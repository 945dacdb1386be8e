//! Spoken names of places: what a screen reader says, and what tests look for.
//!
//! A place on a lane's pulse is "Snare, bar 1, beat 2 and". Where counting has no syllable it is a part of the beat
//! ("bar 1, beat 2, part 2 of 5"). A stroke off the pulse lies between two of them: "Snare, bar 1, between beat 2 and and
//! a"; when several do, each says which it is. Every place of a pattern has a name of its own.

use super::roles;
use crate::rhythm::{Lane, LaneId, Metre, Pattern, Place, Tick};

/// The full name of the place `at` in a lane, on the pulse or off it. `None` if the pattern has no such lane.
pub fn spot(pattern: &Pattern, id: LaneId, at: Tick) -> Option<String> {
    let lane = pattern.lane(id)?;
    Some(format!("{}, {}", roles::lane(pattern, id)?, place(pattern, lane, at)))
}

/// The name of the place `at` of a lane, without the lane: "bar 1, beat 2 and".
pub fn place(pattern: &Pattern, lane: &Lane, at: Tick) -> String {
    let (metre, pulse) = (pattern.metre(), lane.head.pulse);
    let (_, _, beat_length) = metre.beat_at(at.rem_euclid(metre.bar()));
    // In a lane that only has whole beats, a stroke on a syllable is better told by it than by the beats around.
    let told_by_syllable = pulse >= beat_length && Place::of(at, metre).after == Tick::ZERO;
    if at.rem_euclid(pulse) == Tick::ZERO || told_by_syllable {
        format!("bar {}, {}", bar(at, metre), beat(at, pulse, metre))
    } else {
        between(lane, at, metre, pattern.length())
    }
}

/// The beat and syllable of a place: "beat 2", "beat 2 and", "beat 2, part 2 of 5". `pulse` is the distance between the
/// places it is told apart from.
pub fn beat(at: Tick, pulse: Tick, metre: &Metre) -> String {
    let number = Place::of(at, metre).beat + 1;
    match syllable(at, pulse, metre) {
        part if part.is_empty() => format!("beat {number}"),
        part if part.starts_with("part") => format!("beat {number}, {part}"),
        part => format!("beat {number} {part}"),
    }
}

/// A place of any bar as it is counted in a sentence: "2", "the and of 2", "the let of 4"; "just after the and of 2" where
/// counting has no syllable.
pub fn counted(at: Tick, metre: &Metre) -> String {
    let place = Place::of(at, metre);
    let beat = place.beat + 1;
    let name = if place.syllable.is_empty() { beat.to_string() } else { format!("the {} of {beat}", place.syllable) };
    if place.after == Tick::ZERO { name } else { format!("just after {name}") }
}

/// The bar of a place, from 1.
fn bar(at: Tick, metre: &Metre) -> i64 {
    at.div_euclid(metre.bar()) + 1
}

/// The syllable of a place, or its part of the beat; empty on the beat.
fn syllable(at: Tick, pulse: Tick, metre: &Metre) -> String {
    let place = Place::of(at, metre);
    if place.after == Tick::ZERO {
        return place.syllable.to_owned();
    }
    let (_, start, length) = metre.beat_at(at.rem_euclid(metre.bar()));
    let inside = at.rem_euclid(metre.bar()) - start;
    // Parts of the lane's own pulse where it divides the beat; else of the coarsest division that has this place.
    let divides = pulse.0 > 0 && length.0 % pulse.0 == 0 && inside.0 % pulse.0 == 0;
    let part = if divides { pulse.0 } else { greatest_common_divisor(length.0, inside.0) };
    format!("part {} of {}", inside.0 / part + 1, length.0 / part)
}

fn greatest_common_divisor(a: i64, b: i64) -> i64 {
    if b == 0 { a.max(1) } else { greatest_common_divisor(b, a % b) }
}

/// The name of a place off the pulse: "bar 1, between beat 2 and and a".
fn between(lane: &Lane, at: Tick, metre: &Metre, length: Tick) -> String {
    let pulse = lane.head.pulse;
    let before = at - at.rem_euclid(pulse);
    let after = before + pulse;
    let same_beat =
        |a: Tick, b: Tick| bar(a, metre) == bar(b, metre) && Place::of(a, metre).beat == Place::of(b, metre).beat;
    let next = if after >= length {
        "the end".to_owned()
    } else if same_beat(before, after) {
        syllable(after, pulse, metre)
    } else if bar(before, metre) == bar(after, metre) {
        beat(after, pulse, metre)
    } else {
        format!("bar {}, {}", bar(after, metre), beat(after, pulse, metre))
    };
    let name = format!("bar {}, between {} and {next}", bar(before, metre), beat(before, pulse, metre));
    let inside = |tick: Tick| before < tick && tick < after;
    let others = lane.strokes().iter().map(|stroke| stroke.at).filter(|&tick| inside(tick) && tick != at);
    let (mut earlier, mut all) = (0, 1);
    for other in others {
        all += 1;
        earlier += usize::from(other < at);
    }
    if all == 1 { name } else { format!("{name}, {} of {all}", earlier + 1) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rhythm::{LaneHead, Loudness, Stroke};
    use crate::role::Role;
    use proptest::prelude::*;
    use proptest::test_runner::RngSeed;
    use std::collections::HashSet;

    fn pattern(metre: &str, bars: u8, heads: &[(Role, i64)], strokes: &[i64]) -> Pattern {
        let lane = |&(role, pulse): &(Role, i64)| {
            let strokes = strokes.iter().map(|&at| Stroke::new(Tick(at), Loudness::MAX));
            Lane::with_strokes(LaneHead::new(role, Tick(pulse)), strokes)
        };
        Pattern::new(Metre::parse(metre).unwrap(), bars, heads.iter().map(lane).collect()).unwrap()
    }

    #[track_caller]
    fn check(metre: &str, pulse: i64, strokes: &[i64], at: i64, want: &str) {
        let pattern = pattern(metre, 2, &[(Role::Snare, pulse)], strokes);
        assert_eq!(spot(&pattern, pattern.lanes()[0].id, Tick(at)).unwrap(), want);
    }

    #[test]
    fn places_on_the_pulse() {
        check("4/4", 240, &[], 0, "Snare, bar 1, beat 1");
        check("4/4", 240, &[], 240, "Snare, bar 1, beat 1 e");
        check("4/4", 240, &[], 1440, "Snare, bar 1, beat 2 and");
        check("4/4", 240, &[], 3840 + 2880 + 720, "Snare, bar 2, beat 4 a");
        check("4/4", 320, &[], 320, "Snare, bar 1, beat 1 trip");
        check("4/4", 320, &[], 640, "Snare, bar 1, beat 1 let");
        check("4/4", 160, &[], 160, "Snare, bar 1, beat 1 ti");
        check("4/4", 120, &[], 360, "Snare, bar 1, beat 1 e ta");
        check("4/4", 192, &[], 192, "Snare, bar 1, beat 1, part 2 of 5");
        check("4/4", 96, &[], 192, "Snare, bar 1, beat 1, part 3 of 10");
        check("4/4", 1920, &[], 1920, "Snare, bar 1, beat 3");
        check("6/8", 480, &[], 1920, "Snare, bar 1, beat 2 trip");
        check("7/8", 480, &[], 2880, "Snare, bar 1, beat 3 let");
    }

    #[test]
    fn strokes_off_the_pulse() {
        check("4/4", 240, &[1500], 1500, "Snare, bar 1, between beat 2 and and a");
        check("4/4", 240, &[1000], 1000, "Snare, bar 1, between beat 2 and e");
        check("4/4", 240, &[1700], 1700, "Snare, bar 1, between beat 2 a and beat 3");
        check("4/4", 240, &[3700], 3700, "Snare, bar 1, between beat 4 a and bar 2, beat 1");
        check("4/4", 240, &[7600], 7600, "Snare, bar 2, between beat 4 a and the end");
        check("4/4", 240, &[1500, 1560], 1560, "Snare, bar 1, between beat 2 and and a, 2 of 2");
        check("4/4", 960, &[1440], 1440, "Snare, bar 1, beat 2 and");
        check("4/4", 1920, &[1400], 1400, "Snare, bar 1, between beat 1 and beat 3");
        check("4/4", 192, &[200], 200, "Snare, bar 1, between beat 1, part 2 of 5 and part 3 of 5");
    }

    #[test]
    fn counted_in_a_sentence() {
        let four = Metre::four_four();
        for (at, want) in [
            (960, "2"),
            (3840 + 1440, "the and of 2"),
            (3520, "the let of 4"),
            (1450, "just after the and of 2"),
            (10, "just after 1"),
        ] {
            assert_eq!(counted(Tick(at), &four), want);
        }
    }

    #[test]
    fn no_name_for_no_lane() {
        let pattern = pattern("4/4", 1, &[(Role::Snare, 240)], &[]);
        assert_eq!(spot(&pattern, LaneId(9), Tick::ZERO), None);
    }

    proptest! {
        #![proptest_config(ProptestConfig {
            rng_seed: RngSeed::Fixed(6),
            failure_persistence: None,
            ..ProptestConfig::default()
        })]

        #[test]
        fn every_place_has_a_name_of_its_own(
            metre in prop::sample::select(vec!["4/4", "3/4", "6/8", "7/8", "12/8", "5/8", "2/2", "3+2/16", "2/4"]),
            pulses in prop::collection::vec(
                prop::sample::select(vec![40, 60, 80, 96, 120, 160, 192, 240, 320, 480, 720, 960, 1440, 1920]), 1..4),
            bars in 1..=3_u8,
            strokes in prop::collection::btree_set(0..12_000_i64, 0..60),
        ) {
            let length = Metre::parse(metre).unwrap().bar().0 * i64::from(bars);
            let roles = [Role::Snare, Role::HatClosed, Role::Snare];
            let heads: Vec<_> =
                roles.into_iter().zip(pulses).filter(|(_, pulse)| length % pulse == 0).collect();
            let strokes: Vec<i64> = strokes.into_iter().filter(|&at| at < length).collect();
            let pattern = pattern(metre, bars, &heads, &strokes);
            let mut seen = HashSet::new();
            for lane in pattern.lanes() {
                let pulses = (0..length / lane.head.pulse.0).map(|n| lane.head.pulse.times(n));
                let off = lane.strokes().iter().map(|s| s.at).filter(|at| at.0 % lane.head.pulse.0 != 0);
                for at in pulses.chain(off) {
                    let name = spot(&pattern, lane.id, at).unwrap();
                    prop_assert!(seen.insert(name.clone()), "{} twice", name);
                }
            }
        }
    }
}
