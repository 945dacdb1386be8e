//! All styles and kits of the program, read once, for tests that go over the whole house.
#![allow(dead_code, reason = "each test binary uses its own part")]
#![allow(clippy::panic, reason = "a test may stop at the first surprise")]

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::LazyLock;
use stickleback::lesson::kit::read_kit_file;
use stickleback::lesson::{Style, style_file};
use stickleback::rhythm::Groove;
use stickleback::role::Role;
use stickleback::style::SoundMeasure;
use stickleback::style::sound::measured;
use stickleback::synth::Kit;
use stickleback::synth::facts::{Heard, SoundFacts};

fn files(folder: &str) -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("lessons").join(folder);
    let mut files: Vec<_> = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    files.sort();
    files
}

/// Every style, in the order of their files.
pub static STYLES: LazyLock<Vec<Style>> = LazyLock::new(|| {
    let read = |file: &PathBuf| {
        let text = fs::read_to_string(file).unwrap();
        style_file::read(&text).unwrap_or_else(|faults| panic!("{}: {faults:?}", file.display()))
    };
    files("styles").iter().map(read).collect()
});

/// Every kit with the facts kept of its present sound, by its file's name.
pub static KITS: LazyLock<BTreeMap<String, (Kit, SoundFacts)>> = LazyLock::new(|| {
    let read = |file: &PathBuf| {
        let name = file.file_stem().unwrap().to_str().unwrap().to_owned();
        let kit = read_kit_file(&fs::read_to_string(file).unwrap());
        let (kit, facts) = kit.unwrap_or_else(|faults| panic!("{name}: {faults:?}"));
        let facts = facts.unwrap_or_else(|| panic!("{name}: measure its present sound: scripts/facts"));
        (name, (kit, facts))
    };
    files("kits").iter().map(read).collect()
});

/// The style called `id`.
pub fn style(id: &str) -> &'static Style {
    STYLES.iter().find(|style| style.id.as_str() == id).unwrap()
}

/// Asks how `groove` sounds with the kit and tone it names.
pub fn heard<T>(groove: &Groove, ask: impl FnOnce(&Heard) -> T) -> T {
    let (kit, voices) = &KITS[groove.sound.kit.as_str()];
    let (_, tone) = &KITS[groove.sound.tone.as_str()];
    ask(&Heard { kit, voices, tone, speed: groove.sound.speed.ratio() })
}

/// A measure of the sound of `groove`.
pub fn sound(groove: &Groove, voice: Option<Role>, measure: SoundMeasure) -> Option<f64> {
    heard(groove, |heard| measured(groove, heard, voice, measure))
}

/// Runs `work` for every style on two threads; results in order.
pub fn for_each_style<T: Send>(work: impl Fn(&Style) -> T + Sync) -> Vec<T> {
    let (first, second) = STYLES.split_at(STYLES.len() / 2);
    std::thread::scope(|scope| {
        let other = scope.spawn(|| second.iter().map(&work).collect::<Vec<_>>());
        let mut all: Vec<T> = first.iter().map(&work).collect();
        all.extend(other.join().unwrap());
        all
    })
}
