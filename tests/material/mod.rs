//! A kit and grooves for the audio tests: small, and with one of everything that can go wrong.
#![allow(dead_code, reason = "each test binary takes what it needs")]
#![allow(clippy::unwrap_used, reason = "a test may stop at the first surprise")]

use std::sync::Arc;
use stickleback::rhythm::boxes::{Ruling, read_row};
use stickleback::rhythm::{
    Bpm, Dynamics, Feel, Glide, Groove, Lane, LaneHead, Lean, Metre, Pattern, Roll, RollShape, Sound, Stroke, Swing,
    Tempo, Tick, Tonic, Written,
};
use stickleback::role::Role;
use stickleback::synth::kit::Place;
use stickleback::synth::{Cymbal, Kit, Membrane, Patch, Snare, Sub, Tone, Voice};

/// Kick, snare, two hats and a held bass.
pub fn kit() -> Arc<Kit> {
    let kick = Membrane {
        pitch_hz: 55.0,
        start_hz: 160.0,
        drop_ms: 35.0,
        decay_ms: 180.0,
        overtones: 0.0,
        presence: 0.2,
        click: 0.4,
        click_hz: 3000.0,
        skin: 0.0,
        skin_hz: 800.0,
    };
    let snare = Snare { tone_hz: 190.0, noise_hz: 3500.0, decay_ms: 120.0, noise: 0.6, crack: 0.4, attack_ms: 0.0 };
    let hat = |decay_ms: f64| Cymbal {
        high_pass_hz: 6000.0,
        low_pass_hz: 16_000.0,
        decay_ms,
        metal: 0.4,
        metal_hz: 420.0,
        stick: 0.3,
        stick_hz: 5000.0,
        attack_ms: 0.0,
    };
    let sub = Sub {
        pitch_hz: 55.0,
        attack_ms: 2.0,
        decay_ms: 0.0,
        drop_semitones: 0.0,
        drop_ms: 0.0,
        presence: 0.3,
        growl: 0.0,
        detune_cents: 0.0,
        growl_hz: 300.0,
        wobble_hz: 0.0,
        wobble_octaves: 0.0,
    };
    let voice = |patch: Patch, level_db: f64| Voice { patch, place: Place { level_db, release_ms: 30.0 } };
    let voices = [
        (Role::Kick, voice(Patch::plain(kick), -6.0)),
        (Role::Snare, voice(Patch::plain(snare), -8.0)),
        (Role::HatClosed, voice(Patch::plain(hat(50.0)), -14.0)),
        (Role::HatOpen, voice(Patch::plain(hat(600.0)), -14.0)),
        (Role::SubBass, voice(Patch::plain(sub), -10.0)),
    ];
    Arc::new(Kit { id: "test".to_owned(), name: "Test".to_owned(), voices: voices.into(), tone: Tone::NEUTRAL })
}

/// A tone that uses every node: filters, drive, room, surface noise, wander and ducking.
pub fn full_tone() -> Tone {
    let mut tone = Tone::NEUTRAL;
    let figures = &mut tone.figures;
    (figures.high_pass_hz, figures.low_pass_hz, figures.drive) = (40.0, 9000.0, 0.25);
    (figures.duck_db, figures.duck_ms, figures.level_db) = (8.0, 160.0, -3.0);
    (figures.surface_noise_db, figures.crackle) = (-62.0, 0.3);
    (tone.room.wet_percent, tone.room.decay_ms) = (18.0, 350.0);
    tone
}

/// A groove of one bar of 4/4 from rows, in sixteenths.
pub fn groove(bpm: f64, swing: f64, rows: &[(Role, &str)]) -> Groove {
    let metre = Metre::four_four();
    let lanes = rows.iter().map(|(role, row)| {
        let pulse = Tick(metre.bar().0 / row.len() as i64);
        let ruling = Ruling { metre: &metre, bars: 1, pulse, dynamics: Dynamics::DEFAULT };
        Lane::with_strokes(LaneHead::new(*role, pulse), read_row(row, &ruling).unwrap())
    });
    let lanes = lanes.collect();
    with_lanes(bpm, swing, metre, lanes)
}

fn with_lanes(bpm: f64, swing: f64, metre: Metre, lanes: Vec<Lane>) -> Groove {
    let id = |text: &str| text.parse().unwrap();
    Groove {
        pattern: Pattern::new(metre, 1, lanes).unwrap(),
        tempo: Tempo::quarters(Bpm::new(bpm).unwrap()),
        feel: Feel::new(Tick(480), Written::Straight, Swing::from_percent(swing).unwrap(), Vec::new()).unwrap(),
        dynamics: Dynamics::DEFAULT,
        tonic: Tonic::DEFAULT,
        sound: Sound::of(id("test")),
    }
}

/// A plain beat.
pub fn beat(bpm: f64) -> Arc<Groove> {
    Arc::new(groove(
        bpm,
        50.0,
        &[
            (Role::Kick, "X.......X.x....."),
            (Role::Snare, "....X..o....X..."),
            (Role::HatClosed, "x.x.x.x.x.x.x..."),
            (Role::HatOpen, "..............x."),
        ],
    ))
}

/// A lone kick on the four quarters, for onsets without company.
pub fn quarters(bpm: f64) -> Arc<Groove> {
    Arc::new(groove(bpm, 50.0, &[(Role::Kick, "x...x...x...x...")]))
}

/// Swing, rolls that bend, flams, nudges, lean, a held bass that glides, chokes: everything at once.
pub fn busy(bpm: f64) -> Arc<Groove> {
    let plain = Dynamics::DEFAULT.plain;
    let stroke = |at: i64| Stroke::new(Tick(at), plain);
    let mut snare = LaneHead::new(Role::Snare, Tick(240));
    snare.lean = Lean::from_ms(12.0).unwrap();
    let roll = Roll { strokes: 6, span: Tick(480), shape: RollShape::Rising, bend: 5 };
    let held =
        |at: i64, pitch: i8, length: i64| Stroke { pitches: vec![pitch], length: Some(Tick(length)), ..stroke(at) };
    let bass = vec![
        held(0, 0, 900),
        Stroke { glide: Some(Glide { to: 7, ms: 120 }), ..held(1200, 0, 1100) },
        held(2880, -5, 900),
    ];
    let lanes = vec![
        Lane::with_strokes(LaneHead::new(Role::Kick, Tick(240)), [0, 720, 2400].map(stroke)),
        Lane::with_strokes(
            snare,
            [
                Stroke { flam: Some(stickleback::rhythm::Flam::DEFAULT), ..stroke(960) },
                Stroke { nudge: Tick(-40), ..stroke(2880) },
            ],
        ),
        Lane::with_strokes(
            LaneHead::new(Role::HatClosed, Tick(240)),
            (0..12).map(|n| stroke(n * 240)).chain([Stroke { roll: Some(roll), ..stroke(2880) }]),
        ),
        Lane::with_strokes(LaneHead::new(Role::HatOpen, Tick(240)), [stroke(3600)]),
        Lane::with_strokes(LaneHead::new(Role::SubBass, Tick(240)), bass),
    ];
    Arc::new(with_lanes(bpm, 58.0, Metre::four_four(), lanes))
}
