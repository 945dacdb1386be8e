//! What a pitched stroke plays: its notes, how long they are held, and where they slide.

use super::fold::Fold;
use super::number::Number;
use super::ornament::{Lasting, Part};
use super::stroke::{There, refused, told};
use crate::rhythm::Quantity;
use crate::rhythm::quantity::Addition;
use crate::session::editor::Editor;
use crate::view::ribbon::navigation::Spot;
use crate::words::cards;
use leptos::prelude::*;

/// The most notes a stroke has.
const MOST: usize = 8;

/// The section of the stroke card.
#[component]
pub fn Pitch(editor: Editor, chosen: RwSignal<Option<Spot>>, there: There) -> impl IntoView {
    let fault = RwSignal::new(None::<String>);
    let count = Memo::new(move |_| there.with(|there| there.as_ref().map_or(0, |there| there.pitches.len())));
    let change = move |change: &dyn Fn(&mut Vec<i8>)| {
        if let Some(spot) = chosen.get_untracked() {
            fault.set(told(editor.change_stroke(spot.lane, spot.at, |stroke| change(&mut stroke.pitches))));
        }
    };
    // The next note of a chord: a fourth over the highest one, or under the lowest where that is too high.
    let add = move |_| {
        change(&|pitches| {
            let over = pitches.iter().max().map_or(0, |highest| highest + 5);
            let under = pitches.iter().min().map_or(0, |lowest| lowest.saturating_sub(5));
            if pitches.len() < MOST {
                pitches.push(if over <= 48 { over } else { under.max(-48) });
            }
        });
    };
    let note = move |index: usize| {
        let quantity = Quantity::Pitch(index as u8);
        let remove = move |_| {
            change(&|pitches| {
                if pitches.len() > 1 && index < pitches.len() {
                    pitches.remove(index);
                }
            });
        };
        let name = cards::remove_note(&cards::name(quantity));
        let alone = move || (count.get() < 2).then_some("true");
        view! {
            <span class="note-of">
                <Number editor=editor spot=chosen quantity=quantity />
                <button type="button" class="turn" aria-label=name aria-disabled=alone on:click=remove>"\u{00d7}"</button>
            </span>
        }
    };
    let full = move || count.get() >= MOST;
    view! {
        <Fold number=2 summary=cards::PITCH>
            <For each=move || 0..count.get() key=|index| *index let(index)>{note(index)}</For>
            <button type="button" class="act" aria-disabled=move || full().then_some("true") on:click=add>{cards::ADD_NOTE}</button>
            {refused(fault)}
            <Part editor=editor chosen=chosen there=there addition=Addition::Length>
                <Lasting editor=editor chosen=chosen quantity=Quantity::Length />
            </Part>
            <Part editor=editor chosen=chosen there=there addition=Addition::Glide>
                <Number editor=editor spot=chosen quantity=Quantity::GlideTo />
                <Number editor=editor spot=chosen quantity=Quantity::GlideTime />
            </Part>
        </Fold>
    }
    .into_any()
}
