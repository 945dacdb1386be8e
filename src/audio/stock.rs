//! What is rendered ahead of being heard: the buffers a groove needs, a slice at a time so that the page can breathe, and
//! the rooms and noises of the last few tones.

use super::cache::Cache;
use super::engine::now_ms;
use super::graph::ToneBuffers;
use super::plan::plan;
use super::status::Failure;
use super::voicing::VoiceKey;
use crate::rhythm::Groove;
use crate::schedule::Start;
use crate::synth::{Kit, Tone};
use std::collections::VecDeque;
use std::sync::Arc;

/// The most rendering one task does, in ms, before it lets the page breathe.
const SLICE_MS: f64 = 12.0;
/// How many tones' rooms and noises are kept.
const TONES_KEPT: usize = 4;

/// Buffers, and what is still to be rendered.
#[derive(Default)]
pub struct Stock {
    /// The buffers that are there.
    pub cache: Cache,
    tones: Vec<ToneBuffers>,
    /// A tone to be rendered before the voices, in slices of its own: the room, then the surface.
    tone_waiting: Option<Tone>,
    half_tone: Option<ToneBuffers>,
    waiting: VecDeque<(VoiceKey, Arc<Kit>)>,
}

impl Stock {
    /// Whether anything waits to be rendered.
    pub fn is_waiting(&self) -> bool {
        self.tone_waiting.is_some() || self.half_tone.is_some() || !self.waiting.is_empty()
    }

    /// Queues the buffers one pass of `groove` needs at `rate`, in place of what was queued for an earlier state.
    pub fn queue(&mut self, groove: &Arc<Groove>, kit: &Arc<Kit>, rate: u32) {
        let keys = plan(groove, kit, 1, Start::default(), rate).keys();
        let missing = keys.into_iter().filter(|key| !self.cache.has(key, rate)).map(|key| (key, Arc::clone(kit)));
        self.waiting = missing.collect();
    }

    /// Queues the room and noise of `tone`.
    pub fn queue_tone(&mut self, tone: &Tone) {
        self.tone_waiting = Some(*tone);
    }

    /// Renders waiting buffers for a little while.
    pub fn render_slice(&mut self, rate: u32) {
        // A failure shows when it is played.
        if let Some(half) = self.half_tone.take() {
            if let Ok(buffers) = half.with_surface() {
                self.keep(buffers);
            }
            return;
        }
        if let Some(tone) = self.tone_waiting.take() {
            if !self.tones.iter().any(|buffers| buffers.fit(&tone, rate)) {
                self.half_tone = ToneBuffers::room(&tone, rate).ok();
            }
            return;
        }
        let begun = now_ms();
        while let Some((key, kit)) = self.waiting.pop_front() {
            self.cache.get(&key, &kit, rate);
            if now_ms() - begun > SLICE_MS {
                return;
            }
        }
    }

    /// Renders what one pass of `groove` needs, for at most `limit_ms`: the rest comes on demand.
    pub fn render_for(&mut self, groove: &Arc<Groove>, kit: &Arc<Kit>, rate: u32, limit_ms: f64) {
        let begun = now_ms();
        for key in plan(groove, kit, 1, Start::default(), rate).keys() {
            if now_ms() - begun > limit_ms {
                return;
            }
            self.cache.get(&key, kit, rate);
        }
    }

    /// The room and noise of `tone`.
    pub fn tone(&mut self, tone: &Tone, rate: u32) -> Result<ToneBuffers, Failure> {
        let half = self.half_tone.take_if(|half| half.fit(tone, rate));
        let buffers = match self.tones.iter().position(|buffers| buffers.fit(tone, rate)) {
            Some(index) => self.tones.remove(index),
            None => half.map_or_else(|| ToneBuffers::render(tone, rate), ToneBuffers::with_surface)?,
        };
        self.keep(buffers.clone());
        Ok(buffers)
    }

    fn keep(&mut self, buffers: ToneBuffers) {
        self.tones.truncate(TONES_KEPT - 1);
        self.tones.insert(0, buffers);
    }
}
