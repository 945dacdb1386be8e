//! `workbench facts`: what is measured of a kit's voices and tone, told or kept in its file.

use crate::Trouble;
use serde_json::{Map, Value, json};
use std::path::{Path, PathBuf};
use stickleback::lesson::kit::{read_kit, read_kit_file, write_kit_file};
use stickleback::synth::facts::{Facts, SoundFacts};

/// Measures the kits `sources` (ids or files): prints them, as JSON with `--json`; `--write` keeps them in their files,
/// where a file whose sound has not changed is left as it is.
pub fn run(words: &[&str]) -> Result<(), Trouble> {
    let has = |option: &str| words.contains(&option);
    let (json, write) = (has("--json"), has("--write"));
    let sources: Vec<&str> = words.iter().copied().filter(|word| !word.starts_with("--")).collect();
    if sources.is_empty() || words.iter().any(|word| word.starts_with("--") && !["--json", "--write"].contains(word)) {
        return Err(Trouble::Usage);
    }
    let mut all = Map::new();
    for source in sources {
        let path = match Path::new(source) {
            path if path.is_file() => path.to_owned(),
            _ => PathBuf::from("lessons/kits").join(format!("{source}.json")),
        };
        let place = path.display();
        let text = std::fs::read_to_string(&path).map_err(|error| {
            println!("{place}: the kit cannot be read ({error}).");
            Trouble::Faults
        })?;
        // Facts that cannot be read are measured anew.
        let read = read_kit_file(&text).or_else(|faults| read_kit(&text).map(|kit| (kit, None)).map_err(|_| faults));
        let (kit, kept) = read.map_err(|faults| {
            faults.iter().for_each(|fault| println!("{place}: {fault}"));
            Trouble::Faults
        })?;
        // Facts of another sound than the file's are read as none.
        if write && kept.is_some() {
            continue;
        }
        let facts = SoundFacts::measure(&kit);
        if write {
            std::fs::write(&path, write_kit_file(&kit, Some(&facts))).map_err(|error| {
                println!("{place}: cannot be written ({error}).");
                Trouble::Faults
            })?;
            println!("{place}: measured.");
        } else if json {
            let voices: Map<String, Value> =
                facts.voices.iter().map(|(role, facts)| (role.id().to_owned(), object(facts))).collect();
            all.insert(kit.id.clone(), json!({ "voices": voices, "tone": object(&facts.tone) }));
        } else {
            println!("{}", kit.name);
            for (role, facts) in &facts.voices {
                println!("  {:14} {}", role.id(), line(facts));
            }
            println!("  {:14} {}", "(tone)", line(&facts.tone));
        }
    }
    if json && !write {
        println!("{:#}", Value::Object(all));
    }
    Ok(())
}

fn object(facts: &Facts) -> Value {
    Value::Object(facts.iter().map(|(fact, value)| (fact.id().to_owned(), json!(value))).collect())
}

fn line(facts: &Facts) -> String {
    facts.iter().map(|(fact, value)| format!("{} {value}", fact.id())).collect::<Vec<_>>().join("  ")
}
