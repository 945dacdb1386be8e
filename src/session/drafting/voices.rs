//! A voice of one's own for the open draft.

use super::Drafts;
use crate::rhythm::{Edit, MadeVoice, Sound};
use crate::role::Role;
use crate::session::rooms::Notice;
use crate::words::drafts::Told;
use leptos::prelude::*;

impl Drafts {
    /// Lets `voice` play `role` in the open draft, as one change, and tells it; false, and told, if the draft has as many
    /// own voices as it can have.
    pub fn use_voice(&self, role: Role, voice: MadeVoice) -> bool {
        let Some(editor) = self.editor.get_value() else { return false };
        let groove = editor.now();
        let has_line = groove.pattern.lanes().iter().any(|lane| lane.head.role == role);
        let taken = match groove.sound.voices.clone().with(role, voice) {
            Ok(voices) => editor.apply(&Edit::SetSound(Sound { voices, ..groove.sound })).is_ok(),
            Err(_) => false,
        };
        let told = if taken { Told::VoiceTaken(role, has_line) } else { Told::VoicesFull };
        self.rooms.tell(Notice::Drafts(told));
        taken
    }
}
