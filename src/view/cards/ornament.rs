//! Rolls and flams: several strokes in place of one, and a grace stroke before it.

use super::choice::{Choice, Options};
use super::fold::Fold;
use super::number::Number;
use super::stroke::{There, refused, told};
use crate::rhythm::quantity::Addition;
use crate::rhythm::{Quantity, RollShape};
use crate::session::editor::Editor;
use crate::view::aria;
use crate::view::ribbon::navigation::Spot;
use crate::words::{cards, strokes};
use leptos::prelude::*;

/// The section of the stroke card.
#[component]
pub fn Ornament(editor: Editor, chosen: RwSignal<Option<Spot>>, there: There) -> impl IntoView {
    let shape =
        Memo::new(move |_| there.with(|there| there.as_ref().and_then(|there| there.roll).map(|roll| roll.shape)));
    let shapes =
        RollShape::ALL.map(|shape| (strokes::shape(shape).to_owned(), cards::shape(shape).to_owned())).to_vec();
    let choose = Callback::new(move |name: String| {
        let shape = RollShape::ALL.into_iter().find(|&shape| strokes::shape(shape) == name);
        if let (Some(spot), Some(shape)) = (chosen.get_untracked(), shape) {
            let _ = editor.change_stroke(spot.lane, spot.at, |stroke| {
                if let Some(roll) = stroke.roll.as_mut() {
                    roll.shape = shape;
                }
            });
        }
    });
    let now = Signal::derive(move || shape.get().map(strokes::shape).unwrap_or_default().to_owned());
    let options = Signal::stored(shapes);
    view! {
        <Fold number=1 summary=cards::ROLL_AND_FLAM>
            <Part editor=editor chosen=chosen there=there addition=Addition::Roll>
                <Number editor=editor spot=chosen quantity=Quantity::RollStrokes />
                <Lasting editor=editor chosen=chosen quantity=Quantity::RollSpan />
                <Choice name=cards::SHAPE options=options now=now choose=choose />
                <Number editor=editor spot=chosen quantity=Quantity::RollBend />
            </Part>
            <Part editor=editor chosen=chosen there=there addition=Addition::Flam>
                <Number editor=editor spot=chosen quantity=Quantity::FlamGap />
            </Part>
        </Fold>
    }
    .into_any()
}

/// A part a stroke may have: the switch for it, and its controls while it is there.
#[component]
pub(super) fn Part(
    editor: Editor,
    chosen: RwSignal<Option<Spot>>,
    there: There,
    addition: Addition,
    children: ChildrenFn,
) -> impl IntoView {
    let fault = RwSignal::new(None::<String>);
    let has = Memo::new(move |_| there.with(|there| there.as_ref().is_some_and(|there| addition.is_in(there))));
    let toggle = move |_| {
        if let Some(spot) = chosen.get_untracked() {
            fault.set(told(editor.toggle_addition(addition, spot.lane, spot.at)));
        }
    };
    view! {
        <div class="part">
            <button type="button" class="switch" aria-pressed=move || aria::state(has.get()) on:click=toggle>{cards::addition(addition)}</button>
            {move || has.get().then(|| children())}
            {refused(fault)}
        </div>
    }
    .into_any()
}

/// How long something lasts: as a note value from a list, or to the tick.
#[component]
pub(super) fn Lasting(editor: Editor, chosen: RwSignal<Option<Spot>>, quantity: Quantity) -> impl IntoView {
    let value = Memo::new(move |_| {
        let spot = chosen.get()?;
        editor.groove().with(|groove| quantity.value(groove, spot.lane, spot.at))
    });
    let options = Signal::derive(move || {
        let mut values = cards::NOTE_VALUES.to_vec();
        values.extend(value.get().map(i64::from).filter(|value| !cards::NOTE_VALUES.contains(value)));
        values
            .into_iter()
            .map(|ticks| (ticks.to_string(), cards::note_value(crate::rhythm::Tick(ticks))))
            .collect::<Options>()
    });
    let now = Signal::derive(move || value.get().unwrap_or_default().to_string());
    let choose = Callback::new(move |ticks: String| {
        if let (Some(spot), Ok(ticks)) = (chosen.get_untracked(), ticks.parse()) {
            let _ = editor.turn_quantity(quantity, spot.lane, spot.at, ticks);
            editor.end_gesture();
        }
    });
    view! {
        <Choice name=cards::lasting(quantity) options=options now=now choose=choose />
        <Number editor=editor spot=chosen quantity=quantity />
    }
    .into_any()
}
