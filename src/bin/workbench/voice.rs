//! `workbench voice`: one stroke of a kit's voice as a wave file, without tone.

use crate::Trouble;
use crate::render::{Writing, fault, kit, whole, wrong};
use std::path::{Path, PathBuf};
use stickleback::role::Role;
use stickleback::synth::{LONGEST_SECONDS, Voicing, loudness, render};

/// Seconds a voice is held that does not die away by itself.
const HELD: f64 = 1.5;

/// Renders a stroke of `role` of `source`, a kit's id or file: `--loudness` 1 to 127 (100 if not given), `--pitch` a note
/// number, 60 for middle C (the voice's own if not given).
pub fn run(source: &str, role: &str, out: &str, options: &[&str]) -> Result<(), Trouble> {
    let (mut writing, mut loud, mut note) = (Writing::USUAL, 100, None);
    let mut rest = options.iter();
    while let Some(&word) = rest.next() {
        match word {
            "--loudness" => loud = whole("--loudness", &mut rest, 1, 127)? as u8,
            "--pitch" => note = Some(f64::from(whole("--pitch", &mut rest, 0, 127)?)),
            _ if writing.take(word, &mut rest)? => {}
            _ => return wrong(&format!("{word} is no option of voice.")),
        }
    }
    let Ok(role) = role.parse::<Role>() else {
        return fault(format!("There is no role {role}; a kit file names its own."));
    };
    let file = Path::new(source);
    let (folder, id) = match file.file_stem().and_then(|stem| stem.to_str()) {
        Some(stem) if file.is_file() => (file.parent().map_or_else(PathBuf::new, Path::to_path_buf), stem),
        _ => (PathBuf::from("lessons/kits"), source),
    };
    let kit = kit(&folder, id)?;
    let Some((voice, stands_in)) = kit.voice_for(role) else {
        return fault(format!("{source} has no voice for {role}, and none that stands in for it."));
    };
    if stands_in != role && !writing.json {
        println!("{source} has no {role}; its {stands_in} stands in.");
    }
    let pitches: Vec<f64> = note.into_iter().collect();
    let length = Some(if voice.patch.model.sustains() { HELD } else { LONGEST_SECONDS });
    let layer = loudness::layer(loud);
    let mut samples =
        render(&voice.patch, &Voicing { layer, pitches: &pitches, variation: 0, rate: writing.rate, length });
    let gain = loudness::gain(loud);
    samples.iter_mut().for_each(|sample| *sample *= gain);
    writing.write(out, &[&samples])
}
