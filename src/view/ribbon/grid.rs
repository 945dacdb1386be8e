//! The ribbon itself: a grid of places over a drawing, moved through by keys and drawn on by mouse, pen and finger.

use super::drag::Drag;
use super::ink;
use super::layout;
use super::navigation::{self, Move, Spot, Stop};
use super::place::set;
use super::ring::Ring;
use super::sheet::{LaneSheet, Sheet, View};
use super::sign::Signs;
use crate::rhythm::{Groove, LaneId, Metre, Strength, Tick};
use crate::role::Role;
use crate::session::editor::Editor;
use crate::session::hearing::Hearing;
use crate::session::page::{self, Listener, WidthWatch};
use crate::style::Hallmark;
use crate::words;
use leptos::ev;
use leptos::html;
use leptos::prelude::*;
use std::cell::RefCell;
use std::rc::Rc;
use wasm_bindgen::JsCast;

/// What the layout depends on; strokes, feel and tempo may change without it.
#[derive(Clone, PartialEq)]
struct Shape {
    metre: Metre,
    bars: u8,
    lanes: Vec<(LaneId, Role, Tick)>,
    felt: Tick,
}

impl Shape {
    fn of(groove: &Groove) -> Shape {
        let pattern = &groove.pattern;
        Shape {
            metre: pattern.metre().clone(),
            bars: pattern.bars(),
            lanes: pattern.lanes().iter().map(|lane| (lane.id, lane.head.role, lane.head.pulse)).collect(),
            felt: groove.tempo.felt(),
        }
    }
}

/// How many seconds a stroke of a role rings, for the tails of the fins.
pub type Decay = Callback<Role, f64>;

/// Hallmarks of the style on the desk; none for a groove of no stated style.
pub type Hallmarks = StoredValue<Vec<Hallmark>>;

/// How wide the sheet is printed: what fits between the margins of a sheet of paper held upright.
const PRINTED: f64 = 690.0;

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
    let groove = editor.groove();
    let on_screen = RwSignal::new(0.0_f64);
    let printed = RwSignal::new(false);
    let width = Memo::new(move |_| if printed.get() { PRINTED } else { on_screen.get() });
    let grid = NodeRef::<html::Div>::new();
    let watch = StoredValue::new_local(None::<WidthWatch>);
    grid.on_load(move |grid| {
        on_screen.set(grid.client_width().into());
        let tell = move |now: f64| {
            if (now - on_screen.get_untracked()).abs() > 0.5 {
                on_screen.set(now);
            }
        };
        watch.set_value(WidthWatch::new(&grid, tell));
    });
    let on_paper = [("beforeprint", true), ("afterprint", false)];
    StoredValue::new_local(on_paper.map(|(name, on)| Listener::on_window(name, move |_| printed.set(on))));

    // What the keyboard is at: a lane's name while that has the focus, else the chosen place or the one nearest to it.
    let on_name = RwSignal::new(None::<LaneId>);
    let stop = Memo::new(move |_| {
        groove.with(|groove| {
            let pattern = &groove.pattern;
            if let Some(name) = on_name.get().filter(|&name| pattern.lane(name).is_some()) {
                return Some(Stop::Name(name));
            }
            let chosen = chosen.get().and_then(|spot| {
                let at = navigation::nearest(pattern.lane(spot.lane)?, pattern.length(), spot.at);
                Some(Spot { at, ..spot })
            });
            let first = || pattern.lanes().first().map(|lane| Spot { lane: lane.id, at: Tick::ZERO });
            chosen.or_else(first).map(Stop::Place)
        })
    });

    let shape = Memo::new(move |_| groove.with(Shape::of));
    let spoken = Memo::new(move |_| say.with(|say| say.iter().map(|(role, _)| *role).collect::<Vec<_>>()));
    let looks = Looks { editor, hearing, chosen_lane, decay, hallmarks, magnify, rings, say, dimmed, stop };
    Effect::new(move |_| {
        let width = width.get();
        let Some(grid) = grid.get() else { return };
        shape.with(|_| ());
        let focus = stop_of(document().active_element().map(Into::into))
            .filter(|_| document().active_element().is_some_and(|active| grid.contains(Some(&active))));
        let sheet = (width > 0.0)
            .then(|| groove.with_untracked(|groove| spoken.with(|spoken| Sheet::lay(&grid, groove, width, spoken))));
        if let Some(sheet) = sheet.flatten() {
            looks.keep(sheet, &grid);
        }
        focus.inspect(|&stop| focus_stop(stop));
    });

    let keys = move |event: ev::KeyboardEvent| on_key(&event, editor, stop);
    let drag = Drag::new(editor);
    let press = move |event: ev::PointerEvent| {
        let Some(Stop::Place(spot)) = stop_of(event.target()) else { return };
        groove.with_untracked(|groove| {
            let systems = layout::systems(&groove.pattern, width.get_untracked());
            let system = systems.into_iter().find(|system| system.holds(spot.at));
            if let (Some(system), Some(lane)) = (system, groove.pattern.lane(spot.lane)) {
                drag.press(&event, spot, system, lane.head.pulse);
            }
        });
    };
    let click = move |event: ev::MouseEvent| {
        if drag.swallows(&event) {
            return;
        }
        match stop_of(event.target()) {
            Some(Stop::Place(spot)) => {
                chosen.set(Some(spot));
                let _ = editor.toggle(spot.lane, spot.at);
            }
            Some(Stop::Name(lane)) => chosen_lane.set(Some(lane)),
            None => {}
        }
    };
    let focus = move |event: ev::FocusEvent| match stop_of(event.target()) {
        Some(Stop::Place(spot)) => {
            on_name.set(None);
            chosen.set(Some(spot));
        }
        Some(Stop::Name(lane)) => on_name.set(Some(lane)),
        None => {}
    };
    let enlarged = Memo::new(move |_| magnify.get() && groove.with(super::fin::any_moved));
    view! {
        <p class="magnified">{move || enlarged.get().then_some(words::ribbon::MAGNIFY)}</p>
        <div
            class="ribbon"
            role="grid"
            aria-label=name
            node_ref=grid
            dir="ltr"
            on:click=click
            on:keydown=keys
            on:focusin=focus
            on:pointerdown=press
            on:pointermove=move |event| drag.glide(&event, grid.get_untracked().map(Into::into))
            on:pointerup=move |_| drag.release()
            on:pointercancel=move |_| drag.release()
        ></div>
    }
}

/// What a ribbon looks at while it is shown.
#[derive(Clone, Copy)]
struct Looks {
    editor: Editor,
    hearing: Hearing,
    chosen_lane: RwSignal<Option<LaneId>>,
    decay: Decay,
    hallmarks: Hallmarks,
    magnify: Signal<bool>,
    rings: Signal<Vec<Ring>>,
    say: Signal<Vec<(Role, String)>>,
    dimmed: Signal<Vec<LaneId>>,
    stop: Memo<Option<Stop>>,
}

impl Looks {
    /// Keeps the elements of `sheet` true until the layout's owner ends. One effect a lane draws it, another shows what of
    /// it sounds; neither is woken by other lanes.
    fn keep(self, mut sheet: Sheet, grid: &web_sys::HtmlElement) {
        let groove = self.editor.groove();
        let signs = Memo::new(move |_| {
            groove.with(|groove| self.hallmarks.with_value(|hallmarks| Signs::of(hallmarks, &groove.pattern)))
        });
        let mut effects = Vec::new();
        for lane in core::mem::take(&mut sheet.lanes) {
            effects.extend(self.keep_lane(lane, signs));
        }
        let strong = Memo::new(move |_| groove.with(|groove| ink::strong_beats(&groove.pattern)));
        let sheet = Rc::new(sheet);
        let ruled = sheet.clone();
        effects.push(RenderEffect::new(move |_| {
            strong.with(|strong| groove.with_untracked(|groove| ruled.rule(groove, strong)));
        }));
        let pulse = groove.with_untracked(|groove| ink::count_pulse(&groove.pattern)).as_f64();
        let leaps = page::reduced_motion();
        effects.push(RenderEffect::new(move |_| {
            // With less motion wished for the caret leaps from count to count.
            let heard = self.hearing.caret_tick();
            sheet.point(heard.map(|at| if leaps { (at / pulse).floor() * pulse } else { at }));
        }));
        let grid = grid.clone();
        effects.push(RenderEffect::new(move |_| {
            let next = self.stop.get();
            if let Some(old) = grid.query_selector("[tabindex=\"0\"]").ok().flatten() {
                set(&old, "tabindex", "-1");
            }
            if let Some(new) = next.and_then(|stop| element_of(&grid, stop)) {
                set(&new, "tabindex", "0");
            }
        }));
        StoredValue::new_local(effects);
    }

    fn keep_lane(self, sheet: LaneSheet, signs: Memo<Signs>) -> [RenderEffect<()>; 2] {
        let (id, role) = (sheet.id, sheet.role);
        let groove = self.editor.groove();
        let lane = self.editor.lane(id);
        // What else moves or names strokes.
        let timing = Memo::new(move |_| {
            groove.with(|groove| (groove.tempo, groove.feel.clone(), groove.dynamics, groove.tonic))
        });
        let ringing = self.hearing.lane(id);
        let sheet = Rc::new(RefCell::new(sheet));
        let sounding = sheet.clone();
        let draw = RenderEffect::new(move |_: Option<()>| {
            timing.with(|_| ());
            let decay = self.decay.run(role);
            let silent = self.dimmed.with(|dimmed| dimmed.contains(&id));
            let chosen = self.chosen_lane.get() == Some(id);
            let syllable =
                self.say.with(|say| say.iter().find(|(said, _)| *said == role).map(|(_, said)| said.clone()));
            let (signs, rings, lane) = (signs.read(), self.rings.read(), lane.read());
            let Some(lane) = lane.as_ref() else { return };
            groove.with_untracked(|groove| {
                let mut sheet = sheet.borrow_mut();
                sheet.draw(&View {
                    groove,
                    lane,
                    name: &words::roles::lane(&groove.pattern, id).unwrap_or_default(),
                    decay,
                    magnify: self.magnify.get(),
                    signs: &signs,
                    rings: &rings,
                    syllable: syllable.as_deref(),
                    silent,
                    chosen,
                    stop: self.stop.get_untracked(),
                });
                ringing.with_untracked(|now| sheet.sound(now));
            });
        });
        let sound = RenderEffect::new(move |_: Option<()>| ringing.with(|now| sounding.borrow_mut().sound(now)));
        [draw, sound]
    }
}

/// The place or name an event happened on.
fn stop_of(target: Option<web_sys::EventTarget>) -> Option<Stop> {
    let element: web_sys::Element = target?.dyn_into().ok()?;
    let button = element.closest("button[data-lane]").ok().flatten()?;
    let number = |name: &str| button.get_attribute(name)?.parse::<i64>().ok();
    let lane = LaneId(u16::try_from(number("data-lane")?).ok()?);
    if button.has_attribute("data-name") {
        return Some(Stop::Name(lane));
    }
    Some(Stop::Place(Spot { lane, at: Tick(number("data-at")?) }))
}

/// The button of a place, or the first one with a lane's name.
fn element_of(within: &web_sys::Element, stop: Stop) -> Option<web_sys::HtmlElement> {
    let selector = match stop {
        Stop::Place(spot) => format!("button[data-lane=\"{}\"][data-at=\"{}\"]", spot.lane.0, spot.at.0),
        Stop::Name(lane) => format!("button[data-lane=\"{}\"][data-name]", lane.0),
    };
    within.query_selector(&selector).ok().flatten()?.dyn_into().ok()
}

fn focus_stop(stop: Stop) {
    if let Some(button) = document().document_element().and_then(|page| element_of(&page, stop)) {
        let _ = button.focus();
    }
}

/// Puts the keyboard focus on a place.
pub fn focus_place(spot: Spot) {
    focus_stop(Stop::Place(spot));
}

fn on_key(event: &ev::KeyboardEvent, editor: Editor, stop: Memo<Option<Stop>>) {
    let Some(stop) = stop_of(event.target()).or_else(|| stop.get_untracked()) else { return };
    if event.alt_key() || event.meta_key() {
        return;
    }
    let key = event.key();
    let (control, shift) = (event.ctrl_key(), event.shift_key());
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
            let Stop::Place(spot) = stop else { return };
            let louder = |by: i32| {
                editor.nudge_loudness(spot.lane, spot.at, by);
                editor.end_gesture();
            };
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
    // What gets the focus is chosen by that.
    let next = editor.groove().with_untracked(|groove| navigation::stop(&groove.pattern, stop, movement));
    next.inspect(|&next| focus_stop(next));
}
