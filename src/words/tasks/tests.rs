use super::*;
use crate::rhythm::boxes::{Ruling, read_row};
use crate::rhythm::{Bpm, Dynamics, Feel, Lane, LaneHead, Pattern, Sound, Tempo, Tonic};
use crate::style::{Condition, Spot};

/// A groove without strokes over so many bars.
fn groove(metre: &str, bars: u8) -> Groove {
    let kit: crate::rhythm::Id = "plain".parse().unwrap();
    let metre = Metre::parse(metre).unwrap();
    let ruling = Ruling { metre: &metre, bars: 1, pulse: Tick(240), dynamics: Dynamics::DEFAULT };
    let strokes = read_row(&".".repeat((metre.bar().0 / 240) as usize), &ruling).unwrap();
    let lane = Lane::with_strokes(LaneHead::new(Role::Snare, Tick(240)), strokes);
    Groove {
        pattern: Pattern::new(metre, bars, vec![lane]).unwrap(),
        tempo: Tempo::quarters(Bpm::MIN),
        feel: Feel::straight(),
        dynamics: Dynamics::DEFAULT,
        tonic: Tonic::DEFAULT,
        sound: Sound::of(kit),
    }
}

fn at(text: &str) -> Tick {
    crate::rhythm::Place::parse(text).unwrap().tick(&Metre::four_four()).unwrap()
}

#[track_caller]
fn check(bars: u8, right: &[(Role, &str)], findings: Vec<Finding>, want: &str) {
    let right = right.iter().map(|&(role, place)| (role, at(place))).collect();
    let told = TaskVerdict { solved: findings.is_empty(), right, findings };
    assert_eq!(verdict(&told, &groove("4/4", bars)), want);
}

fn missing(role: Role, place: &str) -> Finding {
    Finding::Missing { role, at: at(place) }
}

#[test]
fn right_first_then_two_things_by_place() {
    let snare = |place| (Role::Snare, place);
    check(1, &[snare("1:2")], vec![missing(Role::Snare, "1:4")], "Snare: the one on 2 is there. One is missing on 4.");
    check(1, &[], vec![], "That is it.");
    check(1, &[], vec![missing(Role::Snare, "1:2"), missing(Role::Snare, "1:4")], "Nothing is there yet.");
    check(
        2,
        &[snare("1:2"), snare("2:2")],
        vec![missing(Role::Snare, "1:4"), missing(Role::Snare, "2:4")],
        "Snare: the one on 2 is there, in both bars. One is missing on 4, in both bars.",
    );
    check(
        2,
        &[snare("1:2"), snare("1:4"), snare("2:2")],
        vec![Finding::Moved { role: Role::Snare, at: at("2:4 and"), by: Tick(-480) }],
        "Snare: 3 are there. The one on 4 belongs half a beat later, on the and of 4, in bar 2.",
    );
    check(
        1,
        &[(Role::Kick, "1:1"), snare("1:2")],
        vec![
            Finding::Extra { role: Role::Snare, at: at("1:3 a") },
            missing(Role::Kick, "1:4"),
            missing(Role::Snare, "1:4"),
        ],
        "Snare: the one on 2 is there. The one on the a of 3 is too many. Kick: one is missing on 4.",
    );
    check(
        1,
        &[(Role::Kick, "1:1"), (Role::Kick, "1:3 and")],
        vec![missing(Role::Clap, "1:3")],
        "Kick: the ones on 1 and the and of 3 are there. Clap: one is missing on 3.",
    );
    let strength = |place, is, wanted| Finding::Strength { role: Role::Snare, at: at(place), is, wanted };
    check(
        1,
        &[],
        vec![strength("1:2 a", Strength::Plain, Strength::Ghost), strength("1:4", Strength::Ghost, Strength::Plain)],
        "Snare: the one on the a of 2 should be a ghost note. The one on 4 is too soft.",
    );
    check(1, &[], vec![strength("1:1", Strength::Plain, Strength::Accent)], "Snare: the one on 1 wants an accent.");
}

#[test]
fn what_is_no_matter_of_places() {
    let voices = vec![Role::HatClosed];
    for (part, found, want) in [
        (
            Condition::Rolls { voices: voices.clone(), per: Per::Loop, min: 4, max: Some(4) },
            2.0,
            "Closed hat: 2 rolls in all so far, 4 are asked for.",
        ),
        (
            Condition::Count { voices: voices.clone(), touch: Touch::Ghost, per: Per::Bar, min: 1, max: None },
            0.0,
            "Closed hat: 0 ghost notes in a bar so far, at least 1 is asked for.",
        ),
        (
            Condition::Count { voices: voices.clone(), touch: Touch::Any, per: Per::Loop, min: 0, max: Some(0) },
            3.0,
            "Closed hat: 3 strokes in all so far, none is asked for.",
        ),
        (
            Condition::Tempo { min: Bpm::new(126.0).unwrap(), max: Bpm::new(165.0).unwrap(), unit: Tick::QUARTER },
            90.0,
            "The tempo, 90, is too slow: 126 to 165 is asked for.",
        ),
        (
            Condition::Swings {
                pair: Tick(480),
                min: Swing::from_percent(55.0).unwrap(),
                max: Swing::from_percent(63.0).unwrap(),
            },
            50.0,
            "There is too little swing: 55 : 45 to 63 : 37 is asked for.",
        ),
        (
            Condition::Sustains { voices: vec![Role::SubBass], at_least: Tick(1920) },
            720.0,
            "Sub bass: the longest lasts 0.75 quarters, 2 asked for.",
        ),
        (
            Condition::KeptEmpty {
                voices: voices.clone(),
                places: crate::style::Places::every_bar(vec![Spot::parse("2").unwrap()]),
                touch: Touch::Any,
            },
            0.0,
            "Closed hat: nothing plays yet.",
        ),
        (
            Condition::Sustains { voices: vec![Role::SubBass, Role::Bass], at_least: Tick(960) },
            0.0,
            "The longest lasts 0 quarters, 1 asked for.",
        ),
        (
            Condition::Slides { voices: voices.clone(), at_least: 3 },
            1.0,
            "Closed hat: 1 slide so far, at least 3 are asked for.",
        ),
    ] {
        check(1, &[], vec![Finding::Unmet { part, found: Some(found) }], want);
    }
}

#[test]
fn distances_are_parts_of_the_beat_they_are_near() {
    let told = |by, metre: &str| distance(Tick(by), Tick(0), &Metre::parse(metre).unwrap());
    assert_eq!(told(240, "4/4"), "a quarter of a beat");
    assert_eq!(told(-320, "4/4"), "a third of a beat");
    assert_eq!(told(480, "12/8"), "a third of a beat");
    assert_eq!(told(10, "4/4"), "a little");
}

#[test]
fn an_answer_is_told_with_its_reason() {
    let task = Choose {
        ask: "Later or earlier?".to_owned(),
        change: None,
        choices: vec!["later".to_owned(), "earlier".to_owned()],
        answer: 0,
        because: "The second of each pair waits.".to_owned(),
    };
    assert_eq!(choice(&task, 0), "That is it. The second of each pair waits.");
    assert_eq!(choice(&task, 1), "Not quite: later. The second of each pair waits.");
}
