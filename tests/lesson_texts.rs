//! What learners read: counted places, plain words, no settings of machines.

use serde_json::Value;
use std::fs;
use std::path::Path;

/// Words no learner-facing text holds: pulse numbers' and machines' talk, and one word this project never uses.
const NEVER: [&str; 17] = [
    "khz",
    "hz",
    "db",
    "bit",
    "bits",
    "bit-depth",
    "kbps",
    "velocity",
    "velocities",
    concat!("st", "ep"),
    concat!("st", "eps"),
    "midi",
    "grid",
    "slot",
    "slots",
    "low-pass",
    "lowpass",
];

/// The trade's own names for a style and a variant, reviewed: they hold a word that is otherwise never used.
const REVIEWED: [&str; 3] = ["2-step", "dubstep", "steppers"];

/// Words that may follow a number above 12 that is no tempo, or stand before it; reviewed one by one.
fn is_figure(number: u32) -> bool {
    // Tempos, swings in percent, years: all above 40. Between 13 and 40 only lateness and lengths of time are left.
    number > 40
}

/// Keys whose texts are for the program.
const FOR_THE_PROGRAM: [&str; 14] = [
    "groove",
    "condition",
    "change",
    "id",
    "family",
    "kind",
    "rank",
    "implies",
    "goal",
    "start",
    "solution",
    "lanes",
    "lane",
    "topic",
];

fn texts(value: &Value, place: &str, found: &mut Vec<(String, String)>) {
    match value {
        Value::String(text) => found.push((place.to_owned(), text.clone())),
        Value::Array(values) => {
            values.iter().enumerate().for_each(|(i, value)| texts(value, &format!("{place}[{i}]"), found))
        }
        Value::Object(map) => {
            let shown = map.iter().filter(|(key, _)| !FOR_THE_PROGRAM.contains(&key.as_str()));
            shown.for_each(|(key, value)| texts(value, &format!("{place}.{key}"), found));
        }
        _ => {}
    }
}

/// Why `text` is not fit to be read, if it is not.
fn unfit(text: &str) -> Option<String> {
    if text.contains(['\'', '"']) {
        return Some("has straight quotation marks".to_owned());
    }
    let mut plain = text.to_lowercase();
    for name in REVIEWED {
        plain = plain.replace(name, "");
    }
    let words: Vec<&str> = plain.split(|c: char| !c.is_alphanumeric() && c != '-').filter(|w| !w.is_empty()).collect();
    if let Some(word) = words.iter().find(|word| NEVER.contains(word)) {
        return Some(format!("says {word:?}"));
    }
    for (index, word) in words.iter().enumerate() {
        let Ok(number) = word.parse::<u32>() else { continue };
        let next = words.get(index + 1).copied().unwrap_or_default();
        let after = words.get(index + 2).copied().unwrap_or_default();
        let measured = ["ms", "sixteenths", "beats", "bars"].contains(&next) || (next == "to" && plain.contains(" ms"));
        let counted = plain.contains(&format!("{number} sixteenths")) || plain.contains(&format!("{number} one way"));
        if number == 0 || (number > 12 && !is_figure(number) && !(measured || counted || after == "ms")) {
            return Some(format!("counts {number}"));
        }
        // The pulse numbers that research counts from zero: 5 to 15 after "on", "at" or a comma, in a row of such.
        let before = index.checked_sub(1).and_then(|i| words.get(i)).copied().unwrap_or_default();
        if (5..=15).contains(&number) && ["on", "at", "kick", "snare", "bell"].contains(&before) {
            return Some(format!("places at {number}"));
        }
    }
    None
}

#[test]
fn learners_read_counted_places_and_plain_words() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("lessons/styles");
    let mut all = Vec::new();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        let value: Value = serde_json::from_str(&fs::read_to_string(&path).unwrap()).unwrap();
        texts(&value, &path.file_stem().unwrap().to_string_lossy(), &mut all);
    }
    assert!(all.len() > 1000, "{} texts", all.len());
    let unfit: Vec<String> =
        all.iter().filter_map(|(place, text)| Some(format!("{place} {}: {text}", unfit(text)?))).collect();
    assert!(unfit.is_empty(), "{unfit:#?}");
}

#[test]
fn the_judge_finds_what_it_should() {
    for (text, want) in [
        ("Kick on 1, the a of 1 and the and of 3.", false),
        ("Kick 0, 3, 8 and 11.", true),
        ("Snare at 6 and 14 only.", true),
        ("Ghosts at 7, 9, 15.", true),
        ("8 to 28 ms late.", false),
        ("Closed at 7 kHz.", true),
        (concat!("The next st", "ep."), true),
        ("UK garage 2-step at 132.", false),
        ("13 of them.", true),
        ("The kick's tail.", true),
        ("The kick’s “tail”.", false),
    ] {
        assert_eq!(unfit(text).is_some(), want, "{text}");
    }
}
