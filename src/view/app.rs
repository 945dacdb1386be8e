//! The whole page: its rooms, the way between them, and what is told.

use super::later::{Given, later, part, provide_arrivals};
use super::notice::Notices;
use super::rooms::{draft, lesson, received, styles, unbuilt, voices};
use crate::route::Route;
use crate::session::{Session, page};
use crate::words::ui;
use leptos::html;
use leptos::prelude::*;

/// The page.
#[component]
pub fn App() -> impl IntoView {
    let session = Session::open();
    let route = session.rooms.route();
    let main = NodeRef::<html::Main>::new();
    let arrivals = provide_arrivals();
    // A new room is announced by its heading taking the focus, as a new page's title would be; if the room's piece of the
    // program is still on its way, when it is there. Not on arrival: there the browser does it.
    Effect::new(move |before: Option<(Route, bool)>| {
        arrivals.track();
        let here = route.get();
        let announced = before.is_none_or(|(room, announced)| announced && room == here);
        let heading = main.get().filter(|_| !announced).and_then(|main| main.query_selector("h1").ok().flatten());
        use wasm_bindgen::JsCast;
        let Some(heading) = heading.as_ref().and_then(|heading| heading.dyn_ref::<web_sys::HtmlElement>()) else {
            return (here, announced);
        };
        let _ = heading.focus();
        (here, true)
    });
    let link = move |to: Route| {
        let href = to.fragment();
        let name = ui::rooms::name(&to);
        let current = move || (route.with(|route| same_room(route, &to))).then_some("page");
        view! { <a href=href aria-current=current>{name}</a> }
    };
    view! {
        <header class="head">
            <a class="name" href=Route::Styles.fragment()>{ui::NAME}</a>
            <nav aria-label=ui::ROOMS>{link(Route::Styles)} {link(Route::Voices)} {link(Route::Draft)}</nav>
        </header>
        <Notices session=session />
        <main node_ref=main>
            {move || match route.get() {
                Route::Styles => view! { <styles::Styles session=session /> }.into_any(),
                Route::Lesson(id) => view! { <lesson::Lesson session=session id=id /> }.into_any(),
                Route::Draft => later(move || part!(draft_room(session))),
                Route::Received(_) => later(move || part!(received_room(session))),
                Route::Voices => later(move || part!(voices_room(session, None))),
                Route::Voice(kit, role) => later(move || {
                    let asked = Some((kit.clone(), role.clone()));
                    part!(voices_room(session, asked))
                }),
                other => view! { <unbuilt::Unbuilt route=other /> }.into_any(),
            }}
        </main>
        <footer class="foot">
            <p>{ui::messages::LISTEN_SAFELY}</p>
            {(!page::is_secure()).then(|| view! { <p>{ui::messages::PLAIN_HTTP}</p> })}
        </footer>
    }
}

#[cfg_attr(split, wasm_split_helpers::wasm_split(draft, fallible))]
fn draft_room(session: Session) -> Given {
    Ok(view! { <draft::Draft session=session /> }.into_any())
}

#[cfg_attr(split, wasm_split_helpers::wasm_split(draft, fallible))]
fn received_room(session: Session) -> Given {
    Ok(view! { <received::Received session=session /> }.into_any())
}

#[cfg_attr(split, wasm_split_helpers::wasm_split(voices, fallible))]
fn voices_room(session: Session, asked: Option<(String, String)>) -> Given {
    Ok(view! { <voices::Voices session=session asked=asked /> }.into_any())
}

/// Whether a link to `to` stands for the room the learner is in: a lesson belongs to Styles, a received groove to Draft, a
/// voice to Voices.
fn same_room(here: &Route, to: &Route) -> bool {
    match here {
        Route::Lesson(_) => *to == Route::Styles,
        Route::Received(_) => *to == Route::Draft,
        Route::Voice(..) => *to == Route::Voices,
        here => here == to,
    }
}

/// Sets the page's title.
pub fn title(room: &str) {
    document().set_title(&format!("{room} · {}", ui::NAME));
}
