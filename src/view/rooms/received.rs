//! A groove that came as a link: seen first, heard when the learner asks, and kept only if they say so.

use crate::route::Route;
use crate::session::Session;
use crate::session::editor::Editor;
use crate::view::app;
use crate::view::desk::Desk;
use crate::words::ui;
use leptos::prelude::*;

/// The room of a received groove.
#[component]
pub fn Received(session: Session) -> impl IntoView {
    let Some(shared) = session.rooms.received() else {
        return view! { <p><a href=Route::Styles.fragment()>{ui::messages::TO_STYLES}</a></p> }.into_any();
    };
    let title = shared.title.clone().unwrap_or_default();
    let heading = if title.is_empty() { ui::messages::RECEIVED.to_owned() } else { title };
    app::title(&heading);
    let editor = Editor::new(shared.groove.clone());
    let keep = move |_| session.rooms.bring_to_draft(editor.now());
    view! {
        <div class="page">
            <h1 tabindex="-1">{heading.clone()}</h1>
            <p class="lead">{ui::messages::RECEIVED_LEAD}</p>
            <Desk session=session editor=editor name=heading own_link=Signal::derive(|| None) pinned=shared.kit_hash />
            <p class="below"><button type="button" class="plain" on:click=keep>{ui::controls::KEEP_AS_DRAFT}</button></p>
        </div>
    }
    .into_any()
}
