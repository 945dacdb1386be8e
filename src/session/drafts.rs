//! Drafts as they are kept: their record, their list, their names, and what becomes of two versions of one.
//!
//! Each draft has a record of its own. The list of them is only a convenience: it is made anew from the records whenever
//! the two disagree. A record tells who wrote it and as the how-manieth, so that a page can see that another one has
//! written since.

use crate::lesson::groove as groove_file;
use crate::lesson::reader::Fault;
use crate::rhythm::Groove;
use crate::share::{self, LinkFault, MAX_LINK};

/// The longest name of a draft, in characters.
pub const LONGEST_NAME: usize = 60;
/// The first line of every record.
const HEAD: &str = "stickleback draft 1";
/// The last line of every record: one that broke off while it was written does not have it.
const FOOT: &str = "end";

/// Which writing of a draft this is.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Stamp {
    /// Counts the writings of one draft.
    pub revision: u32,
    /// The page that wrote it: a number drawn when the page was opened.
    pub writer: u32,
}

/// A draft as it lies on the device.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Record {
    /// What it is called.
    pub name: String,
    /// When it was last changed, in ms since 1970.
    pub changed: u64,
    /// Which writing of it this is.
    pub stamp: Stamp,
    /// The groove, as [`text_of`] writes it.
    pub groove: String,
}

impl Record {
    /// The record as text.
    pub fn write(&self) -> String {
        let Stamp { revision, writer } = self.stamp;
        format!("{HEAD}\n{} {revision} {writer}\n{}\n{}\n{FOOT}", self.changed, self.name, self.groove.trim_end())
    }

    /// Reads a record; `None` if it is none or is not whole.
    pub fn read(text: &str) -> Option<Record> {
        let body = text.strip_prefix(HEAD)?.strip_prefix('\n')?.strip_suffix(FOOT)?.strip_suffix('\n')?;
        let (numbers, body) = body.split_once('\n')?;
        let (name, groove) = body.split_once('\n')?;
        let mut numbers = numbers.split(' ');
        let changed = numbers.next()?.parse().ok()?;
        let stamp = Stamp { revision: numbers.next()?.parse().ok()?, writer: numbers.next()?.parse().ok()? };
        numbers.next().is_none().then(|| Record { name: clean_name(name), changed, stamp, groove: groove.to_owned() })
    }

    /// The whole one of a record and the one that was about to take its place; the newer if both are whole.
    pub fn of_two(kept: Option<&str>, coming: Option<&str>) -> Option<Record> {
        let read = |text: Option<&str>| text.and_then(Record::read);
        match (read(kept), read(coming)) {
            (Some(kept), Some(coming)) => Some(if coming.stamp.revision > kept.stamp.revision { coming } else { kept }),
            (kept, coming) => kept.or(coming),
        }
    }
}

/// A groove as text: that of its link, or of its file where a link would be too long to be read again.
pub fn text_of(groove: &Groove) -> String {
    let link = share::encode(groove, 0, None);
    if link.len() <= MAX_LINK { link } else { groove_file::write(groove) }
}

/// Why a kept groove cannot be read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Unreadable {
    /// As a link.
    Link(LinkFault),
    /// As a file.
    File(Vec<Fault>),
}

/// Reads what [`text_of`] wrote.
///
/// # Errors
/// Why it is no groove.
pub fn groove_of(text: &str) -> Result<Groove, Unreadable> {
    if text.starts_with('{') {
        return groove_file::read(text).map_err(Unreadable::File);
    }
    share::decode(text).map(|shared| shared.groove).map_err(Unreadable::Link)
}

/// What the list tells of one draft.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Entry {
    /// Its name on the device: letters and digits.
    pub id: String,
    /// What it is called.
    pub name: String,
    /// When it was last changed, in ms since 1970.
    pub changed: u64,
}

/// The list as text: a line a draft.
pub fn write_list(entries: &[Entry]) -> String {
    entries.iter().map(|Entry { id, name, changed }| format!("{id} {changed} {name}\n")).collect()
}

/// The list from its text, if it tells of exactly the drafts called `ids`; otherwise, and line by line, it is not believed.
pub fn read_list(text: &str, ids: &[String]) -> Option<Vec<Entry>> {
    let entry = |line: &str| {
        let (id, rest) = line.split_once(' ')?;
        let (changed, name) = rest.split_once(' ')?;
        Some(Entry { id: id.to_owned(), name: clean_name(name), changed: changed.parse().ok()? })
    };
    let entries: Vec<Entry> = text.lines().map(entry).collect::<Option<_>>()?;
    let told = |id: &String| entries.iter().filter(|entry| entry.id == *id).count() == 1;
    (entries.len() == ids.len() && ids.iter().all(told)).then_some(entries)
}

/// Puts the draft changed last first.
pub fn sort(entries: &mut [Entry]) {
    entries.sort_by(|a, b| b.changed.cmp(&a.changed).then_with(|| a.name.cmp(&b.name)));
}

/// What a page that wants to write a draft finds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Meeting {
    /// What it wrote or read last, or nothing: write.
    Own,
    /// Another page has written since, and here nothing has changed: take that over.
    TheirsOnly,
    /// Both have changed: theirs becomes a draft of its own before ours is written.
    Both,
}

impl Meeting {
    /// Judges what lies on the device now against what this page last wrote or read.
    pub fn of(known: Stamp, stored: Option<Stamp>, changed_here: bool) -> Meeting {
        match stored {
            None => Meeting::Own,
            Some(stored) if stored == known => Meeting::Own,
            Some(_) if changed_here => Meeting::Both,
            Some(_) => Meeting::TheirsOnly,
        }
    }
}

/// A name on one line, without idle spaces, of at most [`LONGEST_NAME`] characters; may be empty.
pub fn clean_name(text: &str) -> String {
    let plain: String = text.chars().map(|c| if c.is_control() { ' ' } else { c }).collect();
    let name = plain.split_whitespace().collect::<Vec<_>>().join(" ");
    name.chars().take(LONGEST_NAME).collect::<String>().trim_end().to_owned()
}

/// `wanted`, or with the first number from 2 on that makes it unlike all `taken` names; `otherwise` where it is empty.
pub fn free_name(wanted: &str, otherwise: &str, taken: &[Entry]) -> String {
    let clean = clean_name(wanted);
    let wanted = if clean.is_empty() { otherwise } else { clean.as_str() };
    // "House 2" duplicated is "House 3".
    let stem = match wanted.rsplit_once(' ') {
        Some((stem, number)) if number.parse::<u16>().is_ok() && !stem.is_empty() => stem,
        _ => wanted,
    };
    let is_free = |name: &str| taken.iter().all(|entry| entry.name != name);
    if is_free(wanted) {
        return wanted.to_owned();
    }
    let stem: String = stem.chars().take(LONGEST_NAME - 6).collect();
    (2..=u16::MAX).map(|number| format!("{stem} {number}")).find(|name| is_free(name)).unwrap_or(stem)
}

/// The name of the file a draft is saved as: "Thursday-evening.groove.json".
pub fn file_name(name: &str) -> String {
    format!("{}.groove.json", file_stem(name))
}

/// What any file of that name begins with: "Thursday-evening".
pub fn file_stem(name: &str) -> String {
    let plain: String = name.chars().map(|c| if c.is_alphanumeric() { c } else { '-' }).collect();
    let parts: Vec<&str> = plain.split('-').filter(|part| !part.is_empty()).collect();
    if parts.is_empty() { "draft".to_owned() } else { parts.join("-") }
}

/// What a draft from a file of that name is called.
pub fn name_of_file(file: &str) -> String {
    let stem = file.strip_suffix(".json").unwrap_or(file);
    clean_name(&stem.strip_suffix(".groove").unwrap_or(stem).replace(['-', '_'], " "))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use proptest::test_runner::RngSeed;

    fn record(revision: u32) -> Record {
        Record {
            name: "Thursday evening".to_owned(),
            changed: 1_700_000_000_000,
            stamp: Stamp { revision, writer: 7 },
            groove: text_of(&super::super::draft::blank()),
        }
    }

    #[test]
    fn a_record_reads_back_and_a_torn_one_is_none() {
        let text = record(3).write();
        assert_eq!(Record::read(&text), Some(record(3)));
        for end in 0..text.len() {
            assert_eq!(Record::read(&text[..end]), None, "torn after {end} bytes");
        }
        assert_eq!(groove_of(&record(1).groove), Ok(super::super::draft::blank()));
    }

    #[test]
    fn of_two_records_the_newer_whole_one_counts() {
        let (old, new) = (record(1).write(), record(2).write());
        let torn = &new[..new.len() - 5];
        for (kept, coming, want) in [
            (Some(old.as_str()), None, Some(1)),
            (Some(&old), Some(new.as_str()), Some(2)),
            (Some(&new), Some(&old), Some(2)),
            (Some(&old), Some(torn), Some(1)),
            (Some(torn), Some(&new), Some(2)),
            (None, Some(&new), Some(2)),
            (Some(torn), Some(torn), None),
            (None, None, None),
        ] {
            assert_eq!(Record::of_two(kept, coming).map(|record| record.stamp.revision), want);
        }
    }

    #[test]
    fn a_groove_too_long_for_a_link_is_kept_as_a_file() {
        use crate::rhythm::{Loudness, Stroke, Tick};
        let mut groove = super::super::draft::blank();
        groove.apply(&crate::rhythm::Edit::SetBars(8)).unwrap();
        for lane in groove.pattern.lanes().iter().map(|lane| lane.id).collect::<Vec<_>>() {
            for n in 0..1000_i64 {
                let nudge = Tick(n * n % 101 - 50);
                let stroke = Stroke::new(Tick(n * 30 + n * n % 17), Loudness::clamped((n * n % 127) as i32 + 1));
                let stroke = Stroke { nudge, ..stroke };
                groove.apply(&crate::rhythm::Edit::Put(lane, stroke)).unwrap();
            }
        }
        let text = text_of(&groove);
        assert!(text.starts_with('{'), "{} characters", share::encode(&groove, 0, None).len());
        assert_eq!(groove_of(&text), Ok(groove));
        let whole = Record { groove: text, ..record(1) };
        assert_eq!(
            Record::read(&whole.write()).and_then(|record| groove_of(&record.groove).ok()),
            groove_of(&whole.groove).ok()
        );
    }

    #[test]
    fn the_list_is_believed_only_if_it_names_what_is_there() {
        let entry = |id: &str, name: &str| Entry { id: id.to_owned(), name: name.to_owned(), changed: 5 };
        let entries = vec![entry("a1", "One"), entry("b2", "Two of them")];
        let text = write_list(&entries);
        let ids = |ids: &[&str]| ids.iter().map(|id| (*id).to_owned()).collect::<Vec<_>>();
        assert_eq!(read_list(&text, &ids(&["b2", "a1"])), Some(entries));
        for other in [&["a1"][..], &["a1", "c3"], &["a1", "b2", "c3"], &[]] {
            assert_eq!(read_list(&text, &ids(other)), None);
        }
        assert_eq!(read_list("nonsense", &ids(&["nonsense"])), None);
        assert_eq!(read_list("", &[]), Some(Vec::new()));
    }

    #[test]
    fn two_pages_meet() {
        let stamp = |revision, writer| Stamp { revision, writer };
        for (known, stored, changed, want) in [
            (stamp(2, 1), Some(stamp(2, 1)), true, Meeting::Own),
            (stamp(2, 1), None, true, Meeting::Own),
            (stamp(2, 1), Some(stamp(3, 2)), true, Meeting::Both),
            (stamp(2, 1), Some(stamp(3, 2)), false, Meeting::TheirsOnly),
            // The same number by another hand is another writing.
            (stamp(3, 1), Some(stamp(3, 2)), true, Meeting::Both),
        ] {
            assert_eq!(Meeting::of(known, stored, changed), want);
        }
    }

    #[test]
    fn names() {
        let taken: Vec<Entry> = ["Draft", "Draft 2", "House"]
            .map(|name| Entry { id: name.to_owned(), name: name.to_owned(), changed: 0 })
            .into();
        for (wanted, want) in [
            ("", "Draft 3"),
            ("  \n ", "Draft 3"),
            ("Draft 2", "Draft 3"),
            ("House", "House 2"),
            ("My  own\tone ", "My own one"),
            ("12", "12"),
        ] {
            assert_eq!(free_name(wanted, "Draft", &taken), want, "{wanted:?}");
        }
        assert_eq!(clean_name(&"x".repeat(200)).len(), LONGEST_NAME);
        for (name, file) in [
            ("Thursday evening", "Thursday-evening.groove.json"),
            ("Übung 2/4", "Übung-2-4.groove.json"),
            ("../..", "draft.groove.json"),
            ("", "draft.groove.json"),
        ] {
            assert_eq!(file_name(name), file);
        }
        assert_eq!(name_of_file("Thursday-evening.groove.json"), "Thursday evening");
        assert_eq!(name_of_file("beat.json"), "beat");
        assert_eq!(name_of_file("notes.txt"), "notes.txt");
    }

    proptest! {
        #![proptest_config(ProptestConfig { rng_seed: RngSeed::Fixed(3), failure_persistence: None, ..ProptestConfig::default() })]

        #[test]
        fn any_text_is_read_without_a_fault_or_not_at_all(text in "(stickleback draft 1\n)?\\PC{0,40}\n?\\PC*(\nend)?") {
            if let Some(record) = Record::read(&text) {
                prop_assert_eq!(Record::read(&record.write()), Some(Record { groove: record.groove.trim_end().to_owned(), ..record }));
            }
        }
    }
}
