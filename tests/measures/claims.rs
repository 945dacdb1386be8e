//! What the measures claim of themselves: ranges, what stays when the circle turns, and which distances are metrics.

use crate::grooves::{any_groove, any_lane, any_metre, groove, seeded};
use crate::{count, of, truth};
use proptest::collection::vec;
use proptest::prelude::*;
use proptest::sample::select;
use stickleback::measure::note_to_beat_distance::{Held, note_to_beat_distance};
use stickleback::measure::*;
use stickleback::rhythm::{Metre, Pattern, Swing, Tick};
use stickleback::role::Role;

#[test]
fn euclidean_rhythms_are_maximally_even() {
    let metre = Metre::new(&[Tick(240); 16]).unwrap();
    for onsets in 0..=16 {
        let row = euclidean::euclidean(onsets, 16).unwrap();
        let places = row.iter().enumerate().filter(|(_, on)| **on).map(|(at, _)| Tick(240 * at as i64));
        let cycle = Cycle::new(&metre, 1, Tick(240), places).unwrap();
        assert_eq!(cycle.onsets().len(), onsets);
        assert!(maximal_evenness::is_maximally_even(&cycle), "{onsets}");
    }
    for (onsets, pulses) in (1..=40).flat_map(|pulses| (1..=pulses).map(move |onsets| (onsets, pulses))) {
        // Another road to the same necklace: rounding down even spacing.
        let mut rounded = vec![false; pulses];
        (0..onsets).for_each(|index| rounded[index * pulses / onsets] = true);
        let ours = euclidean::euclidean(onsets, pulses).unwrap();
        assert!(euclidean::is_same_necklace(&ours, &rounded), "{onsets} of {pulses}");
    }
}

#[test]
fn a_swung_lane_has_the_ratio_of_its_swing() {
    let check = |percent: f64, hats: &str, ratio: Option<f64>, density: f64| {
        let mut swung = groove(100.0, "4/4", 1, &[("hat-closed", 240, hats)]);
        swung.feel = swung.feel.with_swing(Swing::from_percent(percent).unwrap());
        let found = beat_upbeat_ratio::median(&beat_upbeat_ratio::of_lane(&swung, &swung.pattern.lanes()[0]));
        match (found, ratio) {
            (Some(found), Some(ratio)) => {
                assert!((found - ratio).abs() < 1e-9, "{found} {ratio}");
                assert!((beat_upbeat_ratio::percent(found) - percent).abs() < 1e-9);
            }
            (found, ratio) => assert_eq!(found, ratio),
        }
        let cycle = Cycle::of_roles(&swung.pattern, &[Role::HatClosed], &|_| true).unwrap();
        let found = swing_density::swing_density(&cycle, &swung.feel).unwrap();
        assert!((found - density).abs() < 1e-12, "{found} {density}");
    };
    check(50.0, "xxxxxxxxxxxxxxxx", Some(1.0), 1.0);
    check(60.0, "xxxxxxxxxxxxxxxx", Some(1.5), 1.0);
    check(75.0, "x.xxx.xxx.xxx.xx", Some(3.0), 0.5);
    check(60.0, "x.x.x.x.x.x.x.x.", None, 0.0);
}

/// Any metre, one to three bars, onsets on pulses and off them.
fn any_cycle() -> impl Strategy<Value = Cycle> {
    (any_metre(), 1_u8..=3, select(vec![40, 160, 192, 240, 320, 480, 960, 1280]), vec((0..800_i64, 0..12_i64), 0..24))
        .prop_map(|(metre, bars, pulse, drawn)| {
            let length = metre.bar().0 * i64::from(bars);
            let onsets = drawn.into_iter().map(|(at, off)| Tick((at * pulse + (off - 9).max(0) * 20) % length));
            Cycle::new(&metre, bars, Tick(pulse), onsets).unwrap()
        })
}

fn even(bits: u32) -> Cycle {
    of("4/4", 240, &(0..16).filter(|at| bits >> at & 1 == 1).collect::<Vec<_>>())
}

/// Three patterns over the same bars.
fn three_patterns() -> impl Strategy<Value = Vec<Pattern>> {
    (any_metre(), 1_u8..=3).prop_flat_map(|(metre, bars)| {
        let lanes = vec(any_lane(metre.bar().times(i64::from(bars))), 0..5);
        let pattern = lanes.prop_map(move |lanes| Pattern::new(metre.clone(), bars, lanes).unwrap());
        vec(pattern, 3)
    })
}

/// All numbers that claim to stay when the circle is turned.
fn turned(cycle: &Cycle) -> Vec<f64> {
    let mut all = [balance::balance(cycle), evenness::evenness(cycle), pairwise_variability::cyclic(cycle)]
        .map(|number| number.unwrap_or(-1.0))
        .to_vec();
    all.extend(truth(oddity::has_oddity(cycle)));
    all.extend(truth(interval_vector::is_deep(cycle)));
    all.extend(count(interval_vector::distinct_gaps(cycle)));
    all.extend(interval_vector::intervals(cycle).iter().flat_map(|(at, n)| [at.as_f64(), *n as f64]));
    all
}

/// The same over whole bars.
fn described(cycle: &Cycle) -> Vec<f64> {
    let mut all = vec![
        f64::from(longuet_higgins_lee::total(cycle)),
        f64::from(metrical_complexity::metrical_complexity(cycle)),
        off_beatness::off_beatness(cycle) as f64,
        pressing::pressing(cycle),
        keith::keith(cycle).map_or(-1.0, |kinds| f64::from(kinds.weighted())),
        povel_essens::best_clock(cycle).map_or(-1.0, |clock| f64::from(clock.counter_evidence())),
    ];
    all.extend([Held::Strict, Held::Loose].map(|held| note_to_beat_distance(cycle, held).unwrap_or(-1.0)));
    all.extend(truth(maximal_evenness::is_maximally_even(cycle)));
    all
}

fn all_close(a: &[f64], b: &[f64]) -> bool {
    a.len() == b.len() && a.iter().zip(b).all(|(a, b)| (a - b).abs() < 1e-6 * (1.0 + a.abs()))
}

/// Distances that are metrics among cycles of one length, pulse and number of onsets; the first three also tell any two
/// apart.
fn distances(a: &Cycle, b: &Cycle) -> [f64; 5] {
    [
        hamming::hamming(a, b) as f64,
        edit_distance::edit_distance(a, b) as f64,
        swap::swap(a, b).unwrap(),
        chronotonic::chronotonic(a, b).unwrap(),
        interval_distance::interval_distance(a, b).unwrap(),
    ]
}

/// The definition, pulse by pulse, over the grid of sixteenths.
fn slow_syncopation(cycle: &Cycle) -> i32 {
    const WEIGHTS: [i32; 16] = [0, -4, -3, -4, -2, -4, -3, -4, -1, -4, -3, -4, -2, -4, -3, -4];
    let row = cycle.pulses(Tick(240));
    let held = |note: usize| -> i32 {
        let silence = (1..16).map(|after| (note + after) % 16).take_while(|&at| !row[at]);
        let strength = silence.map(|at| WEIGHTS[at] - WEIGHTS[note]).max().unwrap_or(0);
        strength.max(0)
    };
    (0..16).filter(|&at| row[at]).map(held).sum()
}

proptest! {
    #![proptest_config(seeded(256))]

    #[test]
    fn nothing_panics_and_all_stays_in_range(cycle in any_cycle(), groove in any_groove()) {
        let within = |number: Option<f64>, most: f64| number.is_none_or(|number| (0.0..=most).contains(&number));
        prop_assert!(within(balance::balance(&cycle), 1.0) && within(evenness::evenness(&cycle), 1.0));
        prop_assert!(within(pairwise_variability::open(&cycle), 200.0) && within(pairwise_variability::cyclic(&cycle), 200.0));
        prop_assert!(within(swing_density::swing_density(&cycle, &groove.feel), 1.0));
        prop_assert!(within(Some(pressing::pressing(&cycle)), 5.0 * 16.0));
        prop_assert!(described(&cycle).iter().all(|number| number.is_finite()));
        prop_assert!(off_beatness::off_beatness(&cycle) <= cycle.onsets().len());
        let pairs = longuet_higgins_lee::syncopations(&cycle);
        prop_assert!(pairs.len() <= cycle.onsets().len());
        prop_assert!(pairs.iter().all(|pair| cycle.onsets().binary_search(&pair.note).is_ok()
            && cycle.onsets().binary_search(&pair.rest).is_err()));
        prop_assert_eq!(cycle.onsets().is_empty(), povel_essens::best_clock(&cycle).is_none());
        let counted: usize = interval_vector::interval_vector(&cycle).iter().sum();
        let onsets = cycle.onsets().len();
        prop_assert_eq!(counted, onsets * onsets.saturating_sub(1) / 2);
        prop_assert!(euclidean::euclidean_rotation(&cycle).is_none() || maximal_evenness::is_maximally_even(&cycle));
        for lane in groove.pattern.lanes() {
            let ratios = beat_upbeat_ratio::of_lane(&groove, lane);
            prop_assert!(within(beat_upbeat_ratio::median(&ratios).map(beat_upbeat_ratio::percent), 80.0));
        }
        for part in density::densities(&groove.pattern, &|_| true) {
            prop_assert!(part.strokes <= part.heard && within(Some(part.filled), 1.0));
        }
        let heavy = backbeat::backbeat(&groove.pattern, &[Role::Snare, Role::Kick], Tick(960));
        prop_assert!(within(heavy.map(|backbeat| backbeat.strength().abs()), 1.0));
        let pairs = polyphonic_syncopation::of_pattern(&groove.pattern, &|_| true);
        prop_assert!(pairs.iter().all(|pair| pair.strength >= pair.against.instability()));
    }

    #[test]
    fn turning_the_circle_changes_nothing(cycle in any_cycle(), by in -9_000_i64..9_000) {
        prop_assert!(all_close(&turned(&cycle), &turned(&cycle.rotated(Tick(by)))));
        let next_bar = cycle.rotated(cycle.metre().bar());
        prop_assert!(all_close(&described(&cycle), &described(&next_bar)), "{:?} {:?}", described(&cycle), described(&next_bar));
    }

    #[test]
    fn turning_by_pulses_keeps_a_necklace(bits in 0_u32..65536, by in 0_i64..16) {
        let (cycle, turned) = (even(bits), even(bits).rotated(Tick(240 * by)));
        prop_assert_eq!(maximal_evenness::is_maximally_even(&cycle), maximal_evenness::is_maximally_even(&turned));
        prop_assert_eq!(euclidean::euclidean_rotation(&cycle).is_some(), euclidean::euclidean_rotation(&turned).is_some());
        // Over whole pulses, evenness at its most and the Euclidean necklace are one thing.
        let is_euclidean = euclidean::euclidean_rotation(&cycle).is_some() || bits == 0;
        prop_assert_eq!(is_euclidean, maximal_evenness::is_maximally_even(&cycle));
    }

    #[test]
    fn syncopation_is_what_the_definition_says(bits in 0_u32..65536) {
        prop_assert_eq!(longuet_higgins_lee::total(&even(bits)) as i32, slow_syncopation(&even(bits)));
    }

    #[test]
    fn distances_are_metrics(bits in 1_u32..65536, order in vec(0_usize..1000, 32)) {
        // Three cycles of as many onsets.
        let mut bits = [bits; 3];
        let count = bits[0].count_ones();
        for (cycle, places) in bits.iter_mut().skip(1).zip(order.chunks(16)) {
            let mut ranked: Vec<usize> = (0..16).collect();
            ranked.sort_by_key(|&place| places[place]);
            *cycle = ranked.iter().take(count as usize).map(|place| 1 << place).sum();
        }
        let [a, b, c] = bits.map(even);
        let (ab, bc, ac) = (distances(&a, &b), distances(&b, &c), distances(&a, &c));
        prop_assert!(all_close(&ab, &distances(&b, &a)), "symmetry");
        prop_assert!(distances(&a, &a).iter().all(|&distance| distance == 0.0), "identity");
        for (index, ((ab, bc), ac)) in ab.iter().zip(bc).zip(ac).enumerate() {
            prop_assert!(ac <= ab + bc + 1e-9, "triangle {index}");
        }
        prop_assert_eq!(ab[..3].iter().map(|&distance| distance > 0.0).collect::<Vec<_>>(), vec![a != b; 3]);
        prop_assert!(ab[1] <= ab[0] && ab[0] <= 2.0 * ab[2], "edits are no more than differences, two a move");
        prop_assert_eq!(directed_swap::directed_swap(&a, &b), swap::swap(&a, &b), "of as many onsets");
    }

    #[test]
    fn any_two_cycles_have_distances(a in any_cycle(), b in any_cycle()) {
        prop_assert_eq!(hamming::hamming(&a, &b), hamming::hamming(&b, &a));
        prop_assert_eq!(edit_distance::edit_distance(&a, &b), edit_distance::edit_distance(&b, &a));
        let one_empty = a.onsets().is_empty() != b.onsets().is_empty();
        for distance in [directed_swap::directed_swap, chronotonic::chronotonic, interval_distance::interval_distance] {
            let (there, back, itself) = (distance(&a, &b), distance(&b, &a), distance(&a, &a));
            prop_assert_eq!(there.is_none(), one_empty);
            prop_assert!(all_close(&[there.unwrap_or(-1.0)], &[back.unwrap_or(-1.0)]));
            prop_assert!(itself.is_some_and(|distance| distance == 0.0));
        }
        prop_assert_eq!(directed_swap::directed_swap(&a, &b) == Some(0.0), hamming::hamming(&a, &b) == 0);
    }

    #[test]
    fn whole_patterns_have_a_metric(patterns in three_patterns()) {
        let distance = |a: &Pattern, b: &Pattern| {
            polyphonic_distance::polyphonic_distance(a, b, &polyphonic_distance::role_weight)
        };
        let [a, b, c] = &patterns[..] else { unreachable!() };
        prop_assert!(distance(a, a) == 0.0);
        prop_assert!((distance(a, b) - distance(b, a)).abs() < 1e-9);
        prop_assert!(distance(a, c) <= distance(a, b) + distance(b, c) + 1e-9);
        let struck = |pattern| density::densities(pattern, &|_| true).into_iter().filter(|part| part.strokes > 0);
        let strokes = |pattern| struck(pattern).map(|part| (part.role, part.strokes)).collect::<Vec<_>>();
        prop_assert!(strokes(a) == strokes(b) || distance(a, b) > 0.0);
        let share = |a: &Pattern, b: &Pattern| {
            polyphonic_distance::unlikeness(a, b, &polyphonic_distance::role_weight)
        };
        prop_assert!((0.0..=1.0 + 1e-12).contains(&share(a, b)) && share(a, a) == 0.0);
        prop_assert!(share(a, c) <= share(a, b) + share(b, c) + 1e-9);
        let most: f64 = [a, b].into_iter().flat_map(struck).map(|part| part.strokes as f64).sum();
        prop_assert!(distance(a, b) <= most + 1e-9, "striking all anew is always a way");
    }
}
