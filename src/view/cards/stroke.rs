//! The stroke card: the chosen place, how hard it is struck, and everything else about its stroke.

use super::number::Number;
use super::ornament::Ornament;
use super::pitch::Pitch;
use super::time::Time;
use crate::rhythm::{LaneId, Loudness, Quantity, Refusal, Strength, Stroke};
use crate::session::editor::Editor;
use crate::view::aria;
use crate::view::ribbon::grid::focus_place;
use crate::view::ribbon::navigation::Spot;
use crate::words::{cards, places, strokes, ui};
use leptos::ev;
use leptos::prelude::*;

/// The stroke at a place, as it is now.
pub(super) type There = Memo<Option<Stroke>>;

/// A sentence for what was refused, or nothing.
pub(super) fn told(given: Result<(), Refusal>) -> Option<String> {
    given.err().map(cards::refusal)
}

/// The sentence beside the control that was refused.
pub(super) fn refused(sentence: RwSignal<Option<String>>) -> impl IntoView {
    move || sentence.get().map(|text| view! { <span class="refused" role="alert">{text}</span> })
}

/// The card of the chosen place; it keeps its room when nothing is chosen, so that the page does not jump.
#[component]
pub fn StrokeCard(
    /// The groove.
    editor: Editor,
    /// The chosen place.
    chosen: RwSignal<Option<Spot>>,
    /// Opens the card of the place's lane.
    to_lane: Callback<LaneId>,
) -> impl IntoView {
    let groove = editor.groove();
    let title = Memo::new(move |_| {
        let spot = chosen.get()?;
        groove.with(|groove| {
            let name = places::spot(&groove.pattern, spot.lane, spot.at)?;
            let lane = groove.pattern.lane(spot.lane)?;
            Some((name, strokes::state(lane.at(spot.at), lane.head.role, groove)))
        })
    });
    let there: There = Memo::new(move |_| {
        let spot = chosen.get()?;
        groove.with(|groove| groove.pattern.lane(spot.lane)?.at(spot.at).cloned())
    });
    let pitched = Memo::new(move |_| {
        let lane = chosen.get().map(|spot| spot.lane);
        groove.with(|groove| {
            lane.and_then(|lane| groove.pattern.lane(lane)).is_some_and(|lane| lane.head.role.is_pitched())
        })
    });
    let give = move |strength: Strength| {
        if let Some(spot) = chosen.get_untracked() {
            let _ = editor.set_strength(spot.lane, spot.at, strength);
        }
    };
    let strength = Memo::new(move |_| {
        let loudness = there.with(|there| there.as_ref().map(|there| there.loudness));
        loudness.map(|loudness| groove.with(|groove| groove.dynamics.strength(loudness)))
    });
    let buttons = [Strength::Ghost, Strength::Plain, Strength::Accent].map(|each| {
        let has = move || aria::state(strength.get() == Some(each));
        view! { <button type="button" class="switch" aria-pressed=has on:click=move |_| give(each)>{strokes::strength(each)}</button> }
    });
    let absent = move || there.with(Option::is_none);
    let turned = move |value: String| {
        if let (Some(spot), Ok(value)) = (chosen.get_untracked(), value.parse()) {
            let _ = editor.turn_loudness(spot.lane, spot.at, Loudness::clamped(value));
        }
    };
    let clear = move |_| {
        if let Some(spot) = chosen.get_untracked() {
            let _ = editor.clear(spot.lane, spot.at);
            // The button goes away with the stroke; the keyboard stays at the place, or near it if the place goes too.
            focus_place(spot);
        }
    };
    let keys = move |event: ev::KeyboardEvent| {
        if let ("Escape", Some(spot)) = (event.key().as_str(), chosen.get_untracked()) {
            event.prevent_default();
            focus_place(spot);
        }
    };
    let lane_of = move |_| {
        if let Some(spot) = chosen.get_untracked() {
            to_lane.run(spot.lane);
        }
    };
    view! {
        <section class="card" aria-label=ui::controls::STROKE_CARD class:empty=move || title.with(Option::is_none) on:keydown=keys>
            {move || title.with(|title| title.as_ref().map(|(name, state)| view! {
                <p class="card-place"><b>{name.clone()}</b> " " <span>{state.clone()}</span></p>
            }))}
            <p class="card-hint">{move || title.with(Option::is_none).then_some(ui::messages::CHOOSE_A_PLACE)}</p>
            <div class="card-tools">
                {buttons}
                <input
                    class="loudness" type="range" min="1" max="127" step="1"
                    aria-label=ui::controls::LOUDNESS
                    aria-valuetext=move || title.with(|title| title.as_ref().map(|title| title.1.clone()))
                    disabled=absent
                    prop:value=move || there.with(|there| there.as_ref().map_or(64, |there| there.loudness.get())).to_string()
                    on:input:target=move |event| turned(event.target().value())
                    on:change=move |_| editor.end_gesture()
                />
                <Number editor=editor spot=chosen quantity=Quantity::Loudness />
                <button type="button" class="switch" disabled=absent on:click=clear>{ui::controls::CLEAR}</button>
                <button type="button" class="act to-lane" on:click=lane_of>{cards::TO_LANE}</button>
            </div>
            <div class="folds">
                <Time editor=editor chosen=chosen there=there />
                <Ornament editor=editor chosen=chosen there=there />
                {move || pitched.get().then(|| view! { <Pitch editor=editor chosen=chosen there=there /> })}
            </div>
        </section>
    }
}
