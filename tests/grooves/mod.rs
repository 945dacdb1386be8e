//! Grooves for the tests: written by hand in box notation, or drawn at random within all limits.
#![allow(dead_code, reason = "each test binary uses its own part")]

use proptest::collection::vec;
use proptest::prelude::*;
use proptest::sample::select;
use stickleback::rhythm::boxes::{Ruling, read_row};
use stickleback::rhythm::*;
use stickleback::role::Role;

/// A groove in quarter notes from rows of (role, pulse in ticks, row).
pub fn groove(bpm: f64, metre: &str, bars: u8, rows: &[(&str, i64, &str)]) -> Groove {
    let metre = Metre::parse(metre).unwrap();
    let lanes = rows.iter().map(|&(role, pulse, row)| {
        let ruling = Ruling { metre: &metre, bars, pulse: Tick(pulse), dynamics: Dynamics::DEFAULT };
        Lane::with_strokes(LaneHead::new(role.parse().unwrap(), Tick(pulse)), read_row(row, &ruling).unwrap())
    });
    let lanes = lanes.collect();
    with_pattern(Tempo::quarters(Bpm::new(bpm).unwrap()), Pattern::new(metre, bars, lanes).unwrap())
}

/// A groove of that pattern, straight, with a sound of no importance.
pub fn with_pattern(tempo: Tempo, pattern: Pattern) -> Groove {
    let kit: Id = "plain".parse().unwrap();
    Groove {
        pattern,
        tempo,
        feel: Feel::straight(),
        dynamics: Dynamics::DEFAULT,
        tonic: Tonic::DEFAULT,
        sound: Sound::of(kit),
    }
}

/// `groove` after `edit`, which must fit.
pub fn edited(groove: &Groove, edit: Edit) -> Groove {
    let mut groove = groove.clone();
    groove.apply(&edit).unwrap();
    groove
}

/// The stroke of the lane at `lane` from the top written at `at`, changed.
pub fn change(groove: &Groove, lane: usize, at: i64, change: impl FnOnce(&mut Stroke)) -> Groove {
    let lane = &groove.pattern.lanes()[lane];
    let mut stroke = lane.at(Tick(at)).unwrap().clone();
    change(&mut stroke);
    edited(groove, Edit::Put(lane.id, stroke))
}

/// The head of the lane at `lane` from the top, changed.
pub fn change_head(groove: &Groove, lane: usize, change: impl FnOnce(&mut LaneHead)) -> Groove {
    let lane = &groove.pattern.lanes()[lane];
    let mut head = lane.head;
    change(&mut head);
    edited(groove, Edit::SetHead(lane.id, head))
}

pub fn any_metre() -> impl Strategy<Value = Metre> {
    select(vec!["4/4", "3/4", "2/4", "6/8", "12/8", "7/8", "5/8", "3+2+2/8", "3+2/16"])
        .prop_map(|signature| Metre::parse(signature).unwrap())
}

pub fn any_tempo() -> impl Strategy<Value = Tempo> {
    (6_000_u32..=24_000, select(vec![720, 960, 1440]), select(vec![480, 960, 1440, 1920])).prop_map(
        |(hundredths, unit, felt)| {
            Tempo::new(Bpm::from_hundredths(hundredths).unwrap(), Tick(unit), Tick(felt)).unwrap()
        },
    )
}

pub fn any_feel() -> impl Strategy<Value = Feel> {
    let shifts = prop_oneof![
        3 => Just(Vec::new()),
        1 => vec(-25_i16..=25, 4).prop_map(|tenths| {
            let places = [0, 240, 480, 720].map(Tick);
            places.into_iter().zip(tenths).map(|(at, tenths)| PositionShift { at, tenths }).collect()
        }),
    ];
    let written = select(vec![Written::Straight, Written::Ternary]);
    (select(vec![480, 720, 960, 1440]), written, 500_u16..=800, shifts).prop_map(|(pair, written, share, shifts)| {
        Feel::new(Tick(pair), written, Swing::from_tenths(share).unwrap(), shifts).unwrap()
    })
}

pub fn any_head(length: Tick) -> impl Strategy<Value = LaneHead> {
    let pulses: Vec<i64> = [120, 160, 240, 320, 480, 960].into_iter().filter(|pulse| length.0 % pulse == 0).collect();
    let swings = prop_oneof![3 => Just(None), 1 => any::<bool>().prop_map(Some)];
    (select(Role::ALL.to_vec()), select(pulses), swings, -600_i16..=600, any::<bool>()).prop_map(
        |(role, pulse, swings, lean, optional)| LaneHead {
            swings,
            lean: Lean::from_tenths(lean).unwrap(),
            optional,
            ..LaneHead::new(role, Tick(pulse))
        },
    )
}

pub fn any_stroke(length: Tick, pulse: Tick) -> impl Strategy<Value = Stroke> {
    let at = prop_oneof![
        3 => (0..length.0 / pulse.0).prop_map(move |n| pulse.times(n)),
        1 => (0..length.0).prop_map(Tick),
    ];
    let limit = (pulse.0 - 1) / 2;
    let nudge = prop_oneof![3 => Just(0), 1 => -limit..=limit].prop_map(Tick);
    let roll = (2_u8..=32, 60_i64..=1920, select(RollShape::ALL.to_vec()), -24_i8..=24)
        .prop_map(|(strokes, span, shape, bend)| Roll { strokes, span: Tick(span), shape, bend });
    let roll = prop_oneof![5 => Just(None), 1 => roll.prop_map(Some)];
    let flam = prop_oneof![5 => Just(None), 1 => (5_u8..=60).prop_map(|gap_ms| Some(Flam { gap_ms }))];
    let pitches = prop_oneof![2 => Just(Vec::new()), 1 => vec(-48_i8..=48, 1..=3)];
    let length = prop_oneof![3 => Just(None), 1 => (30_i64..4000).prop_map(|ticks| Some(Tick(ticks)))];
    let glide =
        prop_oneof![3 => Just(None), 1 => (-48_i8..=48, 5_u16..=2000).prop_map(|(to, ms)| Some(Glide { to, ms }))];
    (at, 1_u8..=127, nudge, roll, flam, pitches, length, glide).prop_map(
        |(at, loudness, nudge, roll, flam, pitches, length, glide)| Stroke {
            nudge,
            roll,
            flam,
            length,
            glide: glide.filter(|_| !pitches.is_empty()),
            pitches,
            ..Stroke::new(at, Loudness::new(loudness).unwrap())
        },
    )
}

pub fn any_lane(length: Tick) -> impl Strategy<Value = Lane> {
    any_head(length).prop_flat_map(move |head| {
        vec(any_stroke(length, head.pulse), 0..10).prop_map(move |strokes| Lane::with_strokes(head, strokes))
    })
}

pub fn any_pattern() -> impl Strategy<Value = Pattern> {
    (any_metre(), 1_u8..=3).prop_flat_map(|(metre, bars)| {
        let length = metre.bar().times(i64::from(bars));
        vec(any_lane(length), 0..6).prop_map(move |lanes| Pattern::new(metre.clone(), bars, lanes).unwrap())
    })
}

pub fn any_groove() -> impl Strategy<Value = Groove> {
    (any_tempo(), any_pattern(), any_feel())
        .prop_map(|(tempo, pattern, feel)| Groove { feel, ..with_pattern(tempo, pattern) })
}

/// Seeded: every run draws the same cases, and none is written to disk.
pub fn seeded(cases: u32) -> ProptestConfig {
    ProptestConfig {
        cases,
        failure_persistence: None,
        rng_seed: proptest::test_runner::RngSeed::Fixed(1847),
        ..ProptestConfig::default()
    }
}
