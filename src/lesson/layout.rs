//! Laying JSON out for people: what is short stays on one line, the rows of a groove stand under each other.

use serde_json::{Map, Value};

/// What fits on a line, in characters.
const WIDTH: usize = 120;

/// Two spaces a level.
const INDENT: usize = 2;

/// `value` as JSON text, ending in a line break.
///
/// An object or array is written on one line where it fits 120 characters, else one entry a line. The lanes of a groove
/// (an array under the key `lanes`) are one a line, their rows aligned; what follows the row breaks only inside `details`.
pub fn write(value: &Value) -> String {
    let mut text = String::new();
    put(&mut text, value, 0, 0, true);
    text.push('\n');
    text
}

/// Writes `value`, which begins after `before` characters of its line, at nesting `depth`; `broken` forces it over lines.
fn put(text: &mut String, value: &Value, depth: usize, before: usize, broken: bool) {
    let line = one_line(value);
    if !broken && before + line.chars().count() < WIDTH {
        text.push_str(&line);
        return;
    }
    match value {
        Value::Object(map) if !map.is_empty() => put_object(text, map, depth),
        Value::Array(values) if !values.is_empty() => {
            text.push('[');
            for (index, value) in values.iter().enumerate() {
                open(text, depth + 1, index);
                put(text, value, depth + 1, (depth + 1) * INDENT, holds_lanes(value));
            }
            close(text, depth, ']');
        }
        _ => text.push_str(&line),
    }
}

fn put_object(text: &mut String, map: &Map<String, Value>, depth: usize) {
    text.push('{');
    for (index, (key, value)) in map.iter().enumerate() {
        open(text, depth + 1, index);
        let key_text = format!("{}: ", quoted(key));
        text.push_str(&key_text);
        let before = (depth + 1) * INDENT + key_text.chars().count();
        match value {
            Value::Array(lanes) if is_lanes(key, value) && !lanes.is_empty() => put_lanes(text, lanes, depth + 1),
            _ => put(text, value, depth + 1, before, holds_lanes(value)),
        }
    }
    close(text, depth, '}');
}

/// Whether these are the lanes of a groove, and not only their roles.
fn is_lanes(key: &str, value: &Value) -> bool {
    key == "lanes" && value.get(0).is_none_or(Value::is_object)
}

/// Whether a groove or part of one lies inside, which is never squeezed onto one line.
fn holds_lanes(value: &Value) -> bool {
    match value {
        Value::Object(map) => map.iter().any(|(key, value)| is_lanes(key, value) || holds_lanes(value)),
        Value::Array(values) => values.iter().any(holds_lanes),
        _ => false,
    }
}

/// The lanes of a groove: `role` and `row` first and aligned.
fn put_lanes(text: &mut String, lanes: &[Value], depth: usize) {
    let role_width = lanes.iter().filter_map(|lane| Some(quoted(lane.get("role")?.as_str()?).len())).max().unwrap_or(0);
    text.push('[');
    for (index, lane) in lanes.iter().enumerate() {
        open(text, depth + 1, index);
        let Value::Object(map) = lane else {
            put(text, lane, depth + 1, (depth + 1) * INDENT, false);
            continue;
        };
        let mut line = String::from("{");
        let mut details = None;
        for (key, value) in map {
            if key == "details" {
                details = Some(value);
                continue;
            }
            if line.len() > 1 {
                line.push_str(", ");
            }
            if key == "row" {
                let width = "{\"role\": , ".len() + role_width;
                line.push_str(&" ".repeat(width.saturating_sub(line.len())));
            }
            line.push_str(&format!("{}: {}", quoted(key), one_line(value)));
        }
        if let Some(details) = details {
            line.push_str(", \"details\": ");
            text.push_str(&line);
            put(text, details, depth + 1, (depth + 1) * INDENT + line.chars().count() + 1, false);
        } else {
            text.push_str(&line);
        }
        text.push('}');
    }
    close(text, depth, ']');
}

fn open(text: &mut String, depth: usize, index: usize) {
    text.push_str(if index == 0 { "\n" } else { ",\n" });
    text.push_str(&" ".repeat(depth * INDENT));
}

fn close(text: &mut String, depth: usize, bracket: char) {
    text.push('\n');
    text.push_str(&" ".repeat(depth * INDENT));
    text.push(bracket);
}

/// `value` on one line, with a space after colons and commas.
fn one_line(value: &Value) -> String {
    match value {
        Value::Object(map) => {
            let parts: Vec<String> =
                map.iter().map(|(key, value)| format!("{}: {}", quoted(key), one_line(value))).collect();
            format!("{{{}}}", parts.join(", "))
        }
        Value::Array(values) => {
            let parts: Vec<String> = values.iter().map(one_line).collect();
            format!("[{}]", parts.join(", "))
        }
        Value::String(text) => quoted(text),
        other => other.to_string(),
    }
}

/// `text` as a JSON text.
fn quoted(text: &str) -> String {
    Value::from(text).to_string()
}

/// A number as people write it: whole where it is whole.
pub fn number(value: f64) -> Value {
    if value.fract() == 0.0 && value.abs() < 1e15 { Value::from(value as i64) } else { Value::from(value) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    #[test]
    fn short_on_one_line_and_rows_aligned() {
        let value = json!({
            "kind": "groove",
            "tempo": {"bpm": 78, "unit": "1/4"},
            "lanes": [
                {"role": "kick", "row": "X...", "lean_ms": -2.5},
                {"role": "hat-closed", "row": "xxxx", "details": {"1:1": {"loudness": 90}}},
            ],
            "text": "t".repeat(130),
            "list": ["a".repeat(70), "b".repeat(70)],
            "none": [],
        });
        let text = write(&value);
        let want = format!(
            concat!(
                "{{\n  \"kind\": \"groove\",\n  \"tempo\": {{\"bpm\": 78, \"unit\": \"1/4\"}},\n  \"lanes\": [\n",
                "    {{\"role\": \"kick\",       \"row\": \"X...\", \"lean_ms\": -2.5}},\n",
                "    {{\"role\": \"hat-closed\", \"row\": \"xxxx\", \"details\": {{\"1:1\": {{\"loudness\": 90}}}}}}\n  ],\n",
                "  \"text\": \"{}\",\n  \"list\": [\n    \"{}\",\n    \"{}\"\n  ],\n  \"none\": []\n}}\n"
            ),
            "t".repeat(130),
            "a".repeat(70),
            "b".repeat(70)
        );
        assert_eq!(text, want);
        assert_eq!(serde_json::from_str::<Value>(&text).unwrap(), value);
    }
}
