//! All forty-three sounds become kits, which read back, sit at one loudness, and sound like what they are.

use std::sync::OnceLock;

use super::*;
use crate::lesson::kit::{read_kit, write_kit};
use crate::lesson::reader::parse;
use crate::synth::audition;
use crate::synth::loudness::lufs;
use crate::synth::spectrum::Spectrum;
use crate::synth::{LAYERS, Voicing, render};

const RATE: u32 = 48_000;

/// Every kit made from the facts in `tests/data`, made once.
pub(crate) fn kits() -> &'static [Kit] {
    static KITS: OnceLock<Vec<Kit>> = OnceLock::new();
    KITS.get_or_init(make_kits)
}

fn make_kits() -> Vec<Kit> {
    let facts = parse(include_str!("../../../tests/data/sounds.json"), 100_000).unwrap();
    let styles = facts.as_object().unwrap();
    assert_eq!(styles.len(), 43);
    let kit = |(id, style): (&String, &Value)| match kit_from_facts(id, &style["sound"]) {
        Ok(kit) => kit,
        Err(faults) => panic!("{id}: {}", faults.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n")),
    };
    styles.iter().map(kit).collect()
}

fn hardest(voice: &Voice) -> Vec<f32> {
    render(&voice.patch, &Voicing { layer: LAYERS - 1, pitches: &[], variation: 0, rate: RATE, length: Some(1.0) })
}

#[test]
fn every_kit_reads_back_exactly() {
    for kit in kits() {
        let text = write_kit(kit);
        let back = read_kit(&text).unwrap_or_else(|faults| panic!("{}: {faults:?}", kit.id));
        assert_eq!(&back, kit);
        assert_eq!(back.content_hash(), kit.content_hash());
        assert_eq!(write_kit(&back), text);
    }
}

#[test]
fn kits_are_equally_loud_and_unclipped() {
    println!("{:28} {:>6} {:>6} {:>7} {:>7}", "kit", "LUFS", "peak", "level", "centre");
    for kit in kits() {
        let [left, right] = audition::bar(kit, RATE);
        let loudness = lufs(&[&left, &right], RATE) - 3.01;
        let peak = left.iter().chain(&right).fold(0.0_f32, |peak, x| peak.max(x.abs()));
        let centre = Spectrum::of(&left, RATE).centroid_hz();
        println!("{:28} {loudness:6.1} {peak:6.2} {:7.1} {centre:7.0}", kit.id, kit.tone.figures.level_db);
        assert!((-27.0..-21.0).contains(&loudness), "{}: {loudness}", kit.id);
        assert!(peak < 0.95 && peak > 0.2, "{}: {peak}", kit.id);
    }
}

/// Where the energy of a role's stroke must lie: least share, from, to (Hz).
fn home(role: Role) -> (f64, f64, f64) {
    match role {
        Role::Kick => (0.6, 30.0, 250.0),
        Role::SurdoLow | Role::SurdoHigh | Role::SurdoThird | Role::LogDrum | Role::SubBass => (0.5, 25.0, 250.0),
        Role::Bass => (0.5, 30.0, 500.0),
        Role::HatClosed | Role::HatOpen | Role::HatPedal | Role::Shaker | Role::Tambourine => (0.8, 1800.0, 20_000.0),
        Role::Ride | Role::Crash => (0.7, 2000.0, 20_000.0),
        Role::Snare => (0.7, 120.0, 12_000.0),
        Role::Clap | Role::Snap => (0.7, 600.0, 8000.0),
        Role::Chord | Role::ChordBubble | Role::HornStab | Role::VocalChop => (0.8, 100.0, 6000.0),
        _ => (0.7, 60.0, 9000.0),
    }
}

#[test]
fn every_voice_lies_where_its_instrument_does() {
    let mut astray: Vec<String> = Vec::new();
    for kit in kits() {
        println!("{} (#{:08x})", kit.id, kit.content_hash());
        for (&role, voice) in &kit.voices {
            let samples = hardest(voice);
            let spectrum = Spectrum::of(&samples, RATE);
            let peak = samples.iter().fold(0.0_f32, |peak, x| peak.max(x.abs()));
            let loudest = samples.iter().position(|x| x.abs() > 0.5 * peak).unwrap_or(0) as f64 / 48.0;
            let (share, low, high) = home(role);
            let found = spectrum.share(low, high);
            let small = spectrum.share(250.0, 20_000.0);
            println!(
                "  {:12} {:14} level {:6.1} peak {peak:4.2} half at {loudest:6.1} ms, {:5.2} s, centre {:6.0} Hz, home {found:4.2}, above 250 Hz {small:5.3}",
                role.id(),
                voice.patch.model.id(),
                voice.place.level_db,
                samples.len() as f64 / 48_000.0,
                spectrum.centroid_hz()
            );
            if found < share {
                astray.push(format!("{} {role}: only {found:.2} from {low} to {high} Hz", kit.id));
            }
            // What a loudspeaker without depth keeps: at most 20 dB less than the whole.
            if small < 0.01 {
                astray.push(format!("{} {role}: {small:.4} above 250 Hz", kit.id));
            }
        }
    }
    assert!(astray.is_empty(), "{astray:#?}");
}

#[test]
fn facts_that_make_no_voice_are_told() {
    let check = |text: &str, expected: &str| {
        let faults = kit_from_facts("some-style", &parse(text, 1000).unwrap()).unwrap_err();
        assert_eq!(faults.iter().map(ToString::to_string).collect::<Vec<_>>().join(" "), expected);
    };
    let mix = r#""mix": {"lowpass_hz": 9000, "highpass_hz": 30}"#;
    check(
        &format!("{{{mix}, \"bass\": {{\"wave\": \"theremin\"}}}}"),
        "bass.wave: expected a wave this module knows, found the text \"theremin\".",
    );
    check("{}", "the file: expected a mix among the facts, found an object.");
    check(&format!("{{{mix}, \"cowbell\": {{\"decay_ms\": 90}}}}"), "cowbell.partials_hz: expected here, but missing.");
    check(&format!("{{{mix}, \"snare\": {{\"tone_hz\": 9}}}}"), "snare.tone_hz: expected 80 to 900, found 9.");
    check(
        &format!("{{{mix}, \"snare\": {{\"tone\": 200}}}}").replace("{\"tone\"", "{\"decay_ms\": \"x\", \"tone_hz\""),
        "snare.decay_ms: expected a number from -200 to 200000, found the text \"x\".",
    );
}
