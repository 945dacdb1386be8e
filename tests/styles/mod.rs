//! Every style of the program with its groove and kit, as the files have them.

use std::fs;
use std::path::PathBuf;
use std::sync::Arc;
use stickleback::lesson::{kit::read_kit, style_file};
use stickleback::rhythm::Groove;
use stickleback::synth::Kit;

fn file(folder: &str, name: &str) -> String {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("lessons").join(folder).join(format!("{name}.json"));
    fs::read_to_string(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()))
}

/// Every style's name, groove and kit.
pub fn styles() -> Vec<(String, Arc<Groove>, Kit)> {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("lessons/styles");
    let mut names: Vec<String> = fs::read_dir(folder)
        .unwrap()
        .filter_map(|entry| Some(entry.unwrap().file_name().to_str()?.strip_suffix(".json")?.to_owned()))
        .collect();
    names.sort();
    assert!(names.len() >= 43, "{}", names.len());
    let style = |name: String| {
        let groove =
            style_file::read(&file("styles", &name)).unwrap_or_else(|faults| panic!("{name}: {faults:?}")).groove;
        let kit = file("kits", groove.sound.kit.as_str());
        let kit = read_kit(&kit).unwrap_or_else(|faults| panic!("{name}: {faults:?}"));
        (name, Arc::new(groove), kit)
    };
    names.into_iter().map(style).collect()
}
