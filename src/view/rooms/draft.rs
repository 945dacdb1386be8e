//! Grooves of one's own, kept on the device as they are made.

use crate::route::Route;
use crate::session::Session;
use crate::session::drafting::Drafts;
use crate::session::drafts::Entry;
use crate::session::editor::Editor;
use crate::session::files;
use crate::view::app;
use crate::view::desk::Desk;
use crate::words::drafts::{self as told, controls};
use crate::words::ui;
use leptos::html;
use leptos::prelude::*;
use leptos::task::spawn_local;

/// The Draft room.
#[component]
pub fn Draft(session: Session) -> impl IntoView {
    app::title(ui::rooms::name(&Route::Draft));
    let drafts = Drafts::enter(session.rooms);
    let where_kept = move || if drafts.is_kept() { ui::messages::KEPT_HERE } else { ui::messages::NOT_KEPT };
    let number = Memo::new(move |_| drafts.open().with(|open| open.number));
    view! {
        <div class="page">
            <h1 tabindex="-1">{ui::rooms::name(&Route::Draft)}</h1>
            <p class="lead">{ui::messages::DRAFT_LEAD}</p>
            <label class="draft-name">
                <span>{controls::NAME}</span>
                <input
                    type="text" autocomplete="off" maxlength="60"
                    prop:value=move || drafts.name().get()
                    on:change:target=move |event| {
                        let name = drafts.rename(&event.target().value());
                        event.target().set_value(&name);
                    }
                />
            </label>
            {move || {
                number.get();
                view! { <OpenDraft session=session drafts=drafts /> }
            }}
            <p class="below kept">{where_kept}</p>
            <DraftList session=session drafts=drafts />
        </div>
    }
    .into_any()
}

/// The open draft on its desk. Another name makes its desk anew, for a link carries it; the groove and its past stay.
#[component]
fn OpenDraft(session: Session, drafts: Drafts) -> impl IntoView {
    let editor = Editor::new(drafts.open().with_untracked(|open| open.groove.clone()));
    drafts.keep(editor);
    move || {
        let name = drafts.name().get();
        view! { <Desk session=session editor=editor name=name own_link=Signal::derive(|| None) /> }
    }
}

/// All drafts, what is done with the open one, and how another is begun. Files may be dropped on it.
#[component]
fn DraftList(session: Session, drafts: Drafts) -> impl IntoView {
    // Keyed, so that the focus stays where it is while another draft changes.
    let entry = move |entry: Entry| {
        let since = told::ago(drafts.since(entry.changed));
        let id = StoredValue::new(entry.id);
        let current = move || id.with_value(|id| drafts.open().with(|open| open.id == *id)).then_some("true");
        let open = move |_| id.with_value(|id| drafts.open_draft(id));
        view! {
            <li>
                <button type="button" class="plain" aria-current=current on:click=open>{entry.name}</button>
                " " <span class="facts">{since}</span>
            </li>
        }
    };
    let none = Memo::new(move |_| drafts.list().with(Vec::is_empty));
    let heading = NodeRef::<html::H2>::new();
    // A press that takes its own button away leaves the focus on the heading.
    let to_heading = move || {
        if let Some(heading) = heading.get_untracked() {
            let _ = heading.focus();
        }
    };
    let is_listed = Memo::new(move |_| {
        let id = drafts.open().with(|open| open.id.clone());
        drafts.list().with(|list| list.iter().any(|entry| entry.id == id))
    });
    let action = move |name: &'static str, act: fn(&Drafts)| {
        view! { <button type="button" class="plain" on:click=move |_| act(&drafts)>{name}</button> }
    };
    let over = RwSignal::new(false);
    view! {
        <section
            class="below drafts" class:over=move || over.get() aria-label=controls::YOUR_DRAFTS
            on:dragover=move |event| { event.prevent_default(); over.set(true); }
            on:dragleave=move |_| over.set(false)
            on:drop=move |event| {
                event.prevent_default();
                over.set(false);
                drafts.take_files(files::dropped(&event));
            }
        >
            <h2 node_ref=heading tabindex="-1">{controls::YOUR_DRAFTS}</h2>
            {move || none.get().then(|| view! { <p>{told::NONE_YET}</p> })}
            <ul><For each=move || drafts.list().get() key=|entry| (entry.id.clone(), entry.name.clone(), entry.changed) children=entry /></ul>
            <p class="draft-actions">
                {move || is_listed.get().then(|| view! {
                    {action(controls::DUPLICATE, Drafts::duplicate)} {action(controls::SAVE, Drafts::save_file)} <button type="button" class="plain" on:click=move |_| { drafts.delete(); to_heading(); }>{controls::DELETE}</button>
                })}
                {move || drafts.deleted().map(|name| view! {
                    <button type="button" class="plain" on:click=move |_| { drafts.bring_back(); to_heading(); }>{told::bring_back(&name)}</button>
                })}
            </p>
            <details>
                <summary>{controls::START}</summary>
                <Beginnings session=session drafts=drafts />
            </details>
        </section>
    }
    .into_any()
}

/// The ways to begin a draft: empty, from a style, from a link, from files.
#[component]
fn Beginnings(session: Session, drafts: Drafts) -> impl IntoView {
    let index = session.library.index();
    let style = RwSignal::new(index.first().map(|entry| entry.id.as_str().to_owned()).unwrap_or_default());
    let options = index.iter().map(|entry| {
        view! { <option value=entry.id.as_str().to_owned()>{entry.name.clone()}</option> }
    });
    let missing = RwSignal::new(None::<String>);
    let from_style = move |_| {
        let id = style.get_untracked();
        spawn_local(async move {
            match session.library.style(&id).await {
                Ok(style) if !missing.is_disposed() => {
                    missing.set(None);
                    drafts.begin(style.groove.clone(), &style.name);
                }
                Err(fault) => {
                    let _ = missing.try_set(Some(crate::words::library::missing(&fault)));
                }
                Ok(_) => {}
            }
        });
    };
    let link = RwSignal::new(String::new());
    let from_link = move |event: leptos::ev::SubmitEvent| {
        event.prevent_default();
        if drafts.begin_from_link(&link.get_untracked()) {
            link.set(String::new());
        }
    };
    view! {
        <div class="beginnings">
            <p><button type="button" class="plain" on:click=move |_| drafts.begin_empty()>{controls::EMPTY}</button></p>
            <p>
                <select aria-label=controls::STYLE on:change:target=move |event| style.set(event.target().value())>{options.collect_view()}</select>
                " " <button type="button" class="plain" on:click=from_style>{controls::FROM_STYLE}</button>
            </p>
            {move || missing.get().map(|text| view! { <p class="fault" role="alert">{text}</p> })}
            <form on:submit=from_link>
                <input
                    type="text" autocomplete="off" aria-label=controls::LINK placeholder=controls::LINK
                    prop:value=move || link.get()
                    on:input:target=move |event| link.set(event.target().value())
                />
                " " <button type="submit" class="plain">{controls::FROM_LINK}</button>
            </form>
            <label class="draft-files">
                <span>{controls::FILES}</span>
                <input type="file" multiple accept=".json,application/json" on:change:target=move |event| drafts.take_files(files::picked(&event.target())) />
            </label>
        </div>
    }
    .into_any()
}
