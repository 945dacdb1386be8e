//! A link for copying by hand, where the browser does not let the page put it on the clipboard.

use crate::words::ui;
use leptos::html;
use leptos::prelude::*;

/// The link, selected and ready to be copied.
#[component]
pub fn LinkSlip(link: String, close: Callback<()>) -> impl IntoView {
    let field = NodeRef::<html::Input>::new();
    field.on_load(|field| {
        let _ = field.focus();
        field.select();
    });
    let length = ui::messages::link_length(link.chars().count());
    view! {
        <div class="slip">
            <label>
                <span>{ui::messages::LINK_NOT_COPIED}</span>
                <input type="text" readonly value=link aria-label=ui::controls::LINK_FIELD node_ref=field />
                <small>{length}</small>
            </label>
            <button type="button" class="plain" on:click=move |_| close.run(())>{ui::controls::PUT_AWAY}</button>
        </div>
    }
}
