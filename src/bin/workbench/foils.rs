//! `workbench foils STYLE...`: every hallmark of a style, its foil, what that breaks, and what of it is heard.

use crate::Trouble;
use std::cell::RefCell;
use std::collections::HashMap;
use std::path::{Path, PathBuf};
use stickleback::lesson::kit::read_kit_file;
use stickleback::lesson::{Style, style_file};
use stickleback::rhythm::{Groove, Id};
use stickleback::role::Role;
use stickleback::style::SoundMeasure;
use stickleback::style::foils::{FoilFault, Joining, Undone, undo};
use stickleback::style::sound::measured;
use stickleback::synth::Kit;
use stickleback::synth::facts::{Heard, SoundFacts};

/// The kits of a folder with what was measured of them, read when asked for.
pub struct Kits {
    folder: PathBuf,
    read: RefCell<HashMap<Id, Option<(Kit, SoundFacts)>>>,
}

impl Kits {
    /// The kits of `folder`.
    pub fn of(folder: impl Into<PathBuf>) -> Kits {
        Kits { folder: folder.into(), read: RefCell::new(HashMap::new()) }
    }

    /// The kits in the folder `kits` beside the folder of a style file.
    pub fn beside(style_file: &str) -> Kits {
        let folder = Path::new(style_file).parent().map(|styles| styles.join("../kits"));
        Kits::of(folder.unwrap_or_else(|| PathBuf::from("lessons/kits")))
    }

    fn read(&self, id: &Id) -> Option<(Kit, SoundFacts)> {
        let text = std::fs::read_to_string(self.folder.join(format!("{id}.json"))).ok()?;
        let (kit, facts) = read_kit_file(&text).ok()?;
        Some((kit, facts?))
    }

    /// A measure of the sound `groove` is played with; `None` where its kits were not measured.
    pub fn measure(&self, groove: &Groove, voice: Option<Role>, measure: SoundMeasure) -> Option<f64> {
        let sound = &groove.sound;
        let mut read = self.read.borrow_mut();
        for id in [&sound.kit, &sound.tone] {
            if !read.contains_key(id) {
                read.insert(id.clone(), self.read(id));
            }
        }
        let (kit, voices) = read.get(&sound.kit)?.as_ref()?;
        let (_, tone) = read.get(&sound.tone)?.as_ref()?;
        measured(groove, &Heard { kit, voices, tone, speed: sound.speed.ratio() }, voice, measure)
    }
}

/// Everything wrong with the foils of `style`, told.
pub fn faults(style: &Style, kits: &Kits) -> Vec<String> {
    let sound = |groove: &Groove, voice, measure| kits.measure(groove, voice, measure);
    let undone = undo(&style.hallmarks, &style.groove, Some(&sound));
    let told = |(id, undone): (Id, Result<Undone, _>)| {
        let faults = match undone {
            Ok(undone) => undone.faults(),
            Err(error) => vec![FoilFault::Unfit(error)],
        };
        faults.iter().map(|fault| format!("the foil of {id} {}", fault_words(fault))).collect::<Vec<_>>()
    };
    undone.into_iter().flat_map(told).collect()
}

fn fault_words(fault: &FoilFault) -> String {
    match fault {
        FoilFault::Kept(outcome) => format!("does not break it ({outcome:?})"),
        FoilFault::Breaks(others) => {
            format!("also breaks {}: say that they imply it, or break less", listed(others))
        }
        FoilFault::Inaudible => "changes nothing that is heard, and cannot be exaggerated".to_owned(),
        FoilFault::Unfit(error) => format!("does not fit the groove: {error}"),
    }
}

fn listed(ids: &[Id]) -> String {
    ids.iter().map(Id::as_str).collect::<Vec<_>>().join(", ")
}

/// Prints hallmarks, foils and what breaks, of styles by id or file.
pub fn run(styles: &[&str]) -> Result<(), Trouble> {
    let mut faulty = false;
    for name in styles {
        let style = read_style(name)?;
        let kits = Kits::of("lessons/kits");
        let sound = |groove: &Groove, voice, measure| kits.measure(groove, voice, measure);
        println!("{}", style.id);
        let undone: HashMap<Id, _> = undo(&style.hallmarks, &style.groove, Some(&sound)).into_iter().collect();
        for hallmark in &style.hallmarks {
            println!("  {} ({:?}): {}", hallmark.id, hallmark.rank, hallmark.sentence);
            match (&hallmark.foil, undone.get(&hallmark.id)) {
                (Some(foil), Some(Ok(undone))) => {
                    println!("    {}", foil.name);
                    println!("    {}", told(undone));
                    undone.faults().iter().for_each(|fault| println!("    FAULT: it {}", fault_words(fault)));
                    faulty |= !undone.faults().is_empty();
                }
                (Some(foil), Some(Err(error))) => {
                    println!("    {}\n    FAULT: it does not fit the groove: {error}", foil.name);
                    faulty = true;
                }
                _ => println!("    no foil yet"),
            }
        }
    }
    if faulty { Err(Trouble::Faults) } else { Ok(()) }
}

fn told(undone: &Undone) -> String {
    let demonstration = &undone.demonstration;
    let joining = match demonstration.joining {
        Joining::KeepsPhase => "at once",
        Joining::KeepsPosition => "at once, from the same place on",
        Joining::WaitsForTheBar => "from the next bar line",
    };
    let heard = &demonstration.audible;
    let mut parts = vec![format!("{:?}", undone.outcome).to_lowercase(), joining.to_owned()];
    if !undone.implied.is_empty() {
        parts.push(format!("with {}", listed(&undone.implied)));
    }
    if heard.strokes > 0 {
        parts.push(format!("{} strokes", heard.strokes));
    }
    if heard.shift_ms > 0.05 {
        parts.push(format!("shifted by {:.1} ms", heard.shift_ms));
    }
    if heard.tempo_percent.abs() > 0.05 {
        parts.push(format!("tempo {:+.0} %", heard.tempo_percent));
    }
    if !heard.sound.is_empty() {
        parts.push(format!("{} measures of sound", heard.sound.len()));
    }
    if let Some(exaggerated) = &demonstration.exaggerated {
        parts.push(format!("exaggerated {:.1} times first", exaggerated.times));
    }
    parts.join("; ")
}

/// A style by its id or its file.
pub fn read_style(name: &str) -> Result<Style, Trouble> {
    let path = match Path::new(name) {
        path if path.is_file() => path.to_owned(),
        _ => PathBuf::from("lessons/styles").join(format!("{name}.json")),
    };
    let text = std::fs::read_to_string(&path).map_err(|error| {
        println!("{name}: there is no such style ({error}).");
        Trouble::Faults
    })?;
    style_file::read(&text).map_err(|faults| {
        faults.iter().for_each(|fault| println!("{name}: {fault}"));
        Trouble::Faults
    })
}
