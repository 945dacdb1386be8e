//! `workbench render`: a groove through the reference bus, as a wave file.

use crate::{Trouble, events};
use serde_json::json;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use stickleback::audio::plan;
use stickleback::lesson::kit::read_kit;
use stickleback::rhythm::Groove;
use stickleback::schedule::Start;
use stickleback::share::wav::{self, Depth, Format};
use stickleback::synth::loudness::{integrated, stroke_lufs, true_peak};
use stickleback::synth::{Kit, RATES, Tone};

/// The longest file, in seconds of all passes together.
const MOST_SECONDS: f64 = 3600.0;

/// How a file is written.
#[derive(Clone, Copy)]
pub struct Writing {
    /// Frames a second, 48000 if not given.
    pub rate: u32,
    /// 16 bits if not given.
    pub depth: Depth,
    /// Whether what was written is told as JSON.
    pub json: bool,
}

impl Writing {
    /// What is written if nothing is asked for.
    pub const USUAL: Writing = Writing { rate: 48_000, depth: Depth::Sixteen, json: false };

    /// Takes one option, with the words after it; false if it is none of these.
    pub fn take(&mut self, word: &str, rest: &mut core::slice::Iter<&str>) -> Result<bool, Trouble> {
        match word {
            "--rate" => self.rate = whole("--rate", rest, *RATES.start(), *RATES.end())?,
            "--bits" => {
                self.depth = match rest.next().copied() {
                    Some("16") => Depth::Sixteen,
                    Some("24") => Depth::TwentyFour,
                    _ => return wrong("--bits takes 16 or 24."),
                }
            }
            "--json" => self.json = true,
            _ => return Ok(false),
        }
        Ok(true)
    }

    /// Writes `channels` to the file `out` and tells what it holds.
    pub fn write(&self, out: &str, channels: &[&[f32]]) -> Result<(), Trouble> {
        let format = Format { rate: self.rate, channels: channels.len() as u16, depth: self.depth };
        let Ok(bytes) = wav::file(format, channels) else {
            return fault(format!("{out}: the sound is too long for a wave file, which holds 4 GB."));
        };
        if let Err(error) = std::fs::write(out, &bytes) {
            return fault(format!("{out}: cannot be written ({error})."));
        }
        let frames = channels.first().map_or(0, |channel| channel.len());
        let seconds = frames as f64 / f64::from(self.rate);
        let db = |peak: f32| 20.0 * f64::from(peak).max(1e-9).log10();
        let peak = db(channels.iter().flat_map(|channel| channel.iter()).fold(0.0, |peak, x| peak.max(x.abs())));
        let true_peak = db(channels.iter().map(|channel| true_peak(channel)).fold(0.0, f32::max));
        // A lone stroke is too short for the gates of a programme.
        let loudness = match channels {
            [stroke] => stroke_lufs(stroke, self.rate),
            _ => integrated(channels, self.rate),
        };
        if self.json {
            let rounded = |db: f64| (db * 100.0).round() / 100.0;
            println!(
                "{}",
                json!({
                    "file": out, "bytes": bytes.len(), "rate": self.rate, "channels": channels.len(), "frames": frames,
                    "seconds": seconds, "peak_db": rounded(peak), "true_peak_db": rounded(true_peak),
                    "lufs": rounded(loudness),
                })
            );
        } else {
            println!(
                "{out}: {seconds:.2} s, {frames} frames, peak {peak:.1} dB, true peak {true_peak:.1} dB, {loudness:.1} LUFS"
            );
        }
        Ok(())
    }
}

/// Renders `source` (a style's id, a style or groove file, or a link) for `--passes` passes (2 if not given) and until all
/// has rung out; `--dry` leaves the tone out.
pub fn run(source: &str, out: &str, options: &[&str]) -> Result<(), Trouble> {
    let (mut writing, mut passes, mut dry) = (Writing::USUAL, 2, false);
    let mut rest = options.iter();
    while let Some(&word) = rest.next() {
        match word {
            "--passes" => passes = whole("--passes", &mut rest, 1, 10_000)?,
            "--dry" => dry = true,
            _ if writing.take(word, &mut rest)? => {}
            _ => return wrong(&format!("{word} is no option of render.")),
        }
    }
    let (groove, kit) = groove_and_kit(source)?;
    let seconds = groove.tempo.seconds(groove.pattern.length().as_f64()).0;
    if f64::from(passes) * seconds > MOST_SECONDS {
        let fit = (MOST_SECONDS / seconds).floor();
        return fault(format!("{passes} passes would last more than an hour; {fit} fit."));
    }
    let tone = if dry { Tone::NEUTRAL } else { kit.tone };
    let plan = plan(&groove, &kit, passes, Start::default(), writing.rate);
    let tail = plan.tail(&tone, |key| {
        let frames = key.render(&kit, writing.rate).map_or(0, |buffer| buffer.len());
        frames as f64 / f64::from(writing.rate)
    });
    let [left, right] = plan.render(&kit, &tone, tail);
    writing.write(out, &[&left, &right])
}

/// The groove a source stands for, and its kit.
fn groove_and_kit(source: &str) -> Result<(Arc<Groove>, Kit), Trouble> {
    let id = !source.contains(['/', '.', '#']);
    let file = PathBuf::from("lessons/styles").join(format!("{source}.json"));
    let file = match file.to_str() {
        Some(file) if id && Path::new(file).is_file() => file.to_owned(),
        _ if id && source.len() < 40 && !Path::new(source).is_file() => {
            return fault(format!("There is no style {source} in lessons/styles, and no such file."));
        }
        _ => source.to_owned(),
    };
    let groove = events::groove_of(&file)?;
    // The kit lies beside the styles the file is one of, or with those of the program.
    let beside = Path::new(&file).parent().map(|folder| folder.join("../kits")).filter(|folder| folder.is_dir());
    let kits = beside.unwrap_or_else(|| PathBuf::from("lessons/kits"));
    let kit = kit(&kits, groove.sound.kit.as_str())?;
    Ok((Arc::new(groove), kit))
}

/// The kit of this id in a folder.
pub fn kit(folder: &Path, id: &str) -> Result<Kit, Trouble> {
    let path = folder.join(format!("{id}.json"));
    let text = match std::fs::read_to_string(&path) {
        Ok(text) => text,
        Err(error) => return fault(format!("{}: the kit cannot be read ({error}).", path.display())),
    };
    read_kit(&text).map_err(|faults| {
        faults.iter().for_each(|fault| println!("{}: {fault}", path.display()));
        Trouble::Faults
    })
}

/// A whole number after an option.
pub fn whole(name: &str, rest: &mut core::slice::Iter<&str>, least: u32, most: u32) -> Result<u32, Trouble> {
    match rest.next().and_then(|text| text.parse::<u32>().ok()).filter(|number| (least..=most).contains(number)) {
        Some(number) => Ok(number),
        None => wrong(&format!("{name} takes a whole number from {least} to {most}.")),
    }
}

/// Tells why the call is wrong.
pub fn wrong<T>(why: &str) -> Result<T, Trouble> {
    println!("{why}");
    Err(Trouble::Usage)
}

/// Tells why nothing was made.
pub fn fault<T>(why: String) -> Result<T, Trouble> {
    println!("{why}");
    Err(Trouble::Faults)
}
