//! Text kept on the device, under this app's own prefix.
//!
//! Merely touching `localStorage` can throw (blocked cookies, sandboxed frames), and so can every write (quota). Where it
//! cannot be used, texts live in memory until the page closes, and [`Kept`] says so.

use super::watch::Listener;
use super::window;
use std::cell::RefCell;
use std::collections::BTreeMap;
use wasm_bindgen::JsCast;

/// Every key starts with this: storage belongs to the whole origin, and other pages may live there.
const PREFIX: &str = "stickleback.";
/// The end of the key beside another, for what is about to take its place.
const BESIDE: &str = ".new";

thread_local! {
    /// What could not be written to the device.
    static MEMORY: RefCell<BTreeMap<String, String>> = const { RefCell::new(BTreeMap::new()) };
}

/// Where a text went.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kept {
    /// On the device.
    Device,
    /// In memory only: it is gone when the page closes.
    Memory,
}

fn device() -> Option<web_sys::Storage> {
    window()?.local_storage().ok().flatten()
}

/// Whether texts can be kept on the device now: one is, for a moment.
pub fn is_open() -> bool {
    let key = format!("{PREFIX}trial");
    device().is_some_and(|device| device.set_item(&key, "").is_ok() && device.remove_item(&key).is_ok())
}

/// The text kept under `key`, if there is one. What this page could not write to the device counts as newer.
pub fn get(key: &str) -> Option<String> {
    let key = format!("{PREFIX}{key}");
    let here = MEMORY.with_borrow(|memory| memory.get(&key).cloned());
    here.or_else(|| device()?.get_item(&key).ok().flatten())
}

/// Keeps `text` under `key`.
pub fn set(key: &str, text: &str) -> Kept {
    let key = format!("{PREFIX}{key}");
    if device().is_some_and(|device| device.set_item(&key, text).is_ok()) {
        MEMORY.with_borrow_mut(|memory| memory.remove(&key));
        return Kept::Device;
    }
    MEMORY.with_borrow_mut(|memory| memory.insert(key, text.to_owned()));
    Kept::Memory
}

/// Forgets what is kept under `key`.
pub fn remove(key: &str) {
    let key = format!("{PREFIX}{key}");
    MEMORY.with_borrow_mut(|memory| memory.remove(&key));
    if let Some(device) = device() {
        let _ = device.remove_item(&key);
    }
}

/// Keeps `text` under `key` so that at every moment a whole text is there: the new one is written beside the old before it
/// takes its place. [`coming`] has what was written beside it and not put in its place.
pub fn swap(key: &str, text: &str) -> Kept {
    let beside = format!("{key}{BESIDE}");
    let full = format!("{PREFIX}{beside}");
    // Where there is no room for both the new one alone may still fit.
    let _ = device().map(|device| device.set_item(&full, text));
    let kept = set(key, text);
    if kept == Kept::Device {
        remove(&beside);
    }
    kept
}

/// What [`swap`] wrote beside `key` and did not come to put in its place.
pub fn coming(key: &str) -> Option<String> {
    get(&format!("{key}{BESIDE}"))
}

/// Forgets `key` and what was written beside it.
pub fn remove_swapped(key: &str) {
    remove(&format!("{key}{BESIDE}"));
    remove(key);
}

/// What follows `prefix` in the keys that start with it, each once and in order, of both what is kept and what is written
/// beside it.
pub fn names(prefix: &str) -> Vec<String> {
    let full = format!("{PREFIX}{prefix}");
    let mut keys: Vec<String> = MEMORY.with_borrow(|memory| memory.keys().cloned().collect());
    if let Some(device) = device() {
        let count = device.length().unwrap_or(0);
        keys.extend((0..count).filter_map(|index| device.key(index).ok().flatten()));
    }
    let mut names: Vec<String> = keys
        .iter()
        .filter_map(|key| key.strip_prefix(&full))
        .map(|name| name.strip_suffix(BESIDE).unwrap_or(name).to_owned())
        .collect();
    names.sort_unstable();
    names.dedup();
    names
}

/// Calls `tell` with the key that another page of this app has changed, or with `None` when it has forgotten them all.
#[must_use = "the listener ends when this is dropped"]
pub fn on_change(mut tell: impl FnMut(Option<&str>) + 'static) -> Option<Listener> {
    Listener::on_window("storage", move |event| {
        let key = event.dyn_ref::<web_sys::StorageEvent>().and_then(web_sys::StorageEvent::key);
        match key.as_deref() {
            None => tell(None),
            Some(key) => {
                if let Some(key) = key.strip_prefix(PREFIX) {
                    tell(Some(key.strip_suffix(BESIDE).unwrap_or(key)));
                }
            }
        }
    })
}
