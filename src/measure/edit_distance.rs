//! Edit distance: the fewest pulses to put in, take out or change to make one pattern of another.
//!
//! V. Levenshtein (1966) over rows of pulses; for rhythms G. Toussaint (2004). Both cycles are written over their common
//! grid; past [`MAX_PULSES`] over the next coarser one, for the work grows with the square; strokes on one
//! pulse of that are one. A metric among rows over one
//! grid; a finer grid makes moving a stroke dearer.

use super::cycle::{Alongside, Cycle, gcd};
use super::hamming::hamming;
use crate::rhythm::Tick;

/// The most pulses a row is written over.
pub const MAX_PULSES: i64 = 2048;

/// The distance of two cycles. The shorter is repeated to the longer's length.
pub fn edit_distance(a: &Cycle, b: &Cycle) -> usize {
    let common = gcd(a.grid(), b.grid());
    let most = hamming(a, b);
    let Alongside { a, b, length, .. } = Alongside::new(a, b);
    let fits = |grid: &Tick| length.0 % grid.0.max(1) == 0 && length.0 / grid.0.max(1) <= MAX_PULSES;
    let grid = (1..=length.0).map(|times| common.times(times)).find(fits).unwrap_or(length);
    let row = |onsets: &[Tick]| {
        let mut row = vec![false; (length.0 / grid.0.max(1)) as usize];
        for at in onsets {
            if let Some(pulse) = row.get_mut((at.0 / grid.0.max(1)) as usize) {
                *pulse = true;
            }
        }
        row
    };
    banded(&row(&a), &row(&b), most)
}

/// Levenshtein's distance of two rows of one length that is known not to exceed `most`. Only the cells within `most` of
/// the diagonal are looked at: a path that leaves the band costs more.
fn banded(a: &[bool], b: &[bool], most: usize) -> usize {
    let far = most + 1;
    let mut above: Vec<usize> = (0..=b.len()).map(|j| if j <= most { j } else { far }).collect();
    let mut row = vec![far; b.len() + 1];
    for (i, on) in a.iter().enumerate().map(|(i, on)| (i + 1, on)) {
        let first = i.saturating_sub(most).max(1);
        let last = (i + most).min(b.len());
        row[first - 1] = if first == 1 && i <= most { i } else { far };
        for j in first..=last {
            let changed = above[j - 1] + usize::from(on != &b[j - 1]);
            row[j] = changed.min(above[j] + 1).min(row[j - 1] + 1).min(far);
        }
        if let Some(outside) = row.get_mut(last + 1) {
            *outside = far;
        }
        core::mem::swap(&mut above, &mut row);
    }
    above.last().copied().unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The definition, without a band.
    fn slow(a: &[bool], b: &[bool]) -> usize {
        let (Some((x, a_rest)), Some((y, b_rest))) = (a.split_last(), b.split_last()) else { return a.len() + b.len() };
        let changed = slow(a_rest, b_rest) + usize::from(x != y);
        changed.min(slow(a_rest, b) + 1).min(slow(a, b_rest) + 1)
    }

    #[test]
    fn the_band_changes_nothing() {
        let row = |bits: u32| -> Vec<bool> { (0..6).map(|bit| bits >> bit & 1 == 1).collect() };
        for (a, b) in (0..64).flat_map(|a| (0..64).map(move |b| (row(a), row(b)))) {
            let most = a.iter().zip(&b).filter(|(a, b)| a != b).count();
            assert_eq!(banded(&a, &b, most), slow(&a, &b), "{a:?} {b:?}");
        }
    }

    #[test]
    fn rows_stay_short_on_any_ticks() {
        use crate::rhythm::Metre;
        let every = |ticks: i64| {
            let onsets = (0..600).map(|index| Tick(index * ticks + index % 7));
            Cycle::new(&Metre::four_four(), 8, Tick(240), onsets).unwrap()
        };
        let (a, b) = (every(37), every(41));
        assert_eq!((a.grid(), b.grid()), (Tick(1), Tick(1)));
        let distance = edit_distance(&a, &b);
        assert_eq!(distance, edit_distance(&b, &a));
        assert!(0 < distance && distance <= hamming(&a, &b), "{distance}");
        assert_eq!(edit_distance(&a, &a), 0);
    }
}
