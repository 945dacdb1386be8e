//! Which styles grooves lean to: every reference, seeded variations within each style's licence, the same grooves written
//! otherwise, and grooves of no style.
//!
//! `cargo test --no-default-features --test likeness -- --nocapture` prints the tables.

#![allow(clippy::unwrap_used, clippy::panic, clippy::print_stdout, reason = "tests, and their tables")]

mod grooves;
mod house;

use grooves::{edited, groove};
use house::{STYLES, for_each_style};
use proptest::prelude::*;
use std::collections::BTreeMap;
use std::sync::LazyLock;
use stickleback::lesson::{Style, likeness::model};
use stickleback::rhythm::{Edit, Groove, Lane, LaneHead, Pattern, Stroke};
use stickleback::role::Role;
use stickleback::style::licence::licensed;
use stickleback::style::likeness::{Likeness, StyleModel, fingerprint::Fingerprint, likeness, reading::scaled};

const VARIATIONS: u64 = 200;

static MODELS: LazyLock<Vec<StyleModel>> = LazyLock::new(|| STYLES.iter().map(model).collect());

fn judged(groove: &Groove) -> Likeness {
    likeness(groove, &MODELS, None)
}

/// The rank of a style, from 0; one more than the last where it is not among them.
fn rank(found: &Likeness, style: &str) -> usize {
    found.leanings.iter().position(|leaning| leaning.style.as_str() == style).unwrap_or(found.leanings.len())
}

fn varied(style: &Style, seed: u64) -> Groove {
    let range = (style.tempo_range.slowest, style.tempo_range.fastest);
    licensed(&style.groove, &style.hallmarks, range, None, seed)
}

fn told(found: &Likeness) -> String {
    let first = found.leanings.iter().take(3).map(|leaning| {
        let misfits = leaning.misfits.map(|misfit| (misfit * 100.0).round() / 100.0);
        format!("{} {:.2} {:?} {misfits:?}", leaning.style, leaning.confidence, leaning.writing)
    });
    format!("none {:.2}; {}", found.none, first.collect::<Vec<_>>().join("; "))
}

#[test]
fn every_reference_comes_first() {
    let missed: Vec<String> = STYLES
        .iter()
        .filter_map(|style| {
            let found = judged(&style.groove);
            let leads = found.leader().is_some_and(|leader| leader.style == style.id);
            (!leads).then(|| format!("{}: {}", style.id, told(&found)))
        })
        .collect();
    assert!(missed.is_empty(), "{}", missed.join("\n"));
}

#[test]
fn variations_within_their_licence_keep_their_style() {
    let results = for_each_style(|style| {
        let found = (0..VARIATIONS).map(|seed| {
            let found = judged(&varied(style, seed));
            let first = found.leanings.first().map(|first| (first.style.as_str().to_owned(), first.confidence));
            (rank(&found, style.id.as_str()), first, found.none, found.ties.contains(&style.id))
        });
        found.collect::<Vec<_>>()
    });
    let all = results.iter().map(Vec::len).sum::<usize>() as f64;
    let ranks: Vec<usize> = results.iter().flatten().map(|result| result.0).collect();
    let within = |most: usize| ranks.iter().filter(|&&rank| rank < most).count() as f64 / all;
    println!("named as ties, for want of sound:");
    for style in STYLES.iter() {
        let ties = judged(&style.groove).ties;
        if !ties.is_empty() {
            println!("  {} with {ties:?}", style.id);
        }
    }
    println!("first {:.4}, within three {:.4} of {all} variations, sound withheld", within(1), within(3));
    let mut confused: BTreeMap<(&str, &str), u32> = BTreeMap::new();
    for (style, results) in STYLES.iter().zip(&results) {
        for first in results.iter().filter(|result| result.0 > 0).filter_map(|result| result.1.as_ref()) {
            *confused.entry((style.id.as_str(), first.0.as_str())).or_default() += 1;
        }
    }
    println!("taken for another (of {VARIATIONS} each):");
    confused.iter().for_each(|((style, other), count)| println!("  {style:28} as {other:28} {count:4}"));
    println!("sure       said   right   of");
    let mut off = 0.0;
    for bin in 0..10 {
        let inside = |sure: f64| ((sure * 10.0) as usize).min(9) == bin;
        let of: Vec<(f64, bool)> = results
            .iter()
            .flatten()
            .filter_map(|result| {
                let (_, sure) = result.1.as_ref()?;
                inside(*sure).then_some((*sure, result.0 == 0))
            })
            .collect();
        if of.is_empty() {
            continue;
        }
        let count = of.len() as f64;
        let said = of.iter().map(|(sure, _)| sure).sum::<f64>() / count;
        let right = of.iter().filter(|(_, right)| *right).count() as f64 / count;
        off += (said - right).abs() * count / all;
        println!("{:.1} to {:.1} {said:6.3} {right:6.3} {count:6}", bin as f64 / 10.0, (bin + 1) as f64 / 10.0);
    }
    let refused = results.iter().flatten().filter(|result| result.1.as_ref().is_none_or(|(_, sure)| *sure <= result.2));
    println!("off by {off:.3} on the whole; called none {}", refused.count());
    assert!(within(1) >= 0.95, "first {}", within(1));
    assert!(within(3) >= 0.995, "within three {}", within(3));
    assert!(off < 0.05, "confidence off by {off}");
}

/// The same loop, begun `bars` later.
fn turned(groove: &Groove, bars: u8) -> Groove {
    let pattern = &groove.pattern;
    let by = pattern.metre().bar().times(i64::from(bars % pattern.bars()));
    let lanes = pattern.lanes().iter().map(|lane| {
        let turn = |stroke: &Stroke| Stroke { at: (stroke.at - by).rem_euclid(pattern.length()), ..stroke.clone() };
        Lane::with_strokes(lane.head, lane.strokes().iter().map(turn))
    });
    let pattern = Pattern::new(pattern.metre().clone(), pattern.bars(), lanes.collect()).unwrap();
    Groove { pattern, ..groove.clone() }
}

/// Snare and clap change their names.
fn exchanged(groove: &Groove) -> Groove {
    let edits = groove.pattern.lanes().iter().filter_map(|lane| {
        let role = match lane.head.role {
            Role::Snare => Role::Clap,
            Role::Clap => Role::Snare,
            _ => return None,
        };
        Some(Edit::SetHead(lane.id, LaneHead { role, ..lane.head }))
    });
    edited(groove, Edit::Several(edits.collect()))
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, rng_seed: proptest::test_runner::RngSeed::Fixed(7), ..ProptestConfig::default() })]

    #[test]
    fn writing_it_otherwise_changes_nothing(which in 0_usize..1000, seed in 1000_u64..9000, bars in 0_u8..8) {
        let style = &STYLES[which % STYLES.len()];
        let groove = varied(style, seed);
        let leader = |groove: &Groove| judged(groove).leader().map(|leader| leader.style.as_str().to_owned());
        let plain = leader(&groove);
        prop_assert_eq!(leader(&turned(&groove, bars)), plain.clone(), "turned by {} bars", bars);
        for (up, down) in [(2, 1), (1, 2)] {
            // Swing is written in pairs of eighths or sixteenths: what sways in longer or shorter pairs cannot be written.
            let feel = &groove.feel;
            let sways = feel.swing() != feel.neutral() || !feel.shifts().is_empty();
            let kept = |written: &Groove| !sways || written.feel.pair().0 * down == feel.pair().0 * up;
            if let Some(written) = scaled(&groove, up, down).filter(kept) {
                prop_assert_eq!(leader(&written), plain.clone(), "written {}:{}", up, down);
            }
        }
        let other = leader(&exchanged(&groove));
        let first = judged(&exchanged(&groove));
        prop_assert!(other == plain || first.leanings.iter().take(2).any(|leaning| Some(leaning.style.as_str()) == plain.as_deref()),
            "snare for clap: {:?} became {}", plain, told(&first));
    }
}

#[test]
fn grooves_of_no_style() {
    let check = |what: &str, groove: Groove| {
        let found = judged(&groove);
        assert!(found.leader().is_none(), "{what}: {}", told(&found));
        let sum = found.none + found.leanings.iter().map(|leaning| leaning.confidence).sum::<f64>();
        assert!((sum - 1.0).abs() < 1e-9, "{what}: shares sum to {sum}");
    };
    check("nothing at all", groove(120.0, "4/4", 1, &[]));
    check("an empty lane", groove(120.0, "4/4", 1, &[("kick", 240, "................")]));
    check("hats alone", groove(117.0, "4/4", 1, &[("hat-closed", 960, "xxxx")]));
    check("one stroke", groove(60.0, "4/4", 1, &[("snare", 240, "......x.........")]));
    let five = [("kick", 480, "x..x."), ("snare", 480, "..x.x"), ("hat-closed", 480, "xx.x.")];
    check("five eighths", groove(190.0, "5/8", 1, &five));
    let rows = [
        ("kick", 240, "..x.x....xx....x"),
        ("snare", 240, "x..x..x....x..x."),
        ("hat-closed", 240, ".x....x.x...x..x"),
    ];
    check("strokes at random", groove(199.0, "4/4", 1, &rows));
}

#[test]
fn the_bound_is_never_above_the_distance() {
    let prints: Vec<Fingerprint> = STYLES.iter().map(|style| Fingerprint::of(&style.groove.pattern)).collect();
    for a in &prints {
        for b in &prints {
            for pitched in [false, true] {
                assert!(a.bound(b, pitched) <= a.distance(b, pitched) + 1e-12);
            }
        }
    }
}
