//! A room that links may already name but that is not built yet.

use crate::route::Route;
use crate::view::app;
use crate::words::ui;
use leptos::prelude::*;

/// Says so, and leads back.
#[component]
pub fn Unbuilt(route: Route) -> impl IntoView {
    let name = ui::rooms::name(&route);
    app::title(name);
    view! {
        <div class="page">
            <h1 tabindex="-1">{name}</h1>
            <p>{ui::messages::ROOM_NOT_BUILT}</p>
            <p><a href=Route::Styles.fragment()>{ui::messages::TO_STYLES}</a></p>
        </div>
    }
}
