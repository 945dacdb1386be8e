//! A part of a card that is folded in until it is asked for, and then stays open while the page is.

use core::cell::Cell;
use leptos::prelude::*;

thread_local! {
    /// Which folds are open, a bit each.
    static OPEN: Cell<u8> = const { Cell::new(0) };
}

/// A fold with its summary; `number` (0 to 7) is what it is remembered by.
#[component]
pub fn Fold(number: u8, summary: &'static str, children: Children) -> impl IntoView {
    let bit = 1_u8 << (number & 7);
    let toggled = move |event| {
        let open = event_target::<web_sys::Element>(&event).has_attribute("open");
        OPEN.with(|all| all.set(if open { all.get() | bit } else { all.get() & !bit }));
    };
    view! {
        <details class="fold" open=OPEN.with(Cell::get) & bit != 0 on:toggle=toggled>
            <summary>{summary}</summary>
            <div class="fold-tools">{children()}</div>
        </details>
    }
    .into_any()
}
