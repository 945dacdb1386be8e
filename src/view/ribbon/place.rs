//! The places of one lane in one system: a row of toggle buttons over the drawing.

use super::layout::System;
use super::navigation::Spot;
use crate::rhythm::{Groove, Lane, LaneId, Tick};
use crate::session::editor::Editor;
use crate::words;
use leptos::prelude::*;

/// How far left of its place a control begins, as a share of the pulse: a fin stands at the place and falls to the right.
const BEFORE: f64 = 0.35;
/// The smallest control, in pixels.
const SMALLEST: f64 = 24.0;

/// What the rows of a ribbon share.
#[derive(Clone)]
pub struct Rows {
    /// The groove being shown.
    pub editor: Editor,
    /// Which place has the grid's one tab stop.
    pub tab_stop: Selector<Option<Spot>>,
}

fn px(value: f64) -> String {
    format!("{value:.2}px")
}

/// The places of `lane` inside `system`, drawn at `top` in a band of `height` pixels.
#[component]
pub fn LaneRow(
    rows: Rows,
    groove: StoredValue<Groove>,
    lane_id: LaneId,
    system: System,
    top: f64,
    height: f64,
) -> impl IntoView {
    let lane = rows.editor.lane(lane_id);
    let (name, pulse) = groove.with_value(|groove| {
        let name = words::roles::lane(&groove.pattern, lane_id).unwrap_or_default();
        (name, groove.pattern.lane(lane_id).map_or(Tick::SIXTEENTH, |lane| lane.head.pulse))
    });
    let pulses = system.start.0.div_euclid(pulse.0) * pulse.0;
    let regular = (pulses..system.end.0).step_by(pulse.0.max(1) as usize).map(Tick).filter(|&at| system.holds(at));
    let cell_width = (pulse.as_f64() * system.scale).max(SMALLEST);
    let tab_stop = rows.tab_stop;
    let cell = {
        let name = name.clone();
        move |at: Tick, left: f64, width: f64| {
            let label = groove.with_value(|groove| spoken(groove, &lane, lane_id, &name, at));
            let spot = Some(Spot { lane: lane_id, at });
            let tab_stop = tab_stop.clone();
            view! {
                <div role="gridcell" class="place" style:left=px(left) style:width=px(width)>
                    <button
                        type="button"
                        aria-label=label
                        aria-pressed=move || if lane.with(|lane| stroke_at(lane, at)) { "true" } else { "false" }
                        aria-description=move || lane.with(|lane| described(groove, lane, at))
                        tabindex=move || if tab_stop.selected(&spot) { "0" } else { "-1" }
                        data-lane=lane_id.0.to_string()
                        data-at=at.0.to_string()
                    ></button>
                </div>
            }
        }
    };
    let regular_cell = cell.clone();
    let regular =
        regular.map(|at| regular_cell(at, system.x(at.as_f64()) - cell_width * BEFORE, cell_width)).collect_view();
    let odd = move || {
        let strokes = lane.get();
        let strokes = strokes.iter().flat_map(|lane| lane.strokes());
        strokes.map(|stroke| stroke.at).filter(|at| at.0 % pulse.0 != 0 && system.holds(*at)).collect::<Vec<_>>()
    };
    let odd_cell = move |at: Tick| cell(at, system.x(at.as_f64()) - SMALLEST / 2.0, SMALLEST);
    view! {
        <div role="row" class="lane" style:top=px(top) style:height=px(height)>
            <span role="rowheader" class="lane-name">{name}</span>
            {regular}
            <For each=odd key=|at| *at let(at)>{odd_cell(at)}</For>
        </div>
    }
}

fn stroke_at(lane: &Option<Lane>, at: Tick) -> bool {
    lane.as_ref().is_some_and(|lane| lane.at(at).is_some())
}

fn described(groove: StoredValue<Groove>, lane: &Option<Lane>, at: Tick) -> Option<String> {
    let stroke = lane.as_ref()?.at(at)?;
    let role = lane.as_ref()?.head.role;
    groove.with_value(|groove| Some(words::strokes::stroke(stroke, role, groove)))
}

/// The spoken name of a place: that of the lane as it is now, so that strokes off the pulse know their neighbours.
fn spoken(groove: &Groove, lane: &Memo<Option<Lane>>, id: LaneId, name: &str, at: Tick) -> String {
    lane.with_untracked(|lane| match lane.as_ref().or_else(|| groove.pattern.lane(id)) {
        Some(lane) => format!("{name}, {}", words::places::place(&groove.pattern, lane, at)),
        None => name.to_owned(),
    })
}
