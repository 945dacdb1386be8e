//! When a stroke sounds: its nudge, and the place it stands on, off the pulse too.

use super::fold::Fold;
use super::number::Number;
use super::stroke::{There, refused, told};
use crate::rhythm::{Quantity, Strength, Tick, recast};
use crate::session::editor::Editor;
use crate::view::ribbon::navigation::Spot;
use crate::words::cards;
use leptos::prelude::*;

/// The shares of the way from a place to the next.
const SHARES: [(i64, i64, &str); 4] =
    [(0, 1, cards::ON_PLACE), (1, 3, cards::THIRD), (1, 2, cards::HALF), (2, 3, cards::TWO_THIRDS)];

/// The section of the stroke card.
#[component]
pub fn Time(editor: Editor, chosen: RwSignal<Option<Spot>>, there: There) -> impl IntoView {
    let fault = RwSignal::new(None::<String>);
    // A stroke that is there goes to the tick; where there is none, a new one is put.
    let send = move |to: Tick| {
        let Some(spot) = chosen.get_untracked() else { return };
        let given = if there.with_untracked(Option::is_some) {
            editor.move_stroke(spot.lane, spot.at, to)
        } else if editor.loudness(spot.lane, to).is_some() {
            Ok(())
        } else {
            editor.set_strength(spot.lane, to, Strength::Plain).map_err(Into::into)
        };
        if given.is_ok() {
            chosen.set(Some(Spot { at: to, ..spot }));
        }
        fault.set(told(given));
    };
    let lane = move || {
        let spot = chosen.get_untracked()?;
        editor.groove().with_untracked(|groove| groove.pattern.lane(spot.lane).cloned().map(|lane| (lane, spot.at)))
    };
    let by_pulse = move |pulses: i64| {
        if let Some((lane, at)) = lane() {
            send(at + lane.head.pulse.times(pulses));
        }
    };
    let between = SHARES.map(|(numerator, denominator, name)| {
        let put = move |_| {
            if let Some((lane, at)) = lane() {
                send(recast::between(&lane, at, numerator, denominator));
            }
        };
        view! { <button type="button" class="act" on:click=put>{name}</button> }
    });
    let absent = move || there.with(Option::is_none);
    view! {
        <Fold number=0 summary=cards::TIME>
            <Number editor=editor spot=chosen quantity=Quantity::Nudge />
            <span class="group" role="group" aria-label=cards::MOVE>
                <span class="group-name" aria-hidden="true">{cards::MOVE}</span>
                <button type="button" class="act" disabled=absent on:click=move |_| by_pulse(-1)>{cards::EARLIER}</button>
                <button type="button" class="act" disabled=absent on:click=move |_| by_pulse(1)>{cards::LATER}</button>
            </span>
            <span class="group" role="group" aria-label=cards::BETWEEN>
                <span class="group-name" aria-hidden="true">{cards::BETWEEN}</span>
                {between}
            </span>
            <Number editor=editor spot=chosen quantity=Quantity::Place />
            {refused(fault)}
            <p class="card-hint">{cards::KEYS}</p>
        </Fold>
    }
    .into_any()
}
