//! The address: its fragment, and the page's own address without it.

use super::watch::Listener;
use super::window;

/// What follows `#` in the address, without it; empty if there is nothing.
pub fn fragment() -> String {
    let hash = window().and_then(|window| window.location().hash().ok()).unwrap_or_default();
    hash.strip_prefix('#').unwrap_or(&hash).to_owned()
}

/// The page's address up to the fragment: what a link to one of its rooms starts with.
pub fn page() -> String {
    let href = window().and_then(|window| window.location().href().ok()).unwrap_or_default();
    href.split('#').next().unwrap_or_default().to_owned()
}

/// Goes to another fragment, as following a link would; the listener of [`on_fragment`] hears of it.
pub fn go(fragment: &str) {
    if let Some(window) = window() {
        let _ = window.location().set_hash(fragment);
    }
}

/// Puts another fragment, with its `#`, in the address without a new entry in the history and without telling the
/// listener.
pub fn replace(fragment: &str) {
    if let Some(history) = window().and_then(|window| window.history().ok()) {
        let _ = history.replace_state_with_url(&wasm_bindgen::JsValue::NULL, "", Some(fragment));
    }
}

/// Calls `tell` with the new fragment whenever it changes.
#[must_use = "the listener ends when this is dropped"]
pub fn on_fragment(mut tell: impl FnMut(String) + 'static) -> Option<Listener> {
    Listener::on(window()?.as_ref(), "hashchange", move |_| tell(fragment()))
}
