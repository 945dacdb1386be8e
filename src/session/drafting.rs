//! The drafts of this device: the open one kept as it is made, the others a press away.

mod voices;

use super::draft;
use super::drafts::{self, Entry, Meeting, Record, Stamp};
use super::editor::Editor;
use super::rooms::{Notice, Rooms};
use crate::browser::storage::{self, Kept};
use crate::browser::watch::{self, Listener};
use crate::rhythm::{Edit, Groove};
use crate::route::Route;
use crate::share;
use crate::words::drafts::{self as words, Told};
use gloo_timers::callback::Timeout;
use leptos::prelude::*;

/// Every draft's key starts with this.
const SHELF: &str = "drafts.";
/// The list.
const LIST: &str = "drafts";
/// Which one is open.
const OPEN: &str = "drafts-open";
/// The one deleted last.
const BIN: &str = "drafts-deleted";
/// The least time between two writings of a draft, in ms.
const EVERY_MS: u32 = 250;

/// The draft that is open. A new number means another groove on the desk.
#[derive(Clone, Debug, PartialEq)]
pub struct Open {
    /// Its name on the device.
    pub id: String,
    /// The groove it was opened with.
    pub groove: Groove,
    /// Counts the openings.
    pub number: u32,
}

/// The drafts. Copies are handles to the same ones.
#[derive(Clone, Copy)]
pub struct Drafts {
    pub(super) rooms: Rooms,
    pub(super) list: RwSignal<Vec<Entry>>,
    open: RwSignal<Open>,
    pub(super) name: RwSignal<String>,
    pub(super) kept: RwSignal<bool>,
    deleted: RwSignal<Option<String>>,
    pub(super) editor: StoredValue<Option<Editor>>,
    /// What was written or read last.
    known: StoredValue<Stamp>,
    saved: StoredValue<Option<Groove>>,
    /// What is not written yet.
    pending: StoredValue<Option<Groove>>,
    timer: StoredValue<Option<Timeout>, LocalStorage>,
    written_at: StoredValue<u64>,
    pub(super) writer: u32,
    listeners: StoredValue<Vec<Listener>, LocalStorage>,
}

pub(super) fn now() -> u64 {
    js_sys::Date::now().max(0.0) as u64
}

fn chance() -> u32 {
    (js_sys::Math::random() * f64::from(u32::MAX)) as u32
}

/// A name on the device that no other draft has.
fn fresh_id() -> String {
    format!("{:x}{:06x}", now(), chance() & 0x00ff_ffff)
}

fn key(id: &str) -> String {
    format!("{SHELF}{id}")
}

pub(super) fn stored(id: &str) -> Option<Record> {
    Record::of_two(storage::get(&key(id)).as_deref(), storage::coming(&key(id)).as_deref())
}

fn ids() -> Vec<String> {
    let plain = |id: &String| !id.is_empty() && id.bytes().all(|byte| byte.is_ascii_alphanumeric());
    storage::names(SHELF).into_iter().filter(plain).collect()
}

impl Drafts {
    /// Opens the room of drafts with the one that was open last. Call inside an owner, whose end writes what is not written.
    pub fn enter(rooms: Rooms) -> Drafts {
        let first = Open { id: fresh_id(), groove: draft::blank(), number: 0 };
        let drafts = Drafts {
            rooms,
            list: RwSignal::new(Vec::new()),
            open: RwSignal::new(first),
            name: RwSignal::new(words::UNNAMED.to_owned()),
            kept: RwSignal::new(storage::is_open()),
            deleted: RwSignal::new(None),
            editor: StoredValue::new(None),
            known: StoredValue::new(Stamp::default()),
            saved: StoredValue::new(None),
            pending: StoredValue::new(None),
            timer: StoredValue::new_local(None),
            written_at: StoredValue::new(0),
            writer: chance(),
            listeners: StoredValue::new_local(Vec::new()),
        };
        drafts.take_over();
        drafts.read_list();
        let deleted = storage::get(BIN).and_then(|text| Some(Record::read(text.split_once('\n')?.1)?.name));
        drafts.deleted.set(deleted);
        let last = storage::get(OPEN).filter(|id| drafts.list.with_untracked(|list| list.iter().any(|e| e.id == *id)));
        let last = last.or_else(|| drafts.list.with_untracked(|list| list.first().map(|entry| entry.id.clone())));
        if let Some(groove) = rooms.incoming() {
            drafts.begin(groove, "");
            rooms.tell(Notice::KeptAsDraft);
        } else if !last.is_some_and(|id| drafts.load(&id)) {
            drafts.start(fresh_id(), draft::blank(), "", Stamp::default());
        }
        let flush = move |_| drafts.write();
        let hidden = move |_| {
            if watch::is_hidden() {
                drafts.write();
            }
        };
        let listeners = [
            Listener::on_window("pagehide", flush),
            Listener::on_document("visibilitychange", hidden),
            storage::on_change(move |key| drafts.changed_elsewhere(key)),
        ];
        drafts.listeners.set_value(listeners.into_iter().flatten().collect());
        on_cleanup(move || drafts.write());
        drafts
    }

    /// The drafts on this device, the one changed last first.
    pub fn list(&self) -> ReadSignal<Vec<Entry>> {
        self.list.read_only()
    }

    /// The open draft.
    pub fn open(&self) -> ReadSignal<Open> {
        self.open.read_only()
    }

    /// What the open draft is called.
    pub fn name(&self) -> ReadSignal<String> {
        self.name.read_only()
    }

    /// Whether what is made stays on the device.
    pub fn is_kept(&self) -> bool {
        self.kept.get()
    }

    /// The name of the draft that was deleted last and can be brought back.
    pub fn deleted(&self) -> Option<String> {
        self.deleted.get()
    }

    /// How long ago that was, in ms, for times in the list.
    pub fn since(&self, changed: u64) -> u64 {
        now().saturating_sub(changed)
    }

    /// Keeps what is made in `editor`, which edits the open draft, and takes a voice that was brought along. Call inside
    /// an owner.
    pub fn keep(&self, editor: Editor) {
        let drafts = *self;
        drafts.editor.set_value(Some(editor));
        if let Some((role, voice)) = drafts.rooms.incoming_voice() {
            drafts.use_voice(role, voice);
        }
        let number = drafts.open.with_untracked(|open| open.number);
        Effect::new(move |_| {
            let groove = editor.groove().get();
            if drafts.open.with_untracked(|open| open.number != number) {
                return;
            }
            let same = drafts.saved.with_value(|saved| saved.as_ref() == Some(&groove));
            drafts.pending.set_value((!same).then_some(groove));
            if !same {
                drafts.write_soon();
            }
        });
        on_cleanup(move || drafts.write());
    }

    fn write_soon(self) {
        let since = now().saturating_sub(self.written_at.get_value());
        if since >= u64::from(EVERY_MS) {
            self.write();
        } else if self.timer.with_value(Option::is_none) {
            let wait = EVERY_MS.saturating_sub(since as u32);
            self.timer.set_value(Some(Timeout::new(wait, move || self.write())));
        }
    }

    /// Writes what is not written yet.
    fn write(self) {
        self.timer.try_update_value(|timer| drop(timer.take()));
        let Some(groove) = self.pending.try_update_value(Option::take).flatten() else { return };
        let id = self.open.with_untracked(|open| open.id.clone());
        let theirs = stored(&id);
        let meeting = Meeting::of(self.known.get_value(), theirs.as_ref().map(|record| record.stamp), true);
        if let (Meeting::Both, Some(theirs)) = (meeting, theirs.clone()) {
            let name = self.free_name(&theirs.name);
            self.put(&fresh_id(), Record { name: name.clone(), ..theirs });
            self.rooms.tell(Notice::Drafts(Told::KeptBoth(name)));
        }
        let revision = self.known.get_value().revision.max(theirs.map_or(0, |record| record.stamp.revision)) + 1;
        let stamp = Stamp { revision, writer: self.writer };
        let name = self.name_to_write(&id);
        self.put(&id, Record { name, changed: now(), stamp, groove: drafts::text_of(&groove) });
        storage::set(OPEN, &id);
        self.known.set_value(stamp);
        self.saved.set_value(Some(groove));
        self.written_at.set_value(now());
    }

    /// The name of the open draft; another one if it is new, and another page has called one the same meanwhile.
    fn name_to_write(self, id: &str) -> String {
        let name = self.name.get_untracked();
        if self.list.with_untracked(|list| list.iter().any(|entry| entry.id == id)) {
            return name;
        }
        let free = self.free_name(&name);
        if free != name {
            self.name.set(free.clone());
        }
        free
    }

    pub(super) fn put(self, id: &str, record: Record) {
        self.kept.set(storage::swap(&key(id), &record.write()) == Kept::Device);
        self.list.update(|list| {
            list.retain(|entry| entry.id != id);
            list.push(Entry { id: id.to_owned(), name: record.name, changed: record.changed });
            drafts::sort(list);
        });
        self.write_list();
    }

    fn write_list(self) {
        storage::set(LIST, &self.list.with_untracked(|list| drafts::write_list(list)));
    }

    /// The list as it is on the device now; made anew from the drafts where it is not true.
    fn read_list(self) {
        let ids = ids();
        let told = storage::get(LIST).and_then(|text| drafts::read_list(&text, &ids));
        let mut list = told.unwrap_or_else(|| {
            let entry = |id: &String| {
                let record = stored(id)?;
                Some(Entry { id: id.clone(), name: record.name, changed: record.changed })
            };
            ids.iter().filter_map(entry).collect()
        });
        drafts::sort(&mut list);
        self.list.set(list);
    }

    fn free_name(self, wanted: &str) -> String {
        self.list.with_untracked(|list| drafts::free_name(wanted, words::UNNAMED, list))
    }

    fn start(self, id: String, groove: Groove, name: &str, known: Stamp) {
        self.write();
        self.known.set_value(known);
        self.saved.set_value(Some(groove.clone()));
        // The desk of the draft before goes with the first of these; its name is no matter of the second.
        self.open.update(|open| *open = Open { id, groove, number: open.number.wrapping_add(1) });
        self.name.set(if name.is_empty() { self.free_name("") } else { name.to_owned() });
    }

    /// Makes a draft of `groove`, called `name` or a little otherwise, and opens it.
    pub fn begin(&self, groove: Groove, name: &str) {
        let name = self.free_name(name);
        self.start(fresh_id(), groove.clone(), &name, Stamp::default());
        self.pending.set_value(Some(groove));
        (*self).write();
    }

    /// Opens an empty draft, which is kept from its first stroke on.
    pub fn begin_empty(&self) {
        self.start(fresh_id(), draft::blank(), "", Stamp::default());
    }

    /// Makes a draft of the groove a link carries; false, and told, if it carries none.
    pub fn begin_from_link(&self, text: &str) -> bool {
        let payload = match Route::parse(text.trim()) {
            Ok(Route::Received(payload)) => payload,
            _ => text.trim().to_owned(),
        };
        match share::decode(&payload) {
            Ok(shared) => {
                self.begin(shared.groove, &shared.title.unwrap_or_default());
                true
            }
            Err(fault) => {
                self.rooms.tell(Notice::Link(fault));
                false
            }
        }
    }

    /// Opens the draft `id`.
    pub fn open_draft(&self, id: &str) {
        if self.open.with_untracked(|open| open.id != id) {
            (*self).write();
            self.load(id);
        }
    }

    /// Opens what is kept as `id`; false, put aside and told, if it cannot be read.
    fn load(self, id: &str) -> bool {
        let record = stored(id);
        let groove = record.as_ref().map(|record| drafts::groove_of(&record.groove));
        if let (Some(record), Some(Ok(groove))) = (&record, &groove) {
            self.start(id.to_owned(), groove.clone(), &record.name, record.stamp);
            storage::set(OPEN, id);
            return true;
        }
        if let Some(text) = storage::get(&key(id)) {
            storage::set(&format!("{}.unread", key(id)), &text);
            let name = record.map_or_else(|| words::UNNAMED.to_owned(), |record| record.name);
            self.rooms.tell(Notice::Drafts(Told::PutAside(name)));
        }
        storage::remove_swapped(&key(id));
        self.read_list();
        self.write_list();
        false
    }

    /// Calls the open draft `wanted`, or a little otherwise if another one is called that; says how it is called now.
    pub fn rename(&self, wanted: &str) -> String {
        let id = self.open.with_untracked(|open| open.id.clone());
        let others: Vec<Entry> = self.list.get_untracked().into_iter().filter(|entry| entry.id != id).collect();
        let before = self.name.get_untracked();
        let name = drafts::free_name(wanted, &before, &others);
        if name != before {
            self.name.set(name.clone());
            self.write_again();
        }
        name
    }

    /// Writes the open draft though its groove is as it was.
    fn write_again(self) {
        let groove = self.editor.get_value().map(|editor| editor.now());
        self.pending.set_value(groove.or_else(|| self.saved.get_value()));
        self.write();
    }

    /// Makes a second draft of the open one, and opens it.
    pub fn duplicate(&self) {
        if let Some(editor) = self.editor.get_value() {
            self.begin(editor.now(), &self.name.get_untracked());
        }
    }

    /// Deletes the open draft; [`Drafts::bring_back`] takes that back, on a later visit too.
    pub fn delete(&self) {
        (*self).write();
        let id = self.open.with_untracked(|open| open.id.clone());
        if let Some(record) = stored(&id) {
            storage::set(BIN, &format!("{id}\n{}", record.write()));
            storage::remove_swapped(&key(&id));
            self.deleted.set(Some(record.name.clone()));
            self.read_list();
            self.write_list();
            self.rooms.tell(Notice::Drafts(Told::Deleted(record.name)));
        }
        let next = self.list.with_untracked(|list| list.first().map(|entry| entry.id.clone()));
        if !next.is_some_and(|id| self.load(&id)) {
            self.begin_empty();
        }
    }

    /// Brings the draft deleted last back, and opens it.
    pub fn bring_back(&self) {
        let text = storage::get(BIN).unwrap_or_default();
        let found = text.split_once('\n').and_then(|(id, record)| Some((id.to_owned(), Record::read(record)?)));
        if let Some((id, record)) = found {
            (*self).write();
            // Under its own name on the device, unless it has come back there by another way.
            let id = if stored(&id).is_some() { fresh_id() } else { id };
            self.put(&id, Record { name: self.free_name(&record.name), ..record });
            self.load(&id);
        }
        storage::remove(BIN);
        self.deleted.set(None);
    }

    /// Another page has changed `key`, or everything.
    fn changed_elsewhere(self, changed: Option<&str>) {
        let id = self.open.with_untracked(|open| open.id.clone());
        let ours = changed.is_none_or(|changed| changed == key(&id));
        if !ours && !changed.is_some_and(|changed| changed == LIST || changed.starts_with(SHELF)) {
            return;
        }
        self.read_list();
        let Some(theirs) = stored(&id).filter(|_| ours) else { return };
        let changed_here = self.pending.with_value(Option::is_some);
        if Meeting::of(self.known.get_value(), Some(theirs.stamp), changed_here) != Meeting::TheirsOnly {
            return;
        }
        if let (Ok(groove), Some(editor)) = (drafts::groove_of(&theirs.groove), self.editor.get_value()) {
            self.known.set_value(theirs.stamp);
            self.saved.set_value(Some(groove.clone()));
            if self.name.get_untracked() != theirs.name {
                self.name.set(theirs.name);
            }
            if editor.now() != groove && editor.apply(&Edit::Restore(Box::new(groove))).is_ok() {
                self.rooms.tell(Notice::Drafts(Told::TakenOver));
            }
        }
    }
}
