//! The reference grooves of all styles, with their kits.

use crate::Trouble;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use stickleback::lesson::{Style, kit, style_file};
use stickleback::rhythm::Groove;
use stickleback::synth::Kit;

/// A style's reference groove.
pub struct Reference {
    /// The style.
    pub name: String,
    /// Its groove.
    pub groove: Arc<Groove>,
    /// The kit that plays it.
    pub kit: Kit,
}

/// Every style of the folder `lessons`, by name.
pub fn all(lessons: &str) -> Result<Vec<Reference>, Trouble> {
    let lessons = Path::new(lessons);
    files(lessons)?.iter().map(|file| read(lessons, file)).collect()
}

/// Every style of the folder `lessons`, by name, without its kit.
pub fn styles(lessons: &str) -> Result<Vec<Style>, Trouble> {
    let read = |file: &PathBuf| style_file::read(&text(file)?).map_err(|faults| unread(file, &faults.len()));
    files(Path::new(lessons))?.iter().map(read).collect()
}

fn files(lessons: &Path) -> Result<Vec<PathBuf>, Trouble> {
    let folder = lessons.join("styles");
    let listed = std::fs::read_dir(&folder).map_err(|error| unread(&folder, &error))?;
    let mut files: Vec<PathBuf> = listed.filter_map(|entry| Some(entry.ok()?.path())).collect();
    files.sort();
    Ok(files)
}

fn read(lessons: &Path, file: &Path) -> Result<Reference, Trouble> {
    let style = style_file::read(&text(file)?).map_err(|faults| unread(file, &faults.len()))?;
    let path = lessons.join("kits").join(format!("{}.json", style.groove.sound.kit));
    let kit = kit::read_kit(&text(&path)?).map_err(|faults| unread(&path, &faults.len()))?;
    Ok(Reference { name: style.id.as_str().to_owned(), groove: Arc::new(style.groove), kit })
}

fn text(file: &Path) -> Result<String, Trouble> {
    std::fs::read_to_string(file).map_err(|error| unread(file, &error))
}

/// The rows on standard output stay a table: what is wrong goes to standard error.
fn unread(file: &Path, why: &dyn core::fmt::Display) -> Trouble {
    eprintln!("{}: cannot be read ({why}); `workbench check` tells more", file.display());
    Trouble::Faults
}
