//! The lane card: what a lane is, how it is written, how it is heard; and a lane more.

use super::choice::{Choice, Options};
use super::number::Number;
use super::played::Played;
use super::stroke::refused;
use crate::rhythm::{Edit, EditError, LaneId, Pattern, Quantity, Tick, recast};
use crate::role::Role;
use crate::session::editor::Editor;
use crate::session::hearing::Hearing;
use crate::view::aria;
use crate::view::ribbon::grid::focus_place;
use crate::view::ribbon::navigation::{Spot, nearest};
use crate::words::{cards, faults, roles, ui};
use leptos::ev;
use leptos::html;
use leptos::prelude::*;

fn names(roles: Vec<Role>) -> Options {
    roles.into_iter().map(|role| (role.id().to_owned(), roles::role(role).to_owned())).collect()
}

/// The place of a lane next to `at`, of the lane at `row` from the top or the last one.
fn place_in(pattern: &Pattern, row: usize, at: Tick) -> Option<Spot> {
    let lane = pattern.lanes().get(row).or(pattern.lanes().last())?;
    Some(Spot { lane: lane.id, at: nearest(lane, pattern.length(), at) })
}

/// The card of one lane.
#[component]
pub fn LaneCard(
    /// The groove.
    editor: Editor,
    /// What is heard.
    hearing: Hearing,
    /// The lane.
    lane: LaneId,
    /// The chosen place, which leaves a lane that is removed.
    chosen: RwSignal<Option<Spot>>,
    /// Puts the card away; the keyboard goes back to where it came from.
    close: Callback<()>,
) -> impl IntoView {
    let groove = editor.groove();
    let fault = RwSignal::new(None::<String>);
    let tell = move |given: Result<(), EditError>| fault.set(given.err().map(faults::edit));
    let spot = RwSignal::new(Some(Spot { lane, at: Tick::ZERO }));
    let heading = NodeRef::<html::H3>::new();
    heading.on_load(|heading| {
        let _ = heading.focus();
    });
    let head = Memo::new(move |_| groove.with(|groove| groove.pattern.lane(lane).map(|lane| lane.head)));
    let title = move || groove.with(|groove| roles::lane(&groove.pattern, lane));
    // A lane that goes by an undo takes its card along; the keyboard then goes to the nearest place.
    Effect::new(move |_| {
        if head.get().is_none() {
            close.run(());
        }
    });

    let role = Signal::derive(move || head.get().map_or("", |head| head.role.id()).to_owned());
    let mut all_roles = Role::ALL.to_vec();
    all_roles.sort_by_key(|role| role.score_rank());
    let role_options = Signal::stored(names(all_roles));
    let set_role = Callback::new(move |id: String| {
        if let Ok(role) = id.parse() {
            tell(editor.change(|groove| {
                let lane = groove.pattern.lane(lane);
                lane.map_or(Edit::Several(Vec::new()), |lane| recast::role(lane, role))
            }));
        }
    });

    let roles = Signal::derive(move || head.get().map(|head| head.role).into_iter().collect::<Vec<_>>());

    let pulse = Signal::derive(move || head.get().map_or(0, |head| head.pulse.0).to_string());
    let length = Memo::new(move |_| groove.with(|groove| groove.pattern.length()));
    let pulse_options = Signal::derive(move || {
        let mut pulses = recast::pulses(length.get());
        pulses.extend(head.get().map(|head| head.pulse).filter(|pulse| !recast::pulses(length.get()).contains(pulse)));
        pulses.into_iter().map(|pulse| (pulse.0.to_string(), cards::note_value(pulse))).collect::<Options>()
    });
    let set_pulse = Callback::new(move |ticks: String| {
        if let Ok(ticks) = ticks.parse() {
            tell(editor.change_head(lane, |head| head.pulse = Tick(ticks)));
        }
    });

    let wish = |wish: Option<bool>| match wish {
        None => "feel",
        Some(true) => "yes",
        Some(false) => "no",
    };
    let swings = Signal::derive(move || head.get().map_or("", |head| wish(head.swings)).to_owned());
    let by_feel = Memo::new(move |_| {
        let head = head.get().map(|head| crate::rhythm::LaneHead { swings: None, ..head });
        groove.with(|groove| head.is_some_and(|head| groove.feel.moves(&head)))
    });
    let swing_options = Signal::derive(move || {
        let names = [cards::by_the_feel(by_feel.get()), cards::swings(true), cards::swings(false)];
        ["feel", "yes", "no"]
            .into_iter()
            .zip(names)
            .map(|(value, name)| (value.to_owned(), name.to_owned()))
            .collect::<Options>()
    });
    let set_swings = Callback::new(move |value: String| {
        let swings = [None, Some(true), Some(false)].into_iter().find(|&each| wish(each) == value);
        tell(editor.change_head(lane, |head| head.swings = swings.unwrap_or(head.swings)));
    });

    let row =
        move || groove.with(|groove| groove.pattern.lane_index(lane).map(|row| (row, groove.pattern.lanes().len())));
    let shift = move |by: isize| {
        if let Some((row, count)) = untrack(row) {
            let to = row.saturating_add_signed(by).min(count.saturating_sub(1));
            tell(editor.apply(&Edit::MoveLane(lane, to)));
        }
    };
    let at_top = move || row().is_some_and(|(row, _)| row == 0).then_some("true");
    let at_bottom = move || row().is_some_and(|(row, count)| row + 1 >= count).then_some("true");
    let clear = move |_| {
        tell(editor.change(|groove| {
            let lane = groove.pattern.lane(lane);
            lane.map_or(Edit::Several(Vec::new()), recast::cleared)
        }));
    };
    let remove = move |_| {
        let Some((row, _)) = untrack(row) else { return };
        let at = chosen.get_untracked().map_or(Tick::ZERO, |spot| spot.at);
        let given = editor.apply(&Edit::RemoveLane(lane));
        if given.is_ok() {
            let next = groove.with_untracked(|groove| place_in(&groove.pattern, row, at));
            chosen.set(next);
        }
        tell(given);
    };
    let silent = move || hearing.is_muted(lane);
    let alone = move || hearing.is_alone(lane);
    let keys = move |event: ev::KeyboardEvent| {
        if event.key() == "Escape" {
            event.prevent_default();
            close.run(());
        }
    };
    view! {
        <section class="card lane-card" aria-label=cards::CARD_LANE on:keydown=keys>
            <div class="card-head">
                <h3 tabindex="-1" node_ref=heading>{title}</h3>
                <button type="button" class="act" on:click=move |_| close.run(())>{ui::controls::PUT_AWAY}</button>
            </div>
            <div class="card-tools">
                <button type="button" class="switch" aria-pressed=move || aria::state(silent()) on:click=move |_| hearing.set_muted(lane, !untrack(silent))>{cards::SILENCE}</button>
                <button type="button" class="switch" aria-pressed=move || aria::state(alone()) on:click=move |_| hearing.set_alone(lane, !untrack(alone))>{cards::ALONE}</button>
                <Number editor=editor spot=spot quantity=Quantity::Lean />
                <Choice name=cards::PULSE options=pulse_options now=pulse choose=set_pulse />
                <Choice name=cards::SWINGS options=swing_options now=swings choose=set_swings />
                <Choice name=cards::ROLE options=role_options now=role choose=set_role />
            </div>
            <div class="card-tools">
                <button type="button" class="act" aria-disabled=at_top on:click=move |_| shift(-1)>{cards::MOVE_UP}</button>
                <button type="button" class="act" aria-disabled=at_bottom on:click=move |_| shift(1)>{cards::MOVE_DOWN}</button>
                <button type="button" class="act" on:click=clear>{cards::CLEAR_LANE}</button>
                <button type="button" class="act" on:click=remove>{cards::REMOVE_LANE}</button>
            </div>
            <Played editor=editor hearing=hearing roles=roles />
            {refused(fault)}
        </section>
    }
    .into_any()
}

/// A lane more: the parts without a lane first. The keyboard goes to its first place.
#[component]
pub fn AddLane(
    /// The groove.
    editor: Editor,
    /// The chosen place.
    chosen: RwSignal<Option<Spot>>,
) -> impl IntoView {
    let groove = editor.groove();
    let fault = RwSignal::new(None::<String>);
    let options = Memo::new(move |_| groove.with(|groove| names(recast::roles_to_add(&groove.pattern))));
    let picked = RwSignal::new(None::<String>);
    let now = move || {
        picked.get().or_else(|| options.with(|all| all.first().map(|first| first.0.clone()))).unwrap_or_default()
    };
    let now = Signal::derive(now);
    let add = move |_| {
        let Ok(role) = now.get_untracked().parse::<Role>() else { return };
        let given = editor.change(|groove| recast::added(&groove.pattern, role));
        if given.is_ok() {
            picked.set(None);
            // The newest lane has the highest identity.
            let id = groove.with_untracked(|groove| groove.pattern.lanes().iter().map(|lane| lane.id).max());
            if let Some(lane) = id {
                let spot = Spot { lane, at: Tick::ZERO };
                chosen.set(Some(spot));
                set_timeout(move || focus_place(spot), core::time::Duration::ZERO);
            }
        }
        fault.set(given.err().map(faults::edit));
    };
    view! {
        <details class="add-lane">
            <summary>{cards::ADD_LANE}</summary>
            <div class="fold-tools">
                <Choice name=cards::ROLE options=options.into() now=now choose=Callback::new(move |id| picked.set(Some(id))) />
                <button type="button" class="act" on:click=add>{cards::ADD}</button>
                {refused(fault)}
            </div>
        </details>
    }
    .into_any()
}
