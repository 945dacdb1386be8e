//! `workbench index`: the index of a folder of lessons, from its style files.

use crate::Trouble;
use std::fs;
use std::path::Path;
use stickleback::lesson::style_file;
use stickleback::lesson::{IndexEntry, index};

/// Rewrites `DIR/index.json` from `DIR/styles/*.json`. Styles already in the index keep their order; new ones follow by
/// identifier.
pub fn run(dir: &str) -> Result<(), Trouble> {
    let dir = Path::new(dir);
    let told = |path: &Path, error: &dyn std::fmt::Display| {
        println!("{}: {error}", path.display());
        Trouble::Faults
    };
    let place = dir.join("index.json");
    let before = fs::read_to_string(&place).ok().and_then(|text| index::read(&text).ok()).unwrap_or_default();
    let styles = dir.join("styles");
    let mut entries = Vec::new();
    for file in fs::read_dir(&styles).map_err(|error| told(&styles, &error))? {
        let path = file.map_err(|error| told(&styles, &error))?.path();
        if path.extension().is_none_or(|end| end != "json") {
            continue;
        }
        let text = fs::read_to_string(&path).map_err(|error| told(&path, &error))?;
        let style = style_file::read(&text).map_err(|faults| {
            faults.iter().for_each(|fault| println!("{}: {fault}", path.display()));
            Trouble::Faults
        })?;
        entries.push(IndexEntry::from(&style));
    }
    let rank = |entry: &IndexEntry| before.iter().position(|known| known.id == entry.id).unwrap_or(before.len());
    entries.sort_by_key(|entry| (rank(entry), entry.id.clone()));
    fs::write(&place, index::write(&entries)).map_err(|error| told(&place, &error))?;
    println!("{}: {} styles.", place.display(), entries.len());
    Ok(())
}
