//! The edit language: every change of a groove, and its exact undoing.
//!
//! Stages, foils, swaps, crossings and undo all speak it. Applying an edit gives the edit that takes it back; a list of
//! edits is undone by the inverses in reverse. An edit that does not fit leaves the groove as it was.

use super::feel::Feel;
use super::groove::{Groove, Sound, TapeSpeed, Tonic};
use super::lane::{Lane, LaneHead, LaneId};
use super::metre::Metre;
use super::pattern::{Pattern, PatternError};
use super::stroke::{Dynamics, Stroke, StrokeId};
use super::tempo::Tempo;
use super::units::{Bpm, Tick};
use core::fmt;

/// One change of a groove.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Edit {
    /// Puts a stroke on its tick in a lane, in place of what stood there.
    Put(LaneId, Stroke),
    /// Takes the stroke on a tick of a lane away; nothing happens where there is none.
    Clear(LaneId, Tick),
    /// Puts a lane in at a place from the top.
    AddLane(usize, Lane),
    /// Takes a lane out.
    RemoveLane(LaneId),
    /// Moves a lane to another place from the top.
    MoveLane(LaneId, usize),
    /// Changes how a lane is written: role, pulse, lean ...
    SetHead(LaneId, LaneHead),
    /// Changes tempo, count unit or felt pulse.
    SetTempo(Tempo),
    /// Changes the feel.
    SetFeel(Feel),
    /// Changes what an accent, a plain stroke and a ghost note stand for; strokes keep their loudness.
    SetDynamics(Dynamics),
    /// Changes what pitches are counted from.
    SetTonic(Tonic),
    /// Changes kit, tone or tape speed.
    SetSound(Sound),
    /// Changes the number of bars: new ones are empty, strokes in bars that go are lost.
    SetBars(u8),
    /// Changes the metre: strokes keep their bar and their distance from its first beat, those past its end are lost.
    SetMetre(Metre),
    /// Plays the tape faster or slower: tempo, pitch and decay together, by this many thousandths (1000 changes nothing).
    Tape(u16),
    /// Cuts the pattern into slices of this length and plays them in another order: the entry at each place says which
    /// slice (from 0) is heard there. A slice may come back or be left out.
    Recut(Tick, Vec<u8>),
    /// Several edits as one; all or none.
    Several(Vec<Edit>),
    /// Puts a whole groove in place; what the inverses of the large edits are.
    Restore(Box<Groove>),
}

/// Why an edit does not fit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum EditError {
    /// The pattern has no such lane.
    NoLane(LaneId),
    /// The result would be no pattern.
    Pattern(PatternError),
    /// The tempo would leave 20 to 400 BPM.
    Tempo,
    /// The tape speed would leave a quarter to four times.
    TapeSpeed,
    /// The slices are not whole eighths or quarters that fill the pattern, or their order names one that is not there.
    Slices,
}

impl fmt::Display for EditError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            EditError::NoLane(_) => f.write_str("there is no such lane"),
            EditError::Pattern(error) => error.fmt(f),
            EditError::Tempo => f.write_str("a tempo is 20 to 400 BPM"),
            EditError::TapeSpeed => f.write_str("a tape runs at a quarter to four times its speed"),
            EditError::Slices => f.write_str("slices are eighths or quarters that fill the pattern"),
        }
    }
}

impl From<PatternError> for EditError {
    fn from(error: PatternError) -> EditError {
        EditError::Pattern(error)
    }
}

impl Groove {
    /// Applies `edit` and returns the edit that takes it back. On an error the groove is as it was.
    pub fn apply(&mut self, edit: &Edit) -> Result<Edit, EditError> {
        match edit {
            Edit::Put(id, stroke) => {
                let old = self.pattern.change(*id, |lane| lane.put(stroke.clone())).ok_or(EditError::NoLane(*id))??;
                Ok(old.map_or(Edit::Clear(*id, stroke.at), |old| Edit::Put(*id, old)))
            }
            Edit::Clear(id, at) => {
                let old = self.pattern.change(*id, |lane| lane.take(*at)).ok_or(EditError::NoLane(*id))??;
                Ok(old.map_or(Edit::Several(Vec::new()), |old| Edit::Put(*id, old)))
            }
            Edit::AddLane(index, lane) => Ok(Edit::RemoveLane(self.pattern.insert(*index, lane.clone())?)),
            Edit::RemoveLane(id) => {
                let index = self.pattern.lane_index(*id).ok_or(EditError::NoLane(*id))?;
                let lane = self.pattern.remove(index).ok_or(EditError::NoLane(*id))?;
                Ok(Edit::AddLane(index, lane))
            }
            Edit::MoveLane(id, to) => {
                let from = self.pattern.lane_index(*id).ok_or(EditError::NoLane(*id))?;
                let lane = self.pattern.remove(from).ok_or(EditError::NoLane(*id))?;
                self.pattern.insert(*to, lane)?;
                Ok(Edit::MoveLane(*id, from))
            }
            Edit::SetHead(id, head) => {
                let swap = |lane: &mut Lane| core::mem::replace(&mut lane.head, *head);
                let old = self.pattern.change(*id, swap).ok_or(EditError::NoLane(*id))??;
                Ok(Edit::SetHead(*id, old))
            }
            Edit::SetTempo(tempo) => Ok(Edit::SetTempo(core::mem::replace(&mut self.tempo, *tempo))),
            Edit::SetFeel(feel) => Ok(Edit::SetFeel(core::mem::replace(&mut self.feel, feel.clone()))),
            Edit::SetDynamics(new) => Ok(Edit::SetDynamics(core::mem::replace(&mut self.dynamics, *new))),
            Edit::SetTonic(tonic) => Ok(Edit::SetTonic(core::mem::replace(&mut self.tonic, *tonic))),
            Edit::SetSound(sound) => Ok(Edit::SetSound(core::mem::replace(&mut self.sound, sound.clone()))),
            Edit::SetBars(bars) => self.relay(self.pattern.metre().clone(), *bars),
            Edit::SetMetre(metre) => self.relay(metre.clone(), self.pattern.bars()),
            Edit::Tape(thousandths) => self.tape(*thousandths),
            Edit::Recut(slice, order) => self.recut(*slice, order),
            Edit::Several(edits) => self.apply_all(edits),
            Edit::Restore(groove) => {
                let old = core::mem::replace(self, (**groove).clone());
                self.pattern.remember_identities(&old.pattern);
                Ok(Edit::Restore(Box::new(old)))
            }
        }
    }

    fn apply_all(&mut self, edits: &[Edit]) -> Result<Edit, EditError> {
        let mut undo = Vec::with_capacity(edits.len());
        for edit in edits {
            match self.apply(edit) {
                Ok(inverse) => undo.push(inverse),
                Err(error) => {
                    for inverse in undo.iter().rev() {
                        // An inverse fits the groove it was made for.
                        let _ = self.apply(inverse);
                    }
                    return Err(error);
                }
            }
        }
        undo.reverse();
        Ok(Edit::Several(undo))
    }

    /// Puts `pattern` in place and returns the edit that brings the old one back.
    fn replace_pattern(&mut self, mut pattern: Pattern) -> Edit {
        pattern.remember_identities(&self.pattern);
        let old = Groove { pattern, ..self.clone() };
        Edit::Restore(Box::new(core::mem::replace(self, old)))
    }

    /// Lays the strokes out over other bars.
    fn relay(&mut self, metre: Metre, bars: u8) -> Result<Edit, EditError> {
        let (old_bar, new_bar) = (self.pattern.metre().bar(), metre.bar());
        let mut pattern = Pattern::empty(metre, bars)?;
        let length = pattern.length();
        for lane in self.pattern.lanes() {
            let head = LaneHead { pulse: lane.head.pulse_within(length), ..lane.head };
            let mut relaid = lane.emptied(head);
            for stroke in lane.strokes() {
                let (bar, inside) = (stroke.at.div_euclid(old_bar), stroke.at.rem_euclid(old_bar));
                if bar < i64::from(bars) && inside < new_bar {
                    let nudge = head.nudge_within(stroke.nudge);
                    relaid.put(Stroke { at: new_bar.times(bar) + inside, nudge, ..stroke.clone() });
                }
            }
            pattern.insert(pattern.lanes().len(), relaid)?;
        }
        Ok(self.replace_pattern(pattern))
    }

    fn tape(&mut self, thousandths: u16) -> Result<Edit, EditError> {
        let ratio = f64::from(thousandths) / 1000.0;
        let speed = (f64::from(self.sound.speed.thousandths()) * ratio).round() as u32;
        let speed = TapeSpeed::from_thousandths(speed).ok_or(EditError::TapeSpeed)?;
        let bpm = Bpm::new(self.tempo.bpm.get() * ratio).ok_or(EditError::Tempo)?;
        let sound = Sound { speed, ..self.sound.clone() };
        self.apply_all(&[Edit::SetTempo(self.tempo.at(bpm)), Edit::SetSound(sound)])
    }

    fn recut(&mut self, slice: Tick, order: &[u8]) -> Result<Edit, EditError> {
        let length = self.pattern.length();
        let whole = matches!(slice.0, 480 | 960) && length.0 == slice.0 * order.len() as i64;
        if !whole || order.iter().any(|&from| usize::from(from) >= order.len()) {
            return Err(EditError::Slices);
        }
        let mut pattern = Pattern::empty(self.pattern.metre().clone(), self.pattern.bars())?;
        for lane in self.pattern.lanes() {
            let mut cut = lane.clone();
            for stroke in lane.strokes() {
                cut.take(stroke.at);
            }
            for (to, &from) in order.iter().enumerate() {
                let (to, from) = (slice.times(to as i64), slice.times(i64::from(from)));
                let inside = lane.strokes().iter().filter(|stroke| (from.0..from.0 + slice.0).contains(&stroke.at.0));
                for stroke in inside {
                    // A slice that stays keeps its strokes' identities; the copies elsewhere are new strokes.
                    let id = if to == from { stroke.id } else { StrokeId::default() };
                    cut.put(Stroke { at: stroke.at - from + to, id, ..stroke.clone() });
                }
            }
            pattern.insert(pattern.lanes().len(), cut)?;
        }
        Ok(self.replace_pattern(pattern))
    }
}
