//! Drafts as files, picked or dropped and saved, and the drafts of earlier versions of the page.

use super::drafting::{Drafts, now, stored};
use super::drafts::{self, Record, Stamp, Unreadable};
use super::rooms::Notice;
use crate::browser::files::{self, FileFault};
use crate::browser::storage;
use crate::lesson::groove as groove_file;
use crate::words::drafts::{self as words, Refusal, Told};
use leptos::prelude::*;
use leptos::task::spawn_local;

pub use crate::browser::files::{Picked, dropped, picked};

impl Drafts {
    /// Saves the open draft as a groove file. In a gesture.
    pub fn save_file(&self) {
        let Some(editor) = self.editor.get_value() else { return };
        let name = drafts::file_name(&self.name.get_untracked());
        if !files::save(&name, &groove_file::write(&editor.now()), "application/json") {
            self.rooms.tell(Notice::Drafts(Told::NotSaved));
        }
    }

    /// Makes drafts of groove files, and opens the last good one; what is not taken is told.
    pub fn take_files(&self, picked: Vec<Picked>) {
        let drafts = *self;
        if picked.is_empty() {
            return;
        }
        spawn_local(async move {
            let (mut taken, mut refused) = (0, Vec::new());
            for file in picked {
                let groove = match file.text(groove_file::MOST_BYTES).await {
                    Ok(text) => groove_file::read(&text).map_err(Refusal::Faults),
                    Err(FileFault::TooLong) => Err(Refusal::TooLong),
                    Err(FileFault::Unread) => Err(Refusal::Unread),
                };
                match groove {
                    // The learner may have left meanwhile: then nothing is opened.
                    _ if drafts.list.is_disposed() => return,
                    Ok(groove) => {
                        drafts.begin(groove, &drafts::name_of_file(&file.name));
                        taken += 1;
                    }
                    Err(refusal) => refused.push((file.name, refusal)),
                }
            }
            drafts.rooms.tell(Notice::Drafts(Told::Files(taken, refused)));
        });
    }

    /// Makes drafts of what earlier versions of the page kept, which knew one draft and the one before it.
    pub(super) fn take_over(self) {
        for (old, id, name) in [("draft-before", "before", words::EARLIER), ("draft", "first", words::UNNAMED)] {
            let Some(text) = storage::get(old) else { continue };
            match drafts::groove_of(&text) {
                Ok(_) => {
                    if stored(id).is_none() {
                        let stamp = Stamp { revision: 1, writer: self.writer };
                        self.put(id, Record { name: name.to_owned(), changed: now(), stamp, groove: text });
                    }
                    if self.kept.get_untracked() {
                        storage::remove(old);
                    }
                }
                Err(fault) => {
                    storage::set(&format!("{old}.unread"), &text);
                    storage::remove(old);
                    let fault = match fault {
                        Unreadable::Link(fault) => Notice::Unread(fault),
                        Unreadable::File(_) => Notice::Drafts(Told::PutAside(name.to_owned())),
                    };
                    self.rooms.tell(fault);
                }
            }
        }
    }
}
