//! What goes on in the page: signals, and the actions on them. Views call these and draw what they say.

pub mod undo;
pub mod draft;
pub mod progress;
pub mod drafts;
pub mod making;
#[cfg(feature = "web")]
pub mod matching;
#[cfg(feature = "web")]
pub mod building;
#[cfg(feature = "web")]
pub mod drafting;
#[cfg(feature = "web")]
pub mod files;
#[cfg(feature = "web")]
pub mod editor;
#[cfg(feature = "web")]
pub mod hearing;
#[cfg(feature = "web")]
pub mod practice;
#[cfg(feature = "web")]
pub mod library;
#[cfg(feature = "web")]
pub mod keep;
#[cfg(feature = "web")]
pub mod comparing;
#[cfg(feature = "web")]
pub mod coursework;
#[cfg(feature = "web")]
pub mod recording;
#[cfg(feature = "web")]
pub mod links;
#[cfg(feature = "web")]
pub mod page;
#[cfg(feature = "web")]
pub mod rooms;

/// What every room is given: handles, copied freely.
#[cfg(feature = "web")]
#[derive(Clone, Copy)]
pub struct Session {
    /// The styles and kits.
    pub library: library::Library,
    /// What is heard.
    pub hearing: hearing::Hearing,
    /// Where the learner is.
    pub rooms: rooms::Rooms,
    /// The guided builds begun.
    pub building: building::Building,
}

#[cfg(feature = "web")]
impl Session {
    /// The session of this page; call once, at the root.
    pub fn open() -> Session {
        let library = library::Library::open();
        Session {
            library,
            hearing: hearing::Hearing::open(),
            rooms: rooms::Rooms::new(library),
            building: building::Building::new(),
        }
    }
}
