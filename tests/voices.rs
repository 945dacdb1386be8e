//! What every voice of every kit promises, over sample rates, layers and variations.

#![allow(clippy::unwrap_used, reason = "the data is the project's own")]

use std::fs;
use std::path::Path;
use std::sync::OnceLock;

use stickleback::lesson::kit::read_kit;
use stickleback::role::Role;
use stickleback::synth::spectrum::Spectrum;
use stickleback::synth::{Finish, Kit, LAYERS, Model, Patch, VARIATIONS, Voice, Voicing, render};

const RATES: [u32; 6] = [8_000, 22_050, 44_100, 48_000, 96_000, 192_000];

fn kits() -> &'static [Kit] {
    static KITS: OnceLock<Vec<Kit>> = OnceLock::new();
    KITS.get_or_init(|| {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("lessons/kits");
        let mut files: Vec<_> = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
        files.sort();
        files.iter().map(|file| read_kit(&fs::read_to_string(file).unwrap()).unwrap()).collect()
    })
}

/// Every voice of every kit, with a name for messages.
fn voices() -> impl Iterator<Item = (String, Role, &'static Voice)> {
    kits().iter().flat_map(|kit| kit.voices.iter().map(|(&role, voice)| (format!("{} {role}", kit.id), role, voice)))
}

fn notes(role: Role) -> &'static [f64] {
    match role {
        Role::LogDrum | Role::SubBass | Role::Bass => &[33.0],
        Role::Chord | Role::ChordBubble | Role::HornStab => &[57.0, 64.0],
        Role::VocalChop => &[62.0],
        _ => &[],
    }
}

fn stroke(voice: &Voice, role: Role, layer: u8, variation: u8, rate: u32) -> Vec<f32> {
    render(&voice.patch, &Voicing { layer, pitches: notes(role), variation, rate, length: Some(0.7) })
}

fn peak(samples: &[f32]) -> f32 {
    samples.iter().fold(0.0, |peak, x| peak.max(x.abs()))
}

fn steepest(samples: &[f32]) -> f32 {
    samples.windows(2).map(|pair| (pair[1] - pair[0]).abs()).fold(0.0, f32::max)
}

/// Bounded, centred, sounding at once, ending in silence without a click.
fn check_buffer(name: &str, samples: &[f32], attack_ms: f64, rate: u32) {
    assert!(samples.iter().all(|x| x.is_finite() && x.abs() <= 1.0), "{name}: out of bounds");
    let top = peak(samples);
    assert!(top > 0.1, "{name}: all but silent, {top}");
    let mean = samples.iter().map(|&x| f64::from(x)).sum::<f64>() / samples.len() as f64;
    assert!(mean.abs() < 1e-3, "{name}: stands off zero by {mean}");
    let millisecond = (rate / 1000) as usize;
    // A slow attack has begun, too.
    let begun = if attack_ms > 10.0 { 1e-5 } else { 1e-3 };
    assert!(samples[..=millisecond].iter().any(|x| x.abs() > begun * top), "{name}: starts late");
    assert!(samples[samples.len() - 1].abs() < 1e-4, "{name}: ends at {}", samples[samples.len() - 1]);
    let ending = samples.len().saturating_sub(10 * millisecond);
    let (before, after) = samples.split_at(ending.max(samples.len() / 2));
    assert!(steepest(after) <= steepest(before) * 1.001, "{name}: clicks at its end");
}

/// Every voice in every layer at one rate, the variations in turn.
fn check_all(rate: u32) {
    for (i, (name, role, voice)) in voices().enumerate() {
        let model = voice.patch.model;
        let attack = model.fields().iter().zip(model.values()).find(|(field, _)| field.name == "attack_ms");
        let attack_ms = attack.map_or(0.0, |(_, value)| value);
        for layer in 0..LAYERS {
            let variation = ((i + usize::from(layer)) % usize::from(VARIATIONS)) as u8;
            let samples = stroke(voice, role, layer, variation, rate);
            check_buffer(&format!("{name} at {rate}, layer {layer}"), &samples, attack_ms, rate);
            if usize::from(layer) == i % usize::from(LAYERS) {
                assert_eq!(samples, stroke(voice, role, layer, variation, rate), "{name}: not repeatable");
            }
        }
    }
}

#[test]
fn every_stroke_is_a_clean_buffer() {
    check_all(48_000);
}

#[test]
fn every_stroke_is_a_clean_buffer_at_other_rates() {
    for rate in [22_050, 44_100, 96_000] {
        check_all(rate);
    }
}

#[test]
fn every_stroke_is_a_clean_buffer_at_the_ends() {
    for (i, (name, role, voice)) in voices().enumerate().filter(|(i, _)| i % 3 == 0) {
        for rate in [8_000, 192_000] {
            let samples = stroke(voice, role, (i % usize::from(LAYERS)) as u8, 0, rate);
            assert!(samples.iter().all(|x| x.is_finite() && x.abs() <= 1.0), "{name} at {rate}");
            assert!(samples[samples.len() - 1].abs() < 1e-4, "{name} at {rate}");
        }
    }
}

/// The frequency of the strongest part from `from` to `to` Hz, found between the bins of the spectrum by direct correlation.
fn strongest_hz(samples: &[f32], rate: u32, from: f64, to: f64) -> f64 {
    let spectrum = Spectrum::of(samples, rate);
    let power = |hz: f64| {
        let (sin, cos) = (core::f64::consts::TAU * hz / f64::from(rate)).sin_cos();
        let (mut c, mut s, mut re, mut im) = (1.0, 0.0, 0.0, 0.0);
        for &x in samples {
            re += f64::from(x) * c;
            im += f64::from(x) * s;
            (c, s) = (c * cos - s * sin, s * cos + c * sin);
        }
        re * re + im * im
    };
    // In a range of a few bins there is one peak: the search has the whole range.
    let middle = spectrum.peak_hz(from, to);
    let bin = spectrum.bin_hz;
    let (mut low, mut high) = if to - from > 8.0 * bin { (middle - bin, middle + bin) } else { (from, to) };
    for _ in 0..22 {
        let (a, b) = (low + (high - low) / 3.0, high - (high - low) / 3.0);
        if power(a) < power(b) { low = a } else { high = b }
    }
    0.5 * (low + high)
}

#[test]
fn pitch_is_the_same_at_every_rate() {
    let tonal = |model: &Model| {
        !matches!(model.id(), "clap" | "shaker" | "scraper" | "cymbal" | "tambourine" | "snare" | "subtractive")
    };
    let (mut most, mut astray) = (0.0_f64, Vec::new());
    for (name, role, voice) in voices().filter(|(_, _, voice)| tonal(&voice.patch.model)) {
        // The blow's noise and the fall of pitch would blur the tone of a drum.
        let mut voice = *voice;
        if let Model::Membrane(skin) = &mut voice.patch.model {
            (skin.click, skin.skin, skin.start_hz) = (0.0, 0.0, skin.pitch_hz);
            voice.patch.finish = Finish::NONE;
        }
        let hz = |rate, low, high| strongest_hz(&stroke(&voice, role, LAYERS - 1, 0, rate), rate, low, high);
        let reference = hz(48_000, 30.0, 3000.0);
        for rate in RATES {
            let cents = 1200.0 * (hz(rate, 0.97 * reference, 1.03 * reference) / reference).log2();
            most = most.max(cents.abs());
            if cents.abs() >= 5.0 {
                astray.push(format!("{name} at {rate}: {cents:.1} cents off {reference:.1} Hz"));
            }
        }
    }
    assert!(astray.is_empty(), "{astray:#?}");
    println!("at most {most:.2} cents");
}

/// The mean time of a voice's energy, ms, over all variations: for an exponential decay it is proportional to it.
fn energy_ms(voice: &Voice, role: Role, rate: u32) -> f64 {
    let (mut weighed, mut total) = (0.0, 0.0);
    for layer in [3, LAYERS - 1] {
        for variation in 0..VARIATIONS {
            for (i, x) in stroke(voice, role, layer, variation, rate).iter().enumerate() {
                let power = f64::from(*x).powi(2);
                total += power;
                weighed += power * i as f64;
            }
        }
    }
    1000.0 * weighed / (total * f64::from(rate))
}

/// At 8 kHz the click of these lies above half the rate, and what is left rings longer on average: by 5.8 to 8.8 %.
const LONGER_AT_8000: [&str; 5] =
    ["boom-bap kick", "drum-and-bass kick", "jersey-club kick", "reggaeton kick", "trap kick"];

#[test]
fn decay_is_the_same_at_every_rate() {
    let (mut most, mut astray, mut longer) = (0.0_f64, Vec::new(), Vec::new());
    for (name, role, voice) in voices().filter(|(_, _, voice)| !voice.patch.model.sustains()) {
        let reference = energy_ms(voice, role, 48_000);
        // A band above half the rate cannot be the same sound; the others must.
        let centre = Spectrum::of(&stroke(voice, role, LAYERS - 1, 0, 48_000), 48_000).centroid_hz();
        for rate in RATES.into_iter().filter(|&rate| f64::from(rate) > 12.0 * centre || rate >= 44_100) {
            let off = energy_ms(voice, role, rate) / reference - 1.0;
            most = most.max(off.abs());
            // Half a millisecond is below what a shorter decay could be told apart by.
            if off.abs() >= 0.05 && off.abs() * reference >= 0.5 {
                if rate == 8_000 && off.abs() < 0.09 && LONGER_AT_8000.contains(&name.as_str()) {
                    longer.push(name.clone());
                } else {
                    astray.push(format!("{name} at {rate}: {:.1} % off {reference:.1} ms", 100.0 * off));
                }
            }
        }
    }
    assert!(astray.is_empty(), "{astray:#?}");
    assert_eq!(longer, LONGER_AT_8000, "named, and not astray");
    println!("at most {:.1} %", 100.0 * most);
}

#[test]
fn louder_strokes_are_brighter() {
    let mut astray = Vec::new();
    for (name, role, voice) in voices() {
        let centre = |layer| Spectrum::of(&stroke(voice, role, layer, 0, 48_000), 48_000).centroid_hz();
        let centres = [0, 2, 5, LAYERS - 1].map(centre);
        if !centres.is_sorted() || centres[3] < 1.03 * centres[0] {
            astray.push(format!("{name}: {centres:.0?}"));
        }
    }
    assert!(astray.is_empty(), "{astray:#?}");
}

#[test]
fn variations_differ_and_are_equally_strong() {
    let mut astray = Vec::new();
    for (name, role, voice) in voices() {
        let variations: Vec<_> = (0..VARIATIONS).map(|v| stroke(voice, role, LAYERS - 1, v, 48_000)).collect();
        let strength = |samples: &[f32]| 10.0 * samples.iter().map(|x| f64::from(*x).powi(2)).sum::<f64>().log10();
        for (number, samples) in variations.iter().enumerate().skip(1) {
            assert_ne!(&variations[0], samples, "{name}");
            let off = strength(samples) - strength(&variations[0]);
            if off.abs() >= 2.5 {
                astray.push(format!("{name}: variation {number} is {off:.1} dB off"));
            }
        }
    }
    assert!(astray.is_empty(), "{astray:#?}");
}

/// A row of numbers from 0 to 1, the same in every run.
struct Draws(u64);

impl Draws {
    fn next(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }
}

#[test]
fn any_patch_in_range_renders_within_bounds() {
    let mut draws = Draws(2026);
    for id in Model::IDS {
        for round in 0..30 {
            // Every third round stands at the ends of the ranges.
            let mut value = |field: &'static stickleback::synth::Field| {
                let x = if round % 3 == 0 { draws.next().round() } else { draws.next() };
                let value = (field.lowest + x * (field.highest - field.lowest)).min(field.highest);
                Some(if field.whole { value.round() } else { value })
            };
            let model = Model::build(id, &mut value).unwrap();
            let finish = if round % 2 == 0 { Finish::NONE } else { Finish::build(&mut value).unwrap() };
            let patch = Patch { model, finish };
            assert_eq!(patch.check(), Ok(()));
            let rate = RATES[(draws.next() * 6.0) as usize];
            let layer = (draws.next() * 8.0) as u8;
            let pitches: &[f64] = if round % 4 == 0 { &[0.0, 127.0, 64.5] } else { &[] };
            let samples = render(&patch, &Voicing { layer, pitches, variation: 1, rate, length: Some(0.25) });
            assert!(samples.iter().all(|x| x.is_finite() && x.abs() <= 1.0), "{patch:?}");
            assert!(samples[samples.len() - 1].abs() < 1e-4, "{patch:?} ends at {}", samples[samples.len() - 1]);
        }
    }
}

#[test]
fn wrong_arguments_still_render() {
    let voice = kits().iter().find_map(|kit| kit.voices.get(&Role::Kick)).unwrap();
    let voicing =
        Voicing { layer: 200, pitches: &[f64::NAN, 1e9], variation: 99, rate: 1, length: Some(f64::INFINITY) };
    let samples = render(&voice.patch, &voicing);
    assert!(!samples.is_empty() && samples.iter().all(|x| x.is_finite() && x.abs() <= 1.0));
}

#[test]
fn a_held_voice_lasts_as_long_as_asked() {
    let (_, _, pad) = voices().find(|(name, _, _)| name == "muted-slow-jam chord").unwrap();
    assert!(pad.patch.model.sustains());
    for (asked, expected) in [(Some(0.5), 0.5), (None, 2.0), (Some(60.0), 6.0)] {
        let voicing = Voicing { layer: 5, pitches: &[60.0], variation: 0, rate: 22_050, length: asked };
        let found = render(&pad.patch, &voicing).len() as f64 / 22_050.0;
        assert!((found - expected).abs() < 0.01, "{asked:?}: {found}");
    }
}
