//! Foils, neighbours and implications of all styles: what the files claim is judged, with the sound of their kits.
//!
//! `cargo test --no-default-features --test foils -- --nocapture` also prints what is missing and what is not declared.

#![allow(clippy::unwrap_used, clippy::panic, clippy::print_stdout, reason = "tests, and their tables")]

mod grooves;
mod house;

use grooves::{change, edited, groove};
use house::{STYLES, for_each_style, sound};
use std::collections::HashMap;
use stickleback::lesson::Style;
use stickleback::rhythm::{
    Bpm, Edit, Feel, Groove, Lane, LaneHead, LaneId, Lean, Metre, Stroke, Swing, Tempo, Tick, Written,
};
use stickleback::style::contrast::audible::Audible;
use stickleback::style::foils::{FoilFault, Joining, exaggerate, implies, outcomes, undo};
use stickleback::style::licence::{Dice, licensed};
use stickleback::style::{Outcome, Rank};

#[test]
fn foils_break_their_hallmark_and_only_what_implies_it_and_are_heard() {
    let mut wrong = Vec::new();
    let (mut foils, mut missing, mut exaggerated) = (0, 0, 0);
    for style in STYLES.iter() {
        for (id, undone) in undo(&style.hallmarks, &style.groove, Some(&sound)) {
            foils += 1;
            match undone {
                Ok(undone) => {
                    exaggerated += usize::from(undone.demonstration.exaggerated.is_some());
                    wrong.extend(undone.faults().iter().map(|fault| format!("{} {id}: {fault:?}", style.id)));
                }
                Err(error) => wrong.push(format!("{} {id}: does not fit, {error}", style.id)),
            }
        }
        let without: Vec<&str> =
            style.hallmarks.iter().filter(|hallmark| hallmark.foil.is_none()).map(|own| own.id.as_str()).collect();
        missing += without.len();
        // A lesson undoes what makes its style.
        let written = style.hallmarks.len() - without.len();
        if written * 4 < style.hallmarks.len() * 3 {
            wrong.push(format!("{}: {written} foils, missing for {without:?}", style.id));
        }
        if !without.is_empty() {
            println!("{}: no foil for {without:?}", style.id);
        }
    }
    println!("{foils} foils judged, {exaggerated} of them exaggerated first, {missing} missing");
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn each_neighbour_fails_a_signature() {
    let by_id: HashMap<&str, &Style> = STYLES.iter().map(|style| (style.id.as_str(), style)).collect();
    let mut wrong = Vec::new();
    for style in STYLES.iter() {
        for neighbour in &style.neighbours {
            let other = by_id[neighbour.id.as_str()];
            let outcomes = outcomes(&style.hallmarks, &other.groove, Some(&sound));
            let fails = style.hallmarks.iter().zip(outcomes);
            // What does not apply (a beat its bars do not have) supports nothing either.
            let lacks = |outcome: &Outcome| matches!(outcome, Outcome::Fails | Outcome::DoesNotApply);
            let fails = fails.filter(|(own, outcome)| own.rank == Rank::Signature && lacks(outcome));
            if fails.count() == 0 {
                wrong.push(format!("{} has every signature of {}", neighbour.id, style.id));
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

/// A groove with some of its strokes, lanes and figures changed as nobody would, partly to those of other grooves: to find
/// what can fail alone.
fn mangled(groove: &Groove, others: &[Groove], seed: u64) -> Groove {
    let mut dice = Dice::new(seed);
    let mut mangled = groove.clone();
    for _ in 0..=dice.below(6) {
        let lanes = mangled.pattern.lanes();
        if lanes.is_empty() {
            break;
        }
        let lane = lanes[dice.below(lanes.len())].clone();
        let places = (mangled.pattern.length().0 / lane.head.pulse.0) as usize;
        let at = lane.head.pulse.times(dice.below(places) as i64);
        let loudness = [mangled.dynamics.accent, mangled.dynamics.plain, mangled.dynamics.ghost][dice.below(3)];
        let other = &others[dice.below(others.len())];
        let edit = match dice.below(12) {
            0 => Edit::RemoveLane(lane.id),
            1 => Edit::SetTempo(mangled.tempo.at(Bpm::clamped(mangled.tempo.bpm.get() * (0.6 + dice.share())))),
            2 => {
                let swing = Swing::from_percent(50.0 + 20.0 * dice.share()).unwrap();
                Edit::SetFeel(mangled.feel.with_swing(swing))
            }
            3 | 4 if !lane.strokes().is_empty() => {
                Edit::Clear(lane.id, lane.strokes()[dice.below(lane.strokes().len())].at)
            }
            5 => {
                let thinned = lane.strokes().iter().filter(|_| dice.share() < 0.5);
                Edit::Several(thinned.map(|stroke| Edit::Clear(lane.id, stroke.at)).collect())
            }
            6 => Edit::SetMetre(other.pattern.metre().clone()),
            7 => Edit::SetSound(other.sound.clone()),
            8 if !other.pattern.lanes().is_empty() => {
                let lanes = other.pattern.lanes();
                let lane = lanes[dice.below(lanes.len())].clone();
                Edit::AddLane(0, Lane::with_strokes(lane.head, lane.strokes().to_vec()))
            }
            9 => Edit::SetHead(lane.id, LaneHead { lean: Lean::from_ms(dice.around(30.0)).unwrap(), ..lane.head }),
            _ => Edit::Put(lane.id, Stroke::new(at, loudness)),
        };
        // A lane of other bars may not fit.
        let _ = mangled.apply(&edit);
    }
    mangled
}

/// Grooves to judge hallmarks over: all references, foils and variants.
fn corpus() -> Vec<Groove> {
    let of = |style: &Style| {
        let foils = style.hallmarks.iter().filter_map(|hallmark| hallmark.foil.as_ref().map(|foil| &foil.change));
        let all = foils.chain(style.variants.iter().map(|variant| &variant.change));
        let changed = all.map(|change| change.over(&style.groove).unwrap());
        core::iter::once(style.groove.clone()).chain(changed).collect::<Vec<_>>()
    };
    STYLES.iter().flat_map(of).collect()
}

#[test]
fn what_hallmarks_imply_is_declared() {
    const VARIATIONS: u64 = 20;
    const MANGLED: u64 = 240;
    let corpus = corpus();
    let found = for_each_style(|style| {
        let range = (style.tempo_range.slowest, style.tempo_range.fastest);
        let varied = (0..VARIATIONS).map(|seed| licensed(&style.groove, &style.hallmarks, range, None, seed));
        let mangled = (0..MANGLED).map(|seed| mangled(&style.groove, &corpus, seed));
        // The mangled ones come last: they only clear hallmarks of what nobody has declared.
        let varied: Vec<Groove> = varied.collect();
        let lawful = varied.len() + corpus.len();
        let mangled: Vec<Groove> = mangled.collect();
        let all = varied.iter().chain(&corpus).chain(&mangled);
        let judged: Vec<Vec<Outcome>> = all.map(|groove| outcomes(&style.hallmarks, groove, Some(&sound))).collect();
        let count = style.hallmarks.len();
        // How often the one holds while the other does not, among lawful grooves and among all; and how often the one holds.
        let (mut against, mut ever, mut holds) =
            (vec![vec![0; count]; count], vec![vec![0; count]; count], vec![0; count]);
        for (index, outcomes) in judged.iter().enumerate() {
            for (a, _) in outcomes.iter().enumerate().filter(|(_, outcome)| **outcome == Outcome::Holds) {
                holds[a] += 1;
                for (b, outcome) in outcomes.iter().enumerate().filter(|(_, outcome)| **outcome != Outcome::Holds) {
                    ever[a][b] += 1;
                    against[a][b] += usize::from(index < lawful && *outcome == Outcome::Fails);
                }
            }
        }
        (against, ever, holds, judged.len())
    });
    let (mut wrong, mut undeclared, mut grooves) = (Vec::new(), Vec::new(), 0);
    for (style, (against, ever, holds, judged)) in STYLES.iter().zip(&found) {
        grooves += judged;
        for (a, own) in style.hallmarks.iter().enumerate() {
            for (b, other) in style.hallmarks.iter().enumerate().filter(|&(b, _)| b != a) {
                let declared = implies(&style.hallmarks, &own.id, &other.id);
                let always = ever[a][b] == 0 && holds[a] >= 20;
                let back = ever[b][a] == 0 && holds[b] >= 20;
                let told = format!("{}: {} implies {}", style.id, own.id, other.id);
                if declared && against[a][b] > 0 {
                    wrong.push(format!("{told}, and does not in {} of {} grooves", against[a][b], holds[a]));
                } else if always && back && a < b {
                    wrong.push(format!("{told} and the other way round: one hallmark"));
                } else if always && !declared {
                    undeclared.push(format!("{told} in all {} grooves where it holds", holds[a]));
                }
            }
        }
    }
    println!("{grooves} judgements; implications seen and not declared:");
    undeclared.iter().for_each(|told| println!("  {told}"));
    assert!(wrong.is_empty(), "{wrong:#?}");
}

// The tools themselves, on grooves written by hand.

fn beat() -> Groove {
    groove(100.0, "4/4", 1, &[("hat-closed", 240, "xxxxxxxxxxxxxxxx"), ("snare", 240, "....x.......x...")])
}

fn swung(groove: &Groove, percent: f64) -> Groove {
    let feel = Feel::new(Tick(480), Written::Straight, Swing::from_percent(percent).unwrap(), Vec::new()).unwrap();
    edited(groove, Edit::SetFeel(feel))
}

#[test]
fn how_a_foil_comes_in() {
    let beat = beat();
    let lane = beat.pattern.lanes()[1].id;
    let other = groove(100.0, "4/4", 1, &[("snare", 240, "....x...........")]);
    for (to, want) in [
        (edited(&beat, Edit::Clear(lane, Tick(960))), Joining::KeepsPhase),
        (swung(&beat, 60.0), Joining::KeepsPhase),
        (other, Joining::KeepsPhase),
        (edited(&beat, Edit::SetTempo(Tempo::quarters(Bpm::new(120.0).unwrap()))), Joining::KeepsPosition),
        // The same speed, counted in halves.
        (edited(&beat, Edit::SetTempo(beat.tempo.counted_in(Tick(1920)).unwrap())), Joining::KeepsPhase),
        (edited(&beat, Edit::SetBars(2)), Joining::WaitsForTheBar),
        (edited(&beat, Edit::SetMetre(Metre::parse("3/4").unwrap())), Joining::WaitsForTheBar),
    ] {
        assert_eq!(Joining::of(&beat, &to), want);
    }
}

#[track_caller]
fn check_heard(to: &Groove, strokes: usize, shift_ms: f64, tempo: f64, clear: bool) {
    let heard = Audible::between((&beat(), None), (to, None));
    assert_eq!(heard.strokes, strokes);
    assert!((heard.shift_ms - shift_ms).abs() < 0.01, "{}", heard.shift_ms);
    assert!((heard.tempo_percent - tempo).abs() < 0.01, "{}", heard.tempo_percent);
    assert_eq!(heard.is_clear(), clear);
}

#[test]
fn what_is_heard() {
    let beat = beat();
    let lane = |index: usize| beat.pattern.lanes()[index].id;
    let tempo = |bpm: f64| edited(&beat, Edit::SetTempo(beat.tempo.at(Bpm::new(bpm).unwrap())));
    check_heard(&beat, 0, 0.0, 0.0, false);
    check_heard(&edited(&beat, Edit::Clear(lane(1), Tick(960))), 1, 0.0, 0.0, true);
    check_heard(&edited(&beat, Edit::RemoveLane(lane(1))), 2, 0.0, 0.0, true);
    // A pair of sixteenths lasts 300 ms at 100 BPM.
    check_heard(&swung(&beat, 55.0), 0, 15.0, 0.0, false);
    check_heard(&swung(&beat, 60.0), 0, 30.0, 0.0, true);
    check_heard(&tempo(104.0), 0, 0.0, 4.0, false);
    check_heard(&tempo(93.0), 0, 0.0, -7.0, true);
    let softer = change(&beat, 1, 960, |stroke| stroke.loudness = beat.dynamics.ghost);
    check_heard(&softer, 1, 0.0, 0.0, true);
    // 32 ticks are 20 ms.
    check_heard(&change(&beat, 1, 960, |stroke| stroke.nudge = Tick(32)), 0, 20.0, 0.0, false);
}

#[test]
fn small_shifts_are_exaggerated_until_they_are_heard() {
    let straight = beat();
    let light = swung(&straight, 54.0);
    let larger = exaggerate(&straight, &light).unwrap();
    assert!(larger.times > 2.0 && larger.style == straight && larger.foil.feel.swing() > light.feel.swing());
    assert!(Audible::between((&larger.style, None), (&larger.foil, None)).is_clear());
    // A straight foil has no room under it: the style swings more instead.
    let larger = exaggerate(&light, &straight).unwrap();
    assert!(larger.foil == straight && larger.style.feel.swing() > light.feel.swing());
    let leaning = |ms: f64| grooves::change_head(&straight, 1, |head| head.lean = Lean::from_ms(ms).unwrap());
    let larger = exaggerate(&leaning(10.0), &straight).unwrap();
    assert!(Audible::between((&larger.style, None), (&larger.foil, None)).shift_ms >= 25.0);
    assert_eq!(exaggerate(&straight, &straight), None);
    assert_eq!(exaggerate(&straight, &edited(&straight, Edit::Clear(LaneId(1), Tick(0)))), None);
}

#[test]
fn foils_at_fault_are_told() {
    let mut style = STYLES.iter().find(|style| style.id.as_str() == "techno").unwrap().clone();
    let id = |text: &str| text.parse().unwrap();
    let at = |style: &Style, name: &str| style.hallmarks.iter().position(|own| own.id.as_str() == name).unwrap();
    let (straight, tempo, kicks) = (at(&style, "straight"), at(&style, "tempo"), at(&style, "four-kicks"));
    let faults = |style: &Style, name: &str| {
        let undone = undo(&style.hallmarks, &style.groove, Some(&sound));
        undone.into_iter().find(|(own, _)| own.as_str() == name).unwrap().1.unwrap().faults()
    };
    assert_eq!(faults(&style, "straight"), []);
    // Another hallmark's foil keeps this one and breaks the other; unless this one is said to follow from it.
    style.hallmarks[straight].foil = style.hallmarks[tempo].foil.clone();
    assert_eq!(faults(&style, "straight"), [FoilFault::Kept(Outcome::Holds), FoilFault::Breaks(vec![id("tempo")])]);
    style.hallmarks[tempo].implies = vec![id("straight")];
    assert_eq!(faults(&style, "straight"), [FoilFault::Kept(Outcome::Holds)]);
    assert!(implies(&style.hallmarks, &id("tempo"), &id("straight")));
    assert!(!implies(&style.hallmarks, &id("straight"), &id("tempo")));
    // A foil that only takes the drums away from an optional change of loudness: nothing is heard of another tempo of 1 %.
    let mut foil = style.hallmarks[kicks].foil.clone().unwrap();
    foil.change = stickleback::style::Variation {
        tempo: Some(style.groove.tempo.at(Bpm::clamped(style.groove.tempo.bpm.get() * 1.01))),
        ..Default::default()
    };
    style.hallmarks[kicks].foil = Some(foil);
    assert_eq!(faults(&style, "four-kicks"), [FoilFault::Kept(Outcome::Holds), FoilFault::Inaudible]);
}
