//! Text kept on the device, under this app's own prefix.
//!
//! Merely touching `localStorage` can throw (blocked cookies, sandboxed frames), and so can every write (quota). Where it
//! cannot be used, texts live in memory until the page closes, and [`Kept`] says so.

use super::window;
use std::cell::RefCell;
use std::collections::BTreeMap;

/// Every key starts with this: storage belongs to the whole origin, and other pages may live there.
const PREFIX: &str = "stickleback.";

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
