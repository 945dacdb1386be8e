//! Voices taken apart and turned at their dials, over every voice of every kit.
#![allow(clippy::unwrap_used, reason = "the data is the test's own")]

use std::fs;
use std::path::Path;
use std::sync::OnceLock;

use proptest::prelude::*;
use stickleback::lesson::kit::read_kit;
use stickleback::synth::dials::{Dial, dials, figure, position, set, with};
use stickleback::synth::portrait::{Grid, portrait};
use stickleback::synth::spectrum::Spectrum;
use stickleback::synth::{LAYERS, Model, Part, Patch, StagedKick, Voicing, parts, render, render_part, render_parts};

/// The patches of all kits, each once, with a name for messages; and a staged kick.
fn patches() -> &'static [(String, Patch)] {
    static PATCHES: OnceLock<Vec<(String, Patch)>> = OnceLock::new();
    PATCHES.get_or_init(|| {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("lessons/kits");
        let mut files: Vec<_> = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
        files.sort();
        let mut found: Vec<(String, Patch)> = Vec::new();
        for file in files {
            let kit = read_kit(&fs::read_to_string(file).unwrap()).unwrap();
            for (role, voice) in &kit.voices {
                if found.iter().all(|(_, patch)| *patch != voice.patch) {
                    found.push((format!("{} {role}", kit.id), voice.patch));
                }
            }
        }
        found.push(("staged kick".to_owned(), Patch::plain(staged_kick())));
        found
    })
}

fn staged_kick() -> StagedKick {
    StagedKick {
        pitch_hz: 52.0,
        start_hz: 260.0,
        drop_ms: 60.0,
        click: 0.5,
        click_hz: 4500.0,
        body: 0.8,
        body_ms: 200.0,
        body_drive: 0.6,
        tail: 0.8,
        swell_ms: 90.0,
        decay_ms: 150.0,
        tail_drive: 0.7,
        growl_hz: 1800.0,
    }
}

const RATE: u32 = 48_000;

fn voicing(layer: u8) -> Voicing<'static> {
    Voicing { layer, pitches: &[], variation: 0, rate: RATE, length: Some(0.6) }
}

fn energy(samples: &[f32]) -> f64 {
    samples.iter().map(|&x| f64::from(x).powi(2)).sum()
}

#[test]
fn the_parts_of_a_voice_add_up_to_it() {
    let mut most = 0.0_f64;
    for (i, (name, patch)) in patches().iter().enumerate() {
        let voicing = voicing(if i % 3 == 0 { (i % 7) as u8 } else { LAYERS - 1 });
        let whole = render(patch, &voicing);
        let parts = parts(patch);
        assert!(!parts.is_empty(), "{name}");
        let mut sum = vec![0.0_f64; whole.len()];
        for &part in &parts {
            let alone = render_part(patch, &voicing, part);
            assert_eq!(alone.len(), whole.len(), "{name}");
            assert!(energy(&alone) > 1e-7 * energy(&whole), "{name}: {} is silent", part.id());
            sum.iter_mut().zip(&alone).for_each(|(sum, x)| *sum += f64::from(*x));
        }
        for (sum, x) in sum.iter().zip(&whole) {
            most = most.max((sum - f64::from(*x)).abs());
        }
        assert!(most < 1e-4, "{name}: the parts are off the whole by {most}");
        for part in Part::ALL.into_iter().filter(|part| !parts.contains(part)) {
            assert!(energy(&render_part(patch, &voicing, part)) < 1e-9, "{name}: {} sounds", part.id());
        }
        let together = render_parts(patch, &voicing, &parts);
        assert!(together.iter().zip(&whole).all(|(a, b)| (a - b).abs() < 1e-4), "{name}: together");
    }
    println!("at most {most:.1e}");
}

#[test]
fn a_dial_left_where_it_stands_changes_nothing() {
    for (name, patch) in patches() {
        let dials = dials(patch);
        assert!(dials.len() >= 4, "{name}: {dials:?}");
        for dial in Dial::ALL {
            match position(patch, dial) {
                Some(at) => assert_eq!(set(patch, dial, at), *patch, "{name}: {}", dial.id()),
                None => assert_eq!((dials.contains(&dial), set(patch, dial, 50.0)), (false, *patch), "{name}"),
            }
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, rng_algorithm: prop::test_runner::RngAlgorithm::ChaCha, ..ProptestConfig::default() })]

    #[test]
    fn a_dial_stands_where_it_was_set(voice in 0usize..10_000, number in 0usize..100, to in 0.0f64..=100.0, other in 0.0f64..=100.0) {
        let (name, patch) = &patches()[voice % patches().len()];
        let dials = dials(patch);
        let dial = dials[number % dials.len()];
        let moved = set(patch, dial, to);
        prop_assert_eq!(moved.check(), Ok(()));
        // The fall of a pitch cannot be set beyond the range of its start.
        let held = dial == Dial::Drop && figure(&moved, "start_hz").is_some_and(|(field, hz)| hz <= field.lowest || hz >= field.highest);
        if !held {
            prop_assert!((position(&moved, dial).unwrap() - to).abs() < 1e-6, "{} {:?}", name, dial);
        }
        // More is never less.
        let further = set(patch, dial, other);
        let (at, there) = (position(&moved, dial).unwrap(), position(&further, dial).unwrap());
        let apart = if to <= other { there - at } else { at - there };
        prop_assert!(apart >= -1e-9, "{} {:?}", name, dial);
        // Once more to the same place, from elsewhere: the dial's own figure is the same.
        prop_assert!((position(&set(&further, dial, to), dial).unwrap() - position(&moved, dial).unwrap()).abs() < 1e-6);
    }
}

/// The share of the voice's energy in some parts.
fn share(patch: &Patch, of: &[Part]) -> f64 {
    let rest: Vec<Part> = Part::ALL.into_iter().filter(|part| !of.contains(part)).collect();
    let (own, rest) = (energy(&render_parts(patch, &voicing(7), of)), energy(&render_parts(patch, &voicing(7), &rest)));
    own / (own + rest).max(1e-12)
}

fn centre(samples: &[f32]) -> f64 {
    Spectrum::of(samples, RATE).centroid_hz()
}

/// Time by which a share of the energy has passed, ms.
fn energy_ms(samples: &[f32], share: f64) -> f64 {
    let whole = energy(samples);
    let mut sum = 0.0;
    let at = samples.iter().position(|&x| {
        sum += f64::from(x).powi(2);
        sum >= share * whole
    });
    1000.0 * at.unwrap_or(samples.len()) as f64 / f64::from(RATE)
}

/// How unlike `reference` a sound is: 0 the same, 1 nothing in common.
fn unlike(samples: &[f32], reference: &[f32]) -> f64 {
    let dot: f64 = samples.iter().zip(reference).map(|(a, b)| f64::from(*a) * f64::from(*b)).sum();
    1.0 - dot / (energy(samples) * energy(reference)).sqrt().max(1e-12)
}

/// What `dial` promises to raise.
fn promised(patch: &Patch, dial: Dial) -> f64 {
    let whole = || render(patch, &voicing(7));
    let tone = [Part::Body, Part::Tail, Part::Overtones];
    match dial {
        Dial::Pitch if matches!(patch.model, Model::Formant(_)) => {
            let drawn = portrait(&whole(), RATE, Grid { columns: 20, seconds: 0.5, bands: 1 });
            let mut pitches: Vec<f32> = drawn.pitch_hz.into_iter().flatten().collect();
            pitches.sort_by(f32::total_cmp);
            f64::from(pitches[pitches.len() / 2])
        }
        Dial::Pitch => centre(&render_parts(patch, &voicing(7), &tone)),
        Dial::Length => energy_ms(&whole(), 0.9),
        Dial::Attack => share(patch, &[Part::Click]),
        Dial::Swell => energy_ms(&whole(), 0.1),
        Dial::Drop => {
            let body = render_parts(patch, &voicing(7), &[Part::Body, Part::Tail]);
            let frames = body.len().min(RATE as usize / 30);
            let fade = |i: usize| 0.5 + 0.5 * (core::f32::consts::PI * i as f32 / frames as f32).cos();
            centre(&body[..frames].iter().enumerate().map(|(i, x)| x * fade(i)).collect::<Vec<_>>())
        }
        Dial::Fullness if matches!(patch.model, Model::Sub(_)) => share(patch, &[Part::Overtones]),
        Dial::Fullness => centre(&render_parts(patch, &voicing(7), &tone)),
        Dial::Ring => share(patch, &[Part::Overtones]),
        Dial::Noise => share(patch, &[Part::Noise]),
        Dial::Tail => share(patch, &[Part::Tail]),
        // Wires and tail are what the dial is about; how much of them there is, is another dial's.
        Dial::Brightness if matches!(patch.model, Model::Snare(_)) => {
            centre(&render_parts(patch, &voicing(7), &[Part::Click, Part::Noise]))
        }
        Dial::Brightness if matches!(patch.model, Model::StagedKick(_)) => {
            Spectrum::of(&render_part(patch, &voicing(7), Part::Tail), RATE).share(1000.0, 20_000.0)
        }
        Dial::Brightness => centre(&whole()),
        Dial::Dirt => unlike(&whole(), &render(&with(patch, "finish.drive", 0.0), &voicing(7))),
        Dial::Grain => unlike(&whole(), &render(&with(patch, "finish.hold_hz", 0.0), &voicing(7))),
    }
}

#[test]
fn a_dial_moves_what_it_promises() {
    let mut astray = Vec::new();
    let mut moves = 0;
    for (name, patch) in patches() {
        for dial in dials(patch) {
            let at = position(patch, dial).unwrap();
            // The shortest swells and the first grain are below hearing.
            let by = if matches!(dial, Dial::Swell | Dial::Grain) { 30.0 } else { 12.0 };
            let (low, high) = ((at - by).max(0.0), (at + by).min(100.0));
            // Above some 10 kHz most voices have nothing left to be dimmed.
            let low = if dial == Dial::Brightness { low.min(75.0) } else { low };
            let (less, more) = (promised(&set(patch, dial, low), dial), promised(&set(patch, dial, high), dial));
            moves += 1;
            let least = if dial == Dial::Brightness { 0.999 * less } else { less };
            let all = || promised(&set(patch, dial, 30.0), dial) < promised(&set(patch, dial, 100.0), dial);
            if more <= least || (dial == Dial::Brightness && at - by > 75.0 && !all()) {
                astray.push(format!("{name}: {} from {low:.1} to {high:.1}: {less:.4} to {more:.4}", dial.id()));
            }
        }
    }
    println!("{moves} moves");
    assert!(astray.is_empty(), "{} of {moves}: {astray:#?}", astray.len());
}
