//! Judging an answer: taps held against the strokes they were to repeat.
//!
//! How long the loudspeaker, the hand and the screen take together nobody knows, so a constant offset is taken out before
//! anything is said, and nothing is ever said of it: taps that all come 90 ms after the strokes are as good as any. What is
//! left is what the learner played: which strokes were found, which were missed, which taps belong to none, and how evenly
//! the found ones lie.

use crate::rhythm::{Seconds, Tempo, Tick};

/// The farthest a tap may lie from its stroke once the offset is out; half a pulse where that is less.
pub const REACH: Seconds = Seconds(0.120);
/// The longest offset that is taken for a delay of the devices rather than for another rhythm.
const LONGEST_OFFSET: Seconds = Seconds(0.450);
/// The most taps that are looked at; more in one pass are a drum roll on the button.
const MOST_TAPS: usize = 200;

/// What was to be repeated: one pass of a loop.
#[derive(Clone, Debug, PartialEq)]
pub struct Asked<'a> {
    /// Where its strokes sound, in ticks from the loop's start, in any order; strokes of several lanes that fall together
    /// are one.
    pub onsets: &'a [Tick],
    /// How long the loop is; it goes round, so a tap just before its start belongs to its first stroke.
    pub length: Tick,
    /// The distance of neighbouring places.
    pub pulse: Tick,
    /// The tempo it was played at.
    pub tempo: Tempo,
}

/// What an answer was like.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Answer {
    /// Strokes that were tapped, in order.
    pub found: Vec<Tick>,
    /// Strokes that were not, in order.
    pub missed: Vec<Tick>,
    /// Taps that belong to no stroke: where they lie in the loop once the offset is out, in order.
    pub extra: Vec<Tick>,
    /// How far the found taps lie from evenly right, in ms (the standard deviation); `None` of fewer than three.
    pub spread_ms: Option<f64>,
}

/// Holds `taps` (ticks from the loop's start, any order, outside it too) against what was asked.
pub fn judge(asked: &Asked, taps: &[f64]) -> Answer {
    let length = asked.length.as_f64().max(1.0);
    let mut onsets: Vec<f64> = asked.onsets.iter().map(|onset| onset.as_f64().rem_euclid(length)).collect();
    onsets.sort_by(f64::total_cmp);
    onsets.dedup_by(|a, b| (*a - *b).abs() < 1.0);
    let taps: Vec<f64> = taps.iter().copied().filter(|tap| tap.is_finite()).take(MOST_TAPS).collect();
    let reach = asked.tempo.ticks(REACH).min(asked.pulse.as_f64() / 2.0);
    let circle = Circle { length, reach };
    let offset = circle.offset(&onsets, &taps, asked.tempo.ticks(LONGEST_OFFSET));
    let pairs = circle.pairs(&onsets, &taps, offset);
    let place = |at: f64| Tick(at.round() as i64);
    let split = |hit: bool| {
        let of = (0..onsets.len()).filter(|onset| pairs.iter().any(|pair| pair.onset == *onset) == hit);
        of.filter_map(|onset| onsets.get(onset)).map(|&at| place(at)).collect::<Vec<_>>()
    };
    let lone = (0..taps.len()).filter(|tap| pairs.iter().all(|pair| pair.tap != *tap));
    let mut extra: Vec<Tick> =
        lone.filter_map(|tap| taps.get(tap)).map(|tap| place((tap - offset).rem_euclid(length))).collect();
    extra.sort_unstable();
    let spread_ms = (pairs.len() >= 3).then(|| {
        let count = pairs.len() as f64;
        let mean = pairs.iter().map(|pair| pair.apart).sum::<f64>() / count;
        let square = pairs.iter().map(|pair| (pair.apart - mean).powi(2)).sum::<f64>() / count;
        asked.tempo.seconds(square.sqrt()).ms()
    });
    Answer { found: split(true), missed: split(false), extra, spread_ms }
}

/// A loop that goes round, and how far a tap may lie from its stroke.
struct Circle {
    length: f64,
    reach: f64,
}

/// A tap and its stroke, and how many ticks the tap lies after it once the offset is out.
struct Pair {
    onset: usize,
    tap: usize,
    apart: f64,
}

impl Circle {
    /// The way from `a` to `b`, the shorter way round.
    fn way(&self, a: f64, b: f64) -> f64 {
        (b - a + self.length / 2.0).rem_euclid(self.length) - self.length / 2.0
    }

    /// Pairs of strokes and taps within reach, the nearest first, each used once.
    fn pairs(&self, onsets: &[f64], taps: &[f64], offset: f64) -> Vec<Pair> {
        let mut near: Vec<Pair> = Vec::new();
        for (onset, &at) in onsets.iter().enumerate() {
            let apart = taps.iter().map(|tap| self.way(at, tap - offset)).enumerate();
            near.extend(apart.filter(|(_, apart)| apart.abs() <= self.reach).map(|(tap, apart)| Pair {
                onset,
                tap,
                apart,
            }));
        }
        near.sort_by(|a, b| a.apart.abs().total_cmp(&b.apart.abs()));
        let (mut struck, mut used) = (vec![false; onsets.len()], vec![false; taps.len()]);
        near.retain(|pair| {
            let free = !struck.get(pair.onset).copied().unwrap_or(true) && !used.get(pair.tap).copied().unwrap_or(true);
            if free && let (Some(onset), Some(tap)) = (struck.get_mut(pair.onset), used.get_mut(pair.tap)) {
                (*onset, *tap) = (true, true);
            }
            free
        });
        near
    }

    /// The constant offset of the taps, in ticks: of all distances between a tap and a stroke the one under which most taps
    /// find a stroke, the shortest of equals; then the median of what it leaves.
    fn offset(&self, onsets: &[f64], taps: &[f64], longest: f64) -> f64 {
        let ways = onsets.iter().flat_map(|&at| taps.iter().map(move |&tap| self.way(at, tap)));
        let mut candidates: Vec<f64> = ways.filter(|way| way.abs() <= longest).collect();
        candidates.push(0.0);
        candidates.sort_by(|a, b| a.abs().total_cmp(&b.abs()));
        candidates.dedup_by(|a, b| (*a - *b).abs() < 4.0);
        let found = |offset: f64| self.pairs(onsets, taps, offset).len();
        let mut best = (0.0, 0);
        for candidate in candidates {
            let count = found(candidate);
            // A longer offset has to explain clearly more.
            if count > best.1 {
                best = (candidate, count);
            }
        }
        let mut left: Vec<f64> = self.pairs(onsets, taps, best.0).iter().map(|pair| pair.apart).collect();
        left.sort_by(f64::total_cmp);
        let middle = left.get(left.len() / 2).copied().unwrap_or(0.0);
        if found(best.0 + middle) >= best.1 { best.0 + middle } else { best.0 }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rhythm::Bpm;
    use proptest::prelude::*;
    use proptest::test_runner::RngSeed;

    /// A 3-3-2 cell over two beats: one bar of 2/4 in sixteenths.
    const CELL: [Tick; 3] = [Tick(0), Tick(720), Tick(1440)];

    fn asked(onsets: &[Tick]) -> Asked<'_> {
        // A tick lasts 0.625 ms, a sixteenth 150 ms.
        let tempo = Tempo::quarters(Bpm::new(100.0).unwrap());
        Asked { onsets, length: Tick(1920), pulse: Tick(240), tempo }
    }

    #[track_caller]
    fn check(taps: &[f64], found: &[i64], missed: &[i64], extra: &[i64]) {
        let answer = judge(&asked(&CELL), taps);
        let ticks = |list: &[Tick]| list.iter().map(|tick| tick.0).collect::<Vec<_>>();
        assert_eq!((ticks(&answer.found).as_slice(), ticks(&answer.missed).as_slice()), (found, missed), "{answer:?}");
        assert_eq!(answer.extra.len(), extra.len(), "{answer:?}");
        for (place, want) in answer.extra.iter().zip(extra) {
            assert!((place.0 - want).abs() <= 12, "{answer:?}");
        }
    }

    #[test]
    fn found_missed_and_extra() {
        check(&[0.0, 720.0, 1440.0], &[0, 720, 1440], &[], &[]);
        check(&[], &[], &[0, 720, 1440], &[]);
        check(&[10.0, 725.0], &[0, 720], &[1440], &[]);
        check(&[0.0, 720.0, 960.0, 1440.0], &[0, 720, 1440], &[], &[960]);
        // Another rhythm: four even taps share only the first place and are no better anywhere else.
        check(&[0.0, 480.0, 960.0, 1440.0], &[0, 1440], &[720], &[480, 960]);
        // The same stroke twice: one of them belongs to nothing.
        check(&[0.0, 60.0, 720.0, 1440.0], &[0, 720, 1440], &[], &[60]);
    }

    #[test]
    fn a_constant_offset_is_taken_out() {
        for offset in [-150.0, -40.0, 64.0, 160.0, 290.0, 400.0] {
            let taps: Vec<f64> = CELL.iter().map(|onset| onset.as_f64() + offset).collect();
            check(&taps, &[0, 720, 1440], &[], &[]);
        }
        // Just before the loop's start, and one of a pass too many.
        check(&[-30.0, 690.0, 1410.0], &[0, 720, 1440], &[], &[]);
        check(&[1890.0, 690.0, 1410.0], &[0, 720, 1440], &[], &[]);
    }

    #[test]
    fn the_spread_is_what_the_offset_leaves() {
        let spread = |taps: &[f64]| judge(&asked(&CELL), taps).spread_ms;
        assert!(spread(&[100.0, 820.0, 1540.0]).unwrap() < 1e-6);
        let uneven = spread(&[0.0, 736.0, 1456.0]).unwrap();
        assert!((uneven - 4.714).abs() < 0.01, "{uneven}");
        assert_eq!(spread(&[0.0, 720.0]), None);
    }

    #[test]
    fn half_a_pulse_is_the_reach_of_fast_places() {
        let narrow = Asked { pulse: Tick(60), ..asked(&CELL) };
        let answer = judge(&narrow, &[0.0, 720.0, 1490.0]);
        assert_eq!((answer.found.len(), answer.extra.len()), (2, 1));
    }

    proptest! {
        #![proptest_config(ProptestConfig { rng_seed: RngSeed::Fixed(7), failure_persistence: None, ..ProptestConfig::default() })]

        #[test]
        fn everything_is_accounted_for(
            onsets in prop::collection::btree_set(0_i64..1920, 0..12),
            taps in prop::collection::vec(-500.0_f64..2500.0, 0..16),
        ) {
            let onsets: Vec<Tick> = onsets.into_iter().map(Tick).collect();
            let answer = judge(&asked(&onsets), &taps);
            prop_assert_eq!(answer.found.len() + answer.missed.len(), onsets.len());
            prop_assert_eq!(answer.found.len() + answer.extra.len(), taps.len());
            prop_assert!(answer.found.is_sorted() && answer.missed.is_sorted() && answer.extra.is_sorted());
        }
    }
}
