//! The task of a stage: what is asked, what helps, and what became of it.

use crate::lesson::exercise::{Exercise, TaskVerdict};
use crate::session::Session;
use crate::session::coursework::Coursework;
use crate::view::aria;
use crate::words::{lesson as told, tasks};
use leptos::prelude::*;

/// What kind of task it is.
#[derive(Clone, Copy, PartialEq)]
enum Kind {
    Build,
    Predict,
    Choose,
}

impl Kind {
    fn of(exercise: &Exercise) -> Kind {
        match exercise {
            Exercise::Build(_) => Kind::Build,
            Exercise::Predict(_) => Kind::Predict,
            Exercise::Choose(_) => Kind::Choose,
        }
    }
}

/// The question, over the sheet: a learner reads it before they touch anything.
#[component]
pub fn Ask(work: Coursework) -> impl IntoView {
    let stage = Memo::new(move |_| work.at().get().stage);
    move || work.with_exercise(stage.get(), |task| task.ask().to_owned()).map(|ask| view! { <p class="ask">{ask}</p> })
}

/// What is done about it, under the sheet.
#[component]
pub fn Answer(session: Session, work: Coursework) -> impl IntoView {
    let stage = Memo::new(move |_| work.at().get().stage);
    // From stage to stage the buttons stay while the kind does, and the keyboard on them.
    let kind = Memo::new(move |_| work.with_exercise(stage.get(), Kind::of));
    let acts = move || match kind.get() {
        None => None,
        Some(Kind::Build) => Some(
            view! { <button type="button" class="plain" on:click=move |_| work.check()>{told::CHECK}</button> }
                .into_any(),
        ),
        Some(Kind::Predict) => Some(hearing(session, work).into_any()),
        Some(Kind::Choose) => Some(choices(session, work, stage.get()).into_any()),
    };
    let helps = move || matches!(kind.get(), Some(Kind::Build | Kind::Predict)).then(|| helps(work, stage));
    let verdict = move || {
        let at = work.at().get();
        let chosen = work.chosen().get();
        let task = work.with_exercise(at.stage, |task| {
            let choice = chosen.and_then(|taken| match task {
                Exercise::Choose(choose) => Some(tasks::choice(&choose.task, taken)),
                _ => None,
            });
            choice.or_else(|| work.verdict().with(|verdict| verdict.as_ref().map(|verdict| said(verdict, work))))
        });
        task.flatten()
    };
    view! {
        <section class="task" aria-label=told::TASK class:none=move || kind.get().is_none()>
            <div class="acts">{acts} {helps}</div>
            <p class="compared" aria-hidden="true">{move || work.compared().map(|other| if other { told::OTHER_WAY } else { told::AS_IT_IS })}</p>
            <p class="verdict" role="status">{verdict}</p>
            {move || hints(work, stage.get())}
        </section>
    }
}

fn said(verdict: &TaskVerdict, work: Coursework) -> String {
    work.editor().groove().with(|groove| tasks::verdict(verdict, groove))
}

/// Mark first, then hear.
fn hearing(session: Session, work: Coursework) -> impl IntoView {
    let press = move |_| {
        work.tell();
        session.hearing.keep_playing();
    };
    let told_yet = move || work.at().get().told.then_some("true");
    view! { <button type="button" class="plain" aria-disabled=told_yet on:click=press>{told::HEAR}</button> }
}

fn choices(session: Session, work: Coursework, stage: usize) -> impl IntoView {
    let choices = work.with_exercise(stage, |exercise| match exercise {
        Exercise::Choose(choose) => choose.task.choices.clone(),
        _ => Vec::new(),
    });
    let choices = choices.unwrap_or_default();
    let choices = choices.into_iter().enumerate().map(|(index, choice)| {
        let pressed = move || aria::state(work.chosen().get() == Some(index));
        let press = move |_| {
            work.choose(index);
            session.hearing.keep_playing();
        };
        view! { <button type="button" class="plain choice" aria-pressed=pressed on:click=press>{choice}</button> }
    });
    choices.collect_view()
}

fn helps(work: Coursework, stage: Memo<usize>) -> impl IntoView {
    let left = move || {
        let given = work.hints().get();
        let next = work.with_exercise(stage.get(), |exercise| exercise.hint(given).map(|(index, _)| index));
        next.flatten().is_some_and(|index| index >= given)
    };
    let none_left = move || aria::state(!left());
    let name = move || if work.hints().get() == 0 { told::HINT } else { told::ANOTHER_HINT };
    view! {
        <button type="button" class="plain" aria-disabled=none_left on:click=move |_| if left() { work.hint() }>{name}</button>
        <button type="button" class="plain" on:click=move |_| work.show()>{told::SHOW}</button>
        <button type="button" class="plain" on:click=move |_| work.begin_again()>{told::AGAIN}</button>
    }
}

fn hints(work: Coursework, stage: usize) -> Option<impl IntoView> {
    let given = work.hints().get();
    let hints = work.with_exercise(stage, |exercise| {
        let hints = (0..given).filter_map(|index| exercise.hint(index).map(|(_, hint)| hint.to_owned()));
        hints.collect::<Vec<_>>()
    });
    let hints = hints?.into_iter().map(|hint| view! { <li>{hint}</li> }).collect_view();
    (given > 0).then(|| view! { <ol class="hints" role="status">{hints}</ol> })
}
