//! How far a learner has come in one lesson: where they are, and what they have solved with how many hints.

use serde_json::{Map, Value, json};
use std::collections::BTreeMap;

/// The stage a learner was in last, and the stages whose task they have solved.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Progress {
    /// The identifier of the stage they were in; `None` is the whole groove.
    pub at: Option<String>,
    /// The stages whose task is solved, each with the fewest hints it took.
    pub solved: BTreeMap<String, u8>,
}

impl Progress {
    /// Notes that the task of `stage` was solved after so many hints; a solution with fewer hints is not forgotten.
    pub fn solve(&mut self, stage: &str, hints: u8) {
        let fewest = self.solved.entry(stage.to_owned()).or_insert(hints);
        *fewest = hints.min(*fewest);
    }

    /// As text to keep on the device.
    pub fn write(&self) -> String {
        let solved: Map<String, Value> =
            self.solved.iter().map(|(stage, hints)| (stage.clone(), (*hints).into())).collect();
        json!({"stickleback": 1, "kind": "progress", "at": self.at, "solved": solved}).to_string()
    }

    /// Reads what [`Progress::write`] wrote; `None` for anything else. Stages the lesson no longer has do no harm.
    pub fn read(text: &str) -> Option<Progress> {
        let value: Value = serde_json::from_str(text).ok()?;
        let file = value.as_object()?;
        if file.get("stickleback")?.as_u64()? != 1 || file.get("kind")?.as_str()? != "progress" {
            return None;
        }
        let at = match file.get("at")? {
            Value::Null => None,
            value => Some(value.as_str()?.to_owned()),
        };
        let solved = file.get("solved")?.as_object()?.iter();
        let solved = solved.map(|(stage, hints)| Some((stage.clone(), u8::try_from(hints.as_u64()?).ok()?)));
        Some(Progress { at, solved: solved.collect::<Option<_>>()? })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(at: Option<&str>, solved: &[(&str, u8)], want: &str) {
        let mut progress = Progress { at: at.map(str::to_owned), ..Progress::default() };
        solved.iter().for_each(|(stage, hints)| progress.solve(stage, *hints));
        assert_eq!(progress.write(), want);
        assert_eq!(Progress::read(want), Some(progress));
    }

    #[test]
    fn written_and_read() {
        check(None, &[], r#"{"stickleback":1,"kind":"progress","at":null,"solved":{}}"#);
        check(
            Some("hats"),
            &[("kick", 2), ("hats", 3), ("kick", 1), ("hats", 9)],
            r#"{"stickleback":1,"kind":"progress","at":"hats","solved":{"hats":3,"kick":1}}"#,
        );
    }

    #[test]
    fn what_is_no_progress_is_not_read() {
        for text in [
            "",
            "{}",
            "[1]",
            r#"{"stickleback":2,"kind":"progress","at":null,"solved":{}}"#,
            r#"{"stickleback":1,"kind":"style","at":null,"solved":{}}"#,
            r#"{"stickleback":1,"kind":"progress","at":3,"solved":{}}"#,
            r#"{"stickleback":1,"kind":"progress","at":null,"solved":{"a":-1}}"#,
            r#"{"stickleback":1,"kind":"progress","at":null,"solved":{"a":256}}"#,
        ] {
            assert_eq!(Progress::read(text), None, "{text}");
        }
    }
}
