//! All stages of the course, to go to any of them.

use crate::session::coursework::Coursework;
use crate::words::lesson as told;
use leptos::prelude::*;

/// The list of stages: where the learner is, and what is solved.
#[component]
pub fn StageList(work: Coursework) -> impl IntoView {
    let at = work.at();
    let course = work.course();
    let stages = course.stages.iter().enumerate().map(|(index, stage)| {
        let title = stage.stage.as_ref().map_or_else(|| told::WHOLE.to_owned(), |stage| stage.title.clone());
        let id = stage.stage.as_ref().map(|stage| stage.id.to_string());
        let solved = move || {
            let id = id.as_ref()?;
            work.progress().with(|progress| progress.solved.contains_key(id)).then_some(told::SOLVED)
        };
        let here = move || (at.get().stage == index).then_some("true");
        view! {
            <li>
                <button type="button" class="stage-name" aria-current=here on:click=move |_| work.go(index)>{title}</button>
                {move || solved().map(|solved| view! { <span class="solved">{solved}</span> })}
            </li>
        }
    });
    view! { <ol class="stages" start="0" aria-label=told::STAGES>{stages.collect_view()}</ol> }
}
