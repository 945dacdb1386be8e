//! A place in a bar as it is counted: "2", "a of 2", "let of 4". Unlike [`Place`] it names no bar, so it holds in every
//! bar, and over any grid and any metre that has such a beat.

use crate::rhythm::place::PlaceError;
use crate::rhythm::{Metre, Place, Tick};
use core::fmt;

/// A place in any bar: a beat and a syllable of it.
///
/// As text it is the beat alone (`2`), a syllable of it (`a of 2`), or either with the ticks that follow it
/// (`and of 2 +30`). Syllables are those of [`Place`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Spot(Place);

impl Spot {
    /// The spot of the tick `at` of a bar; ticks past the bar count on in the next one.
    pub fn of(at: Tick, metre: &Metre) -> Spot {
        Spot(Place { bar: 0, ..Place::of(at, metre) })
    }

    /// The tick in a bar of `metre`, from 0 to before the bar's end.
    ///
    /// # Errors
    /// The metre has no such beat, or its beat no such syllable or none so long.
    pub fn tick(&self, metre: &Metre) -> Result<Tick, PlaceError> {
        let at = self.0.tick(metre)?;
        let end = metre.beat_start(usize::from(self.0.beat) + 1);
        if at < end { Ok(at) } else { Err(PlaceError::Syllable) }
    }

    /// The beat, from 0.
    pub fn beat(&self) -> u8 {
        self.0.beat
    }

    /// The syllable on or before the spot; empty on the beat itself.
    pub fn syllable(&self) -> &'static str {
        self.0.syllable
    }

    /// Reads `a of 2`.
    ///
    /// # Errors
    /// The text has another form or an unknown syllable.
    pub fn parse(text: &str) -> Result<Spot, PlaceError> {
        let (name, after) = match text.split_once('+') {
            Some((name, ticks)) => (name.trim(), format!(" +{}", ticks.trim())),
            None => (text.trim(), String::new()),
        };
        let place = match name.split_once(" of ") {
            Some(("", _)) => return Err(PlaceError::Form),
            Some((syllable, beat)) => Place::parse(&format!("1:{beat} {syllable}{after}")),
            None if name.contains(' ') => return Err(PlaceError::Form),
            None => Place::parse(&format!("1:{name}{after}")),
        };
        place.map(Spot)
    }
}

impl fmt::Display for Spot {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if !self.0.syllable.is_empty() {
            write!(f, "{} of ", self.0.syllable)?;
        }
        write!(f, "{}", self.0.beat + 1)?;
        if self.0.after != Tick::ZERO {
            write!(f, " +{}", self.0.after.0)?;
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
        let spot = Spot::of(Tick(at), &metre);
        assert_eq!(spot.to_string(), text);
        assert_eq!(Spot::parse(text), Ok(spot));
        assert_eq!(spot.tick(&metre), Ok(Tick(at)));
    }

    #[test]
    fn spots_read_and_write() {
        check("4/4", 0, "1");
        check("4/4", 960 + 720, "a of 2");
        check("4/4", 2880 + 640, "let of 4");
        check("12/8", 2880 + 480, "trip of 3");
        check("6/8", 240, "ti of 1");
        check("4/4", 360, "e ta of 1");
        check("4/4", 990, "2 +30");
        check("4/4", 1470, "and of 2 +30");
    }

    #[test]
    fn one_spot_over_two_metres() {
        let spot = Spot::parse("let of 2").unwrap();
        assert_eq!(spot.tick(&Metre::four_four()), Ok(Tick(960 + 640)));
        assert_eq!(spot.tick(&Metre::parse("12/8").unwrap()), Ok(Tick(1440 + 960)));
        assert_eq!(Spot::parse("4").unwrap().tick(&Metre::parse("3/4").unwrap()), Err(PlaceError::Beat(4)));
    }

    #[test]
    fn refused() {
        for (text, want) in [
            ("", PlaceError::Form),
            ("0", PlaceError::Form),
            ("2 a", PlaceError::Form),
            (" of 2", PlaceError::Form),
            ("und of 2", PlaceError::Syllable),
            ("a of 2 +x", PlaceError::Form),
        ] {
            assert_eq!(Spot::parse(text), Err(want), "{text:?}");
        }
        assert_eq!(Spot::parse("a of 2 +300").unwrap().tick(&Metre::four_four()), Err(PlaceError::Syllable));
    }
}
