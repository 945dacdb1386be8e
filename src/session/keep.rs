//! What stays on the device: the learner's own versions of styles, the volume.
//!
//! Grooves are kept in the same text as links (as files where a link would be too long): compact, checked by a sum, and readable by every later version. A text
//! that cannot be read is never overwritten by its reader: it is moved aside first.

use super::drafts::{self, Unreadable};
use crate::browser::storage::{self, Kept};
use crate::rhythm::Groove;
use crate::share::LinkFault;

/// Where a groove is kept.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Shelf {
    /// The learner's own version of a style.
    Version(String),
}

impl Shelf {
    fn key(&self) -> String {
        match self {
            Shelf::Version(style) => format!("version.{style}"),
        }
    }
}

/// The groove on a shelf: `Ok(None)` if there is none. A text that cannot be read is put aside under another key, so that
/// nothing written later replaces it, and the fault is told.
pub fn take(shelf: &Shelf) -> Result<Option<Groove>, LinkFault> {
    let Some(text) = storage::get(&shelf.key()) else { return Ok(None) };
    match drafts::groove_of(&text) {
        Ok(groove) => Ok(Some(groove)),
        Err(fault) => {
            storage::set(&format!("{}.unread", shelf.key()), &text);
            storage::remove(&shelf.key());
            Err(match fault {
                Unreadable::Link(fault) => fault,
                Unreadable::File(_) => LinkFault::NotALink,
            })
        }
    }
}

/// Puts a groove on a shelf; false if it stays in memory only and is gone when the page closes.
pub fn put(shelf: &Shelf, groove: &Groove) -> bool {
    storage::set(&shelf.key(), &drafts::text_of(groove)) == Kept::Device
}

/// Clears a shelf.
pub fn clear(shelf: &Shelf) {
    storage::remove(&shelf.key());
}

/// The remembered volume, 0 to 1.
pub fn volume() -> Option<f64> {
    let percent: f64 = storage::get("volume")?.parse().ok()?;
    (0.0..=100.0).contains(&percent).then_some(percent / 100.0)
}

/// Remembers the volume.
pub fn set_volume(volume: f64) {
    storage::set("volume", &format!("{:.0}", volume * 100.0));
}
