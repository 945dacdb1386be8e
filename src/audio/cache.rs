//! Buffers, rendered once and shared by all hits that sound alike.

use super::context::refused;
use super::status::Failure;
use super::voicing::VoiceKey;
use crate::synth::Kit;
use std::collections::HashMap;
use web_sys::{AudioBuffer, AudioBufferOptions};

/// The most the buffers together may take, in bytes of sound data: some 5 minutes of one channel at 48 kHz. Beyond it
/// the buffers used longest ago go; a style of the program needs 2 to 8 MB.
pub const LIMIT_BYTES: usize = 64 << 20;

/// The buffers by voice and rate.
#[derive(Default)]
pub struct Cache {
    buffers: HashMap<(VoiceKey, u32), Entry>,
    bytes: usize,
    uses: u64,
}

struct Entry {
    buffer: AudioBuffer,
    bytes: usize,
    used: u64,
}

impl Cache {
    /// Whether the buffer is there.
    pub fn has(&self, key: &VoiceKey, rate: u32) -> bool {
        self.buffers.contains_key(&(key.clone(), rate))
    }

    /// The buffer of `key` at `rate`, rendered now if it has not been; `None` if the kit has no such voice or the
    /// browser no room for it.
    pub fn get(&mut self, key: &VoiceKey, kit: &Kit, rate: u32) -> Option<AudioBuffer> {
        self.uses += 1;
        let place = (key.clone(), rate);
        if let Some(entry) = self.buffers.get_mut(&place) {
            entry.used = self.uses;
            return Some(entry.buffer.clone());
        }
        let samples = key.render(kit, rate)?;
        let buffer = audio_buffer(&[&samples], rate).ok()?;
        let bytes = samples.len() * size_of::<f32>();
        self.buffers.insert(place, Entry { buffer: buffer.clone(), bytes, used: self.uses });
        self.bytes += bytes;
        self.shrink();
        Some(buffer)
    }

    /// How long the buffer of `key` is, in seconds.
    pub fn seconds(&mut self, key: &VoiceKey, kit: &Kit, rate: u32) -> f64 {
        self.get(key, kit, rate).map_or(0.0, |buffer| buffer.duration())
    }

    /// Bytes of sound data held.
    pub fn bytes(&self) -> usize {
        self.bytes
    }

    /// Lets the longest unused go until the limit holds; sources that still play keep their buffers alive themselves.
    fn shrink(&mut self) {
        while self.bytes > LIMIT_BYTES && self.buffers.len() > 1 {
            let oldest = self.buffers.iter().min_by_key(|(_, entry)| entry.used).map(|(place, _)| place.clone());
            let Some(entry) = oldest.and_then(|place| self.buffers.remove(&place)) else { return };
            self.bytes -= entry.bytes;
        }
    }
}

/// A buffer of the browser with these channels (equally long) at `rate`. The bytes are copied in the call: no view of the
/// program's memory outlives it, for such a view dies when the memory grows.
pub fn audio_buffer(channels: &[&[f32]], rate: u32) -> Result<AudioBuffer, Failure> {
    let frames = channels.first().map_or(0, |channel| channel.len()).max(1);
    let options = AudioBufferOptions::new(frames as u32, rate as f32);
    options.set_number_of_channels(channels.len().max(1) as u32);
    let buffer = AudioBuffer::new(&options).map_err(refused)?;
    for (index, channel) in channels.iter().enumerate() {
        buffer.copy_to_channel(channel, index as i32).map_err(refused)?;
    }
    Ok(buffer)
}
