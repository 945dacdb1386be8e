//! Wiring of the page: mounts the view.

use leptos::prelude::*;

fn main() {
    console_error_panic_hook::set_once();
    mount_to_body(|| view! { <main><h1>"Stickleback"</h1></main> });
}
