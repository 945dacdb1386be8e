//! A groove as link text and back.
//!
//! The first character is the version of the form: 1, or 2 for a groove with voices of one's own, which stand at the end. The rest are bytes: the groove as told by [`super::score`], and a
//! CRC-32 over the version and those bytes, lowest byte first. Every version keeps this frame, so that a damaged link and
//! a newer one can always be told apart. Golden links in `tests/links.rs` hold the form still.

use super::coder::{Coder, Context, EVEN};
use super::{alphabet, checksum, names, score, sound};
use crate::rhythm::feel::{FeelError, PositionShift};
use crate::rhythm::tempo::CountError;
use crate::rhythm::{
    Bpm, Dynamics, Feel, Groove, Loudness, MetreError, PatternError, Swing, Tempo, Tick, Tonic, Written,
};

/// The version of a groove that a kit alone plays.
const PLAIN: u8 = 1;
/// The version of a groove with own voices.
const WITH_VOICES: u8 = 2;
/// The longest text that is read as a link, in bytes. A groove of the usual kind takes less than 200.
pub const MAX_LINK: usize = 8192;
/// The longest title, in characters; longer ones are cut.
pub const MAX_TITLE: usize = 80;

/// What a link carries.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Shared {
    /// The groove.
    pub groove: Groove,
    /// The content hash of its kit when the link was made.
    pub kit_hash: u32,
    /// The content hash of the kit its tone is of, where that is another kit.
    pub tone_hash: Option<u32>,
    /// What the groove is called: one line of plain text, at most [`MAX_TITLE`] characters, without control characters.
    pub title: Option<String>,
}

/// Why a text is no groove link.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LinkFault {
    /// There is nothing in it.
    Empty,
    /// It has characters that links never have.
    NotALink,
    /// Part of it is missing or changed.
    Cut,
    /// It was made by a newer program.
    Newer {
        /// The version of its form.
        version: u8,
    },
    /// Longer than [`MAX_LINK`].
    TooLong,
    /// It is whole, but holds no groove.
    Unfit(Unfit),
}

/// What about a whole link is no groove. No program of ours writes such links.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unfit {
    /// The metre.
    Metre(MetreError),
    /// Bars, lanes or strokes.
    Pattern(PatternError),
    /// The feel.
    Feel(FeelError),
    /// The tempo is not 20 to 400 BPM.
    Tempo,
    /// The count unit or the felt pulse.
    Count(CountError),
    /// Ghost, plain and accent are not in order.
    Dynamics,
    /// The tonic is above 96.
    Tonic,
    /// Kit and tone have no proper names, or tape speed or own voices are out of bounds.
    Sound,
    /// A lane of an unknown role.
    Role,
    /// A loudness of 0.
    Loudness,
    /// The title is no text.
    Title,
    /// Another number is out of its range.
    Number,
}

/// A groove as link text, of unreserved URL characters only. The title is cut to [`MAX_TITLE`] characters.
///
/// A groove full of details can be longer than [`MAX_LINK`]; such a text is not read back, and a file should be offered
/// instead.
pub fn encode(groove: &Groove, kit_hash: u32, title: Option<&str>) -> String {
    encode_parts(groove, kit_hash, None, title)
}

/// Reads link text. White space around and inside it, punctuation after it, base64 padding and the characters of
/// ordinary base64 do no harm.
pub fn decode(text: &str) -> Result<Shared, LinkFault> {
    if text.len() > MAX_LINK {
        return Err(LinkFault::TooLong);
    }
    let whole = decode_word(&text.split_whitespace().collect::<String>());
    match whole {
        // Words after the link are no part of it.
        Err(LinkFault::Cut | LinkFault::NotALink) => match text.split_whitespace().next() {
            Some(word) => decode_word(word).or(whole),
            None => whole,
        },
        _ => whole,
    }
}

impl Shared {
    /// This groove as link text: see [`encode`].
    pub fn encode(&self) -> String {
        encode_parts(&self.groove, self.kit_hash, self.tone_hash, self.title.as_deref())
    }
}

fn encode_parts(groove: &Groove, kit_hash: u32, tone_hash: Option<u32>, title: Option<&str>) -> String {
    let version = if groove.sound.voices.is_empty() { PLAIN } else { WITH_VOICES };
    let mut coder = Coder::writer();
    // Writing asks the same questions as reading, and a groove passes them all.
    let _ = shared(&mut coder, version, Some(Given { groove, kit_hash, tone_hash, title }));
    let body = coder.finish();
    let mut text = String::with_capacity(8 + body.len() * 4 / 3);
    text.push(alphabet::character(version));
    alphabet::write(&sealed(version, body), &mut text);
    text
}

/// The bytes with their checksum behind them.
fn sealed(version: u8, mut bytes: Vec<u8>) -> Vec<u8> {
    let sum = checksum::crc32(core::iter::once(version).chain(bytes.iter().copied()));
    bytes.extend(sum.to_le_bytes());
    bytes
}

fn decode_word(word: &str) -> Result<Shared, LinkFault> {
    let word = word.trim_end_matches(|c: char| alphabet::value(c).is_none() && !c.is_alphanumeric());
    if word.is_empty() {
        return Err(LinkFault::Empty);
    }
    let values: Vec<u8> = word.chars().map(alphabet::value).collect::<Option<_>>().ok_or(LinkFault::NotALink)?;
    let (&version, values) = values.split_first().ok_or(LinkFault::Empty)?;
    let mut bytes = alphabet::read(values).ok_or(LinkFault::Cut)?;
    let body = bytes.len().checked_sub(4).ok_or(LinkFault::Cut)?;
    let sum = bytes.split_off(body);
    if sealed(version, bytes.clone()).get(body..) != Some(sum.as_slice()) {
        return Err(LinkFault::Cut);
    }
    match version {
        PLAIN | WITH_VOICES => shared(&mut Coder::reader(bytes), version, None),
        // Version 0 was never given out.
        0 => Err(LinkFault::Cut),
        version => Err(LinkFault::Newer { version }),
    }
}

/// What there is to write.
#[derive(Clone, Copy)]
struct Given<'a> {
    groove: &'a Groove,
    kit_hash: u32,
    tone_hash: Option<u32>,
    title: Option<&'a str>,
}

/// The form of both versions, walked in both directions.
fn shared(coder: &mut Coder, version: u8, given: Option<Given>) -> Result<Shared, LinkFault> {
    let groove = given.map(|given| given.groove);
    let dynamics = dynamics(coder, groove.map(|groove| groove.dynamics))?;
    let pattern = score::pattern(coder, groove.map(|groove| &groove.pattern), dynamics)?;
    let tempo = tempo(coder, groove.map(|groove| groove.tempo))?;
    let feel = feel(coder, groove.map(|groove| &groove.feel))?;
    let tonic = tonic(coder, groove.map(|groove| groove.tonic))?;
    let mut sound = sound::sound(coder, groove.map(|groove| &groove.sound))?;
    let kit_hash = coder.plain(given.map_or(0, |given| given.kit_hash), 32);
    let tone_hash = given.and_then(|given| given.tone_hash);
    let tone_hash =
        coder.bit(tone_hash.is_some(), EVEN / 8, &[]).then(|| coder.plain(tone_hash.unwrap_or_default(), 32));
    let title = names::title(coder, given.and_then(|given| given.title))?;
    if version == WITH_VOICES {
        sound.voices = sound::voices(coder, groove.map(|groove| &groove.sound.voices))?;
    }
    Ok(Shared { groove: Groove { pattern, tempo, feel, dynamics, tonic, sound }, kit_hash, tone_hash, title })
}

fn dynamics(coder: &mut Coder, given: Option<Dynamics>) -> Result<Dynamics, LinkFault> {
    if coder.bit(given == Some(Dynamics::DEFAULT), EVEN, &[]) {
        return Ok(Dynamics::DEFAULT);
    }
    let given = given.unwrap_or(Dynamics::DEFAULT);
    let [accent, plain, ghost] = [given.accent, given.plain, given.ghost]
        .map(|given| Loudness::new(coder.plain(u32::from(given.get()), 7) as u8));
    let (Some(accent), Some(plain), Some(ghost)) = (accent, plain, ghost) else {
        return Err(LinkFault::Unfit(Unfit::Loudness));
    };
    Dynamics::new(accent, plain, ghost).ok_or(LinkFault::Unfit(Unfit::Dynamics))
}

fn tempo(coder: &mut Coder, given: Option<Tempo>) -> Result<Tempo, LinkFault> {
    let given = given.unwrap_or(Tempo::quarters(Bpm::MIN));
    let hundredths = given.bpm.hundredths();
    let mut read = coder.plain(hundredths / 100, 9) * 100;
    if coder.bit(!hundredths.is_multiple_of(100), EVEN / 4, &[]) {
        read += coder.plain(hundredths % 100, 7);
    }
    let bpm = Bpm::from_hundredths(read).ok_or(LinkFault::Unfit(Unfit::Tempo))?;
    let count = |coder: &mut Coder, ticks: Tick| Tick(i64::from(coder.plain((ticks.0 / 120) as u32 - 1, 6) + 1) * 120);
    let quarters = coder.bit(given.unit() == Tick::QUARTER, EVEN + EVEN / 2, &[]);
    let unit = if quarters { Tick::QUARTER } else { count(coder, given.unit()) };
    let felt = if coder.bit(given.felt() == unit, EVEN + EVEN / 4, &[]) {
        unit
    } else if coder.bit(given.felt() == unit.times(2), EVEN + EVEN / 2, &[]) {
        unit.times(2)
    } else {
        count(coder, given.felt())
    };
    Tempo::new(bpm, unit, felt).map_err(|error| LinkFault::Unfit(Unfit::Count(error)))
}

/// The pairs a feel may have, by their place in links.
const PAIRS: [Tick; 4] = [Tick(480), Tick(720), Tick(960), Tick(1440)];

fn feel(coder: &mut Coder, given: Option<&Feel>) -> Result<Feel, LinkFault> {
    let straight = Feel::straight();
    if coder.bit(given == Some(&straight), EVEN, &[]) {
        return Ok(straight);
    }
    let given = given.unwrap_or(&straight);
    let pair = PAIRS.iter().position(|pair| *pair == given.pair()).unwrap_or_default();
    let pair = coder.plain(pair as u32, 2) as usize;
    let ternary = coder.bit(given.written() == Written::Ternary, EVEN / 2, &[]);
    let written = if ternary { Written::Ternary } else { Written::Straight };
    let tenths = u32::from(given.swing().tenths()) - 500;
    let tenths = if coder.bit(tenths % 10 == 0, EVEN + EVEN / 2, &[]) {
        coder.plain(tenths / 10, 5) * 10
    } else {
        coder.plain(tenths, 9)
    };
    let unfit = LinkFault::Unfit(Unfit::Number);
    let swing = Swing::from_tenths(500 + tenths as u16).ok_or(unfit)?;
    let count = coder.number(given.shifts().len() as u32, &[]);
    if count > 16 {
        return Err(LinkFault::Unfit(Unfit::Feel(FeelError::Shifts)));
    }
    let mut shifts = Vec::with_capacity(count as usize);
    let mut last = -240;
    for index in 0..count as usize {
        let own = given.shifts().get(index);
        // Counted from a sixteenth before the beat, so that no distance is 0 and most are one sixteenth.
        let at = own.map_or(0, |shift| shift.at.0);
        last += i64::from(coder.distance((at - last) as u32, 240, &[Context::of(&[14])]));
        let tenths = coder.signed(own.map_or(0, |shift| i32::from(shift.tenths)), &[Context::of(&[15])]);
        let tenths = i16::try_from(tenths).ok().filter(|tenths| tenths.abs() <= 100);
        shifts.push(PositionShift { at: Tick(last), tenths: tenths.ok_or(unfit)? });
    }
    let pair = PAIRS.get(pair).copied().unwrap_or(Tick(480));
    Feel::new(pair, written, swing, shifts).map_err(|error| LinkFault::Unfit(Unfit::Feel(error)))
}

fn tonic(coder: &mut Coder, given: Option<Tonic>) -> Result<Tonic, LinkFault> {
    if coder.bit(given == Some(Tonic::DEFAULT), EVEN, &[]) {
        return Ok(Tonic::DEFAULT);
    }
    let note = coder.plain(given.map_or(0, |tonic| u32::from(tonic.note())), 7);
    Tonic::new(note as u8).ok_or(LinkFault::Unfit(Unfit::Tonic))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rhythm::{Id, LaneFault, Metre, Pattern, Sound};
    use crate::role::Role;
    use proptest::prelude::*;
    use proptest::test_runner::RngSeed;

    fn link_of(version: u8, body: Vec<u8>) -> String {
        let mut text = alphabet::character(version).to_string();
        alphabet::write(&sealed(version, body), &mut text);
        text
    }

    /// A whole link, checksum and all, of which `tell` writes the beginning and the rest are zeros.
    fn crafted(tell: impl FnOnce(&mut Coder)) -> String {
        let mut coder = Coder::writer();
        tell(&mut coder);
        link_of(PLAIN, coder.finish())
    }

    fn default_dynamics(coder: &mut Coder) {
        let _ = dynamics(coder, Some(Dynamics::DEFAULT));
    }

    fn four_four(coder: &mut Coder) {
        default_dynamics(coder);
        coder.bit(true, EVEN + EVEN / 2, &[]);
    }

    #[track_caller]
    fn refuse(text: &str, want: LinkFault) {
        assert_eq!(decode(text), Err(want), "{text}");
    }

    #[test]
    fn a_newer_link_says_so_and_a_damaged_newer_one_is_damaged() {
        let link = link_of(3, vec![1, 2, 3]);
        refuse(&link, LinkFault::Newer { version: 3 });
        refuse(&link[..link.len() - 1], LinkFault::Cut);
        refuse(&link_of(0, vec![1, 2, 3]), LinkFault::Cut);
        refuse("C", LinkFault::Cut);
    }

    #[test]
    fn claims_beyond_measure_are_refused_before_anything_is_built() {
        let pattern = |error| LinkFault::Unfit(Unfit::Pattern(error));
        let bars = |coder: &mut Coder, bars: u32| {
            four_four(coder);
            coder.number(bars - 1, &[Context::of(&[20])]);
        };
        refuse(&crafted(|coder| bars(coder, 1_000_000)), pattern(PatternError::Bars(1_000_000)));
        refuse(&crafted(|coder| bars(coder, 9)), pattern(PatternError::Bars(9)));
        let lanes = |coder: &mut Coder, lanes: u32| {
            bars(coder, 1);
            coder.number(lanes, &[]);
        };
        refuse(&crafted(|coder| lanes(coder, 1_000_000)), pattern(PatternError::Lanes(1_000_000)));
        let role = crafted(|coder| {
            lanes(coder, 1);
            coder.signed(Role::ALL.len() as i32, &[Context::of(&[22])]);
        });
        refuse(&role, LinkFault::Unfit(Unfit::Role));
        let pulse = crafted(|coder| {
            lanes(coder, 1);
            coder.signed(0, &[Context::of(&[22])]);
            coder.bit(false, EVEN + EVEN / 2, &[Context::of(&[23])]);
            coder.distance(7, 320, &[Context::of(&[24])]);
        });
        refuse(&pulse, pattern(PatternError::Lane(0, LaneFault::Pulse(Tick(7)))));
        let silent = crafted(|coder| {
            coder.bit(false, EVEN, &[]);
            coder.plain(0, 7);
        });
        refuse(&silent, LinkFault::Unfit(Unfit::Loudness));
        let level = crafted(|coder| {
            coder.bit(false, EVEN, &[]);
            for _ in 0..3 {
                coder.plain(64, 7);
            }
        });
        refuse(&level, LinkFault::Unfit(Unfit::Dynamics));
    }

    fn groove() -> Groove {
        let kit: Id = "plain".parse().unwrap();
        Groove {
            pattern: Pattern::empty(Metre::four_four(), 1).unwrap(),
            tempo: Tempo::quarters(Bpm::MIN),
            feel: Feel::straight(),
            dynamics: Dynamics::DEFAULT,
            tonic: Tonic::DEFAULT,
            sound: Sound::of(kit),
        }
    }

    #[test]
    fn titles_are_tidied_when_written_and_judged_when_read() {
        let link = encode(&groove(), 0, Some(" two\nlines "));
        assert_eq!(decode(&link).unwrap().title.as_deref(), Some("two lines"));
        assert_eq!(decode(&encode(&groove(), 0, Some(" \n"))).unwrap().title, None);
    }

    proptest! {
        #![proptest_config(ProptestConfig {
            rng_seed: RngSeed::Fixed(5),
            failure_persistence: None,
            ..ProptestConfig::default()
        })]

        #[test]
        fn any_text_is_read_without_harm(text in "\\PC*|.{0,80}|B[A-Za-z0-9_-]{0,200}") {
            prop_assert!(decode(&text).is_err());
        }

        // Bytes that carry a true checksum: what a hostile hand can make.
        #[test]
        fn any_sealed_bytes_are_read_without_harm(version in 1..=2_u8, body in prop::collection::vec(any::<u8>(), 0..400)) {
            if let Ok(shared) = decode(&link_of(version, body)) {
                prop_assert_eq!(decode(&shared.encode()), Ok(shared));
            }
        }
    }
}
