//! The files of the practice room read clean, round trip exactly, and survive anything.

#![allow(clippy::unwrap_used, clippy::panic, reason = "helpers of tests")]

use proptest::prelude::*;
use std::fs;
use std::path::{Path, PathBuf};
use stickleback::lesson::{IndexEntry, Style, groove, index, kit, made, style_file};
use stickleback::rhythm::boxes::Ruling;
use stickleback::rhythm::{
    Bpm, Dynamics, Feel, Flam, Glide, Groove, Lane, LaneHead, Lean, Loudness, MadeVoice, MadeVoices, Metre, Pattern,
    PositionShift, Roll, RollShape, Sound, Stroke, Swing, TapeSpeed, Tempo, Tick, Tonic, Written,
};
use stickleback::role::Role;
use stickleback::style::{Foil, Rank, Variation};

fn lessons(folder: &str) -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("lessons").join(folder);
    let mut files: Vec<PathBuf> = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    files.sort();
    files
}

fn styles() -> Vec<Style> {
    let read = |path: &PathBuf| {
        let text = fs::read_to_string(path).unwrap();
        let style = style_file::read(&text).unwrap_or_else(|faults| panic!("{}: {faults:?}", path.display()));
        assert_eq!(style_file::write(&style), text, "{} is as it would be written", path.display());
        assert_eq!(path.file_stem().unwrap().to_str(), Some(style.id.as_str()));
        style
    };
    lessons("styles").iter().map(read).collect()
}

#[test]
fn every_style_reads_clean_and_writes_to_the_same_bytes() {
    let styles = styles();
    assert_eq!(styles.len(), 43);
    for style in &styles {
        assert_eq!(style_file::read(&style_file::write(style)).as_ref(), Ok(style));
        for neighbour in &style.neighbours {
            assert!(styles.iter().any(|other| other.id == neighbour.id), "{}: {}", style.id, neighbour.id);
        }
        let of_rank = |rank| style.hallmarks.iter().filter(|hallmark| hallmark.rank == rank).count();
        assert!(of_rank(Rank::Signature) > 0 && of_rank(Rank::Frame) > 0, "{}", style.id);
        assert!((4..=8).contains(&style.lesson.stages.len()), "{}", style.id);
        for variant in &style.variants {
            let varied = variant.change.over(&style.groove).unwrap();
            assert_ne!(varied, style.groove, "{}: {} changes something", style.id, variant.id);
        }
    }
}

#[test]
fn every_kit_stands_beside_its_style_and_has_its_voices() {
    let kits = lessons("kits");
    for style in styles() {
        let path = kits.iter().find(|path| path.file_stem().unwrap().to_str() == Some(style.groove.sound.kit.as_str()));
        let kit = kit::read_kit(&fs::read_to_string(path.unwrap()).unwrap()).unwrap();
        let silent = style
            .groove
            .pattern
            .lanes()
            .iter()
            .find(|lane| !kit.voices.iter().any(|(role, _)| *role == lane.head.role));
        assert!(silent.is_none(), "{}: {silent:?}", style.id);
    }
}

#[test]
fn the_index_tells_what_the_styles_tell() {
    let text = fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("lessons/index.json")).unwrap();
    let read = index::read(&text).unwrap();
    assert_eq!(index::write(&read), text);
    let mut told: Vec<IndexEntry> = styles().iter().map(IndexEntry::from).collect();
    let mut read = read;
    told.sort_by(|a, b| a.id.cmp(&b.id));
    read.sort_by(|a, b| a.id.cmp(&b.id));
    assert_eq!(read, told);
}

/// Every voice of a kit as one's own, as many as fit, and one that cannot be read.
fn own_voices() -> MadeVoices {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("lessons/kits/house.json");
    let kit = kit::read_kit(&fs::read_to_string(path).unwrap()).unwrap();
    let unread = MadeVoices::NONE.with(Role::VocalChop, MadeVoice::new(vec![0xff, 0x00]).unwrap()).unwrap();
    kit.voices.iter().fold(unread, |all, (&role, voice)| all.clone().with(role, made::made_voice(voice)).unwrap_or(all))
}

#[test]
fn a_foil_round_trips() {
    let mut style = styles().swap_remove(0);
    let snare = LaneHead::new(Role::Snare, Tick(240));
    let lane = Lane::with_strokes(snare, [Stroke::new(Tick(960), Loudness::new(100).unwrap())]);
    let whole = Variation { instead: Some(Box::new(style.groove.clone())), ..Variation::default() };
    let part = Variation {
        tempo: Some(style.groove.tempo.at(Bpm::new(97.25).unwrap())),
        feel: Some(Feel::straight()),
        dynamics: Some(Dynamics::DEFAULT),
        sound: Some(Sound { speed: TapeSpeed::from_thousandths(1250).unwrap(), ..style.groove.sound.clone() }),
        lanes: vec![lane],
        without: vec![Role::Kick],
        instead: None,
    };
    for (index, change) in [whole, part].into_iter().enumerate() {
        let varied = change.over(&style.groove).unwrap();
        assert_eq!(varied == style.groove, index == 0);
        style.hallmarks[index].foil = Some(Foil { name: "instead: something else".to_owned(), change });
    }
    let text = style_file::write(&style);
    assert_eq!(style_file::read(&text), Ok(style));
}

const QUAY_MARCH: &str = r#"{
  "stickleback": 1,
  "kind": "style",
  "id": "quay-march",
  "name": "Quay march",
  "family": "invented",
  "essence": "An invented march.",
  "signature": "Kick",
  "origin": "Nowhere.",
  "counting": "In two.",
  "tempo_range": {"slowest": 90, "fastest": 110},
  "swing_range": {"lightest": 50, "strongest": 60},
  "mode": "minor",
  "loudness": "Flat.",
  "confidence": "Low",
  "groove": {
    "metre": "2/4",
    "bars": 2,
    "pulse": "1/16",
    "tempo": {"bpm": 100, "unit": "1/4", "felt": "1/2"},
    "feel": {"pair": "1/4", "swing": 55, "shifts": [{"at": "and", "percent": -2}]},
    "dynamics": {"accent": 110, "plain": 80, "ghost": 40},
    "sound": {"kit": "quay-march"},
    "lanes": [
      {"role": "snare", "row": "....X..o|....X...", "lean_ms": 12, "optional": true, "details": {
        "2:2": {"roll": {"strokes": 3, "span": "1/8", "shape": "rising"}}
      }},
      {"role": "kick",  "row": "X...x...|X...x.x."},
      {"role": "bass",  "row": "x.......|....x...", "details": {
        "1:1": {"pitches": [0], "length": 6},
        "2:2": {"pitches": [5], "length": 4, "glide": {"to": -7, "ms": 120}}
      }}
    ]
  },
  "leans": [{"role": "snare", "earliest_ms": 5, "latest_ms": 20, "why": "late"}],
  "lane_notes": {"snare": "Drags"},
  "variants": [
    {
      "id": "long-way",
      "name": "long way",
      "change": {
        "lanes": [
          {"role": "kick", "row": "X.......|X......."}
        ]
      }
    }
  ],
  "hallmarks": [
    {
      "id": "march",
      "rank": "signature",
      "sentence": "Kick on 1 and 2.",
      "condition": {"kind": "strikes", "voices": ["kick"], "places": ["1", "2"], "touch": "any"}
    },
    {
      "id": "gap",
      "rank": "frame",
      "sentence": "No snare on the a of 1 in bar 2.",
      "condition": {"kind": "kept-empty", "voices": ["snare"], "phrase": [null, ["a of 1"]]},
      "implies": ["march"]
    }
  ],
  "neighbours": [{"id": "other", "aspects": ["tempo"], "how": "Slower."}],
  "lesson": {
    "stages": ["Kick on 1.", "Snare.", "Bass."],
    "listen": "Listen.",
    "mistake": "Rushing.",
    "hear_first": "First the kick."
  }
}
"#;

#[test]
fn a_style_file_is_written_as_a_musician_would() {
    assert_eq!(style_file::write(&style_file::read(QUAY_MARCH).unwrap()), QUAY_MARCH);
}

/// The stages of a staged lesson over the march above, one of every kind of task.
const STAGED: &str = r#"    "stages": [
      {
        "id": "kick",
        "title": "The kick walks",
        "text": "One kick on every beat, like feet on a quay.",
        "listen": "How even they are.",
        "count": "1 2",
        "say": {"kick": "boom", "snare": "ka"},
        "pace": 70,
        "lanes": ["kick"],
        "topic": [{"role": "kick", "places": ["1", "2"]}, {"role": "kick", "phrase": [null, ["and of 2"]]}],
        "task": {
          "kind": "build",
          "ask": "Put a kick on 1 and 2.",
          "goal": {"kind": "strikes", "voices": ["kick"], "places": ["1", "2"]},
          "start": {
            "lanes": [
              {"role": "kick", "row": "x.......|........"}
            ]
          },
          "solution": {
            "lanes": [
              {"role": "kick", "row": "x...x...|x...x..."}
            ]
          },
          "hints": ["Walk.", "One on each beat.", "Kick on 1 and 2 of both bars."]
        }
      },
      {
        "id": "bass",
        "title": "The bass follows",
        "text": "The bass answers.",
        "change": {
          "tempo": {"bpm": 97, "unit": "1/4", "felt": "1/2"},
          "lanes": [
            {"role": "bass", "row": "x.......|........"}
          ]
        },
        "task": {"kind": "predict", "ask": "Where?", "lane": "bass", "hints": ["Low.", "On 1."]}
      },
      {
        "id": "whole",
        "title": "All of it",
        "text": "Now the snare.",
        "lanes": ["snare", "bass"],
        "change": {"tempo": {"bpm": 100, "unit": "1/4", "felt": "1/2"}},
        "task": {
          "kind": "choose",
          "ask": "Which is faster?",
          "change": {"tempo": {"bpm": 90, "unit": "1/4", "felt": "1/2"}},
          "choices": ["the first", "the second"],
          "answer": 0,
          "because": "It is."
        }
      }
    ],"#;

/// The march with its lesson staged.
fn staged() -> String {
    QUAY_MARCH.replace(r#"    "stages": ["Kick on 1.", "Snare.", "Bass."],"#, STAGED)
}

#[test]
fn staged_and_told_lessons_round_trip() {
    let staged = staged();
    let style = style_file::read(&staged).unwrap();
    assert_eq!(style.lesson.staged().map(|stages| stages.len()), Some(3));
    assert_eq!(style_file::write(&style), staged);
    let mixed = staged.replace("\n    ],", ",\n      \"And now dance.\"\n    ],");
    let style = style_file::read(&mixed).unwrap();
    assert_eq!((style.lesson.staged(), style.lesson.stages.len()), (None, 4));
    assert_eq!(style_file::write(&style), mixed);
}

fn stroke(pulse: i64, length: i64) -> impl Strategy<Value = Stroke> {
    let roll = (2u8..=32, 60i64..=7680, 0usize..4, -24i8..=24).prop_map(|(strokes, span, shape, bend)| Roll {
        strokes,
        span: Tick(span),
        shape: RollShape::ALL[shape],
        bend,
    });
    // Half the strokes lie on the pulse, half anywhere.
    let at = prop_oneof![(0..length / pulse).prop_map(move |n| n * pulse), 0..length];
    let loudness = prop_oneof![Just(112u8), Just(88), Just(40), 1u8..=127];
    let most = (pulse - 1) / 2;
    let nudge = prop_oneof![3 => Just(0), 1 => -most..=most];
    let held = prop::option::of(30i64..=61_440);
    let pitched = (prop::collection::vec(-48i8..=48, 0..=8), prop::option::of((-48i8..=48, 5u16..=2000)));
    let flam = prop::option::of(5u8..=60);
    (at, loudness, nudge, prop::option::of(roll), flam, pitched, held).prop_map(
        |(at, loudness, nudge, roll, flam, (pitches, glide), held)| Stroke {
            nudge: Tick(nudge),
            roll,
            flam: flam.map(|gap_ms| Flam { gap_ms }),
            glide: glide.filter(|_| !pitches.is_empty()).map(|(to, ms)| Glide { to, ms }),
            pitches,
            length: held.map(Tick),
            ..Stroke::new(Tick(at), Loudness::new(loudness).unwrap())
        },
    )
}

fn lane(length: i64) -> impl Strategy<Value = Lane> {
    let pulses: Vec<i64> = (40..=3840).filter(|pulse| length % pulse == 0).collect();
    let head =
        (0usize..36, prop::sample::select(pulses), prop::option::of(any::<bool>()), -600i16..=600, any::<bool>());
    head.prop_flat_map(move |(role, pulse, swings, lean, optional)| {
        let head = LaneHead {
            role: Role::from_index(role).unwrap(),
            pulse: Tick(pulse),
            swings,
            lean: Lean::from_tenths(lean).unwrap(),
            optional,
        };
        prop::collection::vec(stroke(pulse, length), 0..12).prop_map(move |strokes| Lane::with_strokes(head, strokes))
    })
}

fn any_groove() -> impl Strategy<Value = Groove> {
    let beats = prop::collection::vec((1i64..=32).prop_map(|n| Tick(n * 120)), 1..=16);
    let counts = (2_000u32..=40_000, 1i64..=64, 1i64..=64);
    let feel = (
        prop::sample::select(vec![480i64, 720, 960, 1440]),
        any::<bool>(),
        500u16..=800,
        prop::option::of((0i64..3840, -100i16..=100)),
    );
    let dynamics = (1u8..=40, 41u8..=88, 89u8..=127);
    (beats, 1u8..=8, counts, feel, dynamics, 0u8..=96, 250u32..=4000).prop_flat_map(
        |(beats, bars, (bpm, unit, felt), (pair, ternary, swing, shift), (ghost, plain, accent), tonic, speed)| {
            let metre = Metre::new(&beats).unwrap();
            let length = metre.bar().0 * i64::from(bars);
            prop::collection::vec(lane(length), 0..5).prop_map(move |lanes| Groove {
                pattern: Pattern::new(metre.clone(), bars, lanes).unwrap(),
                tempo: Tempo::new(Bpm::from_hundredths(bpm).unwrap(), Tick(unit * 120), Tick(felt * 120)).unwrap(),
                feel: {
                    let written = if ternary { Written::Ternary } else { Written::Straight };
                    let feel = |shifts| Feel::new(Tick(pair), written, Swing::from_tenths(swing).unwrap(), shifts);
                    // A shift that would put places out of order is no feel.
                    let shifts = shift.map(|(at, tenths)| PositionShift { at: Tick(at), tenths });
                    feel(shifts.into_iter().collect()).or_else(|_| feel(Vec::new())).unwrap()
                },
                dynamics: Dynamics::new(
                    Loudness::new(accent).unwrap(),
                    Loudness::new(plain).unwrap(),
                    Loudness::new(ghost).unwrap(),
                )
                .unwrap(),
                tonic: Tonic::new(tonic).unwrap(),
                sound: Sound {
                    kit: "one".parse().unwrap(),
                    tone: if tonic % 2 == 0 { "one" } else { "two" }.parse().unwrap(),
                    speed: TapeSpeed::from_thousandths(speed).unwrap(),
                    voices: if speed % 3 == 0 { own_voices() } else { MadeVoices::NONE },
                },
            })
        },
    )
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_groove_round_trips(groove in any_groove()) {
        let text = groove::write(&groove);
        let read = groove::read(&text);
        prop_assert_eq!(read.as_ref(), Ok(&groove), "{}", text);
        prop_assert_eq!(groove::write(&groove), text);
    }

    #[test]
    fn any_text_is_refused_in_words(bytes in prop::collection::vec(any::<u8>(), 0..400)) {
        let text = String::from_utf8_lossy(&bytes);
        for faults in [groove::read(&text).err(), style_file::read(&text).err(), index::read(&text).err()] {
            prop_assert!(faults.is_some_and(|faults| !faults.is_empty()));
        }
    }

    #[test]
    fn a_broken_style_file_never_panics(at in 0usize..6000, put in any::<char>(), cut in any::<bool>()) {
        let mut characters: Vec<char> = staged().chars().collect();
        let at = at % characters.len();
        if cut { characters.truncate(at) } else { characters[at] = put }
        let text: String = characters.into_iter().collect();
        if let Ok(style) = style_file::read(&text) {
            prop_assert_eq!(style_file::read(&style_file::write(&style)), Ok(style));
        }
    }
}

#[test]
fn a_row_tells_all_but_what_is_detailed() {
    let metre = Metre::four_four();
    let ruling = Ruling { metre: &metre, bars: 1, pulse: Tick(240), dynamics: Dynamics::DEFAULT };
    let plain = Stroke::new(Tick(960), Loudness::new(112).unwrap());
    let lane = Lane::with_strokes(LaneHead::new(Role::Snare, Tick(240)), [plain]);
    let written = stickleback::lesson::lane::write(&lane, &ruling);
    assert_eq!(written.to_string(), r#"{"role":"snare","row":"....X..........."}"#);
}
