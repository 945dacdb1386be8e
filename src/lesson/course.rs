//! A course: the stages of a lesson as grooves, each with what it adds, what it is about and what is to be done.
//!
//! Stage 0 is the whole groove, to hear where it goes. Stage 1 builds on nothing: metre, bars, tempo, feel and sound of the
//! style's groove without a lane. A lane keeps the identity it has in the style's groove from stage to stage, and so do
//! strokes that stay on their place: playing and keyboard focus go on.

use super::exercise::{BuildExercise, ChooseExercise, Exercise, PredictExercise};
use super::stage::{Stage, Topic};
use super::style::Style;
use super::task::Task;
use crate::rhythm::{Edit, EditError, Groove, Id, Lane, LaneId, Stroke, StrokeId, Tick, edits_between};
use crate::role::Role;
use crate::style::{Outcome, Spot, Variation};

/// A staged lesson, ready to be played and built.
#[derive(Clone, Debug, PartialEq)]
pub struct Course {
    /// The whole groove, then the stages of the lesson in order.
    pub stages: Vec<CourseStage>,
}

/// One stage of a course.
#[derive(Clone, Debug, PartialEq)]
pub struct CourseStage {
    /// What the lesson says; `None` for the whole groove, of which the page tells.
    pub stage: Option<Stage>,
    /// What stands when the stage is done.
    pub target: Groove,
    /// The strokes of the target it is about.
    pub topic: Vec<(LaneId, StrokeId)>,
    /// What is to be done.
    pub exercise: Option<Exercise>,
}

/// What in the stages of a lesson cannot be. Stages count from 0 as in the file, without the whole groove.
#[derive(Clone, Debug, PartialEq)]
pub enum CourseFault {
    /// A stage is only told, or there is none.
    NotStaged,
    /// Two stages have the same name.
    IdTwice(usize, Id),
    /// Under this key of the stage, a role that has no lane there.
    NoLane(usize, String, Role),
    /// Under this key of the stage, a change that does not fit the groove.
    Unfit(usize, String, EditError),
    /// This topic of the stage names a place the metre does not have, or none of whose bars has a stroke there.
    NoStroke(usize, usize, Spot),
    /// This topic of the stage tells more bars than there are.
    TooManyBars(usize, usize),
    /// The task of the stage is solved before anything is done.
    SolvedAtStart(usize),
    /// The solution of the stage's task does not solve it.
    Unsolved(usize),
}

impl Course {
    /// The course of a style.
    ///
    /// # Errors
    /// The lesson is not staged, or everything in its stages that cannot be.
    pub fn of(style: &Style) -> Result<Course, Vec<CourseFault>> {
        let stages = style.lesson.staged().ok_or_else(|| vec![CourseFault::NotStaged])?;
        Course::over(&style.groove, &stages)
    }

    /// The course of these stages over the groove of a style.
    ///
    /// # Errors
    /// Everything that cannot be; after a stage whose target cannot be made, no further stages are looked at.
    pub fn over(reference: &Groove, stages: &[&Stage]) -> Result<Course, Vec<CourseFault>> {
        let whole = CourseStage { stage: None, target: reference.clone(), topic: Vec::new(), exercise: None };
        let mut course = Course { stages: vec![whole] };
        let mut faults = Vec::new();
        let mut before = bare(reference);
        for (index, stage) in stages.iter().enumerate() {
            if stages[..index].iter().any(|earlier| earlier.id == stage.id) {
                faults.push(CourseFault::IdTwice(index, stage.id.clone()));
            }
            let target = match target(reference, &before, stage, index) {
                Ok(target) => target,
                Err(fault) => {
                    faults.push(fault);
                    return Err(faults);
                }
            };
            let unknown = |role: &&Role| lane_of(&target, **role).is_none() && lane_of(reference, **role).is_none();
            if let Some(&role) = stage.say.iter().map(|(role, _)| role).find(unknown) {
                faults.push(CourseFault::NoLane(index, "say".to_owned(), role));
            }
            let topic = topic(stage, &before, &target, index).unwrap_or_else(|fault| {
                faults.push(fault);
                Vec::new()
            });
            let exercise = stage.task.as_ref().and_then(|task| {
                let exercise = exercise(task, &before, &target, index);
                exercise.map_err(|fault| faults.push(fault)).ok()
            });
            let stage = Some((*stage).clone());
            course.stages.push(CourseStage { stage, target: target.clone(), topic, exercise });
            before = target;
        }
        if faults.is_empty() { Ok(course) } else { Err(faults) }
    }

    /// What the last stage still lacks of the whole groove; lanes marked optional may be missing. A finished lesson lacks
    /// nothing.
    pub fn lacks(&self) -> Vec<Edit> {
        let (Some(whole), Some(last)) = (self.stages.first(), self.stages.last()) else { return Vec::new() };
        let mut wanted = whole.target.clone();
        for lane in whole.target.pattern.lanes() {
            if lane.head.optional && last.target.pattern.lane(lane.id).is_none() {
                // The lane is there, so that taking it out fits.
                let _ = wanted.apply(&Edit::RemoveLane(lane.id));
            }
        }
        edits_between(&last.target, &wanted)
    }
}

/// The groove without its lanes.
fn bare(groove: &Groove) -> Groove {
    let mut bare = groove.clone();
    for lane in groove.pattern.lanes() {
        let _ = bare.apply(&Edit::RemoveLane(lane.id));
    }
    bare
}

/// The first lane of a role.
fn lane_of(groove: &Groove, role: Role) -> Option<LaneId> {
    groove.pattern.lanes().iter().find(|lane| lane.head.role == role).map(|lane| lane.id)
}

/// The target of a stage: the one before, with lanes of the whole groove and then the change.
fn target(reference: &Groove, before: &Groove, stage: &Stage, index: usize) -> Result<Groove, CourseFault> {
    let mut target = before.clone();
    let unfit = |key: &str| {
        let key = key.to_owned();
        move |error| CourseFault::Unfit(index, key, error)
    };
    for &role in &stage.lanes {
        if lane_of(reference, role).is_none() {
            return Err(CourseFault::NoLane(index, "lanes".to_owned(), role));
        }
        take_over(&mut target, reference, role).map_err(unfit("lanes"))?;
    }
    if let Some(change) = &stage.change {
        // A changed lane is the lane of the whole groove all the same.
        for lane in change.lanes.iter().filter(|lane| lane_of(before, lane.head.role).is_none()) {
            if lane_of(&target, lane.head.role).is_none() {
                take_over(&mut target, reference, lane.head.role).map_err(unfit("change"))?;
            }
        }
        target = change.over(&target).map_err(unfit("change"))?;
    }
    name_strokes(&mut target, reference).map_err(unfit("change"))?;
    Ok(target)
}

/// Gives strokes on a place where the lane of the whole groove has one the identity it has there.
fn name_strokes(groove: &mut Groove, reference: &Groove) -> Result<(), EditError> {
    for lane in reference.pattern.lanes() {
        let own = groove.pattern.lane(lane.id).into_iter().flat_map(|own| own.strokes());
        let renamed = own.filter_map(|stroke| {
            let id = lane.at(stroke.at)?.id;
            (id != stroke.id).then(|| Edit::Put(lane.id, Stroke { id, ..stroke.clone() }))
        });
        let renamed = Edit::Several(renamed.collect());
        groove.apply(&renamed)?;
    }
    Ok(())
}

/// Puts the lanes of a role into `groove` as they are in `reference`, each in its place.
fn take_over(groove: &mut Groove, reference: &Groove, role: Role) -> Result<(), EditError> {
    for (place, lane) in reference.pattern.lanes().iter().enumerate().filter(|(_, lane)| lane.head.role == role) {
        if groove.pattern.lane(lane.id).is_some() {
            groove.apply(&Edit::RemoveLane(lane.id))?;
        }
        // Before the first lane that stands below it in the reference, or below it in any score.
        let below = |other: &&Lane| match reference.pattern.lane_index(other.id) {
            Some(own) => own > place,
            None => other.head.role.score_rank() > role.score_rank(),
        };
        let next = groove.pattern.lanes().iter().find(below).and_then(|other| groove.pattern.lane_index(other.id));
        groove.apply(&Edit::AddLane(next.unwrap_or(groove.pattern.lanes().len()), lane.clone()))?;
    }
    Ok(())
}

/// The strokes a stage is about: those named, or else those that are new or changed in it.
fn topic(
    stage: &Stage,
    before: &Groove,
    target: &Groove,
    index: usize,
) -> Result<Vec<(LaneId, StrokeId)>, CourseFault> {
    let mut strokes = Vec::new();
    for (place, topic) in stage.topic.iter().enumerate() {
        strokes.extend(named(topic, target, index, place)?);
    }
    if stage.topic.is_empty() {
        for lane in target.pattern.lanes() {
            let old = before.pattern.lane(lane.id);
            let new = |stroke: &&Stroke| old.and_then(|old| old.at(stroke.at)) != Some(*stroke);
            strokes.extend(lane.strokes().iter().filter(new).map(|stroke| (lane.id, stroke.id)));
        }
    }
    Ok(strokes)
}

fn named(topic: &Topic, target: &Groove, index: usize, place: usize) -> Result<Vec<(LaneId, StrokeId)>, CourseFault> {
    let pattern = &target.pattern;
    if lane_of(target, topic.role).is_none() {
        return Err(CourseFault::NoLane(index, format!("topic[{place}].role"), topic.role));
    }
    let phrase = topic.places.bars();
    if phrase > usize::from(pattern.bars()) {
        return Err(CourseFault::TooManyBars(index, place));
    }
    let mut found = Vec::new();
    for (entry, spots) in topic.places.0.iter().enumerate() {
        for &spot in spots.iter().flatten() {
            let inside = spot.tick(pattern.metre()).map_err(|_| CourseFault::NoStroke(index, place, spot))?;
            let bars = (0..usize::from(pattern.bars())).filter(|bar| bar % phrase.max(1) == entry);
            let ticks: Vec<Tick> = bars.map(|bar| pattern.metre().bar().times(bar as i64) + inside).collect();
            let lanes = pattern.lanes().iter().filter(|lane| lane.head.role == topic.role);
            let before = found.len();
            found.extend(lanes.flat_map(|lane| {
                ticks.iter().filter_map(|&at| lane.at(at)).map(|stroke| (lane.id, stroke.id)).collect::<Vec<_>>()
            }));
            if found.len() == before {
                return Err(CourseFault::NoStroke(index, place, spot));
            }
        }
    }
    Ok(found)
}

/// The task of a stage over its grooves.
fn exercise(task: &Task, before: &Groove, target: &Groove, index: usize) -> Result<Exercise, CourseFault> {
    let over = |change: &Option<Variation>, groove: &Groove, key: &str| match change {
        Some(change) => change.over(groove).map(Some).map_err(|error| CourseFault::Unfit(index, key.to_owned(), error)),
        None => Ok(None),
    };
    match task {
        Task::Build(task) => {
            let start = match over(&task.start, target, "task.start")? {
                Some(start) => start,
                None => with_new_lanes_empty(before, target)
                    .map_err(|error| CourseFault::Unfit(index, "task".to_owned(), error))?,
            };
            let solution = over(&task.solution, &start, "task.solution")?.unwrap_or_else(|| target.clone());
            if task.goal.judge(&start, None).outcome == Outcome::Holds {
                return Err(CourseFault::SolvedAtStart(index));
            }
            // A goal of sound is judged where sound can be measured.
            if !matches!(task.goal.judge(&solution, None).outcome, Outcome::Holds | Outcome::Unknown) {
                return Err(CourseFault::Unsolved(index));
            }
            Ok(Exercise::Build(Box::new(BuildExercise { task: task.clone(), start, solution })))
        }
        Task::Predict(task) => {
            let lane = lane_of(target, task.lane)
                .ok_or_else(|| CourseFault::NoLane(index, "task.lane".to_owned(), task.lane))?;
            let start =
                emptied(target, lane).map_err(|error| CourseFault::Unfit(index, "task.lane".to_owned(), error))?;
            if start == *target {
                return Err(CourseFault::SolvedAtStart(index));
            }
            let solution = target.clone();
            Ok(Exercise::Predict(Box::new(PredictExercise { task: task.clone(), lane, start, solution })))
        }
        Task::Choose(task) => {
            let changed = over(&task.change, target, "task.change")?;
            Ok(Exercise::Choose(Box::new(ChooseExercise { task: task.clone(), first: target.clone(), then: changed })))
        }
    }
}

/// The groove with one lane's strokes taken away.
fn emptied(groove: &Groove, id: LaneId) -> Result<Groove, EditError> {
    let mut empty = groove.clone();
    for stroke in groove.pattern.lane(id).map(Lane::strokes).unwrap_or_default() {
        empty.apply(&Edit::Clear(id, stroke.at))?;
    }
    Ok(empty)
}

/// The groove before, and the lanes that are new in `target` without their strokes.
fn with_new_lanes_empty(before: &Groove, target: &Groove) -> Result<Groove, EditError> {
    let mut start = before.clone();
    for lane in target.pattern.lanes().iter().filter(|lane| before.pattern.lane(lane.id).is_none()) {
        // After the lane that stands above it in the target.
        let own = target.pattern.lane_index(lane.id).unwrap_or(0);
        let above = target.pattern.lanes()[..own].iter().rev().find_map(|above| start.pattern.lane_index(above.id));
        start.apply(&Edit::AddLane(above.map_or(0, |place| place + 1), lane.clone()))?;
        start = emptied(&start, lane.id)?;
    }
    Ok(start)
}
