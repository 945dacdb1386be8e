//! The cycle: what every measure reads. Onsets on ticks in a whole number of bars, thought of as a circle.
//!
//! The literature writes a rhythm as onsets among *n* pulses. Ours lie on ticks, and one pattern may mix divisions, so the
//! pulses are derived, beat by beat: a beat whose onsets all lie on the stated pulse is divided by that pulse; a beat with
//! an onset off it is divided by the coarsest even division that holds all its onsets (three thirds for a triplet among
//! sixteenths). The division is never coarsened to fit a sparse pattern: off-beatness and its kin depend on the stated
//! pulse, and a rhythm of eighths over sixteenths is not the same rhythm over eighths.

use crate::rhythm::pattern::MAX_BARS;
use crate::rhythm::{Lane, Metre, Pattern, Stroke, Tick};
use crate::role::Role;
use core::fmt;

/// Onsets in a cycle of whole bars, with the metre and the pulse they are counted by.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Cycle {
    metre: Metre,
    bars: u8,
    pulse: Tick,
    onsets: Vec<Tick>,
}

/// Why there is no such cycle.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CycleError {
    /// A cycle has 1 to 8 bars; this many were asked for.
    Bars(u8),
    /// A pulse is 40 to 3840 ticks; this one was given.
    Pulse(Tick),
    /// This onset lies outside the cycle.
    Onset(Tick),
}

impl fmt::Display for CycleError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            CycleError::Bars(bars) => write!(f, "a cycle has 1 to {MAX_BARS} bars, found {bars}"),
            CycleError::Pulse(pulse) => write!(f, "a pulse is 40 to 3840 ticks, found {}", pulse.0),
            CycleError::Onset(at) => write!(f, "an onset lies inside the cycle, found one on tick {}", at.0),
        }
    }
}

/// One beat of a cycle and how it is divided.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Beat {
    /// Where it begins, from the cycle's start.
    pub start: Tick,
    /// How long it is.
    pub length: Tick,
    /// The distance between its pulses; divides the length.
    pub unit: Tick,
}

impl Cycle {
    /// A cycle of these onsets, in any order; of several on one tick one stays.
    pub fn new(
        metre: &Metre,
        bars: u8,
        pulse: Tick,
        onsets: impl IntoIterator<Item = Tick>,
    ) -> Result<Cycle, CycleError> {
        if !(1..=MAX_BARS).contains(&bars) {
            return Err(CycleError::Bars(bars));
        }
        if !(40..=3840).contains(&pulse.0) {
            return Err(CycleError::Pulse(pulse));
        }
        let mut onsets: Vec<Tick> = onsets.into_iter().collect();
        onsets.sort_unstable();
        onsets.dedup();
        let length = metre.bar().times(i64::from(bars));
        if let Some(&outside) = onsets.iter().find(|at| !(0..length.0).contains(&at.0)) {
            return Err(CycleError::Onset(outside));
        }
        Ok(Cycle { metre: metre.clone(), bars, pulse, onsets })
    }

    /// The strokes of every lane of `roles` that `takes` accepts, as written: one onset a stroke (a roll is one), without
    /// swing, nudge and lean. The pulse is the finest among those lanes; `None` if the pattern has none of them.
    pub fn of_roles(pattern: &Pattern, roles: &[Role], takes: &dyn Fn(&Stroke) -> bool) -> Option<Cycle> {
        let lanes: Vec<&Lane> = pattern.lanes().iter().filter(|lane| roles.contains(&lane.head.role)).collect();
        let pulse = lanes.iter().map(|lane| lane.head.pulse).min()?;
        let strokes = lanes.iter().flat_map(|lane| lane.strokes());
        let onsets = strokes.filter(|stroke| takes(stroke)).map(|stroke| stroke.at);
        Cycle::new(pattern.metre(), pattern.bars(), pulse, onsets).ok()
    }

    /// The metre of its bars.
    pub fn metre(&self) -> &Metre {
        &self.metre
    }

    /// How many bars, 1 to 8.
    pub fn bars(&self) -> u8 {
        self.bars
    }

    /// The length of the whole cycle.
    pub fn length(&self) -> Tick {
        self.metre.bar().times(i64::from(self.bars))
    }

    /// The stated pulse, 40 to 3840 ticks.
    pub fn pulse(&self) -> Tick {
        self.pulse
    }

    /// The onsets in order, each once.
    pub fn onsets(&self) -> &[Tick] {
        &self.onsets
    }

    /// From each onset to the next, the last to the first of the coming pass: they sum to the length. A single onset has
    /// the whole cycle for its gap.
    pub fn gaps(&self) -> Vec<Tick> {
        let Some(&first) = self.onsets.first() else { return Vec::new() };
        let next = self.onsets.iter().skip(1).copied().chain([first + self.length()]);
        self.onsets.iter().zip(next).map(|(&at, next)| next - at).collect()
    }

    /// The same onsets, all `by` later around the circle.
    pub fn rotated(&self, by: Tick) -> Cycle {
        let length = self.length();
        let mut onsets: Vec<Tick> = self.onsets.iter().map(|&at| (at + by).rem_euclid(length)).collect();
        onsets.sort_unstable();
        Cycle { onsets, ..self.clone() }
    }

    /// The beats of all bars, each with its division.
    pub fn beats(&self) -> Vec<Beat> {
        let mut beats = Vec::new();
        let mut start = Tick::ZERO;
        for _ in 0..self.bars {
            for length in self.metre.beats() {
                beats.push(Beat { start, length, unit: self.unit(start, length) });
                start += length;
            }
        }
        beats
    }

    /// The division of the beat at `start`; see the module's doc.
    fn unit(&self, start: Tick, length: Tick) -> Tick {
        let from = self.onsets.partition_point(|&at| at < start);
        let inside = || self.onsets.iter().skip(from).map(|&at| at - start).take_while(|&at| at < length);
        let stated = if length.0 % self.pulse.0 == 0 {
            Some(self.pulse)
        } else {
            (self.pulse.0 % length.0 == 0).then_some(length)
        };
        match stated {
            Some(unit) if inside().all(|at| at.0 % unit.0 == 0) => unit,
            _ => inside().fold(length, gcd),
        }
    }

    /// Every pulse of the cycle, filled or not, in order; every onset is on one.
    pub fn places(&self) -> Vec<Tick> {
        let pulses =
            |beat: Beat| (0..beat.length.0 / beat.unit.0).map(move |index| beat.start + beat.unit.times(index));
        self.beats().into_iter().flat_map(pulses).collect()
    }

    /// The coarsest even grid that holds every pulse: the common divisor of the divisions of all beats.
    pub fn grid(&self) -> Tick {
        self.beats().iter().map(|beat| beat.unit).fold(Tick::ZERO, gcd)
    }

    /// The cycle as the literature writes it: one entry a pulse of `grid`, true for an onset. `grid` must divide the
    /// cycle; onsets between its pulses count for the pulse before.
    pub fn pulses(&self, grid: Tick) -> Vec<bool> {
        let grid = grid.0.max(1);
        let mut pulses = vec![false; (self.length().0 / grid) as usize];
        for at in &self.onsets {
            if let Some(pulse) = pulses.get_mut((at.0 / grid) as usize) {
                *pulse = true;
            }
        }
        pulses
    }
}

/// The greatest common divisor; that of zero and a distance is the distance.
pub(super) fn gcd(a: Tick, b: Tick) -> Tick {
    let (mut a, mut b) = (a.0.abs(), b.0.abs());
    while b != 0 {
        (a, b) = (b, a % b);
    }
    Tick(a)
}

/// Two cycles laid side by side, as distances need them: of one length, the shorter repeated and cut off where the
/// longer ends.
#[derive(Clone, Debug)]
pub(super) struct Alongside {
    pub a: Vec<Tick>,
    pub b: Vec<Tick>,
    pub length: Tick,
    /// The finer of the two stated pulses, in which distances are counted.
    pub pulse: Tick,
}

impl Alongside {
    pub fn new(a: &Cycle, b: &Cycle) -> Alongside {
        let length = a.length().max(b.length());
        Alongside {
            a: repeated(&a.onsets, a.length(), length),
            b: repeated(&b.onsets, b.length(), length),
            length,
            pulse: a.pulse.min(b.pulse),
        }
    }

    /// A distance in ticks, in pulses.
    pub fn in_pulses(&self, ticks: Tick) -> f64 {
        ticks.as_f64() / self.pulse.as_f64()
    }
}

/// Places of a pass of `length` ticks, repeated up to `until`.
pub(super) fn repeated(onsets: &[Tick], length: Tick, until: Tick) -> Vec<Tick> {
    let passes = (until.0 + length.0 - 1) / length.0.max(1);
    let all = (0..passes).flat_map(|pass| onsets.iter().map(move |&at| at + length.times(pass)));
    all.take_while(|&at| at < until).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(signature: &str, pulse: i64, onsets: &[i64], units: &[i64], grid: i64) {
        let metre = Metre::parse(signature).unwrap();
        let cycle = Cycle::new(&metre, 1, Tick(pulse), onsets.iter().map(|&at| Tick(at))).unwrap();
        assert_eq!(cycle.beats().iter().map(|beat| beat.unit.0).collect::<Vec<_>>(), units, "units");
        assert_eq!(cycle.grid(), Tick(grid), "grid");
        let places = cycle.places();
        assert!(cycle.onsets().iter().all(|at| places.binary_search(at).is_ok()), "every onset is on a pulse");
        let filled = cycle.pulses(cycle.grid()).iter().filter(|&&on| on).count();
        assert_eq!(filled, onsets.len(), "every onset has a pulse of the grid to itself");
    }

    #[test]
    fn divisions() {
        check("4/4", 240, &[0, 720], &[240; 4], 240);
        check("4/4", 240, &[0, 960 + 320, 960 + 640], &[240, 320, 240, 240], 80);
        check("4/4", 240, &[480, 640], &[160, 240, 240, 240], 80);
        check("4/4", 320, &[0, 640], &[320; 4], 320);
        check("4/4", 1920, &[0], &[960; 4], 960);
        check("6/8", 480, &[0, 480], &[480; 2], 480);
        check("7/8", 240, &[], &[240; 3], 240);
        check("7/8", 480, &[0, 1920 + 720], &[480, 480, 720], 240);
        check("4/4", 240, &[7], &[1, 240, 240, 240], 1);
    }

    #[test]
    fn refused() {
        let metre = Metre::four_four();
        let check = |bars, pulse, onset, want| {
            assert_eq!(Cycle::new(&metre, bars, Tick(pulse), [Tick(onset)]).err(), want);
        };
        check(1, 240, 3839, None);
        check(0, 240, 0, Some(CycleError::Bars(0)));
        check(9, 240, 0, Some(CycleError::Bars(9)));
        check(1, 0, 0, Some(CycleError::Pulse(Tick(0))));
        check(1, 240, 3840, Some(CycleError::Onset(Tick(3840))));
        check(1, 240, -1, Some(CycleError::Onset(Tick(-1))));
    }

    #[test]
    fn gaps_close_the_circle() {
        let metre = Metre::four_four();
        let check = |onsets: &[i64], want: &[i64]| {
            let cycle = Cycle::new(&metre, 1, Tick(240), onsets.iter().map(|&at| Tick(at))).unwrap();
            assert_eq!(cycle.gaps(), want.iter().map(|&gap| Tick(gap)).collect::<Vec<_>>(), "{onsets:?}");
        };
        check(&[], &[]);
        check(&[480], &[3840]);
        check(&[240, 960, 240, 3600], &[720, 2640, 480]);
    }

    #[test]
    fn a_shorter_cycle_is_repeated() {
        let check = |onsets: &[i64], length, until, want: &[i64]| {
            let onsets: Vec<Tick> = onsets.iter().map(|&at| Tick(at)).collect();
            let want: Vec<Tick> = want.iter().map(|&at| Tick(at)).collect();
            assert_eq!(repeated(&onsets, Tick(length), Tick(until)), want);
        };
        check(&[0, 300], 1000, 2000, &[0, 300, 1000, 1300]);
        check(&[0, 300], 1000, 1200, &[0, 300, 1000]);
        check(&[], 1000, 2000, &[]);
    }
}
