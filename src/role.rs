//! The parts a groove can have: one role a drum, or a pitched part.
//!
//! A role says what a lane *is* (a snare, a closed hat, a sub bass); how it sounds is the kit's matter. The identifiers
//! are what style files, kits and links write. Percussion keys follow the General MIDI percussion map (General MIDI
//! System Level 1, table 3); where the map has no such instrument the nearest key is given.

use core::fmt;
use core::str::FromStr;

macro_rules! roles {
    ($($name:ident = $id:literal, $key:expr, $group:expr, $register:ident;)*) => {
        /// One part of a groove. The order of the variants is stable: links store a role by its place in
        /// [`Role::ALL`]. On a sheet lanes stand in another order, see [`Role::score_rank`].
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        #[allow(missing_docs, reason = "each name is the trade's own word for the instrument")]
        pub enum Role { $($name),* }

        impl Role {
            /// Every role, in stable order; new roles are appended.
            pub const ALL: [Role; 36] = [$(Role::$name),*];

            /// The identifier used in files and links: lower case, joined by hyphens (`"hat-closed"`).
            pub const fn id(self) -> &'static str {
                match self { $(Role::$name => $id),* }
            }

            /// The General MIDI percussion key (0-127), or `None` for parts the percussion map does not have.
            pub const fn gm_key(self) -> Option<u8> {
                match self { $(Role::$name => $key),* }
            }

            /// The group in which a new stroke cuts the one that rings, if the instrument has such a group.
            pub const fn choke_group(self) -> Option<ChokeGroup> {
                match self { $(Role::$name => $group),* }
            }

            /// Where the instrument lies among the drums, for measures that weigh low against high.
            pub const fn register(self) -> Register {
                match self { $(Role::$name => Register::$register),* }
            }
        }
    };
}

roles! {
    Kick = "kick", Some(36), None, Low;
    Snare = "snare", Some(38), None, Mid;
    Clap = "clap", Some(39), None, Mid;
    Snap = "snap", Some(39), None, Mid;
    Rim = "rim", Some(37), None, Mid;
    HatClosed = "hat-closed", Some(42), Some(ChokeGroup::Hat), High;
    HatOpen = "hat-open", Some(46), Some(ChokeGroup::Hat), High;
    HatPedal = "hat-pedal", Some(44), Some(ChokeGroup::Hat), High;
    Ride = "ride", Some(51), None, High;
    Crash = "crash", Some(49), None, High;
    Shaker = "shaker", Some(70), None, High;
    Tambourine = "tambourine", Some(54), None, High;
    Cowbell = "cowbell", Some(56), None, Mid;
    BellHigh = "bell-high", Some(67), None, High;
    BellLow = "bell-low", Some(68), None, High;
    Clave = "clave", Some(75), None, Mid;
    Shell = "shell", Some(76), None, Mid;
    Guiro = "guiro", Some(73), None, Mid;
    Tamborim = "tamborim", Some(60), None, Mid;
    CongaHigh = "conga-high", Some(63), Some(ChokeGroup::Conga), Mid;
    CongaLow = "conga-low", Some(64), Some(ChokeGroup::Conga), Mid;
    CongaMuted = "conga-muted", Some(62), Some(ChokeGroup::Conga), Mid;
    CongaSlap = "conga-slap", Some(62), Some(ChokeGroup::Conga), Mid;
    TomHigh = "tom-high", Some(50), None, Mid;
    TomLow = "tom-low", Some(45), None, Low;
    SurdoLow = "surdo-low", Some(41), None, Low;
    SurdoHigh = "surdo-high", Some(43), None, Low;
    SurdoThird = "surdo-third", Some(47), None, Low;
    PercSqueak = "perc-squeak", Some(78), None, Mid;
    LogDrum = "log-drum", None, None, Low;
    SubBass = "sub-bass", None, None, Low;
    Bass = "bass", None, None, Low;
    Chord = "chord", None, None, Mid;
    ChordBubble = "chord-bubble", None, None, Mid;
    HornStab = "horn-stab", None, None, Mid;
    VocalChop = "vocal-chop", None, None, Mid;
}

/// Instruments that share one body, so that a new stroke ends what still rings.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum ChokeGroup {
    /// The two hi-hat cymbals: a closed or pedalled stroke cuts an open one.
    Hat,
    /// One conga skin: a muted stroke or slap ends the open tone.
    Conga,
}

/// Low, middle or high among the drums.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Register {
    /// Bass drum, surdo, sub: felt as much as heard.
    Low,
    /// Snare, toms, hand drums, chords.
    Mid,
    /// Cymbals, shakers, bells.
    High,
}

/// Every role in score order; see [`Role::score_rank`].
const SCORE_ORDER: [Role; Role::ALL.len()] = {
    use Role::*;
    [
        Crash,
        Ride,
        HatOpen,
        HatClosed,
        HatPedal, // cymbals
        Tambourine,
        Shaker,
        Guiro,
        BellHigh,
        BellLow,
        Cowbell,
        Clave,
        Shell, // small percussion
        Tamborim,
        CongaSlap,
        CongaHigh,
        CongaMuted,
        CongaLow,
        PercSqueak, // hand drums
        Clap,
        Snap,
        Rim,
        Snare,
        TomHigh,
        TomLow,
        SurdoThird,
        SurdoHigh,
        SurdoLow,
        Kick, // the set
        VocalChop,
        HornStab,
        ChordBubble,
        Chord,
        LogDrum,
        Bass,
        SubBass, // pitched parts
    ]
};

impl Role {
    /// Whether a stroke of this role carries pitches.
    pub const fn is_pitched(self) -> bool {
        matches!(
            self,
            Role::LogDrum
                | Role::SubBass
                | Role::Bass
                | Role::Chord
                | Role::ChordBubble
                | Role::HornStab
                | Role::VocalChop
        )
    }

    /// Whether a new stroke of the same lane ends the one before: parts that play one note at a time.
    pub const fn is_mono(self) -> bool {
        matches!(self, Role::LogDrum | Role::SubBass | Role::Bass | Role::VocalChop)
    }

    /// Semitones between the groove's tonic and the pitch written as 0: the low parts sit on the tonic, chords, stabs and
    /// chops two octaves above it.
    pub const fn octave_shift(self) -> i8 {
        match self {
            Role::Chord | Role::ChordBubble | Role::HornStab | Role::VocalChop => 24,
            _ => 0,
        }
    }

    /// The place of this role's lane on a sheet from the top, 0 to 35: the order in which a drummer reads a score, from
    /// high to low. Cymbals and hats stand on top, then what is shaken, scraped or rung, hand drums, claps, snare, toms
    /// and the lowest drums; under the drums the pitched parts, melody over chords over bass.
    pub fn score_rank(self) -> usize {
        SCORE_ORDER.iter().position(|&role| role == self).unwrap_or(SCORE_ORDER.len())
    }

    /// The role stored at `index` of [`Role::ALL`], if there is one.
    pub fn from_index(index: usize) -> Option<Role> {
        Role::ALL.get(index).copied()
    }

    /// The place of this role in [`Role::ALL`].
    pub const fn index(self) -> usize {
        self as usize
    }
}

impl fmt::Display for Role {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.id())
    }
}

/// The text names no role.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct UnknownRole;

impl FromStr for Role {
    type Err = UnknownRole;

    fn from_str(text: &str) -> Result<Role, UnknownRole> {
        Role::ALL.into_iter().find(|role| role.id() == text).ok_or(UnknownRole)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_identifier_reads_back_and_is_unique() {
        for (index, role) in Role::ALL.into_iter().enumerate() {
            assert_eq!(role.id().parse(), Ok(role));
            assert_eq!(Role::from_index(index), Some(role));
            assert_eq!(role.index(), index);
        }
        assert_eq!("hat".parse::<Role>(), Err(UnknownRole));
        assert_eq!(Role::from_index(36), None);
    }

    #[test]
    fn the_score_has_every_role_once_and_reads_from_high_to_low() {
        let mut ranks = Role::ALL.map(Role::score_rank);
        ranks.sort_unstable();
        assert!(ranks.into_iter().eq(0..Role::ALL.len()));
        let check = |upper: Role, lower: Role| assert!(upper.score_rank() < lower.score_rank(), "{upper} over {lower}");
        let drums: Vec<Role> = Role::ALL.into_iter().filter(|role| !role.is_pitched()).collect();
        drums.iter().for_each(|&drum| check(drum, Role::VocalChop));
        for pair in [
            [Role::HatOpen, Role::HatClosed],
            [Role::HatPedal, Role::Shaker],
            [Role::CongaLow, Role::Clap],
            [Role::Clap, Role::Snare],
            [Role::Snare, Role::TomHigh],
            [Role::TomLow, Role::Kick],
            [Role::SurdoThird, Role::SurdoLow],
            [Role::Chord, Role::Bass],
        ] {
            check(pair[0], pair[1]);
        }
    }

    #[test]
    fn only_unpitched_roles_have_percussion_keys() {
        for role in Role::ALL {
            assert_eq!(role.gm_key().is_none(), role.is_pitched(), "{role}");
        }
    }
}
