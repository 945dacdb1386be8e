//! Whether the sounds of every style are pleasant and what they are said to be, as far as figures tell: drums with body
//! and edge, hats that do not pierce, low voices that a small loudspeaker keeps, dark styles dark and bright ones bright.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::print_stdout,
    reason = "a test may stop at the first surprise, and prints its table"
)]

#[path = "styles/mod.rs"]
mod styles;

use stickleback::audio::plan;
use stickleback::role::Role;
use stickleback::schedule::Start;
use stickleback::synth::filter::{Biquad, FLAT_DB};
use stickleback::synth::spectrum::Spectrum;
use stickleback::synth::{LAYERS, Voice, Voicing, render};

const RATE: u32 = 48_000;

fn stroke(voice: &Voice, role: Role) -> Vec<f32> {
    let pitches: &[f64] = match role {
        Role::SubBass | Role::Bass | Role::LogDrum => &[36.0],
        Role::Chord | Role::ChordBubble | Role::HornStab => &[57.0, 60.0, 64.0],
        _ => &[],
    };
    render(&voice.patch, &Voicing { layer: LAYERS - 1, pitches, variation: 0, rate: RATE, length: Some(1.0) })
}

/// The strongest third of an octave against the mean of the two beside it a fifth away, dB: how far one ringing
/// frequency sticks out between 2 and 8 kHz, where the ear is most easily hurt.
fn ringing_db(spectrum: &Spectrum) -> f64 {
    let band = |hz: f64| spectrum.share(hz / 1.06, hz * 1.06).max(1e-9);
    let whole = spectrum.share(2000.0, 8000.0);
    let sticking =
        (0..24).map(|i| 2000.0 * 2f64.powf(f64::from(i) / 12.0)).filter(|&hz| band(hz) > 0.1 * whole.max(1e-6));
    let sticking = sticking.filter(|&hz| band(hz) > 0.02);
    sticking.map(|hz| 10.0 * (2.0 * band(hz) / (band(hz / 1.26) + band(hz * 1.26))).log10()).fold(0.0, f64::max)
}

/// The level of what lies above `hz` against the whole, dB.
fn above(spectrum: &Spectrum, hz: f64) -> f64 {
    10.0 * spectrum.share(hz, 24_000.0).max(1e-9).log10()
}

/// The role's figures that are off, if any; prints one line.
fn judge(name: &str, role: Role, voice: &Voice, low_pass_hz: f64, dark: bool) -> Vec<String> {
    let samples = stroke(voice, role);
    let mut heard: Vec<f64> = samples.iter().map(|&x| f64::from(x)).collect();
    Biquad::low_pass(low_pass_hz.min(20_000.0), FLAT_DB, f64::from(RATE)).run_all(&mut heard);
    let heard = Spectrum::of(&heard.iter().map(|&x| x as f32).collect::<Vec<_>>(), RATE);
    let spectrum = Spectrum::of(&samples, RATE);
    let mean = samples.iter().map(|&x| f64::from(x)).sum::<f64>() / samples.len() as f64;
    let click = samples.last().map_or(0.0, |x| x.abs());
    let first = samples.first().map_or(0.0, |x| x.abs());
    let ringing = ringing_db(&spectrum);
    let mut off = Vec::new();
    let mut must = |holds: bool, what: String| {
        if !holds {
            off.push(format!("{name} {role}: {what}"));
        }
    };
    must(mean.abs() < 1e-4, format!("mean {mean:.5}"));
    must(click < 1e-3, format!("ends at {click}"));
    let kept = 10.0 * spectrum.share(250.0, 24_000.0).max(1e-9).log10();
    let told = match role {
        Role::Kick => {
            let (body, edge) = (spectrum.share(40.0, 110.0), above(&spectrum, 1000.0));
            let deep = spectrum.peak_hz(30.0, 200.0);
            // The break's kick has gone up with the tape.
            let highest = if name == "jungle" { 92.0 } else { 85.0 };
            must((40.0..=highest).contains(&deep), format!("body at {deep:.0} Hz"));
            must(body > 0.35, format!("{body:.2} from 40 to 110 Hz"));
            must((if dark { -40.0 } else { -32.0 }..=-3.0).contains(&edge), format!("click {edge:.1} dB"));
            format!("body {deep:3.0} Hz, {body:4.2} in 40-110, above 1 kHz {edge:5.1} dB")
        }
        Role::Snare => {
            let (body, noise) = (spectrum.share(120.0, 500.0), spectrum.share(1000.0, 12_000.0));
            must(body > 0.03 && noise > 0.1, format!("body {body:.2}, noise {noise:.2}"));
            format!("body {body:4.2}, noise {noise:4.2}")
        }
        Role::HatClosed | Role::HatOpen | Role::HatPedal => {
            let (air, centre) = (above(&heard, 12_000.0), heard.centroid_hz());
            must(air < if dark { -12.0 } else { -1.5 }, format!("{air:.1} dB above 12 kHz"));
            format!("centre {centre:5.0} Hz, above 12 kHz {air:5.1} dB")
        }
        _ => format!("centre {:5.0} Hz", spectrum.centroid_hz()),
    };
    if matches!(role, Role::Kick | Role::Bass | Role::SubBass | Role::LogDrum | Role::SurdoLow | Role::SurdoHigh) {
        must(kept > -20.0, format!("{kept:.1} dB above 250 Hz"));
    }
    // Bells, wood and tuned parts ring by nature.
    let rings = role.is_pitched() || matches!(voice.patch.model.id(), "bell" | "wood" | "squeak" | "tambourine");
    must(rings || ringing < 9.0, format!("rings by {ringing:.1} dB"));
    println!("  {:12} {told}, above 250 Hz {kept:5.1} dB, ringing {ringing:4.1} dB, first {first:.3}", role.id());
    off
}

/// The styles that say they are dark, and those that say they are bright.
const DARK: [&str; 3] = ["lo-fi-hip-hop", "muted-slow-jam", "trap-soul"];
const BRIGHT: [&str; 4] = ["boom-bap", "disco-pop", "drum-and-bass", "trap"];

#[test]
fn every_voice_is_pleasant() {
    let mut off = Vec::new();
    for (name, _, kit) in styles::styles() {
        println!("{name}");
        let dark = DARK.contains(&name.as_str());
        for (&role, voice) in &kit.voices {
            off.extend(judge(&name, role, voice, kit.tone.figures.low_pass_hz, dark));
        }
    }
    assert!(off.is_empty(), "{} off: {off:#?}", off.len());
}

#[test]
fn dark_styles_are_dark_and_bright_ones_bright() {
    let mut order: Vec<(f64, f64, String)> = Vec::new();
    for (name, groove, kit) in styles::styles() {
        let mut tone = kit.tone;
        tone.figures.surface_noise_db = -120.0;
        let [left, _] = plan(&groove, &kit, 1, Start::default(), RATE).render(&kit, &tone, 0.0);
        let spectrum = Spectrum::of(&left, RATE);
        let mean = left.iter().map(|&x| f64::from(x)).sum::<f64>() / left.len() as f64;
        assert!(mean.abs() < 1e-3, "{name}: mean {mean}");
        let top = 10.0 * (spectrum.share(9000.0, 24_000.0) / spectrum.share(1000.0, 9000.0)).max(1e-9).log10();
        order.push((top, spectrum.centroid_hz(), name));
    }
    order.sort_by(|a, b| a.0.total_cmp(&b.0));
    for (air, centre, name) in &order {
        println!("{name:28} top over middle {air:6.1} dB, centre {centre:5.0} Hz");
    }
    let place = |wanted: &str| order.iter().position(|(_, _, name)| name == wanted).unwrap();
    for dark in DARK {
        assert!(place(dark) < 6, "{dark} is number {} of the dark", place(dark));
        for bright in BRIGHT {
            let gap = order[place(bright)].0 - order[place(dark)].0;
            assert!(gap > 6.0, "{bright} is only {gap:.1} dB brighter than {dark}");
        }
    }
    assert!(place("muted-slow-jam") < place("lo-fi-hip-hop") && place("lo-fi-hip-hop") < 3);
}
