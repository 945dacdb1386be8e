//! Places as musicians count them: bar, beat and syllable.
//!
//! Beats in twos and fours are counted "1 e and a", in threes "1 trip let". The thirty-seconds between take "ta" after the
//! syllable before ("1 ta e ta and ta a ta"), the sixths between take "ti" ("1 ti trip and let, let ti"). A dotted beat
//! (6/8, 12/8) is always counted in threes, its halves too: "1 ti trip, trip ti, let, let ti". As text a place
//! is `BAR:BEAT SYLLABLE`, for example `2:4 and`; a place between syllables adds ticks: `2:4 and +30`.

use super::metre::Metre;
use super::units::Tick;
use core::fmt;

/// The syllables and the part of the beat each stands on, as a fraction.
const SYLLABLES: [(i64, i64, &str); 12] = [
    (0, 1, ""),
    (1, 8, "ta"),
    (1, 6, "ti"),
    (1, 4, "e"),
    (1, 3, "trip"),
    (3, 8, "e ta"),
    (1, 2, "and"),
    (5, 8, "and ta"),
    (2, 3, "let"),
    (3, 4, "a"),
    (5, 6, "let ti"),
    (7, 8, "a ta"),
];

/// The same for dotted beats.
const DOTTED: [(i64, i64, &str); 6] =
    [(0, 1, ""), (1, 6, "ti"), (1, 3, "trip"), (1, 2, "trip ti"), (2, 3, "let"), (5, 6, "let ti")];

/// The syllables of a beat of this length.
fn syllables(beat: Tick) -> &'static [(i64, i64, &'static str)] {
    if beat.0 % 720 == 0 && beat.0 % 960 != 0 { &DOTTED } else { &SYLLABLES }
}

/// A place in a pattern as it is counted. Bars and beats count from 0 here and from 1 in text.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Place {
    /// Which bar.
    pub bar: u32,
    /// Which beat of the bar.
    pub beat: u8,
    /// The syllable on or before the place; empty on the beat itself.
    pub syllable: &'static str,
    /// Ticks after that syllable; 0 on it.
    pub after: Tick,
}

/// The text is no place of the metre.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PlaceError {
    /// Not of the form `2:4 and +30`.
    Form,
    /// The metre has no such beat.
    Beat(u32),
    /// No such syllable, or not in a beat of this length.
    Syllable,
}

impl fmt::Display for PlaceError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            PlaceError::Form => f.write_str("expected a place such as 2:4 and (bar, beat, syllable)"),
            PlaceError::Beat(beat) => write!(f, "the metre has no beat {beat}"),
            PlaceError::Syllable => f.write_str("expected a syllable such as e, and, a, trip, let"),
        }
    }
}

/// The tick of a syllable inside a beat of `beat` ticks, if it falls on a whole tick.
fn syllable_tick(numerator: i64, denominator: i64, beat: Tick) -> Option<Tick> {
    (beat.0 * numerator % denominator == 0).then(|| Tick(beat.0 * numerator / denominator))
}

impl Place {
    /// The place of the tick `at`, counted from the pattern's start.
    pub fn of(at: Tick, metre: &Metre) -> Place {
        let bar = at.div_euclid(metre.bar());
        let (beat, start, length) = metre.beat_at(at.rem_euclid(metre.bar()));
        let inside = at.rem_euclid(metre.bar()) - start;
        // The last syllable at or before the place; but the sixths and thirty-seconds count only when hit exactly, so
        // that "and +30" is never spelled from a rarer syllable.
        let on = |(n, d, name): &(i64, i64, &'static str)| {
            let tick = syllable_tick(*n, *d, length)?;
            let plain = matches!(*name, "" | "e" | "and" | "a" | "trip" | "let");
            (tick == inside || (plain && tick < inside)).then_some((tick, *name))
        };
        let (tick, syllable) = syllables(length).iter().filter_map(on).next_back().unwrap_or((Tick::ZERO, ""));
        Place { bar: bar.max(0) as u32, beat: beat as u8, syllable, after: inside - tick }
    }

    /// The tick of this place, counted from the pattern's start.
    pub fn tick(&self, metre: &Metre) -> Result<Tick, PlaceError> {
        let beat = usize::from(self.beat);
        let length = metre.beats().nth(beat).ok_or(PlaceError::Beat(u32::from(self.beat) + 1))?;
        let on = syllables(length).iter().find(|(_, _, name)| *name == self.syllable).ok_or(PlaceError::Syllable)?;
        let inside = syllable_tick(on.0, on.1, length).ok_or(PlaceError::Syllable)?;
        Ok(metre.bar().times(i64::from(self.bar)) + metre.beat_start(beat) + inside + self.after)
    }

    /// Reads `2:4 and +30`.
    pub fn parse(text: &str) -> Result<Place, PlaceError> {
        let (bar, rest) = text.trim().split_once(':').ok_or(PlaceError::Form)?;
        let bar: u32 = bar.parse().ok().filter(|bar| (1..=999).contains(bar)).ok_or(PlaceError::Form)?;
        let (rest, after) = match rest.split_once('+') {
            Some((rest, ticks)) => {
                let ticks = ticks.trim().parse().ok().filter(|ticks| (1..3840).contains(ticks));
                (rest, Tick(ticks.ok_or(PlaceError::Form)?))
            }
            None => (rest, Tick::ZERO),
        };
        let rest = rest.trim();
        let (beat, syllable) = rest.split_once(' ').unwrap_or((rest, ""));
        let beat: u8 = beat.parse().ok().filter(|beat| (1..=16).contains(beat)).ok_or(PlaceError::Form)?;
        let syllable = syllable.trim();
        let known =
            SYLLABLES.iter().chain(&DOTTED).find(|(_, _, name)| *name == syllable).ok_or(PlaceError::Syllable)?;
        Ok(Place { bar: bar - 1, beat: beat - 1, syllable: known.2, after })
    }
}

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}:{}", self.bar + 1, self.beat + 1)?;
        if !self.syllable.is_empty() {
            write!(f, " {}", self.syllable)?;
        }
        if self.after != Tick::ZERO {
            write!(f, " +{}", self.after.0)?;
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(metre: &str, at: i64, text: &str) {
        let metre = Metre::parse(metre).unwrap();
        let place = Place::of(Tick(at), &metre);
        assert_eq!(place.to_string(), text);
        assert_eq!(Place::parse(text), Ok(place));
        assert_eq!(place.tick(&metre), Ok(Tick(at)));
    }

    #[test]
    fn counted_as_musicians_do() {
        check("4/4", 0, "1:1");
        check("4/4", 240, "1:1 e");
        check("4/4", 480, "1:1 and");
        check("4/4", 720, "1:1 a");
        check("4/4", 3840 + 2880 + 480, "2:4 and");
        check("4/4", 320, "1:1 trip");
        check("4/4", 640, "1:1 let");
        check("4/4", 160, "1:1 ti");
        check("4/4", 800, "1:1 let ti");
        check("4/4", 120, "1:1 ta");
        check("4/4", 360, "1:1 e ta");
        check("4/4", 840, "1:1 a ta");
        check("6/8", 480, "1:1 trip");
        check("6/8", 2400, "1:2 let");
        check("7/8", 1920 + 480, "1:3 trip");
        check("6/8", 240, "1:1 ti");
        check("6/8", 720, "1:1 trip ti");
        check("12/8", 1440 + 1200, "1:2 let ti");
        check("6/8", 360, "1:1 +360");
        check("4/4", 510, "1:1 and +30");
        check("4/4", 7, "1:1 +7");
    }

    #[test]
    fn every_tick_of_a_bar_reads_back_and_has_a_name_of_its_own() {
        for metre in ["4/4", "6/8", "7/8", "5/8", "3/4", "2/2"] {
            let metre = Metre::parse(metre).unwrap();
            let mut seen = std::collections::HashSet::new();
            for at in 0..metre.bar().0 {
                let place = Place::of(Tick(at), &metre);
                assert_eq!(place.tick(&metre), Ok(Tick(at)));
                assert_eq!(Place::parse(&place.to_string()), Ok(place));
                assert!(seen.insert(place.to_string()), "{place} twice");
            }
        }
    }

    #[test]
    fn refused() {
        for (text, want) in [
            ("", PlaceError::Form),
            ("0:1", PlaceError::Form),
            ("1:1 und", PlaceError::Syllable),
            ("1:1 and +x", PlaceError::Form),
            ("1:99", PlaceError::Form),
        ] {
            assert_eq!(Place::parse(text), Err(want), "{text:?}");
        }
        let metre = Metre::parse("3/4").unwrap();
        assert_eq!(Place::parse("1:4").unwrap().tick(&metre), Err(PlaceError::Beat(4)));
    }
}
