//! What is heard outside any groove: one stroke of a voice or of its parts, and a bar of every voice of a kit, to measure
//! and compare kits by.

use super::bus::{BusEvent, Fade, mix};
use super::kit::Kit;
use super::loudness::{gain, layer};
use super::parts::{Part, render_parts};
use super::patch::Patch;
use super::voice::{LONGEST_SECONDS, Voicing, render};
use crate::role::{Register, Role};

/// Length of the bar, seconds: four beats at 120 a minute.
pub const BAR_SECONDS: f64 = 2.0;

/// Seconds for which a voice that holds is held when it is heard by itself.
const HELD: f64 = 1.5;

/// One stroke of `patch` at its own pitch, or of these of its parts; all of them if none is named.
pub fn stroke(patch: &Patch, parts: &[Part], loudness: u8, rate: u32) -> Vec<f32> {
    let length = Some(if patch.model.sustains() { HELD } else { LONGEST_SECONDS });
    let voicing = Voicing { layer: layer(loudness), pitches: &[], variation: 0, rate, length };
    if parts.is_empty() { render(patch, &voicing) } else { render_parts(patch, &voicing, parts) }
}

/// The bar's eighths a role strikes, each with a loudness.
fn strokes(role: Role) -> &'static [(u32, u8)] {
    match (role, role.register()) {
        (Role::Kick | Role::SurdoLow, _) => &[(0, 112), (3, 92), (4, 112)],
        (Role::SurdoHigh | Role::SurdoThird, _) => &[(2, 100), (6, 100)],
        (Role::SubBass | Role::Bass | Role::LogDrum, _) => &[(0, 100), (3, 100), (6, 100)],
        (Role::Chord | Role::ChordBubble | Role::HornStab | Role::VocalChop, _) => &[(1, 88), (5, 88)],
        (Role::Snare | Role::Clap | Role::Snap, _) => &[(2, 112), (6, 112)],
        (Role::Crash, _) => &[(0, 88)],
        (Role::HatOpen | Role::HatPedal, _) => &[(7, 92)],
        (_, Register::High) => &[(0, 88), (1, 72), (2, 88), (3, 72), (4, 88), (5, 72), (6, 88), (7, 72)],
        (_, Register::Mid | Register::Low) => &[(1, 88), (3, 100), (7, 88)],
    }
}

/// The notes a pitched role plays: a low A, or a minor chord above the middle.
fn notes(role: Role) -> &'static [f64] {
    match role {
        Role::LogDrum | Role::SubBass | Role::Bass => &[33.0],
        Role::Chord | Role::ChordBubble | Role::HornStab => &[57.0, 60.0, 64.0],
        Role::VocalChop => &[60.0],
        _ => &[],
    }
}

/// A bar of all voices of `kit` through its tone: left and right.
pub fn bar(kit: &Kit, rate: u32) -> [Vec<f32>; 2] {
    let frames = (BAR_SECONDS * f64::from(rate)) as usize;
    let eighth = frames as f64 / 8.0;
    let mut events = Vec::new();
    for (&role, voice) in &kit.voices {
        for &(place, loudness) in strokes(role) {
            let pitches = notes(role);
            let variation = (place % 4) as u8;
            let voicing = Voicing { layer: layer(loudness), pitches, variation, rate, length: Some(1.0) };
            let start = (f64::from(place) * eighth).round() as i64;
            let end = start + (1.5 * eighth) as i64;
            let fade = role.is_pitched().then_some(Fade { at_frame: end, ms: voice.place.release_ms });
            events.push((
                start,
                render(&voice.patch, &voicing),
                gain(loudness) * voice.gain(),
                fade,
                role == Role::Kick,
            ));
        }
    }
    let events: Vec<BusEvent> = events
        .iter()
        .map(|(start, samples, gain, fade, kick)| BusEvent {
            fade: *fade,
            kick: *kick,
            ..BusEvent::plain(*start, samples, *gain)
        })
        .collect();
    mix(&events, &kit.tone, frames, rate)
}
