//! Links: their lengths over a stated corpus, and that no link ever opens as another groove.
//!
//! The corpus is `links/corpus.txt` in three states: as written, after an evening of editing, and played by hand. The
//! budgets hold for the first two.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test stops at what it did not expect")]

#[path = "links/corpus.rs"]
mod corpus;

use corpus::{Seeded, by_hand, edited, grooves};
use stickleback::lesson::kit::read_kit;
use stickleback::lesson::made::made_voice;
use stickleback::rhythm::*;
use stickleback::role::Role;
use stickleback::share::{self, LinkFault, Shared};
use stickleback::synth::kit::Place;
use stickleback::synth::{Clap, Patch, Voice, made};

const KIT: u32 = 0x9E37_79B9;

/// Minimum, median, 95th percentile and maximum.
fn spread(mut lengths: Vec<usize>) -> [usize; 4] {
    lengths.sort_unstable();
    let at = |share: f64| lengths[((lengths.len() - 1) as f64 * share).ceil() as usize];
    [at(0.0), at(0.5), at(0.95), at(1.0)]
}

fn length(groove: &Groove) -> usize {
    let link = share::encode(groove, KIT, None);
    assert_eq!(share::decode(&link).unwrap().groove, *groove);
    assert!(link.bytes().all(|byte| byte.is_ascii_alphanumeric() || b"-_.~".contains(&byte)), "{link}");
    link.len()
}

#[test]
fn links_are_short() {
    let grooves = grooves();
    assert_eq!(grooves.len(), 43);
    let written: Vec<usize> = grooves.iter().map(|named| length(&named.groove)).collect();
    let by = |change: fn(&Groove, u64) -> Groove| -> Vec<usize> {
        grooves.iter().enumerate().map(|(seed, named)| length(&change(&named.groove, seed as u64))).collect()
    };
    let (evening, hand) = (by(edited), by(by_hand));
    println!("characters of a groove link       min  median  95 %  max");
    for (name, lengths) in [("as written", &written), ("after an evening", &evening), ("played by hand", &hand)] {
        let [min, median, most, max] = spread(lengths.clone());
        println!("{name:30} {min:6} {median:7} {most:5} {max:4}");
    }
    for (named, length) in grooves.iter().zip(&written) {
        println!("{:30} {length:6}", named.name);
        assert!(*length <= 200, "{}", named.name);
    }
    let all: Vec<usize> = written.into_iter().chain(evening).collect();
    assert!(spread(all)[2] <= 400);
}

/// With a clap of its own and something this program cannot read.
fn with_voices(groove: Groove) -> Groove {
    let clap = Clap { centre_hz: 1500.0, width_octaves: 1.2, hands: 4.0, gap_ms: 9.0, decay_ms: 150.0, snap: 0.0 };
    let clap = Voice { patch: Patch::plain(clap), place: Place { level_db: -3.5, release_ms: 20.0 } };
    let unread = MadeVoice::new((0..200).rev().collect()).unwrap();
    let voices = MadeVoices::NONE.with(Role::Rim, unread).and_then(|all| all.with(Role::Clap, made_voice(&clap)));
    Groove { sound: Sound { voices: voices.unwrap(), ..groove.sound.clone() }, ..groove }
}

/// The groove a golden link holds: one of the corpus, in one of its states.
fn golden_groove(name: &str, state: &str) -> Groove {
    let named = grooves().into_iter().find(|named| named.name == name).expect("a groove of the corpus");
    match state {
        "written" => named.groove,
        "edited" => edited(&named.groove, 1),
        "hand" => by_hand(&named.groove, 1),
        "voices" => with_voices(named.groove),
        _ => panic!("unknown state {state}"),
    }
}

#[test]
fn links_made_before_still_open() {
    let golden: Vec<&str> =
        include_str!("links/golden.txt").lines().filter(|line| !line.is_empty() && !line.starts_with('#')).collect();
    assert!(golden.len() >= 8);
    for line in golden {
        let (told, title) = line.split_once(" | ").map_or((line, None), |(told, title)| (told, Some(title)));
        let words: Vec<&str> = told.split_whitespace().collect();
        let [name, state, link] = words.as_slice() else { panic!("{line}") };
        let want = Shared {
            groove: golden_groove(name, state),
            kit_hash: KIT,
            tone_hash: None,
            title: title.map(str::to_owned),
        };
        assert_eq!(share::decode(link), Ok(want), "{line}");
    }
}

#[test]
fn five_hundred_cuts_and_changes_are_faults() {
    let grooves = grooves();
    let mut seeded = Seeded(7);
    let characters: Vec<char> = ('A'..='Z').chain('a'..='z').chain('0'..='9').chain(['-', '_']).collect();
    for trial in 0..500 {
        let groove = grooves[trial % grooves.len()].groove.clone();
        let groove = if trial % 5 == 0 { with_voices(groove) } else { groove };
        let link = share::encode(&groove, KIT, Some("Thursday evening"));
        let cut = &link[..seeded.below(link.len() as u64) as usize];
        let want = if cut.is_empty() { LinkFault::Empty } else { LinkFault::Cut };
        assert_eq!(share::decode(cut), Err(want), "{cut}");
        assert_eq!(share::decode(&link[link.len() - cut.len()..]), Err(want), "the beginning lost");
        let mut changed: Vec<char> = link.chars().collect();
        for _ in 0..=seeded.below(3) {
            let place = seeded.below(link.len() as u64) as usize;
            changed[place] = characters[seeded.below(64) as usize];
        }
        let changed: String = changed.into_iter().collect();
        if changed != link {
            assert_eq!(share::decode(&changed), Err(LinkFault::Cut), "{changed}");
        }
    }
}

#[test]
fn chats_and_mails_may_dress_a_link() {
    let groove = &grooves()[0].groove;
    let link = share::encode(groove, KIT, Some("Déjà vu #1"));
    let want = share::decode(&link);
    assert!(want.is_ok());
    let other: String = link
        .chars()
        .map(|c| {
            if c == '-' {
                '+'
            } else if c == '_' {
                '/'
            } else {
                c
            }
        })
        .collect();
    let (head, tail) = link.split_at(40);
    for dressed in [
        format!(" {link}\n"),
        format!("{link}."),
        format!("{link}),\""),
        format!("{link}=="),
        format!("{other}="),
        format!("{head}\r\n {tail}"),
        format!("{link} try this one"),
    ] {
        assert_eq!(share::decode(&dressed), want, "{dressed:?}");
    }
    assert_eq!(share::decode(""), Err(LinkFault::Empty));
    assert_eq!(share::decode(" .\n"), Err(LinkFault::Empty));
    assert_eq!(share::decode("<script>"), Err(LinkFault::NotALink));
    assert_eq!(share::decode("B%41"), Err(LinkFault::NotALink));
    assert_eq!(share::decode("Bé"), Err(LinkFault::NotALink));
    assert_eq!(share::decode(&"B".repeat(8193)), Err(LinkFault::TooLong));
    assert_eq!(share::decode("hello"), Err(LinkFault::Cut));
}

#[test]
fn everything_a_link_carries_comes_back() {
    let groove = grooves().swap_remove(3).groove;
    let shared = Shared { groove, kit_hash: u32::MAX, tone_hash: Some(0), title: Some("Seat 7".to_owned()) };
    assert_eq!(share::decode(&shared.encode()), Ok(shared));
}

#[test]
fn the_links_of_the_browser_tests_are_what_they_are_called() {
    let text = include_str!("browser/hostile-links.json");
    let links: serde_json::Value = serde_json::from_str(text).unwrap();
    let read = |name: &str| share::decode(links[name].as_str().unwrap());
    let unfit = |error| Err(LinkFault::Unfit(share::Unfit::Pattern(error)));
    assert_eq!(read("newer"), Err(LinkFault::Newer { version: 3 }));
    assert_eq!(read("millionBars"), unfit(PatternError::Bars(1_000_000)));
    assert_eq!(read("manyLanes"), unfit(PatternError::Lanes(1_000_000)));
    let good = read("good").unwrap();
    assert_eq!((good.kit_hash, good.title), (0, None));
    assert_eq!(read("other").unwrap().title.as_deref(), Some("Thursday evening"));
    let changed = read("otherKitHash").unwrap();
    assert_eq!((changed.kit_hash, &changed.groove), (12_345, &good.groove));
    assert_eq!(read("unknownKit").unwrap().groove.sound.kit.to_string(), "nobodys-kit");
}

#[test]
fn own_voices_cost_a_link_little() {
    let mut lengths = Vec::new();
    let plain = grooves().swap_remove(0).groove;
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("lessons/kits");
    for file in std::fs::read_dir(folder).unwrap() {
        let kit = read_kit(&std::fs::read_to_string(file.unwrap().path()).unwrap()).unwrap();
        for (&role, voice) in &kit.voices {
            let code = made_voice(voice);
            // A kit's figures are whole thousandths: nothing is lost.
            assert_eq!(made::decode(code.code()), Ok(*voice), "{} {role}", kit.id);
            let voices = MadeVoices::NONE.with(role, code).unwrap();
            let own = Groove { sound: Sound { voices, ..plain.sound.clone() }, ..plain.clone() };
            lengths.push(length(&own) - length(&plain));
        }
    }
    let [min, median, most, max] = spread(lengths);
    println!("characters an own voice adds: {min} to {max}, median {median}, 95 % up to {most}");
    assert!(most <= 100);
}
