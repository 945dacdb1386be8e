//! Long work in small tasks, so that the page can breathe.

use super::engine::now_ms;
use gloo_timers::callback::Timeout;
use js_sys::Promise;
use wasm_bindgen_futures::JsFuture;

/// The most a task does, in ms.
const SLICE_MS: f64 = 12.0;
/// The same while nobody sees the page: its timers come once a second there.
const UNSEEN_MS: f64 = 300.0;

/// Work that goes on in a new task when one has lasted long enough.
pub struct Breath {
    since: f64,
}

impl Breath {
    /// Begins with the task that runs.
    pub fn new() -> Breath {
        Breath { since: now_ms() }
    }

    /// To be called between pieces of work of a few ms: goes on at once, or in another task.
    pub async fn take(&mut self) {
        let unseen = web_sys::window().and_then(|window| window.document()).is_some_and(|page| page.hidden());
        if now_ms() - self.since < if unseen { UNSEEN_MS } else { SLICE_MS } {
            return;
        }
        let task = Promise::new(&mut |go_on, _| {
            let call = move || drop(go_on.call0(&wasm_bindgen::JsValue::NULL));
            Timeout::new(0, call).forget();
        });
        // A timer's promise is never refused.
        let _ = JsFuture::from(task).await;
        self.since = now_ms();
    }
}

impl Default for Breath {
    fn default() -> Breath {
        Breath::new()
    }
}
