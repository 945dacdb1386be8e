//! The keyboard stays where it was when an edit takes away what it was on.

use super::ribbon::grid::focus_place;
use super::ribbon::navigation::{Spot, nearest};
use crate::rhythm::Pattern;
use crate::session::editor::Editor;
use core::time::Duration;
use leptos::prelude::*;

/// The place of `pattern` nearest to `spot`: in its lane, or in the one that stands at `row` now; `None` without lanes.
fn still_there(pattern: &Pattern, spot: Spot, row: usize) -> Option<Spot> {
    let lanes = pattern.lanes();
    let lane = pattern.lane(spot.lane).or_else(|| lanes.get(row)).or(lanes.last())?;
    Some(Spot { lane: lane.id, at: nearest(lane, pattern.length(), spot.at) })
}

/// After every edit: the chosen place is one that is there, and if what had the focus is gone, that place gets it.
pub fn keep_focus(editor: Editor, chosen: RwSignal<Option<Spot>>) {
    let row = StoredValue::new(0_usize);
    Effect::new(move |_| {
        if let Some(spot) = chosen.get() {
            let at = editor.groove().with_untracked(|groove| groove.pattern.lane_index(spot.lane));
            row.update_value(|row| *row = at.unwrap_or(*row));
        }
    });
    Effect::new(move |before: Option<()>| {
        // Read, not only tracked: a memo nobody reads tells nothing.
        editor.groove().with(|_| ());
        let Some(spot) = chosen.get_untracked().filter(|_| before.is_some()) else { return };
        let next = editor.groove().with_untracked(|groove| {
            row.update_value(|row| *row = groove.pattern.lane_index(spot.lane).unwrap_or(*row));
            still_there(&groove.pattern, spot, row.get_value())
        });
        if next != Some(spot) {
            chosen.set(next);
        }
        // When the page has been changed: what is gone has lost the focus by then.
        let look = move || {
            let document = document();
            let lost = document.active_element().is_none_or(|element| element.tag_name() == "BODY");
            if let (true, Some(Some(spot))) = (lost, chosen.try_get_untracked()) {
                focus_place(spot);
            }
        };
        set_timeout(look, Duration::ZERO);
    });
}
