//! A groove being changed: one signal is the truth, and every action is an edit.

use super::history::{Gesture, History};
use crate::rhythm::{Edit, EditError, Groove, Lane, LaneId, Loudness, Strength, Stroke, Swing, Tempo, Tick};
use leptos::prelude::*;

/// The editor of one groove. Copies are handles to the same one.
#[derive(Clone, Copy)]
pub struct Editor {
    history: RwSignal<History>,
    groove: Memo<Groove>,
}

/// The gesture of turning a score mark or a loudness control.
const TURNING: [Gesture; 3] = [Gesture("tempo"), Gesture("swing"), Gesture("loudness")];

impl Editor {
    /// An editor of `groove`, with nothing to take back.
    pub fn new(groove: Groove) -> Editor {
        let history = RwSignal::new(History::new(groove));
        // Equality is musical, so an edit that puts things as they were tells nobody.
        Editor { history, groove: Memo::new(move |_| history.with(|history| history.groove().clone())) }
    }

    /// The groove, for views and for the player to follow.
    pub fn groove(&self) -> Memo<Groove> {
        self.groove
    }

    /// The groove as it is now, identities included.
    pub fn now(&self) -> Groove {
        self.history.with_untracked(|history| history.groove().clone())
    }

    /// One lane; the last known state of it once it is gone.
    pub fn lane(&self, id: LaneId) -> Memo<Option<Lane>> {
        let history = self.history;
        Memo::new(move |_| history.with(|history| history.groove().pattern.lane(id).cloned()))
    }

    /// Whether there is anything to take back.
    pub fn can_undo(&self) -> bool {
        self.history.with(History::can_undo)
    }

    /// Whether there is anything to do again.
    pub fn can_redo(&self) -> bool {
        self.history.with(History::can_redo)
    }

    /// Takes the last edit back; false if there is none.
    pub fn undo(&self) -> bool {
        self.history.try_update(History::undo).unwrap_or(false)
    }

    /// Does the edit taken back last again; false if there is none.
    pub fn redo(&self) -> bool {
        self.history.try_update(History::redo).unwrap_or(false)
    }

    /// Applies an edit.
    pub fn apply(&self, edit: &Edit) -> Result<(), EditError> {
        self.history.try_update(|history| history.apply(edit)).unwrap_or(Ok(()))
    }

    fn turn(&self, edit: &Edit, index: usize) -> Result<(), EditError> {
        let gesture = TURNING[index % TURNING.len()];
        self.history.try_update(|history| history.apply_within(edit, gesture)).unwrap_or(Ok(()))
    }

    /// Ends the gesture of a control that was being turned.
    pub fn end_gesture(&self) {
        self.history.update(History::end_gesture);
    }

    /// Turns the tempo; joined to one undo until [`Editor::end_gesture`].
    pub fn turn_tempo(&self, tempo: Tempo) -> Result<(), EditError> {
        self.turn(&Edit::SetTempo(tempo), 0)
    }

    /// Turns the swing; joined likewise.
    pub fn turn_swing(&self, swing: Swing) -> Result<(), EditError> {
        let feel = self.history.with_untracked(|history| history.groove().feel.with_swing(swing));
        self.turn(&Edit::SetFeel(feel), 1)
    }

    fn stroke(&self, lane: LaneId, at: Tick) -> Option<Stroke> {
        self.history.with_untracked(|history| history.groove().pattern.lane(lane)?.at(at).cloned())
    }

    /// A stroke where there is none, none where there is one; says whether there is one now.
    pub fn toggle(&self, lane: LaneId, at: Tick) -> Result<bool, EditError> {
        if self.stroke(lane, at).is_some() {
            return self.apply(&Edit::Clear(lane, at)).map(|()| false);
        }
        self.set_strength(lane, at, Strength::Plain).map(|()| true)
    }

    /// Takes the stroke away.
    pub fn clear(&self, lane: LaneId, at: Tick) -> Result<(), EditError> {
        self.apply(&Edit::Clear(lane, at))
    }

    /// Gives the stroke this strength; puts one there if there is none.
    pub fn set_strength(&self, lane: LaneId, at: Tick, strength: Strength) -> Result<(), EditError> {
        let stroke = self.stroke(lane, at).or_else(|| {
            self.history.with_untracked(|history| Some(fresh_stroke(history.groove().pattern.lane(lane)?, at)))
        });
        let stroke = stroke.ok_or(EditError::NoLane(lane))?;
        let loudness = self.history.with_untracked(|history| history.groove().dynamics.loudness(strength));
        self.apply(&Edit::Put(lane, stroke.with_loudness(loudness)))
    }

    /// Turns the loudness of a stroke that is there; joined to one undo until [`Editor::end_gesture`].
    pub fn turn_loudness(&self, lane: LaneId, at: Tick, loudness: Loudness) -> Result<(), EditError> {
        match self.stroke(lane, at) {
            Some(stroke) => self.turn(&Edit::Put(lane, stroke.with_loudness(loudness)), 2),
            None => Ok(()),
        }
    }

    /// Makes a stroke that is there louder or softer by `by`, within 1 to 127; says how loud it is now.
    pub fn nudge_loudness(&self, lane: LaneId, at: Tick, by: i32) -> Option<Loudness> {
        let loudness = Loudness::clamped(i32::from(self.stroke(lane, at)?.loudness.get()) + by);
        self.turn_loudness(lane, at, loudness).ok()?;
        Some(loudness)
    }
}

/// A new stroke at `at`. In a pitched lane it takes pitches and length from the stroke before it, the last one of the
/// lane for the first place; in an empty pitched lane it is the tonic, one beat long.
fn fresh_stroke(lane: &Lane, at: Tick) -> Stroke {
    let stroke = Stroke::new(at, crate::rhythm::Dynamics::DEFAULT.plain);
    if !lane.head.role.is_pitched() {
        return stroke;
    }
    let strokes = lane.strokes();
    let model = strokes.iter().rev().find(|other| other.at < at).or(strokes.last());
    match model {
        Some(model) => Stroke { pitches: model.pitches.clone(), length: model.length, ..stroke },
        None => Stroke { pitches: vec![0], length: Some(Tick::QUARTER), ..stroke },
    }
}
