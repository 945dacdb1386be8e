//! One number: typed, turned with arrow keys, or with a button to either side.

use crate::rhythm::quantity::Range;
use crate::rhythm::{Quantity, Tick};
use crate::role::Role;
use crate::session::editor::Editor;
use crate::view::ribbon::navigation::Spot;
use crate::words::cards;
use leptos::ev;
use leptos::prelude::*;

#[derive(Clone, PartialEq)]
struct Reading {
    value: i32,
    range: Range,
    shown: String,
    told: String,
}

/// The control of `quantity` at a place, or of its lane. Turning it is one undo until it is left.
#[component]
pub fn Number(
    /// The groove.
    editor: Editor,
    /// The place; when the quantity is the place itself, it follows.
    spot: RwSignal<Option<Spot>>,
    /// What is turned.
    quantity: Quantity,
) -> impl IntoView {
    let groove = editor.groove();
    let role_of = move |lane| groove.with(|groove| groove.pattern.lane(lane).map_or(Role::Kick, |lane| lane.head.role));
    let reading = Memo::new(move |_| {
        let spot = spot.get()?;
        let role = role_of(spot.lane);
        groove.with(|groove| {
            let value = quantity.value(groove, spot.lane, spot.at)?;
            let range = quantity.range(groove, spot.lane);
            let shown = cards::shown(quantity, value, role, groove);
            Some(Reading { value, range, shown, told: cards::told(quantity, value, role, groove) })
        })
    });
    let refused = RwSignal::new(None::<String>);
    let give = move |value: i32| {
        let (Some(place), Some(Reading { range, .. })) = (spot.get_untracked(), reading.get_untracked()) else {
            return;
        };
        let value = value.clamp(range.least, range.most);
        let given = editor.turn_quantity(quantity, place.lane, place.at, value);
        if given.is_ok() && quantity == Quantity::Place {
            spot.set(Some(Spot { at: Tick(value.into()), ..place }));
        }
        refused.set(given.err().map(cards::refusal));
    };
    let turn = move |by: fn(&Reading) -> i32| {
        if let Some(reading) = reading.get_untracked() {
            give(by(&reading));
        }
    };
    let shown =
        move || reading.with(|reading| reading.as_ref().map(|reading| reading.shown.clone()).unwrap_or_default());
    let take = move |field: web_sys::HtmlInputElement| {
        let text = field.value();
        if text != shown() {
            let role = spot.get_untracked().map_or(Role::Kick, |spot| role_of(spot.lane));
            match groove.with_untracked(|groove| cards::typed(quantity, &text, role, groove)) {
                Some(value) => give(value),
                None => refused.set(Some(cards::not_read(quantity).to_owned())),
            }
        }
        // What was typed gives way to what is: also when nothing changed.
        field.set_value(&shown());
    };
    let keys = move |event: ev::KeyboardEvent| {
        if event.ctrl_key() || event.meta_key() || event.alt_key() {
            return;
        }
        match (event.key().as_str(), event.shift_key()) {
            ("ArrowUp", false) => turn(|now| now.value + now.range.near),
            ("ArrowDown", false) => turn(|now| now.value - now.range.near),
            ("PageUp", _) | ("ArrowUp", true) => turn(|now| now.value + now.range.far),
            ("PageDown", _) | ("ArrowDown", true) => turn(|now| now.value - now.range.far),
            ("Home", false) => turn(|now| now.range.least),
            ("End", false) => turn(|now| now.range.most),
            ("Enter", _) => take(event_target(&event)),
            ("Escape", _) => {
                let field: web_sys::HtmlInputElement = event_target(&event);
                if field.value() == shown() {
                    return;
                }
                field.set_value(&shown());
                event.stop_propagation();
            }
            _ => return,
        }
        event.prevent_default();
    };
    let number =
        move |of: fn(&Reading) -> i32| move || reading.with(|reading| reading.as_ref().map(|r| of(r).to_string()));
    let absent = move || reading.with(Option::is_none);
    let name = cards::name(quantity);
    let side = |word: &str, sign: &'static str, by: fn(&Reading) -> i32| {
        let label = format!("{name}, {word}");
        let off = move || absent().then_some("true");
        view! { <button type="button" class="turn" tabindex="-1" aria-label=label aria-disabled=off on:click=move |_| turn(by)>{sign}</button> }
    };
    let less = side(cards::LESS, "\u{2212}", |now| now.value - now.range.near);
    let more = side(cards::MORE, "+", |now| now.value + now.range.near);
    view! {
        <span class="number" on:focusout=move |_| editor.end_gesture()>
            <span class="number-name" aria-hidden="true">{name.clone()}</span>
            {less}
            <input
                type="text" role="spinbutton" autocomplete="off" spellcheck="false"
                aria-label=name
                aria-valuemin=number(|now| now.range.least)
                aria-valuemax=number(|now| now.range.most)
                aria-valuenow=number(|now| now.value)
                aria-valuetext=move || reading.with(|reading| reading.as_ref().map(|reading| reading.told.clone()))
                aria-disabled=move || absent().then_some("true")
                readonly=absent
                value=shown
                prop:value=shown
                on:change=move |event| take(event_target(&event))
                on:keydown=keys
            />
            {more}
            <span class="number-told" aria-hidden="true">
                {move || reading.with(|reading| reading.as_ref().and_then(|reading| said(quantity, reading)))}
            </span>
            {move || refused.get().map(|text| view! { <span class="refused" role="alert">{text}</span> })}
        </span>
    }
    .into_any()
}

/// What stands behind the number: words that say more than the number does, or its unit.
fn said(quantity: Quantity, reading: &Reading) -> Option<String> {
    match quantity {
        Quantity::Nudge | Quantity::Lean | Quantity::RollSpan | Quantity::RollBend | Quantity::Length => {
            Some(reading.told.clone())
        }
        _ => Some(cards::unit(quantity).to_owned()),
    }
    .filter(|text| !text.is_empty() && *text != reading.shown)
}
