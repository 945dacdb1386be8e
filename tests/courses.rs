//! Courses: what stages make of a groove, how tasks are judged, and the laws every staged lesson keeps.

#![allow(clippy::unwrap_used, clippy::panic, reason = "helpers of tests")]

use std::collections::HashMap;
use std::fs;
use std::path::Path;
use stickleback::lesson::{Course, CourseStage, Exercise, Finding, Style, TaskVerdict, style_file};
use stickleback::rhythm::{
    Bpm, Edit, Groove, LaneId, Lean, Place, Strength, Stroke, StrokeId, Swing, Tick, edits_between,
};
use stickleback::role::Role;

/// A whole style with a staged lesson, invented.
const HARBOUR_SKIP: &str = include_str!("courses/harbour-skip.json");

fn harbour() -> Style {
    style_file::read(HARBOUR_SKIP).unwrap_or_else(|faults| panic!("{faults:?}"))
}

/// Every style of the program whose lesson is staged.
fn staged() -> Vec<(Style, Course)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("lessons/styles");
    let mut files: Vec<_> = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    files.sort();
    let read = |path: &std::path::PathBuf| {
        let style = style_file::read(&fs::read_to_string(path).unwrap()).unwrap();
        style.lesson.staged().is_some().then_some(style)
    };
    let styles: Vec<Style> = files.iter().filter_map(read).chain([harbour()]).collect();
    styles.into_iter().map(|style| (style.clone(), Course::of(&style).unwrap())).collect()
}

fn exercises(course: &Course) -> impl Iterator<Item = (&CourseStage, &Exercise)> {
    course.stages.iter().filter_map(|stage| Some((stage, stage.exercise.as_ref()?)))
}

/// A small fixed source of randomness (splitmix64; Steele, Lea and Flood, 2014).
struct Dice(u64);

impl Dice {
    fn below(&mut self, sides: usize) -> usize {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) % sides as u64) as usize
    }
}

/// What edits change of a groove, as a learner's hand may reach for it at random.
#[derive(Clone, Copy, PartialEq)]
enum Handle {
    Lane(LaneId),
    Head(LaneId),
    Tempo,
    Feel,
    Sound,
}

fn handles(edits: &[Edit]) -> Vec<Handle> {
    let mut handles = Vec::new();
    for edit in edits {
        let handle = match edit {
            Edit::Put(lane, _) | Edit::Clear(lane, _) | Edit::RemoveLane(lane) => Handle::Lane(*lane),
            Edit::AddLane(_, lane) => Handle::Lane(lane.id),
            Edit::SetHead(lane, _) => Handle::Head(*lane),
            Edit::SetTempo(_) => Handle::Tempo,
            Edit::SetFeel(_) => Handle::Feel,
            Edit::SetSound(_) => Handle::Sound,
            other => panic!("no solution does this: {other:?}"),
        };
        if !handles.contains(&handle) {
            handles.push(handle);
        }
    }
    handles
}

/// How many places a handle reaches.
fn reach(groove: &Groove, handle: Handle) -> usize {
    match handle {
        Handle::Lane(id) => {
            let lane = groove.pattern.lane(id);
            lane.map_or(0, |lane| (groove.pattern.length().0 / lane.head.pulse.0) as usize)
        }
        _ => 1,
    }
}

/// `groove` after `count` random edits with these handles: strokes put on a pulse of a lane or taken from it, or another
/// lean, tempo or swing. Each place is reached for once at most.
fn random_edits(groove: &Groove, handles: &[Handle], count: usize, dice: &mut Dice) -> Groove {
    let places = |&handle: &Handle| (0..reach(groove, handle)).map(move |place| (handle, place));
    let mut left: Vec<(Handle, usize)> = handles.iter().flat_map(places).collect();
    let mut groove = groove.clone();
    for _ in 0..count.min(left.len()) {
        let (handle, place) = left.swap_remove(dice.below(left.len()));
        let edit = match handle {
            Handle::Lane(id) => {
                let lane = groove.pattern.lane(id).unwrap();
                let at = lane.head.pulse.times(place as i64);
                let strength = [Strength::Ghost, Strength::Plain, Strength::Accent][dice.below(3)];
                match lane.at(at) {
                    Some(_) => Edit::Clear(id, at),
                    None => Edit::Put(id, Stroke::new(at, groove.dynamics.loudness(strength))),
                }
            }
            Handle::Head(id) => {
                let mut head = groove.pattern.lane(id).unwrap().head;
                head.lean = Lean::from_ms(dice.below(121) as f64 - 60.0).unwrap();
                Edit::SetHead(id, head)
            }
            Handle::Tempo => Edit::SetTempo(groove.tempo.at(Bpm::new(40.0 + dice.below(181) as f64).unwrap())),
            Handle::Feel => {
                Edit::SetFeel(groove.feel.with_swing(Swing::from_percent(50.0 + dice.below(31) as f64).unwrap()))
            }
            Handle::Sound => Edit::SetSound(groove.sound.clone()),
        };
        groove.apply(&edit).unwrap();
    }
    groove
}

#[test]
fn every_staged_lesson_builds_the_whole_groove() {
    let all = staged();
    assert!(all.len() >= 7, "{}", all.len());
    for (style, course) in &all {
        let lacks = course.lacks();
        assert!(lacks.is_empty(), "{}: {lacks:?}", style.id);
    }
}

#[test]
fn lanes_and_strokes_keep_their_identities() {
    for (style, course) in staged() {
        let mut roles: HashMap<LaneId, Role> = HashMap::new();
        let mut strokes: HashMap<(LaneId, Tick), StrokeId> = HashMap::new();
        for stage in &course.stages {
            for lane in stage.target.pattern.lanes() {
                assert_eq!(*roles.entry(lane.id).or_insert(lane.head.role), lane.head.role, "{}", style.id);
                for stroke in lane.strokes() {
                    let id = *strokes.entry((lane.id, stroke.at)).or_insert(stroke.id);
                    assert_eq!(id, stroke.id, "{}: {}", style.id, lane.head.role);
                }
            }
            for (lane, stroke) in &stage.topic {
                assert!(stage.target.pattern.lane(*lane).and_then(|lane| lane.by_id(*stroke)).is_some());
            }
        }
    }
}

#[test]
fn every_stage_adds_something_or_asks_something() {
    for (style, course) in staged() {
        for pair in course.stages[1..].windows(2) {
            let id = pair[1].stage.as_ref().map(|stage| stage.id.as_str());
            assert!(pair[0].target != pair[1].target || pair[1].exercise.is_some(), "{} {id:?}", style.id);
        }
    }
}

#[test]
fn tasks_are_unsolved_at_their_start_and_solved_by_their_solution() {
    for (style, course) in staged() {
        for (stage, exercise) in exercises(&course) {
            let id = stage.stage.as_ref().map(|stage| stage.id.as_str());
            let Some(solution) = exercise.solution() else { continue };
            let start = exercise.judge(exercise.start(), None);
            assert!(!start.solved && !start.findings.is_empty(), "{} {id:?}", style.id);
            let end = exercise.judge(solution, None);
            assert!(end.solved && end.findings.is_empty(), "{} {id:?}: {end:?}", style.id);
        }
    }
}

#[test]
fn no_task_is_solved_by_chance() {
    let mut lucky = Vec::new();
    for (style, course) in staged() {
        for (stage, exercise) in exercises(&course) {
            let Some(solution) = exercise.solution() else { continue };
            let way = edits_between(exercise.start(), solution);
            let handles = handles(&way);
            let mut dice = Dice(5);
            let solved = (0..200).filter(|_| {
                let groove = random_edits(exercise.start(), &handles, way.len(), &mut dice);
                exercise.judge(&groove, None).solved
            });
            let solved = solved.count();
            if solved > 10 {
                let id = stage.stage.as_ref().map(|stage| stage.id.as_str());
                lucky.push(format!("{} {id:?}: {solved} of 200 with {} edits", style.id, way.len()));
            }
        }
    }
    assert!(lucky.is_empty(), "{lucky:#?}");
}

/// The groove after putting and taking strokes: `snare +1:2` and `snare -1:4`.
fn worked(groove: &Groove, hands: &[&str]) -> Groove {
    let mut groove = groove.clone();
    for hand in hands {
        let (role, rest) = hand.split_once(' ').unwrap();
        let lane = groove.pattern.lanes().iter().find(|lane| lane.head.role.id() == role).unwrap().id;
        let at = Place::parse(&rest[1..]).unwrap().tick(groove.pattern.metre()).unwrap();
        let edit = match &rest[..1] {
            "+" => Edit::Put(lane, Stroke::new(at, groove.dynamics.plain)),
            _ => Edit::Clear(lane, at),
        };
        groove.apply(&edit).unwrap();
    }
    groove
}

fn told(verdict: &TaskVerdict, groove: &Groove) -> Vec<String> {
    let place = |at: Tick| Place::of(at, groove.pattern.metre());
    let one = |finding: &Finding| match finding {
        Finding::Missing { role, at } => format!("{role} missing {}", place(*at)),
        Finding::Extra { role, at } => format!("{role} extra {}", place(*at)),
        Finding::Moved { role, at, by } => format!("{role} at {} moved {}", place(*at), by.0),
        Finding::Strength { role, at, is, wanted } => format!("{role} {is:?} not {wanted:?} {}", place(*at)),
        Finding::Unmet { found, .. } => format!("unmet {found:?}"),
    };
    let right = verdict.right.iter().map(|(role, at)| format!("{role} right {}", place(*at)));
    right.chain(verdict.findings.iter().map(one)).collect()
}

/// Judges the task of the stage `stage` after `hands` have worked on its start.
#[track_caller]
fn check(stage: &str, hands: &[&str], want: &[&str]) {
    let course = Course::of(&harbour()).unwrap();
    let named = |s: &&CourseStage| s.stage.as_ref().is_some_and(|s| s.id.as_str() == stage);
    let exercise = course.stages.iter().find(named).unwrap().exercise.clone().unwrap();
    let groove = worked(exercise.start(), hands);
    let verdict = exercise.judge(&groove, None);
    assert_eq!(told(&verdict, &groove), want);
    assert_eq!(verdict.solved, !want.iter().any(|told| !told.contains("right")), "{want:?}");
}

#[test]
fn built_grooves_are_judged_by_place() {
    let missing = ["snare missing 1:2", "snare missing 1:4", "snare missing 2:2", "snare missing 2:4"];
    check("snare", &[], &missing);
    check("snare", &["snare +1:2"], &["snare right 1:2", missing[1], missing[2], missing[3]]);
    check(
        "snare",
        &["snare +1:2", "snare +1:4", "snare +2:2", "snare +2:4"],
        &["snare right 1:2", "snare right 1:4", "snare right 2:2", "snare right 2:4"],
    );
    // Beside its place it has moved; far from any it is too much.
    check(
        "snare",
        &["snare +1:2 e", "snare +1:4", "snare +2:2", "snare +2:3"],
        &["snare right 1:4", "snare right 2:2", "snare at 1:2 moved 240", "snare extra 2:3", "snare missing 2:4"],
    );
    // Of two the nearer goes with the empty place.
    check(
        "late",
        &["snare +2:4 a"],
        &["snare right 1:2", "snare right 1:4", "snare right 2:2", "snare extra 2:4", "snare at 2:4 and moved 240"],
    );
}

#[test]
fn predictions_are_judged_by_place_alone() {
    check(
        "kick",
        &["kick +1:1", "kick +1:3 and", "kick +2:1", "kick +2:2 a", "kick +2:3 and"],
        &["kick right 1:1", "kick right 1:3 and", "kick right 2:1", "kick right 2:2 a", "kick right 2:3 and"],
    );
    check(
        "kick",
        &["kick +1:1", "kick +1:3", "kick +2:1", "kick +2:3 and", "kick +2:4 and"],
        &[
            "kick right 1:1",
            "kick right 2:1",
            "kick right 2:3 and",
            "kick at 1:3 and moved -480",
            "kick missing 2:2 a",
            "kick extra 2:4 and",
        ],
    );
    // Around the loop: the end of bar 2 lies before bar 1.
    check(
        "kick",
        &["kick +1:3 and", "kick +2:1", "kick +2:2 a", "kick +2:3 and", "kick +2:4 a"],
        &["kick right 1:3 and", "kick right 2:1", "kick right 2:2 a", "kick right 2:3 and", "kick at 1:1 moved -240"],
    );
}

#[test]
fn a_course_grows_from_nothing() {
    let style = harbour();
    let course = Course::of(&style).unwrap();
    assert_eq!(course.stages.len(), 5);
    assert_eq!(course.stages[0].target, style.groove);
    let lanes = |groove: &Groove| groove.pattern.lanes().iter().map(|lane| lane.head.role.id()).collect::<Vec<_>>();
    let [first, late, kick, swing] = &course.stages[1..] else { panic!() };
    assert_eq!(lanes(&first.target), ["snare"]);
    assert_eq!(lanes(&kick.target), ["hat-closed", "snare", "kick"]);
    assert_eq!(lanes(&swing.target), ["hat-closed", "snare", "kick", "bass"]);
    assert_eq!((late.topic.len(), kick.topic.len(), first.topic.len()), (1, 5 + 16, 4));
    let start = first.exercise.as_ref().unwrap().start();
    assert_eq!(lanes(start), ["snare"]);
    assert!(start.pattern.lanes()[0].strokes().is_empty());
    // What is asked for is strokes: the start has the feel of the target already, which is straighter than the style's own.
    assert_eq!((start.feel.swing().percent(), first.target.feel.swing().percent()), (50.0, 50.0));
    assert!(style.groove.feel.swing() > start.feel.swing());
    let Some(Exercise::Choose(choose)) = &swing.exercise else { panic!() };
    assert!(choose.is_right(0) && !choose.is_right(1) && !choose.is_right(3));
    assert_eq!(choose.then.as_ref().unwrap().feel.swing(), Swing::STRAIGHT);
}

#[test]
fn hints_come_in_order_and_the_last_one_stays() {
    let course = Course::of(&harbour()).unwrap();
    let hint = |stage: usize, given| course.stages[stage].exercise.as_ref().unwrap().hint(given);
    assert_eq!(hint(1, 0), Some((0, "Clap along.")));
    assert_eq!(hint(1, 2), Some((2, "On 2 and 4.")));
    assert_eq!(hint(1, 9), Some((2, "On 2 and 4.")));
    assert_eq!(hint(4, 0), None);
}

/// The faults of the harbour file with `old` replaced by `new`.
#[track_caller]
fn refuse(old: &str, new: &str, want: &str) {
    assert!(HARBOUR_SKIP.contains(old), "{old}");
    let faults = style_file::read(&HARBOUR_SKIP.replacen(old, new, 1)).err().unwrap_or_default();
    let told: Vec<String> = faults.iter().map(ToString::to_string).collect();
    assert_eq!(told, [want]);
}

#[test]
fn what_cannot_be_is_refused_with_its_place() {
    refuse(
        r#""lanes": ["snare"]"#,
        r#""lanes": ["clap"]"#,
        "lesson.stages[1].lanes: expected a role that has a lane there, found \"clap\".",
    );
    refuse(
        r#"[null, ["and of 4"]]"#,
        r#"[null, ["and of 5"]]"#,
        "lesson.stages[1].topic[0]: expected places where the stage has a stroke, found \"and of 5\".",
    );
    refuse(
        r#"[null, ["and of 4"]]"#,
        r#"[null, ["4"]]"#,
        "lesson.stages[1].topic[0]: expected places where the stage has a stroke, found \"4\".",
    );
    refuse(
        r#"[null, ["and of 4"]]"#,
        r#"[null, null, ["and of 4"]]"#,
        "lesson.stages[1].topic[0].phrase: expected at most 2 bars, found more.",
    );
    refuse(
        r#""topic": [{"role": "snare""#,
        r#""topic": [{"role": "kick""#,
        "lesson.stages[1].topic[0].role: expected a role that has a lane there, found \"kick\".",
    );
    refuse(
        r#""lane": "kick""#,
        r#""lane": "bass""#,
        "lesson.stages[2].task.lane: expected a role that has a lane there, found \"bass\".",
    );
    refuse(
        r#""answer": 0"#,
        r#""answer": 3"#,
        "lesson.stages[3].task.answer: expected a whole number from 0 to 2, found 3.",
    );
    refuse(
        r#""places": ["2", "4"]"#,
        r#""places": ["2", "5"]"#,
        "lesson.stages[0].task.goal: expected places of 4/4, found \"5\".",
    );
    refuse(
        r#""places": ["2", "4"]"#,
        r#""places": ["2", "3"]"#,
        "lesson.stages[0].task.goal: expected a goal that holds in the solution, found one that does not.",
    );
    refuse(
        r#"{"kind": "only-on", "voices": ["snare"], "places": ["2", "4"]}"#,
        r#"{"kind": "tempo", "min": 90, "max": 110}"#,
        "lesson.stages[0].task: expected a task with something left to do at its start, found one that is solved there.",
    );
    refuse(
        r#""id": "late""#,
        r#""id": "snare""#,
        "lesson.stages[1].id: expected every id once, found \"snare\" twice.",
    );
    refuse(
        r#"{"snare": "ka"}"#,
        r#"{"clap": "ka"}"#,
        "lesson.stages[0].say: expected a role that has a lane there, found \"clap\".",
    );
    refuse(
        r#""pace": 70"#,
        r#""pace": 49"#,
        "lesson.stages[0].pace: expected a whole number from 50 to 100, found 49.",
    );
    refuse(
        r#""hints": ["Clap along.", "Where do people clap?", "On 2 and 4."]"#,
        r#""hints": ["On 2 and 4."]"#,
        "lesson.stages[0].task.hints: expected 2 or 3 hints, found an array of 1.",
    );
    refuse(
        r#""kind": "choose""#,
        r#""kind": "guess""#,
        "lesson.stages[3].task: expected a task whose kind is one of build, predict, choose, found an object.",
    );
}

/// A stage of the program's own lessons, worked on.
#[track_caller]
fn check_own(style: &str, stage: &str, hands: &[&str], want: &str) {
    let all = staged();
    let (_, course) = all.iter().find(|(own, _)| own.id.as_str() == style).unwrap();
    let named = |s: &&CourseStage| s.stage.as_ref().is_some_and(|s| s.id.as_str() == stage);
    let exercise = course.stages.iter().find(named).unwrap().exercise.clone().unwrap();
    let groove = worked(exercise.solution().unwrap(), hands);
    assert_eq!(stickleback::words::tasks::verdict(&exercise.judge(&groove, None), &groove), want);
}

#[test]
fn the_lessons_of_the_program_are_judged_in_words() {
    check_own("boom-bap", "backbeat", &[], "That is it.");
    check_own(
        "boom-bap",
        "backbeat",
        &["snare -2:4", "snare +2:4 and"],
        "Snare: 3 are there. The one on the and of 4 belongs half a beat earlier, on 4, in bar 2.",
    );
    // Two voices share a line: the one that plays there in the solution is missed.
    check_own(
        "boom-bap",
        "answer",
        &["hat-open -2:4 and"],
        "Closed hat: 15 are there. Open hat: one is missing on the and of 4, in bar 2.",
    );
    // A ghost note played as a plain stroke.
    check_own(
        "boom-bap",
        "ghosts",
        &["snare -2:3 a", "snare +2:3 a"],
        "Snare: 5 are there. The one on the a of 3 should be a ghost note, in bar 2.",
    );
    check_own(
        "trap",
        "rolls",
        &["hat-closed -2:4", "hat-closed +2:4"],
        "Closed hat: 13 are there. 3 rolls in all so far, 4 are asked for. 1 roll in a bar so far, 2 are asked for.",
    );
}
