//! A voice as a short code, as links and drafts carry voices that were made in them, and back.
//!
//! The code is the model's place in [`Model::IDS`] and then every value of model, finish and place in the order of their
//! tables, each as the whole number of thousandths nearest to it: zigzag (0, -1, 1, -2 ...) and in groups of seven bits,
//! the least first, the high bit set on all but the last. A voice has one code only. **Links hold these codes**: models
//! are only ever appended to the list, and a model whose table changes needs a new name.

use core::fmt;

use super::Field;
use super::kit::{Place, Voice};
use super::patch::{Finish, Model, Patch, PatchFault, check_fields};

/// Why a code is no voice.
#[derive(Clone, Debug, PartialEq)]
pub enum MadeFault {
    /// It ends too early, or has a number in a form that is never written.
    Broken,
    /// There is no model of this number yet.
    Model(u8),
    /// A value out of its range.
    Figure(PatchFault),
    /// It goes on after the voice.
    Longer,
}

impl fmt::Display for MadeFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            MadeFault::Broken => f.write_str("the code of the voice is broken"),
            MadeFault::Model(number) => write!(f, "there is no model number {number} here"),
            MadeFault::Figure(fault) => write!(f, "{fault}"),
            MadeFault::Longer => f.write_str("the code of the voice goes on after its end"),
        }
    }
}

impl core::error::Error for MadeFault {}

/// The code of `voice`: the model's number and one to five bytes a value, at most 150 bytes for any model there is.
pub fn encode(voice: &Voice) -> Vec<u8> {
    let model = voice.patch.model;
    let number = Model::IDS.iter().position(|id| *id == model.id()).unwrap_or_default();
    let mut code = vec![number as u8];
    for value in [model.values(), voice.patch.finish.values(), voice.place.values()].concat() {
        write(&mut code, thousandths(value));
    }
    code
}

/// The voice of a code.
///
/// # Errors
/// [`MadeFault`]: a code of [`encode`] has none, but for a voice out of its ranges.
pub fn decode(code: &[u8]) -> Result<Voice, MadeFault> {
    let (&number, mut rest) = code.split_first().ok_or(MadeFault::Broken)?;
    let id = Model::IDS.get(usize::from(number)).ok_or(MadeFault::Model(number))?;
    let mut read = |_: &'static Field| {
        let (value, after) = read(rest)?;
        rest = after;
        Some(f64::from(value) / 1000.0)
    };
    let model = Model::build(id, &mut read).ok_or(MadeFault::Broken)?;
    let finish = Finish::build(&mut read).ok_or(MadeFault::Broken)?;
    let place = Place::build(&mut read).ok_or(MadeFault::Broken)?;
    if !rest.is_empty() {
        return Err(MadeFault::Longer);
    }
    let patch = Patch { model, finish };
    patch.check().and_then(|()| check_fields(Place::FIELDS, &place.values())).map_err(MadeFault::Figure)?;
    Ok(Voice { patch, place })
}

/// The nearest whole number of thousandths; no parameter goes beyond 32 bits of them.
fn thousandths(value: f64) -> i32 {
    (value * 1000.0).round() as i32
}

fn write(code: &mut Vec<u8>, value: i32) {
    let mut rest = (value << 1 ^ value >> 31) as u32;
    while rest >= 0x80 {
        code.push(rest as u8 | 0x80);
        rest >>= 7;
    }
    code.push(rest as u8);
}

/// The first number and what comes after it; `None` where there is none, or one of a form that is never written.
fn read(code: &[u8]) -> Option<(i32, &[u8])> {
    let mut told = 0_u64;
    for (place, &byte) in code.iter().enumerate().take(5) {
        told |= u64::from(byte & 0x7f) << (7 * place);
        if byte < 0x80 {
            let shortest = byte != 0 || place == 0;
            let told = u32::try_from(told).ok().filter(|_| shortest)?;
            return Some(((told >> 1) as i32 ^ -((told & 1) as i32), &code[place + 1..]));
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::super::{Clap, Membrane};
    use super::*;
    use proptest::prelude::*;
    use proptest::test_runner::RngSeed;

    fn clap() -> Voice {
        let clap = Clap { centre_hz: 1500.0, width_octaves: 1.2, hands: 4.0, gap_ms: 9.0, decay_ms: 150.0, snap: 0.0 };
        Voice { patch: Patch::plain(clap), place: Place { level_db: -3.5, release_ms: 20.0 } }
    }

    #[test]
    fn codes_are_held_still() {
        // Links made today must keep working: a code may change for no reason.
        let code = encode(&clap());
        let hex: String = code.iter().map(|byte| format!("{byte:02x}")).collect();
        assert_eq!(hex, "02c08db701e012c03ed08c01e0a71200000000000000d736c0b802");
        assert_eq!(decode(&code), Ok(clap()));
        let first = ["membrane", "snare", "clap", "shaker", "tambourine", "scraper", "cymbal", "bell", "wood"];
        let then = ["squeak", "sub", "log-drum", "string", "subtractive", "electric-piano", "organ", "formant"];
        assert_eq!(Model::IDS[..18], [&first[..], &then[..], &["staged-kick"]].concat());
    }

    #[test]
    fn what_is_no_voice_is_refused_with_its_reason() {
        let whole = encode(&clap());
        let check = |code: &[u8], expected: MadeFault| assert_eq!(decode(code), Err(expected), "{code:02x?}");
        check(&[], MadeFault::Broken);
        for end in 1..whole.len() {
            check(&whole[..end], MadeFault::Broken);
        }
        check(&[whole.clone(), vec![0]].concat(), MadeFault::Longer);
        check(&[&[200], &whole[1..]].concat(), MadeFault::Model(200));
        // The same number in a longer form, and one beyond 32 bits.
        check(&[&whole[..4], &[whole[4] | 0x80, 0], &whole[5..]].concat(), MadeFault::Broken);
        check(&[&whole[..1], &[0xff, 0xff, 0xff, 0xff, 0x7f], &whole[4..]].concat(), MadeFault::Broken);
        let loud = Voice { place: Place { level_db: 60.0, release_ms: 20.0 }, ..clap() };
        let fault = PatchFault { field: "level_db", found: 60.0, expected: -60.0..=24.0 };
        check(&encode(&loud), MadeFault::Figure(fault));
        let halves =
            Clap { hands: 2.5, centre_hz: 1500.0, width_octaves: 1.2, gap_ms: 9.0, decay_ms: 150.0, snap: 0.0 };
        let fault = PatchFault { field: "hands", found: 2.5, expected: Clap::FIELDS[2].range() };
        check(&encode(&Voice { patch: Patch::plain(halves), ..clap() }), MadeFault::Figure(fault));
    }

    /// A voice of any model, each value somewhere in its range or off.
    fn any_voice() -> impl Strategy<Value = Voice> {
        let shares = prop::collection::vec(0.0..=1.0_f64, 40);
        (0..Model::IDS.len(), shares).prop_map(|(model, shares)| {
            let mut shares = shares.into_iter();
            let mut value = |field: &'static Field| {
                let share = shares.next()?;
                let value = field.lowest + (field.highest - field.lowest) * share;
                let value = if field.whole { value.round() } else { (value * 1000.0).round() / 1000.0 };
                Some(field.off.filter(|_| share < 0.2).unwrap_or(value))
            };
            let model = Model::build(Model::IDS[model], &mut value).unwrap();
            let patch = Patch { model, finish: Finish::build(&mut value).unwrap() };
            Voice { patch, place: Place::build(&mut value).unwrap() }
        })
    }

    proptest! {
        #![proptest_config(ProptestConfig { rng_seed: RngSeed::Fixed(11), failure_persistence: None, ..ProptestConfig::default() })]

        #[test]
        fn every_voice_comes_back(voice in any_voice()) {
            let code = encode(&voice);
            prop_assert!(code.len() <= 150, "{} bytes", code.len());
            prop_assert_eq!(decode(&code), Ok(voice));
        }

        // Whatever bytes arrive: no harm, and what is taken is written the same way.
        #[test]
        fn any_bytes_are_read_without_harm(model in 0..24_u8, bytes in prop::collection::vec(any::<u8>(), 0..200)) {
            let code = [vec![model], bytes].concat();
            if let Ok(voice) = decode(&code) {
                prop_assert_eq!(encode(&voice), code);
            }
        }

        #[test]
        fn a_changed_code_is_refused_or_another_voice(voice in any_voice(), place: prop::sample::Index, byte: u8) {
            let mut code = encode(&voice);
            let place = place.index(code.len());
            code[place] = byte;
            if let Ok(other) = decode(&code) {
                prop_assert_eq!(encode(&other), code);
            }
        }

        #[test]
        fn numbers_come_back(value: i32) {
            let mut code = Vec::new();
            write(&mut code, value);
            prop_assert_eq!(read(&code), Some((value, &[][..])));
        }
    }

    #[test]
    fn the_longest_model_fits_the_bound() {
        let most = Model::IDS.iter().filter_map(|id| Model::fields_of(id)).map(<[Field]>::len).max();
        let values = most.unwrap() + Finish::FIELDS.len() + Place::FIELDS.len();
        assert!(4 * values < 150, "{values} values");
        assert_eq!(Membrane::FIELDS.iter().map(|field| thousandths(field.highest)).max(), Some(12_000_000));
    }
}
