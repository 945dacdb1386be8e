//! Quotation marks as they are printed: research notes and typewriters have straight ones.

use serde_json::Value;

/// Every text within `value` with curved quotation marks and apostrophes. A counted place in quotes ('and', 'e', 'a')
/// stands bare, as places do everywhere else.
pub fn curved(value: Value) -> Value {
    match value {
        Value::String(text) => Value::String(curved_text(&text)),
        Value::Array(values) => values.into_iter().map(curved).collect(),
        Value::Object(map) => map.into_iter().map(|(key, value)| (key, curved(value))).collect(),
        other => other,
    }
}

fn curved_text(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut rest = text;
    while let Some(at) = rest.find(['\'', '"']) {
        let (before, from) = rest.split_at(at);
        out.push_str(before);
        let (mark, after) = from.split_at(1);
        let in_word = out.ends_with(char::is_alphanumeric);
        match (in_word, after.find(mark)) {
            (false, Some(end)) if !after.starts_with(' ') => {
                match &after[..end] {
                    place @ ("and" | "e" | "a") => out.push_str(place),
                    quoted => out.extend(["\u{201c}", quoted, "\u{201d}"]),
                }
                rest = &after[end + 1..];
            }
            _ => {
                out.push('\u{2019}');
                rest = after;
            }
        }
    }
    out + rest
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn straight_marks_become_curved() {
        let check = |text: &str, expected: &str| assert_eq!(curved_text(text), expected);
        check("Kick on 1.", "Kick on 1.");
        check("the kick's tail", "the kick’s tail");
        check("Say 'boom ... bap' in time", "Say “boom ... bap” in time");
        check("on every 'and', short", "on every and, short");
        check("on e's and a's", "on e’s and a’s");
        check("('a of 3' and \"and of 4\")", "(“a of 3” and “and of 4”)");
        check("kick's 'late' swing's", "kick’s “late” swing’s");
    }
}
