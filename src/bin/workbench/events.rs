//! `workbench events`: when every stroke of a groove belongs, by the slow statement in `schedule::ideal`.

use crate::Trouble;
use serde_json::{Value, json};
use stickleback::lesson::reader::Fault;
use stickleback::lesson::{groove, style_file};
use stickleback::rhythm::{Frames, Groove, Part};
use stickleback::role::Role;
use stickleback::route::Route;
use stickleback::schedule::{Key, ideal};
use stickleback::{share, words};

/// What the command takes besides the groove.
struct Options {
    rate: f64,
    passes: u32,
    json: bool,
}

/// Prints the hits of `--passes` passes (1 if not given) at `--rate` frames a second (48000), in frames from the first
/// anchor: a line a hit, or with `--json` one object that also holds the groove's link text.
pub fn run(source: &str, options: &[&str]) -> Result<(), Trouble> {
    let options = read_options(options)?;
    let groove = groove_of(source)?;
    let mut hits = ideal(&groove, options.rate, Frames(0), options.passes);
    hits.sort_by_key(|&(key, frame)| (frame, key));
    let role =
        |key: &Key| key.lane().and_then(|id| groove.pattern.lane(id)).map_or("", |lane| Role::id(lane.head.role));
    let part = |part: Part| match part {
        Part::Grace => "grace".to_owned(),
        Part::Stroke(number) => number.to_string(),
    };
    if options.json {
        let events = hits.iter().map(|(key, frame)| {
            let lane = key.lane().map(|lane| lane.0);
            json!({
                "frame": frame.0, "pass": key.pass, "lane": lane, "role": role(key),
                "stroke": key.stroke.0, "part": part(key.part),
            })
        });
        let events: Vec<Value> = events.collect();
        let payload = share::encode(&groove, 0, None);
        println!("{}", json!({ "payload": payload, "rate": options.rate, "passes": options.passes, "events": events }));
    } else {
        println!("{:>12} {:>5} {:<12} {:>7} {:>6}", "frame", "pass", "lane", "stroke", "part");
        for (key, frame) in &hits {
            println!("{:>12} {:>5} {:<12} {:>7} {:>6}", frame.0, key.pass, role(key), key.stroke.0, part(key.part));
        }
    }
    Ok(())
}

fn read_options(words: &[&str]) -> Result<Options, Trouble> {
    let mut options = Options { rate: 48_000.0, passes: 1, json: false };
    let mut words = words.iter();
    while let Some(&word) = words.next() {
        let mut number = || words.next().and_then(|text| text.parse::<u32>().ok()).ok_or(Trouble::Usage);
        match word {
            "--rate" => options.rate = f64::from(number()?.clamp(8_000, 192_000)),
            "--passes" => options.passes = number()?.min(10_000),
            "--json" => options.json = true,
            _ => return Err(Trouble::Usage),
        }
    }
    Ok(options)
}

/// The groove of a style file, of a groove file, or of a link.
pub fn groove_of(source: &str) -> Result<Groove, Trouble> {
    let told = |faults: Vec<Fault>| {
        faults.iter().for_each(|fault| println!("{source}: {fault}"));
        Trouble::Faults
    };
    if let Ok(text) = std::fs::read_to_string(source) {
        let value = groove::parse(&text).map_err(told)?;
        return match value.get("kind").and_then(|kind| kind.as_str()) {
            Some("style") => style_file::read(&text).map(|style| style.groove).map_err(told),
            _ => groove::read(&text).map_err(told),
        };
    }
    let payload = match Route::read(source) {
        (Route::Received(payload), _) => payload,
        _ => source.to_owned(),
    };
    share::decode(&payload).map(|shared| shared.groove).map_err(|fault| {
        println!("neither a file nor a link: {}", words::faults::link(&fault));
        Trouble::Faults
    })
}
