//! Guided builds: a sound made stage by stage, each with something to hear, something to move and a goal.

use super::NORMAL;
use super::dials::Dials;
use super::picture::Picture;
use crate::lesson::builds::{BUILD_IDS, Build, BuildStage};
use crate::role::Role;
use crate::session::Session;
use crate::session::building::Work;
use crate::synth::Voice;
use crate::view::aria;
use crate::words::builds::{self as told, controls};
use crate::words::library::Missing;
use crate::words::{lesson, library, ui, voices};
use leptos::prelude::*;
use leptos::task::spawn_local;
use std::sync::Arc;

/// The section: the list of builds, and the open one.
#[component]
pub fn Builds(
    session: Session,
    /// Takes the voice made, and its role, to the learner's draft; without it that is not offered.
    #[prop(optional)]
    to_draft: Option<Callback<(Role, Voice)>>,
) -> impl IntoView {
    let building = session.building;
    let open = building.open();
    let opened = RwSignal::new(None::<Result<Arc<Build>, Missing>>);
    Effect::new(move |_| {
        let Some(id) = open.get() else { return };
        opened.set(None);
        spawn_local(async move {
            let build = session.library.build(id).await;
            // Another may have been opened, or the room left, before the file came.
            if open.get_untracked() == Some(id) {
                let _ = opened.try_set(Some(build));
            }
        });
    });
    let entry = move |id: &'static str| {
        let current = move || (open.get() == Some(id)).then_some("true");
        let made = move || building.is_made(id).then(|| view! { " " <span class="solved">{controls::MADE}</span> });
        view! {
            <li>
                <button type="button" class="stage-name" aria-current=current on:click=move |_| open.set(Some(id))>
                    {told::title(id)} {made}
                </button>
            </li>
        }
    };
    let list = BUILD_IDS.map(entry);
    let work = move || match (open.get(), opened.get()) {
        (None, _) => ().into_any(),
        (Some(_), None) => view! { <p class="waiting">{ui::messages::OPENING}</p> }.into_any(),
        (_, Some(Err(fault))) => view! { <p class="fault" role="alert">{library::missing(&fault)}</p> }.into_any(),
        (_, Some(Ok(build))) => making(session, building.enter(build), to_draft),
    };
    view! {
        <section class="builds">
            <h2>{controls::HEADING}</h2>
            <p class="lead">{controls::LEAD}</p>
            <div class="build-room">
                <ul class="stages build-list" aria-label=controls::LIST>{list.into_iter().collect_view()}</ul>
                <div class="build-open">{work}</div>
            </div>
        </section>
    }
    .into_any()
}

/// The open build at its stage.
fn making(session: Session, work: Work, to_draft: Option<Callback<(Role, Voice)>>) -> AnyView {
    let build = work.build();
    let (title, about, last) = (build.title.clone(), build.about.clone(), build.stages.len().saturating_sub(1));
    let build = StoredValue::new(build);
    let stage = Memo::new(move |_| work.making().with(|making| making.stage));
    let in_stage = move |number: usize| build.with_value(|build| build.stages.get(number).cloned());
    let which = Signal::derive(move || in_stage(stage.get()).map_or_else(Vec::new, |stage| stage.moves));
    let heard = Signal::derive(move || in_stage(stage.get()).map_or_else(Vec::new, |stage| stage.heard));
    let hear = move |whole: bool| {
        let parts = if whole { Vec::new() } else { heard.get_untracked() };
        session.hearing.hear(work.patch().get_untracked(), parts, NORMAL);
    };
    let text = move || in_stage(stage.get()).map(|this| stage_text(&this, stage.get() + 1, last + 1));
    let set = move |_| {
        work.solve();
        hear(false);
    };
    let given = Memo::new(move |_| work.making().with(|making| (making.stage, making.hints)));
    let hints_here = move || in_stage(given.get().0).map_or_else(Vec::new, |stage| stage.hints);
    let is_last = move || stage.get() == last;
    let finish = move || {
        to_draft.filter(|_| is_last()).map(|to_draft| {
            let take = move |_| to_draft.run(work.voice());
            view! { <button type="button" class="plain onward" on:click=take>{controls::USE}</button> }
        })
    };
    view! {
        <section class="build" aria-label=controls::BUILD>
            <h3>{title}</h3>
            <p class="build-about">{about}</p>
            <div class="build-stage">
                <div aria-live="polite">{text}</div>
                <div class="way">
                    <button type="button" class="plain" aria-disabled=move || aria::state(stage.get() == 0) on:click=move |_| work.back()>{controls::BACK}</button>
                    <button type="button" class="plain onward" aria-disabled=move || aria::state(is_last()) on:click=move |_| work.next()>{controls::NEXT}</button>
                </div>
            </div>
            <div class="voice-sheet"><Picture patch=work.patch().into() parts=heard /></div>
            <p class="build-hear">
                <button type="button" class="plain" on:click=move |_| hear(false)>{controls::HEAR_PARTS}</button>
                <button type="button" class="plain" on:click=move |_| hear(true)>{controls::HEAR_WHOLE}</button>
            </p>
            <Dials patch=work.patch() which=which moved=Callback::new(move |()| hear(false)) whose=controls::WHOSE />
            <div class="acts">
                <button type="button" class="plain" on:click=move |_| work.check()>{controls::CHECK}</button>
                {hint(work, given, hints_here)}
                <button type="button" class="plain" on:click=set>{controls::SHOW}</button>
                <button type="button" class="plain" on:click=move |_| work.again()>{controls::AGAIN}</button>
                {finish}
            </div>
            <p class="verdict" role="status">{move || verdict(work, last)}</p>
            <div role="status">{move || hints(given.get().1, hints_here())}</div>
        </section>
    }
    .into_any()
}

/// What the stage is about, and which parts play in it.
fn stage_text(stage: &BuildStage, number: usize, count: usize) -> AnyView {
    let parts: Vec<String> = stage.heard.iter().map(|part| voices::part(*part).to_lowercase()).collect();
    let parts: Vec<&str> = parts.iter().map(String::as_str).collect();
    view! {
        <h4><span class="where">{lesson::stage_of(number, count)}</span> " " {stage.title.clone()}</h4>
        <p class="build-text">{stage.text.clone()}</p>
        <p class="build-playing">{told::playing(&parts)}</p>
    }
    .into_any()
}

fn verdict(work: Work, last: usize) -> Option<String> {
    let checked = work.checked().get()?;
    let number = work.making().with_untracked(|making| making.stage);
    let build = work.build();
    let stage = build.stages.get(number)?;
    Some(told::checked(checked.number, stage, &checked.patch, number == last))
}

/// The way to the next hint. It stays when there is none left, and the keyboard on it.
fn hint(
    work: Work,
    given: Memo<(usize, usize)>,
    all: impl Fn() -> Vec<String> + Copy + Send + Sync + 'static,
) -> AnyView {
    let none_left = move || aria::state(given.get().1 >= all().len());
    let name = move || if given.get().1 == 0 { controls::HINT } else { controls::ANOTHER_HINT };
    view! { <button type="button" class="plain" aria-disabled=none_left on:click=move |_| work.hint()>{name}</button> }
        .into_any()
}

fn hints(given: usize, all: Vec<String>) -> Option<AnyView> {
    let hints = all.into_iter().take(given).map(|hint| view! { <li>{hint}</li> }).collect_view();
    (given > 0).then(|| view! { <ol class="hints">{hints}</ol> }.into_any())
}
