//! `workbench tidy`: lays style files out as they are kept, so that what two people wrote differs only in what they meant.

use crate::Trouble;
use stickleback::lesson::style_file;

/// Writes each style file anew; a file with faults is left as it is, and its faults are told.
pub fn run(files: &[&str]) -> Result<(), Trouble> {
    let mut faulty = false;
    for file in files {
        let told = match std::fs::read_to_string(file).map_err(|error| vec![error.to_string()]) {
            Ok(text) => tidy(file, &text),
            Err(told) => Err(told),
        };
        if let Err(told) = told {
            told.iter().for_each(|fault| println!("{file}: {fault}"));
            faulty = true;
        }
    }
    if faulty { Err(Trouble::Faults) } else { Ok(()) }
}

fn tidy(file: &str, text: &str) -> Result<(), Vec<String>> {
    let style = style_file::read(text).map_err(|faults| faults.iter().map(ToString::to_string).collect::<Vec<_>>())?;
    let tidied = style_file::write(&style);
    if tidied == text {
        return Ok(());
    }
    std::fs::write(file, tidied).map_err(|error| vec![error.to_string()])
}
