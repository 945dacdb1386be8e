//! A groove of one's own, kept on the device as it is made.

use crate::rhythm::{Edit, Groove};
use crate::route::Route;
use crate::session::Session;
use crate::session::draft;
use crate::session::editor::Editor;
use crate::session::keep::{self, Shelf};
use crate::session::rooms::Notice;
use crate::view::app;
use crate::view::desk::Desk;
use crate::words::ui;
use leptos::prelude::*;

/// What stands on a shelf; a text that cannot be read has been put aside, and that is told.
fn taken(session: Session, shelf: &Shelf) -> Option<Groove> {
    keep::take(shelf).unwrap_or_else(|fault| {
        session.rooms.tell(Notice::Unread(fault));
        None
    })
}

/// The Draft room.
#[component]
pub fn Draft(session: Session) -> impl IntoView {
    app::title(ui::rooms::name(&Route::Draft));
    let editor = Editor::new(taken(session, &Shelf::Draft).unwrap_or_else(draft::blank));
    let kept = RwSignal::new(keep::stays());
    let earlier = RwSignal::new(keep::take(&Shelf::DraftBefore).ok().flatten());
    // Putting another groove in the draft's place keeps the one before, both as an undo and on the device.
    let replace = move |groove: Groove| {
        let before = editor.now();
        if before != draft::blank() {
            keep::put(&Shelf::DraftBefore, &before);
            earlier.set(Some(before));
        }
        let _ = editor.apply(&Edit::Restore(Box::new(groove.clone())));
        kept.set(keep::put(&Shelf::Draft, &groove));
    };
    if let Some(groove) = session.rooms.incoming() {
        replace(groove);
        session.rooms.tell(Notice::KeptAsDraft);
    }
    Effect::new(move |before: Option<()>| {
        let groove = editor.groove().get();
        if before.is_some() {
            kept.set(keep::put(&Shelf::Draft, &groove));
        }
    });
    let where_kept = move || if kept.get() { ui::messages::KEPT_HERE } else { ui::messages::NOT_KEPT };
    let bring_back = move |_| {
        if let Some(groove) = earlier.get_untracked() {
            replace(groove);
        }
    };
    view! {
        <div class="page">
            <h1 tabindex="-1">{ui::rooms::name(&Route::Draft)}</h1>
            <p class="lead">{ui::messages::DRAFT_LEAD}</p>
            <Desk session=session editor=editor name=ui::rooms::name(&Route::Draft).to_owned() own_link=Signal::derive(|| None) />
            <p class="below kept">
                {where_kept} " "
                {move || earlier.with(Option::is_some).then(|| view! {
                    <button type="button" class="plain" on:click=bring_back>{ui::controls::EARLIER_DRAFT}</button>
                })}
            </p>
        </div>
    }
}
