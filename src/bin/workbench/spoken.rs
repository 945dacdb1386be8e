//! `workbench spoken`: what a screen reader is to be told of grooves, from their links alone.

use crate::Trouble;
use crate::events::groove_of;
use serde_json::{Value, json};
use std::io::{BufRead, stdin};
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
