//! Metre: the beats of a bar as lengths in ticks, in any grouping.
//!
//! 4/4 is four beats of 960, 6/8 two of 1440, 7/8 may be 960 + 960 + 1440. Beats and bars count from 0 in code and from 1
//! wherever people read them.

use super::units::Tick;
use core::fmt;

/// The beats of one bar.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Metre {
    beats: Vec<u16>,
}

/// Why a list of beat lengths is no metre.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MetreError {
    /// A bar has 1 to 16 beats; this many were given.
    BeatCount(usize),
    /// A beat is 120 to 3840 ticks and a multiple of 120; this one was given.
    BeatLength(i64),
    /// No metre is written like this.
    Signature,
}

impl fmt::Display for MetreError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            MetreError::BeatCount(n) => write!(f, "a bar has 1 to 16 beats, found {n}"),
            MetreError::BeatLength(ticks) => {
                write!(f, "a beat is 120 to 3840 ticks in whole 120s, found {ticks}")
            }
            MetreError::Signature => f.write_str("expected a metre such as 4/4, 6/8 or 2+2+3/8"),
        }
    }
}

impl Metre {
    /// A metre from its beat lengths in ticks.
    pub fn new(beats: &[Tick]) -> Result<Metre, MetreError> {
        if beats.is_empty() || beats.len() > 16 {
            return Err(MetreError::BeatCount(beats.len()));
        }
        let lengths = beats.iter().map(|beat| match beat.0 {
            ticks @ 120..=3840 if ticks % 120 == 0 => Ok(ticks as u16),
            ticks => Err(MetreError::BeatLength(ticks)),
        });
        Ok(Metre { beats: lengths.collect::<Result<_, _>>()? })
    }

    /// Four quarter notes, the metre of most styles.
    pub fn four_four() -> Metre {
        Metre { beats: vec![960; 4] }
    }

    /// Reads `4/4`, `3/4`, `6/8`, `12/8` (eighths in threes when their number is a multiple of three above three),
    /// `7/8` and `5/8` (twos first, the three last), `2/2`, or a stated grouping of eighths or sixteenths: `2+2+3/8`.
    pub fn parse(signature: &str) -> Result<Metre, MetreError> {
        let (top, bottom) = signature.trim().split_once('/').ok_or(MetreError::Signature)?;
        let unit: i64 = match bottom.trim() {
            "2" => 1920,
            "4" => 960,
            "8" => 480,
            "16" => 240,
            _ => return Err(MetreError::Signature),
        };
        let groups = top.split('+').map(|part| part.trim().parse::<u8>().ok().filter(|n| (1..=32).contains(n)));
        let groups: Vec<u8> = groups.collect::<Option<_>>().ok_or(MetreError::Signature)?;
        let beats: Vec<Tick> = match groups.as_slice() {
            &[count] if unit >= 960 => vec![Tick(unit); usize::from(count)],
            &[count] if count % 3 == 0 && count > 3 => vec![Tick(unit * 3); usize::from(count / 3)],
            &[3] => vec![Tick(unit); 3],
            &[count] => {
                let mut beats = vec![Tick(unit * 2); usize::from(count / 2)];
                if let (true, Some(last)) = (count % 2 == 1, beats.last_mut()) {
                    *last = Tick(unit * 3);
                }
                beats
            }
            several => several.iter().map(|&n| Tick(unit * i64::from(n))).collect(),
        };
        Metre::new(&beats)
    }

    /// The beat lengths in order.
    pub fn beats(&self) -> impl ExactSizeIterator<Item = Tick> + '_ {
        self.beats.iter().map(|&ticks| Tick(i64::from(ticks)))
    }

    /// How many beats a bar has.
    pub fn beat_count(&self) -> usize {
        self.beats.len()
    }

    /// The length of a bar.
    pub fn bar(&self) -> Tick {
        Tick(self.beats.iter().map(|&ticks| i64::from(ticks)).sum())
    }

    /// Where beat `index` of a bar begins; the bar's end for an index past the last beat.
    pub fn beat_start(&self, index: usize) -> Tick {
        Tick(self.beats.iter().take(index).map(|&ticks| i64::from(ticks)).sum())
    }

    /// The beat that `at` (a place inside a bar) lies in: its index, start and length.
    pub fn beat_at(&self, at: Tick) -> (usize, Tick, Tick) {
        let mut start = Tick::ZERO;
        let mut found = (0, Tick::ZERO, Tick(i64::from(self.beats.first().copied().unwrap_or(960))));
        for (index, length) in self.beats().enumerate() {
            if at < start {
                break;
            }
            found = (index, start, length);
            start += length;
        }
        found
    }
}

impl fmt::Display for Metre {
    /// The signature as printed on a score: `4/4`, `6/8`, `2+2+3/8`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let all = |ticks: u16| self.beats.iter().all(|&beat| beat == ticks);
        let n = self.beats.len();
        if all(960) {
            return write!(f, "{n}/4");
        }
        if all(1920) {
            return write!(f, "{n}/2");
        }
        if n > 1 && all(1440) {
            return write!(f, "{}/8", n * 3);
        }
        if n > 1 && all(720) {
            return write!(f, "{}/16", n * 3);
        }
        let (unit, name) = [(480, 8), (240, 16)]
            .into_iter()
            .find(|(unit, _)| self.beats.iter().all(|beat| beat % unit == 0))
            .unwrap_or((120, 32));
        let groups: Vec<u16> = self.beats.iter().map(|beat| beat / unit).collect();
        // A lone group would read as a plain count and could be grouped otherwise; "7/8" and "5/8" read back as twos
        // with the three last.
        let plain = groups.iter().sum::<u16>();
        let signature = format!("{plain}/{name}");
        if Metre::parse(&signature).is_ok_and(|read| read == *self) {
            return f.write_str(&signature);
        }
        let groups: Vec<String> = groups.iter().map(u16::to_string).collect();
        write!(f, "{}/{name}", groups.join("+"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(signature: &str, beats: &[i64], printed: &str) {
        let beats: Vec<Tick> = beats.iter().map(|&b| Tick(b)).collect();
        let metre = Metre::parse(signature).unwrap();
        assert_eq!(metre, Metre::new(&beats).unwrap());
        assert_eq!(metre.to_string(), printed);
        assert_eq!(Metre::parse(printed), Ok(metre), "reads back");
    }

    #[test]
    fn signatures() {
        check("4/4", &[960; 4], "4/4");
        check("2/4", &[960; 2], "2/4");
        check("6/8", &[1440; 2], "6/8");
        check("12/8", &[1440; 4], "12/8");
        check("5/4", &[960; 5], "5/4");
        check("7/8", &[960, 960, 1440], "7/8");
        check("5/8", &[960, 1440], "5/8");
        check("3/8", &[480; 3], "3/8");
        check("3+2+2/8", &[1440, 960, 960], "3+2+2/8");
        check("2/2", &[1920; 2], "2/2");
        check("4/8", &[960; 2], "2/4");
        check("3+2/16", &[720, 480], "3+2/16");
    }

    #[test]
    fn refused() {
        assert_eq!(Metre::parse("four"), Err(MetreError::Signature));
        assert_eq!(Metre::parse("4/5"), Err(MetreError::Signature));
        assert_eq!(Metre::parse("0/4"), Err(MetreError::Signature));
        assert_eq!(Metre::parse("32/4"), Err(MetreError::BeatCount(32)));
        assert_eq!(Metre::new(&[Tick(100)]), Err(MetreError::BeatLength(100)));
        assert_eq!(Metre::new(&[]), Err(MetreError::BeatCount(0)));
    }

    #[test]
    fn beats_of_a_place() {
        let seven = Metre::parse("7/8").unwrap();
        assert_eq!(seven.bar(), Tick(3360));
        assert_eq!(seven.beat_at(Tick(0)), (0, Tick(0), Tick(960)));
        assert_eq!(seven.beat_at(Tick(1919)), (1, Tick(960), Tick(960)));
        assert_eq!(seven.beat_at(Tick(3000)), (2, Tick(1920), Tick(1440)));
        assert_eq!(seven.beat_start(2), Tick(1920));
    }
}
