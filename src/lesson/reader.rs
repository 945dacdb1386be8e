//! Reading JSON from outside: a cursor that knows where it is and notes every fault it meets.
//!
//! # How to use it
//! [`parse`] makes text a [`Value`]; [`read`] runs a builder over the value's root [`Node`] and returns what was built,
//! or *all* faults met on the way. A reading method that fails notes a [`Fault`] and returns `None`, so a builder reads
//! all its fields first and joins them with `?` only at the end; then a person mending a file sees every fault at once.
//!
//! ```
//! use stickleback::lesson::reader::{parse, read};
//!
//! let value = parse(r#"{ "name": "Kick", "decay_ms": 9000, "colour": 1 }"#, 1000)?;
//! let found = read(&value, |root| {
//!     let voice = root.object(&["name", "decay_ms"])?;
//!     let name = voice.field("name").and_then(|node| node.string());
//!     let decay = voice.field("decay_ms").and_then(|node| node.number(1.0..=8000.0));
//!     Some((name?.to_owned(), decay?))
//! });
//! let faults: Vec<String> = found.unwrap_err().iter().map(ToString::to_string).collect();
//! assert_eq!(faults[0], "colour: this key is not known here; known are name, decay_ms.");
//! assert_eq!(faults[1], "decay_ms: expected a number from 1 to 8000, found 9000.");
//! # Ok::<(), stickleback::lesson::reader::Fault>(())
//! ```

use core::cell::RefCell;
use core::fmt;
use core::ops::RangeInclusive;

use serde_json::{Map, Value};

/// Most faults noted in one reading: enough to mend a file by, and a bound for a hostile one.
pub const MOST_FAULTS: usize = 64;

/// Longest piece of the file quoted in a fault, in characters.
const LONGEST_QUOTE: usize = 40;

/// What is wrong, and where.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fault {
    /// The place in the file: keys joined by dots, array places in brackets (`stages[2].text`); empty for the whole file.
    pub at: String,
    /// What is wrong there.
    pub what: FaultKind,
}

/// The ways a file can be wrong.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum FaultKind {
    /// The text is longer than the reader takes; both in bytes.
    TooLong {
        /// Most bytes taken.
        most: usize,
        /// Bytes given.
        found: usize,
    },
    /// The text is no JSON; line and column count from 1.
    NotJson {
        /// Line of the first fault.
        line: usize,
        /// Column of the first fault.
        column: usize,
    },
    /// A key that must be there is not.
    Missing,
    /// A key that nothing reads, with those that are read beside it.
    UnknownKey {
        /// The keys known at this place.
        known: Vec<String>,
    },
    /// The value is of the wrong kind, out of range or no choice: both sides in words.
    Unexpected {
        /// What may stand here.
        expected: String,
        /// What stands here, shortened.
        found: String,
    },
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(if self.at.is_empty() { "the file" } else { &self.at })?;
        match &self.what {
            FaultKind::TooLong { most, found } => write!(f, ": expected at most {most} bytes, found {found}."),
            FaultKind::NotJson { line, column } => {
                write!(f, ": expected JSON, found a fault at line {line}, column {column}.")
            }
            FaultKind::Missing => f.write_str(": expected here, but missing."),
            FaultKind::UnknownKey { known } => {
                write!(f, ": this key is not known here; known are {}.", known.join(", "))
            }
            FaultKind::Unexpected { expected, found } => write!(f, ": expected {expected}, found {found}."),
        }
    }
}

impl core::error::Error for Fault {}

/// Reads `text` of at most `most_bytes` as JSON.
///
/// # Errors
/// [`FaultKind::TooLong`] or [`FaultKind::NotJson`] (which includes nesting beyond 128).
pub fn parse(text: &str, most_bytes: usize) -> Result<Value, Fault> {
    let fault = |what| Fault { at: String::new(), what };
    if text.len() > most_bytes {
        return Err(fault(FaultKind::TooLong { most: most_bytes, found: text.len() }));
    }
    serde_json::from_str(text).map_err(|error| fault(FaultKind::NotJson { line: error.line(), column: error.column() }))
}

/// Runs `build` over the root of `value`.
///
/// # Errors
/// Every fault noted, in the order met (at most [`MOST_FAULTS`]). A builder that yields `None` without noting why gets
/// [`FaultKind::Missing`] for the whole file, so a failure is never silent.
pub fn read<T>(value: &Value, build: impl FnOnce(Node<'_>) -> Option<T>) -> Result<T, Vec<Fault>> {
    let faults = RefCell::new(Vec::new());
    let built = build(Node { value, at: String::new(), faults: &faults });
    let mut faults = faults.into_inner();
    match built {
        Some(built) if faults.is_empty() => Ok(built),
        _ => {
            if faults.is_empty() {
                faults.push(Fault { at: String::new(), what: FaultKind::Missing });
            }
            Err(faults)
        }
    }
}

/// One value of the file, with its place.
#[derive(Clone, Debug)]
pub struct Node<'a> {
    value: &'a Value,
    at: String,
    faults: &'a RefCell<Vec<Fault>>,
}

impl<'a> Node<'a> {
    /// The place of this value, as in [`Fault::at`].
    pub fn at(&self) -> &str {
        &self.at
    }

    /// The value itself, for what no method here reads.
    pub fn value(&self) -> &'a Value {
        self.value
    }

    /// Notes a fault at this place.
    pub fn note(&self, what: FaultKind) {
        let mut faults = self.faults.borrow_mut();
        if faults.len() < MOST_FAULTS {
            faults.push(Fault { at: self.at.clone(), what });
        }
    }

    /// Notes that something else was expected here, quoting what stands here; always `None`, to end a builder with.
    pub fn refuse<T>(&self, expected: impl Into<String>) -> Option<T> {
        self.note(FaultKind::Unexpected { expected: expected.into(), found: quote(self.value) });
        None
    }

    /// An object whose keys are all among `known`; each other key is noted, and reading goes on.
    pub fn object(&self, known: &[&str]) -> Option<Object<'a>> {
        let Value::Object(map) = self.value else { return self.refuse("an object") };
        for key in map.keys().filter(|key| !known.contains(&key.as_str())) {
            let known = known.iter().map(|&key| key.to_owned()).collect();
            self.child(&self.key_path(key), self.value).note(FaultKind::UnknownKey { known });
        }
        Some(Object { map, node: self.clone() })
    }

    /// An object with keys of the file's own choosing, in the file's order.
    pub fn entries(&self) -> Option<Vec<(&'a str, Node<'a>)>> {
        let Value::Object(map) = self.value else { return self.refuse("an object") };
        Some(map.iter().map(|(key, value)| (key.as_str(), self.child(&self.key_path(key), value))).collect())
    }

    /// An array of at most `most` values.
    pub fn array(&self, most: usize) -> Option<Vec<Node<'a>>> {
        let Value::Array(values) = self.value else { return self.refuse("an array") };
        if values.len() > most {
            let (expected, found) = (format!("at most {most} values"), format!("{}", values.len()));
            self.note(FaultKind::Unexpected { expected, found });
            return None;
        }
        Some(values.iter().enumerate().map(|(i, value)| self.child(&format!("{}[{i}]", self.at), value)).collect())
    }

    /// Every value of an array of at most `most`, read by `read_one`; all are read, so that all faults are noted.
    pub fn each<T>(&self, most: usize, read_one: impl Fn(&Node<'a>) -> Option<T>) -> Option<Vec<T>> {
        let read: Vec<Option<T>> = self.array(most)?.iter().map(read_one).collect();
        read.into_iter().collect()
    }

    /// A text of any length.
    pub fn string(&self) -> Option<&'a str> {
        let Value::String(text) = self.value else { return self.refuse("a text") };
        Some(text)
    }

    /// A text of 1 to `most` characters.
    pub fn text(&self, most: usize) -> Option<&'a str> {
        let text = self.string()?;
        match text.chars().count() {
            count if (1..=most).contains(&count) => Some(text),
            _ => self.refuse(format!("a text of 1 to {most} characters")),
        }
    }

    /// A text that `parse` understands; `expected` names such texts (`"a role"`).
    pub fn parsed<T>(&self, expected: &str, parse: impl FnOnce(&'a str) -> Option<T>) -> Option<T> {
        parse(self.string()?).or_else(|| self.refuse(expected))
    }

    /// One of a few words, each with its meaning.
    pub fn choice<T: Copy>(&self, words: &[(&str, T)]) -> Option<T> {
        let text = self.value.as_str();
        let found = words.iter().find(|&&(word, _)| Some(word) == text).map(|&(_, meaning)| meaning);
        found.or_else(|| {
            let listed: Vec<String> = words.iter().map(|(word, _)| format!("\"{word}\"")).collect();
            self.refuse(format!("one of {}", listed.join(", ")))
        })
    }

    /// `true` or `false`.
    pub fn boolean(&self) -> Option<bool> {
        self.value.as_bool().or_else(|| self.refuse("true or false"))
    }

    /// A number within `range`, both ends included.
    pub fn number(&self, range: RangeInclusive<f64>) -> Option<f64> {
        let within = self.value.as_f64().filter(|number| range.contains(number));
        within.or_else(|| self.refuse(format!("a number from {} to {}", range.start(), range.end())))
    }

    /// A whole number within `range`, both ends included.
    pub fn integer(&self, range: RangeInclusive<i64>) -> Option<i64> {
        let within = self.value.as_i64().filter(|number| range.contains(number));
        within.or_else(|| self.refuse(format!("a whole number from {} to {}", range.start(), range.end())))
    }

    /// The same value with `place` added to where it stands: ` (snare)` after a lane's number, `, row, bar 2` inside a text.
    pub fn within(&self, place: &str) -> Node<'a> {
        self.child(&format!("{}{place}", self.at), self.value)
    }

    fn child(&self, at: &str, value: &'a Value) -> Node<'a> {
        Node { value, at: at.to_owned(), faults: self.faults }
    }

    fn key_path(&self, key: &str) -> String {
        let key: String = key.chars().take(LONGEST_QUOTE).collect();
        if self.at.is_empty() { key } else { format!("{}.{key}", self.at) }
    }
}

/// An object whose keys have been checked.
#[derive(Clone, Debug)]
pub struct Object<'a> {
    map: &'a Map<String, Value>,
    node: Node<'a>,
}

impl<'a> Object<'a> {
    /// The object as a node, to note a fault of the whole.
    pub fn node(&self) -> &Node<'a> {
        &self.node
    }

    /// The value of a key that must be there; its absence is noted.
    pub fn field(&self, key: &str) -> Option<Node<'a>> {
        let found = self.optional(key);
        if found.is_none() {
            self.node.child(&self.node.key_path(key), self.node.value).note(FaultKind::Missing);
        }
        found
    }

    /// The value of a key that may be absent.
    pub fn optional(&self, key: &str) -> Option<Node<'a>> {
        self.map.get(key).map(|value| self.node.child(&self.node.key_path(key), value))
    }

    /// A key that may be absent: `Some(None)` when it is, `None` when its value was refused.
    pub fn optionally<T>(&self, key: &str, read: impl FnOnce(&Node<'a>) -> Option<T>) -> Option<Option<T>> {
        match self.optional(key) {
            None => Some(None),
            Some(node) => read(&node).map(Some),
        }
    }
}

/// The value in words: numbers and short texts as they stand, the rest by kind.
fn quote(value: &Value) -> String {
    match value {
        Value::Null => "null".to_owned(),
        Value::Bool(flag) => flag.to_string(),
        Value::Number(number) => number.to_string(),
        Value::String(text) => {
            let cut: String = text.chars().take(LONGEST_QUOTE).collect();
            let more = if cut.len() < text.len() { "..." } else { "" };
            format!("the text \"{cut}{more}\"")
        }
        Value::Array(values) => format!("an array of {}", values.len()),
        Value::Object(_) => "an object".to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Reads a small invented file and lists the faults, one a line.
    fn check(text: &str, expected: &[&str]) {
        let faults = match parse(text, 200) {
            Err(fault) => vec![fault],
            Ok(value) => read(&value, |root| {
                let object = root.object(&["name", "bpm", "lanes", "mode", "extra"])?;
                let name = object.field("name").and_then(|node| node.text(8));
                let bpm = object.field("bpm").and_then(|node| node.integer(20..=400));
                let lanes = object.optionally("lanes", |node| node.each(2, |lane| lane.number(0.0..=1.0)));
                let mode = object.optionally("mode", |node| node.choice(&[("on", true), ("off", false)]));
                let extra = object.optionally("extra", |node| {
                    let entries = node.entries()?;
                    entries
                        .iter()
                        .map(|(_, entry)| entry.boolean())
                        .collect::<Vec<_>>()
                        .into_iter()
                        .all(|x| x.is_some())
                        .then_some(())
                });
                Some((name?, bpm?, lanes?, mode?, extra?)).map(|_| ())
            })
            .err()
            .unwrap_or_default(),
        };
        let told: Vec<String> = faults.iter().map(ToString::to_string).collect();
        assert_eq!(told, expected, "{text}");
    }

    #[test]
    fn each_fault_is_one_sentence_with_its_place() {
        check(r#"{"name": "a", "bpm": 90}"#, &[]);
        check(r#"{"name": "a", "bpm": 90, "lanes": [0, 1], "mode": "off", "extra": {"k": true}}"#, &[]);
        check("[1", &["the file: expected JSON, found a fault at line 1, column 2."]);
        check(&" ".repeat(201), &["the file: expected at most 200 bytes, found 201."]);
        check("[]", &["the file: expected an object, found an array of 0."]);
        check(
            r#"{"bpm": 12.5, "lanes": [0.5, 2], "mode": "up", "extra": {"k": null}}"#,
            &[
                "name: expected here, but missing.",
                "bpm: expected a whole number from 20 to 400, found 12.5.",
                "lanes[1]: expected a number from 0 to 1, found 2.",
                "mode: expected one of \"on\", \"off\", found the text \"up\".",
                "extra.k: expected true or false, found null.",
            ],
        );
        check(
            r#"{"name": "", "bpm": "x", "lanes": [1, 1, 1], "tempo": 3}"#,
            &[
                "tempo: this key is not known here; known are name, bpm, lanes, mode, extra.",
                "name: expected a text of 1 to 8 characters, found the text \"\".",
                "bpm: expected a whole number from 20 to 400, found the text \"x\".",
                "lanes: expected at most 2 values, found 3.",
            ],
        );
    }

    #[test]
    fn a_silent_failure_and_a_flood_are_both_told() {
        let nothing = read(&Value::Null, |_| None::<()>);
        assert_eq!(nothing, Err(vec![Fault { at: String::new(), what: FaultKind::Missing }]));
        let flood = Value::Array(vec![Value::Null; 1000]);
        let faults = read(&flood, |root| root.each(1000, |node| node.boolean())).unwrap_err();
        assert_eq!(faults.len(), MOST_FAULTS);
    }
}
