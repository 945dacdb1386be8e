//! The stroke card: the chosen place, and how hard it is struck.

use super::ribbon::grid::focus_place;
use super::ribbon::navigation::Spot;
use crate::rhythm::{Loudness, Strength};
use crate::session::editor::Editor;
use crate::words::{places, strokes, ui};
use leptos::prelude::*;

/// The card of the chosen place; it keeps its room when nothing is chosen, so that the page does not jump.
#[component]
pub fn StrokeCard(editor: Editor, chosen: RwSignal<Option<Spot>>) -> impl IntoView {
    let groove = editor.groove();
    let there = Memo::new(move |_| {
        let spot = chosen.get()?;
        groove.with(|groove| {
            let name = places::spot(&groove.pattern, spot.lane, spot.at)?;
            let lane = groove.pattern.lane(spot.lane)?;
            let stroke = lane.at(spot.at).cloned();
            let state = strokes::state(stroke.as_ref(), lane.head.role, groove);
            let strength = stroke.as_ref().map(|stroke| groove.dynamics.strength(stroke.loudness));
            Some((spot, name, state, stroke.map(|stroke| stroke.loudness), strength))
        })
    });
    let strengths = [Strength::Ghost, Strength::Plain, Strength::Accent];
    let give = move |strength: Strength| {
        if let Some(spot) = chosen.get_untracked() {
            let _ = editor.set_strength(spot.lane, spot.at, strength);
        }
    };
    let has =
        move |strength: Strength| there.with(|there| there.as_ref().is_some_and(|there| there.4 == Some(strength)));
    let buttons = strengths.map(|strength| {
        view! {
            <button type="button" class="switch" aria-pressed=move || if has(strength) { "true" } else { "false" } on:click=move |_| give(strength)>
                {strokes::strength(strength)}
            </button>
        }
    });
    let loudness = move || there.with(|there| there.as_ref().and_then(|there| there.3));
    let turned = move |value: String| {
        if let (Some(spot), Ok(value)) = (chosen.get_untracked(), value.parse()) {
            let _ = editor.turn_loudness(spot.lane, spot.at, Loudness::clamped(value));
        }
    };
    let clear = move |_| {
        if let Some(spot) = chosen.get_untracked() {
            let _ = editor.clear(spot.lane, spot.at);
            // The button goes away with the stroke; the keyboard stays at the place.
            focus_place(spot);
        }
    };
    view! {
        <section class="card" aria-label=ui::controls::STROKE_CARD class:empty=move || there.with(Option::is_none)>
            {move || there.with(|there| there.as_ref().map(|(_, name, state, ..)| view! {
                <p class="card-place"><b>{name.clone()}</b> " " <span>{state.clone()}</span></p>
            }))}
            <p class="card-hint">{move || there.with(Option::is_none).then_some(ui::messages::CHOOSE_A_PLACE)}</p>
            <div class="card-tools">
                {buttons}
                <label class="loudness">
                    <span>{ui::controls::LOUDNESS}</span>
                    <input
                        type="range" min="1" max="127" step="1"
                        disabled=move || loudness().is_none()
                        prop:value=move || loudness().map_or(64, Loudness::get).to_string()
                        on:input:target=move |event| turned(event.target().value())
                        on:change=move |_| editor.end_gesture()
                    />
                </label>
                <button type="button" class="switch" disabled=move || loudness().is_none() on:click=clear>{ui::controls::CLEAR}</button>
            </div>
        </section>
    }
}
