//! Match a sound by ear: hear the hidden one, hear your own, move yours until nobody could tell them apart.

use super::NORMAL;
use super::dials::Dials;
use super::picture::Picture;
use crate::lesson::builds::Handle;
use crate::role::Role;
use crate::session::Session;
use crate::session::matching::Round;
use crate::synth::Voice;
use crate::view::aria;
use crate::words::matching::{self as told, LEVELS, controls};
use leptos::prelude::*;

/// The section; a round begins with the voice chosen at that time.
#[component]
pub fn Match(session: Session, voice: Signal<Option<(Role, Voice)>>) -> impl IntoView {
    let level = RwSignal::new(LEVELS.first().map_or(1, |level| level.0));
    let round = RwSignal::new(None::<Round>);
    // One line tells what was hidden, what a check found, what was shown: the last of them.
    let said = RwSignal::new(String::new());
    let owner = Owner::current().unwrap_or_default();
    let hide = move |_| match voice.get_untracked() {
        None => said.set(controls::NO_VOICE.to_owned()),
        Some(voice) => {
            let begun = owner.with(|| Round::new(voice, level.get_untracked()));
            said.set(told::hidden(begun.role(), begun.riddle().moved.len()));
            round.set(Some(begun));
        }
    };
    let hear = move |hidden: bool| {
        if let Some(round) = round.get_untracked() {
            let patch = if hidden { round.riddle().hidden } else { round.own().get_untracked() };
            session.hearing.hear(patch, Vec::new(), NORMAL);
        }
    };
    let key = move |event: web_sys::KeyboardEvent| {
        let plain = !(event.repeat() || event.ctrl_key() || event.alt_key() || event.meta_key());
        match event.key().as_str() {
            "a" | "A" if plain => hear(true),
            "b" | "B" if plain => hear(false),
            _ => {}
        }
    };
    let levels = LEVELS.map(|(moves, name)| {
        view! {
            <label class="match-level">
                <input type="radio" name="match-level" prop:checked=move || level.get() == moves on:change=move |_| level.set(moves) />
                {name}
            </label>
        }
    });
    let name = move || if round.with(Option::is_some) { controls::NEXT } else { controls::HIDE };
    view! {
        <section class="match" on:keydown=key>
            <h2>{controls::HEADING}</h2>
            <p class="lead">{controls::LEAD}</p>
            <div class="match-begin">
                <fieldset><legend>{controls::LEVEL}</legend> {levels.into_iter().collect_view()}</fieldset>
                <button type="button" class="plain" on:click=hide>{name}</button>
            </div>
            {move || round.get().map(|round| playing(round, hear, said))}
            <p class="verdict" role="status">{move || said.get()}</p>
            {move || round.get().map(shown)}
        </section>
    }
    .into_any()
}

/// What the learner works with: both sounds to hear, the dials that were moved, and the check.
fn playing(round: Round, hear: impl Fn(bool) + Copy + Send + Sync + 'static, said: RwSignal<String>) -> AnyView {
    let moved: Vec<Handle> = round.riddle().moved.into_iter().map(Handle::Dial).collect();
    let check = move |_| {
        let found = round.check();
        said.set(told::checked(found.number, found.score, &found.findings));
    };
    let is_shown = move || round.before_reveal().with(Option::is_some);
    let reveal = move |_| {
        if !untrack(is_shown) {
            round.reveal();
            said.set(controls::REVEALED.to_owned());
            hear(true);
        }
    };
    view! {
        <div class="match-round">
            <p class="match-hear">
                <button type="button" class="plain" aria-keyshortcuts="A" on:click=move |_| hear(true)>{controls::HIDDEN}</button>
                <button type="button" class="plain" aria-keyshortcuts="B" on:click=move |_| hear(false)>{controls::OWN}</button>
                <small>{controls::KEYS}</small>
            </p>
            <Dials patch=round.own() which=Signal::derive(move || moved.clone()) moved=Callback::new(move |()| hear(false)) whose=controls::WHOSE />
            <div class="acts">
                <button type="button" class="plain" on:click=check>{controls::CHECK}</button>
                <button type="button" class="plain" aria-disabled=move || aria::state(is_shown()) on:click=reveal>{controls::REVEAL}</button>
            </div>
        </div>
    }
    .into_any()
}

/// Once asked for: where the learner's dials had stood, and the picture of the hidden sound.
fn shown(round: Round) -> AnyView {
    let hidden = Signal::derive(move || round.riddle().hidden);
    let view = move || {
        let before = round.before_reveal().get()?;
        let lines = before.iter().map(|found| view! { <li>{told::finding(found)}</li> }).collect_view();
        let lines = (!before.is_empty()).then(|| view! { <p>{controls::WERE}</p> <ul>{lines}</ul> });
        Some(view! {
            <div class="match-shown">
                <div class="voice-sheet"><Picture patch=hidden parts=Signal::derive(Vec::new) /></div>
                <div class="match-were">{lines}</div>
            </div>
        })
    };
    view.into_any()
}
