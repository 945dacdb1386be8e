//! The score marks engraved over the ribbon, which are also the controls: tempo, feel and metre.

use crate::rhythm::{Bpm, Swing};
use crate::session::Session;
use crate::session::editor::Editor;
use crate::session::rooms::Notice;
use crate::words::{marks, numbers, ui};
use leptos::ev;
use leptos::prelude::*;

/// The score marks of the groove in `editor`.
#[component]
pub fn Marks(session: Session, editor: Editor) -> impl IntoView {
    let groove = editor.groove();
    let felt = move || groove.with(|groove| marks::felt(groove.tempo));
    let metre = move || groove.with(|groove| marks::metre(groove.pattern.metre()));
    view! {
        <div class="marks">
            <TempoMark session=session editor=editor />
            {move || felt().map(|felt| view! { <span class="felt-mark">{felt}</span> })}
            <SwingMark editor=editor />
            <span class="metre-mark"><span class="unseen">{ui::controls::METRE} " "</span>{metre}</span>
        </div>
    }
}

/// The tempo, typed or turned with the arrow keys. A value out of range is told and the old one stays.
#[component]
fn TempoMark(session: Session, editor: Editor) -> impl IntoView {
    let groove = editor.groove();
    let tempo = Memo::new(move |_| groove.with(|groove| groove.tempo));
    let shown = move || numbers::format(tempo.get().bpm.get(), 2);
    let turn = move |bpm: f64| {
        let _ = editor.turn_tempo(tempo.get_untracked().at(Bpm::clamped(bpm)));
    };
    let typed = move |event: ev::Event| {
        let field: web_sys::HtmlInputElement = event_target(&event);
        let bpm = numbers::parse(&field.value()).and_then(Bpm::new);
        match bpm {
            Some(bpm) => {
                let _ = editor.turn_tempo(tempo.get_untracked().at(bpm));
            }
            None => session.rooms.tell(Notice::BadTempo),
        }
        editor.end_gesture();
        // What was typed gives way to what is: also when the tempo did not change.
        field.set_value(&shown());
    };
    let keys = move |event: ev::KeyboardEvent| {
        let now = tempo.get_untracked().bpm.get();
        let by = if event.shift_key() { 10.0 } else { 1.0 };
        let bpm = match event.key().as_str() {
            "ArrowUp" => now + by,
            "ArrowDown" => now - by,
            "PageUp" => now + 10.0,
            "PageDown" => now - 10.0,
            "Home" => 20.0,
            "End" => 400.0,
            "Enter" => {
                // Takes what is typed without leaving the field.
                let field: web_sys::HtmlInputElement = event_target(&event);
                let _ = field.blur();
                let _ = field.focus();
                return;
            }
            _ => return,
        };
        event.prevent_default();
        turn(bpm);
    };
    view! {
        <label class="tempo-mark">
            <span aria-hidden="true">{move || marks::count_note(tempo.get().unit())} " = "</span>
            <input
                type="text" inputmode="decimal" role="spinbutton" autocomplete="off" size="5"
                aria-label=ui::controls::TEMPO
                aria-valuemin="20" aria-valuemax="400"
                aria-valuenow=move || tempo.get().bpm.get().to_string()
                aria-valuetext=move || marks::tempo_spoken(tempo.get())
                prop:value=shown
                on:change=typed
                on:keydown=keys
                on:blur=move |_| editor.end_gesture()
            />
        </label>
    }
}

/// The swing, from even to strongly long-short.
#[component]
fn SwingMark(editor: Editor) -> impl IntoView {
    let groove = editor.groove();
    let feel = Memo::new(move |_| groove.with(|groove| groove.feel.clone()));
    let turned = move |value: String| {
        if let Some(swing) = value.parse().ok().and_then(Swing::from_percent) {
            let _ = editor.turn_swing(swing);
        }
    };
    view! {
        <label class="swing-mark">
            <span class="swing-text">{move || feel.with(marks::swing)}</span>
            <input
                type="range" min="50" max="80" step="0.1"
                aria-label=ui::controls::SWING
                aria-valuetext=move || feel.with(marks::swing_spoken)
                prop:value=move || feel.with(|feel| feel.swing().percent().to_string())
                on:input:target=move |event| turned(event.target().value())
                on:change=move |_| editor.end_gesture()
            />
        </label>
    }
}
