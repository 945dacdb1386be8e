//! The stage a learner is in: its words, over the sheet.

use crate::lesson::stage::Stage;
use crate::session::Session;
use crate::session::coursework::Coursework;
use crate::view::aria;
use crate::words::{lesson as told, roles};
use leptos::prelude::*;

/// What the stage is about, and the way on and back.
#[component]
pub fn StageText(session: Session, work: Coursework, counting: String) -> impl IntoView {
    let course = work.course();
    let last = course.stages.len().saturating_sub(1);
    let at = work.at();
    let stage = Memo::new(move |_| at.get().stage);
    // The buttons stay where they are from stage to stage, and the keyboard focus on them.
    let way = view! {
        <div class="way">
            <button type="button" class="plain" aria-disabled=move || aria::state(stage.get() == 0) on:click=move |_| work.go(stage.get_untracked().saturating_sub(1))>
                {told::BACK}
            </button>
            <button type="button" class="plain onward" aria-disabled=move || aria::state(stage.get() == last) on:click=move |_| work.go((stage.get_untracked() + 1).min(last))>
                {move || if stage.get() == 0 { told::BEGIN } else { told::NEXT }}
            </button>
        </div>
    };
    let text = move || {
        let stage = stage.get();
        match course.stages.get(stage).and_then(|stage| stage.stage.as_ref()) {
            None => view! {
                <h2>{told::WHOLE}</h2>
                <p class="say">{told::WHOLE_TEXT} " " {counting.clone()}</p>
            }
            .into_any(),
            Some(this) => view! {
                <h2><span class="where">{told::stage_of(stage, last)}</span> " " {this.title.clone()}</h2>
                <p class="say">{this.text.clone()}</p>
                {aids(session, this)}
            }
            .into_any(),
        }
    };
    view! {
        <section class="stage" aria-label=told::STAGE>
            <div aria-live="polite">{text}</div>
            {way}
        </section>
    }
}

/// What helps the ear: what to listen for, how to count it and say it, how slow to learn it.
fn aids(session: Session, stage: &Stage) -> impl IntoView + use<> {
    let line = |name: &'static str, text: String| view! { <p><b>{name}</b> " " {text}</p> };
    let said = stage.say.iter().map(|(role, syllable)| format!("{} \u{201c}{syllable}\u{201d}", roles::role(*role)));
    let said = said.collect::<Vec<_>>().join(", ");
    let pace = stage.pace.map(|pace| {
        view! {
            <button type="button" class="plain" on:click=move |_| session.hearing.set_pace(pace)>{told::pace(pace)}</button>
        }
    });
    view! {
        <div class="aids">
            {stage.listen.clone().map(|text| line(told::LISTEN, text))}
            {stage.count.clone().map(|text| line(told::COUNT, text))}
            {(!said.is_empty()).then(|| line(told::SAY, said))}
            {pace}
        </div>
    }
}
