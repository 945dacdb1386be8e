//! Undo and redo of one groove, as lists of edits.

use crate::rhythm::{Edit, EditError, Groove};

/// How many edits can be taken back.
const DEPTH: usize = 500;

/// Which gesture an edit belongs to: edits of one gesture (a slider being dragged) are taken back as one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Gesture(pub &'static str);

/// Which part of a lesson a groove belongs to; undo goes back to the part an edit was made in. What the numbers mean is the
/// lesson's own matter; elsewhere everything happens in scene 0.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Scene(pub u16);

/// A groove with its past and its future.
#[derive(Clone, Debug)]
pub struct Undoable {
    groove: Groove,
    scene: Scene,
    undo: Vec<Change>,
    redo: Vec<Change>,
    gesture: Option<Gesture>,
}

/// An edit that goes back, and the scene it goes back to.
#[derive(Clone, Debug)]
struct Change {
    edit: Edit,
    scene: Scene,
}

impl Undoable {
    /// A groove without a past.
    pub fn new(groove: Groove) -> Undoable {
        Undoable { groove, scene: Scene::default(), undo: Vec::new(), redo: Vec::new(), gesture: None }
    }

    /// The groove as it is now.
    pub fn groove(&self) -> &Groove {
        &self.groove
    }

    /// The scene the groove stands in.
    pub fn scene(&self) -> Scene {
        self.scene
    }

    /// Enters another scene with an edit; taking it back leaves the scene again. Where the edit changes nothing the scene
    /// changes all the same, and there is nothing to take back.
    pub fn enter(&mut self, scene: Scene, edit: &Edit) -> Result<(), EditError> {
        self.apply(edit)?;
        self.scene = scene;
        Ok(())
    }

    /// Whether there is anything to take back.
    pub fn can_undo(&self) -> bool {
        !self.undo.is_empty()
    }

    /// Whether there is anything to do again.
    pub fn can_redo(&self) -> bool {
        !self.redo.is_empty()
    }

    /// Applies an edit as a thing of its own. An edit that changes nothing leaves no trace.
    pub fn apply(&mut self, edit: &Edit) -> Result<(), EditError> {
        self.gesture = None;
        self.take(edit, None)
    }

    /// Applies an edit that belongs to a gesture: it joins the edits of the same gesture before it, until
    /// [`Undoable::end_gesture`].
    pub fn apply_within(&mut self, edit: &Edit, gesture: Gesture) -> Result<(), EditError> {
        self.take(edit, Some(gesture))
    }

    /// Ends the gesture: what comes next is taken back by itself.
    pub fn end_gesture(&mut self) {
        self.gesture = None;
    }

    fn take(&mut self, edit: &Edit, gesture: Option<Gesture>) -> Result<(), EditError> {
        let before = self.groove.clone();
        let inverse = self.groove.apply(edit)?;
        if self.groove == before {
            return Ok(());
        }
        self.redo.clear();
        match (self.undo.last_mut(), gesture) {
            (Some(last), Some(_)) if gesture == self.gesture => {
                let first = core::mem::replace(&mut last.edit, Edit::Several(Vec::new()));
                last.edit = joined(inverse, first);
            }
            _ => self.undo.push(Change { edit: inverse, scene: self.scene }),
        }
        if self.undo.len() > DEPTH {
            self.undo.remove(0);
        }
        self.gesture = gesture;
        Ok(())
    }

    /// Takes the last edit back; false if there is none.
    pub fn undo(&mut self) -> bool {
        self.gesture = None;
        shift(&mut self.groove, &mut self.scene, &mut self.undo, &mut self.redo)
    }

    /// Does the edit taken back last again; false if there is none.
    pub fn redo(&mut self) -> bool {
        self.gesture = None;
        shift(&mut self.groove, &mut self.scene, &mut self.redo, &mut self.undo)
    }
}

fn shift(groove: &mut Groove, scene: &mut Scene, from: &mut Vec<Change>, to: &mut Vec<Change>) -> bool {
    let Some(change) = from.pop() else { return false };
    match groove.apply(&change.edit) {
        Ok(inverse) => {
            to.push(Change { edit: inverse, scene: core::mem::replace(scene, change.scene) });
            true
        }
        Err(_) => {
            from.push(change);
            false
        }
    }
}

/// One inverse for two edits: the later one is taken back first. Whole settings need only the first.
fn joined(later: Edit, first: Edit) -> Edit {
    match (&later, &first) {
        (Edit::SetTempo(_), Edit::SetTempo(_)) | (Edit::SetFeel(_), Edit::SetFeel(_)) => first,
        (Edit::Put(a, x), Edit::Put(b, y)) if a == b && x.at == y.at => first,
        (Edit::Put(a, x), Edit::Clear(b, at)) if a == b && x.at == *at => first,
        _ => match first {
            Edit::Several(mut edits) => {
                edits.insert(0, later);
                Edit::Several(edits)
            }
            first => Edit::Several(vec![later, first]),
        },
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rhythm::{Bpm, Dynamics, Feel, Lane, LaneHead, Metre, Pattern, Sound, Stroke, Tempo, Tick, Tonic};
    use crate::role::Role;

    fn undoable() -> Undoable {
        let kit: crate::rhythm::Id = "plain".parse().unwrap();
        let lane = Lane::new(LaneHead::new(Role::Kick, Tick(240)));
        Undoable::new(Groove {
            pattern: Pattern::new(Metre::four_four(), 1, vec![lane]).unwrap(),
            tempo: Tempo::quarters(Bpm::new(100.0).unwrap()),
            feel: Feel::straight(),
            dynamics: Dynamics::DEFAULT,
            tonic: Tonic::DEFAULT,
            sound: Sound::of(kit),
        })
    }

    fn tempo(bpm: f64) -> Edit {
        Edit::SetTempo(Tempo::quarters(Bpm::new(bpm).unwrap()))
    }

    #[test]
    fn a_gesture_is_taken_back_as_one() {
        let mut undoable = undoable();
        for bpm in [101.0, 102.0, 103.0] {
            undoable.apply_within(&tempo(bpm), Gesture("tempo")).unwrap();
        }
        undoable.end_gesture();
        undoable.apply_within(&tempo(110.0), Gesture("tempo")).unwrap();
        assert!(undoable.undo());
        assert!((undoable.groove().tempo.bpm.get() - 103.0).abs() < 1e-9);
        assert!(undoable.undo());
        assert!((undoable.groove().tempo.bpm.get() - 100.0).abs() < 1e-9);
        assert!(!undoable.undo());
        assert!(undoable.redo() && undoable.redo() && !undoable.redo());
        assert!((undoable.groove().tempo.bpm.get() - 110.0).abs() < 1e-9);
    }

    #[test]
    fn mixed_edits_of_a_gesture_go_back_in_order() {
        let mut undoable = undoable();
        let lane = undoable.groove().pattern.lanes()[0].id;
        let start = undoable.groove().clone();
        for (at, loudness) in [(0, 88), (240, 88), (0, 40)] {
            let stroke = Stroke::new(Tick(at), crate::rhythm::Loudness::clamped(loudness));
            undoable.apply_within(&Edit::Put(lane, stroke), Gesture("draw")).unwrap();
        }
        assert!(undoable.undo());
        assert_eq!(*undoable.groove(), start);
        assert!(undoable.redo());
        assert_eq!(undoable.groove().pattern.lanes()[0].strokes().len(), 2);
    }

    #[test]
    fn undo_and_redo_lead_through_the_scenes() {
        let mut undoable = undoable();
        undoable.apply(&tempo(90.0)).unwrap();
        undoable.enter(Scene(1), &tempo(80.0)).unwrap();
        undoable.apply(&tempo(70.0)).unwrap();
        undoable.enter(Scene(2), &tempo(70.0)).unwrap();
        let mut met = vec![undoable.scene().0];
        while undoable.undo() {
            met.push(undoable.scene().0);
        }
        assert_eq!(met, [2, 1, 0, 0], "leaving a scene takes its first edit back");
        while undoable.redo() {}
        assert_eq!(undoable.scene(), Scene(2));
        assert!((undoable.groove().tempo.bpm.get() - 70.0).abs() < 1e-9);
    }

    #[test]
    fn what_changes_nothing_leaves_no_trace_and_a_new_edit_ends_the_future() {
        let mut undoable = undoable();
        undoable.apply(&tempo(100.0)).unwrap();
        assert!(!undoable.can_undo());
        undoable.apply(&tempo(90.0)).unwrap();
        assert!(undoable.undo() && undoable.can_redo());
        undoable.apply(&tempo(80.0)).unwrap();
        assert!(!undoable.can_redo());
    }
}
