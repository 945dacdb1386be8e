//! What the page tells the learner: one polite sentence at a time, which stays until it is put away or outdated.

use crate::session::Session;
use crate::session::rooms::Notice;
use crate::words::{drafts, faults, ui};
use leptos::prelude::*;

fn sentence(notice: &Notice) -> String {
    match notice {
        Notice::Link(fault) => faults::link(fault),
        Notice::Address(fault) => faults::route(*fault),
        Notice::NoStyle(id) => ui::messages::no_style(id),
        Notice::Unread(_) => ui::messages::UNREAD.to_owned(),
        Notice::NotKept => ui::messages::NOT_KEPT.to_owned(),
        Notice::LinkCopied => ui::messages::LINK_COPIED.to_owned(),
        Notice::KeptAsDraft => ui::messages::KEPT_AS_DRAFT.to_owned(),
        Notice::BackToStyle => ui::messages::BACK_TO_STYLE.to_owned(),
        Notice::Refused(error) => faults::edit(*error),
        Notice::BadTempo => faults::tempo(),
        Notice::Drafts(told) => drafts::sentence(told),
    }
}

/// The notice line. The live region is always there, so that every new text in it is read out; a repeated text is made a
/// new one by a space that is not heard.
#[component]
pub fn Notices(session: Session) -> impl IntoView {
    let rooms = session.rooms;
    let text = move || {
        let told = rooms.notice();
        told.map(|(number, notice)| format!("{}{}", sentence(&notice), if number % 2 == 1 { "\u{a0}" } else { "" }))
    };
    let shown = move || rooms.notice().is_some();
    view! {
        <div class="notice" class:shown=shown>
            <p role="status" aria-live="polite">{text}</p>
            {move || shown().then(|| view! {
                <button type="button" class="plain" on:click=move |_| rooms.hush()>{ui::controls::PUT_AWAY}</button>
            })}
        </div>
    }
}
