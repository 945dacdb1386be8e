//! Levels to begin with: each voice brought to the place its role has in a mix, each mix to one loudness. The reference
//! groove then has the last word, where there is one (`audio::levels`, in the native tool).

use crate::role::Role;
use crate::synth::loudness::{lufs, stroke_lufs};
use crate::synth::{Kit, LAYERS, Voicing, audition, render};

/// The rate at which kits are measured.
const RATE: u32 = 48_000;

/// The loudness of a bar of all voices, LUFS: room for peaks, and moderate.
const BAR_LUFS: f64 = -22.0;

/// The highest peak of that bar after the soft clip.
const MOST_PEAK: f32 = 0.92;

/// The K-weighted level of a role's hardest stroke, LUFS over its loudest 100 ms.
fn stroke_target(role: Role) -> f64 {
    let beside_the_kick = match role {
        Role::Kick | Role::SurdoLow | Role::LogDrum => 0.0,
        Role::SurdoHigh | Role::Snare => -0.5,
        Role::SubBass | Role::SurdoThird | Role::Clap => -2.0,
        Role::Bass | Role::TomLow | Role::TomHigh => -3.0,
        Role::Snap | Role::CongaHigh | Role::CongaLow | Role::CongaSlap => -5.0,
        Role::Tamborim | Role::Rim | Role::HornStab | Role::VocalChop => -6.0,
        Role::Chord | Role::ChordBubble | Role::Clave | Role::PercSqueak => -8.0,
        Role::Cowbell | Role::BellHigh | Role::BellLow | Role::Shell | Role::CongaMuted | Role::Crash => -8.5,
        Role::Guiro | Role::Tambourine | Role::HatOpen | Role::Ride => -10.0,
        Role::Shaker | Role::HatClosed | Role::HatPedal => -12.5,
    };
    -17.0 + beside_the_kick
}

/// Sets every voice's level (adding what is there already) and the tone's.
pub(super) fn balance(kit: &mut Kit) {
    for (&role, voice) in &mut kit.voices {
        let pitches: &[f64] = match role {
            Role::LogDrum | Role::SubBass | Role::Bass => &[33.0],
            Role::Chord | Role::ChordBubble | Role::HornStab => &[57.0, 60.0, 64.0],
            _ => &[],
        };
        let voicing = Voicing { layer: LAYERS - 1, pitches, variation: 0, rate: RATE, length: Some(1.0) };
        let found = stroke_lufs(&render(&voice.patch, &voicing), RATE);
        voice.place.level_db += (stroke_target(role) - found).clamp(-24.0, 12.0);
    }
    // The soft clip bends the relation a little; a second measurement settles it.
    for _ in 0..3 {
        let [left, right] = audition::bar(kit, RATE);
        let found = lufs(&[&left, &right], RATE) - 3.01;
        kit.tone.figures.level_db = (kit.tone.figures.level_db + BAR_LUFS - found).clamp(-18.0, 18.0);
    }
    // Dry wood and bells are all peaks: rather a little softer than clipped.
    for _ in 0..8 {
        let peak = audition::bar(kit, RATE).iter().flatten().fold(0.0_f32, |peak, x| peak.max(x.abs()));
        if peak <= MOST_PEAK {
            break;
        }
        kit.tone.figures.level_db -= 0.7;
    }
}
