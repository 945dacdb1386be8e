//! The score marks engraved over the ribbon, which are also the controls: tempo, feel and metre.

use crate::rhythm::{Bpm, Swing};
use crate::session::Session;
use crate::session::editor::Editor;
use crate::session::rooms::Notice;
use crate::view::aria;
use crate::view::cards::bars::MetrePanel;
use crate::view::cards::count::{Count, FeelPanel};
use crate::view::cards::sound::{self, SoundPanel};
use crate::view::later::{Given, later, part};
use crate::words::{cards, marks, numbers, ui};
use leptos::ev;
use leptos::prelude::*;
use wasm_bindgen::JsCast;

/// What a mark opens under the marks, one at a time.
#[derive(Clone, Copy, PartialEq)]
pub enum Panel {
    Count,
    Feel,
    Metre,
    Sound,
}

/// The name of the panel's element, which the marks that open it refer to.
const PANEL: &str = "mark-panel";

type Opened = RwSignal<Option<Panel>>;

/// The score marks of the groove in `editor`.
#[component]
pub fn Marks(session: Session, editor: Editor) -> impl IntoView {
    let groove = editor.groove();
    let metre = move || groove.with(|groove| marks::bars(groove.pattern.metre(), groove.pattern.bars()));
    let swing = move || groove.with(|groove| marks::swing(&groove.feel));
    let kit = Memo::new(move |_| groove.with(|groove| groove.sound.kit.clone()));
    let sound = move || kit.with(|kit| cards::sound_of(&sound::kit_name(session, kit)));
    let open: Opened = RwSignal::new(None);
    let panel = move || {
        let panel = open.get()?;
        let tools = later(move || part!(tools(session, editor, panel)));
        let keys = move |event: ev::KeyboardEvent| {
            if event.key() == "Escape" {
                event.prevent_default();
                focus_opener();
                open.set(None);
            }
        };
        Some(
            view! { <div class="mark-panel" id=PANEL role="group" aria-label=name(panel) on:keydown=keys>{tools}</div> },
        )
    };
    view! {
        <div class="marks">
            <TempoMark session=session editor=editor open=open />
            <SwingMark editor=editor><Opener open=open panel=Panel::Feel text=Signal::derive(swing) /></SwingMark>
            <Opener open=open panel=Panel::Metre text=Signal::derive(metre) />
            <Opener open=open panel=Panel::Sound text=Signal::derive(sound) />
        </div>
        {panel}
    }
}

/// What stands in a panel.
#[cfg_attr(split, wasm_split_helpers::wasm_split(cards, fallible))]
fn tools(session: Session, editor: Editor, panel: Panel) -> Given {
    Ok(match panel {
        Panel::Count => view! { <Count editor=editor /> }.into_any(),
        Panel::Feel => view! { <FeelPanel editor=editor /> }.into_any(),
        Panel::Metre => view! { <MetrePanel editor=editor /> }.into_any(),
        Panel::Sound => view! { <SoundPanel session=session editor=editor /> }.into_any(),
    })
}

const fn name(panel: Panel) -> &'static str {
    match panel {
        Panel::Count => cards::COUNT_PANEL,
        Panel::Feel => cards::FEEL_PANEL,
        Panel::Metre => cards::METRE_PANEL,
        Panel::Sound => cards::SOUND,
    }
}

/// Gives the keyboard back to the mark whose panel is open.
fn focus_opener() {
    let opener = document().query_selector(".marks [aria-expanded=true]").ok().flatten();
    if let Some(opener) = opener.and_then(|opener| opener.dyn_into::<web_sys::HtmlElement>().ok()) {
        let _ = opener.focus();
    }
}

/// A mark that opens its panel under the marks, or closes it.
#[component]
fn Opener(open: Opened, panel: Panel, text: Signal<String>) -> impl IntoView {
    let is_open = move || open.get() == Some(panel);
    // The mark of the sound says itself what it is.
    let prefix = (panel != Panel::Sound).then(|| format!("{}: ", name(panel)));
    let press = move |_| open.update(|open| *open = (*open != Some(panel)).then_some(panel));
    view! {
        <button
            type="button" class="mark"
            aria-expanded=move || aria::state(is_open())
            aria-controls=move || is_open().then_some(PANEL)
            on:click=press
        >
            <span class="unseen">{prefix}</span>
            <span>{text}</span>
        </button>
    }
}

/// The tempo, typed or turned with the arrow keys. A value out of range is told and the old one stays.
#[component]
fn TempoMark(session: Session, editor: Editor, open: Opened) -> impl IntoView {
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
        <span class="tempo-mark">
            <Opener open=open panel=Panel::Count text=Signal::derive(move || marks::count_note(tempo.get().unit())) />
            <span aria-hidden="true">" = "</span>
            <input
                type="text" inputmode="decimal" role="spinbutton" autocomplete="off" size="5"
                aria-label=ui::controls::TEMPO
                aria-valuemin="20" aria-valuemax="400"
                aria-valuenow=move || tempo.get().bpm.get().to_string()
                aria-valuetext=move || marks::tempo_spoken(tempo.get())
                value=shown
                prop:value=shown
                on:change=typed
                on:keydown=keys
                on:blur=move |_| editor.end_gesture()
            />
            {move || marks::felt(tempo.get()).map(|felt| view! { <span class="felt-mark">{felt}</span> })}
        </span>
    }
}

/// The swing, from even to strongly long-short.
#[component]
fn SwingMark(editor: Editor, children: Children) -> impl IntoView {
    let groove = editor.groove();
    let feel = Memo::new(move |_| groove.with(|groove| groove.feel.clone()));
    let turned = move |value: String| {
        if let Some(swing) = value.parse().ok().and_then(Swing::from_percent) {
            let _ = editor.turn_swing(swing);
        }
    };
    view! {
        <span class="swing-mark">
            {children()}
            <input
                type="range" min="50" max="80" step="0.1"
                aria-label=ui::controls::SWING
                aria-valuetext=move || feel.with(marks::swing_spoken)
                prop:value=move || feel.with(|feel| feel.swing().percent().to_string())
                on:input:target=move |event| turned(event.target().value())
                on:change=move |_| editor.end_gesture()
            />
        </span>
    }
}
