//! From a patch and one stroke to a buffer of sound.

use core::f64::consts::PI;

use super::drive::{coarsen, drive, soft};
use super::envelope::{frames, taper};
use super::filter::{Biquad, FLAT_DB, Split, block_dc};
use super::noise::Noise;
use super::oscillator::{cents_ratio, note_hz};
use super::patch::Patch;

/// Loudness layers: 0 the softest, `LAYERS - 1` the patch as written.
pub const LAYERS: u8 = 8;

/// Slight variations of a stroke; 0 is the patch as written.
pub const VARIATIONS: u8 = 4;

/// Longest buffer, seconds.
pub const LONGEST_SECONDS: f64 = 6.0;

/// Sample rates taken, Hz; others are held to the nearer end.
pub const RATES: core::ops::RangeInclusive<u32> = 8_000..=192_000;

/// Most notes rendered into one buffer; further ones are left out.
const MOST_NOTES: usize = 8;

/// The level every buffer is brought to: the greatest power over about 10 ms, as an amplitude.
const LEVEL: f64 = 0.32;

/// The peak no buffer exceeds.
const PEAK: f64 = 0.95;

/// One stroke of a patch.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Voicing<'a> {
    /// Loudness layer, 0 to `LAYERS - 1`. It sets the *timbre* (softer is darker); buffers of all layers are equally
    /// strong, and the event's gain ([`loudness::gain`](super::loudness::gain)) sets the level.
    pub layer: u8,
    /// Pitches as MIDI-like note numbers (69 = 440 Hz); several make a chord. Empty: the patch's own pitch.
    pub pitches: &'a [f64],
    /// Which slight difference of tone, pitch (within 5 cents) and grain, 0 to `VARIATIONS - 1`.
    pub variation: u8,
    /// Sample rate, Hz, within [`RATES`].
    pub rate: u32,
    /// Seconds to render of a voice that holds (2 if not given), or at most of one that dies away; up to
    /// [`LONGEST_SECONDS`]. A stroke's release is the event's gain envelope, so ask for its length plus its release.
    pub length: Option<f64>,
}

/// One stroke as the models see it.
#[derive(Clone, Debug)]
pub(super) struct Strike {
    /// Sample rate, Hz.
    pub rate: f64,
    /// 0 the softest layer, 1 the patch as written.
    pub hardness: f64,
    /// The stroke's own pitches, Hz, with the variation's shift applied.
    pub hz: Vec<f64>,
    /// The variation's ratio of pitch.
    pub shift: f64,
    /// The variation's ratio of transient levels.
    pub bite: f64,
    /// Most seconds.
    pub seconds: Option<f64>,
    /// Seed of the stroke's noise.
    pub seed: u32,
}

impl Strike {
    fn new(voicing: &Voicing) -> Strike {
        let variation = usize::from(voicing.variation % VARIATIONS);
        let shift = cents_ratio([0.0, 3.0, -3.5, 1.5][variation]);
        let pitches = voicing.pitches.iter().take(MOST_NOTES);
        Strike {
            rate: f64::from(voicing.rate.clamp(*RATES.start(), *RATES.end())),
            hardness: f64::from(voicing.layer.min(LAYERS - 1)) / f64::from(LAYERS - 1),
            hz: pitches.map(|&note| note_hz(note.clamp(0.0, 127.0)) * shift).collect(),
            shift,
            bite: [1.0, 0.9, 1.08, 0.96][variation],
            seconds: voicing.length,
            seed: 977 * (variation as u32 + 1),
        }
    }

    /// The stroke's first pitch, or the patch's `own_hz`.
    pub fn pitch(&self, own_hz: f64) -> f64 {
        self.hz.first().copied().unwrap_or(own_hz * self.shift)
    }

    /// All pitches of the stroke, or the patch's own as a note number.
    pub fn notes(&self, own_note: f64) -> Vec<f64> {
        if self.hz.is_empty() { vec![note_hz(own_note) * self.shift] } else { self.hz.clone() }
    }

    /// Noise of this stroke; `part` keeps several noises of one voice apart.
    pub fn noise(&self, part: u32) -> Noise {
        Noise::new(self.seed.wrapping_add(part.wrapping_mul(7919)), self.rate)
    }

    /// An empty buffer for a voice that falls 40 dB in `decay_ms` after `attack_ms`: 60 dB of its fall. A decay of 0
    /// holds for the stroke's length.
    pub fn buffer(&self, attack_ms: f64, decay_ms: f64) -> Vec<f64> {
        let own = if decay_ms > 0.0 { 0.001 * (attack_ms + 1.5 * decay_ms) } else { self.seconds.unwrap_or(2.0) };
        let seconds = self.seconds.map_or(own, |most| own.min(most)).clamp(0.005, LONGEST_SECONDS);
        vec![0.0; frames(1000.0 * seconds, self.rate).max(16)]
    }

    /// Frames in `ms`.
    pub fn frames(&self, ms: f64) -> usize {
        frames(ms, self.rate)
    }

    /// The level of stick, beater or finger noise at this hardness, 1 for the patch as written.
    pub fn transient(&self) -> f64 {
        self.bite * (0.25 + 0.75 * self.hardness)
    }
}

/// Renders one stroke of `patch`: mono, from -1 to 1, sounding from its first frame, ending in silence.
///
/// The same arguments give the same bytes. A patch outside its ranges ([`Patch::check`]) still renders something finite.
pub fn render(patch: &Patch, voicing: &Voicing) -> Vec<f32> {
    let strike = Strike::new(voicing);
    let rate = strike.rate;
    let mut buffer = patch.model.render(&strike);
    let finish = patch.finish;
    if finish.gate_ms > 0.0 {
        buffer.truncate(strike.frames(finish.gate_ms + 6.0).max(16));
    }
    drive(&mut buffer, finish.drive * (0.6 + 0.4 * strike.hardness));
    if finish.high_pass_hz > 0.0 {
        Biquad::high_pass(finish.high_pass_hz, FLAT_DB, rate).run_all(&mut buffer);
    }
    if finish.low_pass_hz > 0.0 && finish.low_pass_hz < 0.45 * rate {
        Biquad::low_pass(finish.low_pass_hz, FLAT_DB, rate).run_all(&mut buffer);
    }
    soften(&mut buffer, strike.hardness, rate);
    block_dc(&mut buffer, 12.0, rate);
    level(&mut buffer, patch.model.is_noise(), rate);
    if finish.bits > 0.0 || finish.hold_hz > 0.0 {
        coarsen(&mut buffer, finish.bits, finish.hold_hz, rate);
    }
    let ending = if finish.gate_ms > 0.0 { 6.0 } else { 20.0 };
    let ending = strike.frames(ending).min(buffer.len() / 3);
    taper(&mut buffer, ending);
    centre(&mut buffer);
    buffer.iter().map(|&sample| if sample.is_finite() { sample.clamp(-1.0, 1.0) as f32 } else { 0.0 }).collect()
}

/// Softer strokes are darker: the parts above two fixed pivots and above the voice's own middle are turned down, so the
/// spectrum's centre falls with the layer whatever the voice is.
fn soften(buffer: &mut [f64], hardness: f64, rate: f64) {
    if hardness > 0.999 {
        return;
    }
    let keep = 0.45 + 0.55 * hardness;
    for pivot in [220.0, 3500.0, middle_hz(buffer, rate)] {
        let mut split = Split::new(pivot, rate);
        for sample in &mut *buffer {
            let (low, high) = split.run(*sample);
            *sample = low + keep * high;
        }
    }
}

/// The root-mean-square frequency: from the power of the slope against the power itself.
fn middle_hz(buffer: &[f64], rate: f64) -> f64 {
    let power: f64 = buffer.iter().map(|x| x * x).sum();
    let slope: f64 = buffer.windows(2).map(|pair| (pair[1] - pair[0]).powi(2)).sum();
    let ratio = if power > 0.0 { 0.5 * (slope / power).sqrt() } else { 0.0 };
    rate / PI * ratio.min(1.0).asin()
}

/// Brings the strongest 10 ms to [`LEVEL`] and keeps the peak at [`PEAK`]: tones by less gain, noise, whose peaks are
/// chance and would make strokes unequal, mostly by a soft clip, which nobody hears in noise.
fn level(buffer: &mut [f64], is_noise: bool, rate: f64) {
    let keep = (-1.0 / (0.010 * rate)).exp();
    let (mut power, mut most, mut peak) = (0.0, 0.0_f64, 0.0_f64);
    for &sample in &*buffer {
        power = sample * sample + keep * (power - sample * sample);
        most = most.max(power);
        peak = peak.max(sample.abs());
    }
    if most <= 0.0 || peak <= 0.0 {
        return;
    }
    let over = if is_noise { 2.6 * PEAK } else { PEAK };
    let gain = (LEVEL / most.sqrt()).min(over / peak);
    let clips = peak * gain > PEAK;
    for sample in buffer {
        let x = gain * *sample;
        *sample = if clips { PEAK * soft(x / PEAK) } else { x };
    }
}

/// Takes the mean away under a smooth bump, so that both ends keep their place.
fn centre(buffer: &mut [f64]) {
    let sum: f64 = buffer.iter().sum();
    let n = buffer.len() as f64;
    // The bump 6 x (1 - x) has mean 1 and vanishes at both ends.
    let scale = 6.0 * sum / (n * n * n);
    for (i, sample) in buffer.iter_mut().enumerate() {
        let x = i as f64;
        *sample -= scale * x * (n - 1.0 - x);
    }
}
