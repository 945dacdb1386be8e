//! `workbench spoken`: what a screen reader is to be told of grooves, from their links alone; `workbench course`: the same of
//! the stages of a lesson.

use crate::Trouble;
use crate::events::groove_of;
use serde_json::{Value, json};
use std::io::{BufRead, stdin};
use stickleback::lesson::course::Course;
use stickleback::lesson::exercise::Exercise;
use stickleback::lesson::style_file;
use stickleback::rhythm::Groove;
use stickleback::words;

/// Reads a link or the path of a style or groove file a line from standard input, and prints a line of JSON each: the names
/// of the lanes, and of every stroke the name of its place and what is told of it.
pub fn run() -> Result<(), Trouble> {
    for line in stdin().lock().lines() {
        let line = line.map_err(|error| {
            println!("standard input: {error}.");
            Trouble::Faults
        })?;
        println!("{}", told(&groove_of(line.trim())?));
    }
    Ok(())
}

/// Prints the course of the style file at `path`: the whole groove, and each stage's title, task, and the strokes it starts
/// from, that solve its task, and that stand at its end.
pub fn course(path: &str) -> Result<(), Trouble> {
    let text = std::fs::read_to_string(path).map_err(|error| {
        println!("{path}: {error}.");
        Trouble::Faults
    })?;
    let style = style_file::read(&text).map_err(|faults| {
        faults.iter().for_each(|fault| println!("{path}: {fault}"));
        Trouble::Faults
    })?;
    let course = Course::of(&style).map_err(|faults| {
        println!("{path}: {faults:?}");
        Trouble::Faults
    })?;
    let strokes = |groove: &Groove| told(groove)["strokes"].take();
    let stages = course.stages.iter().filter_map(|stage| {
        let title = &stage.stage.as_ref()?.title;
        let task = stage.exercise.as_ref().map(|exercise| match exercise {
            Exercise::Build(_) => json!({"kind": "build"}),
            Exercise::Predict(_) => json!({"kind": "predict"}),
            Exercise::Choose(choose) => {
                json!({"kind": "choose", "choices": choose.task.choices, "answer": choose.task.answer})
            }
        });
        let start = stage.exercise.as_ref().map_or(&stage.target, Exercise::start);
        let solution = stage.exercise.as_ref().and_then(Exercise::solution).unwrap_or(&stage.target);
        let (start, solution, target) = (strokes(start), strokes(solution), strokes(&stage.target));
        Some(json!({"title": title, "task": task, "start": start, "solution": solution, "target": target}))
    });
    println!("{}", json!({"whole": strokes(&style.groove), "stages": stages.collect::<Vec<_>>()}));
    Ok(())
}

fn told(groove: &Groove) -> Value {
    let pattern = &groove.pattern;
    let lanes = pattern.lanes().iter().map(|lane| words::roles::lane(pattern, lane.id).unwrap_or_default());
    let strokes = pattern.lanes().iter().flat_map(|lane| {
        lane.strokes().iter().map(|stroke| {
            let place = words::places::place(pattern, lane, stroke.at);
            let name = words::roles::lane(pattern, lane.id).unwrap_or_default();
            json!([format!("{name}, {place}"), words::strokes::stroke(stroke, lane.head.role, groove)])
        })
    });
    json!({ "lanes": lanes.collect::<Vec<_>>(), "strokes": strokes.collect::<Vec<_>>() })
}
