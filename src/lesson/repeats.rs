//! Keys written twice. JSON lets the second silently win, and a lane or a hallmark would be lost: here it is a fault.

use super::reader::{Fault, FaultKind, MOST_FAULTS};
use std::collections::HashSet;

/// Where the walk stands: an object with the keys met so far, or an array with the place.
enum Level {
    Object { keys: HashSet<String>, key: Option<String> },
    Array { index: usize },
}

/// The keys `text` writes more than once in one object, and texts longer than `most` characters. `text` must be JSON; in
/// anything else the findings mean nothing, and nothing worse happens.
pub fn faults(text: &str, most: usize) -> Vec<Fault> {
    let mut faults = Vec::new();
    let mut levels: Vec<Level> = Vec::new();
    let bytes = text.as_bytes();
    let mut at = 0;
    while let Some(&byte) = bytes.get(at) {
        if faults.len() >= MOST_FAULTS {
            break;
        }
        match byte {
            b'{' => levels.push(Level::Object { keys: HashSet::new(), key: None }),
            b'[' => levels.push(Level::Array { index: 0 }),
            b'}' | b']' => {
                levels.pop();
            }
            b',' => match levels.last_mut() {
                Some(Level::Object { key, .. }) => *key = None,
                Some(Level::Array { index }) => *index += 1,
                None => {}
            },
            b'"' => {
                let end = string_end(bytes, at);
                let raw = text.get(at..end).unwrap_or("\"\"");
                let string: String = serde_json::from_str(raw).unwrap_or_default();
                let length = string.chars().count();
                let mut twice = false;
                if let Some(Level::Object { keys, key: key @ None }) = levels.last_mut() {
                    twice = !keys.insert(string.clone());
                    *key = Some(string.chars().take(40).collect());
                }
                let fault = |expected: String, found: String| Fault {
                    at: path(&levels),
                    what: FaultKind::Unexpected { expected, found },
                };
                if twice {
                    faults.push(fault("this key once".to_owned(), "it twice".to_owned()));
                }
                if length > most {
                    faults.push(fault(format!("a text of at most {most} characters"), length.to_string()));
                }
                at = end;
                continue;
            }
            _ => {}
        }
        at += 1;
    }
    faults
}

/// The byte after the text that begins at `at`.
fn string_end(bytes: &[u8], at: usize) -> usize {
    let mut end = at + 1;
    while let Some(&byte) = bytes.get(end) {
        match byte {
            b'\\' => end += 2,
            b'"' => return end + 1,
            _ => end += 1,
        }
    }
    bytes.len()
}

fn path(levels: &[Level]) -> String {
    let mut path = String::new();
    for level in levels {
        match level {
            Level::Object { key: Some(key), .. } => {
                if !path.is_empty() {
                    path.push('.');
                }
                path.push_str(key);
            }
            Level::Object { key: None, .. } => {}
            Level::Array { index } => path.push_str(&format!("[{index}]")),
        }
    }
    path
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(text: &str, want: &[&str]) {
        let found: Vec<String> = faults(text, 10).iter().map(ToString::to_string).collect();
        assert_eq!(found, want);
    }

    #[test]
    fn keys_met_twice() {
        check(r#"{"a": [1, {"b": 1, "c": {"b": 2}}], "b": "\"{,"}"#, &[]);
        check(
            r#"{"a": [1, {"b": 1, "b": "b"}], "\u0061": 2}"#,
            &["a[1].b: expected this key once, found it twice.", "a: expected this key once, found it twice."],
        );
        check(r#"{"a": "12345678901"}"#, &["a: expected a text of at most 10 characters, found 11."]);
        check("\"\\", &[]);
        check("}]{\"", &[]);
    }
}
