//! A stroke: one hit in a lane.

use super::units::{Loudness, Tick};

/// Which stroke of its lane this is, for as long as it lives: what has sounded is remembered by it. It is not content:
/// two strokes that differ only in identity are equal.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct StrokeId(pub u32);

/// How loud a stroke is in words: what box notation writes and hallmarks ask for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Strength {
    /// A ghost note, felt more than heard; `o` in box notation.
    Ghost,
    /// An ordinary stroke; `x`.
    Plain,
    /// An accent; `X`.
    Accent,
}

/// The loudness each [`Strength`] is played at in a groove.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Dynamics {
    /// Loudness of an accent.
    pub accent: Loudness,
    /// Loudness of an ordinary stroke.
    pub plain: Loudness,
    /// Loudness of a ghost note.
    pub ghost: Loudness,
}

impl Dynamics {
    /// The dynamics of a groove that states none: accent 112, plain 88, ghost 40.
    pub const DEFAULT: Dynamics = match (Loudness::new(112), Loudness::new(88), Loudness::new(40)) {
        (Some(accent), Some(plain), Some(ghost)) => Dynamics { accent, plain, ghost },
        _ => Dynamics { accent: Loudness::MAX, plain: Loudness::MAX, ghost: Loudness::MIN },
    };

    /// Three loudnesses; `None` unless ghost < plain < accent.
    pub fn new(accent: Loudness, plain: Loudness, ghost: Loudness) -> Option<Dynamics> {
        (ghost < plain && plain < accent).then_some(Dynamics { accent, plain, ghost })
    }

    /// The loudness of `strength`.
    pub const fn loudness(&self, strength: Strength) -> Loudness {
        match strength {
            Strength::Accent => self.accent,
            Strength::Plain => self.plain,
            Strength::Ghost => self.ghost,
        }
    }

    /// The strength `loudness` comes nearest to; halfway counts as the stronger.
    pub fn strength(&self, loudness: Loudness) -> Strength {
        let twice = 2 * u16::from(loudness.get());
        let middle = |a: Loudness, b: Loudness| u16::from(a.get()) + u16::from(b.get());
        if twice >= middle(self.accent, self.plain) {
            Strength::Accent
        } else if twice >= middle(self.plain, self.ghost) {
            Strength::Plain
        } else {
            Strength::Ghost
        }
    }
}

/// Several even strokes in place of one, from the stroke's own place on.
///
/// A roll is warped at its two ends by the feel and divides evenly between them.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Roll {
    /// How many strokes, 2 to 32.
    pub strokes: u8,
    /// From the first stroke to where the next after the last would fall, 60 to 7680 ticks.
    pub span: Tick,
    /// How the loudness runs.
    pub shape: RollShape,
    /// Semitones from the first stroke to the last, -24 to 24; 0 keeps the pitch.
    pub bend: i8,
}

/// How the loudness runs through a roll, as shares of the stroke's own loudness.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum RollShape {
    /// Every stroke alike.
    #[default]
    Even,
    /// From soft (45 %) up to the full loudness.
    Rising,
    /// From the full loudness down to soft (45 %).
    Falling,
    /// Up to the full loudness in the middle and down again.
    Swelling,
}

impl RollShape {
    /// All shapes, in stable order.
    pub const ALL: [RollShape; 4] = [RollShape::Even, RollShape::Rising, RollShape::Falling, RollShape::Swelling];

    /// The share of the full loudness (0.45 to 1) of stroke `index` of `count`.
    pub fn share(self, index: usize, count: usize) -> f64 {
        const SOFT: f64 = 0.45;
        let along = if count > 1 { index as f64 / (count - 1) as f64 } else { 1.0 };
        match self {
            RollShape::Even => 1.0,
            RollShape::Rising => SOFT + (1.0 - SOFT) * along,
            RollShape::Falling => 1.0 - (1.0 - SOFT) * along,
            RollShape::Swelling => SOFT + (1.0 - SOFT) * (1.0 - (2.0 * along - 1.0).abs()),
        }
    }
}

/// A grace stroke just before the stroke itself.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Flam {
    /// How long before the stroke the grace stroke sounds, 5 to 60 ms.
    pub gap_ms: u8,
}

impl Flam {
    /// The gap of a flam that states none, in ms.
    pub const DEFAULT: Flam = Flam { gap_ms: 25 };
    /// The grace stroke's share of the stroke's loudness.
    pub const GRACE: f64 = 0.5;
}

/// A slide at the end of a pitched stroke.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Glide {
    /// Where the lowest pitch of the stroke goes, in semitones from the tonic, -48 to 48; the others move along.
    pub to: i8,
    /// How long the slide lasts, 5 to 2000 ms, ending where the stroke ends.
    pub ms: u16,
}

/// One hit in a lane.
#[derive(Clone, Debug)]
pub struct Stroke {
    /// Which stroke of its lane this is; see [`StrokeId`].
    pub id: StrokeId,
    /// Its place in the score, from 0 to before the pattern's end.
    pub at: Tick,
    /// How hard it is played.
    pub loudness: Loudness,
    /// Its own shift off its place: less than half a pulse of its lane either way.
    pub nudge: Tick,
    /// Several strokes in place of one.
    pub roll: Option<Roll>,
    /// A grace stroke before it.
    pub flam: Option<Flam>,
    /// Pitches in semitones from the groove's tonic (see [`crate::role::Role::octave_shift`]), -48 to 48, at most 8; empty for unpitched
    /// strokes.
    pub pitches: Vec<i8>,
    /// How long it is held, in score ticks; `None` lets it ring (or until the next stroke of a part that plays one note at
    /// a time).
    pub length: Option<Tick>,
    /// A slide at its end.
    pub glide: Option<Glide>,
}

impl Stroke {
    /// A plain single stroke.
    pub fn new(at: Tick, loudness: Loudness) -> Stroke {
        Stroke {
            id: StrokeId::default(),
            at,
            loudness,
            nudge: Tick::ZERO,
            roll: None,
            flam: None,
            pitches: Vec::new(),
            length: None,
            glide: None,
        }
    }

    /// The same stroke with another loudness.
    pub fn with_loudness(self, loudness: Loudness) -> Stroke {
        Stroke { loudness, ..self }
    }

    /// What is wrong with this stroke by itself, if anything; place and nudge are judged by the pattern.
    pub fn fault(&self) -> Option<StrokeFault> {
        if let Some(roll) = self.roll
            && !((2..=32).contains(&roll.strokes)
                && (60..=7680).contains(&roll.span.0)
                && (-24..=24).contains(&roll.bend))
        {
            return Some(StrokeFault::Roll);
        }
        if let Some(flam) = self.flam
            && !(5..=60).contains(&flam.gap_ms)
        {
            return Some(StrokeFault::Flam);
        }
        if self.pitches.len() > 8 || self.pitches.iter().any(|p| !(-48..=48).contains(p)) {
            return Some(StrokeFault::Pitch);
        }
        if let Some(length) = self.length
            && !(30..=61_440).contains(&length.0)
        {
            return Some(StrokeFault::Length);
        }
        if let Some(glide) = self.glide
            && (!(5..=2000).contains(&glide.ms) || !(-48..=48).contains(&glide.to) || self.pitches.is_empty())
        {
            return Some(StrokeFault::Glide);
        }
        None
    }

    /// Whether all about two strokes but place and loudness is the same; identity does not count.
    pub fn is_ornamented_as(&self, other: &Stroke) -> bool {
        self.nudge == other.nudge
            && self.roll == other.roll
            && self.flam == other.flam
            && self.pitches == other.pitches
            && self.length == other.length
            && self.glide == other.glide
    }
}

/// Equality is musical: identity does not count.
impl PartialEq for Stroke {
    fn eq(&self, other: &Stroke) -> bool {
        self.at == other.at && self.loudness == other.loudness && self.is_ornamented_as(other)
    }
}

impl Eq for Stroke {}

/// Which property of a stroke is out of its range.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum StrokeFault {
    /// Strokes 2 to 32, span 60 to 7680 ticks, bend -24 to 24 semitones.
    Roll,
    /// Gap 5 to 60 ms.
    Flam,
    /// At most 8 pitches, each -48 to 48 semitones.
    Pitch,
    /// 30 to 61,440 ticks.
    Length,
    /// 5 to 2000 ms to -48 to 48 semitones, and only with a pitch to slide from.
    Glide,
    /// Less than half a pulse of the lane.
    Nudge,
    /// Inside the pattern.
    Place,
}

impl core::fmt::Display for StrokeFault {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        f.write_str(match self {
            StrokeFault::Roll => "a roll has 2 to 32 strokes over 60 to 7680 ticks and bends at most 24 semitones",
            StrokeFault::Flam => "a flam has a gap of 5 to 60 ms",
            StrokeFault::Pitch => "a stroke has at most 8 pitches, each -48 to 48 semitones from the tonic",
            StrokeFault::Length => "a length is 30 to 61,440 ticks",
            StrokeFault::Glide => {
                "a glide takes 5 to 2000 ms, ends -48 to 48 semitones from the tonic, and needs a pitch"
            }
            StrokeFault::Nudge => "a nudge is less than half a pulse of the lane",
            StrokeFault::Place => "a stroke lies inside the pattern",
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn strength_is_the_nearest_loudness() {
        let dynamics = Dynamics::DEFAULT;
        for (loudness, want) in [
            (1, Strength::Ghost),
            (40, Strength::Ghost),
            (63, Strength::Ghost),
            (64, Strength::Plain),
            (88, Strength::Plain),
            (99, Strength::Plain),
            (100, Strength::Accent),
            (127, Strength::Accent),
        ] {
            assert_eq!(dynamics.strength(Loudness::new(loudness).unwrap()), want, "{loudness}");
        }
        for strength in [Strength::Ghost, Strength::Plain, Strength::Accent] {
            assert_eq!(dynamics.strength(dynamics.loudness(strength)), strength);
        }
    }

    #[test]
    fn shapes_end_where_they_say() {
        for (shape, first, middle, last) in [
            (RollShape::Even, 1.0, 1.0, 1.0),
            (RollShape::Rising, 0.45, 0.725, 1.0),
            (RollShape::Falling, 1.0, 0.725, 0.45),
            (RollShape::Swelling, 0.45, 1.0, 0.45),
        ] {
            for (index, want) in [(0, first), (1, middle), (2, last)] {
                assert!((shape.share(index, 3) - want).abs() < 1e-12, "{shape:?} {index}");
            }
        }
    }
}
