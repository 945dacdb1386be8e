//! A plan rendered faster than it sounds, through the same graph as live: for recordings and for tests.
//!
//! The engine renders in a thread of its own and is halted once a second of sound: only what comes next is handed to it (an
//! engine looks at every source it holds in every block), what is over is taken away, and whoever waits is told how far it
//! is. Engines that cannot halt are handed all at once.

use super::breath::Breath;
use super::cache::{Cache, audio_buffer};
use super::click;
use super::context::{property, refused};
use super::graph::{Graph, ToneBuffers};
use super::plan::{Plan, Planned};
use super::source::Source;
use super::status::Failure;
use crate::rhythm::Seconds;
use crate::schedule::Instrument;
use crate::synth::{Kit, Tone};
use js_sys::{Function, Promise};
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::JsFuture;
use web_sys::{AudioBuffer, OfflineAudioContext};

/// The longest render, in seconds of all passes: the whole result is held in memory, 23 MB a minute at 48 kHz.
pub const LONGEST_SECONDS: f64 = 600.0;
/// The longest tail, in seconds.
const LONGEST_TAIL: f64 = 20.0;
/// Frames the engine renders at a time.
const BLOCK: i64 = 128;

/// Why nothing was rendered.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum OfflineError {
    /// Longer than [`LONGEST_SECONDS`].
    TooLong,
    /// Whoever waited for it waits no longer.
    GivenUp,
    /// The browser refused.
    Failed(Failure),
}

impl From<Failure> for OfflineError {
    fn from(failure: Failure) -> OfflineError {
        OfflineError::Failed(failure)
    }
}

/// What was rendered: two channels, kept by the browser outside the program's own memory.
pub struct Recorded(AudioBuffer);

impl Recorded {
    /// How many frames it has.
    pub fn frames(&self) -> usize {
        self.0.length() as usize
    }

    /// Reads the frames from `from` on into `into`, left and right.
    ///
    /// # Errors
    /// If the browser refuses.
    pub fn read(&self, from: usize, into: [&mut [f32]; 2]) -> Result<(), Failure> {
        for (channel, samples) in into.into_iter().enumerate() {
            let from = from as u32;
            self.0.copy_from_channel_with_start_in_channel(samples, channel as i32, from).map_err(refused)?;
        }
        Ok(())
    }
}

/// Renders `plan` until `tail` seconds after its last pass: left and right, bounded by the graph's last shaper to ±0.98.
///
/// # Errors
/// If it is too long, or the browser refuses a node or the render.
pub async fn render(plan: &Plan, kit: &Kit, tone: &Tone, tail: f64) -> Result<[Vec<f32>; 2], OfflineError> {
    let recorded = record(plan, kit, tone, Some(tail), &|_| true).await?;
    let [mut left, mut right] = [(); 2].map(|()| vec![0.0; recorded.frames()]);
    recorded.read(0, [&mut left, &mut right])?;
    Ok([left, right])
}

/// Renders `plan` until `tail` seconds after its last pass, or until all has rung out if none is given, and calls
/// `told` with the share that is done, 0 to 1; when that answers false, the render ends. No task of it is long.
///
/// # Errors
/// If it is too long, the browser refuses a node or the render, or `told` ends it.
pub async fn record(
    plan: &Plan,
    kit: &Kit,
    tone: &Tone,
    tail: Option<f64>,
    told: &dyn Fn(f64) -> bool,
) -> Result<Recorded, OfflineError> {
    let rate = f64::from(plan.rate);
    if (plan.end - plan.origin).to_seconds(rate).0 > LONGEST_SECONDS + 1e-3 {
        return Err(OfflineError::TooLong);
    }
    let go_on = |share: f64| if told(share) { Ok(()) } else { Err(OfflineError::GivenUp) };
    let mut breath = Breath::new();
    let mut cache = Cache::default();
    for key in plan.keys() {
        cache.get(&key, kit, plan.rate);
        breath.take().await;
        go_on(0.0)?;
    }
    let tail = tail.unwrap_or_else(|| plan.tail(tone, |key| cache.seconds(key, kit, plan.rate)));
    let frames = (plan.end + Seconds(tail.clamp(0.0, LONGEST_TAIL)).to_frames(rate)).0.max(1);
    let half = ToneBuffers::room(tone, plan.rate)?;
    breath.take().await;
    let tones = half.with_surface()?;
    breath.take().await;
    let context =
        OfflineAudioContext::new_with_number_of_channels_and_length_and_sample_rate(2, frames as u32, plan.rate as f32)
            .map_err(refused)?;
    let graph = Graph::new(&context, &tones, 1.0, 0.0)?;
    let clicks = [
        audio_buffer(&[&click::render(false, plan.rate)], plan.rate)?,
        audio_buffer(&[&click::render(true, plan.rate)], plan.rate)?,
    ];
    breath.take().await;
    let mut render = Render { plan, kit, tone, graph, cache, clicks, sources: Vec::new(), next: 0 };

    let stretch = ((rate / BLOCK as f64).round() as i64).max(1) * BLOCK;
    let mut to = stretch;
    let mut halt = if to < frames { halt_at(&context, to as f64 / rate) } else { None };
    render.hand_over(if halt.is_some() { to } else { frames }, &mut breath).await?;
    let rendered = context.start_rendering().map_err(refused)?;
    while let Some(halted) = halt.take() {
        JsFuture::from(halted).await.map_err(refused)?;
        let ended = go_on(to as f64 / frames as f64).err();
        if ended.is_none() {
            to += stretch;
            halt = if to < frames { halt_at(&context, to as f64 / rate) } else { None };
            render.sources.retain(|source| source.over() > context.current_time());
            render.hand_over(if halt.is_some() { to } else { frames }, &mut breath).await?;
        }
        let going = context.resume().map_err(refused)?;
        if let Some(ended) = ended {
            // Left halted it would be kept for ever; with its nodes gone it runs through in silence.
            return Err(ended);
        }
        JsFuture::from(going).await.map_err(refused)?;
    }
    let rendered = JsFuture::from(rendered).await.map_err(refused)?;
    go_on(1.0)?;
    // The sources and the graph had to outlive the render.
    drop(render);
    Ok(Recorded(rendered.dyn_into().map_err(refused)?))
}

/// Asks `context` to halt at `seconds`; `None` if the engine has not learnt to.
fn halt_at(context: &OfflineAudioContext, seconds: f64) -> Option<Promise> {
    let ask = property(context, "suspend")?.dyn_into::<Function>().ok()?;
    ask.call1(context, &JsValue::from_f64(seconds)).ok()?.dyn_into().ok()
}

/// A render under way.
struct Render<'a> {
    plan: &'a Plan,
    kit: &'a Kit,
    tone: &'a Tone,
    graph: Graph,
    cache: Cache,
    clicks: [AudioBuffer; 2],
    sources: Vec<Source>,
    next: usize,
}

impl Render<'_> {
    /// Hands the engine what begins before the frame `to`.
    async fn hand_over(&mut self, to: i64, breath: &mut Breath) -> Result<(), OfflineError> {
        // A halt is rounded up to the engine's next block.
        let reach = to + 2 * BLOCK;
        while let Some(planned) = self.plan.events.get(self.next).filter(|planned| planned.event.frame.0 < reach) {
            self.next += 1;
            let source = self.start(planned)?;
            self.sources.extend(source);
            breath.take().await;
        }
        self.graph.tend(0.0, reach as f64 / self.graph.rate());
        Ok(())
    }

    fn start(&mut self, Planned { event, voiced }: &Planned) -> Result<Option<Source>, Failure> {
        let frame = event.frame.0;
        if let Instrument::Click { accent } = event.instrument {
            let [plain, accented] = &self.clicks;
            return self.graph.start_click(voiced, if accent { accented } else { plain }, frame).map(Some);
        }
        let Some(buffer) = self.cache.get(&voiced.key, self.kit, self.plan.rate) else { return Ok(None) };
        let lane = event.key.lane().map(|lane| (lane, true));
        let wander = self.tone.wander_cents_at(event.frame.to_seconds(self.graph.rate()).0);
        self.graph.start(voiced, &buffer, lane, frame, wander).map(Some)
    }
}
