//! How long the buffers take that a groove needs before it can be heard.

use super::reference::Reference;
use super::{Row, least_ms, middle_and_most};
use std::hint::black_box;
use stickleback::audio::plan;
use stickleback::schedule::Start;
use stickleback::synth::{room, surface};

const RATE: u32 = 48_000;

/// Rows for the 43 references: the voices of one pass, and the room and surface noise of their tones.
pub fn rows(references: &[Reference]) -> Vec<Row> {
    let voices = references.iter().map(|reference| {
        let keys = plan(&reference.groove, &reference.kit, 1, Start::default(), RATE).keys();
        let render = || keys.iter().for_each(|key| drop(black_box(key.render(&reference.kit, RATE))));
        (least_ms(render), reference.name.as_str())
    });
    let voices: Vec<(f64, &str)> = voices.collect();
    let tones = references.iter().map(|reference| {
        let tone = reference.kit.tone;
        least_ms(|| {
            black_box(room::impulse(&tone.room, RATE));
            black_box(surface::noise_loop(&tone, RATE));
        })
    });
    let (tone_middle, tone_most) = middle_and_most(tones.collect());
    let (middle, most) = middle_and_most(voices.iter().map(|(ms, _)| *ms).collect());
    let slowest = voices.iter().max_by(|a, b| a.0.total_cmp(&b.0)).map_or("", |(_, name)| name);
    vec![
        Row::bound("native: all buffers of a reference groove, median", 40.0, middle, "ms"),
        Row::bound(format!("native: the slowest of them, {slowest}"), 40.0, most, "ms")
            .because("string and pad voices are rendered to their last echo; their strokes end sooner"),
        Row::told("native: room and surface noise of its tone, median", tone_middle, "ms"),
        Row::told("native: the slowest of these", tone_most, "ms"),
    ]
}
