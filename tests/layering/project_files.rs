//! The project's own text files and where each belongs.

use std::fs;
use std::path::{Path, PathBuf};

pub fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn files_below(folder: &Path, found: &mut Vec<PathBuf>) {
    let Ok(entries) = fs::read_dir(folder) else { return };
    for entry in entries.map(|entry| entry.expect("a readable folder")) {
        let path = entry.path();
        let name = entry.file_name();
        if path.is_dir() {
            if name != "node_modules" && name != "shots" {
                files_below(&path, found);
            }
        } else {
            found.push(path);
        }
    }
}

/// Text files below the folders or the files themselves, as (path below the root, contents), in order.
pub fn texts(places: &[&str]) -> Vec<(String, String)> {
    let mut paths = Vec::new();
    for place in places {
        let place = root().join(place);
        if place.is_dir() {
            files_below(&place, &mut paths);
        } else if place.exists() {
            paths.push(place);
        }
    }
    paths.sort();
    paths
        .iter()
        .filter_map(|path| {
            let text = fs::read_to_string(path).ok()?;
            let name = path.strip_prefix(root()).expect("below the root").to_string_lossy().replace('\\', "/");
            Some((name, text))
        })
        .collect()
}

pub fn rust_files() -> Vec<(String, String)> {
    let files: Vec<_> = texts(&["src"]).into_iter().filter(|(name, _)| name.ends_with(".rs")).collect();
    assert!(!files.is_empty(), "there is source to read");
    files
}

/// The top-level module a file of src/ belongs to and how many modules it lies below the root; `None` for the wiring.
pub fn place_of(file: &str) -> Option<(&str, usize)> {
    let below = file.strip_prefix("src/")?.strip_suffix(".rs")?;
    if below == "main" || below == "lib" || below.starts_with("bin/") {
        return None;
    }
    let below = below.strip_suffix("/mod").unwrap_or(below);
    let top = below.split('/').next()?;
    Some((top, below.split('/').count()))
}
