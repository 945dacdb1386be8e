//! The guided builds: every file reads, every stage has something left to do and can be done, and faults are located.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test may stop at the first surprise")]

use std::fs;
use std::path::Path;

use stickleback::lesson::builds::{BUILD_IDS, Build, Handle, Standing, read_build};
use stickleback::synth::dials::dials;
use stickleback::synth::{LAYERS, Part, Voicing, parts, render};

fn text(id: &str) -> String {
    fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("lessons/builds/{id}.json"))).unwrap()
}

fn builds() -> Vec<Build> {
    let read = |id: &&str| read_build(&text(id)).unwrap_or_else(|faults| panic!("{id}: {faults:#?}"));
    BUILD_IDS.iter().map(read).collect()
}

#[test]
fn every_file_in_the_folder_is_offered_under_its_own_name() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("lessons/builds");
    let mut found: Vec<String> = fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap().replace(".json", ""))
        .collect();
    found.sort();
    let mut offered = BUILD_IDS.map(str::to_owned);
    offered.sort();
    assert_eq!(found, offered);
    for (build, id) in builds().iter().zip(BUILD_IDS) {
        assert_eq!(build.id, id);
        assert_eq!(build.start.patch.check(), Ok(()), "{id}");
    }
}

#[test]
fn every_stage_is_undone_at_its_start_and_done_by_its_solution() {
    for build in builds() {
        assert!((4..=6).contains(&build.stages.len()), "{}", build.id);
        let mut patch = build.start.patch;
        for (i, stage) in build.stages.iter().enumerate() {
            let name = format!("{}, {}", build.id, stage.title);
            assert!((2..=3).contains(&stage.hints.len()), "{name}");
            for goal in &stage.goals {
                let standing = goal.standing(&patch);
                assert_ne!(standing, Standing::Reached, "{name}: {goal:?} holds at the start");
                let (Standing::Below(by) | Standing::Above(by)) = standing else { continue };
                assert!(by > 0.1, "{name}: {goal:?} all but holds at the start");
            }
            assert!(!stage.is_reached(&patch), "{name}");
            for (handle, _) in &stage.solution {
                assert!(stage.moves.contains(handle), "{name}: {handle:?} is not there to be moved");
            }
            let solved = stage.solve(&patch);
            for goal in &stage.goals {
                assert_eq!(goal.standing(&solved), Standing::Reached, "{name}: {goal:?} {:?}", goal.of.read(&solved));
            }
            assert_eq!(solved.check(), Ok(()), "{name}");
            // What a stage asks for stays true to the end: nobody is told that good work is undone.
            for earlier in &build.stages[..i] {
                assert!(earlier.is_reached(&solved), "{name} undoes {}", earlier.title);
            }
            // A part one is told to hear is there by the end of the stage.
            for part in &stage.heard {
                assert!(parts(&solved).contains(part), "{name}: no {}", part.id());
            }
            // What is moved is heard.
            let hear = |patch| {
                render(
                    patch,
                    &Voicing { layer: LAYERS - 1, pitches: &[], variation: 0, rate: 48_000, length: Some(1.0) },
                )
            };
            assert_ne!(hear(&patch), hear(&solved), "{name}");
            patch = solved;
        }
    }
}

#[test]
fn dials_named_in_a_stage_are_dials_of_the_voice() {
    for build in builds() {
        for stage in &build.stages {
            for handle in &stage.moves {
                if let Handle::Dial(dial) = handle {
                    assert!(dials(&build.start.patch).contains(dial), "{}: {}", build.id, dial.id());
                }
            }
        }
    }
}

fn check(old: &str, new: &str, expected: &[&str]) {
    let own = text("worn-snare");
    let changed = own.replacen(old, new, 1);
    assert_ne!(own, changed, "the file has no {old}");
    let faults: Vec<String> = read_build(&changed)
        .map(|_| Vec::new())
        .unwrap_or_else(|faults| faults.iter().map(ToString::to_string).collect());
    assert_eq!(faults, expected, "{old} -> {new}");
}

#[test]
fn each_fault_of_a_file_is_told_with_its_place() {
    check("\"build\"", "\"kit\"", &["kind: expected one of \"build\", found the text \"kit\"."]);
    check("\"snare\",\n  \"start\"", "\"snore\",\n  \"start\"", &["role: expected a role, found the text \"snore\"."]);
    check("\"title\": \"Dry it\",", "", &["stages[1].title: expected here, but missing."]);
    check(
        "\"noise\"\n      ],\n      \"move\"",
        "\"nose\"\n      ],\n      \"move\"",
        &[
            "stages[0].heard[1]: expected one of \"click\", \"body\", \"tail\", \"overtones\", \"noise\", found the text \"nose\".",
        ],
    );
    check(
        "\"move\": [\n        \"length\"",
        "\"move\": [\n        \"drop\"",
        &["stages[1].move[0]: expected a dial or figure of this voice, found the text \"drop\"."],
    );
    check("\"from\": 110", "\"from\": 5", &["stages[1].goals[0].from: expected a number from 20 to 3000, found 5."]);
    check("\"to\": 210", "\"to\": 100", &["stages[1].goals[0].to: expected a number from 110 to 3000, found 100."]);
    check(
        "\"attack\": 48",
        "\"attack\": 480",
        &["stages[2].solution.attack: expected a number from 0 to 100, found 480."],
    );
}

#[test]
fn parts_have_distinct_names() {
    let mut names = Part::ALL.map(Part::id);
    names.sort_unstable();
    assert!(names.windows(2).all(|pair| pair[0] != pair[1]));
}
