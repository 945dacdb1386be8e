//! A plan rendered faster than it sounds, through the same graph as live: for recordings and for tests.

use super::cache::{Cache, audio_buffer};
use super::click;
use super::context::refused;
use super::graph::{Graph, ToneBuffers};
use super::plan::Plan;
use super::status::Failure;
use crate::rhythm::Seconds;
use crate::schedule::Instrument;
use crate::synth::{Kit, Tone};
use wasm_bindgen::JsCast;
use wasm_bindgen_futures::JsFuture;
use web_sys::{AudioBuffer, OfflineAudioContext};

/// The longest render, in seconds: the whole result is held in memory, 23 MB a minute at 48 kHz.
pub const LONGEST_SECONDS: f64 = 600.0;

/// Why nothing was rendered.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum OfflineError {
    /// Longer than [`LONGEST_SECONDS`].
    TooLong,
    /// The browser refused.
    Failed(Failure),
}

impl From<Failure> for OfflineError {
    fn from(failure: Failure) -> OfflineError {
        OfflineError::Failed(failure)
    }
}

/// Renders `plan` until `tail` seconds after its last pass: left and right, bounded by the graph's last shaper to ±0.98.
///
/// # Errors
/// If it is too long, or the browser refuses a node or the render.
pub async fn render(plan: &Plan, kit: &Kit, tone: &Tone, tail: f64) -> Result<[Vec<f32>; 2], OfflineError> {
    let rate = f64::from(plan.rate);
    let frames = (plan.end + Seconds(tail.max(0.0)).to_frames(rate)).0.max(1);
    if frames as f64 > LONGEST_SECONDS * rate {
        return Err(OfflineError::TooLong);
    }
    let context =
        OfflineAudioContext::new_with_number_of_channels_and_length_and_sample_rate(2, frames as u32, plan.rate as f32)
            .map_err(refused)?;
    let mut graph = Graph::new(&context, &ToneBuffers::render(tone, plan.rate)?, 1.0, 0.0)?;
    let mut cache = Cache::default();
    let clicks = [click::render(false, plan.rate), click::render(true, plan.rate)];
    let mut sources = Vec::with_capacity(plan.events.len());
    for planned in &plan.events {
        let (event, voiced) = (&planned.event, &planned.voiced);
        sources.push(match event.instrument {
            Instrument::Click { accent } => {
                let [plain, accented] = &clicks;
                let buffer = audio_buffer(&[if accent { accented } else { plain }], plan.rate)?;
                graph.start_click(voiced, &buffer, event.frame.0)?
            }
            Instrument::Role(_) => {
                let Some(buffer) = cache.get(&voiced.key, kit, plan.rate) else { continue };
                let lane = event.key.lane().map(|lane| (lane, true));
                let wander = tone.wander_cents_at(event.frame.to_seconds(rate).0);
                graph.start(voiced, &buffer, lane, event.frame.0, wander)?
            }
        });
    }
    graph.tend(0.0, frames as f64 / rate);
    let promise = context.start_rendering().map_err(refused)?;
    let rendered = JsFuture::from(promise).await.map_err(refused)?;
    let rendered: AudioBuffer = rendered.dyn_into().map_err(refused)?;
    let left = rendered.get_channel_data(0).map_err(refused)?;
    let right = rendered.get_channel_data(1).map_err(refused)?;
    // The sources and the graph must outlive the render.
    drop((sources, graph));
    Ok([left, right])
}
