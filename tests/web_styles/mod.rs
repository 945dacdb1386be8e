//! Styles of contrast through the browser's own nodes, held against the plain bus; and voices as this build renders them,
//! held against the native build's.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test may stop at the first surprise")]

#[path = "../samples/mod.rs"]
mod samples;

use std::sync::Arc;
use stickleback::audio::levels::LOUDNESS;
use stickleback::audio::{offline, plan};
use stickleback::lesson::kit::read_kit;
use stickleback::lesson::style_file;
use stickleback::rhythm::Groove;
use stickleback::schedule::Start;
use stickleback::synth::Kit;
use stickleback::synth::loudness::integrated;
use stickleback::synth::spectrum::Spectrum;
use wasm_bindgen_test::{console_log, wasm_bindgen_test};

const RATE: u32 = 48_000;
/// Bands this far below the loudest are not heard beside it, dB.
const UNHEARD_DB: f64 = -60.0;

macro_rules! styles {
    ($($id:literal)*) => {
        [$((
            $id,
            include_str!(concat!("../../lessons/styles/", $id, ".json")),
            include_str!(concat!("../../lessons/kits/", $id, ".json")),
        )),*]
    };
}

/// Worn tape, a fast dry break, a large acoustic group, a glided bass under ducking, a driven and a gated kit.
const STYLES: [(&str, &str, &str); 6] =
    styles!("boom-bap" "jungle" "samba-batucada" "amapiano" "hardstyle" "eighties-synth-pop");

fn styles() -> impl Iterator<Item = (&'static str, Arc<Groove>, Kit)> {
    STYLES.iter().map(|(id, style, kit)| {
        let groove = style_file::read(style).unwrap_or_else(|faults| panic!("{id}: {faults:?}")).groove;
        let kit = read_kit(kit).unwrap_or_else(|faults| panic!("{id}: {faults:?}"));
        assert_eq!(groove.sound.kit.as_str(), *id, "the style plays its own kit");
        (*id, Arc::new(groove), kit)
    })
}

/// Levels in dB of the third-octave bands from 31.5 Hz to 16 kHz (IEC 61260-1, base ten).
fn third_octaves(samples: &[f32]) -> Vec<(f64, f64)> {
    let spectrum = Spectrum::of(samples, RATE);
    let power = samples.iter().map(|x| f64::from(x * x)).sum::<f64>() / samples.len() as f64;
    let level = |number: i32| {
        let middle = 1000.0 * 10f64.powf(f64::from(number) / 10.0);
        let half = 10f64.powf(0.05);
        (middle, 10.0 * (power * spectrum.share(middle / half, middle * half)).max(1e-20).log10())
    };
    (-15..=12).map(level).collect()
}

#[wasm_bindgen_test]
async fn native_nodes_play_styles_as_the_plain_bus_does() {
    for (name, groove, kit) in styles() {
        let plan = plan(&groove, &kit, 2, Start::default(), RATE);
        let native = offline::render(&plan, &kit, &kit.tone, 1.0).await.unwrap();
        let plain = plan.render(&kit, &kit.tone, 1.0);
        assert_eq!(native[0].len(), plain[0].len(), "{name}");
        let mut worst = (0.0_f64, 0.0);
        for (native, plain) in native.iter().zip(&plain) {
            let (native, plain) = (third_octaves(native), third_octaves(plain));
            let loudest = plain.iter().map(|(_, level)| *level).fold(f64::MIN, f64::max);
            for ((hz, a), (_, b)) in native.iter().zip(&plain).filter(|(_, (_, b))| *b > loudest + UNHEARD_DB) {
                if (a - b).abs() > worst.0 {
                    worst = ((a - b).abs(), *hz);
                }
            }
        }
        let onset = |samples: &[f32]| samples.iter().position(|x| x.abs() > 0.02).unwrap();
        let (heard, want) = (onset(&native[0]), onset(&plain[0]));
        let lufs = |[left, right]: &[Vec<f32>; 2]| integrated(&[left, right], RATE);
        let (loud, plain_loud) = (lufs(&native), lufs(&plain));
        console_log!(
            "{name}: third-octave bands within {:.2} dB (at {:.0} Hz); first onset at frame {heard} for {want}; \
             {loud:.2} LUFS for {plain_loud:.2}",
            worst.0,
            worst.1
        );
        assert!(worst.0 < 1.0, "{name}: {worst:?}");
        assert_eq!(heard, want, "{name}");
        assert!((loud - LOUDNESS).abs() <= 1.0, "{name}: {loud} LUFS");
    }
}

#[wasm_bindgen_test]
fn voices_are_those_of_the_native_build() {
    let (worst, which, strokes) = samples::farthest();
    console_log!("{strokes} strokes of every model: {worst:e} apart at most ({which})");
    assert!(strokes > 30 && worst < samples::APART, "{which}: {worst}");
}
