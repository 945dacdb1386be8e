//! Words about guided builds: what stands already, what is still too high, too short, too clean.

use super::matching::{Degree, off};
use crate::lesson::builds::{BuildStage, Goal, Handle, Standing};
use crate::synth::Patch;
use crate::synth::dials::Dial;

/// Fixed words of the section.
pub mod controls {
    #![allow(missing_docs, reason = "each constant is named after the words it holds")]
    pub const HEADING: &str = "Guided builds";
    pub const LEAD: &str = "Make a sound yourself, one part after the other.";
    pub const LIST: &str = "Builds";
    pub const BUILD: &str = "Build";
    pub const WHOSE: &str = "In the build:";
    pub const MADE: &str = "made";
    pub const HEAR_PARTS: &str = "Hear this stage";
    pub const HEAR_WHOLE: &str = "Hear the whole sound";
    pub const CHECK: &str = "Check this stage";
    pub const HINT: &str = "Give me a hint";
    pub const ANOTHER_HINT: &str = "Another hint";
    pub const SHOW: &str = "Set it for me";
    pub const AGAIN: &str = "Begin this stage again";
    pub const BACK: &str = "Stage before";
    pub const NEXT: &str = "Next stage";
    pub const USE: &str = "Use what I built in my draft";
    pub const WHOLE: &str = "The whole sound plays.";
}

/// The name of a build in the list, before its file is there: that of the file.
pub fn title(id: &str) -> &'static str {
    match id {
        "kick-from-layers" => "A kick from layers",
        "staged-kick" => "The distorted kick, in stages",
        "worn-snare" => "A worn snare",
        "gliding-sub" => "A sub that glides",
        _ => controls::BUILD,
    }
}

/// Which parts play: "Only the body plays.", "The click and the body play."
pub fn playing(parts: &[&str]) -> String {
    match parts {
        [] => controls::WHOLE.to_owned(),
        [one] => format!("Only the {one} plays."),
        [rest @ .., last] => {
            let rest: Vec<String> = rest.iter().map(|part| format!("the {part}")).collect();
            format!("Playing now: {} and the {last}.", rest.join(", "))
        }
    }
}

/// What a check of `stage` tells at `patch`; `last` if no stage comes after it. Checks are numbered, so that a second one
/// with the same outcome is read out, too.
pub fn checked(number: usize, stage: &BuildStage, patch: &Patch, last: bool) -> String {
    let open: Vec<String> = stage.goals.iter().filter_map(|goal| standing(goal, patch)).collect();
    let told = match (open.as_slice(), last) {
        ([], false) => "That is it: on to the next stage.".to_owned(),
        ([], true) => {
            "That is it, and the sound is made. Hear it whole, and use it in your draft if you like.".to_owned()
        }
        (open, _) => {
            let reached = stage.goals.len() - open.len();
            let begin = if reached > 0 { "Part of it stands." } else { "Not yet." };
            format!("{begin} {}", open.join(" "))
        }
    };
    format!("Check {number}. {told}")
}

/// What is missing to a goal: "It is a little too high."; nothing if it is reached.
pub fn standing(goal: &Goal, patch: &Patch) -> Option<String> {
    let (much, share) = match goal.standing(patch) {
        Standing::Reached => return None,
        Standing::Above(share) => (true, share),
        Standing::Below(share) => (false, share),
    };
    let degree = match share {
        share if share < 0.4 => Degree::Little,
        share if share > 2.0 => Degree::Far,
        _ => Degree::Plain,
    };
    Some(match &goal.of {
        Handle::Dial(dial) => format!("It {}.", off(*dial, much, degree)),
        Handle::Figure(name) => figure(name, much, degree),
    })
}

/// The same for a figure of a model: as its nearest dial would say it, or with a word of its own.
fn figure(name: &str, much: bool, degree: Degree) -> String {
    let near = match name {
        "pitch_hz" | "tone_hz" | "own_note" => Dial::Pitch,
        "decay_ms" | "body_ms" => Dial::Length,
        "drop_semitones" | "start_hz" => Dial::Drop,
        "swell_ms" | "attack_ms" => Dial::Swell,
        "noise_hz" | "growl_hz" | "low_pass_hz" | "bright_hz" | "finish.low_pass_hz" => Dial::Brightness,
        _ => {
            let (subject, too_much, too_little) = match name {
                "drop_ms" => ("Its fall is", "slow", "quick"),
                "body_drive" => ("Its body is", "rough", "tame"),
                "tail_drive" => ("Its tail is", "rough", "tame"),
                _ => ("One figure is", "great", "small"),
            };
            let degree = match degree {
                Degree::Little => "a little too",
                Degree::Plain => "too",
                Degree::Far => "far too",
            };
            return format!("{subject} {degree} {}.", if much { too_much } else { too_little });
        }
    };
    format!("It {}.", off(near, much, degree))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::lesson::builds::{BUILD_IDS, Build, read_build};

    fn build(id: &str) -> Build {
        let file = format!("{}/lessons/builds/{id}.json", env!("CARGO_MANIFEST_DIR"));
        read_build(&std::fs::read_to_string(file).unwrap()).unwrap()
    }

    #[test]
    fn the_list_says_what_the_files_say() {
        for id in BUILD_IDS {
            assert_eq!(title(id), build(id).title);
        }
    }

    #[test]
    fn parts_are_named_as_they_play() {
        let check = |parts: &[&str], expected: &str| assert_eq!(playing(parts), expected);
        check(&[], "The whole sound plays.");
        check(&["body"], "Only the body plays.");
        check(&["body", "tail"], "Playing now: the body and the tail.");
        check(&["click", "body", "tail"], "Playing now: the click, the body and the tail.");
    }

    #[test]
    fn a_check_says_what_is_missing() {
        let check = |id: &str, stage: usize, moves: &[(&str, f64)], last: bool, expected: &str| {
            let build = build(id);
            let patch = moves.iter().fold(build.start.patch, |patch, (name, to)| {
                let handle = Dial::named(name).map_or_else(|| Handle::Figure((*name).to_owned()), Handle::Dial);
                handle.put(&patch, *to)
            });
            assert_eq!(checked(2, &build.stages[stage], &patch, last), expected, "{id} {stage}");
        };
        check("kick-from-layers", 0, &[], false, "Check 2. Not yet. It is far too high.");
        check("kick-from-layers", 0, &[("pitch_hz", 44.0)], false, "Check 2. Not yet. It is a little too low.");
        check("kick-from-layers", 0, &[("pitch", 21.6)], false, "Check 2. That is it: on to the next stage.");
        check("kick-from-layers", 3, &[("attack", 75.0)], false, "Check 2. Not yet. It begins a little too hard.");
        check("staged-kick", 4, &[], false, "Check 2. Not yet. It comes too slowly.");
        check("staged-kick", 5, &[], true, "Check 2. Not yet. Its tail is too tame. It is a little too dark.");
        check("staged-kick", 5, &[("tail_drive", 0.75)], true, "Check 2. Part of it stands. It is a little too dark.");
        check("gliding-sub", 4, &[("drop_ms", 250.0)], false, "Check 2. Not yet. Its fall is a little too slow.");
    }

    #[test]
    fn every_goal_of_every_build_is_spoken_of_by_its_name() {
        for id in BUILD_IDS {
            let build = build(id);
            for goal in build.stages.iter().flat_map(|stage| &stage.goals) {
                let text = match &goal.of {
                    Handle::Dial(dial) => off(*dial, true, Degree::Plain),
                    Handle::Figure(name) => figure(name, true, Degree::Plain),
                };
                assert!(!text.starts_with("One figure"), "{id}: {goal:?}");
            }
        }
    }
}
