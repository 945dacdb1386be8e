//! The fixed words of the interface. Every button, heading and short message has its one place here.

/// The program's name.
pub const NAME: &str = "Stickleback";

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
            Route::Voices | Route::Voice(..) => "Voices",
            Route::Class => "Class",
            Route::Progress => "Progress",
        }
    }
}

/// The name of the way between the rooms, for screen readers.
pub const ROOMS: &str = "Rooms";
/// The name of the upper count row.
pub const WRITTEN_COUNT: &str = "written";
/// The name of the lower count row.
pub const FELT_COUNT: &str = "felt";

/// Names of controls.
pub mod controls {
    #![allow(missing_docs, reason = "each constant is named after the words it holds")]
    pub const PLAY: &str = "Play";
    pub const TRY_AGAIN: &str = "Try again";
    pub const STOP: &str = "Stop";
    pub const UNDO: &str = "Undo";
    pub const REDO: &str = "Redo";
    pub const COPY_LINK: &str = "Copy link";
    pub const LINK_FIELD: &str = "Link to this groove";
    pub const TEMPO: &str = "Tempo";
    pub const SWING: &str = "Swing";
    pub const METRE: &str = "Metre";
    pub const VOLUME: &str = "Volume";
    pub const CLICK: &str = "Click";
    pub const COUNT_IN: &str = "Count-in";
    pub const LOUDNESS: &str = "Loudness";
    pub const CLEAR: &str = "Clear";
    pub const STROKE_CARD: &str = "Stroke";
    pub const KEEP_AS_DRAFT: &str = "Keep as my draft";
    pub const BACK_TO_STYLE: &str = "Back to the style\u{2019}s own groove";
    pub const TO_DRAFT: &str = "Take it to my draft";
    pub const TURN_SOUND_ON: &str = "Turn sound on";
    pub const PUT_AWAY: &str = "Put away";
}

/// Headings of a lesson.
pub mod headings {
    #![allow(missing_docs, reason = "each constant is named after the words it holds")]
    pub const MAKES_IT: &str = "What makes it this style";
    pub const FRAME_AND_SEASONING: &str = "What its family shares, and what only seasons it";
    pub const BUILD_IT: &str = "Build it";
    pub const LISTEN: &str = "Listen for";
    pub const HEAR_FIRST: &str = "Writing it down? Start here.";
    pub const MISTAKE: &str = "The common mistake:";
    pub const NEIGHBOURS: &str = "Easily confused with";
    pub const ORIGIN: &str = "Where it comes from";
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
    /// Where there is no Web Audio.
    pub const NO_WEB_AUDIO: &str = "This browser cannot make sound on a page. Everything else works.";
    /// Where the audio clock does not move.
    pub const CLOCK_STANDS: &str = "The browser says it plays, but its clock stands still. Another program may hold the loudspeaker; press Play again.";
    /// At the foot of every room.
    pub const LISTEN_SAFELY: &str = "Start quietly, turn up slowly, and give your ears a rest now and then.";
    /// On a page that came over plain http.
    pub const PLAIN_HTTP: &str =
        "This page came over plain http: work offline and the clipboard are missing. Everything else works.";
    /// While a file is on its way.
    pub const OPENING: &str = "Opening\u{2026}";
    /// A piece of the program did not come.
    pub const PART_MISSING: &str =
        "This part of the page did not arrive: the connection may be gone. What you made is kept.";
    /// For rooms still to come.
    pub const ROOM_NOT_BUILT: &str = "This room is not open yet.";
    /// The way back.
    pub const TO_STYLES: &str = "To the styles";
    /// The heading of a received groove without a title.
    pub const RECEIVED: &str = "A groove from a link";
    /// Under that heading.
    pub const RECEIVED_LEAD: &str = "Somebody sent you this groove. Look at it, play it, change it; your own draft stays as it is until you keep this one.";
    /// When the kit has changed since a link was made.
    pub const KIT_CHANGED: &str = "The drums have been changed since this link was made: the strokes are the same, the sound may differ a little.";
    /// In the Draft room.
    pub const DRAFT_LEAD: &str = "A groove of your own. Click the places, or move with the arrow keys and press Space.";
    /// Where the draft is kept.
    pub const KEPT_HERE: &str = "Kept on this device as you work.";
    /// Where nothing can be kept.
    pub const NOT_KEPT: &str =
        "This browser keeps nothing for the page: what you make is gone when it closes. Copy the link to keep it.";
    /// After a received groove became the draft.
    pub const KEPT_AS_DRAFT: &str = "This is a draft of yours now. The others are as they were, in the list below.";
    /// After the style's groove was restored.
    pub const BACK_TO_STYLE: &str = "The style\u{2019}s own groove is back. Undo brings your version back.";
    /// Over a changed style.
    pub const OWN_VERSION: &str = "This is your own version, kept on this device.";
    /// When a kept groove cannot be read.
    pub const UNREAD: &str = "What was kept here could not be read. It has been put aside, not thrown away.";
    /// In the stroke card when no place is chosen.
    pub const CHOOSE_A_PLACE: &str = "Click a place on a line to put a stroke there; click again to take it away. With the keyboard: arrows move, Space strikes, x X o write a stroke, an accent, a ghost note, + and \u{2212} change how loud.";

    /// Under the heading of the Styles room.
    pub fn styles_lead(count: usize) -> String {
        format!("{count} drum styles. Open one, hear it, and change it while it plays.")
    }

    /// When an address names a style that is not there.
    pub fn no_style(id: &str) -> String {
        format!("There is no style called \u{201c}{id}\u{201d}. Look through the list.")
    }

    /// When the browser refused to make sound, in its own words.
    pub fn sound_refused(reason: &str) -> String {
        format!("The browser refused to make sound ({reason}). Everything else works.")
    }

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
