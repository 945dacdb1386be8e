//! The parts of a groove changed stroke by stroke into those of another, over the same bars.

use super::costs::{LEAN, LOUDNESS, ORNAMENT, PULSE, ROLE, STROKE, SWINGS, lane as whole_lane, moved, way};
use super::{Change, Row};
use crate::measure::polyphonic_distance::role_weight;
use crate::rhythm::{Edit, EditError, Groove, Lane, LaneHead, LaneId, Stroke, StrokeId, Tick};
use crate::style::contrast::pairing;

/// One edit that has still to be made, in a lane of the groove.
enum Open {
    /// Takes the lane on this head, all but what may be left out.
    Head(LaneHead),
    Goes(StrokeId),
    Comes(Stroke),
    Moves(StrokeId, Tick),
    Loudness(StrokeId, Stroke),
    Ornament(StrokeId, Stroke),
}

impl Row {
    /// Makes the lanes those of `to`.
    pub(super) fn parts(&mut self, to: &Groove) -> Result<(), EditError> {
        let own = self.groove.pattern.lanes().to_vec();
        let theirs = to.pattern.lanes();
        let length = to.pattern.length();
        let mut pairs = pairing::lanes((&own, theirs), &|lane, _| pairing::written(lane), length);
        // What tells most first; of equal weight the lowest on the sheet, where the beat is.
        let rank = |lane: &Lane| (-(role_weight(lane.head.role) * 100.0) as i64, -(lane.head.role.score_rank() as i64));
        pairs.sort_by_key(|&(x, y)| y.and_then(|y| theirs.get(y)).or(x.and_then(|x| own.get(x))).map(rank));
        // The lane of the groove that each lane of `to` has become.
        let mut became: Vec<Option<LaneId>> = vec![None; theirs.len()];
        for (x, y) in &pairs {
            if let (Some(lane), Some(slot)) = (x.and_then(|x| own.get(x)), y.and_then(|y| became.get_mut(y))) {
                *slot = Some(lane.id);
            }
        }
        // Those that go make room before any comes: a groove has so many lanes and no more.
        let full = own.len().max(theirs.len()) >= crate::rhythm::pattern::MAX_LANES;
        if full {
            pairs.sort_by_key(|&(_, y)| y.is_some());
        }
        for (x, y) in pairs {
            match (x.and_then(|x| own.get(x)), y.and_then(|at| Some((at, theirs.get(at)?)))) {
                (Some(lane), None) => {
                    let change = Change::PartGoes { role: lane.head.role };
                    self.push(change, Edit::RemoveLane(lane.id), whole_lane(lane))?;
                }
                (Some(lane), Some((_, other))) => self.lane_becomes(lane, other, length)?,
                (None, Some((at, other))) => {
                    let id = self.comes(other, at, &became)?;
                    if let Some(slot) = became.get_mut(at) {
                        *slot = Some(id);
                    }
                }
                (None, None) => {}
            }
        }
        self.written(to, &became)
    }

    /// Puts a new lane in, under the nearest lane above it that is there already.
    fn comes(&mut self, lane: &Lane, at: usize, became: &[Option<LaneId>]) -> Result<LaneId, EditError> {
        let above = became.iter().take(at).rev().flatten().find_map(|&id| self.groove.pattern.lane_index(id));
        let place = above.map_or(0, |above| above + 1);
        let new = Lane::with_strokes(lane.head, lane.strokes().to_vec());
        let places = lane.strokes().iter().map(|stroke| stroke.at).collect();
        let change = Change::PartComes { role: lane.head.role, at: places };
        self.push(change, Edit::AddLane(place, new), whole_lane(lane))?;
        let added = self.groove.pattern.lanes().get(place).map(|lane| lane.id);
        added.ok_or(EditError::NoLane(LaneId::default()))
    }

    /// Order and what may be left out, in one edit that costs nothing.
    fn written(&mut self, to: &Groove, became: &[Option<LaneId>]) -> Result<(), EditError> {
        let mut edits = Vec::new();
        let mut tried = self.groove.clone();
        for (at, (other, id)) in to.pattern.lanes().iter().zip(became).enumerate() {
            let Some(id) = *id else { continue };
            if tried.pattern.lane_index(id) != Some(at) {
                edits.push(Edit::MoveLane(id, at));
                tried.apply(&Edit::MoveLane(id, at))?;
            }
            if tried.pattern.lane(id).is_some_and(|lane| lane.head != other.head) {
                edits.push(Edit::SetHead(id, other.head));
            }
        }
        match edits.len() {
            0 => Ok(()),
            1 => edits.pop().map_or(Ok(()), |edit| self.push(Change::Written, edit, 0)),
            _ => self.push(Change::Written, Edit::Several(edits), 0),
        }
    }

    /// Makes the lane `own` the same as `other` but for what may be left out.
    fn lane_becomes(&mut self, own: &Lane, other: &Lane, length: Tick) -> Result<(), EditError> {
        let mut open = heads(own.head, other.head);
        open.extend(strokes(own, other, length));
        // Each as soon as it can be: some wait until a place is left, or a nudge has room.
        while !open.is_empty() {
            let next = open.iter().position(|open| self.can(own.id, open));
            let next = next.ok_or(EditError::NoLane(own.id))?;
            self.make(own.id, open.remove(next))?;
        }
        Ok(())
    }

    /// Whether an edit fits now.
    fn can(&self, id: LaneId, open: &Open) -> bool {
        let Some(lane) = self.groove.pattern.lane(id) else { return false };
        let room = |stroke: &Stroke| 2 * stroke.nudge.0.abs() < lane.head.pulse.0;
        match open {
            Open::Head(head) => lane.strokes().iter().all(|stroke| 2 * stroke.nudge.0.abs() < head.pulse.0),
            Open::Goes(_) | Open::Loudness(..) => true,
            Open::Comes(stroke) => room(stroke) && lane.at(stroke.at).is_none(),
            Open::Moves(_, to) => lane.at(*to).is_none(),
            Open::Ornament(_, like) => room(like),
        }
    }

    fn make(&mut self, id: LaneId, open: Open) -> Result<(), EditError> {
        let lane = self.lane(id)?;
        let (role, head) = (lane.head.role, lane.head);
        let found = |stroke: StrokeId| lane.by_id(stroke).cloned().ok_or(EditError::NoLane(id));
        match open {
            Open::Head(to) => {
                let (change, cost, head) = if to.role != head.role {
                    (Change::Role { from: role, to: to.role }, ROLE, LaneHead { role: to.role, ..head })
                } else if to.lean != head.lean {
                    (Change::Lean { role, from: head.lean, to: to.lean }, LEAN, LaneHead { lean: to.lean, ..head })
                } else if to.swings != head.swings {
                    (Change::Swings { role, to: to.swings }, SWINGS, LaneHead { swings: to.swings, ..head })
                } else {
                    (Change::Pulse { role, to: to.pulse }, PULSE, LaneHead { pulse: to.pulse, ..head })
                };
                self.push(change, Edit::SetHead(id, head), cost)
            }
            Open::Goes(stroke) => {
                let at = found(stroke)?.at;
                self.push(Change::StrokeGoes { role, at }, Edit::Clear(id, at), STROKE)
            }
            Open::Comes(stroke) => {
                let at = stroke.at;
                self.push(Change::StrokeComes { role, at }, Edit::Put(id, stroke), STROKE)
            }
            Open::Moves(stroke, to) => {
                let stroke = found(stroke)?;
                let from = stroke.at;
                let cost = moved(way(from, to, self.groove.pattern.length())).unwrap_or(2 * STROKE);
                let edits = vec![Edit::Clear(id, from), Edit::Put(id, Stroke { at: to, ..stroke })];
                self.push(Change::StrokeMoves { role, from, to }, Edit::Several(edits), cost)
            }
            Open::Loudness(stroke, like) => {
                let stroke = found(stroke)?;
                let (at, from, to) = (stroke.at, stroke.loudness, like.loudness);
                self.push(Change::Loudness { role, at, from, to }, Edit::Put(id, stroke.with_loudness(to)), LOUDNESS)
            }
            Open::Ornament(stroke, like) => {
                let stroke = found(stroke)?;
                let (at, loudness) = (stroke.at, stroke.loudness);
                let ornamented = Stroke { id: stroke.id, at, loudness, ..like };
                self.push(Change::Ornament { role, at }, Edit::Put(id, ornamented), ORNAMENT)
            }
        }
    }
}

/// The edits of a head, one thing each. Each names the head with what came before it.
fn heads(own: LaneHead, other: LaneHead) -> Vec<Open> {
    let mut open = Vec::new();
    let mut head = own;
    let mut take = |differs: bool, next: LaneHead| {
        if differs {
            open.push(Open::Head(next));
        }
        next
    };
    head = take(own.role != other.role, LaneHead { role: other.role, ..head });
    head = take(own.lean != other.lean, LaneHead { lean: other.lean, ..head });
    head = take(own.swings != other.swings, LaneHead { swings: other.swings, ..head });
    take(own.pulse != other.pulse, LaneHead { pulse: other.pulse, ..head });
    open
}

/// The edits of a lane's strokes, from beat 1 on.
fn strokes(own: &Lane, other: &Lane, length: Tick) -> Vec<Open> {
    let mut open = Vec::new();
    let (pairs, _) = pairing::strokes(&pairing::written(own), &pairing::written(other), length);
    for (x, y) in pairs {
        match (x.and_then(|x| own.strokes().get(x)), y.and_then(|y| other.strokes().get(y))) {
            (Some(x), None) => open.push(Open::Goes(x.id)),
            (None, Some(y)) => open.push(Open::Comes(Stroke { id: StrokeId::default(), ..y.clone() })),
            (Some(x), Some(y)) => {
                if x.at != y.at {
                    open.push(Open::Moves(x.id, y.at));
                }
                if x.loudness != y.loudness {
                    open.push(Open::Loudness(x.id, y.clone()));
                }
                if !x.is_ornamented_as(y) {
                    open.push(Open::Ornament(x.id, y.clone()));
                }
            }
            (None, None) => {}
        }
    }
    open
}
