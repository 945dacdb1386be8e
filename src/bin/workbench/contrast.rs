//! `workbench contrast A B [--json]`: in what two grooves differ, what tells most first. A and B are style ids, files or
//! links.
//!
//! ```text
//! [{ "aspect": "tempo" | "count" | "metre" | "bars" | "swing" | "shifts" | "lean" | "part" | "sound" | "kit",
//!    "roles": [ROLE],                    whom it is about
//!    "size": N,                          1 is plainly heard
//!    "concerns": [{ "side": "a" | "b", "hallmark": ID, "rank": RANK }],
//!    "told": TEXT,
//!    "edits": N,                         how many edits change A in this respect alone
//!    "only_a": [N], "only_b": [N], "moved": [[N, N]] }]    for parts, in ticks on the common axis
//! ```

use crate::foils::{Kits, read_style};
use crate::{Trouble, asks_for_json, events};
use serde_json::{Value, json};
use stickleback::lesson::Style;
use stickleback::rhythm::{Groove, Tick};
use stickleback::style::contrast::{Compared, Difference, Finding, Side, contrast};
use stickleback::style::{Hallmark, Rank, SoundLookup, SoundMeasure};
use stickleback::words;

/// A groove to be compared.
pub struct Source {
    /// The groove.
    pub groove: Groove,
    /// Its style's hallmarks; none for a groove of no style.
    pub hallmarks: Vec<Hallmark>,
    /// What it is called.
    pub name: String,
}

/// The groove of a style id, of a file or of a link.
pub fn source(text: &str) -> Result<Source, Trouble> {
    let of_style = |style: Style| Source { groove: style.groove, hallmarks: style.hallmarks, name: style.name };
    let is_style = |text: &str| text.contains("\"kind\": \"style\"");
    let known = std::path::Path::new("lessons/styles").join(format!("{text}.json")).is_file();
    let styled = known || std::fs::read_to_string(text).is_ok_and(|text| is_style(&text));
    if styled {
        return read_style(text).map(of_style);
    }
    Ok(Source { groove: events::groove_of(text)?, hallmarks: Vec::new(), name: text.to_owned() })
}

/// Prints the differences of two grooves.
pub fn run(a: &str, b: &str, options: &[&str]) -> Result<(), Trouble> {
    let json = asks_for_json(options)?;
    let (a, b) = (source(a)?, source(b)?);
    let kits = Kits::of("lessons/kits");
    let own = |voice, measure: SoundMeasure| kits.measure(&a.groove, voice, measure);
    let other = |voice, measure: SoundMeasure| kits.measure(&b.groove, voice, measure);
    let found = contrast(
        Compared { groove: &a.groove, hallmarks: &a.hallmarks, sound: Some(&own as SoundLookup) },
        Compared { groove: &b.groove, hallmarks: &b.hallmarks, sound: Some(&other as SoundLookup) },
    );
    let told = |difference: &Difference| words::contrast::difference(difference, &found.axis, &a.groove, &b.groove);
    if json {
        let all: Vec<Value> =
            found.differences.iter().map(|difference| object(difference, &told(difference))).collect();
        println!("{}", Value::Array(all));
        return Ok(());
    }
    println!("{} to {}: {} differences", a.name, b.name, found.differences.len());
    for difference in &found.differences {
        let concerns = difference.concerns.iter().map(|concerned| {
            let of = if concerned.side == Side::A { &a.name } else { &b.name };
            format!("{} of {of}, {}", concerned.hallmark, words::contrast::rank(concerned.rank))
        });
        let concerns = concerns.collect::<Vec<_>>().join("; ");
        let behind = if concerns.is_empty() { String::new() } else { format!("  ({concerns})") };
        println!("  {}{behind}", told(difference));
    }
    Ok(())
}

fn object(difference: &Difference, told: &str) -> Value {
    let concerns = difference.concerns.iter().map(|concerned| {
        let rank = match concerned.rank {
            Rank::Frame => "frame",
            Rank::Signature => "signature",
            Rank::Seasoning => "seasoning",
        };
        let side = if concerned.side == Side::A { "a" } else { "b" };
        json!({ "side": side, "hallmark": concerned.hallmark.as_str(), "rank": rank })
    });
    let concerns: Vec<Value> = concerns.collect();
    let (aspect, roles) = match &difference.finding {
        Finding::Tempo { .. } => ("tempo", Vec::new()),
        Finding::Count { .. } => ("count", Vec::new()),
        Finding::Metre { .. } => ("metre", Vec::new()),
        Finding::Bars { .. } => ("bars", Vec::new()),
        Finding::Swing { .. } => ("swing", Vec::new()),
        Finding::Shifts { .. } => ("shifts", Vec::new()),
        Finding::Lean { role, .. } => ("lean", vec![role.id()]),
        Finding::Part(change) => ("part", change.roles().map(|role| role.id()).collect()),
        Finding::Sound { voice, .. } => ("sound", voice.iter().map(|role| role.id()).collect()),
        Finding::Kit { .. } => ("kit", Vec::new()),
    };
    let mut object = json!({
        "aspect": aspect, "roles": roles, "size": difference.size, "concerns": concerns, "told": told,
        "edits": difference.demonstration.len(),
    });
    if let Finding::Part(change) = &difference.finding {
        let ticks = |places: &[Tick]| places.iter().map(|at| at.0).collect::<Vec<_>>();
        object["only_a"] = json!(ticks(&change.only_a));
        object["only_b"] = json!(ticks(&change.only_b));
        object["moved"] = json!(change.moved.iter().map(|(from, to)| [from.0, to.0]).collect::<Vec<_>>());
    }
    object
}
