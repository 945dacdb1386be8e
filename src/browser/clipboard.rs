//! Putting text on the clipboard.

use super::window;
use js_sys::Reflect;
use wasm_bindgen::JsValue;
use wasm_bindgen_futures::JsFuture;

/// Whether the page may write to the clipboard at all: not on plain http, not in some frames.
pub fn available() -> bool {
    let clipboard = || {
        let navigator = window()?.navigator();
        Reflect::get(&navigator, &JsValue::from_str("clipboard")).ok()
    };
    clipboard().is_some_and(|clipboard| clipboard.is_object())
}

/// Puts `text` on the clipboard; false if the browser did not, for whatever reason. Call it in the gesture itself, with
/// nothing awaited before.
pub async fn write(text: &str) -> bool {
    if !available() {
        return false;
    }
    let Some(window) = window() else { return false };
    JsFuture::from(window.navigator().clipboard().write_text(text)).await.is_ok()
}
