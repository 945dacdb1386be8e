//! The places of one lane in one system: a row of toggle buttons over the drawing, patched only where something changed.
//!
//! A large groove has thousands of places, and each edit touches one or two. They are plain elements, made once; the
//! strokes off the pulse come and go between them.

use super::layout::{BEFORE, Band, System};
use super::navigation::{self, Stop};
use super::ring::Ring;
use crate::rhythm::{Groove, Lane, LaneId, Tick};
use crate::view::aria;
use crate::words;
use leptos::prelude::document;
use wasm_bindgen::JsCast;
use web_sys::{Element, HtmlElement};

/// The smallest control, in pixels.
const SMALLEST: f64 = 24.0;

/// What a place says.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
struct Told {
    pressed: bool,
    description: String,
}

struct Cell {
    at: Tick,
    holder: HtmlElement,
    button: Element,
    label: String,
    told: Told,
}

/// The row of one lane in one system.
pub struct Row {
    row: HtmlElement,
    name: Element,
    template: HtmlElement,
    system: System,
    lane: LaneId,
    pulse: Tick,
    cells: Vec<Cell>,
}

fn element(tag: &str, class: &str, role: &str) -> Option<HtmlElement> {
    let element: HtmlElement = document().create_element(tag).ok()?.dyn_into().ok()?;
    set(&element, "class", class);
    if !role.is_empty() {
        set(&element, "role", role);
    }
    Some(element)
}

/// Sets an attribute; no attribute name of ours can be refused.
pub fn set(element: &Element, name: &str, value: &str) {
    let _ = element.set_attribute(name, value);
}

fn style(element: &HtmlElement, name: &str, pixels: f64) {
    let _ = element.style().set_property(name, &format!("{pixels:.3}px"));
}

impl Row {
    /// The row of a lane in `band` of `system`, still without places, at the end of `holder`. `None` if the browser makes no
    /// elements.
    pub fn new(holder: &Element, system: System, lane: LaneId, pulse: Tick, band: &Band) -> Option<Row> {
        let row = element("div", if band.name > 0.0 { "lane over" } else { "lane" }, "row")?;
        style(&row, "top", band.top);
        style(&row, "height", band.height);
        let width = pulse.as_f64() * system.scale;
        let first = (system.start.0 + pulse.0 - 1).div_euclid(pulse.0) * pulse.0;
        style(&row, "--places", system.x(first as f64) - width * BEFORE);
        style(&row, "--place", width);
        let _ = row.style().set_property("--name", &format!("{:.0}px", band.name));
        let _ = row.style().set_property("--base", &format!("{:.0}px", band.top + band.height - band.base));
        let header = element("div", "lane-name", "rowheader")?;
        let name = element("button", "", "")?;
        let number = lane.0.to_string();
        for (attribute, value) in [
            ("type", "button"),
            ("tabindex", "-1"),
            ("data-lane", &number),
            ("data-name", ""),
            ("aria-description", words::ribbon::LANE),
        ] {
            set(&name, attribute, value);
        }
        header.append_child(&name).ok()?;
        row.append_child(&header).ok()?;
        holder.append_child(&row).ok()?;
        let template = element("div", "place", "gridcell")?;
        let button = element("button", "", "")?;
        for (attribute, value) in
            [("type", "button"), ("aria-pressed", "false"), ("tabindex", "-1"), ("data-lane", &number)]
        {
            set(&button, attribute, value);
        }
        template.append_child(&button).ok()?;
        Some(Row { row, name: name.into(), template, system, lane, pulse, cells: Vec::new() })
    }

    /// Puts the lane's name and whether it is silent.
    pub fn call(&self, name: &str, silent: bool, chosen: bool) {
        self.name.set_text_content(Some(name));
        let spoken = if silent { words::ribbon::silent(name) } else { name.to_owned() };
        set(&self.name, "aria-label", &spoken);
        set(&self.name, "class", if silent { "silent" } else { "" });
        set(&self.name, "aria-current", aria::state(chosen));
    }

    /// Brings the places up to date with `lane` of `groove`, called `name`. `stop` is the place the keyboard is at.
    pub fn patch(&mut self, groove: &Groove, lane: &Lane, name: &str, rings: &[Ring], stop: Option<Stop>) {
        let wanted: Vec<Tick> =
            navigation::places(lane, groove.pattern.length()).into_iter().filter(|&at| self.system.holds(at)).collect();
        let active = document().active_element();
        let mut lost = None;
        self.cells.retain(|cell| {
            let stays = wanted.binary_search(&cell.at).is_ok();
            if !stays {
                if active.as_ref() == Some(&cell.button) {
                    lost = Some(cell.at);
                }
                cell.holder.remove();
            }
            stays
        });
        for (index, &at) in wanted.iter().enumerate() {
            let there = self.cells.get(index).is_some_and(|cell| cell.at == at);
            if !there {
                let Some(cell) = self.cell(at, index) else { continue };
                let is_stop = matches!(stop, Some(Stop::Place(spot)) if spot.lane == self.lane && spot.at == at);
                if is_stop {
                    set(&cell.button, "tabindex", "0");
                }
                self.cells.insert(index, cell);
            }
            let on_pulse = at.0 % self.pulse.0 == 0;
            let Some(cell) = self.cells.get_mut(index) else { continue };
            // On the pulse a place keeps its name; off it the name tells the neighbours apart.
            if cell.label.is_empty() || !on_pulse {
                let label = format!("{name}, {}", words::places::place(&groove.pattern, lane, at));
                if label != cell.label {
                    set(&cell.button, "aria-label", &label);
                    cell.label = label;
                }
            }
            cell.tell(Told::of(groove, lane, rings, at));
        }
        // The keyboard stays at the nearest place when its own goes away.
        if let Some(lost) = lost {
            let nearest = self.cells.iter().min_by_key(|cell| (cell.at.0 - lost.0).abs());
            let button = nearest.and_then(|cell| cell.button.dyn_ref::<HtmlElement>());
            let _ = button.map(HtmlElement::focus);
        }
    }

    /// A new place before the one that is number `index` now.
    fn cell(&self, at: Tick, index: usize) -> Option<Cell> {
        let holder: HtmlElement = self.template.clone_node_with_deep(true).ok()?.dyn_into().ok()?;
        let button = holder.first_element_child()?;
        let pulse = self.pulse.as_f64() * self.system.scale;
        let number = at.0.div_euclid(self.pulse.0);
        // Places on the pulse stand in a row; what overlaps them is set upon them.
        let apart = if at.0 % self.pulse.0 != 0 {
            Some(("place off", SMALLEST / 2.0))
        } else if pulse < SMALLEST - 0.01 {
            // Finer pulses than a control is wide take turns above and below each other.
            Some((if number % 2 == 0 { "place upper" } else { "place lower" }, pulse * BEFORE))
        } else {
            None
        };
        if let Some((class, before)) = apart {
            set(&holder, "class", class);
            style(&holder, "left", self.system.x(at.as_f64()) - before);
        }
        set(&button, "data-at", &at.0.to_string());
        let before = self.cells.get(index).map(|cell| cell.holder.clone().into());
        self.row.insert_before(&holder, before.as_ref()).ok()?;
        Some(Cell { at, holder, button, label: String::new(), told: Told::default() })
    }
}

impl Told {
    fn of(groove: &Groove, lane: &Lane, rings: &[Ring], at: Tick) -> Told {
        let stroke = lane.at(at);
        let mut description =
            stroke.map(|stroke| words::strokes::stroke(stroke, lane.head.role, groove)).unwrap_or_default();
        for ring in rings.iter().filter(|ring| ring.lane == lane.id && ring.at == at) {
            if !description.is_empty() {
                description.push_str(", ");
            }
            description.push_str(ring.kind.word());
        }
        Told { pressed: stroke.is_some(), description }
    }
}

impl Cell {
    fn tell(&mut self, told: Told) {
        if told.pressed != self.told.pressed {
            set(&self.button, "aria-pressed", aria::state(told.pressed));
        }
        if told.description != self.told.description {
            if told.description.is_empty() {
                let _ = self.button.remove_attribute("aria-description");
            } else {
                set(&self.button, "aria-description", &told.description);
            }
        }
        self.told = told;
    }
}
