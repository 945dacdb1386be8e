//! One of several: the browser's own list, for mouse, finger and keyboard alike.

use leptos::prelude::*;

/// What can be chosen: the value given to the action, and its name.
pub type Options = Vec<(String, String)>;

/// A named list. What is chosen and refused does not stay shown.
#[component]
pub fn Choice(
    /// Its name.
    name: &'static str,
    /// What can be chosen.
    options: Signal<Options>,
    /// The value chosen now.
    now: Signal<String>,
    /// What to do with the value chosen.
    choose: Callback<String>,
) -> impl IntoView {
    let chosen = move |event| {
        choose.run(event_target_value(&event));
        // Whatever the list's own type: it takes its value as a field does.
        event_target::<web_sys::HtmlInputElement>(&event).set_value(&now.get_untracked());
    };
    let option = move |(value, text): (String, String)| {
        let own = value.clone();
        view! { <option value=value prop:selected=move || now.with(|now| *now == own)>{text}</option> }
    };
    view! {
        <label class="choice">
            <span>{name}</span>
            <select on:change=chosen>{move || options.get().into_iter().map(option).collect_view()}</select>
        </label>
    }
    .into_any()
}
