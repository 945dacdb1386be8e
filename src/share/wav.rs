//! Wave files: sound as whole-number samples in a RIFF file, written block by block.
//!
//! The form is the plain one of "Multimedia Programming Interface and Data Specifications 1.0" (1991), chapter 3: a `RIFF`
//! chunk of the form `WAVE` with a `fmt ` chunk of 16 bytes (format 1, whole numbers) and a `data` chunk. All numbers are
//! little-endian; a chunk of odd size is followed by one byte that counts only for the chunk around it.
//!
//! Samples of 16 bits are dithered: noise of triangular density, one unit wide to either side, is added before rounding,
//! which makes the error of rounding independent of the sound (S. P. Lipshitz, R. A. Wannamaker and J. Vanderkooy,
//! "Quantization and dither: a theoretical survey", Journal of the Audio Engineering Society 40(5), 1992, 355-375). The
//! noise is seeded: the same sound is the same bytes. At 24 bits rounding is far below what any room lets one hear.

use crate::synth::noise::Noise;

/// Bytes before the first sample.
pub const HEADER_BYTES: usize = 44;
/// The most a file may hold, in bytes: sizes are kept in 32 bits.
const MOST_BYTES: u64 = u32::MAX as u64;
/// Bytes of the header that the outer chunk counts.
const COUNTED: u64 = HEADER_BYTES as u64 - 8;
/// The seed of the dither of the first channel.
const SEED: u32 = 20_011;

/// How fine a sample is kept.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Depth {
    /// 16 bits, dithered: what every program reads.
    #[default]
    Sixteen,
    /// 24 bits, for further work on the sound.
    TwentyFour,
}

impl Depth {
    /// Bytes a sample.
    pub const fn bytes(self) -> u64 {
        match self {
            Depth::Sixteen => 2,
            Depth::TwentyFour => 3,
        }
    }

    /// Units from silence to full scale.
    const fn units(self) -> f64 {
        match self {
            Depth::Sixteen => 32_768.0,
            Depth::TwentyFour => 8_388_608.0,
        }
    }
}

/// What is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Format {
    /// Frames a second.
    pub rate: u32,
    /// Channels, 1 or more; a file for listening has 1 or 2.
    pub channels: u16,
    /// How fine.
    pub depth: Depth,
}

/// More than a file of this form can hold: 4 GB.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct TooLong;

impl Format {
    /// Bytes a frame.
    pub fn frame_bytes(&self) -> u64 {
        u64::from(self.channels) * self.depth.bytes()
    }

    /// Bytes of the whole file of `frames` frames, its last odd byte made even.
    pub fn file_bytes(&self, frames: u64) -> u64 {
        let data = frames.saturating_mul(self.frame_bytes());
        (HEADER_BYTES as u64).saturating_add(data).saturating_add(data % 2)
    }

    /// The header of a file of `frames` frames.
    ///
    /// # Errors
    /// If sizes do not fit into 32 bits.
    pub fn header(&self, frames: u64) -> Result<[u8; HEADER_BYTES], TooLong> {
        let data = frames.checked_mul(self.frame_bytes()).ok_or(TooLong)?;
        let riff = data.checked_add(data % 2 + COUNTED).filter(|riff| *riff <= MOST_BYTES).ok_or(TooLong)?;
        let byte_rate = u64::from(self.rate) * self.frame_bytes();
        let words: [&[u8]; 13] = [
            b"RIFF",
            &(riff as u32).to_le_bytes(),
            b"WAVE",
            b"fmt ",
            &16_u32.to_le_bytes(),
            &1_u16.to_le_bytes(),
            &self.channels.to_le_bytes(),
            &self.rate.to_le_bytes(),
            &(byte_rate.min(MOST_BYTES) as u32).to_le_bytes(),
            &(self.frame_bytes() as u16).to_le_bytes(),
            &(8 * self.depth.bytes() as u16).to_le_bytes(),
            b"data",
            &(data as u32).to_le_bytes(),
        ];
        let mut header = [0; HEADER_BYTES];
        for (place, byte) in header.iter_mut().zip(words.concat()) {
            *place = byte;
        }
        Ok(header)
    }
}

/// Samples into bytes, one block after the other.
#[derive(Clone, Debug)]
pub struct Encoder {
    format: Format,
    dither: Vec<Noise>,
    written: u64,
}

impl Encoder {
    /// An encoder at the first frame after the header.
    pub fn new(format: Format) -> Encoder {
        // Read at its own rate, the noise is one draw a value.
        let noise = |channel| Noise::new(SEED + u32::from(channel), 48_000.0);
        Encoder { format, dither: (0..format.channels).map(noise).collect(), written: 0 }
    }

    /// The bytes of the next frames: one slice a channel, from -1 to 1. What lies beyond is held to the ends; where a
    /// channel is missing or shorter than the first, or is no number, silence stands.
    pub fn block(&mut self, channels: &[&[f32]]) -> Vec<u8> {
        let frames = channels.first().map_or(0, |channel| channel.len());
        let mut bytes = Vec::with_capacity(frames * self.format.frame_bytes() as usize);
        let units = self.format.depth.units();
        for frame in 0..frames {
            for (channel, dither) in self.dither.iter_mut().enumerate() {
                let sample = channels.get(channel).and_then(|channel| channel.get(frame)).copied().unwrap_or(0.0);
                let value = units * f64::from(sample);
                let value = match self.format.depth {
                    Depth::Sixteen => value + 0.5 * (dither.advance() + dither.advance()),
                    Depth::TwentyFour => value,
                };
                // No number becomes 0.
                let whole = value.round().clamp(-units, units - 1.0) as i32;
                let kept = self.format.depth.bytes() as usize;
                bytes.extend(whole.to_le_bytes().iter().take(kept));
            }
        }
        self.written += frames as u64;
        bytes
    }

    /// What comes after the last block: the byte that makes an odd size even, or nothing.
    pub fn ending(&self) -> &'static [u8] {
        if (self.written * self.format.frame_bytes()) % 2 == 1 { &[0] } else { &[] }
    }
}

/// A whole file at once; channels are equally long.
///
/// # Errors
/// If it would be longer than a file of this form can be.
pub fn file(format: Format, channels: &[&[f32]]) -> Result<Vec<u8>, TooLong> {
    let frames = channels.first().map_or(0, |channel| channel.len());
    let mut bytes = format.header(frames as u64)?.to_vec();
    let mut encoder = Encoder::new(format);
    bytes.extend(encoder.block(channels));
    bytes.extend(encoder.ending());
    Ok(bytes)
}
