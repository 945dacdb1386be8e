//! Drums, cymbals and small percussion from facts.

use super::Facts;
use crate::role::Role;
use crate::synth::drive::{gain, soft};
use crate::synth::{
    Bell, Clap, Cymbal, Finish, Membrane, Model, Scraper, Shaker, Snare, Squeak, StagedKick, Tambourine, Wood,
};

/// The model and finish of an unpitched role.
pub(super) fn voice(style: &str, role: Role, facts: &Facts) -> Option<(Model, Finish)> {
    let model: Model = match role {
        Role::Kick if style == "hardstyle" => staged_kick(facts).into(),
        Role::Kick => kick(facts).into(),
        Role::TomHigh | Role::TomLow => tom(facts).into(),
        Role::SurdoLow | Role::SurdoHigh | Role::SurdoThird => surdo(facts).into(),
        Role::CongaHigh | Role::CongaLow | Role::CongaMuted | Role::CongaSlap => conga(role, facts).into(),
        Role::Tamborim => tamborim(facts).into(),
        Role::Snare => snare(style, facts).into(),
        Role::Clap | Role::Snap => clap(style, role, facts).into(),
        Role::Rim | Role::Clave | Role::Shell => wood(style, role, facts).into(),
        Role::HatClosed | Role::HatOpen | Role::HatPedal => hat(style, role, facts).into(),
        Role::Ride | Role::Crash => plate(style, role, facts).into(),
        Role::Shaker => shaker(facts).into(),
        Role::Tambourine => tambourine(facts).into(),
        Role::Cowbell | Role::BellHigh | Role::BellLow => bell(style, facts)?.into(),
        Role::Guiro => guiro(facts).into(),
        Role::PercSqueak => squeak(facts).into(),
        _ => return facts.object.node().refuse("facts of an unpitched role"),
    };
    let mut finish = Finish {
        drive: facts.of("drive", 0.0),
        gate_ms: facts.of("gate_ms", 0.0),
        low_pass_hz: facts.of("lowpass_hz", 0.0),
        high_pass_hz: facts.of("highpass_hz", 0.0),
        ..Finish::NONE
    };
    match model {
        // These have their edges in the model.
        Model::Cymbal(_) => (finish.low_pass_hz, finish.high_pass_hz) = (0.0, 0.0),
        Model::Shaker(_) | Model::Tambourine(_) => finish.high_pass_hz = 0.0,
        _ => {}
    }
    if style == "hardstyle" && role == Role::Kick {
        // The stages have their own drive; then filter, and stop before the off-beat bass (185 ms and later).
        (finish.drive, finish.low_pass_hz, finish.gate_ms) = (0.5, 7000.0, facts.of("gate_ms", 180.0));
    }
    Some((model, finish))
}

/// A drive lifts the tail: the time of the undriven tone that falls 40 dB in `decay_ms` once driven.
fn undriven(decay_ms: f64, drive: f64) -> f64 {
    let gain = gain(drive);
    let lift_db = if gain > 1e-3 { 20.0 * (gain / soft(gain)).max(1.0).log10() } else { 0.0 };
    decay_ms / (1.0 + lift_db / 40.0)
}

/// Click, driven body, and a tail on the same pitch that has swollen by the time the body has fallen.
fn staged_kick(facts: &Facts) -> StagedKick {
    let drive = facts.of("drive", 0.8);
    StagedKick {
        pitch_hz: facts.of("pitch_hz", 52.0),
        start_hz: facts.of("pitch_start_hz", 260.0),
        drop_ms: facts.of("pitch_drop_ms", 70.0),
        click: 0.55,
        click_hz: facts.of("click_hz", 4500.0),
        body: 0.8,
        body_ms: 180.0,
        body_drive: 0.85 * drive,
        tail: 0.9,
        swell_ms: 70.0,
        decay_ms: facts.of("decay_ms", 310.0),
        tail_drive: drive,
        growl_hz: 2400.0,
    }
}

fn kick(facts: &Facts) -> Membrane {
    let pitch_hz = facts.of("pitch_hz", 55.0);
    let start_hz = facts.of("pitch_start_hz", 2.5 * pitch_hz);
    // A skin falls little; more than an octave is a circuit's.
    let acoustic = start_hz / pitch_hz < 2.1;
    let clicks = facts.get("click_hz");
    let quiet = facts.get("lowpass_hz").is_some_and(|hz| hz < 2000.0);
    Membrane {
        pitch_hz,
        start_hz,
        drop_ms: facts.of("pitch_drop_ms", 30.0),
        decay_ms: undriven(facts.of("decay_ms", 180.0), facts.of("drive", 0.0)),
        overtones: if acoustic { 0.22 } else { 0.0 },
        presence: if acoustic { 0.4 } else { 0.35 },
        click: if clicks.is_some() {
            0.55
        } else if quiet {
            0.3
        } else {
            0.35
        },
        click_hz: clicks.unwrap_or(if acoustic { 1500.0 } else { 2200.0 }),
        skin: if acoustic { 0.22 } else { 0.05 },
        skin_hz: if acoustic { 420.0 } else { 700.0 },
    }
}

fn tom(facts: &Facts) -> Membrane {
    let pitch_hz = facts.of("pitch_hz", 120.0);
    Membrane {
        pitch_hz,
        start_hz: facts.of("pitch_start_hz", 1.4 * pitch_hz),
        drop_ms: facts.of("pitch_drop_ms", 50.0),
        decay_ms: undriven(facts.of("decay_ms", 250.0), facts.of("drive", 0.0)),
        overtones: 0.3,
        presence: 0.25,
        click: 0.25,
        click_hz: 2500.0,
        skin: 0.12 + facts.of("noise_amount", 0.05),
        skin_hz: 600.0,
    }
}

fn surdo(facts: &Facts) -> Membrane {
    let pitch_hz = facts.of("pitch_hz", 80.0);
    Membrane {
        pitch_hz,
        start_hz: facts.of("pitch_start_hz", 1.2 * pitch_hz),
        drop_ms: facts.of("pitch_drop_ms", 40.0),
        decay_ms: facts.of("decay_ms", 350.0),
        overtones: 0.4,
        presence: 0.35,
        // The beater and the skin are what a small loudspeaker has of it.
        click: 0.35,
        click_hz: 900.0,
        skin: 0.4,
        skin_hz: 420.0,
    }
}

fn conga(role: Role, facts: &Facts) -> Membrane {
    let pitch_hz = facts.of("pitch_hz", 240.0);
    let (overtones, skin, skin_hz, click) = match role {
        Role::CongaMuted => (0.15, 0.45, 520.0, 0.1),
        Role::CongaSlap => (0.5, 0.8, facts.of("noise_centre_hz", 2500.0), 0.8),
        _ => (0.28, 0.25, 800.0, 0.2),
    };
    Membrane {
        pitch_hz,
        start_hz: 1.07 * pitch_hz,
        drop_ms: 22.0,
        decay_ms: undriven(facts.of("decay_ms", 120.0), facts.of("drive", 0.0)),
        overtones,
        presence: 0.12,
        click,
        click_hz: 2600.0,
        skin,
        skin_hz,
    }
}

fn tamborim(facts: &Facts) -> Membrane {
    let pitch_hz = facts.of("tone_hz", 620.0);
    Membrane {
        pitch_hz,
        start_hz: 1.1 * pitch_hz,
        drop_ms: 10.0,
        decay_ms: facts.of("decay_ms", 60.0),
        overtones: 0.6,
        presence: 0.1,
        click: 0.5,
        click_hz: 3500.0,
        skin: 0.4,
        skin_hz: facts.of("noise_centre_hz", 3000.0),
    }
}

fn snare(style: &str, facts: &Facts) -> Snare {
    let attack_ms = facts.of("attack_ms", 0.0);
    let crack = match style {
        _ if attack_ms > 1.0 => 0.0,
        "lo-fi-hip-hop" | "swing-jazz-ride" | "jazz-waltz" => 0.25,
        "reggaeton" | "uk-drill" | "samba-batucada" | "soca" => 0.8,
        _ => 0.5,
    };
    Snare {
        tone_hz: facts.of("tone_hz", 200.0),
        noise_hz: facts.of("noise_centre_hz", 4500.0),
        decay_ms: undriven(facts.of("decay_ms", 130.0), facts.of("drive", 0.0)),
        noise: facts.of("tone_noise_mix", 0.58),
        crack,
        attack_ms,
    }
}

fn clap(style: &str, role: Role, facts: &Facts) -> Clap {
    let (hands, gap_ms) = match (style, role) {
        // Many hands: eight over some twenty milliseconds.
        ("gospel-shout", Role::Clap) => (8.0, 2.8),
        (_, Role::Snap) => (3.0, 8.0),
        _ => (4.0, 9.5),
    };
    let snap = role == Role::Snap;
    Clap {
        centre_hz: facts.of("noise_centre_hz", 1500.0),
        width_octaves: facts.of("bandwidth_octaves", if snap { 1.2 } else { 1.5 }),
        hands,
        gap_ms,
        decay_ms: facts.of("decay_ms", 140.0),
        snap: if snap { 0.7 } else { 0.0 },
    }
}

fn wood(style: &str, role: Role, facts: &Facts) -> Wood {
    let tone_hz = facts.of("tone_hz", 800.0);
    let (edge, knock) = match role {
        Role::Clave => (0.12, 0.15),
        Role::Shell => (0.8, 0.35),
        _ if style == "techno" => (1.0, 0.3),
        _ => (0.6, 0.4),
    };
    let knock_hz = facts.of("noise_centre_hz", (2.4 * tone_hz).clamp(1200.0, 5000.0));
    Wood { tone_hz, decay_ms: facts.of("decay_ms", 45.0), edge, knock, knock_hz }
}

fn hat(style: &str, role: Role, facts: &Facts) -> Cymbal {
    let high_pass_hz = facts.of("highpass_hz", 7000.0);
    let machine = high_pass_hz >= 8000.0;
    let metal = match style {
        "eighties-synth-pop" => 0.75,
        _ if machine => 0.45,
        _ => 0.35,
    };
    Cymbal {
        high_pass_hz,
        low_pass_hz: facts.of("lowpass_hz", 16_000.0),
        decay_ms: facts.of("decay_ms", 35.0),
        metal,
        metal_hz: (0.09 * high_pass_hz).clamp(260.0, 900.0),
        stick: if role == Role::HatPedal || machine { 0.0 } else { 0.18 },
        stick_hz: (0.62 * high_pass_hz).clamp(1500.0, 5000.0),
        attack_ms: if role == Role::HatPedal { 2.5 } else { 0.0 },
    }
}

fn plate(style: &str, role: Role, facts: &Facts) -> Cymbal {
    let ride = role == Role::Ride;
    let high_pass_hz = facts.of("highpass_hz", 3000.0);
    Cymbal {
        high_pass_hz,
        low_pass_hz: facts.of("lowpass_hz", if ride { 12_000.0 } else { 15_000.0 }),
        decay_ms: facts.of("decay_ms", if ride { 600.0 } else { 1600.0 }),
        metal: if ride { 0.62 } else { 0.42 },
        metal_hz: if ride { 480.0 } else { 390.0 },
        // A machine's ride has no stick; much of one rings out of a dense, dry mix.
        stick: match (ride, style) {
            (true, "techno") => 0.3,
            (true, _) => 0.8,
            (false, _) => 0.15,
        },
        stick_hz: facts.of("tone_hz", 3500.0),
        attack_ms: if ride { 0.0 } else { 2.0 },
    }
}

fn shaker(facts: &Facts) -> Shaker {
    Shaker {
        high_pass_hz: facts.of("highpass_hz", 5000.0),
        attack_ms: facts.of("attack_ms", 5.0),
        decay_ms: facts.of("decay_ms", 45.0),
        grain: 0.6,
    }
}

fn tambourine(facts: &Facts) -> Tambourine {
    let high_pass_hz = facts.of("highpass_hz", 5500.0);
    Tambourine { high_pass_hz, jingle_hz: 0.95 * high_pass_hz, decay_ms: facts.of("decay_ms", 90.0) }
}

fn bell(style: &str, facts: &Facts) -> Option<Bell> {
    let [low_hz, high_hz] = facts.partials()?;
    let clang = if style == "soca" { 0.9 } else { 0.45 };
    Some(Bell { low_hz, high_hz, decay_ms: facts.of("decay_ms", 120.0), clang })
}

fn guiro(facts: &Facts) -> Scraper {
    let decay_ms = facts.of("decay_ms", 140.0);
    Scraper { centre_hz: facts.of("noise_centre_hz", 4300.0), ridges_hz: 95.0, decay_ms, tap_ms: 0.28 * decay_ms }
}

fn squeak(facts: &Facts) -> Squeak {
    Squeak {
        start_hz: facts.of("pitch_start_hz", 900.0),
        end_hz: facts.of("pitch_hz", 1300.0),
        glide_ms: facts.of("glide_ms", 70.0),
        decay_ms: facts.of("decay_ms", 90.0),
        breath: 0.15,
    }
}
