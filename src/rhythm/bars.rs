//! Bars put in, taken out, repeated and copied, as edits.
//!
//! Bars count from 0, and a bar past the end counts as the last. What stays keeps its identity, wherever it moves; copies
//! are new strokes.

use super::edit::Edit;
use super::lane::Lane;
use super::pattern::Pattern;
use super::stroke::{Stroke, StrokeId};
use super::units::Tick;

/// The pattern twice over. Does not fit when that would be more than 8 bars.
pub fn repeat(pattern: &Pattern) -> Edit {
    let mut edits = vec![Edit::SetBars(pattern.bars().saturating_mul(2))];
    for lane in pattern.lanes() {
        edits.extend(lane.strokes().iter().map(|stroke| copied(lane, stroke, pattern.length())));
    }
    Edit::Several(edits)
}

/// An empty bar before bar `at`, or after the last one. Does not fit when there are 8 already.
pub fn insert_bar(pattern: &Pattern, at: u8) -> Edit {
    let bar = pattern.metre().bar();
    let from = bar.times(i64::from(at.min(pattern.bars())));
    let length = pattern.length() + bar;
    let mut edits = Vec::new();
    let mut back = Vec::new();
    for lane in pattern.lanes() {
        let mut head = lane.head;
        head.pulse = head.pulse_within(length);
        for stroke in lane.strokes().iter().filter(|stroke| stroke.at >= from) {
            edits.push(Edit::Clear(lane.id, stroke.at));
            let nudge = head.nudge_within(stroke.nudge);
            back.push(Edit::Put(lane.id, Stroke { at: stroke.at + bar, nudge, ..stroke.clone() }));
        }
    }
    edits.push(Edit::SetBars(pattern.bars().saturating_add(1)));
    edits.extend(back);
    Edit::Several(edits)
}

/// Bar `at` taken out with its strokes; what comes after moves up. Does not fit when it is the only one.
pub fn remove_bar(pattern: &Pattern, at: u8) -> Edit {
    let bar = pattern.metre().bar();
    let from = bar.times(i64::from(at.min(pattern.bars().saturating_sub(1))));
    let mut edits = Vec::new();
    for lane in pattern.lanes() {
        let later = || lane.strokes().iter().filter(|stroke| stroke.at >= from);
        edits.extend(later().map(|stroke| Edit::Clear(lane.id, stroke.at)));
        let kept = later().filter(|stroke| stroke.at >= from + bar);
        edits.extend(kept.map(|stroke| Edit::Put(lane.id, Stroke { at: stroke.at - bar, ..stroke.clone() })));
    }
    edits.push(Edit::SetBars(pattern.bars().saturating_sub(1)));
    Edit::Several(edits)
}

/// What stands in bar `from` written into bar `to`, in place of all that stood there.
pub fn copy_bar(pattern: &Pattern, from: u8, to: u8) -> Edit {
    let bar = pattern.metre().bar();
    let last = pattern.bars().saturating_sub(1);
    let start = |index: u8| bar.times(i64::from(index.min(last)));
    let (from, to) = (start(from), start(to));
    if from == to {
        return Edit::Several(Vec::new());
    }
    let mut edits = Vec::new();
    for lane in pattern.lanes() {
        let inside = |start: Tick| lane.strokes().iter().filter(move |s| (start.0..start.0 + bar.0).contains(&s.at.0));
        let overwritten = |at: Tick| lane.at(at - to + from).is_some();
        let gone = inside(to).filter(|stroke| !overwritten(stroke.at));
        edits.extend(gone.map(|stroke| Edit::Clear(lane.id, stroke.at)));
        edits.extend(inside(from).map(|stroke| copied(lane, stroke, to - from)));
    }
    Edit::Several(edits)
}

/// A copy of `stroke` so many ticks later; it takes the identity of the stroke it is written over, if there is one.
fn copied(lane: &Lane, stroke: &Stroke, later: Tick) -> Edit {
    Edit::Put(lane.id, Stroke { id: StrokeId::default(), at: stroke.at + later, ..stroke.clone() })
}
