//! Voices sampled: of every model one stroke or more, as some of its samples, so that two builds can be held against each
//! other without either having the other's buffers.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test may stop at the first surprise")]

use serde_json::{Map, Value, json};
use stickleback::lesson::kit::read_kit;
use stickleback::synth::{Kit, Voicing, render};

const RATE: u32 = 44_100;
/// Samples kept of a stroke.
const KEPT: usize = 32;
/// How far samples of two builds may be apart.
pub const APART: f64 = 1e-5;

/// What the native build has rendered; `cargo test --test voice_samples -- --ignored` writes it.
pub const RECORDED: &str = include_str!("../data/voice_samples.json");

macro_rules! kits {
    ($($id:literal)*) => { [$(($id, include_str!(concat!("../../lessons/kits/", $id, ".json")))),*] };
}

/// Kits that between them have every model.
const KITS: [(&str, &str); 6] = kits!("gospel-shout" "amapiano" "jersey-club" "cumbia" "boom-bap" "hardstyle");

fn kits() -> impl Iterator<Item = (&'static str, Kit)> {
    KITS.iter().map(|(id, text)| (*id, read_kit(text).unwrap_or_else(|faults| panic!("{id}: {faults:?}"))))
}

/// A stroke of every voice: how many frames, and samples spread over it.
pub fn sampled() -> Value {
    let strokes = kits().flat_map(|(id, kit)| {
        kit.voices.clone().into_iter().map(move |(role, voice)| {
            let voicing = Voicing { layer: 5, pitches: &[], variation: 1, rate: RATE, length: Some(1.0) };
            let buffer = render(&voice.patch, &voicing);
            let sample = |number: usize| f64::from(buffer[number * buffer.len() / KEPT]);
            let samples: Vec<Value> = (0..KEPT).map(|number| json!((sample(number) * 1e7).round() / 1e7)).collect();
            (
                format!("{id} {role}"),
                json!({ "model": voice.patch.model.id(), "frames": buffer.len(), "samples": samples }),
            )
        })
    });
    Value::Object(strokes.collect::<Map<String, Value>>())
}

/// The greatest distance between this build's samples and those recorded, with the stroke's name, and how many strokes were
/// compared.
pub fn farthest() -> (f64, String, usize) {
    let recorded: Value = serde_json::from_str(RECORDED).unwrap();
    let here = sampled();
    let (recorded, here) = (recorded.as_object().unwrap(), here.as_object().unwrap());
    assert_eq!(recorded.keys().collect::<Vec<_>>(), here.keys().collect::<Vec<_>>());
    let (mut worst, mut which) = (0.0, String::new());
    for (name, stroke) in here {
        assert_eq!(stroke["frames"], recorded[name]["frames"], "{name}");
        let values =
            |of: &Value| of["samples"].as_array().unwrap().iter().map(|x| x.as_f64().unwrap()).collect::<Vec<_>>();
        for (a, b) in values(stroke).iter().zip(values(&recorded[name])) {
            let apart = (a - b).abs();
            if apart > worst {
                (worst, which) = (apart, name.clone());
            }
        }
    }
    (worst, which, here.len())
}
