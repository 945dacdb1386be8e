//! What the native build has recorded for other builds to be held against is what it renders.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test may stop at the first surprise")]

mod samples;

use samples::{APART, farthest, sampled};
use std::collections::BTreeSet;
use stickleback::lesson::kit::read_kit;

#[test]
fn the_recorded_samples_are_those_rendered() {
    let (worst, which, strokes) = farthest();
    println!("{strokes} strokes, {worst:e} apart at most ({which})");
    assert!(worst < 0.1 * APART, "{which}: {worst}; if a voice was changed, write the file anew");
}

#[test]
fn every_model_in_use_is_among_them() {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/lessons/kits");
    let mut used = BTreeSet::new();
    for entry in std::fs::read_dir(folder).unwrap() {
        let kit = read_kit(&std::fs::read_to_string(entry.unwrap().path()).unwrap()).unwrap();
        used.extend(kit.voices.values().map(|voice| voice.patch.model.id().to_owned()));
    }
    let sampled = sampled();
    let heard = sampled.as_object().unwrap().values().map(|stroke| stroke["model"].as_str().unwrap().to_owned());
    assert_eq!(used, heard.collect());
}

/// Not a test: `cargo test --no-default-features --test voice_samples -- --ignored` writes the file after a voice was changed
/// on purpose.
#[test]
#[ignore = "writes the file"]
fn write() {
    let sampled = sampled();
    let lines: Vec<String> =
        sampled.as_object().unwrap().iter().map(|(name, stroke)| format!("{name:?}: {stroke}")).collect();
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/data/voice_samples.json");
    std::fs::write(path, format!("{{\n{}\n}}\n", lines.join(",\n"))).unwrap();
}
