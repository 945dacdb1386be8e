//! All styles: by family, each with its tempo, its metre and one line of what it is.

use crate::lesson::index::IndexEntry;
use crate::route::Route;
use crate::session::Session;
use crate::view::app;
use crate::words::{families, marks, ui};
use leptos::prelude::*;

/// The Styles room.
#[component]
pub fn Styles(session: Session) -> impl IntoView {
    let index = session.library.index();
    app::title(ui::rooms::name(&Route::Styles));
    let mut families: Vec<(String, Vec<IndexEntry>)> = Vec::new();
    for entry in index.iter() {
        match families.iter_mut().find(|(family, _)| family == entry.family.as_str()) {
            Some((_, entries)) => entries.push(entry.clone()),
            None => families.push((entry.family.as_str().to_owned(), vec![entry.clone()])),
        }
    }
    let families = families.into_iter().map(|(family, entries)| {
        let id = format!("family-{family}");
        let entries = entries.into_iter().map(|entry| {
            let felt = marks::felt(entry.tempo).map(|felt| format!(", {felt}")).unwrap_or_default();
            view! {
                <li>
                    <a href=Route::Lesson(entry.id.as_str().to_owned()).fragment()>{entry.name.clone()}</a>
                    <span class="facts">
                        <span class="mark">{marks::tempo(entry.tempo)}</span>
                        {felt} " · " {marks::metre(&entry.metre)}
                    </span>
                    <p>{entry.essence.clone()}</p>
                </li>
            }
        });
        view! {
            <section aria-labelledby=id.clone()>
                <h2 id=id.clone()>{families::name(&family)}</h2>
                <ul>{entries.collect_view()}</ul>
            </section>
        }
    });
    view! {
        <div class="page styles">
            <h1 tabindex="-1">{ui::rooms::name(&Route::Styles)}</h1>
            <p class="lead">{ui::messages::styles_lead(index.len())}</p>
            <div class="families">{families.collect_view()}</div>
        </div>
    }
}
