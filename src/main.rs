//! Wiring of the page: mounts the view.

use leptos::mount::mount_to_body;
use stickleback::view::app::App;

fn main() {
    console_error_panic_hook::set_once();
    mount_to_body(App);
}
