//! The elements of a ribbon laid out on a sheet of one width: systems with their drawing and their rows. They are made once
//! a layout; effects then touch what has changed and nothing else, for before every frame some stroke sounds.

use super::fin::{self, Drawing};
use super::ink::{self, Company, PitchLine};
use super::layout::{self, Band, System};
use super::navigation::Stop;
use super::place::{Row, set};
use super::ring::Ring;
use super::sign::Signs;
use crate::rhythm::{Groove, Lane, LaneId, Part, StrokeId, Tick};
use crate::role::Role;
use core::fmt::Write;
use leptos::prelude::document;
use wasm_bindgen::JsCast;
use web_sys::{Element, HtmlElement};

/// A layout of the ribbon and its elements.
pub struct Sheet {
    /// The systems.
    pub systems: Vec<System>,
    /// The lanes, in order.
    pub lanes: Vec<LaneSheet>,
    bands: Vec<Band>,
    rulings: Vec<Element>,
    caret: HtmlElement,
    counts_top: f64,
    height: f64,
}

/// One lane in all systems.
pub struct LaneSheet {
    /// The lane.
    pub id: LaneId,
    /// What it is.
    pub role: Role,
    band: Band,
    systems: Vec<System>,
    rows: Vec<Row>,
    inks: Vec<Ink>,
    drawings: Vec<Drawing>,
    pitches: PitchLine,
    silent: bool,
}

/// The drawing of one lane in one system.
struct Ink {
    still: Element,
    sounding: Element,
    drawn: String,
    sounds: String,
}

/// What a lane is drawn from besides its strokes.
pub struct View<'a> {
    /// The groove.
    pub groove: &'a Groove,
    /// The lane as it is now.
    pub lane: &'a Lane,
    /// Its name.
    pub name: &'a str,
    /// How long its strokes ring, in seconds.
    pub decay: f64,
    /// Whether shifts are drawn larger.
    pub magnify: bool,
    /// Signs of hallmarks.
    pub signs: &'a Signs,
    /// Rings.
    pub rings: &'a [Ring],
    /// What is said under its strokes.
    pub syllable: Option<&'a str>,
    /// Whether it is not heard.
    pub silent: bool,
    /// Whether its name is the chosen one.
    pub chosen: bool,
    /// What the keyboard is at.
    pub stop: Option<Stop>,
}

impl Sheet {
    /// Lays `groove` out in `grid`, which is emptied. `spoken` are the roles with syllables under their lines. `None` if the
    /// browser makes no elements.
    pub fn lay(grid: &HtmlElement, groove: &Groove, width: f64, spoken: &[Role]) -> Option<Sheet> {
        grid.set_text_content(None);
        let pattern = &groove.pattern;
        let heads: Vec<(Role, Tick)> = pattern.lanes().iter().map(|lane| (lane.head.role, lane.head.pulse)).collect();
        let systems = layout::systems(pattern, width);
        let bands = layout::bands(&heads, width, spoken);
        let counts_top = bands.last().map_or(layout::HEAD, |band| band.top + band.height) + 2.0;
        let rows = if ink::has_felt_row(groove) { 2.0 } else { 1.0 };
        let height = counts_top + layout::COUNT * rows + 6.0;
        let lane = |(lane, band): (&Lane, &Band)| LaneSheet {
            id: lane.id,
            role: lane.head.role,
            band: *band,
            systems: systems.clone(),
            rows: Vec::new(),
            inks: Vec::new(),
            drawings: Vec::new(),
            pitches: PitchLine::of(&[]),
            silent: false,
        };
        let mut lanes: Vec<LaneSheet> = pattern.lanes().iter().zip(&bands).map(lane).collect();
        let mut rulings = Vec::new();
        for system in &systems {
            let holder: HtmlElement = document().create_element("div").ok()?.dyn_into().ok()?;
            set(&holder, "class", "system");
            set(&holder, "role", "rowgroup");
            let _ = holder.style().set_property("height", &format!("{height:.0}px"));
            let mut svg = format!(
                "<svg class=\"ink\" aria-hidden=\"true\" width=\"{width:.0}\" height=\"{height:.0}\"><g></g><g>{}</g>",
                ink::counts(groove, system, counts_top)
            );
            for lane in &lanes {
                let _ = write!(svg, "<g class=\"strokes\" data-drawn=\"{}\"></g><path class=\"now\"/>", lane.id.0);
            }
            svg.push_str("</svg>");
            holder.set_inner_html(&svg);
            let mut part = holder.first_element_child()?.first_element_child();
            let mut next = || {
                let this = part.take()?;
                part = this.next_element_sibling();
                Some(this)
            };
            rulings.push(next()?);
            next()?;
            for lane in &mut lanes {
                let (still, sounding) = (next()?, next()?);
                lane.inks.push(Ink { still, sounding, drawn: String::new(), sounds: String::new() });
            }
            for (lane, whole) in lanes.iter_mut().zip(pattern.lanes()) {
                lane.rows.push(Row::new(&holder, *system, lane.id, whole.head.pulse, &lane.band)?);
            }
            grid.append_child(&holder).ok()?;
        }
        let caret: HtmlElement = document().create_element("div").ok()?.dyn_into().ok()?;
        set(&caret, "class", "caret gone");
        set(&caret, "aria-hidden", "true");
        grid.append_child(&caret).ok()?;
        Some(Sheet { systems, lanes, bands, rulings, caret, counts_top, height })
    }

    /// Draws bar lines, beat lines and lines of lanes anew; `strong` are the beats several lanes strike on.
    pub fn rule(&self, groove: &Groove, strong: &[Tick]) {
        for (system, ruling) in self.systems.iter().zip(&self.rulings) {
            ruling.set_inner_html(&ink::ruling(&groove.pattern, system, &self.bands, strong));
        }
    }

    /// Puts the caret over the count at the tick `at`, or away.
    pub fn point(&self, at: Option<f64>) {
        let holds =
            |at: f64| move |(_, system): &(usize, &System)| at >= system.start.as_f64() && at < system.end.as_f64();
        let there = at.and_then(|at| Some((at, self.systems.iter().enumerate().find(holds(at))?)));
        let Some((at, (index, system))) = there else {
            set(&self.caret, "class", "caret gone");
            return;
        };
        let y = self.height * index as f64 + self.counts_top;
        let moved = format!("translate({:.1}px, {y:.1}px)", system.x(at));
        let _ = self.caret.style().set_property("transform", &moved);
        if self.caret.class_name() != "caret" {
            set(&self.caret, "class", "caret");
        }
    }
}

impl LaneSheet {
    /// Draws the lane anew and brings its places up to date.
    pub fn draw(&mut self, view: &View<'_>) {
        let View { groove, lane, silent, .. } = *view;
        self.silent = silent;
        self.drawings = fin::draw(groove, lane, &self.systems, view.decay, view.magnify);
        self.pitches = PitchLine::of(&self.drawings);
        let company = Company { signs: view.signs, rings: view.rings, syllable: view.syllable };
        for ((drawing, ink), (system, row)) in
            self.drawings.iter().zip(&mut self.inks).zip(self.systems.iter().zip(&mut self.rows))
        {
            let strokes = ink::strokes(drawing, lane, &self.band, self.pitches, groove.tonic);
            let strokes = strokes + &ink::company(&company, drawing, lane, system, &self.band);
            if strokes != ink.drawn {
                ink.still.set_inner_html(&strokes);
                ink.drawn = strokes;
            }
            set(&ink.still, "class", if silent { "strokes silent" } else { "strokes" });
            row.call(view.name, silent, view.chosen);
            row.patch(groove, lane, view.name, view.rings, view.stop);
        }
    }

    /// Shows what sounds now, in order. A silent lane keeps its time and shows nothing.
    pub fn sound(&mut self, now: &[(StrokeId, Part)]) {
        let now = if self.silent { &[] } else { now };
        for (drawing, ink) in self.drawings.iter().zip(&mut self.inks) {
            let sounds = ink::sounding(drawing, now, &self.band, self.pitches);
            if sounds != ink.sounds {
                set(&ink.sounding, "d", &sounds);
                ink.sounds = sounds;
            }
        }
    }
}
