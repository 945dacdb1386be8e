//! The ribbon itself: systems of lanes, one grid of places, moved through by keys and drawn on by mouse.

use super::drag::Drag;
use super::fin;
use super::ink::{self, Band};
use super::layout::{self, System};
use super::navigation::{self, Move, Spot};
use super::place::{LaneRow, Rows};
use super::ring::Ring;
use super::sign::Signs;
use crate::rhythm::{Groove, Lane, LaneHead, LaneId, Metre, Part, Strength, StrokeId, Tick};
use crate::role::Role;
use crate::session::editor::Editor;
use crate::session::hearing::{Hearing, settled};
use crate::session::page::{self, WidthWatch};
use crate::style::Hallmark;
use leptos::ev;
use leptos::html;
use leptos::prelude::*;
use wasm_bindgen::JsCast;

/// What the layout depends on; strokes may change without it.
#[derive(Clone, PartialEq)]
struct Shape {
    metre: Metre,
    bars: u8,
    lanes: Vec<(LaneId, LaneHead)>,
    felt: Tick,
    tonic: u8,
}

impl Shape {
    fn of(groove: &Groove) -> Shape {
        let pattern = &groove.pattern;
        Shape {
            metre: pattern.metre().clone(),
            bars: pattern.bars(),
            lanes: pattern.lanes().iter().map(|lane| (lane.id, lane.head)).collect(),
            felt: groove.tempo.felt(),
            tonic: groove.tonic.note(),
        }
    }
}

/// How many seconds a stroke of a role rings, for the tails of the fins.
pub type Decay = Callback<Role, f64>;

/// Hallmarks of the style on the desk; none for a groove of no stated style.
pub type Hallmarks = StoredValue<Vec<Hallmark>>;

/// The time ribbon of the groove in `editor`.
#[component]
pub fn Ribbon(
    /// The groove.
    editor: Editor,
    /// The groove's name, which is the grid's.
    #[prop(into)]
    name: Signal<String>,
    /// What is heard now.
    hearing: Hearing,
    /// The place chosen; also the grid's tab stop.
    chosen: RwSignal<Option<Spot>>,
    /// How long strokes ring.
    decay: Decay,
    /// The hallmarks whose signs are drawn.
    hallmarks: Hallmarks,
    /// The lane whose name was pressed.
    #[prop(optional)]
    chosen_lane: RwSignal<Option<LaneId>>,
    /// Whether shifts off the place are drawn four times as large.
    #[prop(optional, into)]
    magnify: Signal<bool>,
    /// Rings round places.
    #[prop(optional, into)]
    rings: Signal<Vec<Ring>>,
    /// Syllables said under the fins of some roles.
    #[prop(optional, into)]
    say: Signal<Vec<(Role, String)>>,
    /// Lanes that are not heard now.
    #[prop(optional, into)]
    dimmed: Signal<Vec<LaneId>>,
) -> impl IntoView {
    let _ = (chosen_lane, magnify, rings, say, dimmed);
    let groove = editor.groove();
    let signs = Memo::new(move |_| {
        groove.with(|groove| hallmarks.with_value(|hallmarks| Signs::of(hallmarks, &groove.pattern)))
    });
    let width = RwSignal::new(0.0_f64);
    let sheet = NodeRef::<html::Div>::new();
    let watch = StoredValue::new_local(None::<WidthWatch>);
    sheet.on_load(move |sheet| {
        width.set(sheet.client_width().into());
        let tell = move |now: f64| {
            if (now - width.get_untracked()).abs() > 0.5 {
                width.set(now);
            }
        };
        watch.set_value(WidthWatch::new(&sheet, tell));
    });

    let shape = Memo::new(move |_| groove.with(Shape::of));
    let tab_stop = Memo::new(move |_| {
        groove.with(|groove| {
            let first = groove.pattern.lanes().first().map(|lane| Spot { lane: lane.id, at: Tick::ZERO });
            let chosen = chosen.get().filter(|spot| {
                let lane = groove.pattern.lane(spot.lane);
                lane.is_some_and(|lane| navigation::nearest(lane, groove.pattern.length(), spot.at) == spot.at)
            });
            chosen.or(first)
        })
    });
    let selector = Selector::new(move || tab_stop.get());

    let systems = move || {
        let width = width.get();
        shape.track();
        let groove = groove.get_untracked();
        (width > 0.0).then(|| {
            let systems = layout::systems(&groove.pattern, width);
            let systems = systems.into_iter().map(|system| {
                let rows = Rows { editor, tab_stop: selector.clone() };
                system_view(rows, &groove, system, width, hearing, decay, signs)
            });
            systems.collect_view()
        })
    };
    let keys = move |event: ev::KeyboardEvent| on_key(&event, editor, chosen, tab_stop);
    let drag = Drag::new(editor);
    let press = move |event: ev::PointerEvent| {
        if let Some(spot) = spot_of(event.target()) {
            drag.press(&event, spot);
        }
    };
    let click = move |event: ev::MouseEvent| {
        if drag.swallows_click() {
            return;
        }
        if let Some(spot) = spot_of(event.target()) {
            chosen.set(Some(spot));
            let _ = editor.toggle(spot.lane, spot.at);
        }
    };
    let focus = move |event: ev::FocusEvent| {
        if let Some(spot) = spot_of(event.target()) {
            chosen.set(Some(spot));
        }
    };
    view! {
        <div
            class="ribbon"
            role="grid"
            aria-label=name
            node_ref=sheet
            dir="ltr"
            on:click=click
            on:keydown=keys
            on:focusin=focus
            on:pointerdown=press
            on:pointermove=move |event| drag.glide(&event)
            on:pointerup=move |_| drag.release()
            on:pointercancel=move |_| drag.release()
        >
            {systems}
        </div>
    }
}

/// The pulse the counts are written at: the commonest among the lanes, the finer of two.
fn count_pulse(groove: &Groove) -> Tick {
    let lanes = groove.pattern.lanes();
    let times = |pulse: Tick| lanes.iter().filter(|lane| lane.head.pulse == pulse).count();
    let commonest = lanes.iter().map(|lane| lane.head.pulse).max_by_key(|&pulse| (times(pulse), -pulse.0));
    commonest.unwrap_or(Tick::EIGHTH)
}

fn system_view(
    rows: Rows,
    groove: &Groove,
    system: System,
    width: f64,
    hearing: Hearing,
    decay: Decay,
    signs: Memo<Signs>,
) -> impl IntoView + use<> {
    let mut top = layout::HEAD;
    let mut bands: Vec<(Lane, Band)> = Vec::new();
    for lane in groove.pattern.lanes() {
        let height = layout::lane_height(lane, width);
        bands.push((lane.clone(), Band { base: top + height - 7.0, top, height }));
        top += height;
    }
    let counts_top = top + 2.0;
    let count_rows = if ink::has_felt_row(groove) { 2.0 } else { 1.0 };
    let height = counts_top + layout::COUNT * count_rows + 6.0;

    let stored = StoredValue::new(groove.clone());
    let whole = rows.editor.groove();
    let ruling = {
        let bands = bands.clone();
        move || whole.with(|groove| ink::ruling(groove, &system, &bands))
    };
    let strokes = bands.iter().map(|(lane, band)| {
        let (id, band, role) = (lane.id, *band, lane.head.role);
        let drawing = Memo::new(move |_| {
            let ring = decay.run(role);
            whole.with(|groove| groove.pattern.lane(id).map(|lane| fin::draw(groove, lane, &system, ring)))
        });
        // Only what this system shows: otherwise every fin of a long lane would ask whenever one of them sounds.
        let ringing = hearing.lane(id);
        let now = settled(move || {
            drawing.with(|drawing| {
                let shown = |hit: &(StrokeId, Part)| {
                    drawing.as_ref().is_some_and(|drawing| drawing.fins.iter().any(|fin| fin.stroke == hit.0))
                };
                ringing.with(|hits| hits.iter().copied().filter(shown).collect())
            })
        });
        let tonic = groove.tonic;
        let lane = rows.editor.lane(id);
        let signs = move || {
            let signs = signs.read();
            lane.with(|lane| lane.as_ref().map(|lane| ink::signs(&signs, lane, &system, band.base)))
        };
        let strokes = move || drawing.get().map(|drawing| ink::strokes(drawing, band, tonic, role, now));
        view! { {signs} {strokes} }
    });
    let strokes = strokes.collect_view();
    let counts = ink::counts(groove, &system, counts_top, count_pulse(groove));
    let pulse = count_pulse(groove).as_f64();
    let leaps = page::reduced_motion();
    let caret = move || {
        // With less motion wished for the caret leaps from count to count.
        let heard = hearing.caret_tick().map(|at| if leaps { (at / pulse).floor() * pulse } else { at });
        let at = heard.filter(|&at| at >= system.start.as_f64() && at < system.end.as_f64())?;
        Some(format!("translate({:.1}px, {:.1}px)", system.x(at), counts_top))
    };
    let caret_class = move || if caret().is_some() { "caret" } else { "caret gone" };
    let lanes = bands.iter().map(|(lane, band)| {
        view! { <LaneRow rows=rows.clone() groove=stored lane_id=lane.id system=system top=band.top height=band.height /> }
    });
    let lanes = lanes.collect_view();
    view! {
        <div class="system" role="rowgroup" style:height=format!("{height:.0}px")>
            <svg class="ink" aria-hidden="true" width=format!("{width:.0}") height=format!("{height:.0}")>
                {ruling} {strokes} {counts}
            </svg>
            <div class=caret_class style:transform=caret aria-hidden="true"></div>
            {lanes}
        </div>
    }
}

/// The place an event happened on.
fn spot_of(target: Option<web_sys::EventTarget>) -> Option<Spot> {
    let element: web_sys::Element = target?.dyn_into().ok()?;
    let button = element.closest("button[data-at]").ok().flatten()?;
    let number = |name: &str| button.get_attribute(name)?.parse::<i64>().ok();
    Some(Spot { lane: LaneId(u16::try_from(number("data-lane")?).ok()?), at: Tick(number("data-at")?) })
}

/// Puts the keyboard focus on a place.
pub fn focus_place(spot: Spot) {
    let selector = format!("button[data-lane=\"{}\"][data-at=\"{}\"]", spot.lane.0, spot.at.0);
    let button = document().query_selector(&selector).ok().flatten();
    if let Some(button) = button.and_then(|button| button.dyn_into::<web_sys::HtmlElement>().ok()) {
        let _ = button.focus();
    }
}

fn on_key(event: &ev::KeyboardEvent, editor: Editor, chosen: RwSignal<Option<Spot>>, tab_stop: Memo<Option<Spot>>) {
    let Some(spot) = spot_of(event.target()).or_else(|| tab_stop.get_untracked()) else { return };
    if event.alt_key() || event.meta_key() {
        return;
    }
    let key = event.key();
    let (control, shift) = (event.ctrl_key(), event.shift_key());
    let louder = |by: i32| {
        editor.nudge_loudness(spot.lane, spot.at, by);
        editor.end_gesture();
    };
    let movement = match (key.as_str(), control, shift) {
        ("ArrowLeft", false, false) => Move::Earlier,
        ("ArrowRight", false, false) => Move::Later,
        ("ArrowUp", false, false) => Move::Up,
        ("ArrowDown", false, false) => Move::Down,
        ("Home", false, _) => Move::First,
        ("End", false, _) => Move::Last,
        ("Home", true, _) => Move::Top,
        ("End", true, _) => Move::Bottom,
        ("PageUp", false, _) => Move::BarBack,
        ("PageDown", false, _) => Move::BarOn,
        _ => {
            // The characters of box notation write the strokes they stand for.
            let strength = match key.as_str() {
                "X" => Some(Strength::Accent),
                "x" => Some(Strength::Plain),
                "o" => Some(Strength::Ghost),
                _ => None,
            };
            match (key.as_str(), strength) {
                (_, Some(strength)) if !control => {
                    let _ = editor.set_strength(spot.lane, spot.at, strength);
                }
                ("." | "Delete" | "Backspace", _) if !control => {
                    let _ = editor.clear(spot.lane, spot.at);
                }
                ("+" | "=", _) if !control => louder(8),
                ("-", _) if !control => louder(-8),
                ("ArrowUp", _) if shift => louder(8),
                ("ArrowDown", _) if shift => louder(-8),
                _ => return,
            }
            event.prevent_default();
            return;
        }
    };
    event.prevent_default();
    let next = editor.groove().with_untracked(|groove| navigation::moved(&groove.pattern, spot, movement));
    if let Some(next) = next {
        chosen.set(Some(next));
        focus_place(next);
    }
}
