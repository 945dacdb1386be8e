//! What a learner does with the course of a style: which stage they are in, what they have made there, and what became of
//! its task.
//!
//! The stage is part of the editor's past: entering one is an edit like any other, and Undo leads back into the stage
//! before. What the learner makes in a stage is kept, and is there again when they come back to it.

use super::comparing::Comparing;
use super::editor::Editor;
use super::hearing::Hearing;
use super::keep::{self, Shelf};
use super::progress::Progress;
use super::rooms::{Notice, Rooms};
use super::undo::Scene;
use crate::lesson::course::{Course, CourseStage};
use crate::lesson::exercise::{Exercise, TaskVerdict};
use crate::lesson::style::Style;
use crate::rhythm::{Edit, Groove, edits_between};
use leptos::prelude::*;
use std::collections::BTreeMap;
use std::sync::Arc;

/// A stage of the course, 0 being the whole groove, and whether what its task hides has been told.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct At {
    /// Which stage.
    pub stage: usize,
    /// Whether the learner has predicted or chosen, and hears what is.
    pub told: bool,
}

impl At {
    fn scene(self) -> Scene {
        Scene((self.stage as u16) * 2 + u16::from(self.told))
    }

    fn of(scene: Scene) -> At {
        At { stage: usize::from(scene.0 / 2), told: scene.0 % 2 == 1 }
    }
}

/// The course of one style as one learner takes it. Copies are handles to the same one.
#[derive(Clone, Copy)]
pub struct Coursework {
    editor: Editor,
    hearing: Hearing,
    rooms: Rooms,
    style: StoredValue<String>,
    course: StoredValue<Arc<Course>>,
    at: Memo<At>,
    progress: RwSignal<Progress>,
    works: RwSignal<BTreeMap<usize, Groove>>,
    verdict: RwSignal<Option<TaskVerdict>>,
    chosen: RwSignal<Option<usize>>,
    hints: RwSignal<usize>,
    shown: RwSignal<bool>,
    comparing: Comparing,
}

impl Coursework {
    /// Opens the course of a style: the whole groove lies on the desk, or the learner's own version of it. A lesson that is
    /// not staged yet has the whole groove only.
    pub fn open(style: &Style, rooms: Rooms, hearing: Hearing) -> Coursework {
        let whole = style.groove.clone();
        let course = Course::of(style).unwrap_or_else(|_| Course {
            stages: vec![CourseStage { stage: None, target: whole.clone(), topic: Vec::new(), exercise: None }],
        });
        let style = style.id.as_str();
        let take = |shelf: &Shelf| {
            keep::take(shelf).unwrap_or_else(|fault| {
                rooms.tell(Notice::Unread(fault));
                None
            })
        };
        let own = take(&Shelf::Version(style.to_owned()));
        let mut works = BTreeMap::new();
        for (index, stage) in course.stages.iter().enumerate() {
            let work = match &stage.stage {
                Some(stage) => take(&Shelf::Stage(style.to_owned(), stage.id.to_string())),
                None => own.clone().or_else(|| take(&Shelf::Aside(style.to_owned()))),
            };
            works.extend(work.map(|work| (index, work)));
        }
        let editor = Editor::new(whole);
        if let Some(own) = own {
            let _ = editor.apply(&placing(&editor.now(), &own));
        }
        let coursework = Coursework {
            editor,
            hearing,
            rooms,
            style: StoredValue::new(style.to_owned()),
            course: StoredValue::new(Arc::new(course)),
            at: Memo::new(move |_| At::of(editor.scene())),
            progress: RwSignal::new(keep::progress(style)),
            works: RwSignal::new(works),
            verdict: RwSignal::new(None),
            chosen: RwSignal::new(None),
            hints: RwSignal::new(0),
            shown: RwSignal::new(false),
            comparing: Comparing::new(editor, hearing),
        };
        coursework.watch();
        coursework
    }

    /// Keeps what the learner makes, and sees when it is what the task asks for.
    fn watch(self) {
        Effect::new(move |before: Option<At>| {
            let at = self.at.get();
            let groove = self.editor.groove().get();
            if before.is_some_and(|before| before.stage != at.stage) {
                self.begin_anew();
                self.remember(at.stage);
            } else if before.is_some() {
                self.keep(at, &groove);
            }
            if before.is_some() && !at.told && !self.shown.get_untracked() {
                self.see_whether_solved(at, &groove);
            }
            at
        });
    }

    fn begin_anew(self) {
        self.comparing.forget();
        self.verdict.set(None);
        self.chosen.set(None);
        self.hints.set(0);
        self.shown.set(false);
    }

    fn remember(self, stage: usize) {
        let id = self.stage_id(stage);
        self.progress.update(|progress| progress.at = id);
        self.keep_progress();
    }

    fn keep_progress(self) {
        let kept =
            self.progress.with_untracked(|progress| self.style.with_value(|style| keep::set_progress(style, progress)));
        if !kept {
            self.rooms.tell_not_kept();
        }
    }

    /// The name of a stage; the whole groove has none.
    fn stage_id(self, stage: usize) -> Option<String> {
        self.with_stage(stage, |stage| stage.stage.as_ref().map(|stage| stage.id.to_string())).flatten()
    }

    fn shelf(self, stage: usize) -> Shelf {
        let style = self.style.get_value();
        match self.stage_id(stage) {
            Some(stage) => Shelf::Stage(style, stage),
            None => Shelf::Version(style),
        }
    }

    fn keep(self, at: At, groove: &Groove) {
        if at.told {
            return;
        }
        let given = self.with_stage(at.stage, |stage| {
            let solution = stage.exercise.as_ref().and_then(Exercise::solution);
            *groove == stage.target || groove == start(stage) || solution == Some(groove)
        });
        let shelf = self.shelf(at.stage);
        if given != Some(false) {
            // The style's own groove takes the place of the learner's version, which is kept beside it.
            if at.stage == 0
                && let Some(own) = self.own(0)
            {
                keep::put(&Shelf::Aside(self.style.get_value()), &own);
                keep::clear(&shelf);
            }
            return;
        }
        self.works.update(|works| {
            works.insert(at.stage, groove.clone());
        });
        if !keep::put(&shelf, groove) {
            self.rooms.tell_not_kept();
        }
    }

    fn see_whether_solved(self, at: At, groove: &Groove) {
        // What is being predicted is not told by chance.
        let solved = self.with_exercise(at.stage, |exercise| match exercise {
            Exercise::Build(_) => Some(self.judged(exercise, groove)).filter(|verdict| verdict.solved),
            _ => None,
        });
        if let Some(verdict) = solved.flatten() {
            self.solve(at.stage);
            self.verdict.set(Some(verdict));
        } else if self.verdict.with_untracked(Option::is_some) {
            // What was said of the groove before is no longer true of it.
            self.verdict.set(None);
        }
    }

    /// The groove held against an exercise, its sound included where it is known.
    fn judged(self, exercise: &Exercise, groove: &Groove) -> TaskVerdict {
        self.hearing.with_sound(groove, |sound| exercise.judge(groove, sound))
    }

    fn solve(self, stage: usize) {
        if let Some(id) = self.stage_id(stage) {
            let hints = u8::try_from(self.hints.get_untracked()).unwrap_or(u8::MAX);
            self.progress.update(|progress| progress.solve(&id, hints));
            self.keep_progress();
        }
    }

    fn with_stage<T>(self, stage: usize, act: impl FnOnce(&CourseStage) -> T) -> Option<T> {
        self.course.with_value(|course| course.stages.get(stage).map(act))
    }

    /// Calls `act` with what is to be done in a stage, if there is anything.
    pub fn with_exercise<T>(&self, stage: usize, act: impl FnOnce(&Exercise) -> T) -> Option<T> {
        self.with_stage(stage, |stage| stage.exercise.as_ref().map(act)).flatten()
    }

    fn start(self, stage: usize) -> Option<Groove> {
        self.with_stage(stage, |stage| start(stage).clone())
    }

    /// What the learner has made in a stage.
    fn own(self, stage: usize) -> Option<Groove> {
        self.works.with_untracked(|works| works.get(&stage).cloned())
    }

    /// The editor the course is taken in.
    pub fn editor(&self) -> Editor {
        self.editor
    }

    /// The course.
    pub fn course(&self) -> Arc<Course> {
        self.course.get_value()
    }

    /// Where the learner is.
    pub fn at(&self) -> Memo<At> {
        self.at
    }

    /// What the learner has solved so far.
    pub fn progress(&self) -> ReadSignal<Progress> {
        self.progress.read_only()
    }

    /// What is said of the learner's groove, until it changes.
    pub fn verdict(&self) -> ReadSignal<Option<TaskVerdict>> {
        self.verdict.read_only()
    }

    /// Which of the choices the learner took.
    pub fn chosen(&self) -> ReadSignal<Option<usize>> {
        self.chosen.read_only()
    }

    /// How many hints are given in this stage.
    pub fn hints(&self) -> ReadSignal<usize> {
        self.hints.read_only()
    }

    fn place(self, at: At, groove: &Groove) {
        let edit = placing(&self.editor.now(), groove);
        let _ = self.editor.enter(at.scene(), &edit);
    }

    /// Goes to a stage: to what the learner has made there, or to its beginning.
    pub fn go(&self, stage: usize) {
        let Some(start) = self.start(stage) else { return };
        self.place(At { stage, told: false }, &self.own(stage).unwrap_or(start));
    }

    /// Begins the stage again; the learner's own work in it stays one press away.
    pub fn begin_again(&self) {
        let stage = self.at.get_untracked().stage;
        if let Some(start) = self.start(stage) {
            self.begin_anew();
            self.place(At { stage, told: false }, &start);
        }
    }

    /// Shows how the stage goes. That solves nothing.
    pub fn show(&self) {
        let at = self.at.get_untracked();
        let solution = self.with_exercise(at.stage, |exercise| exercise.solution().cloned());
        if let Some(solution) = solution.flatten() {
            self.begin_anew();
            self.shown.set(true);
            self.place(At { told: false, ..at }, &solution);
        }
    }

    /// The learner's own work in this stage, if it is another than what lies on the desk.
    pub fn has_own(&self) -> bool {
        let stage = self.at.get().stage;
        self.works.with(|works| works.get(&stage).is_some_and(|own| self.editor.groove().with(|groove| groove != own)))
    }

    /// Brings the learner's own work in this stage back.
    pub fn bring_own(&self) {
        let stage = self.at.get_untracked().stage;
        if let Some(own) = self.own(stage) {
            self.shown.set(false);
            self.place(At { stage, told: false }, &own);
        }
    }

    /// Holds the groove against what the task asks for.
    pub fn check(&self) {
        let at = self.at.get_untracked();
        let groove = self.editor.now();
        let verdict = self.with_exercise(at.stage, |exercise| self.judged(exercise, &groove));
        if verdict.as_ref().is_some_and(|verdict| verdict.solved) && !self.shown.get_untracked() {
            self.solve(at.stage);
        }
        self.verdict.set(verdict);
    }

    /// Judges the places the learner has marked, and puts what really is there on the desk.
    pub fn tell(&self) {
        let at = self.at.get_untracked();
        if at.told {
            // What lies on the desk is the answer now, not a prediction.
            return;
        }
        let target = self.with_stage(at.stage, |stage| stage.target.clone());
        self.check();
        if let Some(target) = target {
            self.place(At { told: true, ..at }, &target);
        }
    }

    /// Takes one of the choices; what is to be heard lies on the desk then, in turn with what it is held against.
    pub fn choose(&self, choice: usize) {
        let at = self.at.get_untracked();
        let told = self.with_exercise(at.stage, |exercise| match exercise {
            Exercise::Choose(choose) => Some((choose.is_right(choice), choose.first.clone(), choose.then.clone())),
            _ => None,
        });
        let Some((right, first, then)) = told.flatten() else { return };
        self.chosen.set(Some(choice));
        // Once it is told, choosing again is hearing again.
        if right && !at.told {
            self.solve(at.stage);
        }
        self.comparing.forget();
        self.place(At { told: true, ..at }, &first);
        if let Some(then) = then {
            self.comparing.begin(first, then);
        }
    }

    /// While two grooves are compared: whether the other one is the one heard.
    pub fn compared(&self) -> Option<bool> {
        self.comparing.heard()
    }

    /// Gives one more hint.
    pub fn hint(&self) {
        self.hints.update(|hints| *hints += 1);
    }
}

/// What lies on the desk when a stage begins.
fn start(stage: &CourseStage) -> &Groove {
    stage.exercise.as_ref().map_or(&stage.target, Exercise::start)
}

/// The edit that makes `from` into `to`, stroke by stroke, so that what stays goes on sounding.
fn placing(from: &Groove, to: &Groove) -> Edit {
    Edit::Several(edits_between(from, to))
}
