//! Whatever a groove can hold, its link brings back exactly.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test stops at what it did not expect")]

use proptest::prelude::*;
use proptest::test_runner::RngSeed;
use stickleback::rhythm::*;
use stickleback::role::Role;
use stickleback::share;

fn loudness() -> impl Strategy<Value = Loudness> {
    (1..=127_u8).prop_map(|value| Loudness::new(value).unwrap())
}

fn stroke(length: i64, pulse: i64) -> impl Strategy<Value = Stroke> {
    let at = prop_oneof![3 => (0..length / pulse).prop_map(move |n| n * pulse), 1 => 0..length];
    let most = (pulse - 1) / 2;
    let nudge = prop_oneof![2 => Just(0), 1 => -most..=most];
    let shape = prop::sample::select(RollShape::ALL.to_vec());
    let roll = (2..=32_u8, 60..=7680_i64, shape, -24..=24_i8).prop_map(|(strokes, span, shape, bend)| Roll {
        strokes,
        span: Tick(span),
        shape,
        bend,
    });
    let flam = (5..=60_u8).prop_map(|gap_ms| Flam { gap_ms });
    let pitches = prop::collection::vec(-48..=48_i8, 0..=8);
    let held = prop_oneof![30..=61_440_i64, 1..=16_i64].prop_map(|ticks| if ticks < 30 { ticks * 240 } else { ticks });
    let glide = (-48..=48_i8, 5..=2000_u16).prop_map(|(to, ms)| Glide { to, ms });
    let some = (
        prop::option::weighted(0.2, roll),
        prop::option::weighted(0.2, flam),
        prop::option::weighted(0.3, pitches),
        prop::option::weighted(0.3, held),
        prop::option::weighted(0.3, glide),
    );
    (at, prop_oneof![loudness(), Just(Dynamics::DEFAULT.plain)], nudge, some).prop_map(
        |(at, loudness, nudge, (roll, flam, pitches, length, glide))| {
            let pitches = pitches.unwrap_or_default();
            Stroke {
                nudge: Tick(nudge),
                roll,
                flam,
                length: length.map(Tick),
                glide: glide.filter(|_| !pitches.is_empty()),
                pitches,
                ..Stroke::new(Tick(at), loudness)
            }
        },
    )
}

fn lane(length: i64) -> impl Strategy<Value = Lane> {
    let pulses: Vec<i64> = (40..=3840).filter(|pulse| length % pulse == 0).collect();
    let pulse = prop_oneof![prop::sample::select(pulses), Just(if length % 240 == 0 { 240 } else { 120 })];
    let head = (
        prop::sample::select(Role::ALL.to_vec()),
        prop::option::weighted(0.2, any::<bool>()),
        prop_oneof![Just(0_i16), -600..=600_i16],
        prop::bool::weighted(0.2),
    );
    (head, pulse).prop_flat_map(move |((role, swings, lean, optional), pulse)| {
        let lean = Lean::from_tenths(lean).unwrap();
        let head = LaneHead { role, pulse: Tick(pulse), swings, lean, optional };
        prop::collection::vec(stroke(length, pulse), 0..40).prop_map(move |strokes| Lane::with_strokes(head, strokes))
    })
}

fn pattern() -> impl Strategy<Value = Pattern> {
    let beat =
        prop_oneof![3 => prop::sample::select(vec![960_i64, 480, 1440]), 1 => (1..=32_i64).prop_map(|n| n * 120)];
    let metre = prop_oneof![
        prop::sample::select(vec!["4/4", "6/8", "7/8", "3/4", "12/8"]).prop_map(|text| Metre::parse(text).unwrap()),
        prop::collection::vec(beat, 1..=16)
            .prop_map(|beats| Metre::new(&beats.into_iter().map(Tick).collect::<Vec<_>>()).unwrap()),
    ];
    (metre, 1..=8_u8).prop_flat_map(|(metre, bars)| {
        let length = metre.bar().0 * i64::from(bars);
        let lanes =
            prop_oneof![8 => prop::collection::vec(lane(length), 0..6), 1 => prop::collection::vec(lane(length), 24)];
        lanes.prop_map(move |lanes| Pattern::new(metre.clone(), bars, lanes).unwrap())
    })
}

fn feel() -> impl Strategy<Value = Feel> {
    let shifts = prop::collection::btree_map(0..3840_i64, -100..=100_i16, 0..16);
    let pair = prop::sample::select(vec![480, 720, 960, 1440]);
    (pair, any::<bool>(), 500..=800_u16, prop::option::of(shifts)).prop_map(|(pair, ternary, swing, shifts)| {
        let written = if ternary { Written::Ternary } else { Written::Straight };
        let swing = Swing::from_tenths(swing).unwrap();
        let shifts = shifts.unwrap_or_default().into_iter();
        let shifts = shifts.map(|(at, tenths)| PositionShift { at: Tick(at), tenths }).collect();
        // Shifts that would change the order of strokes are no feel.
        let whole = Feel::new(Tick(pair), written, swing, shifts);
        whole.or_else(|_| Feel::new(Tick(pair), written, swing, Vec::new())).unwrap()
    })
}

fn groove() -> impl Strategy<Value = Groove> {
    let count = prop_oneof![3 => Just(960), 1 => (1..=64_i64).prop_map(|n| n * 120)];
    let tempo =
        (2_000..=40_000_u32, any::<bool>(), count.clone(), count).prop_map(|(hundredths, whole, unit, felt)| {
            let hundredths = if whole { hundredths / 100 * 100 } else { hundredths };
            Tempo::new(Bpm::from_hundredths(hundredths).unwrap(), Tick(unit), Tick(felt)).unwrap()
        });
    let dynamics = prop_oneof![
        Just(Dynamics::DEFAULT),
        (3..=127_u8, 1..126_u8, 1..125_u8).prop_map(|(accent, plain, ghost)| {
            let plain = 2 + plain % (accent - 2).max(1);
            let loudness = |value| Loudness::new(value).unwrap();
            Dynamics::new(loudness(accent), loudness(plain.min(accent - 1)), loudness(1 + ghost % (plain - 1).max(1)))
                .unwrap_or(Dynamics::DEFAULT)
        }),
    ];
    let id = prop_oneof!["[a-z0-9]{1,20}(-[a-z0-9]{1,6}){0,2}", Just("boom-bap".to_owned()), Just("trap".to_owned())];
    let id = id.prop_map(|text| text.parse::<Id>().unwrap());
    let speed = prop_oneof![Just(1000), 250..=4000_u32].prop_map(|speed| TapeSpeed::from_thousandths(speed).unwrap());
    let code = prop_oneof![1..=60_usize, Just(200)].prop_flat_map(|length| prop::collection::vec(any::<u8>(), length));
    let voices = prop_oneof![
        2 => Just(MadeVoices::NONE),
        1 => prop::collection::btree_map(prop::sample::select(Role::ALL.to_vec()), code, 1..=MadeVoices::MOST)
            .prop_map(|codes| codes.into_iter().fold(MadeVoices::NONE, |all, (role, code)| {
                all.with(role, MadeVoice::new(code).unwrap()).unwrap()
            })),
    ];
    let sound = (id.clone(), prop::option::of(id), speed, voices).prop_map(|(kit, tone, speed, voices)| Sound {
        tone: tone.unwrap_or(kit.clone()),
        kit,
        speed,
        voices,
    });
    let tonic = prop_oneof![Just(36), 0..=96_u8].prop_map(|note| Tonic::new(note).unwrap());
    (pattern(), tempo, feel(), dynamics, tonic, sound).prop_map(|(pattern, tempo, feel, dynamics, tonic, sound)| {
        Groove { pattern, tempo, feel, dynamics, tonic, sound }
    })
}

proptest! {
        #![proptest_config(ProptestConfig {
            rng_seed: RngSeed::Fixed(8),
            failure_persistence: None,
            ..ProptestConfig::default()
        })]

    #[test]
    fn every_groove_comes_back(groove in groove(), kit_hash: u32, tone_hash: Option<u32>, title in prop::option::of("[ -~é]{0,40}")) {
        let title = title.map(|title| title.trim().to_owned()).filter(|title| !title.is_empty());
        let shared = share::Shared { groove, kit_hash, tone_hash, title };
        let link = shared.encode();
        // Only own voices need the second form; links without them stay as they were.
        prop_assert_eq!(&link[..1], if shared.groove.sound.voices.is_empty() { "B" } else { "C" });
        if link.len() <= share::MAX_LINK {
            prop_assert_eq!(share::decode(&link), Ok(shared));
        } else {
            prop_assert_eq!(share::decode(&link), Err(share::LinkFault::TooLong));
        }
    }

    #[test]
    fn no_cut_and_no_change_opens_as_another_groove(
        groove in groove(), place: prop::sample::Index, character in "[A-Za-z0-9_-]",
    ) {
        let link = share::encode(&groove, 1, None);
        prop_assume!(link.len() <= share::MAX_LINK);
        let place = place.index(link.len());
        prop_assert!(share::decode(&link[..place]).is_err());
        let changed = format!("{}{character}{}", &link[..place], &link[place + 1..]);
        if changed != link {
            prop_assert_eq!(share::decode(&changed), Err(share::LinkFault::Cut));
        }
    }
}
