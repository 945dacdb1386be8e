//! Drafts: their list, what is done with them, and what is told of them.

use super::numbers::counted;
use super::roles::role;
use crate::lesson::reader::Fault;
use crate::role::Role;

/// Names of controls and headings.
pub mod controls {
    #![allow(missing_docs, reason = "each constant is named after the words it holds")]
    pub const NAME: &str = "Name";
    pub const YOUR_DRAFTS: &str = "Your drafts";
    pub const START: &str = "Start another draft";
    pub const EMPTY: &str = "An empty one";
    pub const STYLE: &str = "Style to start from";
    pub const FROM_STYLE: &str = "Start from this style";
    pub const LINK: &str = "Link to a groove";
    pub const FROM_LINK: &str = "Start from this link";
    pub const FILES: &str = "From groove files (or drop them here)";
    pub const DUPLICATE: &str = "Duplicate";
    pub const SAVE: &str = "Save as a file";
    pub const DELETE: &str = "Delete this draft";
}

/// What a draft is called that nobody has named.
pub const UNNAMED: &str = "Draft";
/// What the draft before the last one is called, of pages that kept only two.
pub const EARLIER: &str = "Earlier draft";

/// Beside the list while it has nothing in it.
pub const NONE_YET: &str = "Nothing is written yet. The first stroke makes this a draft.";

/// The button that brings the draft deleted last back.
pub fn bring_back(name: &str) -> String {
    format!("Bring \u{201c}{name}\u{201d} back")
}

/// When a draft was changed, in ms before now: "just now", "5 minutes ago", "3 days ago".
pub fn ago(ms: u64) -> String {
    let minutes = ms / 60_000;
    let count = |n: u64, one: &str, many: &str| format!("{} ago", counted(usize::try_from(n).unwrap_or(0), one, many));
    match minutes {
        0 => "just now".to_owned(),
        1..60 => count(minutes, "minute", "minutes"),
        60..1440 => count(minutes / 60, "hour", "hours"),
        _ => count(minutes / 1440, "day", "days"),
    }
}

/// Why a file was not taken.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Refusal {
    /// It is far too long.
    TooLong,
    /// The browser could not read it.
    Unread,
    /// It has these mistakes.
    Faults(Vec<Fault>),
}

/// What there is to be told.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Told {
    /// Another page has changed the draft, and this one shows it now.
    TakenOver,
    /// Another page has changed the draft too; its version is a draft of this name.
    KeptBoth(String),
    /// A draft was deleted.
    Deleted(String),
    /// Files were read: how many became drafts, and why others did not.
    Files(usize, Vec<(String, Refusal)>),
    /// The draft cannot be read and was put aside.
    PutAside(String),
    /// The browser would not save the file.
    NotSaved,
    /// A voice of one's own plays this role in the draft now; whether the draft has a line for it.
    VoiceTaken(Role, bool),
    /// The draft has as many own voices as it can have.
    VoicesFull,
}

/// The sentence for it.
pub fn sentence(told: &Told) -> String {
    match told {
        Told::TakenOver => {
            "This draft was changed in another tab, and is shown as it is there. Undo brings yours back.".to_owned()
        }
        Told::KeptBoth(name) => format!(
            "This draft was changed in another tab too. Nothing is lost: that version is \u{201c}{name}\u{201d} in the list."
        ),
        Told::Deleted(name) => format!("\u{201c}{name}\u{201d} is deleted. The list has a button that brings it back."),
        Told::PutAside(name) => {
            format!("\u{201c}{name}\u{201d} could not be read. It has been put aside, not thrown away.")
        }
        Told::NotSaved => "The browser would not save the file. Copy the link instead.".to_owned(),
        Told::VoiceTaken(played, has_line) => {
            let name = role(*played).to_lowercase();
            let line = if *has_line { "" } else { " It has no line yet: add one below." };
            format!("This draft plays your own {name} now. Undo takes that back.{line}")
        }
        Told::VoicesFull => {
            "This draft has sixteen voices of its own already. Give one back to the kit first: the sound mark lists them."
                .to_owned()
        }
        Told::Files(taken, refused) => {
            let mut parts = Vec::new();
            if *taken > 0 {
                parts.push(format!("{} opened.", counted(*taken, "groove", "grooves")));
            }
            parts.extend(refused.iter().map(|(file, refusal)| refused_file(file, refusal)));
            if !refused.is_empty() {
                parts.push("Your drafts are as they were.".to_owned());
            }
            parts.join(" ")
        }
    }
}

fn refused_file(file: &str, refusal: &Refusal) -> String {
    match refusal {
        Refusal::TooLong => format!("\u{201c}{file}\u{201d} is far too long to be a groove."),
        Refusal::Unread => format!("\u{201c}{file}\u{201d} could not be read."),
        Refusal::Faults(faults) => {
            let first = faults.first().map(ToString::to_string).unwrap_or_default();
            let more = match faults.len() {
                0 | 1 => String::new(),
                n => format!(" ({} more)", n - 1),
            };
            format!("\u{201c}{file}\u{201d} is no groove yet: {first}{more}")
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_since() {
        for (minutes, want) in
            [(0, "just now"), (1, "1 minute ago"), (59, "59 minutes ago"), (60, "1 hour ago"), (4000, "2 days ago")]
        {
            assert_eq!(ago(minutes * 60_000), want);
        }
    }

    #[test]
    fn files_are_told_with_the_place_of_the_mistake() {
        let faults = crate::lesson::groove::read("{\n  \"stickleback\": 1,\n  x").unwrap_err();
        let told = Told::Files(2, vec![("beat.json".to_owned(), Refusal::Faults(faults))]);
        assert_eq!(
            sentence(&told),
            "2 grooves opened. \u{201c}beat.json\u{201d} is no groove yet: the file: expected JSON, found a fault at line 3, column 3. Your drafts are as they were."
        );
        assert_eq!(sentence(&Told::Files(1, Vec::new())), "1 groove opened.");
    }
}
