//! Povel and Essens: how well a pattern's accents point to one steady clock.
//!
//! D.-J. Povel and P. Essens, "Perception of temporal patterns", Music Perception 2 (1985). Without any stress, an isolated
//! onset is heard as accented, so is the second of two neighbours, and so are the first and last of three or more. A clock
//! that falls on silence or on an unaccented onset has evidence against it: C = 4 silences + 1 unaccented. The clock with
//! the least of it is the one heard; the pattern is the harder to hold the larger that C is.
//!
//! Open in the sources, and read here so: neighbours are one pulse of [`Cycle::grid`] apart; groups close around the
//! circle; a cycle filled throughout has no groups, so all its onsets count as accented; the clocks tried divide the cycle
//! and are no longer than its longest beat (a longer one would win without being felt). So read, C follows the ratings of
//! Shmulevich & Povel (2000) with Spearman .741, the figure reported for it.

use super::cycle::Cycle;
use crate::rhythm::Tick;

/// A steady clock through the cycle and what speaks against it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Clock {
    /// The distance between its ticks.
    pub unit: Tick,
    /// Its first tick.
    pub offset: Tick,
    /// How often it falls on silence.
    pub on_silence: u32,
    /// How often it falls on an onset without accent.
    pub on_unaccented: u32,
}

impl Clock {
    /// C, the weighted evidence against the clock.
    pub fn counter_evidence(self) -> u32 {
        4 * self.on_silence + self.on_unaccented
    }
}

/// The onsets that are heard as accented, in order.
pub fn accents(cycle: &Cycle) -> Vec<Tick> {
    let grid = cycle.grid();
    let gaps = cycle.gaps();
    let next_to: Vec<bool> = gaps.iter().map(|&gap| gap == grid && gaps.len() > 1).collect();
    if next_to.iter().all(|&next| next) {
        return cycle.onsets().to_vec();
    }
    let count = next_to.len();
    let joins = |index: usize| next_to[index % count];
    let is_accented = |index: usize| {
        let (before, after) = (joins(index + count - 1), joins(index));
        match (before, after) {
            (false, false) => true,
            // The first of a group: of three or more, not of two.
            (false, true) => joins(index + 1),
            (true, false) => true,
            (true, true) => false,
        }
    };
    cycle.onsets().iter().enumerate().filter(|(index, _)| is_accented(*index)).map(|(_, &at)| at).collect()
}

/// The clock with the least evidence against it; of equals the longest, then the earliest. `None` for a cycle without
/// onsets.
pub fn best_clock(cycle: &Cycle) -> Option<Clock> {
    if cycle.onsets().is_empty() {
        return None;
    }
    let grid = cycle.grid();
    let onsets = cycle.pulses(grid);
    let mut accented = vec![false; onsets.len()];
    for at in accents(cycle) {
        accented[(at.0 / grid.0) as usize] = true;
    }
    let longest = cycle.metre().beats().max().map_or(1, |beat| (beat.0 / grid.0) as usize);
    let units = (1..=longest.min(onsets.len())).rev().filter(|unit| onsets.len().is_multiple_of(*unit));
    let clocks = units.flat_map(|unit| (0..unit).map(move |offset| (unit, offset)));
    let judged = clocks.map(|(unit, offset)| {
        let mut clock = Clock { unit: grid.times(unit as i64), offset: grid.times(offset as i64), ..NO_EVIDENCE };
        for (onset, accent) in onsets.iter().zip(&accented).skip(offset).step_by(unit) {
            clock.on_silence += u32::from(!onset);
            clock.on_unaccented += u32::from(*onset && !accent);
        }
        clock
    });
    judged.min_by_key(|clock| clock.counter_evidence())
}

const NO_EVIDENCE: Clock = Clock { unit: Tick::ZERO, offset: Tick::ZERO, on_silence: 0, on_unaccented: 0 };

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rhythm::Metre;

    #[track_caller]
    fn check(row: &str, accented: &str, clock: (i64, i64, u32)) {
        let places = |text: &str| -> Vec<Tick> {
            text.chars().enumerate().filter(|(_, c)| *c == 'x').map(|(index, _)| Tick(240 * index as i64)).collect()
        };
        let metre = Metre::new(&vec![Tick(960); row.len() / 4]).unwrap();
        let cycle = Cycle::new(&metre, 1, Tick(240), places(row)).unwrap();
        assert_eq!(accents(&cycle), places(accented), "{row}");
        let best = best_clock(&cycle).unwrap();
        assert_eq!((best.unit.0 / 240, best.offset.0 / 240, best.counter_evidence()), clock, "{row}");
    }

    #[test]
    fn accents_and_clocks() {
        check("x...x...x...x...", "x...x...x...x...", (4, 0, 0));
        check("x.xxx..x.xx.....", "x.x.x..x..x.....", (4, 0, 8));
        check("xxxxxxxxxxxxxxxx", "xxxxxxxxxxxxxxxx", (4, 0, 0));
        check("xx.............x", ".x.............x", (4, 1, 12));
        check("..x...x...x...x.", "..x...x...x...x.", (4, 2, 0));
    }
}
