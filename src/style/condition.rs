//! Conditions: one small language for what is true of a groove's places, its time and its sound.
//!
//! A condition is data; it is written into style files, tasks and lessons alike. Places are counted ([`Spot`]), so a
//! condition holds over any grid. Several roles may count as one line ([`Voices`]): a backbeat is a backbeat on snare or
//! clap. Where a condition speaks of a bar it means every bar, unless [`Places`] gives a phrase of several; a phrase
//! may begin in any bar of the loop. Nudges and leans count only where a condition speaks of time.

use super::spot::Spot;
use crate::rhythm::{Bpm, Lean, Metre, Strength, Swing, Tick};
use crate::role::Role;

/// The roles that count as one line; at least one, at most 8.
pub type Voices = Vec<Role>;

/// Which strokes count, by strength.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Touch {
    /// Every stroke, ghost notes too.
    Any,
    /// Plain strokes and accents.
    #[default]
    Sounded,
    /// Accents only.
    Accent,
    /// Ghost notes only.
    Ghost,
}

impl Touch {
    /// Every touch, in the order files list them.
    pub const ALL: [Touch; 4] = [Touch::Any, Touch::Sounded, Touch::Accent, Touch::Ghost];

    /// Whether a stroke of `strength` counts.
    pub fn takes(self, strength: Strength) -> bool {
        match self {
            Touch::Any => true,
            Touch::Sounded => strength >= Strength::Plain,
            Touch::Accent => strength == Strength::Accent,
            Touch::Ghost => strength == Strength::Ghost,
        }
    }
}

/// What a number is counted over.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Per {
    /// In every bar.
    Bar,
    /// In the whole loop.
    Loop,
}

/// Places of a bar, or of each bar of a phrase.
///
/// One entry holds for every bar alike. Several are a phrase of so many bars that repeats through the loop; `None` leaves
/// that bar of the phrase open. At most 8 entries of at most 64 spots each.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Places(pub Vec<Option<Vec<Spot>>>);

impl Places {
    /// The same places in every bar.
    pub fn every_bar(spots: Vec<Spot>) -> Places {
        Places(vec![Some(spots)])
    }

    /// How many bars the phrase has.
    pub fn bars(&self) -> usize {
        self.0.len()
    }
}

/// A measured property of one voice or of the whole mix; see `synth::facts` for how each is measured.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum SoundMeasure {
    /// Highest frequency that still carries sound, in Hz: where the spectrum has fallen for good. A muffled mix has a low
    /// one.
    Bandwidth,
    /// Level of the noise under the music, in dB against full scale.
    NoiseFloor,
    /// Time to fall by 40 dB, in ms; without end for a voice that holds.
    Decay,
    /// Pitch after any drop, in Hz.
    Pitch,
    /// Distance from the first pitch to the last, in semitones.
    Drop,
    /// Centre of gravity of the spectrum, in Hz.
    Brightness,
    /// Share of the energy that is not the tone's own: harmonics against fundamental, 0 (pure) to 1 (square and beyond).
    Grit,
    /// Cycles a beat of the slow movement of the tone (a wobbling bass).
    Wobble,
    /// Reverberation time of the room, to fall by 60 dB, in ms.
    Room,
    /// Time after which the tail is cut short, in ms; without end where it is not cut.
    Gate,
}

impl SoundMeasure {
    /// Every measure, in stable order.
    pub const ALL: [SoundMeasure; 10] = [
        SoundMeasure::Bandwidth,
        SoundMeasure::NoiseFloor,
        SoundMeasure::Decay,
        SoundMeasure::Pitch,
        SoundMeasure::Drop,
        SoundMeasure::Brightness,
        SoundMeasure::Grit,
        SoundMeasure::Wobble,
        SoundMeasure::Room,
        SoundMeasure::Gate,
    ];

    /// The word files use.
    pub const fn id(self) -> &'static str {
        match self {
            SoundMeasure::Bandwidth => "bandwidth_hz",
            SoundMeasure::NoiseFloor => "noise_floor_db",
            SoundMeasure::Decay => "decay_ms",
            SoundMeasure::Pitch => "pitch_hz",
            SoundMeasure::Drop => "drop_semitones",
            SoundMeasure::Brightness => "brightness_hz",
            SoundMeasure::Grit => "grit",
            SoundMeasure::Wobble => "wobble_per_beat",
            SoundMeasure::Room => "room_ms",
            SoundMeasure::Gate => "gate_ms",
        }
    }
}

/// Something true or false of a groove. Ends of ranges are included; an absent end is open.
#[derive(Clone, Debug, PartialEq)]
pub enum Condition {
    // Place.
    /// Every place is struck by one of the voices.
    Strikes {
        /// Who.
        voices: Voices,
        /// Where.
        places: Places,
        /// How.
        touch: Touch,
    },
    /// The struck places are exactly these.
    OnlyOn {
        /// Who.
        voices: Voices,
        /// Where.
        places: Places,
        /// Which strokes are looked at.
        touch: Touch,
    },
    /// None of the places is struck.
    KeptEmpty {
        /// Who.
        voices: Voices,
        /// Where.
        places: Places,
        /// Which strokes would break it.
        touch: Touch,
    },
    /// At least so many of the places are struck.
    SomeOf {
        /// Who.
        voices: Voices,
        /// Where.
        places: Places,
        /// How.
        touch: Touch,
        /// How many, from 1.
        at_least: u8,
        /// In every bar, or in at least one bar of the loop.
        per: Per,
    },
    /// A stroke on every pulse of this length.
    Every {
        /// Who.
        voices: Voices,
        /// From stroke to stroke, in ticks.
        pulse: Tick,
        /// How.
        touch: Touch,
    },
    /// At least this share of the strokes lies off the beats.
    OffTheBeat {
        /// Who.
        voices: Voices,
        /// Percent of all strokes, 1 to 100.
        percent: u8,
    },
    /// Strokes follow a cell of groups, 3-3-2 say, repeated from the bar's first beat to its end.
    FollowsCell {
        /// Who.
        voices: Voices,
        /// The groups, each in pulses.
        cell: Vec<u8>,
        /// The pulse the groups count, in ticks.
        pulse: Tick,
        /// How.
        touch: Touch,
        /// Whether nothing else may be struck.
        only: bool,
    },
    /// So many strokes: the density of a line. Zero strokes per loop means the voices are absent, one or more that they
    /// are present; counted over [`Touch::Ghost`] it is about ghost notes.
    Count {
        /// Who.
        voices: Voices,
        /// Which strokes.
        touch: Touch,
        /// Over what.
        per: Per,
        /// At least.
        min: u16,
        /// At most.
        max: Option<u16>,
    },
    /// So many of the places, over the loop, are not struck while a place nearby is: a backbeat moved away.
    Displaced {
        /// Who.
        voices: Voices,
        /// Where it would be expected.
        places: Places,
        /// How far it may have gone, in ticks.
        within: Tick,
        /// How many, from 1.
        at_least: u8,
    },
    /// Somewhere in the loop so many gaps of this length follow one another: threes across the bar, or (one gap of a
    /// sixteenth) two kicks in a row.
    Chain {
        /// Who.
        voices: Voices,
        /// From stroke to stroke: any of these lengths in ticks, the same throughout a chain.
        gaps: Vec<Tick>,
        /// How many gaps, from 1.
        at_least: u8,
    },
    /// So many rolls.
    Rolls {
        /// Who.
        voices: Voices,
        /// Over what.
        per: Per,
        /// At least.
        min: u16,
        /// At most.
        max: Option<u16>,
    },
    /// So many bursts in threes over a span in twos: 3, 6 or 12 strokes in a quarter or a half bar.
    Tuplets {
        /// Who.
        voices: Voices,
        /// How many, from 1.
        at_least: u8,
    },
    /// So many strokes slide in pitch.
    Slides {
        /// Who.
        voices: Voices,
        /// How many, from 1.
        at_least: u8,
    },
    /// The longest held stroke lasts at least this long.
    Sustains {
        /// Who.
        voices: Voices,
        /// How long, in score ticks.
        at_least: Tick,
    },
    /// So many times the line leaps by an octave from one stroke to the next.
    OctaveLeaps {
        /// Who.
        voices: Voices,
        /// How many, from 1.
        at_least: u8,
    },

    // Time.
    /// The tempo lies in a range, counted in `unit`.
    Tempo {
        /// Slowest.
        min: Bpm,
        /// Fastest.
        max: Bpm,
        /// The count unit of both, in ticks.
        unit: Tick,
    },
    /// The metre is one of these.
    Metre {
        /// Which.
        any_of: Vec<Metre>,
    },
    /// Every beat divides into this many parts (or a multiple), and the strokes use them: 3 is a ternary grid.
    BeatDivision {
        /// How many parts, 2 to 8.
        parts: u8,
    },
    /// The swing acts on pairs of this length and lies in a range.
    Swings {
        /// The pair: 480 for two sixteenths, 960 for two eighths.
        pair: Tick,
        /// Lightest.
        min: Swing,
        /// Strongest.
        max: Swing,
    },
    /// There is no more swing than this; a ternary grid is never straight.
    Straight {
        /// The most.
        max: Swing,
    },
    /// The voices lean late (positive) or early by an amount in a range.
    Leans {
        /// Who.
        voices: Voices,
        /// Earliest.
        min: Lean,
        /// Latest.
        max: Lean,
    },
    /// These places inside every beat come early by position.
    PositionsEarly {
        /// Ticks from the beat, as in [`crate::rhythm::PositionShift`].
        at: Vec<Tick>,
    },

    // Sound.
    /// A measured property lies in a range. Unknown where no sound is given.
    Sounds {
        /// Whose; `None` for the whole mix.
        voice: Option<Role>,
        /// What.
        measure: SoundMeasure,
        /// At least.
        min: Option<f64>,
        /// At most.
        max: Option<f64>,
    },

    // Several together.
    /// All of these hold; 2 to 8, none of them of several parts itself.
    All(Vec<Condition>),
    /// At least one of these holds; 2 to 8, none of them of several parts itself.
    OneOf(Vec<Condition>),
}

impl Condition {
    /// The conditions it is made of: its parts, or itself.
    pub fn parts(&self) -> &[Condition] {
        match self {
            Condition::All(parts) | Condition::OneOf(parts) => parts,
            single => core::slice::from_ref(single),
        }
    }

    /// The places it names, if it is about places; a condition of several parts is asked part by part.
    pub fn places(&self) -> Option<&Places> {
        match self {
            Condition::Strikes { places, .. }
            | Condition::OnlyOn { places, .. }
            | Condition::KeptEmpty { places, .. }
            | Condition::SomeOf { places, .. }
            | Condition::Displaced { places, .. } => Some(places),
            _ => None,
        }
    }

    /// Every spot it names, part by part.
    pub fn spots(&self) -> impl Iterator<Item = &Spot> {
        self.parts().iter().filter_map(|part| part.places()).flat_map(|places| places.0.iter().flatten().flatten())
    }

    /// The voices it speaks of; none for what concerns the whole groove, or has several parts.
    pub fn voices(&self) -> &[Role] {
        match self {
            Condition::Strikes { voices, .. }
            | Condition::OnlyOn { voices, .. }
            | Condition::KeptEmpty { voices, .. }
            | Condition::SomeOf { voices, .. }
            | Condition::Every { voices, .. }
            | Condition::OffTheBeat { voices, .. }
            | Condition::FollowsCell { voices, .. }
            | Condition::Count { voices, .. }
            | Condition::Displaced { voices, .. }
            | Condition::Chain { voices, .. }
            | Condition::Rolls { voices, .. }
            | Condition::Tuplets { voices, .. }
            | Condition::Slides { voices, .. }
            | Condition::Sustains { voices, .. }
            | Condition::OctaveLeaps { voices, .. }
            | Condition::Leans { voices, .. } => voices,
            Condition::Sounds { voice, .. } => voice.as_slice(),
            _ => &[],
        }
    }

    /// For a condition that says place by place what is to be struck or kept empty, which strokes it counts.
    pub fn place_touch(&self) -> Option<Touch> {
        match self {
            Condition::Strikes { touch, .. }
            | Condition::OnlyOn { touch, .. }
            | Condition::KeptEmpty { touch, .. }
            | Condition::Every { touch, .. }
            | Condition::FollowsCell { touch, .. } => Some(*touch),
            _ => None,
        }
    }
}
