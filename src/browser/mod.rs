//! The browser's own things, wrapped so that none of them can throw into the app: storage, clipboard, address, fetching,
//! animation frames, sizes. Each handle releases what it holds when it is dropped.

pub mod storage;
pub mod clipboard;
pub mod location;
pub mod files;
pub mod fetch;
pub mod frames;
pub mod watch;

/// The page's window. There is always one where this code runs.
fn window() -> Option<web_sys::Window> {
    web_sys::window()
}

pub use clipboard::write as copy_text;
