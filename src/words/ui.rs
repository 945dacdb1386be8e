//! The fixed words of the interface. Every button, heading and short message has its one place here.

/// The program's name.
pub const NAME: &str = "Stickleback";
/// What it is, in one line.
pub const TAGLINE: &str = "A practice room for telling drum styles apart";

/// Names of the rooms.
pub mod rooms {
    use crate::route::Route;

    /// The name of a route's room, for links and headings.
    pub const fn name(route: &Route) -> &'static str {
        match route {
            Route::Styles => "Styles",
            Route::Lesson(_) => "Lesson",
            Route::SideBySide(..) => "Side by side",
            Route::Dictation => "Dictation",
            Route::Draft => "Draft",
            Route::Received(_) => "Shared groove",
            Route::Voices => "Voices",
            Route::Class => "Class",
            Route::Progress => "Progress",
        }
    }
}

/// Names of controls.
pub mod controls {
    #![allow(missing_docs, reason = "each constant is named after the words it holds")]
    pub const PLAY: &str = "Play";
    pub const STOP: &str = "Stop";
    pub const UNDO: &str = "Undo";
    pub const REDO: &str = "Redo";
    pub const COPY_LINK: &str = "Copy link";
    pub const TEMPO: &str = "Tempo";
    pub const SWING: &str = "Swing";
    pub const METRE: &str = "Metre";
    pub const BARS: &str = "Bars";
    pub const VOLUME: &str = "Volume";
    pub const CLICK: &str = "Click";
    pub const COUNT_IN: &str = "Count-in";
    pub const MUTE: &str = "Mute";
    pub const SOLO: &str = "Solo";
    pub const LEAN: &str = "Lean";
    pub const NUDGE: &str = "Nudge";
    pub const LOUDNESS: &str = "Loudness";
    pub const ROLL: &str = "Roll";
    pub const FLAM: &str = "Flam";
    pub const PITCH: &str = "Pitch";
    pub const LENGTH: &str = "Length";
    pub const GLIDE: &str = "Glide";
    pub const ADD_LANE: &str = "Add a lane";
    pub const REMOVE_LANE: &str = "Remove this lane";
    pub const MAGNIFY_FEEL: &str = "Magnify feel ×4";
    pub const STROKE_CARD: &str = "Stroke";
    pub const KEEP_AS_DRAFT: &str = "Keep as my draft";
    pub const TURN_SOUND_ON: &str = "Turn sound on";
}

/// Short messages, shown and read out.
pub mod messages {
    use crate::share::MAX_LINK;
    use crate::words::numbers::counted;

    /// After a link was copied.
    pub const LINK_COPIED: &str = "Link copied.";
    /// Where the browser keeps a page from copying; the link stands selected beside it.
    pub const LINK_NOT_COPIED: &str = "The browser did not let us copy. The link is selected: copy it yourself.";
    /// While the browser waits for a press before it allows sound.
    pub const SOUND_BLOCKED: &str = "The browser is keeping the sound off. Press \u{201c}Turn sound on\u{201d}.";
    /// When there is nothing to take back.
    pub const NOTHING_TO_UNDO: &str = "Nothing to undo.";
    /// When nothing was taken back.
    pub const NOTHING_TO_REDO: &str = "Nothing to redo.";
    /// Beside the volume.
    pub const LISTEN_SAFELY: &str = "Start quietly, turn up slowly, and give your ears a rest now and then.";
    /// Where low voices need more than a small speaker.
    pub const HEADPHONES: &str = "Easier to hear on headphones.";

    /// How long the link is, with a warning where chats may cut it or where it would not open again.
    pub fn link_length(characters: usize) -> String {
        let length = counted(characters, "character", "characters");
        match characters {
            0..=1800 => format!("{length}."),
            1801..=MAX_LINK => format!("{length}. Some chats cut long links: a file is safer."),
            _ => format!("{length}. This is too much for a link: keep it as a file."),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::route::Route;

    #[test]
    fn a_long_link_is_warned_about() {
        assert_eq!(messages::link_length(1), "1 character.");
        assert_eq!(messages::link_length(180), "180 characters.");
        let long = "1801 characters. Some chats cut long links: a file is safer.";
        assert_eq!(messages::link_length(1801), long);
        let file = "8193 characters. This is too much for a link: keep it as a file.";
        assert_eq!(messages::link_length(8193), file);
    }

    #[test]
    fn rooms_have_their_names() {
        for (fragment, want) in [("#/", "Styles"), ("#/compare/a/b", "Side by side"), ("#/groove/B", "Shared groove")] {
            assert_eq!(rooms::name(&Route::read(fragment).0), want);
        }
    }
}
