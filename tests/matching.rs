//! Match by ear: distances agree with what is heard, and learners of any hearing get there.
#![allow(clippy::unwrap_used, reason = "the data is the test's own")]

use std::fs;
use std::path::Path;

use stickleback::lesson::kit::read_kit;
use stickleback::synth::dials::{Dial, dials, position, set};
use stickleback::synth::matching::{Amount, Riddle, difference, distance};
use stickleback::synth::noise::Noise;
use stickleback::synth::portrait::{Grid, portrait};
use stickleback::synth::{LAYERS, Patch, Voicing, render};

/// Voices of contrasting kits.
fn patches() -> Vec<(String, Patch)> {
    let kits = ["house", "boom-bap", "samba-batucada", "salsa", "trap", "swing-jazz-ride", "eighties-synth-pop"];
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("lessons/kits");
    let read = |kit: &str| read_kit(&fs::read_to_string(folder.join(format!("{kit}.json"))).unwrap()).unwrap();
    let voices = |kit: &&str| {
        let kit = read(kit);
        kit.voices.iter().map(|(role, voice)| (format!("{} {role}", kit.id), voice.patch)).collect::<Vec<_>>()
    };
    kits.iter().flat_map(voices).collect()
}

#[test]
fn a_riddle_is_repeatable_audible_and_in_range() {
    for (number, (name, patch)) in patches().iter().enumerate() {
        for moves in 1..=4 {
            let seed = (100 * number + moves) as u32;
            let riddle = Riddle::new(patch, moves, seed);
            assert_eq!(riddle, Riddle::new(patch, moves, seed), "{name}");
            assert_eq!(riddle.hidden.check(), Ok(()), "{name}");
            assert_eq!(riddle.moved.len(), moves.min(dials(patch).len()), "{name}: {:?}", riddle.moved);
            for dial in dials(patch) {
                let off = difference(patch, &riddle.hidden, dial).abs();
                let moved = riddle.moved.contains(&dial);
                assert!(if moved { (4.9..=14.1).contains(&off) } else { off < 1e-9 }, "{name}: {dial:?} by {off}");
            }
            assert!(riddle.score(patch) < 55.0, "{name}: {}", riddle.score(patch));
            assert!((riddle.score(&riddle.hidden) - 100.0).abs() < 1e-9, "{name}");
            assert!(riddle.findings(&riddle.hidden).is_empty(), "{name}");
            assert_eq!(riddle.findings(patch).len(), riddle.moved.len(), "{name}");
        }
    }
}

#[test]
fn the_score_falls_with_every_audible_difference() {
    for (number, (name, patch)) in patches().iter().enumerate() {
        let riddle = Riddle::new(patch, 2, number as u32);
        for dial in dials(patch) {
            let at = position(&riddle.hidden, dial).unwrap();
            for way in [-1.0, 1.0] {
                let mut before = (0.0, 100.0);
                for places in 1..=30 {
                    let to = at + way * f64::from(places) * 2.0;
                    if !(0.0..=100.0).contains(&to) {
                        break;
                    }
                    let own = set(&riddle.hidden, dial, to);
                    let (off, score) = (difference(&riddle.hidden, &own, dial).abs(), riddle.score(&own));
                    // A clock above the sampling rate, a fall at the end of its range: no difference, no fall of the score.
                    assert!(off >= before.0 - 1e-9 && score <= before.1 + 1e-9, "{name}: {dial:?} at {to}");
                    assert!(off <= before.0 + 1e-9 || score < before.1, "{name}: {dial:?} at {to} costs nothing");
                    before = (off, score);
                }
            }
        }
    }
}

/// A learner who hears differences above `threshold` just-noticeable differences, takes the greatest first, and moves the
/// dial the right way with an unsteady hand. Gives the score after each move.
fn learn(riddle: &Riddle, threshold: f64, seed: u32) -> Vec<f64> {
    let mut chance = Noise::new(seed, 48_000.0);
    let mut own = riddle.start;
    let mut scores = vec![riddle.score(&own)];
    for _ in 0..60 {
        let heard = riddle.findings(&own).into_iter().find(|finding| finding.by.abs() > threshold);
        let Some(finding) = heard else { break };
        let (from, to) = (position(&own, finding.dial).unwrap(), position(&riddle.hidden, finding.dial).unwrap());
        own = set(&own, finding.dial, from + (to - from) * (0.4 + 0.8 * chance.chance()));
        scores.push(riddle.score(&own));
    }
    scores
}

#[test]
fn learners_converge_to_what_they_can_hear() {
    for threshold in [1.0, 2.0, 4.0] {
        let (mut least, mut sum, mut most_moves, mut count) = (100.0_f64, 0.0, 0, 0);
        for (number, (_, patch)) in patches().iter().enumerate() {
            for moves in 1..=4 {
                let riddle = Riddle::new(patch, moves, (37 * number + moves) as u32);
                let scores = learn(&riddle, threshold, number as u32);
                let last = *scores.last().unwrap();
                assert!(last >= scores[0], "{scores:?}");
                (least, sum, most_moves, count) =
                    (least.min(last), sum + last, most_moves.max(scores.len() - 1), count + 1);
            }
        }
        let mean = sum / f64::from(count);
        println!(
            "threshold {threshold}: at least {least:.0}, mean {mean:.1}, at most {most_moves} moves, {count} riddles"
        );
        // No dial is further off than the threshold, so the score is no worse than all of them at it.
        assert!(least >= 100.0 / (1.0 + (threshold / 5.0).powi(2)) - 1e-6, "{threshold}: {least}");
        assert!(most_moves <= 30, "{threshold}: {most_moves}");
    }
}

#[test]
fn a_finding_says_what_is_too_much_in_its_own_measure() {
    let (_, kick) = patches().into_iter().find(|(name, _)| name == "house kick").unwrap();
    let riddle = Riddle { start: kick, hidden: kick, moved: vec![Dial::Pitch] };
    let higher =
        |octaves: f64| set(&kick, Dial::Pitch, position(&kick, Dial::Pitch).unwrap() + 100.0 * octaves / 100f64.log2());
    let found = riddle.findings(&higher(1.0 / 3.0));
    assert_eq!(found[0].dial, Dial::Pitch);
    assert!(
        found[0].by > 5.0 && matches!(found[0].amount, Amount::Semitones(semitones) if (semitones - 4.0).abs() < 0.01),
        "{found:?}"
    );
    let found = riddle.findings(&set(&kick, Dial::Length, position(&kick, Dial::Length).unwrap() - 8.0));
    assert!(found[0].by < -1.0 && matches!(found[0].amount, Amount::Times(times) if times < 0.8), "{found:?}");
    assert!(riddle.findings(&higher(0.01)).is_empty(), "a tenth of a semitone is not heard in a drum");
}

/// The picture of a voice as the ear might keep it: third-octave levels in five spans of time, dB.
fn heard(patch: &Patch) -> Vec<f32> {
    let rate = 24_000;
    let samples = render(patch, &Voicing { layer: LAYERS - 1, pitches: &[], variation: 0, rate, length: Some(0.6) });
    let mut levels = Vec::new();
    for (from, to) in [(0.0, 0.02), (0.02, 0.06), (0.06, 0.15), (0.15, 0.3), (0.3, 0.6)] {
        let frame = |seconds: f64| ((seconds * f64::from(rate)) as usize).min(samples.len());
        let span = &samples[frame(from)..frame(to)];
        let drawn = portrait(span, rate, Grid { columns: 1, seconds: to - from, bands: 30 });
        // A span's bands stand below its strongest; what is below -50 dB is not heard beside the rest.
        levels.extend(drawn.spectrum.iter().map(|(_, db)| (db + drawn.level_db[0]).max(-50.0)));
    }
    levels
}

fn ranks(values: &[f64]) -> Vec<f64> {
    values.iter().map(|value| values.iter().filter(|other| *other < value).count() as f64).collect()
}

/// C. Spearman's correlation of ranks.
fn rank_correlation(a: &[f64], b: &[f64]) -> f64 {
    let (a, b) = (ranks(a), ranks(b));
    let mean = |row: &[f64]| row.iter().sum::<f64>() / row.len() as f64;
    let (ma, mb) = (mean(&a), mean(&b));
    let dot =
        |x: &[f64], mx: f64, y: &[f64], my: f64| -> f64 { x.iter().zip(y).map(|(x, y)| (x - mx) * (y - my)).sum() };
    dot(&a, ma, &b, mb) / (dot(&a, ma, &a, ma) * dot(&b, mb, &b, mb)).sqrt()
}

#[test]
fn the_distance_orders_sounds_as_their_spectra_do() {
    let mut correlations = Vec::new();
    for (number, (name, patch)) in patches().iter().enumerate() {
        let reference = heard(patch);
        let mut chance = Noise::new(number as u32, 48_000.0);
        let (mut reckoned, mut measured) = (Vec::new(), Vec::new());
        for variant in 0..24 {
            // From a hair's breadth to far away, on one to four dials.
            let mut own = *patch;
            let reach = f64::from(variant + 1);
            for dial in Riddle::new(patch, 1 + variant as usize % 4, 7 * variant as u32 + number as u32).moved {
                let at = position(patch, dial).unwrap();
                own = set(&own, dial, at + reach * 2.0 * (chance.chance() - 0.5));
            }
            reckoned.push(distance(patch, &own));
            let off: f32 = heard(&own).iter().zip(&reference).map(|(a, b)| (a - b).abs()).sum();
            measured.push(f64::from(off));
        }
        let correlation = rank_correlation(&reckoned, &measured);
        println!("{name:32} {correlation:.2}");
        correlations.push(correlation);
    }
    correlations.sort_by(f64::total_cmp);
    let mean = correlations.iter().sum::<f64>() / correlations.len() as f64;
    println!(
        "rank correlation: mean {mean:.2}, median {:.2}, least {:.2}",
        correlations[correlations.len() / 2],
        correlations[0]
    );
    assert!(mean > 0.7 && correlations[correlations.len() / 10] > 0.45, "{correlations:?}");
}
