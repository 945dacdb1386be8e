//! Saving the groove as sound: how often round, how fine, and how far it is.

use crate::session::Session;
use crate::session::editor::Editor;
use crate::session::library::Drums;
use crate::session::recording::{Recorder, State};
use crate::share::take::{MOST_PASSES, Quality, Take};
use crate::words::recording::{self as told, controls};
use leptos::prelude::*;

/// How often round a recording goes if nothing is asked for.
const USUAL_PASSES: u32 = 4;

/// What stands in the fold under the desk in which the groove of `editor` is saved as a wave file named after it.
#[component]
pub fn Recording(session: Session, editor: Editor, drums: RwSignal<Option<Drums>>, name: String) -> impl IntoView {
    let recorder = Recorder::open();
    let passes = RwSignal::new(USUAL_PASSES);
    let quality = RwSignal::new(Quality::default());
    let silent = session.hearing.silent_lanes();
    let take = move || Take { passes: passes.get(), quality: quality.get() };
    let size = move || {
        let drums = drums.get()?;
        Some(editor.groove().with(|groove| take().size(groove, &drums.tone)))
    };
    let can_be = move || matches!(size(), Some(Ok(_)));
    let name = StoredValue::new(name);
    let press = move |_| {
        if recorder.is_working() {
            return recorder.cancel();
        }
        if let (true, Some(drums)) = (can_be(), drums.get_untracked()) {
            name.with_value(|name| recorder.save(editor.now(), drums, take(), silent.get_untracked(), name));
        }
    };
    let amount = move || match size()? {
        Ok(size) => Some(told::size(size)),
        Err(too_long) => Some(told::too_long(passes.get(), too_long)),
    };
    let outcome = move || {
        recorder.state().with(|state| match state {
            State::Idle | State::Working(_) => String::new(),
            State::Saved(name) => told::saved(name),
            State::Cancelled => told::CANCELLED.to_owned(),
            State::Refused(reason) => told::refused(reason.as_deref()),
        })
    };
    let percent = move || {
        recorder.state().with(|state| match state {
            State::Working(percent) => *percent,
            _ => 0,
        })
    };
    let turned = move |field: web_sys::HtmlInputElement, left: bool| {
        if let Ok(number) = field.value().parse::<u32>() {
            passes.set(number.clamp(1, MOST_PASSES));
        }
        if left {
            field.set_value(&passes.get_untracked().to_string());
        }
    };
    let working = Memo::new(move |_| recorder.is_working());
    let option = move |value: Quality| {
        let fine = (value == Quality::Fine).to_string();
        view! { <option value=fine selected=move || quality.get() == value>{told::quality(value)}</option> }
    };
    view! {
        <div class="fold-tools">
            <label>
                <span>{controls::TIMES_ROUND}</span>
                <input
                    type="number" min="1" max=MOST_PASSES.to_string() inputmode="numeric"
                    prop:value=USUAL_PASSES.to_string()
                    on:input:target=move |event| turned(event.target(), false)
                    on:change:target=move |event| turned(event.target(), true)
                />
            </label>
            <label>
                <span>{controls::QUALITY}</span>
                <select on:change:target=move |event| quality.set(if event.target().value() == "true" { Quality::Fine } else { Quality::Usual })>
                    {option(Quality::Usual)}
                    {option(Quality::Fine)}
                </select>
            </label>
            <button type="button" class="round" aria-disabled=move || (!working.get() && !can_be()).then_some("true") on:click=press>
                {move || if working.get() { controls::CANCEL } else { controls::SAVE }}
            </button>
            {move || working.get().then(|| view! {
                <progress max="100" aria-label=controls::PROGRESS prop:value=percent>{move || format!("{} %", percent())}</progress>
            })}
            <p class="recording-told" role="status">{amount} " " {move || (!silent.get().is_empty()).then_some(told::SILENT_LANES)}</p>
            <p class="recording-told" role="status">{outcome}</p>
        </div>
    }
    .into_any()
}
