//! The metrical hierarchy: how deep in its bar a place lies, for bars of any metre.
//!
//! H. C. Longuet-Higgins and C. S. Lee, "The rhythmic interpretation of monophonic music", Music Perception 1 (1984): the
//! bar's start weighs 0, and a place first reached at the l-th division of the bar weighs -l.
//!
//! Above the beat, a bar whose beats repeat is divided into its repeats, twos before threes (4/4: two halves of two beats;
//! 2+2+3+2+2+3: two halves of three beats); one whose beats do not (2+2+3) is divided into its beats at once. Below the
//! beat the paper divides evenly; with mixed divisions several ways lead to a place, and it takes the shortest: a triplet
//! in a beat of sixteenths lies one division below its beat, as the eighth does. A dotted beat is always first divided in
//! three.

use super::cycle::gcd;
use crate::rhythm::{Metre, Tick};

/// The depths of the places of a bar.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Hierarchy {
    metre: Metre,
    /// Of each beat.
    beats: Vec<u32>,
    /// Of the beats that are no start of anything larger.
    deepest: u32,
}

impl Hierarchy {
    /// The hierarchy of a bar of `metre`.
    pub fn of(metre: &Metre) -> Hierarchy {
        let lengths: Vec<Tick> = metre.beats().collect();
        let mut beats = vec![0; lengths.len()];
        let mut deepest = 0;
        let mut group = lengths.len();
        while group > 1 {
            let part = group / parts(&lengths[..group]);
            deepest += 1;
            for (index, beat) in beats.iter_mut().enumerate() {
                // A beat that starts a larger group keeps the depth of that.
                if index % part == 0 && index % group != 0 {
                    *beat = deepest;
                }
            }
            group = part;
        }
        Hierarchy { metre: metre.clone(), beats, deepest }
    }

    /// How many divisions of the bar it takes to reach `at`, counted from the start of any bar: 0 at a bar's start.
    pub fn depth(&self, at: Tick) -> u32 {
        let (beat, start, length) = self.metre.beat_at(at.rem_euclid(self.metre.bar()));
        let inside = at.rem_euclid(self.metre.bar()) - start;
        if inside == Tick::ZERO {
            return self.beats.get(beat).copied().unwrap_or(0);
        }
        let share = length.0 / gcd(inside, length).0.max(1);
        let forced = u32::from(is_dotted(length) && share % 3 != 0);
        self.deepest + forced + prime_factors(share).len() as u32
    }

    /// The depth of the beats that start nothing larger; 0 in a bar of one beat.
    pub fn beat_depth(&self) -> u32 {
        self.deepest
    }

    /// The weight of `at`: its depth as a negative number.
    pub fn weight(&self, at: Tick) -> i32 {
        -(self.depth(at) as i32)
    }

    /// The parts of one bar at every depth above the beat, the bar itself first: starts and lengths.
    pub fn spans_above_beats(&self) -> Vec<Vec<(Tick, Tick)>> {
        let bar = self.metre.bar();
        let at_depth = |depth: u32| {
            let starts = self.beats.iter().enumerate().filter(|(_, own)| **own <= depth);
            let starts: Vec<Tick> = starts.map(|(index, _)| self.metre.beat_start(index)).collect();
            let ends = starts.iter().skip(1).copied().chain([bar]);
            starts.iter().zip(ends).map(|(&start, end)| (start, end - start)).collect()
        };
        (0..=self.deepest).map(at_depth).collect()
    }
}

/// Into how many equal parts these beats fall: the smallest prime number of repeats, or else one part a beat.
fn parts(beats: &[Tick]) -> usize {
    let repeats = |parts: &usize| {
        let part = beats.len() / parts;
        beats.len().is_multiple_of(*parts)
            && beats.iter().skip(part).zip(beats).all(|(later, earlier)| later == earlier)
    };
    (2..=beats.len()).find(repeats).unwrap_or(beats.len())
}

/// A beat counted in threes: 6/8 and its kin.
fn is_dotted(beat: Tick) -> bool {
    beat.0 % 720 == 0 && beat.0 % 960 != 0
}

/// The prime factors of `n` in rising order, each as often as it divides.
fn prime_factors(mut n: i64) -> Vec<i64> {
    let mut factors = Vec::new();
    let mut factor = 2;
    while n > 1 {
        if factor * factor > n {
            factor = n;
        }
        if n % factor == 0 {
            factors.push(factor);
            n /= factor;
        } else {
            factor += 1;
        }
    }
    factors
}

/// By what a beat of `length` is divided, and again, to come to its pulses of `unit`: twos first, but in a dotted beat
/// the three before them.
pub fn divisions(length: Tick, unit: Tick) -> Vec<i64> {
    let mut factors = prime_factors(length.0 / unit.0.max(1));
    if is_dotted(length)
        && let Some(three) = factors.iter().position(|&factor| factor == 3)
    {
        factors.remove(three);
        factors.insert(0, 3);
    }
    factors
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(signature: &str, pulse: i64, want: &[i32]) {
        let metre = Metre::parse(signature).unwrap();
        let hierarchy = Hierarchy::of(&metre);
        let places = metre.bar().0 / pulse;
        let weights: Vec<i32> = (0..places).map(|index| hierarchy.weight(Tick(pulse * index))).collect();
        assert_eq!(weights, want, "{signature}");
        assert_eq!(hierarchy.weight(metre.bar() + Tick(pulse)), weights[1], "the next bar is like the first");
    }

    #[test]
    fn weights() {
        check("4/4", 240, &[0, -4, -3, -4, -2, -4, -3, -4, -1, -4, -3, -4, -2, -4, -3, -4]);
        check("4/4", 320, &[0, -3, -3, -2, -3, -3, -1, -3, -3, -2, -3, -3]);
        check("3/4", 480, &[0, -2, -1, -2, -1, -2]);
        check("6/8", 480, &[0, -2, -2, -1, -2, -2]);
        check("6/8", 240, &[0, -3, -2, -3, -2, -3, -1, -3, -2, -3, -2, -3]);
        check("12/8", 480, &[0, -3, -3, -2, -3, -3, -1, -3, -3, -2, -3, -3]);
        check("5/4", 960, &[0, -1, -1, -1, -1]);
        check("7/8", 480, &[0, -2, -1, -2, -1, -2, -2]);
        check("2+2+3+2+2+3/16", 240, &[0, -3, -2, -3, -2, -3, -3, -1, -3, -2, -3, -2, -3, -3]);
        // Sixths of a quarter: thirds take the short way, sixths the long one.
        check("2/4", 160, &[0, -3, -2, -2, -2, -3, -1, -3, -2, -2, -2, -3]);
    }

    #[test]
    fn spans() {
        let metre = Metre::parse("2+2+3/8").unwrap();
        let spans = Hierarchy::of(&metre).spans_above_beats();
        let beats = [(0, 960), (960, 960), (1920, 1440)].map(|(start, length)| (Tick(start), Tick(length)));
        assert_eq!(spans, vec![vec![(Tick(0), Tick(3360))], beats.to_vec()]);
        let four = Hierarchy::of(&Metre::four_four()).spans_above_beats();
        assert_eq!(four.iter().map(Vec::len).collect::<Vec<_>>(), [1, 2, 4]);
    }

    #[test]
    fn divided_again_and_again() {
        for (length, unit, want) in [
            (960, 240, &[2, 2][..]),
            (960, 320, &[3]),
            (1440, 240, &[3, 2]),
            (1440, 720, &[2]),
            (960, 80, &[2, 2, 3]),
            (960, 960, &[]),
        ] {
            assert_eq!(divisions(Tick(length), Tick(unit)), want, "{length} in {unit}");
        }
    }
}
