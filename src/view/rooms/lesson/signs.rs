//! What a stage writes on the ribbon: rings round the strokes it is about, and what became of a prediction.

use crate::lesson::exercise::{Exercise, TaskVerdict};
use crate::lesson::finding::Finding;
use crate::rhythm::{Groove, LaneId, Tick};
use crate::role::Role;
use crate::session::coursework::Coursework;
use crate::view::ribbon::ring::{Ring, RingKind};
use leptos::prelude::{Get, Read};

/// The rings of the stage the learner is in. What a task asks for has none until it is done: they would give it away.
pub fn rings(work: Coursework) -> Vec<Ring> {
    let at = work.at().get();
    let course = work.course();
    let Some(stage) = course.stages.get(at.stage) else { return Vec::new() };
    let topics = || {
        let place = |&(lane, id): &(LaneId, _)| Some((lane, stage.target.pattern.lane(lane)?.by_id(id)?.at));
        let places = stage.topic.iter().filter_map(place);
        let groove = work.editor().groove();
        let there = move |(lane, at): &(LaneId, Tick)| groove_has(&groove.read(), *lane, *at);
        let topic = |(lane, at)| Ring { lane, at, kind: RingKind::Topic };
        places.filter(there).map(topic).collect::<Vec<_>>()
    };
    let solved = || work.verdict().read().as_ref().is_some_and(|verdict| verdict.solved);
    match &stage.exercise {
        Some(Exercise::Predict(predict)) if at.told => {
            work.verdict().read().as_ref().map(|verdict| foretold(verdict, predict.lane)).unwrap_or_default()
        }
        Some(Exercise::Predict(_)) => Vec::new(),
        Some(Exercise::Build(_)) if !solved() => Vec::new(),
        _ => topics(),
    }
}

fn groove_has(groove: &Groove, lane: LaneId, at: Tick) -> bool {
    groove.pattern.lane(lane).is_some_and(|lane| lane.at(at).is_some())
}

/// What was foretold in `lane`, and what was not.
fn foretold(verdict: &TaskVerdict, lane: LaneId) -> Vec<Ring> {
    let ring = |at: Tick, kind: RingKind| Ring { lane, at, kind };
    let mut rings: Vec<Ring> = verdict.right.iter().map(|&(_, at)| ring(at, RingKind::Found)).collect();
    for finding in &verdict.findings {
        match *finding {
            Finding::Missing { at, .. } => rings.push(ring(at, RingKind::Missed)),
            Finding::Extra { at, .. } => rings.push(ring(at, RingKind::Extra)),
            Finding::Moved { at, by, .. } => {
                rings.push(ring(at, RingKind::Missed));
                rings.push(ring(at + by, RingKind::Extra));
            }
            // How hard a mark is struck foretells nothing.
            Finding::Strength { .. } | Finding::Unmet { .. } => {}
        }
    }
    rings
}

/// What is said for the strokes of a role in the stage the learner is in.
pub fn say(work: Coursework) -> Vec<(Role, String)> {
    let stage = work.at().get().stage;
    let course = work.course();
    course.stages.get(stage).and_then(|stage| stage.stage.as_ref()).map(|stage| stage.say.clone()).unwrap_or_default()
}

/// The lane that is being foretold, and is not to be heard meanwhile.
pub fn unheard(work: Coursework) -> Option<LaneId> {
    let at = work.at().get();
    work.with_exercise(at.stage, |exercise| match exercise {
        Exercise::Predict(predict) if !at.told => Some(predict.lane),
        _ => None,
    })
    .flatten()
}
