//! The picture of a sound: its wave with level and pitch over time, and its spectrum, in ink. It is drawn anew, once a
//! frame at most, while the sound is changed.

use crate::synth::audition::stroke;
use crate::synth::portrait::{BAND_ENDS, FLOOR_DB, Grid, Portrait, portrait};
use crate::synth::{Part, Patch};
use crate::words::voices as told;
use core::fmt::Write;
use leptos::prelude::*;

/// The rate at which pictures are made, Hz: enough for what is drawn.
const RATE: u32 = 48_000;
/// Width and height of the wave's drawing, and width of the spectrum's.
const SIZE: (f64, f64) = (480.0, 150.0);
const SPECTRUM_WIDTH: f64 = 300.0;
/// Columns of the wave, and bands of the spectrum: sixths of an octave.
const COLUMNS: usize = 160;
const BANDS: usize = 60;
/// The lowest and highest pitch drawn, Hz.
const PITCHES: (f64, f64) = (30.0, 1000.0);

/// A drawn sound and what it is in words.
#[derive(Clone, Default, PartialEq)]
struct Drawn {
    wave: String,
    spectrum: String,
    told: String,
}

/// The picture of a stroke of `patch`, or of these of its parts.
#[component]
pub fn Picture(patch: Signal<Patch>, parts: Signal<Vec<Part>>) -> impl IntoView {
    let drawn = RwSignal::new(Drawn::default());
    let pending = StoredValue::new(false);
    Effect::new(move |_| {
        patch.track();
        parts.track();
        if pending.get_value() {
            return;
        }
        pending.set_value(true);
        request_animation_frame(move || {
            // The room may have been left meanwhile.
            if pending.try_set_value(false).is_none()
                && let (Some(patch), Some(parts)) = (patch.try_get_untracked(), parts.try_get_untracked())
            {
                let _ = drawn.try_set(draw(&patch, &parts));
            }
        });
    });
    let figure = move |class: &'static str, width: f64, of: fn(&Drawn) -> String, caption: &'static str| {
        let view_box = format!("0 0 {width} {}", SIZE.1);
        view! {
            <figure class=class>
                <svg viewBox=view_box aria-hidden="true" inner_html=move || drawn.with(of)></svg>
                <figcaption>{caption}</figcaption>
            </figure>
        }
    };
    view! {
        <div class="voice-picture" role="img" aria-label=move || drawn.with(|drawn| drawn.told.clone())>
            {figure("voice-wave", SIZE.0, |drawn| drawn.wave.clone(), told::room::OVER_TIME)}
            {figure("voice-spectrum", SPECTRUM_WIDTH, |drawn| drawn.spectrum.clone(), told::room::BY_PITCH)}
        </div>
    }
    .into_any()
}

fn draw(patch: &Patch, parts: &[Part]) -> Drawn {
    let samples = stroke(patch, parts, 127, RATE);
    let whole = samples.len() as f64 / f64::from(RATE);
    // What is nearly silent has no room in the picture, but the picture's length moves in few jumps.
    let last = samples.iter().rposition(|x| x.abs() > 0.004).unwrap_or(0) as f64 / f64::from(RATE);
    let seconds = [0.1, 0.2, 0.4, 0.8, 1.6, 3.2].into_iter().find(|&seconds| last <= seconds).unwrap_or(whole);
    let drawn = portrait(&samples, RATE, Grid { columns: COLUMNS, seconds, bands: BANDS });
    Drawn { wave: wave(&drawn, seconds), spectrum: spectrum(&drawn), told: told::picture(&drawn, seconds) }
}

fn wave(drawn: &Portrait, seconds: f64) -> String {
    let (width, height) = SIZE;
    let x = |column: usize| width * column as f64 / COLUMNS as f64;
    let middle = 0.5 * height;
    let (mut upper, mut lower) = (String::new(), String::new());
    for (column, (low, high)) in drawn.wave.iter().enumerate() {
        let _ = write!(upper, "L{:.1} {:.1}", x(column), middle - f64::from(*high) * 0.46 * height);
        lower.insert_str(0, &format!("L{:.1} {:.1}", x(column), middle - f64::from(*low) * 0.46 * height));
    }
    let mut level = String::new();
    for (column, db) in drawn.level_db.iter().enumerate() {
        let y = height * (f64::from(*db) / f64::from(FLOOR_DB)).clamp(0.0, 1.0);
        let _ = write!(level, "{}{:.1} {y:.1}", if column == 0 { 'M' } else { 'L' }, x(column));
    }
    let mut pitch = String::new();
    let mut before = None;
    for (column, hz) in drawn.pitch_hz.iter().enumerate() {
        if let Some(hz) = hz {
            let share = (f64::from(*hz) / PITCHES.0).log2() / (PITCHES.1 / PITCHES.0).log2();
            let y = height * (1.0 - share.clamp(0.0, 1.0));
            let joins = before.is_some_and(|before| before + 4 > column);
            let _ = write!(pitch, "{}{:.1} {y:.1}", if joins { 'L' } else { 'M' }, x(column));
            before = Some(column);
        }
    }
    let mut ruling = format!("M0 {middle:.1}H{width}");
    let tenths = (seconds * 10.0).round() as usize;
    let mut labels = String::new();
    let every = tenths.div_ceil(8).max(1);
    for tenth in (every..tenths).step_by(every) {
        let at = width * tenth as f64 / (seconds * 10.0);
        let _ = write!(ruling, "M{at:.1} 0V{height}");
        let _ = write!(labels, "<text x=\"{:.1}\" y=\"{:.1}\">{} ms</text>", at + 3.0, height - 4.0, tenth * 100);
    }
    format!(
        "<path class=\"rule\" d=\"{ruling}\"/><path class=\"wave\" d=\"M0 {middle:.1}{upper}{lower}Z\"/>\
         <path class=\"level\" d=\"{level}\"/><path class=\"pitch\" d=\"{pitch}\"/>{labels}"
    )
}

fn spectrum(drawn: &Portrait) -> String {
    let height = SIZE.1;
    let octaves = (BAND_ENDS.1 / BAND_ENDS.0).log2();
    let x = |hz: f64| SPECTRUM_WIDTH * (hz / BAND_ENDS.0).log2() / octaves;
    let (mut ruling, mut labels) = (String::new(), String::new());
    for (hz, name) in [(50.0, "50"), (200.0, "200"), (1000.0, "1k"), (5000.0, "5k Hz")] {
        let _ = write!(ruling, "M{:.1} 0V{height}", x(hz));
        let _ = write!(labels, "<text x=\"{:.1}\" y=\"11\">{name}</text>", x(hz) + 3.0);
    }
    let mut bars = String::new();
    let wide = SPECTRUM_WIDTH / BANDS as f64;
    for (band, (_, db)) in drawn.spectrum.iter().enumerate() {
        let tall = (height - 16.0) * (1.0 - f64::from(*db) / f64::from(FLOOR_DB)).clamp(0.0, 1.0);
        let _ = write!(bars, "M{:.1} {height}v{:.1}h{:.1}V{height}Z", band as f64 * wide, -tall, 0.7 * wide);
    }
    format!("<path class=\"rule\" d=\"{ruling}\"/><path class=\"wave\" d=\"{bars}\"/>{labels}")
}
