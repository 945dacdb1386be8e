//! Listening to the browser: events and media queries, each ended by dropping its handle.

use super::window;
use wasm_bindgen::JsCast;
use wasm_bindgen::closure::Closure;
use web_sys::{Event, EventTarget};

/// An event listener that is taken off when this is dropped.
pub struct Listener {
    target: EventTarget,
    name: &'static str,
    heard: Closure<dyn FnMut(Event)>,
}

impl Listener {
    /// Calls `hear` for every event `name` of `target`; `None` if the browser refuses.
    #[must_use = "the listener ends when this is dropped"]
    pub fn on(target: &EventTarget, name: &'static str, hear: impl FnMut(Event) + 'static) -> Option<Listener> {
        let heard = Closure::<dyn FnMut(Event)>::new(hear);
        target.add_event_listener_with_callback(name, heard.as_ref().unchecked_ref()).ok()?;
        Some(Listener { target: target.clone(), name, heard })
    }

    /// The same for the window.
    #[must_use = "the listener ends when this is dropped"]
    pub fn on_window(name: &'static str, hear: impl FnMut(Event) + 'static) -> Option<Listener> {
        Listener::on(window()?.as_ref(), name, hear)
    }

    /// The same for the document.
    #[must_use = "the listener ends when this is dropped"]
    pub fn on_document(name: &'static str, hear: impl FnMut(Event) + 'static) -> Option<Listener> {
        Listener::on(window()?.document()?.as_ref(), name, hear)
    }
}

impl Drop for Listener {
    fn drop(&mut self) {
        let _ = self.target.remove_event_listener_with_callback(self.name, self.heard.as_ref().unchecked_ref());
    }
}

/// Whether the media query holds now, for instance `(prefers-reduced-motion: reduce)`.
pub fn media(query: &str) -> bool {
    window().and_then(|window| window.match_media(query).ok().flatten()).is_some_and(|list| list.matches())
}

/// Whether the page is served in a way that lets the browser offer all it has; on plain http the clipboard and work
/// offline are missing.
pub fn is_secure() -> bool {
    window().is_some_and(|window| window.is_secure_context())
}

/// Whether the page is hidden now (another tab, a locked screen).
pub fn is_hidden() -> bool {
    window().and_then(|window| window.document()).is_some_and(|document| document.hidden())
}

/// Tells `tell` the width of `element` in CSS pixels, now and whenever it changes, until the handle is dropped.
pub struct WidthWatch {
    observer: web_sys::ResizeObserver,
    _told: Closure<dyn FnMut(js_sys::Array)>,
}

impl WidthWatch {
    /// Starts watching; `None` if the browser cannot.
    #[must_use = "the watch ends when this is dropped"]
    pub fn new(element: &web_sys::Element, mut tell: impl FnMut(f64) + 'static) -> Option<WidthWatch> {
        let told = Closure::<dyn FnMut(js_sys::Array)>::new(move |entries: js_sys::Array| {
            let entry: Option<web_sys::ResizeObserverEntry> = entries.get(0).dyn_into().ok();
            if let Some(entry) = entry {
                tell(entry.content_rect().width());
            }
        });
        let observer = web_sys::ResizeObserver::new(told.as_ref().unchecked_ref()).ok()?;
        observer.observe(element);
        Some(WidthWatch { observer, _told: told })
    }
}

impl Drop for WidthWatch {
    fn drop(&mut self) {
        self.observer.disconnect();
    }
}
