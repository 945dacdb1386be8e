//! Names and titles: identifiers and text as numbers.

use super::coder::{Coder, Context, EVEN};
use super::link::{LinkFault, MAX_TITLE, Unfit};
use crate::rhythm::Id;

/// Identifiers a link abbreviates. Links store the place in this list: never reorder, only append.
const KNOWN: [&str; 43] = [
    "afrobeat",
    "afrobeats",
    "amapiano",
    "bembe-six-eight",
    "boom-bap",
    "bossa-nova",
    "brazilian-funk",
    "chicago-footwork",
    "classic-rock",
    "country-train-beat",
    "cumbia",
    "disco-pop",
    "drum-and-bass",
    "dubstep",
    "eighties-synth-pop",
    "funk",
    "gospel-shout",
    "half-time-shuffle",
    "hardstyle",
    "house",
    "jazz-waltz",
    "jersey-club",
    "jungle",
    "lo-fi-hip-hop",
    "modern-dancehall",
    "muted-slow-jam",
    "one-drop-reggae",
    "reggaeton",
    "salsa",
    "samba-batucada",
    "second-line",
    "six-eight-rnb-ballad",
    "ska",
    "soca",
    "soul-backbeat",
    "swing-jazz-ride",
    "techno",
    "ternary-trap",
    "trap",
    "trap-soul",
    "twelve-eight-blues-shuffle",
    "uk-drill",
    "uk-garage",
];

/// The letters of identifiers, the frequent ones first.
const ID_LETTERS: &str = "eaonitrs-lhdpubcmgkfyvwjzxq0123456789";
/// The characters of titles, the frequent ones first; all others are told by their code points.
const TITLE_LETTERS: &str = " etaoinshrdlucmfgpwybvk.,-xjqz'0123456789STABCDEFGHIJKLMNOPQRUVWXYZ!?&:()/+#\"%éüöäñçã";

/// An identifier, by its place among the known ones or letter by letter.
pub(super) fn id(coder: &mut Coder, given: Option<&Id>) -> Result<Id, LinkFault> {
    let given = given.map(Id::as_str).unwrap_or_default();
    let known = KNOWN.iter().position(|known| *known == given);
    let text = if coder.bit(known.is_some(), EVEN, &[Context::of(&[60])]) {
        let index = coder.plain(known.unwrap_or_default() as u32, 6) as usize;
        KNOWN.get(index).copied().unwrap_or_default().to_owned()
    } else {
        letters(coder, given, ID_LETTERS, 40).ok_or(LinkFault::Unfit(Unfit::Sound))?
    };
    text.parse().map_err(|_| LinkFault::Unfit(Unfit::Sound))
}

/// A title, if there is one. What is read is never longer than [`MAX_TITLE`] and never has control characters.
pub(super) fn title(coder: &mut Coder, given: Option<&str>) -> Result<Option<String>, LinkFault> {
    let given = given.and_then(tidy);
    if !coder.bit(given.is_some(), EVEN, &[]) {
        return Ok(None);
    }
    let read = letters(coder, given.as_deref().unwrap_or_default(), TITLE_LETTERS, MAX_TITLE);
    let read = read.ok_or(LinkFault::Unfit(Unfit::Title))?;
    // Only what tidying leaves as it is can have been written.
    if tidy(&read).as_ref() == Some(&read) { Ok(Some(read)) } else { Err(LinkFault::Unfit(Unfit::Title)) }
}

/// A title as links carry it: one line, no white space around it, at most [`MAX_TITLE`] characters; `None` if nothing
/// is left.
pub(super) fn tidy(title: &str) -> Option<String> {
    let line: String = title.chars().map(|c| if c.is_control() { ' ' } else { c }).collect();
    let short: String = line.trim().chars().take(MAX_TITLE).collect();
    let short = short.trim_end();
    (!short.is_empty()).then(|| short.to_owned())
}

/// At most `most` characters, those of `frequent` by their place in it. `None` if it reads more or no characters.
fn letters(coder: &mut Coder, given: &str, frequent: &str, most: usize) -> Option<String> {
    let kind = frequent.len() as u32;
    let count = coder.number(given.chars().count() as u32, &[Context::of(&[61, kind])]) as usize;
    if count > most {
        return None;
    }
    let mut given = given.chars();
    let mut text = String::new();
    for _ in 0..count {
        let letter = given.next().unwrap_or_default();
        let place = frequent.chars().position(|frequent| frequent == letter);
        let escape = frequent.chars().count() as u32;
        let place = letter_place(coder, place.map_or(escape, |place| place as u32), kind);
        let letter = match frequent.chars().nth(place as usize) {
            Some(letter) => letter,
            None if place == escape => {
                // Neighbouring letters of a script differ in their last bits: the block before them is learnt.
                let block = coder.number(letter as u32 >> 7, &[Context::of(&[63])]);
                char::from_u32(block << 7 | coder.plain(letter as u32 & 127, 7))?
            }
            None => return None,
        };
        text.push(letter);
    }
    Some(text)
}

/// The place of a letter in its list: a Golomb code that spends four bits on the frequent ones.
fn letter_place(coder: &mut Coder, value: u32, kind: u32) -> u32 {
    let value = value + 4;
    let size = 31 - value.leading_zeros();
    let mut read = 2;
    while read < 8 && coder.bit(read < size, EVEN, &[Context::of(&[64, kind, read])]) {
        read += 1;
    }
    ((1 << read) | coder.plain(value & ((1 << read) - 1), read)) - 4
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use proptest::test_runner::RngSeed;

    fn title_again(text: &str) -> (Option<String>, usize) {
        let mut writer = Coder::writer();
        let _ = title(&mut writer, Some(text));
        let bytes = writer.finish();
        let length = bytes.len();
        (title(&mut Coder::reader(bytes), None).unwrap(), length)
    }

    #[test]
    fn titles_survive() {
        for (text, want, bytes) in [
            ("Thursday groove", Some("Thursday groove"), 11),
            ("100 % \"déjà vu\" #1 & more", Some("100 % \"déjà vu\" #1 & more"), 26),
            ("  two\nlines\t", Some("two lines"), 7),
            ("مرحبا", Some("مرحبا"), 13),
            ("リズム練習", Some("リズム練習"), 18),
            ("🥁 e\u{301}", Some("🥁 e\u{301}"), 14),
            ("<b>bold</b>", Some("<b>bold</b>"), 15),
            ("  ", None, 1),
        ] {
            let (read, length) = title_again(text);
            assert_eq!(read.as_deref(), want);
            assert!(length <= bytes, "{text}: {length} bytes, expected at most {bytes}");
        }
        let long = "é".repeat(500);
        assert_eq!(title_again(&long).0, Some("é".repeat(MAX_TITLE)));
    }

    #[test]
    fn identifiers_survive() {
        for name in KNOWN.into_iter().chain(["a", "my-own-kit-7", "0123456789012345678901234567890123456789"]) {
            let mut writer = Coder::writer();
            let wanted: Id = name.parse().unwrap();
            assert_eq!(id(&mut writer, Some(&wanted)), Ok(wanted.clone()));
            assert_eq!(id(&mut Coder::reader(writer.finish()), None), Ok(wanted));
        }
    }

    proptest! {
        #![proptest_config(ProptestConfig {
            rng_seed: RngSeed::Fixed(4),
            failure_persistence: None,
            ..ProptestConfig::default()
        })]

        #[test]
        fn any_title_survives(text in "\\PC{0,90}|.{0,30}") {
            prop_assert_eq!(title_again(&text).0, tidy(&text));
        }
    }
}
