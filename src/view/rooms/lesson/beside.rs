//! What there is to know of a style, beside its groove.

use crate::lesson::style::Style;
use crate::route::Route;
use crate::session::Session;
use crate::style::{Hallmark, Rank};
use crate::words::ui;
use leptos::prelude::*;

/// What makes the style itself, what to listen for, its neighbours and its origin; of a lesson that is not staged yet, what
/// would be built.
pub fn beside(style: &Style, session: Session) -> impl IntoView + use<> {
    let hallmarks = |rank: Rank| {
        let items = style.hallmarks.iter().filter(|hallmark| hallmark.rank == rank);
        items.map(|hallmark: &Hallmark| view! { <li>{hallmark.sentence.clone()}</li> }).collect_view()
    };
    let neighbours = style.neighbours.iter().map(|neighbour| {
        let id = neighbour.id.as_str().to_owned();
        let name = session.library.entry(&id).map_or_else(|| id.clone(), |entry| entry.name);
        view! { <li><a href=Route::Lesson(id).fragment()>{name}</a> " " {neighbour.how.clone()}</li> }
    });
    let told = style.lesson.staged().is_none().then(|| {
        let stages = style.lesson.stages.iter().map(|stage| view! { <li>{stage.text().to_owned()}</li> });
        view! {
            <section>
                <h2>{ui::headings::BUILD_IT}</h2>
                <ol class="stages">{stages.collect_view()}</ol>
            </section>
        }
    });
    view! {
        <section>
            <h2>{ui::headings::MAKES_IT}</h2>
            <ul class="hallmarks">{hallmarks(Rank::Signature)}</ul>
            <details>
                <summary>{ui::headings::FRAME_AND_SEASONING}</summary>
                <ul class="hallmarks">{hallmarks(Rank::Frame)} {hallmarks(Rank::Seasoning)}</ul>
            </details>
        </section>
        {told}
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
