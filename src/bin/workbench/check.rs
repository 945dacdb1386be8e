//! `workbench check`: reads files by their kind and names every mistake.

use crate::Trouble;
use crate::foils::{self, Kits};
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
            Ok(text) => match check(&text, file) {
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

/// What a good file is, in words; or its faults. A style's foils are judged too.
fn check(text: &str, file: &str) -> Result<String, Vec<String>> {
    let told = |faults: Vec<Fault>| faults.iter().map(Fault::to_string).collect::<Vec<_>>();
    let value = groove::parse(text).map_err(told)?;
    match value.get("kind").and_then(|kind| kind.as_str()) {
        Some("kit") => {
            kit::read_kit_file(text).map(|(kit, _)| format!("a kit of {} voices", kit.voices.len())).map_err(told)
        }
        Some("groove") => {
            groove::read(text).map(|groove| format!("a groove of {} lanes", groove.pattern.lanes().len())).map_err(told)
        }
        Some("index") => index::read(text).map(|styles| format!("an index of {} styles", styles.len())).map_err(told),
        // A file of no known kind gets the faults of a style file, the kind among them.
        _ => {
            let style = style_file::read(text).map_err(told)?;
            let faults = foils::faults(&style, &Kits::beside(file));
            let (lanes, hallmarks) = (style.groove.pattern.lanes().len(), style.hallmarks.len());
            let foils = style.hallmarks.iter().filter(|hallmark| hallmark.foil.is_some()).count();
            let ok = format!("a style of {lanes} lanes and {hallmarks} hallmarks, {foils} with a foil");
            if faults.is_empty() { Ok(ok) } else { Err(faults) }
        }
    }
}
