//! Each mistake in a file gets one clear sentence with its place; all of them are told.

use stickleback::lesson::groove;

const GOOD: &str = r#"{
  "stickleback": 1, "kind": "groove", "metre": "4/4", "bars": 2, "pulse": "1/16",
  "tempo": {"bpm": 92}, "sound": {"kit": "one"},
  "lanes": [
    {"role": "kick", "row": "X.....x...x.....|X..x......x...x."},
    {"role": "hat-closed", "row": "x.x.x.x.x.x.x.x.|%"},
    {"role": "snare", "row": "....X.......X...|....X..o....X..o", "details": {"2:2": {"nudge": 10}}}
  ]
}"#;

/// The faults of the good file with `old` replaced by `new`.
#[track_caller]
fn check(old: &str, new: &str, want: &[&str]) {
    assert!(GOOD.contains(old), "{old}");
    refuse(&GOOD.replacen(old, new, 1), want);
}

#[track_caller]
fn refuse(text: &str, want: &[&str]) {
    let faults = groove::read(text).err().unwrap_or_default();
    let told: Vec<String> = faults.iter().map(ToString::to_string).collect();
    assert_eq!(told, want);
}

#[test]
fn the_good_file_is_good() {
    refuse(GOOD, &[]);
}

#[test]
fn numbers_out_of_range() {
    for bpm in ["0", "-1", "1e9", "19.99", "400.01"] {
        let shown = if bpm == "1e9" { "1000000000.0" } else { bpm };
        let want = format!("tempo.bpm: expected a number from 20 to 400, found {shown}.");
        check("92", bpm, &[&want]);
    }
    check("92", "null", &["tempo.bpm: expected a number from 20 to 400, found null."]);
    check("92", "\"NaN\"", &["tempo.bpm: expected a number from 20 to 400, found the text \"NaN\"."]);
    check("\"bars\": 2", "\"bars\": 9", &["bars: expected a whole number from 1 to 8, found 9."]);
    check(
        "\"nudge\": 10",
        "\"nudge\": 120",
        &["lanes[2] (snare).details.2:2.nudge: expected a whole number from -119 to 119, found 120."],
    );
}

#[test]
fn rows() {
    check(
        "|....X..o",
        "|....q..o",
        &["lanes[2] (snare), row, bar 2, place 5: expected one of X x o . 2-8 f, found 'q'."],
    );
    check("X.....x...x.....|", "X.....x...x....|", &["lanes[0] (kick), row, bar 1: expected 16 characters, found 15."]);
    check("X.....x...x.....|", "", &["lanes[0] (kick), row: expected 2 bars, found 1."]);
    check(
        "x.x.x.x.x.x.x.x.|%",
        "%|x.x.x.x.x.x.x.x.",
        &["lanes[1] (hat-closed), row, bar 1: expected a bar of its own, found % (repeats the bar before)."],
    );
    check(
        "X.....x...x.....|X..x......x...x.",
        "q.....x...x.....|X..x......x..9",
        &[
            "lanes[0] (kick), row, bar 1, place 1: expected one of X x o . 2-8 f, found 'q'.",
            "lanes[0] (kick), row, bar 2: expected 16 characters, found 14.",
            "lanes[0] (kick), row, bar 2, place 14: expected one of X x o . 2-8 f, found '9'.",
        ],
    );
}

#[test]
fn places() {
    let at = |place: &str| format!("{{\"{place}\": {{\"nudge\": 10}}}}");
    let details = "{\"2:2\": {\"nudge\": 10}}";
    let none = "expected a place of 4/4 such as 1:2 and (bar, beat, syllable), found none.";
    check(details, &at("2:5"), &[&format!("lanes[2] (snare).details.2:5: {none}")]);
    check(details, &at("2:2 und"), &[&format!("lanes[2] (snare).details.2:2 und: {none}")]);
    check(
        details,
        &at("3:1"),
        &["lanes[2] (snare).details.3:1: expected a place within 2 bars of 4/4, found one after the end."],
    );
    check(
        details,
        &at("1:1"),
        &["lanes[2] (snare).details.1:1: expected a stroke in the row to detail, found a rest."],
    );
    check(
        details,
        "{\"2:2\": {\"glide\": {\"to\": 3, \"ms\": 90}}}",
        &["lanes[2] (snare).details.2:2.glide: expected pitches to glide from, found none."],
    );
    check(
        details,
        "{\"2:2\": {\"nudge\": 10}, \"2:1 +960\": {\"nudge\": 9}}",
        &["lanes[2] (snare).details.2:1 +960: expected each place once, found it twice."],
    );
}

#[test]
fn keys_and_names() {
    check(
        "\"snare\"",
        "\"snarre\"",
        &["lanes[2].role: expected a role such as kick, snare, hat-closed, found the text \"snarre\"."],
    );
    check("\"bpm\"", "\"speed\": 3, \"bpm\"", &["tempo.speed: this key is not known here; known are bpm, unit, felt."]);
    check("\"bars\": 2", "\"bars\": 2, \"bars\": 2", &["bars: expected this key once, found it twice."]);
    check("\"kind\": \"groove\"", "\"kind\": \"kit\"", &["kind: expected \"groove\", found the text \"kit\"."]);
    check("\"stickleback\": 1", "\"stickleback\": 2", &["stickleback: expected 1, the only format there is, found 2."]);
    check(
        "\"kit\": \"one\"",
        "\"kit\": \"../one\"",
        &["sound.kit: expected an identifier (1 to 40 lower-case letters, digits and single hyphens between them), \
           found the text \"../one\"."],
    );
}

#[test]
fn an_empty_groove_lacks_everything() {
    let missing = ["stickleback", "kind", "metre", "bars", "pulse", "tempo", "sound", "lanes"];
    let want: Vec<String> = missing.iter().map(|key| format!("{key}: expected here, but missing.")).collect();
    refuse("{}", &want.iter().map(String::as_str).collect::<Vec<_>>());
}

#[test]
fn too_much_and_too_little() {
    let lane = r#"{"role": "kick", "row": "................|%"}"#;
    let lanes = format!("[{}]", [lane; 25].join(", "));
    let start = GOOD.find("[\n").unwrap();
    refuse(&format!("{}{lanes}}}", &GOOD[..start]), &["lanes: expected at most 24 values, found 25."]);
    refuse(&"[".repeat(1000), &["the file: expected JSON, found a fault at line 1, column 128."]);
    refuse(&GOOD[..GOOD.len() - 2], &["the file: expected JSON, found a fault at line 8, column 3."]);
    let long = " ".repeat(1_000_001);
    refuse(&long, &["the file: expected at most 1000000 bytes, found 1000001."]);
    check(
        "\"one\"",
        &format!("\"{}\"", "x".repeat(2001)),
        &["sound.kit: expected a text of at most 2000 characters, found 2001."],
    );
}

#[test]
fn several_mistakes_are_told_together() {
    let text = GOOD.replace("92", "0").replace("\"one\"", "3").replace("|....X..o", "|....q..o");
    refuse(
        &text,
        &[
            "tempo.bpm: expected a number from 20 to 400, found 0.",
            "sound.kit: expected a text, found 3.",
            "lanes[2] (snare), row, bar 2, place 5: expected one of X x o . 2-8 f, found 'q'.",
        ],
    );
}
