//! The desk a groove lies on: the sheet with its score marks and its ribbon, and in the margin what is done with it.

use super::link_slip::LinkSlip;
use super::marks::Marks;
use super::ribbon::grid::Ribbon;
use super::ribbon::magnify::MagnifySwitch;
use super::ribbon::navigation::Spot;
use super::stroke_card::StrokeCard;
use crate::role::Role;
use crate::route::Route;
use crate::session::Session;
use crate::session::editor::Editor;
use crate::session::hearing::Trouble;
use crate::session::library::Drums;
use crate::session::links;
use crate::session::rooms::Notice;
use crate::style::Hallmark;
use crate::words::{library as told, ui};
use leptos::prelude::*;
use leptos::task::spawn_local;

/// How long a stroke rings while its kit is still on the way, in seconds.
const RING_UNKNOWN: f64 = 0.2;

/// The groove of `editor` on its desk.
#[component]
pub fn Desk(
    /// The page's session.
    session: Session,
    /// The groove.
    editor: Editor,
    /// What it is called; also the title its link carries.
    name: String,
    /// A shorter link than the groove's own, while one leads to exactly this groove.
    own_link: Signal<Option<Route>>,
    /// The content of the kit a link was made with; 0 if none is pinned.
    #[prop(optional)]
    pinned: u32,
    /// The hallmarks of its style, whose signs are drawn on the ribbon.
    #[prop(optional)]
    hallmarks: Vec<Hallmark>,
) -> impl IntoView {
    let hearing = session.hearing;
    let drums = RwSignal::new(None::<Drums>);
    let missing = RwSignal::new(None::<told::Missing>);
    let sound = Memo::new(move |_| editor.groove().with(|groove| groove.sound.clone()));
    Effect::new(move |_| {
        let sound = sound.get();
        spawn_local(async move {
            let fetched = session.library.drums(&sound).await;
            if sound_is_still(&sound, editor) {
                match fetched {
                    Ok(fetched) => {
                        let _ = drums.try_set(Some(fetched));
                        let _ = missing.try_set(None);
                    }
                    Err(fault) => {
                        let _ = missing.try_set(Some(fault));
                    }
                }
            }
        });
    });
    hearing.follow(editor, drums.into());

    let hallmarks = StoredValue::new(hallmarks);
    let chosen = RwSignal::new(None::<Spot>);
    let magnify = RwSignal::new(false);
    let decay = Callback::new(move |role: Role| {
        drums.with(|drums| drums.as_ref().map_or(RING_UNKNOWN, |drums| drums.ring(role)))
    });
    let slip = RwSignal::new(None::<String>);
    let title = StoredValue::new(name.clone());
    let copy = move |_| {
        let link = match own_link.get_untracked() {
            Some(route) => links::address(&route),
            None => {
                let drums = drums.get_untracked();
                title.with_value(|title| links::groove(&editor.now(), drums.as_ref(), title))
            }
        };
        spawn_local(async move {
            if links::copy(link.clone()).await {
                session.rooms.tell(Notice::LinkCopied);
                let _ = slip.try_set(None);
            } else {
                let _ = slip.try_set(Some(link));
            }
        });
    };
    let playing = move || hearing.is_on();
    let press = move |_| hearing.toggle();
    let changed_kit = move || {
        let now = drums.with(|drums| drums.as_ref().map(|drums| drums.kit.content_hash()));
        pinned != 0 && now.is_some_and(|now| now != pinned)
    };
    view! {
        <div class="desk">
            <div class="margin">
                <button type="button" class="play" class:on=playing on:click=press disabled=move || !hearing.is_ready()>
                    {move || if playing() { ui::controls::STOP } else { ui::controls::PLAY }}
                </button>
                <button type="button" class="round" on:click=move |_| { editor.undo(); } aria-disabled=move || (!editor.can_undo()).then_some("true")>
                    {ui::controls::UNDO}
                </button>
                <button type="button" class="round" on:click=move |_| { editor.redo(); } aria-disabled=move || (!editor.can_redo()).then_some("true")>
                    {ui::controls::REDO}
                </button>
                <button type="button" class="round" on:click=copy>{ui::controls::COPY_LINK}</button>
                <label class="volume">
                    <span>{ui::controls::VOLUME}</span>
                    <input
                        type="range" min="0" max="100" step="1"
                        prop:value=move || format!("{:.0}", hearing.volume() * 100.0)
                        on:input:target=move |event| {
                            if let Ok(percent) = event.target().value().parse::<f64>() {
                                hearing.set_volume(percent / 100.0);
                            }
                        }
                    />
                </label>
            </div>
            <div class="sheet">
                <Marks session=session editor=editor />
                <Ribbon editor=editor name=name hearing=hearing chosen=chosen decay=decay hallmarks=hallmarks magnify=magnify />
            </div>
            <div class="under">
                <MagnifySwitch editor=editor magnify=magnify />
                {move || told_trouble(hearing.trouble(), missing.get()).map(|text| view! {
                    <p class="fault" role="alert">{text} " "
                        {(hearing.trouble() == Some(Trouble::Blocked)).then(|| view! {
                            <button type="button" class="plain" on:click=move |_| hearing.wake()>{ui::controls::TURN_SOUND_ON}</button>
                        })}
                    </p>
                })}
                {move || changed_kit().then(|| view! { <p class="fault">{ui::messages::KIT_CHANGED}</p> })}
                {move || slip.get().map(|link| view! { <LinkSlip link=link close=Callback::new(move |()| slip.set(None)) /> })}
                <StrokeCard editor=editor chosen=chosen />
            </div>
        </div>
    }
}

/// Whether the groove still asks for this sound: a fetch may come back after the learner has changed it, or left.
fn sound_is_still(sound: &crate::rhythm::Sound, editor: Editor) -> bool {
    editor.groove().try_with_untracked(|groove| groove.sound == *sound).unwrap_or(false)
}

/// The sentence for what keeps the groove from being heard, if anything does.
fn told_trouble(trouble: Option<Trouble>, missing: Option<told::Missing>) -> Option<String> {
    if let Some(missing) = missing {
        return Some(told::missing(&missing));
    }
    Some(match trouble? {
        Trouble::Blocked => ui::messages::SOUND_BLOCKED.to_owned(),
        Trouble::Unsupported => ui::messages::NO_WEB_AUDIO.to_owned(),
        Trouble::Refused(reason) => ui::messages::sound_refused(&reason),
        Trouble::Standing => ui::messages::CLOCK_STANDS.to_owned(),
    })
}
