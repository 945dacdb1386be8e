//! The switch for "feel ×4": offered while any stroke of the groove stands off its place.

use super::fin;
use crate::session::editor::Editor;
use crate::view::aria;
use crate::words::ribbon;
use leptos::prelude::*;

/// The switch; nothing where every stroke stands on its place.
#[component]
pub fn MagnifySwitch(
    /// The groove.
    editor: Editor,
    /// Whether shifts are drawn larger; the ribbon's `magnify`.
    magnify: RwSignal<bool>,
) -> impl IntoView {
    let moved = Memo::new(move |_| editor.groove().with(fin::any_moved));
    move || {
        moved.get().then(|| {
            view! {
                <button
                    type="button"
                    class="switch magnify"
                    aria-pressed=move || aria::state(magnify.get())
                    aria-description=ribbon::MAGNIFY_HINT
                    on:click=move |_| magnify.update(|on| *on = !*on)
                >
                    {ribbon::MAGNIFY}
                </button>
            }
        })
    }
}
