//! Dials of a voice in plain words: one labelled range each, with its two ends named.

use crate::lesson::builds::Handle;
use crate::synth::Patch;
use crate::synth::dials::figure;
use crate::words::voices as told;
use leptos::prelude::*;

/// What a range says and how far it goes.
struct Row {
    name: String,
    low: &'static str,
    high: &'static str,
    ends: (f64, f64),
    unit: &'static str,
}

fn row(handle: &Handle, patch: &Patch) -> Row {
    match handle {
        Handle::Dial(dial) => {
            let (name, low, high) = told::dial(*dial);
            Row { name: name.to_owned(), low, high, ends: (0.0, 100.0), unit: "" }
        }
        Handle::Figure(figured) => {
            let bare = figured.trim_start_matches("finish.");
            let (name, unit) = told::figure(bare).unwrap_or_else(|| (bare.replace('_', " "), ""));
            let ends = figure(patch, figured).map_or((0.0, 1.0), |(field, _)| (field.lowest, field.highest));
            Row { name, low: "less", high: "more", ends, unit }
        }
    }
}

fn spoken(handle: &Handle, row: &Row, value: f64) -> String {
    match handle {
        Handle::Dial(dial) => told::dial_at(*dial, value),
        Handle::Figure(_) => format!("{} {}", (value * 100.0).round() / 100.0, row.unit).trim_end().to_owned(),
    }
}

/// The dials `which` of `patch`. `moved` is called when one has come to rest.
#[component]
pub fn Dials(
    /// The voice that is changed.
    patch: RwSignal<Patch>,
    /// What can be moved.
    which: Signal<Vec<Handle>>,
    /// Called after each move: to hear it.
    #[prop(optional)]
    moved: Option<Callback<()>>,
    /// Whose they are, where a room has several with the same names; spoken before the name.
    #[prop(optional)]
    whose: &'static str,
) -> impl IntoView {
    let dial = move |handle: Handle| {
        let handle = StoredValue::new(handle);
        let made = patch.with_untracked(|patch| handle.with_value(|handle| row(handle, patch)));
        let (name, low, high, ends) = (made.name.clone(), made.low, made.high, made.ends);
        let made = StoredValue::new(made);
        let value = move || patch.with(|patch| handle.with_value(|handle| handle.read(patch))).unwrap_or(ends.0);
        let said = move || handle.with_value(|handle| made.with_value(|row| spoken(handle, row, value())));
        let put = move |event: web_sys::HtmlInputElement| {
            if let Ok(to) = event.value().parse::<f64>() {
                patch.update(|patch| *patch = handle.with_value(|handle| handle.put(patch, to)));
            }
        };
        let hundredth = (ends.1 - ends.0) / 100.0;
        view! {
            <label class="voice-dial">
                <span class="voice-dial-name"><span class="unseen">{whose} " "</span>{name}</span>
                <span class="voice-dial-end" aria-hidden="true">{low}</span>
                <input
                    type="range" min=ends.0.to_string() max=ends.1.to_string() step=hundredth.to_string()
                    aria-valuetext=said
                    prop:value=move || value().to_string()
                    on:input:target=move |event| put(event.target())
                    on:change=move |_| { if let Some(moved) = moved { moved.run(()); } }
                />
                <span class="voice-dial-end" aria-hidden="true">{high}</span>
            </label>
        }
    };
    view! {
        <div class="voice-dials">
            <For each=move || which.get() key=|handle| format!("{handle:?}") children=dial />
        </div>
    }
    .into_any()
}

/// All dials of `patch` as handles.
pub fn all(patch: &Patch) -> Vec<Handle> {
    crate::synth::dials::dials(patch).into_iter().map(Handle::Dial).collect()
}
