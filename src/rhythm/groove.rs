//! A groove: pattern, tempo, feel and sound; all that is needed to play it.

use super::feel::Feel;
use super::made::MadeVoices;
use super::pattern::Pattern;
use super::stroke::Dynamics;
use super::tempo::Tempo;
use core::fmt;
use core::str::FromStr;

/// The identifier of a style, kit or tone: 1 to 40 lower-case letters, digits and single hyphens between them.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Id(String);

/// The text is no identifier.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct IdError;

impl fmt::Display for IdError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("an identifier is 1 to 40 lower-case letters, digits and single hyphens between them")
    }
}

impl Id {
    /// The text.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl FromStr for Id {
    type Err = IdError;

    fn from_str(text: &str) -> Result<Id, IdError> {
        let plain = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-';
        let sound = (1..=40).contains(&text.len())
            && text.chars().all(plain)
            && !text.starts_with('-')
            && !text.ends_with('-')
            && !text.contains("--");
        if sound { Ok(Id(text.to_owned())) } else { Err(IdError) }
    }
}

impl fmt::Display for Id {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

/// What a groove sounds like: by name, for the kits themselves are files.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Sound {
    /// The kit whose voices play the roles.
    pub kit: Id,
    /// The kit whose tone colours the whole mix; most often the same.
    pub tone: Id,
    /// Tape speed: pitch and decay of every voice run this much faster.
    pub speed: TapeSpeed,
    /// Voices of one's own, which play in place of the kit's.
    pub voices: MadeVoices,
}

impl Sound {
    /// A kit as it is: with its own tone and voices, as recorded.
    pub fn of(kit: Id) -> Sound {
        Sound { tone: kit.clone(), kit, speed: TapeSpeed::NEUTRAL, voices: MadeVoices::NONE }
    }
}

/// Tape speed in thousandths, 250 to 4000; 1000 is as recorded. Faster raises pitches and shortens tails alike.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct TapeSpeed(u16);

impl TapeSpeed {
    /// As recorded.
    pub const NEUTRAL: TapeSpeed = TapeSpeed(1000);

    /// A speed in thousandths; `None` outside 250 to 4000.
    pub fn from_thousandths(thousandths: u32) -> Option<TapeSpeed> {
        (250..=4000).contains(&thousandths).then_some(TapeSpeed(thousandths as u16))
    }

    /// Thousandths.
    pub const fn thousandths(self) -> u16 {
        self.0
    }

    /// The ratio, 0.25 to 4.
    pub fn ratio(self) -> f64 {
        f64::from(self.0) / 1000.0
    }
}

/// A MIDI note number the pitches of a groove are counted from, 0 to 96.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Tonic(u8);

impl Tonic {
    /// C two octaves below middle C, the tonic of a groove that states none.
    pub const DEFAULT: Tonic = Tonic(36);

    /// A tonic; `None` above 96.
    pub const fn new(note: u8) -> Option<Tonic> {
        if note <= 96 { Some(Tonic(note)) } else { None }
    }

    /// The MIDI note number.
    pub const fn note(self) -> u8 {
        self.0
    }
}

/// Pattern, tempo, feel and sound.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Groove {
    /// Who plays where.
    pub pattern: Pattern,
    /// How fast, and how it is counted.
    pub tempo: Tempo,
    /// How even.
    pub feel: Feel,
    /// How loud an accent, a plain stroke and a ghost note are.
    pub dynamics: Dynamics,
    /// What pitches are counted from.
    pub tonic: Tonic,
    /// With what drums.
    pub sound: Sound,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn identifiers() {
        for (text, sound) in [
            ("uk-drill", true),
            ("a", true),
            ("808", true),
            ("", false),
            ("-a", false),
            ("a-", false),
            ("a--b", false),
            ("Trap", false),
            ("a b", false),
            ("../a", false),
        ] {
            assert_eq!(text.parse::<Id>().is_ok(), sound, "{text:?}");
        }
        assert!("x".repeat(41).parse::<Id>().is_err());
    }
}
