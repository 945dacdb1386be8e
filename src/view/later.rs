//! Parts of the page whose program is fetched when they are first shown.
//!
//! The built page comes in several pieces: one that every visit needs, and one for each part marked here. A part is a
//! plain function that makes a view; [`part!`] calls it, once its piece is there. Without the `split` configuration (all
//! builds but that of `scripts/dist`) everything is one piece and nothing is waited for.

use crate::words::ui;
use core::future::Future;
use core::pin::Pin;
use leptos::prelude::*;
use leptos::reactive::computed::ScopedFuture;
use leptos::task::{spawn_local, tick};

/// The piece of the program did not arrive.
#[derive(Clone, Copy, Debug)]
pub struct Missing;

#[cfg(split)]
impl From<wasm_split_helpers::rt::SplitLoaderError> for Missing {
    fn from(_: wasm_split_helpers::rt::SplitLoaderError) -> Missing {
        Missing
    }
}

/// What a part gives: its view, or that its piece is missing.
pub type Given = Result<AnyView, Missing>;

/// A part on its way.
pub type Coming = Pin<Box<dyn Future<Output = Given>>>;

/// Calls a part: a future of [`Given`].
macro_rules! part {
    ($name:ident($($given:expr),* $(,)?)) => {
        Box::pin(async move {
            #[cfg(split)]
            let given = $name($($given),*).await;
            #[cfg(not(split))]
            let given = $name($($given),*);
            given
        }) as $crate::view::later::Coming
    };
}
pub(crate) use part;

/// Told when a part has come and is on the page.
#[derive(Clone, Copy)]
struct Arrivals(Trigger);

/// Lets parts tell that they have come; what is returned is notified when one is on the page.
pub fn provide_arrivals() -> Trigger {
    let arrivals = Trigger::new();
    provide_context(Arrivals(arrivals));
    arrivals
}

/// Shows a part once it is there; until then it is said to be on its way, and if it does not come, why, with a way to
/// try again.
pub fn later(call: impl Fn() -> Coming + 'static) -> AnyView {
    later_with(|| view! { <p class="waiting" role="status">{ui::messages::OPENING}</p> }.into_any(), call)
}

/// As [`later`], with what stands in its place meanwhile.
pub fn later_with(waiting: impl Fn() -> AnyView + Send + 'static, call: impl Fn() -> Coming + 'static) -> AnyView {
    let arrived = StoredValue::new_local(None::<AnyView>);
    let state = RwSignal::new(None::<Result<(), Missing>>);
    let owner = Owner::current().unwrap_or_default();
    let arrivals = use_context::<Arrivals>();
    let fetch = StoredValue::new_local(move || {
        let coming = owner.with(|| ScopedFuture::new_untracked(call()));
        spawn_local(async move {
            let given = coming.await;
            // Whoever waited may have left.
            let told = given.map(|view| {
                let _ = arrived.try_update_value(|arrived| *arrived = Some(view));
            });
            let _ = state.try_set(Some(told));
            tick().await;
            if let Some(Arrivals(arrivals)) = arrivals {
                arrivals.notify();
            }
        });
    });
    fetch.with_value(|fetch| fetch());
    let again = move |_| {
        state.set(None);
        fetch.with_value(|fetch| fetch());
    };
    (move || match state.get() {
        None => waiting(),
        Some(Ok(())) => arrived.try_update_value(Option::take).flatten().unwrap_or_else(|| ().into_any()),
        Some(Err(Missing)) => view! {
            <p class="fault" role="alert">
                {ui::messages::PART_MISSING} " "
                <button type="button" class="plain" on:click=again>{ui::controls::TRY_AGAIN}</button>
            </p>
        }
        .into_any(),
    })
    .into_any()
}

/// A fold whose part is fetched when it is first opened.
pub fn fold_later(
    class: &'static str,
    summary: &'static str,
    call: impl Fn() -> Coming + Clone + Send + 'static,
) -> AnyView {
    let opened = RwSignal::new(false);
    view! {
        <details class=class on:toggle=move |_| opened.set(true)>
            <summary>{summary}</summary>
            {move || opened.get().then(|| later(call.clone()))}
        </details>
    }
    .into_any()
}
