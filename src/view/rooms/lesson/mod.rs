//! The lesson of one style: the whole groove first, then the stages that build it from nothing, and what there is to know.

mod beside;
mod list;
mod signs;
mod stage;
mod task;

use crate::lesson::style::Style;
use crate::rhythm::LaneId;
use crate::route::Route;
use crate::session::Session;
use crate::session::coursework::Coursework;
use crate::session::rooms::Notice;
use crate::view::app;
use crate::view::aria;
use crate::view::desk::Desk;
use crate::words::{lesson as words, library as told, ui};
use leptos::prelude::*;
use leptos::task::spawn_local;
use std::sync::Arc;

/// The Lesson room.
#[component]
pub fn Lesson(session: Session, id: String) -> impl IntoView {
    let opened = RwSignal::new(None::<Result<Arc<Style>, told::Missing>>);
    let entry = session.library.entry(&id);
    let name = entry.as_ref().map(|entry| entry.name.clone()).unwrap_or_default();
    app::title(&name);
    spawn_local(async move {
        let style = session.library.style(&id).await;
        // The learner may have left before the file came.
        let _ = opened.try_set(Some(style));
    });
    let essence = entry.map(|entry| entry.essence).unwrap_or_default();
    view! {
        <div class="page">
            <h1 tabindex="-1">{name}</h1>
            <p class="lead">{essence}</p>
            {move || match opened.get() {
                None => view! { <p class="waiting">{ui::messages::OPENING}</p> }.into_any(),
                Some(Err(fault)) => view! { <p class="fault" role="alert">{told::missing(&fault)}</p> }.into_any(),
                Some(Ok(style)) => view! { <Opened session=session style=style /> }.into_any(),
            }}
        </div>
    }
}

/// The lesson, once its file is there.
#[component]
fn Opened(session: Session, style: Arc<Style>) -> impl IntoView {
    let work = Coursework::open(&style, session.rooms, session.hearing);
    let editor = work.editor();
    let whole = StoredValue::new(style.groove.clone());
    let changed = Memo::new(move |_| editor.groove().with(|groove| whole.with_value(|whole| groove != whole)));
    let first = Memo::new(move |_| work.at().get().stage == 0);
    let back = move |_| {
        if changed.get_untracked() {
            work.begin_again();
            session.rooms.tell(Notice::BackToStyle);
        }
    };
    // What is being foretold is not heard before it is told.
    Effect::new(move |before: Option<Option<LaneId>>| {
        let lane = signs::unheard(work);
        if let Some(before) = before.flatten().filter(|before| Some(*before) != lane) {
            session.hearing.set_muted(before, false);
        }
        if let Some(lane) = lane {
            session.hearing.set_muted(lane, true);
        }
        lane
    });
    let to_draft = move |_| session.rooms.bring_to_draft(editor.now());
    let route = Route::Lesson(style.id.as_str().to_owned());
    let own_link = Signal::derive(move || (!changed.get()).then(|| route.clone()));
    let staged = style.lesson.staged().is_some();
    view! {
        <div class="lesson">
            <div class="work">
                <stage::StageText session=session work=work counting=style.counting.clone() />
                <task::Ask work=work />
                <Desk
                    session=session editor=editor name=style.name.clone() hallmarks=style.hallmarks.clone() own_link=own_link
                    beneath=move || view! { <task::Answer session=session work=work /> }
                    rings=Signal::derive(move || signs::rings(work))
                    say=Signal::derive(move || signs::say(work))
                />
                <div class="version">
                    <p>{move || (first.get() && changed.get()).then_some(ui::messages::OWN_VERSION)}</p>
                    // Buttons that went away under the keyboard would take the focus with them: they stay, and say when they do nothing.
                    <div class="acts">
                        <button type="button" class="plain" class:away=move || !first.get() aria-disabled=move || aria::state(!changed.get()) on:click=back>
                            {ui::controls::BACK_TO_STYLE}
                        </button>
                        <button type="button" class="plain" aria-disabled=move || aria::state(!work.has_own()) on:click=move |_| work.bring_own()>
                            {words::MINE}
                        </button>
                        <button type="button" class="plain" on:click=to_draft>{ui::controls::TO_DRAFT}</button>
                    </div>
                </div>
            </div>
            <aside class="beside">
                {staged.then(|| view! {
                    <section>
                        <h2>{ui::headings::BUILD_IT}</h2>
                        <list::StageList work=work />
                    </section>
                })}
                {beside::beside(&style, session)}
            </aside>
        </div>
    }
}
