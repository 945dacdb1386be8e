//! The desk a groove lies on: the sheet with its score marks and its ribbon, and in the margin what is done with it.

use super::cards::lane::{AddLane, LaneCard};
use super::cards::stroke::StrokeCard;
use super::focus::keep_focus;
use super::later::{Given, fold_later, later, later_with, part};
use super::link_slip::LinkSlip;
use super::marks::Marks;
use super::practice::{self, Practice};
use super::recording::Recording;
use super::ribbon::grid::{Ribbon, focus_place};
use super::ribbon::magnify::MagnifySwitch;
use super::ribbon::navigation::Spot;
use super::ribbon::ring::Ring;
use crate::rhythm::LaneId;
use crate::role::Role;
use crate::route::Route;
use crate::session::Session;
use crate::session::editor::Editor;
use crate::session::hearing::Trouble;
use crate::session::library::Drums;
use crate::session::links;
use crate::session::rooms::Notice;
use crate::style::Hallmark;
use crate::words::{library as told, recording, ui, voices};
use leptos::ev;
use leptos::prelude::*;
use leptos::task::spawn_local;
use wasm_bindgen::JsCast;

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
    /// What stands between the sheet and the cards.
    #[prop(optional, into)]
    beneath: ViewFn,
    /// Rings round places of the ribbon.
    #[prop(optional, into)]
    rings: Signal<Vec<Ring>>,
    /// Syllables said under the fins of some roles.
    #[prop(optional, into)]
    say: Signal<Vec<(Role, String)>>,
    /// Whether shifts off the place are drawn four times as large.
    #[prop(optional)]
    magnify: RwSignal<bool>,
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
    // At most one card stands under the sheet: the lane's while a lane is chosen, else the stroke's.
    let chosen_lane = RwSignal::new(None::<LaneId>);
    let opener = StoredValue::new_local(None::<web_sys::HtmlElement>);
    keep_focus(editor, chosen);
    let close_lane = Callback::new(move |()| {
        let lane = chosen_lane.get_untracked();
        chosen_lane.set(None);
        if let (Some(lane), Some(had)) = (lane, opener.try_update_value(Option::take)) {
            let still_there = editor.groove().with_untracked(|groove| groove.pattern.lane(lane).is_some());
            give_back(lane, had.filter(|_| still_there), chosen);
        }
    });
    let lane_card = move || {
        let lane = chosen_lane.get()?;
        let now = document().active_element().and_then(|element| element.dyn_into().ok());
        opener.set_value(now);
        Some(later(move || part!(lane_card_of(editor, hearing, lane, chosen, close_lane))))
    };
    let to_lane = Callback::new(move |lane| chosen_lane.set(Some(lane)));
    let any =
        Memo::new(move |before: Option<&bool>| before.is_some_and(|before| *before) || chosen.with(Option::is_some));
    let stroke_card = move || {
        if any.get() {
            later_with(unchosen, move || part!(stroke_card_of(editor, chosen, to_lane)))
        } else {
            unchosen()
        }
    };
    // Whoever goes on to a place has done with the lane.
    let to_place = move |target: Option<web_sys::EventTarget>| {
        if target.is_some_and(|target| is_place(&target)) && chosen_lane.get_untracked().is_some() {
            chosen_lane.set(None);
        }
    };
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
        let now = drums.with(|drums| drums.as_ref().map(|drums| drums.pinned));
        pinned != 0 && now.is_some_and(|now| now != pinned)
    };
    let keys = move |event: ev::KeyboardEvent| {
        practice::play_by_key(hearing, &event);
        on_key(&event, editor, chosen);
    };
    view! {
        <div class="desk" on:keydown=keys>
            <div class="margin">
                <button type="button" class="play" class:on=playing on:click=press disabled=move || !hearing.is_ready() aria-keyshortcuts=practice::PLAY_KEY>
                    {move || if playing() { ui::controls::STOP } else { ui::controls::PLAY }}
                </button>
                <button type="button" class="round" aria-keyshortcuts="Control+Z" on:click=move |_| { editor.undo(); } aria-disabled=move || (!editor.can_undo()).then_some("true")>
                    {ui::controls::UNDO}
                </button>
                <button type="button" class="round" aria-keyshortcuts="Control+Shift+Z" on:click=move |_| { editor.redo(); } aria-disabled=move || (!editor.can_redo()).then_some("true")>
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
            <div class="sheet" on:focusin=move |event| to_place(event.target()) on:click=move |event| to_place(event.target())>
                <Marks session=session editor=editor />
                <Ribbon editor=editor name=name hearing=hearing chosen=chosen decay=decay hallmarks=hallmarks magnify=magnify chosen_lane=chosen_lane rings=rings say=say dimmed=hearing.silent_lanes() />
            </div>
            <div class="under">
                {move || told_trouble(hearing.trouble(), missing.get()).map(|text| view! {
                    <p class="fault" role="alert">{text} " "
                        {(hearing.trouble() == Some(Trouble::Blocked)).then(|| view! {
                            <button type="button" class="plain" on:click=move |_| hearing.wake()>{ui::controls::TURN_SOUND_ON}</button>
                        })}
                    </p>
                })}
                {move || changed_kit().then(|| view! { <p class="fault">{ui::messages::KIT_CHANGED}</p> })}
                {move || drums.with(|drums| drums.as_ref().map(|drums| unread_of(&drums.unread)))}
                {move || slip.get().map(|link| view! { <LinkSlip link=link close=Callback::new(move |()| slip.set(None)) /> })}
                <div class="under-sheet">
                    <AddLane editor=editor chosen=chosen />
                    <MagnifySwitch editor=editor magnify=magnify />
                </div>
                {beneath.run()}
                <div class="cards" class:lane-open=move || chosen_lane.get().is_some()>
                    {lane_card}
                    {stroke_card}
                </div>
                <Practice session=session editor=editor />
                {fold_later("fold recording", recording::controls::SAVE_AS_SOUND, move || {
                    let name = title.get_value();
                    part!(recording_of(session, editor, drums, name))
                })}
            </div>
        </div>
    }
}

/// Tells of own voices that cannot be read: the kit's play.
fn unread_of(roles: &[Role]) -> AnyView {
    roles.iter().map(|role| view! { <p class="fault">{voices::unread(*role)}</p> }).collect_view().into_any()
}

/// What stands for the stroke card until a place has been chosen.
fn unchosen() -> AnyView {
    view! {
        <section class="card empty" aria-label=ui::controls::STROKE_CARD>
            <p class="card-hint">{ui::messages::CHOOSE_A_PLACE}</p>
        </section>
    }
    .into_any()
}

#[cfg_attr(split, wasm_split_helpers::wasm_split(recording, fallible))]
fn recording_of(session: Session, editor: Editor, drums: RwSignal<Option<Drums>>, name: String) -> Given {
    Ok(view! { <Recording session=session editor=editor drums=drums name=name /> }.into_any())
}

#[cfg_attr(split, wasm_split_helpers::wasm_split(cards, fallible))]
fn stroke_card_of(editor: Editor, chosen: RwSignal<Option<Spot>>, to_lane: Callback<LaneId>) -> Given {
    Ok(view! { <StrokeCard editor=editor chosen=chosen to_lane=to_lane /> }.into_any())
}

#[cfg_attr(split, wasm_split_helpers::wasm_split(cards, fallible))]
fn lane_card_of(
    editor: Editor,
    hearing: crate::session::hearing::Hearing,
    lane: LaneId,
    chosen: RwSignal<Option<Spot>>,
    close: Callback<()>,
) -> Given {
    Ok(view! { <LaneCard editor=editor hearing=hearing lane=lane chosen=chosen close=close /> }.into_any())
}

/// Whether an event happened on a place of the grid.
fn is_place(target: &web_sys::EventTarget) -> bool {
    let element = target.dyn_ref::<web_sys::Element>();
    element.is_some_and(|element| element.closest("[data-at]").ok().flatten().is_some())
}

/// Gives the keyboard back to what opened the card of `lane`; if that is gone, to the lane's name, or the
/// chosen place where the lane is gone too.
fn give_back(lane: LaneId, opener: Option<web_sys::HtmlElement>, chosen: RwSignal<Option<Spot>>) {
    let back = move || {
        let name = document().query_selector(&format!("[data-name][data-lane=\"{}\"]", lane.0)).ok().flatten();
        let opener = opener.filter(|opener| opener.is_connected() && opener.tag_name() != "BODY");
        let name = opener.or_else(|| name.and_then(|name| name.dyn_into().ok()));
        match (name, chosen.try_get_untracked().flatten()) {
            (Some(name), _) => drop(name.focus()),
            (None, Some(spot)) => focus_place(spot),
            (None, None) => {}
        }
    };
    // The opener may be in the other card, which is hidden until this one is away.
    set_timeout(back, core::time::Duration::ZERO);
}

/// Keys of the whole desk: undo and redo, except where text is being typed; from a place, F2 leads to its card (as in
/// the grid pattern of the WAI-ARIA Authoring Practices) and Shift with an arrow moves its stroke by a pulse.
fn on_key(event: &ev::KeyboardEvent, editor: Editor, chosen: RwSignal<Option<Spot>>) {
    let (control, shift) = (event.ctrl_key() || event.meta_key(), event.shift_key());
    if event.alt_key() || event.default_prevented() {
        return;
    }
    let on_place = event.target().is_some_and(|target| is_place(&target));
    match (event.key().to_ascii_lowercase().as_str(), control, shift) {
        ("z", true, false) if !is_typing(event) => drop(editor.undo()),
        ("z", true, true) | ("y", true, false) if !is_typing(event) => drop(editor.redo()),
        ("f2", false, false) if on_place => focus_card(),
        ("arrowleft", false, true) if on_place => move_chosen(editor, chosen, -1),
        ("arrowright", false, true) if on_place => move_chosen(editor, chosen, 1),
        _ => return,
    }
    event.prevent_default();
}

/// Whether the event comes from a field whose text is not the one it was given.
fn is_typing(event: &ev::KeyboardEvent) -> bool {
    let field = event.target().and_then(|target| target.dyn_into::<web_sys::HtmlInputElement>().ok());
    field.is_some_and(|field| {
        matches!(field.type_().as_str(), "text" | "search") && field.value() != field.default_value()
    })
}

/// Puts the keyboard on the first control of the card.
fn focus_card() {
    let first = document().query_selector(".cards .card:last-child button").ok().flatten();
    if let Some(first) = first.and_then(|first| first.dyn_into::<web_sys::HtmlElement>().ok()) {
        let _ = first.focus();
    }
}

/// Moves the chosen stroke by whole pulses of its lane, and the keyboard with it; where it cannot go it stays.
fn move_chosen(editor: Editor, chosen: RwSignal<Option<Spot>>, pulses: i64) {
    let Some(spot) = chosen.get_untracked() else { return };
    let pulse = editor.groove().with_untracked(|groove| groove.pattern.lane(spot.lane).map(|lane| lane.head.pulse));
    let Some(to) = pulse.map(|pulse| spot.at + pulse.times(pulses)) else { return };
    if editor.move_stroke(spot.lane, spot.at, to).is_ok() {
        let next = Spot { at: to, ..spot };
        chosen.set(Some(next));
        // A place off the pulse is there only after the stroke is.
        set_timeout(move || focus_place(next), core::time::Duration::ZERO);
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
