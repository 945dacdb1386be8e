//! From the facts known of a style's sound to a kit: for making kit files, never while the page runs.
//!
//! Facts name physical figures (`pitch_hz`, `decay_ms`, `noise_centre_hz` ...) and, for pitched parts, a wave in words.
//! Which model stands for what, and the figures nobody measured, are the musical judgement of this module.

mod balance;
mod drums;
mod pitched;

use serde_json::Value;

use super::reader::{Fault, FaultKind, Node, Object, read};
use crate::role::Role;
use crate::synth::kit::Place;
use crate::synth::tone::ToneFigures;
use crate::synth::{Finish, Kit, Model, Patch, Room, Tone, Voice};

/// The facts a voice may have.
const VOICE_FACTS: &[&str] = &[
    "wave",
    "pitch_start_hz",
    "pitch_hz",
    "pitch_drop_ms",
    "tone_hz",
    "partials_hz",
    "noise_centre_hz",
    "noise_amount",
    "bandwidth_octaves",
    "click_hz",
    "highpass_hz",
    "lowpass_hz",
    "attack_ms",
    "decay_ms",
    "release_ms",
    "gate_ms",
    "tone_noise_mix",
    "drive",
    "level_db",
    "glide_ms",
    "wobble_per_beat",
    "lfo_hz",
    "tremolo_hz",
    "stereo_width",
    "note",
];

/// The facts a mix may have.
const MIX_FACTS: &[&str] = &[
    "lowpass_hz",
    "highpass_hz",
    "bit_depth",
    "sample_rate_hz",
    "surface_noise_db",
    "room_decay_ms",
    "room_wet_percent",
    "drive",
    "note",
];

/// The tempo at which wobbles counted by the beat are made into Hz: that of the one style that counts them so.
const WOBBLE_BPM: f64 = 140.0;

/// Makes the kit of the style `style_id` from the facts of its `sound`: an object with `mix` and a voice for each role.
///
/// # Errors
/// Every fact that is unknown, missing, of the wrong kind or so far out that no voice can have it.
pub fn kit_from_facts(style_id: &str, sound: &Value) -> Result<Kit, Vec<Fault>> {
    let mut kit = read(sound, |root| {
        let (mut tone, mut sampler, mut voices) = (None, Finish::NONE, Vec::new());
        for (key, node) in root.entries()? {
            if key == "mix" {
                let mix = Facts { object: node.object(MIX_FACTS)? };
                sampler = sampler_of(&mix);
                tone = Some(tone_of(style_id, &mix));
            } else if let Ok(role) = key.parse::<Role>() {
                voices.push((role, Facts { object: node.object(VOICE_FACTS)? }));
            } else {
                node.note(FaultKind::UnknownKey { known: Role::ALL.iter().map(|role| role.id().to_owned()).collect() });
            }
        }
        let Some(tone) = tone else { return root.refuse("a mix among the facts") };
        let voices = voices.iter().map(|(role, facts)| Some((*role, voice_of(style_id, *role, facts, &sampler)?)));
        Some(Kit { id: style_id.to_owned(), name: name_of(style_id), voices: voices.collect::<Option<_>>()?, tone })
    })?;
    balance::balance(&mut kit);
    round_all(&mut kit);
    kit.check().map_err(|(role, fault)| {
        let at = format!("{}.{}", role.map_or("mix", Role::id), fault.field);
        let (low, high) = (fault.expected.start(), fault.expected.end());
        vec![Fault {
            at,
            what: FaultKind::Unexpected { expected: format!("{low} to {high}"), found: fault.found.to_string() },
        }]
    })?;
    Ok(kit)
}

/// One row of facts.
struct Facts<'a> {
    object: Object<'a>,
}

impl Facts<'_> {
    /// A figure, if stated.
    fn get(&self, key: &str) -> Option<f64> {
        let node = self.object.optional(key)?;
        match node.value() {
            // A range stands for its middle.
            Value::Array(_) => node.each(2, number).map(|ends| ends.iter().sum::<f64>() / ends.len().max(1) as f64),
            _ => number(&node),
        }
    }

    /// A figure, or `otherwise`.
    fn of(&self, key: &str, otherwise: f64) -> f64 {
        self.get(key).unwrap_or(otherwise)
    }

    /// The two partials of a bell.
    fn partials(&self) -> Option<[f64; 2]> {
        let node = self.object.field("partials_hz")?;
        let partials = node.each(2, number)?;
        partials.try_into().ok().or_else(|| node.refuse("two partials"))
    }

    /// The wave in words; empty if not stated.
    fn wave(&self) -> &str {
        self.object.optional("wave").and_then(|node| node.string()).unwrap_or("")
    }
}

fn number(node: &Node) -> Option<f64> {
    node.number(-200.0..=200_000.0)
}

/// A voice before the mix is balanced: its level is the facts' offset.
fn voice_of(style: &str, role: Role, facts: &Facts, sampler: &Finish) -> Option<Voice> {
    let (model, mut finish): (Model, Finish) =
        if role.is_pitched() { pitched::voice(style, role, facts)? } else { drums::voice(style, role, facts)? };
    // A sampler coarsens what it plays; deep sines come from elsewhere, and would only whistle.
    if !matches!(role, Role::SubBass | Role::LogDrum) {
        (finish.bits, finish.hold_hz) = (sampler.bits, sampler.hold_hz);
    }
    let release = match role {
        Role::SubBass | Role::LogDrum => 60.0,
        Role::Bass => 50.0,
        Role::Chord if matches!(model, Model::Subtractive(_) | Model::ElectricPiano(_)) => 160.0,
        Role::Chord | Role::ChordBubble | Role::HornStab | Role::VocalChop => 70.0,
        Role::HatClosed | Role::HatOpen | Role::HatPedal => 18.0,
        _ => 30.0,
    };
    let place = Place { level_db: facts.of("level_db", 0.0), release_ms: facts.of("release_ms", release) };
    Some(Voice { patch: Patch { model, finish }, place })
}

fn sampler_of(mix: &Facts) -> Finish {
    let (bits, clock) = (mix.of("bit_depth", 24.0), mix.of("sample_rate_hz", 48_000.0));
    Finish {
        bits: if bits < 16.0 { bits } else { 0.0 },
        hold_hz: if clock < 44_000.0 { clock } else { 0.0 },
        ..Finish::NONE
    }
}

fn tone_of(style: &str, mix: &Facts) -> Tone {
    let low_pass_hz = mix.of("lowpass_hz", 20_000.0);
    let noise = mix.of("surface_noise_db", -120.0);
    let (duck_db, duck_ms) = match style {
        "lo-fi-hip-hop" => (2.5, 180.0),
        "house" | "disco-pop" => (2.5, 150.0),
        "techno" => (6.0, 170.0),
        "hardstyle" => (12.0, 150.0),
        "trap" | "ternary-trap" | "uk-drill" | "trap-soul" => (2.0, 90.0),
        "jersey-club" | "amapiano" | "afrobeats" => (1.5, 110.0),
        _ => (0.0, 0.0),
    };
    // 0.3 % of pitch is 5.2 cents.
    let (wander_cents, wander_hz) = if style == "lo-fi-hip-hop" { (5.2, 0.6) } else { (0.0, 0.0) };
    let dark = style == "muted-slow-jam";
    let decay_ms = mix.of("room_decay_ms", 300.0);
    Tone {
        figures: ToneFigures {
            high_pass_hz: mix.of("highpass_hz", 20.0),
            low_pass_hz,
            drive: mix.of("drive", 0.0),
            surface_noise_db: if noise > -105.0 { noise } else { -120.0 },
            crackle: if noise > -62.0 { 0.5 } else { 0.0 },
            wander_cents,
            wander_hz,
            duck_db,
            duck_ms,
            level_db: 0.0,
        },
        room: Room {
            decay_ms,
            wet_percent: mix.of("room_wet_percent", 0.0),
            damping: if dark { 1.0 } else { (0.25 + 0.6 * (1.0 - low_pass_hz / 18_000.0)).clamp(0.2, 0.9) },
            pre_delay_ms: if dark { 30.0 } else { (0.012 * decay_ms).clamp(2.0, 20.0) },
        },
    }
}

/// What a person calls the kit.
fn name_of(style: &str) -> String {
    let plain = match style {
        "lo-fi-hip-hop" => "Lo-fi",
        "muted-slow-jam" => "Muted slow-jam",
        "six-eight-rnb-ballad" => "Six-eight ballad",
        "uk-drill" => "Drill",
        "eighties-synth-pop" => "Eighties synth-pop",
        "chicago-footwork" => "Footwork",
        "uk-garage-2-step" => "UK garage",
        "disco-pop" => "Disco-pop",
        "one-drop-reggae" => "One-drop reggae",
        "samba-batucada" => "Batucada",
        "swing-jazz-ride" => "Swing",
        "country-train-beat" => "Train beat",
        "twelve-eight-blues-shuffle" => "Blues shuffle",
        "bembe-six-eight" => "Bembé",
        "half-time-shuffle" => "Half-time shuffle",
        _ => "",
    };
    if !plain.is_empty() {
        return format!("{plain} kit");
    }
    let spaced = style.replace('-', " ");
    let mut letters = spaced.chars();
    let first: String = letters.next().map(|c| c.to_uppercase().collect()).unwrap_or_default();
    format!("{first}{} kit", letters.as_str())
}

/// Figures a person can read: levels to a tenth of a decibel, the rest to three significant places.
fn round_all(kit: &mut Kit) {
    let three = |value: f64| {
        let scale =
            if value.abs() < 1e-9 { 1.0 } else { 10f64.powi(2 - value.abs().log10().floor() as i32).min(1000.0) };
        (value * scale).round() / scale
    };
    let tenth = |value: f64| (value * 10.0).round() / 10.0;
    for voice in kit.voices.values_mut() {
        let (fields, values) = (voice.patch.model.fields(), voice.patch.model.values());
        let mut row = values.iter().map(|&value| three(value));
        debug_assert_eq!(fields.len(), values.len());
        if let Some(model) = Model::build(voice.patch.model.id(), &mut |_| row.next()) {
            voice.patch.model = model;
        }
        let mut row = voice.patch.finish.values().into_iter().map(three);
        if let Some(finish) = Finish::build(&mut |_| row.next()) {
            voice.patch.finish = finish;
        }
        voice.place.level_db = tenth(voice.place.level_db);
    }
    let room = &mut kit.tone.room;
    (room.damping, room.pre_delay_ms) = (three(room.damping), three(room.pre_delay_ms));
    kit.tone.figures.level_db = tenth(kit.tone.figures.level_db);
}

#[cfg(test)]
mod tests;
