//! What is left of every hallmark on a small loudspeaker: the voices it speaks of, through a high-pass of 250 Hz.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test may stop at the first surprise")]

#[path = "styles/mod.rs"]
mod styles;

use std::collections::BTreeMap;
use std::fs;
use std::path::PathBuf;
use std::sync::Arc;
use stickleback::audio::levels::RATE;
use stickleback::audio::plan::plan;
use stickleback::lesson::{Style, style_file};
use stickleback::rhythm::Groove;
use stickleback::role::Role;
use stickleback::schedule::Start;
use stickleback::synth::filter::Biquad;
use stickleback::synth::{Kit, Tone};

/// The lower edge of a small loudspeaker, Hz.
const EDGE_HZ: f64 = 250.0;
/// A voice survives if the loudest eighth of a second of its strongest stroke, through the high-pass, is no more than so
/// far below the whole mix through the same, dB ...
const OVER_MIX_DB: f64 = -12.0;
/// ... or if no more than this of it is lost, dB: it stands in the mix as it did.
const OF_ITSELF_DB: f64 = -6.0;

const HEADPHONES: &str = "a low voice alone: its lesson asks for headphones";
const SEASONING: &str = "felt, and no more than seasoning: the snares strike the same places";
const SOFT: &str = "never accented, and so heard where it is not: the lesson has the log drum carry the floor";
const SURDO: &str =
    "beater and skin are left of the higher surdo, two decibels under the edge among all the small drums";

const ABSENCE: &str = "an absence: where the low drum is lost, no backbeat of it is heard either";

/// The hallmarks that do not survive, and why.
const LOST: [(&str, &str, &str); 7] = [
    ("amapiano", "soft-kick", SOFT),
    ("bembe-six-eight", "no-backbeat", ABSENCE),
    ("jersey-club", "tripping-sub", HEADPHONES),
    ("jungle", "slow-bass", HEADPHONES),
    ("samba-batucada", "answer-on-one", SURDO),
    ("soca", "floor-tom", SEASONING),
    ("techno", "rumble", HEADPHONES),
];

/// A fourth-order Butterworth high-pass: two second orders with Q 0.541 and 1.307.
fn small(samples: &[f32]) -> Vec<f64> {
    let mut rest: Vec<f64> = samples.iter().map(|&x| f64::from(x)).collect();
    for quality in [0.541_f64, 1.307] {
        Biquad::high_pass(EDGE_HZ, 20.0 * quality.log10(), f64::from(RATE)).run_all(&mut rest);
    }
    rest
}

fn energy(samples: &[f64]) -> f64 {
    samples.iter().map(|x| x * x).sum()
}

fn db(ratio: f64) -> f64 {
    10.0 * ratio.max(1e-12).log10()
}

/// The mean power of the loudest eighth of a second, looked for every 25 ms.
fn loudest(samples: &[f64]) -> f64 {
    let (span, hop) = (RATE as usize / 8, RATE as usize / 40);
    let ends = (0..samples.len()).step_by(hop);
    ends.map(|at| energy(&samples[at..(at + span).min(samples.len())]) / span as f64).fold(0.0, f64::max)
}

/// What is left of a voice, dB: of its strongest stroke's energy, and its loudest moment over the mix.
#[derive(Clone, Copy)]
struct Left {
    of_itself: f64,
    over_mix: f64,
}

impl Left {
    /// By how much it survives, dB; negative if it does not.
    fn survives(self) -> f64 {
        (self.over_mix - OVER_MIX_DB).max(self.of_itself - OF_ITSELF_DB)
    }
}

/// What is left of every voice of a groove.
fn left(groove: &Arc<Groove>, kit: &Kit) -> BTreeMap<Role, Left> {
    let plan = plan(groove, kit, 1, Start::default(), RATE);
    let mut quiet = plan.clone();
    // So soft that no bus bends it.
    quiet.events.iter_mut().for_each(|planned| planned.voiced.gain *= 0.1);
    let [mix, _] = quiet.render(kit, &Tone::NEUTRAL, 0.0);
    let mix = small(&mix);
    let mix = 100.0 * energy(&mix) / mix.len() as f64;
    let mut strongest: BTreeMap<Role, &stickleback::audio::plan::Planned> = BTreeMap::new();
    for planned in &plan.events {
        let stickleback::schedule::Instrument::Role(role) = planned.event.instrument else { continue };
        let kept = strongest.entry(role).or_insert(planned);
        if planned.voiced.gain > kept.voiced.gain {
            *kept = planned;
        }
    }
    let row = strongest.into_iter().filter_map(|(role, planned)| {
        let buffer = planned.voiced.key.render(kit, RATE)?;
        let gain = f64::from(planned.voiced.gain).powi(2);
        let rest = small(&buffer);
        let whole: Vec<f64> = buffer.iter().map(|&x| f64::from(x)).collect();
        let of_itself = db(energy(&rest) / energy(&whole));
        Some((role, Left { of_itself, over_mix: db(gain * loudest(&rest) / mix) }))
    });
    row.collect()
}

/// A style, and the text of its file.
fn style(name: &str) -> (Style, String) {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("lessons/styles").join(format!("{name}.json"));
    let text = fs::read_to_string(path).unwrap();
    (style_file::read(&text).unwrap(), text)
}

#[test]
fn hallmarks_survive_a_small_loudspeaker() {
    let (mut asked, mut astray, mut named) = (0, Vec::new(), 0);
    for (name, groove, kit) in styles::styles() {
        let voices = left(&groove, &kit);
        println!("{name}");
        for (role, left) in &voices {
            println!("    {:14} {:6.1} dB of itself, {:6.1} dB over the mix", role.id(), left.of_itself, left.over_mix);
        }
        let (style, text) = style(&name);
        for hallmark in &style.hallmarks {
            // A part is heard by any of its voices, and a hallmark by all of its parts.
            let parts = hallmark.condition.parts().iter().filter_map(|part| {
                let heard = part.voices().iter().filter_map(|role| voices.get(role).map(|left| left.survives()));
                heard.reduce(f64::max)
            });
            let Some(left) = parts.reduce(f64::min) else { continue };
            asked += 1;
            let id = hallmark.id.as_str();
            let why = LOST.iter().find(|(style, lost, _)| *style == name && *lost == id).map(|(.., why)| *why);
            let told = hallmark.sentence.contains("headphones");
            println!("    {id}: {left:.1} dB to spare {}", why.unwrap_or(""));
            match why {
                Some(_) if left >= 0.0 => astray.push(format!("{name} {id} survives, and is named")),
                Some(HEADPHONES) if !text.contains("eadphones") => astray.push(format!("{name} {id}: no headphones")),
                None if left < 0.0 && !told => astray.push(format!("{name} {id}: {left:.1} dB")),
                _ => {}
            }
            named += usize::from(why.is_some());
        }
    }
    assert!(astray.is_empty(), "{astray:#?}");
    assert_eq!(named, LOST.len());
    assert!(asked > 150, "{asked}");
}
