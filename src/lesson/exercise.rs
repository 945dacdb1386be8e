//! An exercise: a task over its grooves, and the judging of what the learner has made.

use super::finding::{Finding, pair_up};
use super::task::{Build, Choose, Predict};
use crate::rhythm::{Groove, LaneId, Strength, StrokeId, Tick};
use crate::role::Role;
use crate::style::{Condition, Outcome, SoundLookup, Touch, Verdict};

/// A task with the grooves it goes from and to.
#[derive(Clone, Debug, PartialEq)]
pub enum Exercise {
    /// To make a condition true.
    Build(Box<BuildExercise>),
    /// To mark a lane's strokes before hearing them.
    Predict(Box<PredictExercise>),
    /// To choose an answer before hearing.
    Choose(Box<ChooseExercise>),
}

/// A groove to be changed until the goal holds.
#[derive(Clone, Debug, PartialEq)]
pub struct BuildExercise {
    /// The task.
    pub task: Build,
    /// What the learner starts from.
    pub start: Groove,
    /// One groove that solves it; any other in which the goal holds does too.
    pub solution: Groove,
}

/// A lane to be marked before it is heard.
#[derive(Clone, Debug, PartialEq)]
pub struct PredictExercise {
    /// The task.
    pub task: Predict,
    /// The lane.
    pub lane: LaneId,
    /// What the learner starts from: the stage's target with that lane empty.
    pub start: Groove,
    /// The stage's target.
    pub solution: Groove,
}

/// An answer to be chosen before hearing.
#[derive(Clone, Debug, PartialEq)]
pub struct ChooseExercise {
    /// The task.
    pub task: Choose,
    /// The stage's target, heard first.
    pub first: Groove,
    /// What is heard against it.
    pub then: Option<Groove>,
}

impl ChooseExercise {
    /// Whether the choice at `index` (from 0) is the right one.
    pub fn is_right(&self, index: usize) -> bool {
        index == usize::from(self.task.answer)
    }
}

/// What became of a learner's groove.
#[derive(Clone, Debug, PartialEq)]
pub struct TaskVerdict {
    /// Whether the task is done.
    pub solved: bool,
    /// The strokes that are where they belong, in order of place.
    pub right: Vec<(Role, Tick)>,
    /// What is not as it should be, in order of place, then what is no matter of places. Empty when solved.
    pub findings: Vec<Finding>,
}

impl Exercise {
    /// The groove the learner starts from; for a choice, what is heard first.
    pub fn start(&self) -> &Groove {
        match self {
            Exercise::Build(build) => &build.start,
            Exercise::Predict(predict) => &predict.start,
            Exercise::Choose(choose) => &choose.first,
        }
    }

    /// A groove that solves the task; `None` for a choice, which is solved by an answer.
    pub fn solution(&self) -> Option<&Groove> {
        match self {
            Exercise::Build(build) => Some(&build.solution),
            Exercise::Predict(predict) => Some(&predict.solution),
            Exercise::Choose(_) => None,
        }
    }

    /// What is asked.
    pub fn ask(&self) -> &str {
        match self {
            Exercise::Build(build) => &build.task.ask,
            Exercise::Predict(predict) => &predict.task.ask,
            Exercise::Choose(choose) => &choose.task.ask,
        }
    }

    /// The hint to give when `given` have been given already, with its place from 0; the last one stays. `None` for a
    /// choice, which has none.
    pub fn hint(&self, given: usize) -> Option<(usize, &str)> {
        let hints = match self {
            Exercise::Build(build) => build.task.hints.as_slice(),
            Exercise::Predict(predict) => predict.task.hints.as_slice(),
            Exercise::Choose(_) => &[],
        };
        let index = given.min(hints.len().saturating_sub(1));
        hints.get(index).map(|hint| (index, hint.as_str()))
    }

    /// Judges the learner's `groove`; `sound` as in [`Condition::judge`]. A choice is judged by
    /// [`ChooseExercise::is_right`] and here always unsolved.
    pub fn judge(&self, groove: &Groove, sound: Option<SoundLookup>) -> TaskVerdict {
        match self {
            Exercise::Build(build) => built(build, groove, sound),
            Exercise::Predict(predict) => predicted(predict, groove),
            Exercise::Choose(_) => TaskVerdict { solved: false, right: Vec::new(), findings: Vec::new() },
        }
    }
}

/// Judges a built groove by its goal; the solution only helps to tell which role or strength a place wants.
fn built(exercise: &BuildExercise, groove: &Groove, sound: Option<SoundLookup>) -> TaskVerdict {
    let goal = &exercise.task.goal;
    let solved = goal.judge(groove, sound).outcome == Outcome::Holds;
    let parts: Vec<(&Condition, Verdict)> = goal.parts().iter().zip(goal.judge_parts(groove, sound)).collect();
    let told: Vec<&(&Condition, Verdict)> = match goal {
        // Of several ways the nearest is told.
        Condition::OneOf(_) => parts.iter().min_by_key(|(_, verdict)| nearness(verdict)).into_iter().collect(),
        _ => parts.iter().collect(),
    };
    let mut right = Vec::new();
    let mut findings = Vec::new();
    for (part, verdict) in told {
        let touch = part.place_touch();
        if touch.is_some() {
            right.extend(verdict.met.iter().filter_map(|id| struck(groove, id)));
        }
        match (verdict.outcome, touch) {
            (Outcome::Holds, _) => {}
            (Outcome::Fails, Some(touch)) => {
                findings.extend(by_place(part.voices(), touch, verdict, groove, &exercise.solution));
            }
            _ => findings.push(Finding::Unmet { part: (*part).clone(), found: verdict.found }),
        }
    }
    if solved {
        findings.clear();
    }
    // A stroke that another part objects to is not told as right.
    let objected = |&(role, at): &(Role, Tick)| {
        findings.iter().any(|finding| match finding {
            Finding::Extra { role: other, at: place } | Finding::Strength { role: other, at: place, .. } => {
                (*other, *place) == (role, at)
            }
            _ => false,
        })
    };
    right.retain(|one| !objected(one));
    TaskVerdict { solved, right, findings }.tidy()
}

/// Role and place of a stroke.
fn struck(groove: &Groove, &(lane, id): &(LaneId, StrokeId)) -> Option<(Role, Tick)> {
    let lane = groove.pattern.lane(lane)?;
    Some((lane.head.role, lane.by_id(id)?.at))
}

/// The stroke of a role on a place: how strong it is.
fn strength_at(groove: &Groove, role: Role, at: Tick) -> Option<Strength> {
    let mut lanes = groove.pattern.lanes().iter().filter(|lane| lane.head.role == role);
    lanes.find_map(|lane| lane.at(at)).map(|stroke| groove.dynamics.strength(stroke.loudness))
}

/// What a failed part about places finds: strokes of the wrong strength first, then what is missing, too much or moved.
fn by_place(voices: &[Role], touch: Touch, verdict: &Verdict, groove: &Groove, solution: &Groove) -> Vec<Finding> {
    let wanted = match touch {
        Touch::Any | Touch::Sounded => Strength::Plain,
        Touch::Accent => Strength::Accent,
        Touch::Ghost => Strength::Ghost,
    };
    let mut findings = Vec::new();
    let (mut missing, mut extra) = (Vec::new(), Vec::new());
    for &(lane, at) in &verdict.places {
        let here = voices.iter().find_map(|&role| Some((role, strength_at(groove, role, at)?)));
        match here {
            Some((role, is)) => findings.push(Finding::Strength { role, at, is, wanted }),
            None => {
                // Several voices may play the line: the one that does so in the solution is missed.
                let solving = voices.iter().copied().find(|&role| strength_at(solution, role, at).is_some());
                let first = || lane.and_then(|id| groove.pattern.lane(id)).map(|lane| lane.head.role);
                missing.extend(solving.or_else(first).or(voices.first().copied()).map(|role| (role, at)));
            }
        }
    }
    for (role, at) in verdict.strokes.iter().filter_map(|id| struck(groove, id)) {
        let (is, solving) = (strength_at(groove, role, at), strength_at(solution, role, at));
        match (is, solving) {
            (Some(is), Some(wanted)) if is != wanted && !touch.takes(wanted) => {
                findings.push(Finding::Strength { role, at, is, wanted });
            }
            _ => extra.push((role, at)),
        }
    }
    findings.extend(pair_up(missing, extra, groove));
    findings
}

/// How much is left to do: less is nearer.
fn nearness(verdict: &Verdict) -> (bool, usize) {
    let rank = matches!(verdict.outcome, Outcome::DoesNotApply | Outcome::Unknown);
    (rank, verdict.strokes.len() + verdict.places.len())
}

/// Judges marks by their places alone.
fn predicted(exercise: &PredictExercise, groove: &Groove) -> TaskVerdict {
    let places = |groove: &Groove| -> Vec<Tick> {
        let lane = groove.pattern.lane(exercise.lane);
        lane.map(|lane| lane.strokes().iter().map(|stroke| stroke.at).collect()).unwrap_or_default()
    };
    let (wanted, marked) = (places(&exercise.solution), places(groove));
    let role = exercise.task.lane;
    let only = |these: &[Tick], others: &[Tick]| -> Vec<(Role, Tick)> {
        these.iter().filter(|at| !others.contains(at)).map(|&at| (role, at)).collect()
    };
    let right = marked.iter().filter(|at| wanted.contains(at)).map(|&at| (role, at)).collect();
    let findings = pair_up(only(&wanted, &marked), only(&marked, &wanted), &exercise.solution);
    TaskVerdict { solved: findings.is_empty(), right, findings }.tidy()
}

impl TaskVerdict {
    /// In order of place, each once.
    fn tidy(mut self) -> TaskVerdict {
        self.right.sort_by_key(|&(role, at)| (at, role.score_rank()));
        self.right.dedup();
        self.findings.sort_by_key(Finding::order);
        self.findings.dedup();
        self
    }
}
