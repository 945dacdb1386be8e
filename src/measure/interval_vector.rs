//! The interval vector: how often each distance around the circle occurs between two onsets.
//!
//! G. Toussaint, "The Geometry of Musical Rhythm" (2013), from the theory of scales (A. Forte, 1973): every pair of onsets
//! counts once, by the shorter way around. A rhythm is *deep* if every distance that occurs does so a number of times of its
//! own (C. Gamer, 1967; the form "1, 2, ... k - 1 times" is the stricter one of P. Erdos).

use super::cycle::Cycle;
use crate::rhythm::Tick;
use std::collections::{BTreeMap, BTreeSet};

/// How many pairs of onsets lie at each distance that occurs. Distances are at most half the cycle.
pub fn intervals(cycle: &Cycle) -> BTreeMap<Tick, usize> {
    let onsets = cycle.onsets();
    let length = cycle.length();
    let mut counts = BTreeMap::new();
    for (index, &from) in onsets.iter().enumerate() {
        for &to in onsets.iter().skip(index + 1) {
            let distance = to - from;
            *counts.entry(distance.min(length - distance)).or_insert(0) += 1;
        }
    }
    counts
}

/// The same over the pulses of [`Cycle::grid`]: the count for a distance of 1 pulse, of 2 ... of half the cycle.
pub fn interval_vector(cycle: &Cycle) -> Vec<usize> {
    let (grid, counts) = (cycle.grid(), intervals(cycle));
    let half = cycle.length().0 / 2 / grid.0.max(1);
    (1..=half).map(|pulses| counts.get(&grid.times(pulses)).copied().unwrap_or(0)).collect()
}

/// How many different gaps there are between neighbours.
pub fn distinct_gaps(cycle: &Cycle) -> usize {
    cycle.gaps().into_iter().collect::<BTreeSet<_>>().len()
}

/// Whether every distance occurs a number of times of its own. Cycles with fewer than two onsets are deep.
pub fn is_deep(cycle: &Cycle) -> bool {
    let counts = intervals(cycle);
    counts.values().collect::<BTreeSet<_>>().len() == counts.len()
}
