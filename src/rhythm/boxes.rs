//! Box notation: a lane as a row of characters, one a pulse, with `|` between bars.
//!
//! After the Time Unit Box System of ethnomusicology (P. Harland, 1962; J. Koetting, 1970), extended for drum sets:
//! `X` accent, `x` plain stroke, `o` ghost note, `.` rest, `2` to `8` a roll of so many strokes in one pulse, `f` a plain
//! stroke with a flam. `%` alone between bar lines repeats the bar before it. White space is ignored.
//!
//! A row tells strength and place. What it cannot tell (another loudness, a nudge, pitches, a place off the pulse ...) is
//! a detail: the whole stroke, listed beside the row. [`write_row`] says which strokes need one.

use super::lane::Lane;
use super::metre::Metre;
use super::stroke::{Dynamics, Flam, Roll, RollShape, Strength, Stroke};
use super::units::Tick;
use core::fmt;

/// What a row is written over.
#[derive(Clone, Copy, Debug)]
pub struct Ruling<'a> {
    /// The metre of its bars.
    pub metre: &'a Metre,
    /// How many bars.
    pub bars: u8,
    /// The distance between characters.
    pub pulse: Tick,
    /// The loudness the characters stand for.
    pub dynamics: Dynamics,
}

impl Ruling<'_> {
    /// The bar groups of a row: their number and the characters in each. A pulse that does not divide the bar (a
    /// cross-rhythm over several bars) leaves one group without bar lines.
    fn groups(&self) -> (usize, usize) {
        let (bar, bars) = (self.metre.bar().0, i64::from(self.bars));
        let pulse = self.pulse.0.max(1);
        if bar % pulse == 0 { (bars as usize, (bar / pulse) as usize) } else { (1, (bar * bars / pulse) as usize) }
    }
}

/// A mistake in a row, with its place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RowError {
    /// The row has another number of bars.
    Bars {
        /// How many the pattern has.
        expected: usize,
        /// How many the row has.
        found: usize,
    },
    /// A bar has another number of pulses.
    Pulses {
        /// The bar, from 1.
        bar: usize,
        /// How many pulses a bar has.
        expected: usize,
        /// How many this one has.
        found: usize,
    },
    /// A character that means nothing.
    Character {
        /// The bar, from 1.
        bar: usize,
        /// The character's place in the bar, from 1.
        pulse: usize,
        /// The character.
        found: char,
    },
    /// The first bar cannot repeat the bar before it.
    NothingToRepeat,
}

impl fmt::Display for RowError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            RowError::Bars { expected, found } => write!(f, "expected {expected} bars, found {found}"),
            RowError::Pulses { bar, expected, found } => {
                write!(f, "bar {bar}: expected {expected} characters, found {found}")
            }
            RowError::Character { bar, pulse, found } => {
                write!(f, "bar {bar}, place {pulse}: expected one of X x o . 2-8 f, found {found:?}")
            }
            RowError::NothingToRepeat => f.write_str("bar 1: % repeats the bar before, and there is none"),
        }
    }
}

/// The stroke `character` stands for at `at`; `Ok(None)` for a rest, `Err` for a character that means nothing.
fn stroke_of(character: char, at: Tick, ruling: &Ruling) -> Result<Option<Stroke>, ()> {
    let plain = |strength| Stroke::new(at, ruling.dynamics.loudness(strength));
    Ok(Some(match character {
        '.' => return Ok(None),
        'X' => plain(Strength::Accent),
        'x' => plain(Strength::Plain),
        'o' => plain(Strength::Ghost),
        'f' => Stroke { flam: Some(Flam::DEFAULT), ..plain(Strength::Plain) },
        '2'..='8' => {
            let strokes = character as u8 - b'0';
            let roll = Roll { strokes, span: ruling.pulse, shape: RollShape::Even, bend: 0 };
            Stroke { roll: Some(roll), ..plain(Strength::Plain) }
        }
        _ => return Err(()),
    }))
}

/// The character that tells most of `stroke`.
fn character_of(stroke: &Stroke, ruling: &Ruling) -> char {
    let strength = ruling.dynamics.strength(stroke.loudness);
    if strength == Strength::Plain {
        if let Some(Roll { strokes: strokes @ 2..=8, span, .. }) = stroke.roll
            && span == ruling.pulse
        {
            return char::from(b'0' + strokes);
        }
        if stroke.flam == Some(Flam::DEFAULT) && stroke.roll.is_none() {
            return 'f';
        }
    }
    match strength {
        Strength::Accent => 'X',
        Strength::Plain => 'x',
        Strength::Ghost => 'o',
    }
}

/// Reads a row: its strokes in order. Fails on the first mistake.
pub fn read_row(row: &str, ruling: &Ruling) -> Result<Vec<Stroke>, RowError> {
    let (group_count, pulses) = ruling.groups();
    let groups: Vec<Vec<char>> =
        row.split('|').map(|group| group.chars().filter(|c| !c.is_whitespace()).collect()).collect();
    if groups.len() != group_count {
        return Err(RowError::Bars { expected: group_count, found: groups.len() });
    }
    let mut strokes = Vec::new();
    let mut last: Option<&[char]> = None;
    for (index, group) in groups.iter().enumerate() {
        let bar = index + 1;
        let group = if group.as_slice() == ['%'] {
            last.ok_or(RowError::NothingToRepeat)?
        } else if group.len() == pulses {
            group.as_slice()
        } else {
            return Err(RowError::Pulses { bar, expected: pulses, found: group.len() });
        };
        for (place, &character) in group.iter().enumerate() {
            let at = ruling.pulse.times((index * pulses + place) as i64);
            let stroke = stroke_of(character, at, ruling);
            let stroke = stroke.map_err(|()| RowError::Character { bar, pulse: place + 1, found: character })?;
            strokes.extend(stroke);
        }
        last = Some(group);
    }
    Ok(strokes)
}

/// Writes a lane as a row, and lists the strokes the row does not tell wholly: those off the pulse, and those with
/// anything the character does not say. Reading the row and then laying the details over it gives the lane back.
pub fn write_row<'a>(lane: &'a Lane, ruling: &Ruling) -> (String, Vec<&'a Stroke>) {
    let (groups, pulses) = ruling.groups();
    let mut characters = vec!['.'; groups * pulses];
    let mut details = Vec::new();
    for stroke in lane.strokes() {
        if stroke.at.0 % ruling.pulse.0.max(1) != 0 {
            details.push(stroke);
            continue;
        }
        let character = character_of(stroke, ruling);
        if let Some(cell) = characters.get_mut((stroke.at.0 / ruling.pulse.0.max(1)) as usize) {
            *cell = character;
        }
        let told = stroke_of(character, stroke.at, ruling);
        if told.as_ref().ok().and_then(Option::as_ref) != Some(stroke) {
            details.push(stroke);
        }
    }
    let bars: Vec<String> = characters.chunks(pulses.max(1)).map(|bar| bar.iter().collect()).collect();
    (bars.join("|"), details)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rhythm::{LaneHead, Loudness};
    use crate::role::Role;

    fn ruling(metre: &Metre, bars: u8, pulse: i64) -> Ruling<'_> {
        Ruling { metre, bars, pulse: Tick(pulse), dynamics: Dynamics::DEFAULT }
    }

    #[track_caller]
    fn check(row: &str, bars: u8, ats: &[i64], written: &str) {
        let metre = Metre::four_four();
        let ruling = ruling(&metre, bars, 240);
        let strokes = read_row(row, &ruling).unwrap();
        assert_eq!(strokes.iter().map(|s| s.at.0 / 240).collect::<Vec<_>>(), ats);
        let lane = Lane::with_strokes(LaneHead::new(Role::Snare, Tick(240)), strokes);
        assert_eq!(write_row(&lane, &ruling), (written.to_owned(), Vec::new()));
    }

    #[test]
    fn rows_read_and_write() {
        check("X.....x.x.....o.", 1, &[0, 6, 8, 14], "X.....x.x.....o.");
        check("X... .... x... 3..f", 1, &[0, 8, 12, 15], "X.......x...3..f");
        check(
            "x...............|%|................|%",
            4,
            &[0, 16],
            "x...............|x...............|................|................",
        );
    }

    #[track_caller]
    fn refuse(row: &str, bars: u8, want: RowError, sentence: &str) {
        let metre = Metre::four_four();
        let error = read_row(row, &ruling(&metre, bars, 240)).unwrap_err();
        assert_eq!(error, want);
        assert_eq!(error.to_string(), sentence);
    }

    #[test]
    fn mistakes_are_located() {
        refuse(
            "X...............|....q...........",
            2,
            RowError::Character { bar: 2, pulse: 5, found: 'q' },
            "bar 2, place 5: expected one of X x o . 2-8 f, found 'q'",
        );
        refuse(
            "X...............|.......",
            2,
            RowError::Pulses { bar: 2, expected: 16, found: 7 },
            "bar 2: expected 16 characters, found 7",
        );
        refuse("X...............", 2, RowError::Bars { expected: 2, found: 1 }, "expected 2 bars, found 1");
        refuse("%", 1, RowError::NothingToRepeat, "bar 1: % repeats the bar before, and there is none");
        refuse(
            "9...............",
            1,
            RowError::Character { bar: 1, pulse: 1, found: '9' },
            "bar 1, place 1: expected one of X x o . 2-8 f, found '9'",
        );
    }

    #[test]
    fn what_a_row_cannot_tell_is_a_detail() {
        let metre = Metre::four_four();
        let ruling = ruling(&metre, 1, 240);
        let loud = |value| Loudness::new(value).unwrap();
        let strokes = [
            Stroke::new(Tick(0), loud(112)),
            Stroke::new(Tick(240), loud(111)),
            Stroke::new(Tick(500), loud(88)),
            Stroke { nudge: Tick(-5), ..Stroke::new(Tick(960), loud(40)) },
            Stroke {
                roll: Some(Roll { strokes: 3, span: Tick(240), shape: RollShape::Rising, bend: 0 }),
                ..Stroke::new(Tick(1200), loud(88))
            },
        ];
        let lane = Lane::with_strokes(LaneHead::new(Role::Snare, Tick(240)), strokes);
        let (row, details) = write_row(&lane, &ruling);
        assert_eq!(row, "XX..o3..........");
        assert_eq!(details.iter().map(|s| s.at.0).collect::<Vec<_>>(), [240, 500, 960, 1200]);
        let mut again = Lane::with_strokes(lane.head, read_row(&row, &ruling).unwrap());
        for detail in details {
            again.put(detail.clone());
        }
        assert_eq!(again, lane);
    }

    #[test]
    fn a_cross_rhythm_has_no_bar_lines() {
        let metre = Metre::four_four();
        let strokes = read_row("x.x.", &ruling(&metre, 3, 2880)).unwrap();
        assert_eq!(strokes.iter().map(|s| s.at.0).collect::<Vec<_>>(), [0, 5760]);
    }
}
