//! The lesson of one style: the whole groove heard and seen, what makes it itself, and the place of its stages.

use crate::lesson::style::Style;
use crate::route::Route;
use crate::session::Session;
use crate::session::editor::Editor;
use crate::session::keep::{self, Shelf};
use crate::session::rooms::Notice;
use crate::style::{Hallmark, Rank};
use crate::view::app;
use crate::view::desk::Desk;
use crate::words::{library as told, ui};
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

#[component]
fn Opened(session: Session, style: Arc<Style>) -> impl IntoView {
    let shelf = Shelf::Version(style.id.as_str().to_owned());
    let own = match keep::take(&shelf) {
        Ok(own) => own,
        Err(fault) => {
            session.rooms.tell(Notice::Unread(fault));
            None
        }
    };
    let editor = Editor::new(style.groove.clone());
    if let Some(own) = own {
        let _ = editor.apply(&crate::rhythm::Edit::Restore(Box::new(own)));
    }
    let reference = StoredValue::new(style.groove.clone());
    let changed =
        Memo::new(move |_| editor.groove().with(|groove| reference.with_value(|reference| groove != reference)));
    // The learner's own version stays on the device; the style's own groove needs no keeping.
    Effect::new(move |before: Option<()>| {
        let groove = editor.groove().get();
        if before.is_some() {
            let kept = if changed.get_untracked() {
                keep::put(&shelf, &groove)
            } else {
                keep::clear(&shelf);
                true
            };
            if !kept {
                session.rooms.tell_not_kept();
            }
        }
    });
    let back = move |_| {
        let own = reference.with_value(|reference| crate::rhythm::Edit::Restore(Box::new(reference.clone())));
        if editor.apply(&own).is_ok() {
            session.rooms.tell(Notice::BackToStyle);
        }
    };
    let to_draft = move |_| session.rooms.bring_to_draft(editor.now());
    let route = Route::Lesson(style.id.as_str().to_owned());
    let name = style.name.clone();
    view! {
        <div class="lesson">
            <div class="work">
                <Desk session=session editor=editor name=name hallmarks=style.hallmarks.clone() own_link=Signal::derive(move || (!changed.get()).then(|| route.clone())) />
                <p class="say">{style.counting.clone()}</p>
                <div class="version">
                    {move || changed.get().then(|| view! {
                        <p>{ui::messages::OWN_VERSION} " "
                            <button type="button" class="plain" on:click=back>{ui::controls::BACK_TO_STYLE}</button>
                        </p>
                    })}
                    <p><button type="button" class="plain" on:click=to_draft>{ui::controls::TO_DRAFT}</button></p>
                </div>
            </div>
            <aside class="beside">{beside(&style, session)}</aside>
        </div>
    }
}

fn beside(style: &Style, session: Session) -> impl IntoView + use<> {
    let hallmarks = |rank: Rank| {
        let items = style.hallmarks.iter().filter(|hallmark| hallmark.rank == rank);
        items.map(|hallmark: &Hallmark| view! { <li>{hallmark.sentence.clone()}</li> }).collect_view()
    };
    let neighbours = style.neighbours.iter().map(|neighbour| {
        let id = neighbour.id.as_str().to_owned();
        let name = session.library.entry(&id).map_or_else(|| id.clone(), |entry| entry.name);
        view! { <li><a href=Route::Lesson(id).fragment()>{name}</a> " " {neighbour.how.clone()}</li> }
    });
    let stages = style.lesson.stages.iter().map(|stage| view! { <li>{stage.text().to_owned()}</li> });
    view! {
        <section>
            <h2>{ui::headings::MAKES_IT}</h2>
            <ul class="hallmarks">{hallmarks(Rank::Signature)}</ul>
            <details>
                <summary>{ui::headings::FRAME_AND_SEASONING}</summary>
                <ul class="hallmarks">{hallmarks(Rank::Frame)} {hallmarks(Rank::Seasoning)}</ul>
            </details>
        </section>
        <section>
            <h2>{ui::headings::BUILD_IT}</h2>
            <ol class="stages">{stages.collect_view()}</ol>
        </section>
        <section>
            <h2>{ui::headings::LISTEN}</h2>
            <p>{style.lesson.listen.clone()}</p>
            <p><b>{ui::headings::HEAR_FIRST} " "</b>{style.lesson.hear_first.clone()}</p>
            <p><b>{ui::headings::MISTAKE} " "</b>{style.lesson.mistake.clone()}</p>
        </section>
        <section>
            <h2>{ui::headings::NEIGHBOURS}</h2>
            <ul>{neighbours.collect_view()}</ul>
        </section>
        <section>
            <h2>{ui::headings::ORIGIN}</h2>
            <p>{style.origin.clone()}</p>
        </section>
    }
}
