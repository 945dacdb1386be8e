//! Syncopation after Longuet-Higgins and Lee: a note held over a stronger silence.
//!
//! H. C. Longuet-Higgins and C. S. Lee, "The rhythmic interpretation of monophonic music", Music Perception 1 (1984),
//! 424-441. With the weights of [`Hierarchy`], a note of weight N and the heaviest empty place before the next note, of
//! weight R, are a syncopation of strength R - N if R >= N. Strength 0 is a real one, the weakest.
//!
//! The literature disagrees on what is counted. Here every note makes at most one pair, the cycle closes, and a sum adds
//! R - N. Others add 1 to every strength, or let one note pair with several silences, or look only at the next place; the
//! vectors that name such a reading are used as bounds only. The paper knows one bar; here every bar's start weighs 0, so
//! a downbeat held over the next bar's empty downbeat is a syncopation of strength 0.

use super::cycle::Cycle;
use super::metrical_hierarchy::Hierarchy;
use crate::rhythm::Tick;

/// A note and the stronger silence after it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Syncopation {
    /// The note's place.
    pub note: Tick,
    /// The heaviest empty place before the next note, the first of several; may lie in the coming pass, and then counts
    /// from there.
    pub rest: Tick,
    /// The difference of their weights, from 0.
    pub strength: u32,
}

/// Every syncopation of the cycle, in order of its note.
pub fn syncopations(cycle: &Cycle) -> Vec<Syncopation> {
    let hierarchy = Hierarchy::of(cycle.metre());
    let places: Vec<(Tick, i32)> = cycle.places().into_iter().map(|at| (at, hierarchy.weight(at))).collect();
    let length = cycle.length();
    let held = |(&note, gap): (&Tick, Tick)| {
        let from = places.partition_point(|&(at, _)| at <= note);
        let after = places.iter().copied().cycle().skip(from).take(places.len().saturating_sub(1));
        let empty = after.take_while(|&(at, _)| (at - note).rem_euclid(length) < gap);
        // The first of equals: `max_by_key` would take the last.
        let (rest, heaviest) = empty.reduce(|best, next| if next.1 > best.1 { next } else { best })?;
        let strength = u32::try_from(heaviest - hierarchy.weight(note)).ok()?;
        Some(Syncopation { note, rest, strength })
    };
    cycle.onsets().iter().zip(cycle.gaps()).filter_map(held).collect()
}

/// The strengths added up, over all bars; 0 for a cycle without syncopation.
pub fn total(cycle: &Cycle) -> u32 {
    syncopations(cycle).iter().map(|pair| pair.strength).sum()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rhythm::Metre;

    #[track_caller]
    fn check(signature: &str, bars: u8, pulse: i64, onsets: &[i64], want: &[(i64, i64, u32)]) {
        let metre = Metre::parse(signature).unwrap();
        let cycle = Cycle::new(&metre, bars, Tick(pulse), onsets.iter().map(|&at| Tick(pulse * at))).unwrap();
        let found: Vec<_> =
            syncopations(&cycle).iter().map(|pair| (pair.note.0 / pulse, pair.rest.0 / pulse, pair.strength)).collect();
        assert_eq!(found, want, "{signature} {onsets:?}");
    }

    #[test]
    fn pairs() {
        check("4/4", 1, 240, &[0, 3, 6, 10, 12], &[(3, 4, 2), (6, 8, 2)]);
        check("4/4", 1, 240, &[], &[]);
        check("4/4", 1, 240, &[14], &[(14, 0, 3)]);
        check("4/4", 1, 960, &[0, 1, 2, 3], &[]);
        check("7/8", 1, 480, &[0, 3, 5], &[(3, 4, 1), (5, 6, 0)]);
        check("4/4", 2, 960, &[0], &[(0, 4, 0)]);
    }

    #[test]
    fn a_triplet_beside_sixteenths_makes_no_silences_for_its_neighbours() {
        let sixteenths = (0..4).map(|index| Tick(240 * index));
        let triplet = (0..3).map(|index| Tick(960 + 320 * index));
        let cycle = Cycle::new(&Metre::parse("2/4").unwrap(), 1, Tick(240), sixteenths.chain(triplet)).unwrap();
        assert_eq!(syncopations(&cycle), []);
    }
}
