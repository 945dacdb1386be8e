//! The Voices room: any voice of any kit taken apart, heard part by part, turned into another, and put into a draft.

pub mod builds;
pub mod dials;
pub mod matching;
pub mod picture;

use crate::rhythm::{Id, Sound};
use crate::role::Role;
use crate::route::Route;
use crate::session::Session;
use crate::session::library::Drums;
use crate::synth::{Finish, Part, Patch, Voice, parts};
use crate::view::app;
use crate::view::aria;
use crate::view::cards::choice::{Choice, Options};
use crate::words::voices::{self as told, room};
use crate::words::{library, roles, ui};
use dials::Dials;
use leptos::prelude::*;
use leptos::task::spawn_local;
use picture::Picture;

/// Where the room begins if nothing is asked for.
const FIRST: (&str, Role) = ("boom-bap", Role::Kick);
/// How hard a stroke is that nobody asked to be harder or softer.
const NORMAL: u8 = 100;
/// The three ways of striking.
const STRIKES: [(&str, u8); 3] = [(room::SOFT, 45), (room::MIDDLE, NORMAL), (room::HARD, 127)];

/// The Voices room; `asked` is a kit and a role.
#[component]
pub fn Voices(session: Session, asked: Option<(String, String)>) -> impl IntoView {
    app::title(ui::rooms::name(&Route::Voices));
    let role = asked.as_ref().and_then(|(_, role)| role.parse().ok()).unwrap_or(FIRST.1);
    let kit = RwSignal::new(asked.map_or(FIRST.0.to_owned(), |(kit, _)| kit));
    let role = RwSignal::new(role);
    let drums = RwSignal::new(None::<Drums>);
    let missing = RwSignal::new(None::<String>);
    Effect::new(move |_| {
        let Ok(id) = kit.get().parse::<Id>() else { return };
        spawn_local(async move {
            let sound = Sound::of(id);
            match session.library.drums(&sound).await {
                // Another may have been chosen meanwhile.
                Ok(found) if kit.try_get_untracked().is_some_and(|kit| kit == found.kit.id) => {
                    missing.set(None);
                    drums.set(Some(found));
                }
                Ok(_) => {}
                Err(fault) => {
                    let _ = missing.try_set(Some(library::missing(&fault)));
                }
            }
        });
    });
    let voice = Memo::new(move |_| {
        let role = role.get();
        drums.with(|drums| {
            let kit = &drums.as_ref()?.kit;
            let role = if kit.voices.contains_key(&role) { role } else { *kit.voices.keys().next()? };
            kit.voices.get(&role).map(|voice| (role, *voice))
        })
    });
    let kits = Signal::derive(move || {
        let index = session.library.index();
        index.iter().map(|entry| (entry.kit.as_str().to_owned(), entry.name.clone())).collect::<Options>()
    });
    let voices = Signal::derive(move || {
        let names = |drums: &Drums| {
            drums.kit.voices.keys().map(|&role| (role.id().to_owned(), roles::role(role).to_owned())).collect()
        };
        drums.with(|drums| drums.as_ref().map(names).unwrap_or_default())
    });
    let now = Signal::derive(move || voice.get().map_or(String::new(), |(role, _)| role.id().to_owned()));
    let choose_role = Callback::new(move |id: String| {
        if let Ok(chosen) = id.parse() {
            role.set(chosen);
        }
    });
    view! {
        <div class="page voices">
            <h1 tabindex="-1">{ui::rooms::name(&Route::Voices)}</h1>
            <p class="lead">{room::LEAD}</p>
            <p class="voice-choice">
                <Choice name=room::KIT options=kits now=Signal::derive(move || kit.get()) choose=Callback::new(move |id| kit.set(id)) />
                <Choice name=room::VOICE options=voices now=now choose=choose_role />
            </p>
            {move || missing.get().map(|text| view! { <p class="fault" role="alert">{text}</p> })}
            {move || match voice.get() {
                None => view! { <p class="waiting">{ui::messages::OPENING}</p> }.into_any(),
                Some((role, voice)) => view! { <Apart session=session role=role voice=voice /> }.into_any(),
            }}
            <matching::Match session=session voice=voice.into() />
            <builds::Builds session=session to_draft=Callback::new(move |(role, voice): (Role, Voice)| session.rooms.bring_voice_to_draft(role, &voice)) />
        </div>
    }
    .into_any()
}

/// One voice: its picture, its parts, its dials.
#[component]
fn Apart(session: Session, role: Role, voice: Voice) -> impl IntoView {
    let own = voice.patch;
    let patch = RwSignal::new(own);
    let left_out = RwSignal::new(Vec::<Part>::new());
    let alone = RwSignal::new(None::<Part>);
    let has = Memo::new(move |_| patch.with(parts));
    // None named is the whole voice.
    let heard = Signal::derive(move || match alone.get() {
        Some(part) => vec![part],
        None => {
            let left_out = left_out.get();
            let all = has.get();
            let kept: Vec<Part> = all.iter().copied().filter(|part| !left_out.contains(part)).collect();
            if kept.len() == all.len() { Vec::new() } else { kept }
        }
    });
    let hear = move |loudness: u8| session.hearing.hear(patch.get_untracked(), heard.get_untracked(), loudness);
    let strikes = STRIKES.map(|(name, loudness)| {
        view! { <button type="button" class="round" on:click=move |_| hear(loudness)>{name}</button> }
    });
    let changed = Memo::new(move |_| patch.with(|patch| *patch != own));
    let part_row = move |part: Part| {
        let name = told::part(part);
        let is_alone = move || alone.get() == Some(part);
        let is_out = move || left_out.with(|out| out.contains(&part));
        let hear_alone = move |_| {
            alone.update(|alone| *alone = if *alone == Some(part) { None } else { Some(part) });
            hear(NORMAL);
        };
        let leave_out = move |_| {
            alone.set(None);
            left_out.update(|out| match out.iter().position(|&other| other == part) {
                Some(at) => drop(out.remove(at)),
                None => out.push(part),
            });
            hear(NORMAL);
        };
        view! {
            <li class="voice-part">
                <span class="voice-part-name">{name}</span>
                <button type="button" class="switch" aria-pressed=move || aria::state(is_alone()) on:click=hear_alone>
                    <span class="unseen">{name} " "</span> {room::ALONE}
                </button>
                <button type="button" class="switch" aria-pressed=move || aria::state(is_out()) on:click=leave_out>
                    <span class="unseen">{name} " "</span> {room::LEFT_OUT}
                </button>
            </li>
        }
    };
    let which = Signal::derive(move || patch.with(dials::all));
    let back = move |_| {
        if changed.get_untracked() {
            patch.set(own);
            hear(NORMAL);
        }
    };
    let to_draft =
        move |_| session.rooms.bring_voice_to_draft(role, &Voice { patch: patch.get_untracked(), place: voice.place });
    view! {
        <section class="voice-sheet" aria-label=roles::role(role)>
            <Picture patch=patch.into() parts=heard />
        </section>
        <p class="voice-strikes"><span class="voice-label">{room::HEAR}</span> {strikes.into_iter().collect_view()}</p>
        <div class="voice-work">
            <section class="voice-apart">
                <h2>{room::PARTS}</h2>
                <ul>{move || {
                    let has = has.get();
                    if has.len() < 2 { view! { <li>{room::ONE_PART}</li> }.into_any() } else { has.into_iter().map(part_row).collect_view().into_any() }
                }}</ul>
            </section>
            <section class="voice-turn">
                <h2>{room::DIALS}</h2>
                <Dials patch=patch which=which moved=Callback::new(move |()| hear(NORMAL)) />
                <p class="voice-acts">
                    <button type="button" class="plain" aria-disabled=move || aria::state(!changed.get()) on:click=back>{room::OWN}</button>
                    <button type="button" class="plain" on:click=to_draft>{room::TO_DRAFT}</button>
                </p>
                <details class="fold">
                    <summary>{room::FIGURES}</summary>
                    <dl class="voice-figures">{move || patch.with(figures)}</dl>
                </details>
            </section>
        </div>
    }
    .into_any()
}

/// The figures of a voice that say something to a person, with their units.
fn figures(patch: &Patch) -> AnyView {
    let model = patch.model.fields().iter().zip(patch.model.values());
    let rows = model.chain(Finish::FIELDS.iter().zip(patch.finish.values())).filter_map(|(field, value)| {
        let is_off = field.off.is_some_and(|off| (off - value).abs() < 1e-9);
        let (name, unit) = told::figure(field.name).filter(|_| !is_off)?;
        let value = if value.abs() < 10.0 { (value * 100.0).round() / 100.0 } else { value.round() };
        Some(view! { <div><dt>{name}</dt> <dd>{format!("{value} {unit}")}</dd></div> })
    });
    rows.collect_view().into_any()
}
