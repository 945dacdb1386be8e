//! The difference of two grooves, told in single edits: what a learner's own version has against a stage, or how to get
//! from one stage to the next while it plays.

use super::edit::{Edit, EditError};
use super::groove::Groove;
use super::lane::{Lane, LaneHead, LaneId};
use super::stroke::{Stroke, StrokeId};

/// The fewest single edits that make `to` of `from`; none where they are equal.
///
/// A lane is the same lane if identity and role agree, else if the role does (the first such lane not yet taken). What
/// stays keeps the identities of `from`: lanes, and strokes on the same place of a lane. New lanes bring those of `to`,
/// unless another lane of `from` has them. Strokes on other places come and go. A change of metre or of the number of
/// bars comes first and may leave nothing where it was.
pub fn edits_between(from: &Groove, to: &Groove) -> Vec<Edit> {
    // Lanes of one role may have changed their identities between them, which is no change.
    if from == to {
        return Vec::new();
    }
    let mut row = Row { groove: from.clone(), edits: Vec::new() };
    match row.walk(to) {
        Ok(()) => row.edits,
        // Both are grooves, so every edit fits; a whole groove in place of one that did not is still true.
        Err(_) => vec![Edit::Restore(Box::new(to.clone()))],
    }
}

/// A row of edits, and the groove it has led to so far.
struct Row {
    groove: Groove,
    edits: Vec<Edit>,
}

impl Row {
    fn push(&mut self, edit: Edit) -> Result<(), EditError> {
        self.groove.apply(&edit)?;
        self.edits.push(edit);
        Ok(())
    }

    fn walk(&mut self, to: &Groove) -> Result<(), EditError> {
        if self.groove.pattern.metre() != to.pattern.metre() {
            self.push(Edit::SetMetre(to.pattern.metre().clone()))?;
        }
        if self.groove.pattern.bars() != to.pattern.bars() {
            self.push(Edit::SetBars(to.pattern.bars()))?;
        }
        if self.groove.tempo != to.tempo {
            self.push(Edit::SetTempo(to.tempo))?;
        }
        if self.groove.feel != to.feel {
            self.push(Edit::SetFeel(to.feel.clone()))?;
        }
        if self.groove.dynamics != to.dynamics {
            self.push(Edit::SetDynamics(to.dynamics))?;
        }
        if self.groove.tonic != to.tonic {
            self.push(Edit::SetTonic(to.tonic))?;
        }
        if self.groove.sound != to.sound {
            self.push(Edit::SetSound(to.sound.clone()))?;
        }
        let matched = matched(self.groove.pattern.lanes(), to.pattern.lanes());
        let gone: Vec<LaneId> = self.groove.pattern.lanes().iter().map(|lane| lane.id).collect();
        for &id in gone.iter().filter(|id| !matched.contains(&Some(**id))) {
            self.push(Edit::RemoveLane(id))?;
        }
        for (lane, id) in to.pattern.lanes().iter().zip(&matched) {
            if let Some(id) = id {
                self.strokes(*id, lane)?;
            }
        }
        self.places(to, &matched, &gone)
    }

    /// Makes the lane `id` the same as `to`.
    fn strokes(&mut self, id: LaneId, to: &Lane) -> Result<(), EditError> {
        let Some(old) = self.groove.pattern.lane(id).cloned() else { return Err(EditError::NoLane(id)) };
        // A nudge that the new pulse has no room for has to go before the pulse comes.
        let fits = |stroke: &Stroke, head: &LaneHead| 2 * stroke.nudge.0.abs() < head.pulse.0;
        let stays = |stroke: &Stroke| to.at(stroke.at).is_some() && fits(stroke, &to.head);
        for stroke in old.strokes().iter().filter(|stroke| !stays(stroke)) {
            self.push(Edit::Clear(id, stroke.at))?;
        }
        if old.head != to.head {
            self.push(Edit::SetHead(id, to.head))?;
        }
        for stroke in to.strokes().iter().filter(|stroke| old.at(stroke.at) != Some(*stroke)) {
            let same = old.at(stroke.at).map_or(StrokeId::default(), |old| old.id);
            self.push(Edit::Put(id, Stroke { id: same, ..stroke.clone() }))?;
        }
        Ok(())
    }

    /// Puts new lanes in and every lane in its place, moving as few as can be.
    fn places(&mut self, to: &Groove, matched: &[Option<LaneId>], taken: &[LaneId]) -> Result<(), EditError> {
        let order: Vec<usize> = matched
            .iter()
            .map(|id| id.and_then(|id| self.groove.pattern.lane_index(id)).unwrap_or(usize::MAX))
            .collect();
        let resting = longest_rising(&order);
        let mut before: Option<LaneId> = None;
        for (index, (lane, id)) in to.pattern.lanes().iter().zip(matched).enumerate() {
            let after =
                |row: &Row| before.and_then(|id| row.groove.pattern.lane_index(id)).map_or(0, |place| place + 1);
            let here = match id {
                Some(id) if resting.contains(&index) => *id,
                Some(id) => {
                    let place = after(self);
                    let own = self.groove.pattern.lane_index(*id).unwrap_or(place);
                    // Taking it out moves what stands below it up by one.
                    self.push(Edit::MoveLane(*id, if own < place { place - 1 } else { place }))?;
                    *id
                }
                None => {
                    let place = after(self);
                    let mut lane = lane.clone();
                    if taken.contains(&lane.id) || self.groove.pattern.lane(lane.id).is_some() {
                        lane.id = LaneId::default();
                    }
                    self.push(Edit::AddLane(place, lane))?;
                    let added = self.groove.pattern.lanes().get(place).map(|lane| lane.id);
                    added.ok_or(EditError::NoLane(LaneId::default()))?
                }
            };
            before = Some(here);
        }
        Ok(())
    }
}

/// For each lane of `to` the lane of `from` that it is.
fn matched(from: &[Lane], to: &[Lane]) -> Vec<Option<LaneId>> {
    let same = |a: &Lane, b: &Lane| a.id == b.id && a.head.role == b.head.role;
    let mut matched: Vec<Option<LaneId>> =
        to.iter().map(|lane| from.iter().find(|old| same(old, lane)).map(|old| old.id)).collect();
    for (index, lane) in to.iter().enumerate() {
        if matched[index].is_none() {
            let free = |old: &&Lane| old.head.role == lane.head.role && !matched.contains(&Some(old.id));
            matched[index] = from.iter().find(free).map(|old| old.id);
        }
    }
    matched
}

/// The places of a longest rising row among `order`, from first to last; `usize::MAX` belongs to none.
fn longest_rising(order: &[usize]) -> Vec<usize> {
    let mut best: Vec<Vec<usize>> = Vec::with_capacity(order.len());
    for (index, &value) in order.iter().enumerate() {
        let lower = (0..index).filter(|&earlier| order[earlier] < value).map(|earlier| &best[earlier]);
        let mut row = lower.max_by_key(|row| row.len()).cloned().unwrap_or_default();
        if value != usize::MAX {
            row.push(index);
        } else {
            row.clear();
        }
        best.push(row);
    }
    best.into_iter().max_by_key(Vec::len).unwrap_or_default()
}
