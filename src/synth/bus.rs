//! The reference bus: what the live graph of native nodes does, in plain Rust.
//!
//! # The chain
//! The live graph has the same nodes in this order; every figure comes from the [`Tone`]:
//!
//! | node | parameters |
//! |---|---|
//! | source | buffer of [`render`](super::render); `detune` starts at [`Tone::wander_cents_at`] plus the event's bend and follows it in straight lines |
//! | gain of the event | loudness gain x voice gain; a fade is one linear ramp to 0 |
//! | gain of the lane (all but the kick) | [`Tone::duck_gain`]: linear ramps scheduled at each kick |
//! | biquad high-pass | `high_pass_hz`, Q = [`FLAT_DB`] |
//! | biquad low-pass | `low_pass_hz`, Q = [`FLAT_DB`] |
//! | gain | 1 / [`SHAPER_RANGE`](super::tone::SHAPER_RANGE) |
//! | shaper | [`Tone::shaper_curve`], oversample "none" |
//! | dry to the level gain; beside it convolver and wet gain | [`room::impulse`], normalize false; `wet_percent` / 100 |
//! | level gain | [`Tone::level_gain`] |
//! | surface noise joins, a looping source | [`surface::noise_loop`] |
//! | gain | 1 / [`SHAPER_RANGE`](super::tone::SHAPER_RANGE) |
//! | shaper | [`soft_clip_curve`], oversample "none" |
//!
//! A cut-off of a native biquad may not exceed half the rate; use [`clamp_hz`] for both, as this bus does.

use super::filter::{Biquad, FLAT_DB, clamp_hz};
use super::oscillator::cents_ratio;
use super::room;
use super::spectrum::convolve;
use super::surface;
use super::tone::{Tone, soft_clip_curve, through_shaper};

/// A fade to silence.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fade {
    /// Frame of the bus at which it starts.
    pub at_frame: i64,
    /// Its length, ms.
    pub ms: f64,
}

/// A corner of a pitch bend.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bend {
    /// Seconds after the event's start, rising along the bend.
    pub seconds: f64,
    /// Detune there, cents; straight lines join the corners, and the ends hold.
    pub cents: f64,
}

/// One buffer to play.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BusEvent<'a> {
    /// Frame of the bus at which the buffer starts; may lie before 0.
    pub frame: i64,
    /// The buffer, at the bus's rate.
    pub samples: &'a [f32],
    /// Loudness gain times voice gain.
    pub gain: f32,
    /// Pitch bend; empty for none.
    pub bend: &'a [Bend],
    /// A fade that ends the event early: a choke, or the release of a held voice.
    pub fade: Option<Fade>,
    /// Whether it is the kick: it ducks the others, and is not ducked.
    pub kick: bool,
}

impl<'a> BusEvent<'a> {
    /// A buffer played as it is.
    pub fn plain(frame: i64, samples: &'a [f32], gain: f32) -> BusEvent<'a> {
        BusEvent { frame, samples, gain, bend: &[], fade: None, kick: false }
    }
}

/// Plays `events` through `tone` for `frames` frames at `rate`: left and right, within ±0.981.
pub fn mix(events: &[BusEvent], tone: &Tone, frames: usize, rate: u32) -> [Vec<f32>; 2] {
    let mut sum = vec![0.0; frames];
    let ducking = duck_curve(events, tone, frames, rate);
    for event in events {
        let duck = if event.kick { None } else { ducking.as_deref() };
        play(&mut sum, event, tone, duck, rate);
    }
    let rate_hz = f64::from(rate);
    let figures = tone.figures;
    Biquad::high_pass(clamp_hz(figures.high_pass_hz, rate_hz), FLAT_DB, rate_hz).run_all(&mut sum);
    Biquad::low_pass(clamp_hz(figures.low_pass_hz, rate_hz), FLAT_DB, rate_hz).run_all(&mut sum);
    let curve = tone.shaper_curve();
    let dry: Vec<f32> = sum.iter().map(|&x| through_shaper(&curve, x) as f32).collect();
    let wet = 0.01 * tone.room.wet_percent;
    let level = tone.level_gain();
    let noise = surface::noise_loop(tone, rate);
    let clip = soft_clip_curve();
    room::impulse(&tone.room, rate).map(|impulse| {
        let echo = if wet > 0.0 { convolve(&dry, &impulse) } else { vec![0.0; frames] };
        let joined = dry.iter().zip(&echo).enumerate().map(|(i, (&dry, &echo))| {
            let hiss = if noise.is_empty() { 0.0 } else { f64::from(noise[i % noise.len()]) };
            level * (f64::from(dry) + wet * f64::from(echo)) + hiss
        });
        joined.map(|x| through_shaper(&clip, x) as f32).collect()
    })
}

/// The gain of all but the kick, frame by frame; where two kicks' ducks meet, the deeper counts.
fn duck_curve(events: &[BusEvent], tone: &Tone, frames: usize, rate: u32) -> Option<Vec<f64>> {
    if tone.figures.duck_db <= 0.0 {
        return None;
    }
    let mut curve = vec![1.0_f64; frames];
    let frame_ms = 1000.0 / f64::from(rate);
    let length = (tone.figures.duck_ms + super::tone::DUCK_ATTACK_MS) / frame_ms;
    for event in events.iter().filter(|event| event.kick) {
        let (start, end) = (event.frame.max(0), (event.frame + length as i64 + 1).clamp(0, frames as i64));
        for at in start..end {
            let gain = tone.duck_gain((at - event.frame) as f64 * frame_ms);
            let place = &mut curve[at as usize];
            *place = place.min(gain);
        }
    }
    Some(curve)
}

/// Adds one event to the sum.
fn play(sum: &mut [f64], event: &BusEvent, tone: &Tone, duck: Option<&[f64]>, rate: u32) {
    let rate = f64::from(rate);
    let gain = f64::from(event.gain);
    let wander = tone.wander_cents_at(event.frame as f64 / rate);
    let bent = wander.abs() > 1e-9 || !event.bend.is_empty();
    let mut position = 0.0;
    let mut speed = cents_ratio(wander + bend_at(event.bend, 0.0));
    let last = event.samples.len().saturating_sub(1);
    for i in 0_i64.. {
        let place = position as usize;
        if place > last || event.samples.is_empty() {
            return;
        }
        let at = event.frame + i;
        if at >= sum.len() as i64 {
            return;
        }
        let faded =
            event.fade.map_or(1.0, |fade| 1.0 - (at - fade.at_frame).max(0) as f64 / (0.001 * fade.ms * rate).max(1.0));
        if faded <= 0.0 {
            return;
        }
        if at >= 0 {
            let x = position - place as f64;
            let (a, b) = (f64::from(event.samples[place]), f64::from(event.samples[(place + 1).min(last)]));
            let ducked = duck.map_or(1.0, |curve| curve[at as usize]);
            sum[at as usize] += gain * faded * ducked * (a + x * (b - a));
        }
        if bent && i % 16 == 0 && !event.bend.is_empty() {
            speed = cents_ratio(wander + bend_at(event.bend, i as f64 / rate));
        }
        position += speed;
    }
}

/// The bend's value `seconds` after the start, cents.
fn bend_at(bend: &[Bend], seconds: f64) -> f64 {
    let after = bend.iter().position(|corner| corner.seconds > seconds);
    match (after, bend) {
        (_, []) => 0.0,
        (Some(0), [first, ..]) => first.cents,
        (None, [.., last]) => last.cents,
        (Some(i), _) => {
            let (a, b) = (bend[i - 1], bend[i]);
            a.cents + (b.cents - a.cents) * (seconds - a.seconds) / (b.seconds - a.seconds).max(1e-9)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_neutral_bus_passes_a_buffer_at_its_frame() {
        let buffer: Vec<f32> = (0..480).map(|i| 0.2 * (f64::from(i) * 0.2).sin() as f32).collect();
        let [left, right] = mix(
            &[BusEvent::plain(100, &buffer, 1.0), BusEvent::plain(-470, &buffer, 1.0)],
            &Tone::NEUTRAL,
            700,
            48_000,
        );
        assert_eq!(left, right);
        let early: f32 = left[..12].iter().map(|x| x.abs()).sum();
        assert!(early > 0.01 && left[60..100].iter().all(|x| x.abs() < 0.03));
        let found: f32 = (110..560).map(|i| (left[i] - buffer[i - 100]).abs()).fold(0.0, f32::max);
        assert!(found < 0.05, "{found}");
    }

    #[test]
    fn bends_fades_and_ducks_are_heard() {
        let tone: Vec<f32> = (0..48_000)
            .map(|i| 0.3 * (core::f64::consts::TAU * 440.0 * f64::from(i) / 48_000.0).sin() as f32)
            .collect();
        let up = [Bend { seconds: 0.0, cents: 1200.0 }];
        let event =
            BusEvent { bend: &up, fade: Some(Fade { at_frame: 12_000, ms: 100.0 }), ..BusEvent::plain(0, &tone, 1.0) };
        let [left, _] = mix(&[event], &Tone::NEUTRAL, 24_000, 48_000);
        let spectrum = super::super::spectrum::Spectrum::of(&left, 48_000);
        assert!((spectrum.peak_hz(200.0, 2000.0) - 880.0).abs() < 3.0);
        assert!(left[17_000..].iter().all(|x| x.abs() < 1e-3));
        let mut ducked = Tone::NEUTRAL;
        (ducked.figures.duck_db, ducked.figures.duck_ms) = (12.0, 200.0);
        let kick = BusEvent { kick: true, ..BusEvent::plain(12_000, &[0.0; 10], 1.0) };
        let [left, _] = mix(&[BusEvent::plain(0, &tone, 1.0), kick], &ducked, 24_000, 48_000);
        let peak = |from: usize| left[from..from + 300].iter().fold(0.0_f32, |a, b| a.max(b.abs()));
        assert!(peak(12_200) < 0.12 && peak(11_000) > 0.28 && peak(23_000) > 0.28);
    }

    #[test]
    fn a_bend_is_straight_between_its_corners() {
        let bend = [Bend { seconds: 0.1, cents: 0.0 }, Bend { seconds: 0.3, cents: -400.0 }];
        for (seconds, cents) in [(0.0, 0.0), (0.1, 0.0), (0.2, -200.0), (0.5, -400.0)] {
            assert!((bend_at(&bend, seconds) - cents).abs() < 1e-9);
        }
        assert!(bend_at(&[], 1.0).abs() < 1e-12);
    }

    #[test]
    fn however_loud_nothing_leaves_the_bounds() {
        let loud = vec![1.0; 5000];
        let events: Vec<BusEvent> = (0..40).map(|i| BusEvent::plain(i * 10, &loud, 3.0)).collect();
        let mix = mix(
            &events,
            &Tone { room: room::Room { wet_percent: 40.0, ..Tone::NEUTRAL.room }, ..Tone::NEUTRAL },
            6000,
            48_000,
        );
        assert!(mix.iter().flatten().all(|x| x.is_finite() && x.abs() <= 0.981));
    }
}
