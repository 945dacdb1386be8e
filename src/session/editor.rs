//! A groove being changed: one signal is the truth, and every action is an edit.

use super::undo::{Gesture, Undoable};
use crate::rhythm::quantity::Addition;
use crate::rhythm::{
    Edit, EditError, Groove, Lane, LaneHead, LaneId, Loudness, Quantity, Refusal, Strength, Stroke, Swing, Tempo, Tick,
    recast,
};
use leptos::prelude::*;

/// The editor of one groove. Copies are handles to the same one.
#[derive(Clone, Copy)]
pub struct Editor {
    undoable: RwSignal<Undoable>,
    groove: Memo<Groove>,
}

impl Editor {
    /// An editor of `groove`, with nothing to take back.
    pub fn new(groove: Groove) -> Editor {
        let undoable = RwSignal::new(Undoable::new(groove));
        // Equality is musical, so an edit that puts things as they were tells nobody.
        Editor { undoable, groove: Memo::new(move |_| undoable.with(|undoable| undoable.groove().clone())) }
    }

    /// The groove, for views and for the player to follow.
    pub fn groove(&self) -> Memo<Groove> {
        self.groove
    }

    /// The groove as it is now, identities included.
    pub fn now(&self) -> Groove {
        self.undoable.with_untracked(|undoable| undoable.groove().clone())
    }

    /// One lane; the last known state of it once it is gone.
    pub fn lane(&self, id: LaneId) -> Memo<Option<Lane>> {
        let undoable = self.undoable;
        Memo::new(move |_| undoable.with(|undoable| undoable.groove().pattern.lane(id).cloned()))
    }

    /// Whether there is anything to take back.
    pub fn can_undo(&self) -> bool {
        self.undoable.with(Undoable::can_undo)
    }

    /// Whether there is anything to do again.
    pub fn can_redo(&self) -> bool {
        self.undoable.with(Undoable::can_redo)
    }

    /// Takes the last edit back; false if there is none.
    pub fn undo(&self) -> bool {
        self.undoable.try_update(Undoable::undo).unwrap_or(false)
    }

    /// Does the edit taken back last again; false if there is none.
    pub fn redo(&self) -> bool {
        self.undoable.try_update(Undoable::redo).unwrap_or(false)
    }

    /// Applies an edit.
    pub fn apply(&self, edit: &Edit) -> Result<(), EditError> {
        self.undoable.try_update(|undoable| undoable.apply(edit)).unwrap_or(Ok(()))
    }

    /// Applies an edit made from the groove as it is.
    pub fn change(&self, edit: impl FnOnce(&Groove) -> Edit) -> Result<(), EditError> {
        let edit = self.undoable.with_untracked(|undoable| edit(undoable.groove()));
        self.apply(&edit)
    }

    /// Applies an edit of a control that is being turned; joined to one undo until [`Editor::end_gesture`].
    pub fn turn(&self, edit: &Edit, gesture: &'static str) -> Result<(), EditError> {
        let gesture = Gesture(gesture);
        self.undoable.try_update(|undoable| undoable.apply_within(edit, gesture)).unwrap_or(Ok(()))
    }

    /// Ends the gesture of a control that was being turned.
    pub fn end_gesture(&self) {
        self.undoable.update(Undoable::end_gesture);
    }

    /// Turns the tempo; joined to one undo until [`Editor::end_gesture`].
    pub fn turn_tempo(&self, tempo: Tempo) -> Result<(), EditError> {
        self.turn(&Edit::SetTempo(tempo), "tempo")
    }

    /// Turns the swing; joined likewise.
    pub fn turn_swing(&self, swing: Swing) -> Result<(), EditError> {
        let feel = self.undoable.with_untracked(|undoable| undoable.groove().feel.with_swing(swing));
        self.turn(&Edit::SetFeel(feel), "swing")
    }

    /// Turns a number to the value nearest to `value`; joined likewise.
    pub fn turn_quantity(&self, quantity: Quantity, lane: LaneId, at: Tick, value: i32) -> Result<(), Refusal> {
        let edit = self.undoable.with_untracked(|undoable| quantity.edit(undoable.groove(), lane, at, value))?;
        Ok(self.turn(&edit, gesture(quantity))?)
    }

    fn stroke(&self, lane: LaneId, at: Tick) -> Option<Stroke> {
        self.undoable.with_untracked(|undoable| undoable.groove().pattern.lane(lane)?.at(at).cloned())
    }

    /// Changes a stroke that is there.
    pub fn change_stroke(&self, lane: LaneId, at: Tick, change: impl FnOnce(&mut Stroke)) -> Result<(), Refusal> {
        let mut stroke = self.stroke(lane, at).ok_or(Refusal::NoStroke)?;
        change(&mut stroke);
        Ok(self.apply(&Edit::Put(lane, stroke))?)
    }

    /// Gives a stroke that is there a part it has not, or takes it away.
    pub fn toggle_addition(&self, addition: Addition, lane: LaneId, at: Tick) -> Result<(), Refusal> {
        let head = self.lane_head(lane)?;
        self.change_stroke(lane, at, |stroke| *stroke = addition.toggled(stroke, &head))
    }

    fn lane_head(&self, lane: LaneId) -> Result<LaneHead, EditError> {
        let head = |undoable: &Undoable| undoable.groove().pattern.lane(lane).map(|lane| lane.head);
        self.undoable.with_untracked(head).ok_or(EditError::NoLane(lane))
    }

    /// Changes how a lane is written.
    pub fn change_head(&self, lane: LaneId, change: impl FnOnce(&mut LaneHead)) -> Result<(), EditError> {
        let mut head = self.lane_head(lane)?;
        change(&mut head);
        self.apply(&Edit::SetHead(lane, head))
    }

    /// Moves a stroke to another tick of its lane, where none may stand.
    pub fn move_stroke(&self, lane: LaneId, from: Tick, to: Tick) -> Result<(), Refusal> {
        let edit =
            self.undoable.with_untracked(|undoable| recast::moved(&undoable.groove().pattern, lane, from, to))?;
        Ok(self.apply(&edit)?)
    }

    /// How hard the stroke at a place is played; `None` where there is none.
    pub fn loudness(&self, lane: LaneId, at: Tick) -> Option<Loudness> {
        self.stroke(lane, at).map(|stroke| stroke.loudness)
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
            self.undoable.with_untracked(|undoable| Some(fresh_stroke(undoable.groove().pattern.lane(lane)?, at)))
        });
        let stroke = stroke.ok_or(EditError::NoLane(lane))?;
        let loudness = self.undoable.with_untracked(|undoable| undoable.groove().dynamics.loudness(strength));
        self.apply(&Edit::Put(lane, stroke.with_loudness(loudness)))
    }

    /// Writes an ordinary stroke on every pulse of a lane from one place to another, either way round, where there is none;
    /// joined to one undo until [`Editor::end_gesture`].
    pub fn draw(&self, lane: LaneId, from: Tick, to: Tick) -> Result<(), EditError> {
        let strokes = self.undoable.with_untracked(|undoable| {
            let groove = undoable.groove();
            let lane = groove.pattern.lane(lane)?;
            let pulse = lane.head.pulse;
            let first = from.min(to).0.div_euclid(pulse.0);
            let places = (first..=from.max(to).0.div_euclid(pulse.0)).map(|number| pulse.times(number));
            let empty = places.filter(|&at| at < groove.pattern.length() && lane.at(at).is_none());
            let plain = groove.dynamics.plain;
            Some(empty.map(|at| fresh_stroke(lane, at).with_loudness(plain)).collect::<Vec<_>>())
        });
        let strokes = strokes.ok_or(EditError::NoLane(lane))?;
        self.turn(&Edit::Several(strokes.into_iter().map(|stroke| Edit::Put(lane, stroke)).collect()), "drawing")
    }

    /// Takes away every stroke of a lane from one place to another, either way round; joined likewise.
    pub fn take_away(&self, lane: LaneId, from: Tick, to: Tick) -> Result<(), EditError> {
        let passed = from.min(to)..=from.max(to);
        let edits = self.undoable.with_untracked(|undoable| {
            let strokes = undoable.groove().pattern.lane(lane)?.strokes().iter();
            let passed = strokes.filter(|stroke| passed.contains(&stroke.at));
            Some(passed.map(|stroke| Edit::Clear(lane, stroke.at)).collect())
        });
        self.turn(&Edit::Several(edits.ok_or(EditError::NoLane(lane))?), "drawing")
    }

    /// Turns the loudness of a stroke that is there; joined to one undo until [`Editor::end_gesture`].
    pub fn turn_loudness(&self, lane: LaneId, at: Tick, loudness: Loudness) -> Result<(), EditError> {
        match self.stroke(lane, at) {
            Some(stroke) => self.turn(&Edit::Put(lane, stroke.with_loudness(loudness)), "loudness"),
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

/// The gesture of turning a number.
const fn gesture(quantity: Quantity) -> &'static str {
    match quantity {
        Quantity::Loudness => "loudness",
        Quantity::Nudge => "nudge",
        Quantity::Place => "place",
        Quantity::RollStrokes => "roll strokes",
        Quantity::RollSpan => "roll span",
        Quantity::RollBend => "roll bend",
        Quantity::FlamGap => "flam gap",
        Quantity::Pitch(_) => "pitch",
        Quantity::Length => "length",
        Quantity::GlideTo => "glide to",
        Quantity::GlideTime => "glide time",
        Quantity::Lean => "lean",
        Quantity::Tonic => "tonic",
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
