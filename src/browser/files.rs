//! Files in and out: saved as the browser saves downloads, read when they are picked or dropped.

use super::window;
use gloo_timers::callback::Timeout;
use js_sys::{Array, Reflect, Uint8Array};
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::JsFuture;
use web_sys::{Blob, BlobPropertyBag, File, FileList, HtmlElement, Url};

/// How long a saved text stays at the browser's hand, in ms: some begin to read it only after the page's turn is over.
const HELD_MS: u32 = 60_000;

/// Saves `text` as a file called `name`, in the way the browser saves downloads; false if it refuses. In a gesture.
pub fn save(name: &str, text: &str, kind: &str) -> bool {
    offer(name, &Array::of1(&JsValue::from_str(text)), kind).is_some()
}

/// A file made piece by piece, outside the program's own memory.
pub struct Pieces(Array);

impl Pieces {
    /// An empty file.
    pub fn new() -> Pieces {
        Pieces(Array::new())
    }

    /// Adds bytes at its end.
    pub fn push(&mut self, bytes: &[u8]) {
        self.0.push(&Uint8Array::from(bytes));
    }

    /// Saves it as [`save`] does a text; false if the browser refuses.
    pub fn save(&self, name: &str, kind: &str) -> bool {
        offer(name, &self.0, kind).is_some()
    }
}

impl Default for Pieces {
    fn default() -> Pieces {
        Pieces::new()
    }
}

fn offer(name: &str, pieces: &Array, kind: &str) -> Option<()> {
    let properties = BlobPropertyBag::new();
    properties.set_type(kind);
    // Texts and arrays of bytes alike: the binding's two names are one constructor.
    let blob = Blob::new_with_str_sequence_and_options(pieces, &properties).ok()?;
    let address = Url::create_object_url_with_blob(&blob).ok()?;
    let link: HtmlElement = window()?.document()?.create_element("a").ok()?.dyn_into().ok()?;
    link.set_attribute("href", &address).ok()?;
    link.set_attribute("download", name).ok()?;
    link.click();
    Timeout::new(HELD_MS, move || {
        let _ = Url::revoke_object_url(&address);
    })
    .forget();
    Some(())
}

/// Why a file could not be read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FileFault {
    /// Longer than was asked for.
    TooLong,
    /// The browser could not read it.
    Unread,
}

/// A file the learner picked or dropped.
pub struct Picked {
    /// Its name.
    pub name: String,
    file: File,
}

impl Picked {
    /// Its text, of at most `most` bytes.
    ///
    /// # Errors
    /// It is longer, or the browser cannot read it.
    pub async fn text(&self, most: usize) -> Result<String, FileFault> {
        if self.file.size() > most as f64 {
            return Err(FileFault::TooLong);
        }
        let text = JsFuture::from(self.file.text()).await.map_err(|_| FileFault::Unread)?;
        text.as_string().ok_or(FileFault::Unread)
    }
}

fn all(files: &FileList) -> Vec<Picked> {
    let files = (0..files.length()).filter_map(|index| files.get(index));
    files.map(|file| Picked { name: file.name(), file }).collect()
}

/// The files picked in a file field, which is emptied so that the same ones can be picked again.
pub fn picked(field: &web_sys::HtmlInputElement) -> Vec<Picked> {
    let files = field.files().map(|files| all(&files)).unwrap_or_default();
    field.set_value("");
    files
}

/// The files an event of dragging brings.
pub fn dropped(event: &web_sys::Event) -> Vec<Picked> {
    let get = |of: &JsValue, name: &str| Reflect::get(of, &JsValue::from_str(name)).ok();
    let files = get(event.as_ref(), "dataTransfer").and_then(|transfer| get(&transfer, "files"));
    let files: Option<FileList> = files.and_then(|files| files.dyn_into().ok());
    files.map(|files| all(&files)).unwrap_or_default()
}
