//! Basses, chords, stabs and chops from facts: the wave in words decides the model.

use super::{Facts, WOBBLE_BPM};
use crate::role::Role;
use crate::synth::{ElectricPiano, Finish, Formant, LogDrum, Model, Organ, PluckedString, Sub, Subtractive};

/// The model and finish of a pitched role.
pub(super) fn voice(style: &str, role: Role, facts: &Facts) -> Option<(Model, Finish)> {
    match role {
        Role::LogDrum => Some(log_drum(facts)),
        Role::SubBass => Some(sub(facts)),
        Role::Bass => bass(facts),
        Role::VocalChop => Some(vocal(style, facts)),
        Role::Chord | Role::ChordBubble | Role::HornStab => chord(facts),
        _ => facts.object.node().refuse("facts of a pitched role"),
    }
}

/// The number before `unit` in `text` ("falls 12 semitones in 35 ms").
fn number_before(text: &str, unit: &str) -> Option<f64> {
    text.split(unit).next().filter(|before| before.len() < text.len())?.split(' ').next_back()?.parse().ok()
}

/// Low- and high-pass of the facts, with their drive.
fn edges(facts: &Facts) -> Finish {
    Finish {
        drive: facts.of("drive", 0.0),
        low_pass_hz: facts.of("lowpass_hz", 0.0),
        high_pass_hz: facts.of("highpass_hz", 0.0),
        ..Finish::NONE
    }
}

fn log_drum(facts: &Facts) -> (Model, Finish) {
    let wave = facts.wave();
    let model = LogDrum {
        pitch_hz: facts.of("pitch_hz", 44.0),
        drop_semitones: number_before(wave, " semitones").unwrap_or(12.0),
        drop_ms: number_before(wave, " ms").unwrap_or(25.0),
        decay_ms: facts.of("decay_ms", 380.0),
        hollow: 0.4,
        knock: 0.6,
        presence: 0.4,
    };
    (model.into(), edges(facts))
}

fn sub(facts: &Facts) -> (Model, Finish) {
    let wave = facts.wave();
    let saws = wave.contains("saw");
    let low_pass = facts.of("lowpass_hz", 250.0);
    let wobbles = facts.get("wobble_per_beat");
    let falls = wave.contains("semitones");
    let slow = facts.of("lfo_hz", 0.0);
    let model = Sub {
        pitch_hz: facts.of("pitch_hz", 45.0),
        attack_ms: facts.of("attack_ms", if wave.contains("reverb") { 18.0 } else { 3.0 }),
        decay_ms: facts.of("decay_ms", 0.0),
        drop_semitones: if falls { number_before(wave, " semitones").unwrap_or(12.0) } else { 0.0 },
        drop_ms: if falls { number_before(wave, " ms").unwrap_or(35.0) } else { 0.0 },
        // The low-pass of the facts says how plain the sine is; below a floor no small loudspeaker would carry it.
        presence: (0.42 + 0.3 * low_pass / 1000.0).clamp(0.48, 0.6),
        growl: if saws { 0.9 } else { 0.0 },
        detune_cents: if wave.contains("detuned") {
            22.0
        } else if saws {
            6.0
        } else {
            0.0
        },
        growl_hz: if saws { 3.0 * low_pass } else { 600.0 },
        wobble_hz: wobbles.map_or(slow, |count| count * WOBBLE_BPM / 60.0),
        wobble_octaves: if wobbles.is_some() {
            3.2
        } else if slow > 0.0 {
            1.5
        } else {
            0.0
        },
    };
    let warm = if wave.contains("saturat") || wave.contains("clip") { 0.3 } else { 0.0 };
    (model.into(), Finish { drive: facts.of("drive", warm), ..Finish::NONE })
}

fn bass(facts: &Facts) -> Option<(Model, Finish)> {
    let wave = facts.wave();
    let low_pass = facts.of("lowpass_hz", 900.0);
    let attack_ms = facts.of("attack_ms", 0.0);
    let decay_ms = facts.of("decay_ms", 0.0);
    let string = |pluck, decay, damping, finger, finger_hz| PluckedString {
        own_note: 33.0,
        decay_ms: facts.of("decay_ms", decay),
        pluck,
        bright_hz: low_pass,
        damping,
        stiffness: 0.0,
        finger,
        finger_hz,
        attack_ms: 0.6 * attack_ms,
        detune_cents: 0.0,
    };
    let synth = Subtractive {
        own_note: 33.0,
        saw: 0.8,
        square: 0.0,
        sine: 0.5,
        unison: 1.0,
        detune_cents: 0.0,
        low_pass_hz: low_pass,
        resonance_db: 0.0,
        sweep_octaves: 1.5,
        sweep_ms: 90.0,
        attack_ms,
        decay_ms,
    };
    let has = |word| wave.contains(word);
    let model: Model = if has("upright") {
        string(0.32, 1300.0, 0.55, 0.45, 1000.0).into()
    } else if has("picked") {
        string(0.12, 2200.0, 0.4, 0.7, 2600.0).into()
    } else if has("flat-wound") || has("round electric") {
        string(0.28, 1500.0, 0.6, 0.25, 700.0).into()
    } else if has("fingered") || has("electric") {
        string(0.2, 2000.0, 0.45, 0.4, 1400.0).into()
    } else if has("brass") {
        Subtractive { sine: 0.2, sweep_octaves: -1.4, sweep_ms: 70.0, ..synth }.into()
    } else if has("distorted") {
        Subtractive {
            sine: 0.6,
            unison: 3.0,
            detune_cents: 14.0,
            sweep_octaves: -1.5,
            sweep_ms: 150.0,
            attack_ms: 120.0,
            ..synth
        }
        .into()
    } else if has("resonant") {
        Subtractive {
            square: 0.25,
            sine: 0.25,
            unison: 2.0,
            detune_cents: 12.0,
            resonance_db: 9.0,
            sweep_octaves: 2.0,
            ..synth
        }
        .into()
    } else if has("square") {
        Subtractive { saw: 0.0, square: 0.7, sweep_octaves: 0.8, ..synth }.into()
    } else if has("saw") || has("synth") {
        Subtractive { decay_ms: facts.of("decay_ms", 700.0), ..synth }.into()
    } else if has("sine") {
        let presence = if has("little") { 0.36 } else { 0.45 };
        let sine = Sub {
            pitch_hz: 55.0,
            attack_ms: attack_ms.max(3.0),
            decay_ms: facts.of("decay_ms", 1800.0),
            drop_semitones: 0.0,
            drop_ms: 0.0,
            presence,
            growl: 0.0,
            detune_cents: 0.0,
            growl_hz: 600.0,
            wobble_hz: 0.0,
            wobble_octaves: 0.0,
        };
        sine.into()
    } else {
        return unknown(facts);
    };
    Some((model, Finish { drive: facts.of("drive", 0.0), ..Finish::NONE }))
}

/// A wave in words nobody here understands.
fn unknown<T>(facts: &Facts) -> Option<T> {
    facts.object.field("wave")?.refuse("a wave this module knows")
}

fn chord(facts: &Facts) -> Option<(Model, Finish)> {
    let wave = facts.wave();
    let finish = edges(facts);
    let has = |word| wave.contains(word);
    let string = |pluck, decay, damping, finger, finger_hz| PluckedString {
        own_note: 60.0,
        decay_ms: facts.of("decay_ms", decay),
        pluck,
        bright_hz: facts.of("lowpass_hz", 4000.0),
        damping,
        stiffness: 0.000_1,
        finger,
        finger_hz,
        attack_ms: facts.of("attack_ms", 0.0),
        detune_cents: 0.0,
    };
    let saws = |unison, detune_cents| Subtractive {
        own_note: 60.0,
        saw: 0.7,
        square: 0.0,
        sine: 0.0,
        unison,
        detune_cents,
        low_pass_hz: facts.of("lowpass_hz", 4500.0),
        resonance_db: -1.0,
        sweep_octaves: 0.0,
        sweep_ms: 0.0,
        attack_ms: facts.of("attack_ms", 4.0),
        decay_ms: facts.of("decay_ms", 0.0),
    };
    // The model has the low-pass, except where it would not reach.
    let open = Finish { low_pass_hz: 0.0, ..finish };
    let driven =
        |drive| Finish { drive: facts.of("drive", drive), low_pass_hz: facts.of("lowpass_hz", 5000.0), ..finish };
    Some(if has("electric piano") || has("sines") {
        let bell = has("bell");
        let piano = ElectricPiano {
            own_note: 60.0,
            decay_ms: facts.of("decay_ms", 1800.0),
            attack_ms: facts.of("attack_ms", 1.0),
            bark: if bell {
                0.2
            } else if has("piano or") {
                0.8
            } else {
                0.5
            },
            bell: if bell { 0.45 } else { 0.4 },
            detune_cents: if bell { 9.0 } else { 3.0 },
            tremolo_hz: facts.of("tremolo_hz", 0.0),
            tremolo: if facts.get("tremolo_hz").is_some() { 0.35 } else { 0.0 },
        };
        (piano.into(), finish)
    } else if has("organ") || has("accordion") {
        let reeds = has("accordion");
        let organ = Organ {
            own_note: 60.0,
            attack_ms: facts.of("attack_ms", if reeds { 9.0 } else { 2.0 }),
            decay_ms: facts.of("decay_ms", 0.0),
            under: if reeds { 0.0 } else { 0.45 },
            twelfth: if reeds { 0.0 } else { 0.5 },
            octaves: if reeds { 0.3 } else { 0.55 },
            click: if reeds { 0.0 } else { 0.25 },
            detune_cents: if reeds { 11.0 } else { 4.0 },
            reed: if reeds { 0.7 } else { 0.0 },
        };
        (organ.into(), finish)
    } else if has("overdriven") {
        (string(0.12, 2600.0, 0.15, 0.3, 2500.0).into(), driven(0.6))
    } else if has("breakup") {
        (string(0.13, 900.0, 0.25, 0.3, 2500.0).into(), driven(0.3))
    } else if has("nylon") {
        (string(0.22, 900.0, 0.45, 0.25, 1500.0).into(), finish)
    } else if has("acoustic guitar") {
        let strings = PluckedString { bright_hz: 6500.0, detune_cents: 4.0, ..string(0.15, 900.0, 0.3, 0.4, 3500.0) };
        (strings.into(), open)
    } else if has("guitar and piano") {
        let strings = PluckedString { bright_hz: 5000.0, detune_cents: 3.0, ..string(0.14, 120.0, 0.25, 0.4, 2500.0) };
        (strings.into(), open)
    } else if has("guitar") {
        (PluckedString { bright_hz: 5500.0, ..string(0.1, 400.0, 0.25, 0.35, 3000.0) }.into(), open)
    } else if has("piano") {
        let piano = PluckedString { stiffness: 0.000_3, detune_cents: 1.5, ..string(0.11, 2400.0, 0.35, 0.35, 1200.0) };
        (piano.into(), finish)
    } else if has("pluck") {
        (string(0.18, 300.0, 0.4, 0.2, 2500.0).into(), finish)
    } else if has("brass") || has("horn") {
        let brass = Subtractive {
            sweep_octaves: -2.6,
            sweep_ms: 70.0,
            attack_ms: facts.of("attack_ms", 12.0).max(4.0),
            resonance_db: 0.5,
            ..saws(3.0, 11.0)
        };
        (brass.into(), open)
    } else if has("pad") {
        (saws(3.0, 14.0).into(), open)
    } else if has("two detuned saws") {
        (saws(2.0, 16.0).into(), open)
    } else if has("seven detuned saws") {
        (saws(7.0, 38.0).into(), open)
    } else {
        return unknown(facts);
    })
}

fn vocal(style: &str, facts: &Facts) -> (Model, Finish) {
    let wave = facts.wave();
    let (vowel_start, vowel_end) = match style {
        "modern-dancehall" => (1.0, 2.2),
        "brazilian-funk" => (2.0, 1.2),
        "jersey-club" => (2.2, 3.2),
        "chicago-footwork" => (1.4, 2.0),
        _ => (1.6, 2.6),
    };
    let model = Formant {
        own_note: 60.0,
        vowel_start,
        vowel_end,
        vowel_ms: 90.0,
        attack_ms: facts.of("attack_ms", 6.0),
        decay_ms: facts.of("decay_ms", 150.0),
        scoop_semitones: if wave.contains("blip") { 0.0 } else { 1.0 },
        breath: 0.15,
        throat: if wave.contains("pitched up") { 1.35 } else { 1.1 },
    };
    (model.into(), edges(facts))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_read_from_words() {
        let check = |text, unit, expected: Option<f64>| assert_eq!(number_before(text, unit), expected, "{text}");
        check("sine, pitch falls 12 semitones in 35 ms then holds", " ms", Some(35.0));
        check("sine, pitch falls 12 semitones in 35 ms then holds", " semitones", Some(12.0));
        check("pitch envelope +12 semitones falling in 25 ms", " semitones", Some(12.0));
        check("sine", " ms", None);
    }
}
