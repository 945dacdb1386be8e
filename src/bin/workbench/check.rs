//! `workbench check`: reads files by their kind and names every mistake.

use crate::Trouble;
use stickleback::lesson::reader::Fault;
use stickleback::lesson::{groove, index, kit, style_file};

/// Checks each file; a line for a good one, a line a fault for others.
pub fn run(files: &[&str]) -> Result<(), Trouble> {
    let mut faulty = false;
    for file in files {
        match std::fs::read_to_string(file) {
            Err(error) => {
                println!("{file}: cannot be read ({error}).");
                faulty = true;
            }
            Ok(text) => match check(&text) {
                Ok(what) => println!("{file}: ok, {what}."),
                Err(faults) => {
                    faults.iter().for_each(|fault| println!("{file}: {fault}"));
                    faulty = true;
                }
            },
        }
    }
    if faulty { Err(Trouble::Faults) } else { Ok(()) }
}

/// What a good file is, in words; or its faults.
fn check(text: &str) -> Result<String, Vec<Fault>> {
    let value = groove::parse(text)?;
    match value.get("kind").and_then(|kind| kind.as_str()) {
        Some("kit") => kit::read_kit(text).map(|kit| format!("a kit of {} voices", kit.voices.len())),
        Some("groove") => {
            groove::read(text).map(|groove| format!("a groove of {} lanes", groove.pattern.lanes().len()))
        }
        Some("index") => index::read(text).map(|styles| format!("an index of {} styles", styles.len())),
        // A file of no known kind gets the faults of a style file, the kind among them.
        _ => style_file::read(text).map(|style| {
            format!("a style of {} lanes and {} hallmarks", style.groove.pattern.lanes().len(), style.hallmarks.len())
        }),
    }
}
