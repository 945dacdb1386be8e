//! `workbench facts`: styles, kits and index from a file of collected facts.

use crate::{Trouble, kits};
use std::fs;
use std::path::Path;
use stickleback::lesson::kit::write_kit;
use stickleback::lesson::reader::Fault;
use stickleback::lesson::{IndexEntry, facts, groove, index, style_file};

/// What is known better than the facts have it.
const CORRECTIONS: &str = include_str!("corrections.json");

/// Converts `facts` with the corrections given or those built in, and writes `OUTDIR/styles/ID.json`,
/// `OUTDIR/kits/ID.json` and `OUTDIR/index.json`.
pub fn run(path: &str, corrections: Option<&str>, out: &str) -> Result<(), Trouble> {
    let read = |path: &str| fs::read_to_string(path).map_err(|error| told(path, &error));
    let text = read(path)?;
    let corrections = corrections.map_or_else(|| Ok(CORRECTIONS.to_owned()), read)?;
    let styles = facts::convert(&text, &corrections).map_err(|faults| faulty(path, &faults))?;
    let corrected = groove::parse(&corrections).map_err(|faults| faulty("corrections", &faults))?;
    let value = groove::parse(&text).map_err(|faults| faulty(path, &faults))?;
    let (styles_dir, kits_dir) = (Path::new(out).join("styles"), Path::new(out).join("kits"));
    for dir in [&styles_dir, &kits_dir] {
        fs::create_dir_all(dir).map_err(|error| told(&dir.to_string_lossy(), &error))?;
    }
    let write = |path: &Path, text: &str| fs::write(path, text).map_err(|error| told(&path.to_string_lossy(), &error));
    let sounds = value.get("styles").and_then(|styles| styles.as_array()).into_iter().flatten();
    for (style, sound) in styles.iter().zip(sounds) {
        let sound = sound.get("sound").unwrap_or(&serde_json::Value::Null);
        let own = corrected.get("styles").and_then(|styles| styles.get(style.id.as_str()));
        let kits = kits::of(style, sound, own);
        for kit in kits.map_err(|faults| faulty(&format!("{path}: sound of {}", style.id), &faults))? {
            write(&kits_dir.join(format!("{}.json", kit.id)), &write_kit(&kit))?;
        }
        write(&styles_dir.join(format!("{}.json", style.id)), &style_file::write(style))?;
    }
    let entries: Vec<IndexEntry> = styles.iter().map(IndexEntry::from).collect();
    write(&Path::new(out).join("index.json"), &index::write(&entries))?;
    println!("{} styles, their kits and the index written to {out}.", styles.len());
    Ok(())
}

fn told(path: &str, error: &std::io::Error) -> Trouble {
    println!("{path}: {error}.");
    Trouble::Faults
}

fn faulty(path: &str, faults: &[Fault]) -> Trouble {
    faults.iter().for_each(|fault| println!("{path}: {fault}"));
    Trouble::Faults
}
