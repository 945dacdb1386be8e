//! An event listener that lives exactly as long as its handle.

use wasm_bindgen::JsCast;
use wasm_bindgen::closure::Closure;
use web_sys::{Event, EventTarget};

/// Listens until dropped. The closure is kept as long as the listener, and the listener is taken off before the closure
/// goes: an event that arrives later finds nobody, instead of a dropped closure.
#[must_use = "dropping the handle ends the listening"]
pub struct Listener {
    target: EventTarget,
    kind: &'static str,
    closure: Closure<dyn Fn(Event)>,
}

impl Listener {
    /// Calls `heed` on every event of `kind` at `target`.
    pub fn new(target: &EventTarget, kind: &'static str, heed: impl Fn(Event) + 'static) -> Listener {
        let closure: Closure<dyn Fn(Event)> = Closure::new(heed);
        // Fails only for a listener that is no object, which a closure always is.
        let _ = target.add_event_listener_with_callback(kind, closure.as_ref().unchecked_ref());
        Listener { target: target.clone(), kind, closure }
    }
}

impl Drop for Listener {
    fn drop(&mut self) {
        let _ = self.target.remove_event_listener_with_callback(self.kind, self.closure.as_ref().unchecked_ref());
    }
}
