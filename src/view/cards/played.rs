//! What plays some roles where it is not simply the kit's voice: a voice of the groove's own, or a stand-in.

use crate::rhythm::{Edit, Sound};
use crate::role::Role;
use crate::session::editor::Editor;
use crate::session::hearing::Hearing;
use crate::words::voices;
use leptos::prelude::*;

/// A sentence for each of `roles` that something else than the kit's own voice plays; an own voice can be given back.
#[component]
pub fn Played(
    /// The groove.
    editor: Editor,
    /// What is heard.
    hearing: Hearing,
    /// The roles spoken of.
    #[prop(into)]
    roles: Signal<Vec<Role>>,
) -> impl IntoView {
    let own = Memo::new(move |_| {
        let voices = editor.groove().with(|groove| groove.sound.voices.clone());
        roles.get().into_iter().filter(|role| voices.get(*role).is_some()).collect::<Vec<_>>()
    });
    let unread = Memo::new(move |_| hearing.with_drums(|drums| drums.unread.clone()).unwrap_or_default());
    let stand_ins =
        Memo::new(move |_| hearing.with_drums(|drums| drums.kit.stand_ins_for(roles.get())).unwrap_or_default());
    let give_back = move |role: Role| {
        let sound = editor.now().sound;
        let _ = editor.apply(&Edit::SetSound(Sound { voices: sound.voices.clone().without(role), ..sound }));
    };
    let own_line = move |role: Role| {
        let told = if unread.with(|unread| unread.contains(&role)) { voices::unread(role) } else { voices::own(role) };
        view! {
            <p>
                {told} " "
                <button type="button" class="plain" on:click=move |_| give_back(role)>{voices::back_to_kit(role)}</button>
            </p>
        }
    };
    view! {
        <div class="voices-played" aria-live="polite">
            {move || own.get().into_iter().map(own_line).collect_view()}
            {move || stand_ins.get().into_iter().map(|found| view! { <p>{voices::stand_in(found)}</p> }).collect_view()}
        </div>
    }
    .into_any()
}
