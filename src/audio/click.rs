//! The click of the count-in and the felt pulse: short, dry, and high enough for the smallest speaker.

use super::voicing::{VoiceKey, Voiced};
use crate::role::Role;

/// Its length in seconds.
const SECONDS: f64 = 0.045;
/// How loud it is played; the buffer peaks at 1.
const GAIN: f32 = 0.22;

/// The click at `rate`: two inharmonic partials under a fast fall, a fifth higher where a bar begins. Ends in silence.
pub fn render(accent: bool, rate: u32) -> Vec<f32> {
    let rate = f64::from(rate.max(8_000));
    let frames = (SECONDS * rate).round() as usize;
    // Below half of even a 8 kHz rate.
    let hz = if accent { 1_500.0 } else { 1_000.0 };
    (0..frames)
        .map(|n| {
            let time = n as f64 / rate;
            let turn = core::f64::consts::TAU * hz * time;
            let left = 1.0 - n as f64 / frames as f64;
            let rise = (time / 0.0008).min(1.0);
            (rise * left * (-time / 0.009).exp() * (0.75 * turn.sin() + 0.25 * (2.41 * turn).sin())) as f32
        })
        .collect()
}

/// How a click is played.
pub fn voiced(accent: bool) -> Voiced {
    let key =
        VoiceKey { role: Role::Clave, patch: 0, layer: u8::from(accent), notes: Vec::new(), variation: 0, held: 0 };
    Voiced { key, gain: if accent { GAIN * 1.25 } else { GAIN }, bend: Vec::new(), fade: None, kick: false }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_click_is_bounded_begins_at_once_and_ends_in_silence() {
        for rate in [8_000, 16_000, 44_100, 48_000, 96_000] {
            for accent in [false, true] {
                let click = render(accent, rate);
                let peak = click.iter().fold(0.0_f32, |peak, x| peak.max(x.abs()));
                assert!((0.3..=1.0).contains(&peak), "{rate}: {peak}");
                assert!(click.last().is_some_and(|x| x.abs() < 1e-3));
                assert!(click.iter().position(|x| x.abs() > 0.1).is_some_and(|n| (n as f64) < 0.002 * f64::from(rate)));
            }
        }
    }
}
