//! What is true of a groove: every kind of condition, judged over grooves in box notation; and every hallmark of every
//! style, judged on its own grooves.

#![allow(clippy::unwrap_used, clippy::panic, reason = "helpers of tests")]

mod grooves;

use grooves::{change, change_head, edited, groove};
use std::fs;
use std::path::Path;
use stickleback::lesson::{Style, condition, reader, style_file};
use stickleback::rhythm::{
    Bpm, Edit, Feel, Glide, Groove, LaneId, Lean, Place, PositionShift, Roll, RollShape, Swing, Tempo, Tick, Written,
};
use stickleback::style::{Condition, Outcome, SoundMeasure};

fn read(text: &str) -> Condition {
    let value = reader::parse(text, 10_000).unwrap();
    reader::read(&value, |root| condition::read(&root)).unwrap_or_else(|faults| panic!("{text}: {faults:?}"))
}

/// Rows of lanes in sixteenths of 4/4, the bars counted from the first.
fn beat(rows: &[(&str, &str)]) -> Groove {
    over("4/4", 240, rows)
}

fn over(metre: &str, pulse: i64, rows: &[(&str, &str)]) -> Groove {
    let bars = rows[0].1.split('|').count() as u8;
    let rows: Vec<(&str, i64, &str)> = rows.iter().map(|&(role, row)| (role, pulse, row)).collect();
    groove(100.0, metre, bars, &rows)
}

fn name(groove: &Groove, lane: Option<LaneId>, at: Tick) -> String {
    let role = lane.and_then(|id| groove.pattern.lane(id)).map_or("none", |lane| lane.head.role.id());
    format!("{role} {}", Place::of(at, groove.pattern.metre()))
}

/// Judges without sound: the outcome, the strokes concerned, and the places concerned.
#[track_caller]
fn check(groove: &Groove, condition: &str, want: Outcome, strokes: &[&str], places: &[&str]) {
    let verdict = read(condition).judge(groove, None);
    let struck = verdict.strokes.iter().map(|&(lane, id)| {
        let at = groove.pattern.lane(lane).unwrap().by_id(id).unwrap().at;
        name(groove, Some(lane), at)
    });
    let empty = verdict.places.iter().map(|&(lane, at)| name(groove, lane, at));
    let got = (verdict.outcome, struck.collect::<Vec<_>>(), empty.collect::<Vec<_>>());
    let expected = |texts: &[&str]| texts.iter().map(|&text| text.to_owned()).collect::<Vec<_>>();
    assert_eq!(got, (want, expected(strokes), expected(places)), "{condition}");
}

/// Judges the outcome and the number found.
#[track_caller]
fn figure(groove: &Groove, condition: &str, want: Outcome, found: f64) {
    let verdict = read(condition).judge(groove, None);
    assert_eq!(verdict.outcome, want, "{condition}: {:?}", verdict.found);
    assert!(verdict.found.is_some_and(|got| (got - found).abs() < 1e-6), "{condition}: {:?}", verdict.found);
}

#[track_caller]
fn outcome(groove: &Groove, condition: &str, want: Outcome) {
    assert_eq!(read(condition).judge(groove, None).outcome, want, "{condition}");
}

use Outcome::{DoesNotApply, Fails, Holds, Unknown};

#[test]
fn strikes() {
    let backbeat = r#"{"kind": "strikes", "voices": ["snare", "clap"], "places": ["2", "4"]}"#;
    check(&beat(&[("snare", "....x.......x...")]), backbeat, Holds, &["snare 1:2", "snare 1:4"], &[]);
    check(&beat(&[("snare", "....x...........")]), backbeat, Fails, &[], &["snare 1:4"]);
    check(
        &beat(&[("snare", "....x..........."), ("clap", "............x...")]),
        backbeat,
        Holds,
        &["snare 1:2", "clap 1:4"],
        &[],
    );
    check(&beat(&[("snare", "....x..o....x..o")]), backbeat, Holds, &["snare 1:2", "snare 1:4"], &[]);
    check(&beat(&[("snare", "....o.......x...")]), backbeat, Fails, &[], &["snare 1:2"]);
    check(&beat(&[("kick", "x...............")]), backbeat, Fails, &[], &["none 1:2", "none 1:4"]);
    // Over any grid and in any bar; a metre without such a beat is not spoken of.
    check(&over("4/4", 320, &[("snare", "...x.....x..")]), backbeat, Holds, &["snare 1:2", "snare 1:4"], &[]);
    check(
        &beat(&[("snare", "....x.......x...|....x.......x...")]),
        backbeat,
        Holds,
        &["snare 1:2", "snare 1:4", "snare 2:2", "snare 2:4"],
        &[],
    );
    check(&beat(&[("snare", "....x.......x...|....x...........")]), backbeat, Fails, &[], &["snare 2:4"]);
    check(&over("3/4", 240, &[("snare", "....x.......")]), backbeat, DoesNotApply, &[], &[]);
    let accents = r#"{"kind": "strikes", "voices": ["kick"], "places": ["1"], "touch": "accent"}"#;
    check(&beat(&[("kick", "x...............")]), accents, Fails, &[], &["kick 1:1"]);
    check(&beat(&[("kick", "X...............")]), accents, Holds, &["kick 1:1"], &[]);
}

#[test]
fn nudges_do_not_move_places() {
    let row = beat(&[("snare", "....x.......x...")]);
    let late = change(&row, 0, 960, |stroke| stroke.nudge = Tick(60));
    outcome(&late, r#"{"kind": "only-on", "voices": ["snare"], "places": ["2", "4"]}"#, Holds);
}

#[test]
fn only_on() {
    let three = r#"{"kind": "only-on", "voices": ["clap", "snare"], "places": ["3"]}"#;
    check(&beat(&[("clap", "........X.......")]), three, Holds, &["clap 1:3"], &[]);
    check(&beat(&[("clap", "....X...X.......")]), three, Fails, &["clap 1:2"], &[]);
    check(&beat(&[("clap", "....X...........")]), three, Fails, &["clap 1:2"], &["clap 1:3"]);
    check(&beat(&[("clap", "....o...X.......")]), three, Holds, &["clap 1:3"], &[]);
    check(&beat(&[("clap", "................")]), three, Fails, &[], &["clap 1:3"]);
    let any = r#"{"kind": "only-on", "voices": ["clap"], "places": ["3"], "touch": "any"}"#;
    check(&beat(&[("clap", "....o...X.......")]), any, Fails, &["clap 1:2"], &[]);
    let ghosts = r#"{"kind": "only-on", "voices": ["snare"], "places": ["a of 2"], "touch": "ghost"}"#;
    check(&beat(&[("snare", "....X..o....X...")]), ghosts, Holds, &["snare 1:2 a"], &[]);
}

#[test]
fn phrases_begin_in_any_bar() {
    let clave = r#"{"kind": "only-on", "voices": ["clave"], "phrase": [["2", "3"], ["1", "and of 2", "4"]]}"#;
    let two_three = over("4/4", 480, &[("clave", "..x.x...|x..x..x.")]);
    let all = ["clave 1:2", "clave 1:3", "clave 2:1", "clave 2:2 and", "clave 2:4"];
    check(&two_three, clave, Holds, &all, &[]);
    outcome(&over("4/4", 480, &[("clave", "x..x..x.|..x.x...")]), clave, Holds);
    outcome(&over("4/4", 480, &[("clave", "x..x..x.|..x.x...|x..x..x.|..x.x...")]), clave, Holds);
    // Rumba: one stroke later; the nearer alignment is told.
    check(&over("4/4", 480, &[("clave", "x..x...x|..x.x...")]), clave, Fails, &["clave 1:4 and"], &["clave 1:4"]);
    // A loop of one bar meets both bars of the phrase, and three bars meet it in turn.
    outcome(&over("4/4", 480, &[("clave", "x..x..x.")]), clave, Fails);
    outcome(&over("4/4", 480, &[("clave", "x..x..x.|..x.x...|x..x..x.")]), clave, Fails);
    let open = r#"{"kind": "strikes", "voices": ["kick"], "phrase": [null, ["4"]], "touch": "accent"}"#;
    check(&beat(&[("kick", "............X...|x...............")]), open, Holds, &["kick 1:4"], &[]);
    // The parts of a condition share one alignment.
    let both = r#"{"kind": "all", "of": [
        {"kind": "only-on", "voices": ["kick"], "phrase": [["1"], ["2"]]},
        {"kind": "only-on", "voices": ["snare"], "phrase": [["3"], ["4"]]}]}"#;
    outcome(
        &beat(&[("kick", "....x...........|x..............."), ("snare", "............x...|........x.......")]),
        both,
        Holds,
    );
    outcome(
        &beat(&[("kick", "....x...........|x..............."), ("snare", "........x.......|............x...")]),
        both,
        Fails,
    );
}

#[test]
fn kept_empty() {
    let no_kick = r#"{"kind": "kept-empty", "voices": ["kick"], "places": ["2", "3"]}"#;
    check(&beat(&[("kick", "x.........x.....")]), no_kick, Holds, &[], &["kick 1:2", "kick 1:3"]);
    check(&beat(&[("kick", "x.......x.......")]), no_kick, Fails, &["kick 1:3"], &[]);
    check(&beat(&[("kick", "x.......o.......")]), no_kick, Holds, &[], &["kick 1:2", "kick 1:3"]);
    check(&beat(&[("kick", "................")]), no_kick, DoesNotApply, &[], &[]);
    check(&beat(&[("snare", "x...............")]), no_kick, DoesNotApply, &[], &[]);
}

#[test]
fn some_of() {
    let per_bar =
        r#"{"kind": "some-of", "voices": ["kick"], "places": ["a of 1", "a of 2"], "at_least": 1, "per": "bar"}"#;
    check(&beat(&[("kick", "x..x............|.......x........")]), per_bar, Holds, &["kick 1:1 a", "kick 2:2 a"], &[]);
    check(&beat(&[("kick", "x..x............|x...............")]), per_bar, Fails, &[], &["kick 2:1 a", "kick 2:2 a"]);
    let per_loop = per_bar.replace("\"bar\"", "\"loop\"");
    check(&beat(&[("kick", "x..x............|x...............")]), &per_loop, Holds, &["kick 1:1 a"], &[]);
    figure(&beat(&[("kick", "x..o............|x...............")]), &per_loop, Fails, 0.0);
}

#[test]
fn every_pulse() {
    let sixteenths = r#"{"kind": "every", "voices": ["shaker"], "pulse": "1/8", "touch": "any"}"#;
    outcome(&beat(&[("shaker", "x.o.x.o.x.o.x.o.")]), sixteenths, Holds);
    outcome(&beat(&[("shaker", "xxxxxxxxxxxxxxxx")]), sixteenths, Holds);
    check(&beat(&[("shaker", "x.o.x.o...o.x.o.")]), sixteenths, Fails, &[], &["shaker 1:3"]);
}

#[test]
fn off_the_beat() {
    let most = r#"{"kind": "off-the-beat", "voices": ["bass"], "percent": 70}"#;
    figure(&beat(&[("bass", "..x...x...x.x...")]), most, Holds, 75.0);
    check(&beat(&[("bass", "x.x...x.....x...")]), most, Fails, &["bass 1:1", "bass 1:4"], &[]);
    outcome(&beat(&[("kick", "x...............")]), most, DoesNotApply);
    // In 12/8 the beats are dotted.
    figure(&over("12/8", 480, &[("bass", "x..x.x......")]), most, Fails, 100.0 / 3.0);
}

#[test]
fn cells() {
    let cell = r#"{"kind": "follows-cell", "voices": ["clap"], "cell": [3, 3, 2], "pulse": "1/16"}"#;
    let only = r#"{"kind": "follows-cell", "voices": ["clap"], "cell": [3, 3, 2], "pulse": "1/16", "only": true}"#;
    outcome(&beat(&[("clap", "x..x..x.x..x..x.")]), only, Holds);
    check(&beat(&[("clap", "x..x..x.xx.x..x.")]), only, Fails, &["clap 1:3 e"], &[]);
    outcome(&beat(&[("clap", "x..x..x.xx.x..x.")]), cell, Holds);
    check(&beat(&[("clap", "x..x..x.x..x....")]), cell, Fails, &[], &["clap 1:4 and"]);
    // The last group is cut by the bar's end.
    outcome(&over("3/4", 240, &[("clap", "x..x..x.x..x")]), only, Holds);
}

#[test]
fn counts() {
    let hats =
        r#"{"kind": "count", "voices": ["hat-closed", "hat-open"], "touch": "any", "per": "bar", "min": 6, "max": 9}"#;
    figure(&beat(&[("hat-closed", "x.x.x.x.x.x.x...")]), hats, Holds, 7.0);
    figure(&beat(&[("hat-closed", "x.x.x.x.x.x.x.x.|x.x.............")]), hats, Fails, 2.0);
    figure(&beat(&[("hat-closed", "xxxxxxxxxxxxxxxx")]), hats, Fails, 16.0);
    // Several strokes on one place are one.
    figure(&beat(&[("hat-closed", "x.x.x.x.x.x....."), ("hat-open", "x.x.x...........")]), hats, Holds, 6.0);
    let ghosts = r#"{"kind": "count", "voices": ["snare"], "touch": "ghost", "per": "loop", "min": 0, "max": 0}"#;
    check(&beat(&[("snare", "....x..o........")]), ghosts, Fails, &["snare 1:2 a"], &[]);
    outcome(&beat(&[("snare", "....x...........")]), ghosts, Holds);
    outcome(&beat(&[("kick", "x...............")]), ghosts, DoesNotApply);
    let none = r#"{"kind": "count", "voices": ["snare"], "touch": "any", "per": "loop", "min": 0, "max": 0}"#;
    outcome(&beat(&[("kick", "x...............")]), none, Holds);
    let few = r#"{"kind": "count", "voices": ["snare"], "touch": "any", "per": "bar", "min": 0, "max": 3}"#;
    outcome(&beat(&[("kick", "x...............")]), few, DoesNotApply);
    let present = r#"{"kind": "count", "voices": ["snare"], "touch": "any", "per": "loop", "min": 1}"#;
    figure(&beat(&[("kick", "x...............")]), present, Fails, 0.0);
}

#[test]
fn displaced() {
    let moved = r#"{"kind": "displaced", "voices": ["snare"], "places": ["2", "4"], "within": "3/16", "at_least": 1}"#;
    check(&beat(&[("snare", "....x.........x.")]), moved, Holds, &["snare 1:4 and"], &[]);
    check(&beat(&[("snare", "....x.......x.x.")]), moved, Fails, &["snare 1:2", "snare 1:4"], &[]);
    outcome(&beat(&[("snare", "....x...x.......")]), moved, Fails);
    outcome(&beat(&[("snare", "....x...........")]), moved, Fails);
    // Around the loop: from 4 over the bar line.
    let far = moved.replace("3/16", "1/4").replace("[\"2\", \"4\"]", "[\"4\"]");
    check(&beat(&[("snare", "x...............")]), &far, Holds, &["snare 1:1"], &[]);
}

#[test]
fn chains() {
    let threes = r#"{"kind": "chain", "voices": ["kick"], "gaps": ["3/16"], "at_least": 3}"#;
    figure(&beat(&[("kick", "x..x..x..x......")]), threes, Holds, 3.0);
    figure(&beat(&[("kick", "x..x..x.........")]), threes, Fails, 2.0);
    figure(&beat(&[("kick", "..x..x.......x..|x...............")]), threes, Fails, 1.0);
    figure(&beat(&[("kick", "..x..x..........|..........x..x..")]), threes, Fails, 1.0);
    figure(
        &beat(&[("kick", ".x..x...........|..........x..x..")]),
        r#"{"kind": "chain", "voices": ["kick"], "gaps": ["3/16", "1/4"], "at_least": 2}"#,
        Fails,
        1.0,
    );
    // Over the loop's end.
    figure(
        &beat(&[("kick", ".x........x..x..")]),
        r#"{"kind": "chain", "voices": ["kick"], "gaps": ["3/16", "1/4"], "at_least": 1}"#,
        Holds,
        1.0,
    );
    let doubled = r#"{"kind": "chain", "voices": ["kick"], "gaps": ["1/16", "1/8"], "at_least": 1}"#;
    check(&beat(&[("kick", "x.........xx....")]), doubled, Holds, &["kick 1:3 and", "kick 1:3 a"], &[]);
    figure(
        &beat(&[("kick", "x...x...x...x...")]),
        r#"{"kind": "chain", "voices": ["kick"], "gaps": ["1/4"], "at_least": 4}"#,
        Holds,
        4.0,
    );
    figure(&beat(&[("snare", "x...............")]), doubled, Fails, 0.0);
}

#[test]
fn rolls_and_bursts() {
    let rolls = r#"{"kind": "rolls", "voices": ["hat-closed"], "per": "loop", "min": 2, "max": 3}"#;
    figure(&beat(&[("hat-closed", "x.3.x.2.x.......")]), rolls, Holds, 2.0);
    figure(&beat(&[("hat-closed", "x.3.x.x.x.......")]), rolls, Fails, 1.0);
    figure(&beat(&[("hat-closed", "3.3.3.3.x.......")]), rolls, Fails, 4.0);
    let few = r#"{"kind": "rolls", "voices": ["hat-closed"], "per": "bar", "min": 0, "max": 1}"#;
    outcome(&beat(&[("snare", "x...............")]), few, DoesNotApply);
    figure(&beat(&[("hat-closed", "3...............|3.3.............")]), few, Fails, 2.0);

    let bursts = r#"{"kind": "tuplets", "voices": ["tom-low"], "at_least": 1}"#;
    let tom = beat(&[("tom-low", "........x.......")]);
    let roll = |strokes, span| Some(Roll { strokes, span: Tick(span), shape: RollShape::Even, bend: 0 });
    figure(&change(&tom, 0, 1920, |stroke| stroke.roll = roll(6, 1920)), bursts, Holds, 1.0);
    figure(&change(&tom, 0, 1920, |stroke| stroke.roll = roll(4, 1920)), bursts, Fails, 0.0);
    figure(&change(&tom, 0, 1920, |stroke| stroke.roll = roll(3, 720)), bursts, Fails, 0.0);
    figure(&over("4/4", 320, &[("tom-low", "......xxx...")]), bursts, Holds, 1.0);
    figure(&over("12/8", 480, &[("tom-low", "xxx.........")]), bursts, Fails, 0.0);
    figure(&beat(&[("tom-low", "x..x..x.........")]), bursts, Fails, 0.0);
}

#[test]
fn slides_lengths_and_leaps() {
    let bass = beat(&[("bass", "x.......x.......")]);
    let pitch = |groove: &Groove, at, pitch: i8| change(groove, 0, at, |stroke| stroke.pitches = vec![pitch]);
    let line = pitch(&pitch(&bass, 0, 0), 1920, 12);
    figure(&line, r#"{"kind": "octave-leaps", "voices": ["bass"], "at_least": 2}"#, Holds, 2.0);
    figure(&pitch(&line, 1920, 7), r#"{"kind": "octave-leaps", "voices": ["bass"], "at_least": 1}"#, Fails, 0.0);
    let slides = r#"{"kind": "slides", "voices": ["bass"], "at_least": 1}"#;
    let slid = |to| change(&line, 0, 0, |stroke| stroke.glide = Some(Glide { to, ms: 100 }));
    check(&slid(7), slides, Holds, &["bass 1:1"], &[]);
    figure(&slid(0), slides, Fails, 0.0);
    figure(&line, slides, Fails, 0.0);
    // A part of one note at a time holds it until the next; another rings only as long as it says.
    let half = r#"{"kind": "sustains", "voices": ["bass", "chord"], "at_least": "1/2"}"#;
    figure(&line, half, Holds, 1920.0);
    let short = change(&line, 0, 0, |stroke| stroke.length = Some(Tick(240)));
    check(&short, half, Holds, &["bass 1:3"], &[]);
    figure(&beat(&[("chord", "x...............")]), half, Fails, 0.0);
    let held = change(&beat(&[("chord", "x.x.............")]), 0, 0, |stroke| stroke.length = Some(Tick(1920)));
    check(&held, half, Holds, &["chord 1:1"], &[]);
}

#[test]
fn tempo_metre_and_division() {
    let at = |bpm: f64, unit: i64| {
        let tempo = Tempo::new(Bpm::new(bpm).unwrap(), Tick(unit), Tick(unit)).unwrap();
        edited(&beat(&[("kick", "x...............")]), Edit::SetTempo(tempo))
    };
    let quarters = r#"{"kind": "tempo", "min": 84, "max": 100}"#;
    figure(&at(100.0, 960), quarters, Holds, 100.0);
    figure(&at(100.01, 960), quarters, Fails, 100.01);
    figure(&at(60.0, 1440), quarters, Holds, 90.0);
    figure(&at(90.0, 960), r#"{"kind": "tempo", "min": 60, "max": 60, "unit": "3/8"}"#, Holds, 60.0);
    let metre = r#"{"kind": "metre", "any_of": ["6/8", "12/8"]}"#;
    outcome(&over("6/8", 480, &[("kick", "x.....")]), metre, Holds);
    outcome(&over("3/4", 480, &[("kick", "x.....")]), metre, Fails);
    let threes = r#"{"kind": "beat-division", "parts": 3}"#;
    outcome(&over("4/4", 320, &[("ride", "x..x.xx..x.x")]), threes, Holds);
    outcome(&over("12/8", 480, &[("ride", "x.xx.xx.xx.x")]), threes, Holds);
    outcome(&beat(&[("ride", "x.x.x.x.x.x.x.x.")]), threes, Fails);
    outcome(&beat(&[("ride", "x..xx..xx..xx..x")]), threes, Fails);
    outcome(&beat(&[("ride", "x...x...x...x...")]), threes, DoesNotApply);
    outcome(&beat(&[("ride", "x..xx..xx..xx..x")]), r#"{"kind": "beat-division", "parts": 4}"#, Holds);
}

#[test]
fn swing() {
    let felt = |groove: &Groove, pair, written, percent| {
        let feel = Feel::new(Tick(pair), written, Swing::from_percent(percent).unwrap(), Vec::new()).unwrap();
        edited(groove, Edit::SetFeel(feel))
    };
    let hats = beat(&[("hat-closed", "x..xx...........")]);
    let swings = r#"{"kind": "swings", "pair": "1/8", "min": 55, "max": 63}"#;
    check(&felt(&hats, 480, Written::Straight, 59.0), swings, Holds, &["hat-closed 1:1 a"], &[]);
    figure(&felt(&hats, 480, Written::Straight, 50.0), swings, Fails, 50.0);
    figure(&felt(&hats, 960, Written::Straight, 59.0), swings, Fails, 50.0);
    // Where nothing swings it says nothing.
    outcome(&felt(&beat(&[("kick", "x...x...x...x...")]), 480, Written::Straight, 59.0), swings, DoesNotApply);
    let light = r#"{"kind": "swings", "pair": "1/8", "min": 50, "max": 58}"#;
    outcome(&felt(&hats, 960, Written::Straight, 50.0), light, Holds);
    outcome(&felt(&hats, 960, Written::Straight, 54.0), light, Fails);
    let straight = r#"{"kind": "straight", "max": 53}"#;
    figure(&felt(&hats, 480, Written::Straight, 53.0), straight, Holds, 53.0);
    figure(&felt(&hats, 480, Written::Straight, 53.1), straight, Fails, 53.1);
    outcome(&felt(&over("4/4", 320, &[("ride", "x.xx.xx.xx.x")]), 480, Written::Straight, 50.0), straight, Fails);
    outcome(&felt(&hats, 960, Written::Ternary, 66.7), straight, Fails);
}

#[test]
fn leans_and_early_places() {
    let snare = beat(&[("snare", "....x.......x..."), ("kick", "x.......x.......")]);
    let leaning = |ms| change_head(&snare, 0, |head| head.lean = Lean::from_ms(ms).unwrap());
    let late = r#"{"kind": "leans", "voices": ["snare"], "min_ms": 8, "max_ms": 25}"#;
    figure(&leaning(14.0), late, Holds, 14.0);
    figure(&leaning(25.1), late, Fails, 25.1);
    check(&leaning(0.0), late, Fails, &["snare 1:2", "snare 1:4"], &[]);
    outcome(&beat(&[("kick", "x...............")]), late, DoesNotApply);
    // At 100 BPM 16 ticks are 10 ms; one nudge of two strokes is no habit of the lane.
    let nudged = change(&change(&snare, 0, 960, |s| s.nudge = Tick(16)), 0, 2880, |s| s.nudge = Tick(16));
    figure(&nudged, late, Holds, 10.0);

    let early = r#"{"kind": "positions-early", "at": ["and", "a"]}"#;
    let shaker = beat(&[("shaker", "xxxxxxxxxxxxxxxx")]);
    let shifts = |tenths: &[(i64, i16)]| {
        let shifts = tenths.iter().map(|&(at, tenths)| PositionShift { at: Tick(at), tenths }).collect();
        edited(&shaker, Edit::SetFeel(Feel::new(Tick(480), Written::Straight, Swing::STRAIGHT, shifts).unwrap()))
    };
    outcome(&shifts(&[(480, -20), (720, -30)]), early, Holds);
    outcome(&shifts(&[(480, -20), (720, 0)]), early, Fails);
    outcome(&shaker, early, Fails);
    outcome(&snare, early, DoesNotApply);
}

#[test]
fn sounds() {
    let dark = read(r#"{"kind": "sounds", "measure": "bandwidth_hz", "max": 7000}"#);
    let kick = read(r#"{"kind": "sounds", "voice": "kick", "measure": "decay_ms", "min": 250}"#);
    let beat = beat(&[("kick", "x...............")]);
    let facts = |of: Option<stickleback::role::Role>, measure| match (of, measure) {
        (None, SoundMeasure::Bandwidth) => Some(6500.0),
        (Some(_), SoundMeasure::Decay) => Some(200.0),
        _ => None,
    };
    assert_eq!(dark.judge(&beat, None).outcome, Unknown);
    assert_eq!(dark.judge(&beat, Some(&facts)).outcome, Holds);
    assert_eq!(kick.judge(&beat, Some(&facts)).outcome, Fails);
    assert_eq!(kick.judge(&over("4/4", 240, &[("snare", "x...............")]), Some(&facts)).outcome, DoesNotApply);
    let room = read(r#"{"kind": "sounds", "measure": "room_ms", "max": 7000}"#);
    assert_eq!(room.judge(&beat, Some(&facts)).outcome, Unknown);
}

#[test]
fn several_together() {
    let part = |kind: &str, second: &str| {
        format!(r#"{{"kind": "{kind}", "of": [{{"kind": "strikes", "voices": ["kick"], "places": ["1"]}}, {second}]}}"#)
    };
    let on_three = r#"{"kind": "only-on", "voices": ["snare"], "places": ["3"]}"#;
    let no_clap = r#"{"kind": "kept-empty", "voices": ["clap"], "places": ["1"]}"#;
    let dark = r#"{"kind": "sounds", "measure": "bandwidth_hz", "max": 7000}"#;
    let both = beat(&[("kick", "x..............."), ("snare", "........x.......")]);
    let moved = beat(&[("kick", "x..............."), ("snare", "............x...")]);
    check(&both, &part("all", on_three), Holds, &["kick 1:1", "snare 1:3"], &[]);
    check(&moved, &part("all", on_three), Fails, &["snare 1:4"], &["snare 1:3"]);
    outcome(&both, &part("all", no_clap), DoesNotApply);
    outcome(&both, &part("all", dark), Unknown);
    outcome(&moved, &part("one-of", on_three), Holds);
    let neither = beat(&[("snare", "............x...")]);
    check(&neither, &part("one-of", on_three), Fails, &[], &["none 1:1"]);
    outcome(&neither, &part("one-of", dark), Unknown);
    outcome(&neither, &part("one-of", no_clap), Fails);
}

fn styles() -> Vec<Style> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("lessons/styles");
    let mut files: Vec<_> = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    files.sort();
    files.iter().map(|path| style_file::read(&fs::read_to_string(path).unwrap()).unwrap()).collect()
}

/// What of a style's hallmarks a well-known form of it leaves, as people tell it: style, variant, hallmark.
const LEFT_BY_VARIANTS: [(&str, &str, &str); 11] = [
    ("chicago-footwork", "juke-four-on-floor", "beat-three"),
    ("chicago-footwork", "juke-four-on-floor", "chains-of-three"),
    ("chicago-footwork", "juke-four-on-floor", "no-kick-on-two"),
    ("jungle", "chopped-bar", "late-last-snare"),
    ("one-drop-reggae", "steppers", "the-drop"),
    ("one-drop-reggae", "steppers", "one-empty"),
    ("one-drop-reggae", "rockers", "the-drop"),
    ("one-drop-reggae", "rockers", "one-empty"),
    ("salsa", "rumba-clave-3-2", "clave"),
    ("salsa", "rumba-clave-2-3", "clave"),
    ("soul-backbeat", "snare-on-all-four", "backbeat"),
];

#[test]
fn hallmarks_hold_on_their_own_grooves() {
    let mut wrong = Vec::new();
    for style in styles() {
        let variants = style.variants.iter().map(|variant| (variant.id.as_str(), variant.change.over(&style.groove)));
        let all = [("reference", Ok(style.groove.clone()))].into_iter().chain(variants);
        for (name, groove) in all {
            for hallmark in &style.hallmarks {
                let verdict = hallmark.condition.judge(groove.as_ref().unwrap(), None);
                let left = LEFT_BY_VARIANTS.contains(&(style.id.as_str(), name, hallmark.id.as_str()));
                let holds = matches!(verdict.outcome, Holds | Unknown);
                if holds == left {
                    wrong.push(format!(
                        "{} {name}: {} {:?} {:?}",
                        style.id, hallmark.id, verdict.outcome, hallmark.rank
                    ));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn the_most_there_can_be_is_judged_all_the_same() {
    let spots: Vec<String> = (0..64).map(|n| format!("\"{} +{}\"", n / 16 + 1, n % 16 + 1)).collect();
    let phrase = |bars: usize| {
        let bar = format!("[{}]", spots.join(", "));
        format!(
            r#"{{"kind": "only-on", "voices": ["shaker"], "phrase": [{}], "touch": "any"}}"#,
            vec![bar; bars].join(", ")
        )
    };
    let parts: Vec<String> = [8, 7, 5, 3, 8, 7, 5, 3].map(phrase).to_vec();
    let all = format!(r#"{{"kind": "all", "of": [{}]}}"#, parts.join(", "));
    let value = reader::parse(&all, 1_000_000).unwrap();
    let condition = reader::read(&value, |root| condition::read(&root)).unwrap();
    let row = ["xxxxxxxxxxxxxxxx"; 8].join("|");
    assert_eq!(condition.judge(&beat(&[("shaker", &row)]), None).outcome, Fails);
}
