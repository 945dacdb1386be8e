//! Euclidean rhythms: k onsets among n pulses by Bjorklund's procedure.
//!
//! G. Toussaint, "The Euclidean algorithm generates traditional musical rhythms", Proc. BRIDGES (2005), after E. Bjorklund
//! (2003): start with k strings of one onset and n - k of one pulse, and go on appending the strings at the tail to those
//! at the head until at most one is left over. The result is maximally even. For some pairs (2 of 3, 3 of 4, 5 of 6, 7 of 8)
//! the procedure gives a rotation of what the paper lists; rhythms are therefore compared as necklaces, that is, whatever
//! pulse they start from.

use super::cycle::Cycle;

/// The most pulses that are computed.
pub const MAX_PULSES: usize = 4096;

/// `onsets` among `pulses`, the first pulse struck unless there are none; `None` if there are more onsets than pulses, or
/// more pulses than [`MAX_PULSES`].
pub fn euclidean(onsets: usize, pulses: usize) -> Option<Vec<bool>> {
    if onsets > pulses || pulses > MAX_PULSES {
        return None;
    }
    let mut heads = vec![vec![true]; onsets];
    let mut tails = vec![vec![false]; pulses - onsets];
    while !heads.is_empty() && tails.len() > 1 {
        let pairs = heads.len().min(tails.len());
        let rest = if heads.len() > pairs { heads.split_off(pairs) } else { tails.split_off(pairs) };
        for (head, tail) in heads.iter_mut().zip(tails) {
            head.extend(tail);
        }
        tails = rest;
    }
    Some(heads.into_iter().chain(tails).flatten().collect())
}

/// Whether two rows of pulses are the same necklace: one is the other from another pulse on.
pub fn is_same_necklace(a: &[bool], b: &[bool]) -> bool {
    let from = |start: usize| a.iter().cycle().skip(start).zip(b).all(|(a, b)| a == b);
    a.len() == b.len() && (a.is_empty() || (0..a.len()).any(from))
}

/// Where the cycle enters its Euclidean necklace: after how many pulses of [`Cycle::grid`] the row of [`euclidean`] begins.
/// `None` for any other rhythm, for a cycle without onsets, and beyond [`MAX_PULSES`].
pub fn euclidean_rotation(cycle: &Cycle) -> Option<usize> {
    let grid = cycle.grid();
    if cycle.onsets().is_empty() || cycle.length().0 / grid.0.max(1) > MAX_PULSES as i64 {
        return None;
    }
    let row = cycle.pulses(grid);
    let necklace = euclidean(cycle.onsets().len(), row.len())?;
    (0..row.len()).find(|&start| row.iter().cycle().skip(start).zip(&necklace).all(|(a, b)| a == b))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rhythm::{Metre, Tick};

    #[test]
    fn rows() {
        let check = |onsets, pulses, want: Option<&str>| {
            let row = euclidean(onsets, pulses);
            let row: Option<String> = row.map(|row| row.into_iter().map(|on| if on { 'x' } else { '.' }).collect());
            assert_eq!(row.as_deref(), want, "{onsets} of {pulses}");
        };
        check(0, 0, Some(""));
        check(0, 4, Some("...."));
        check(1, 4, Some("x..."));
        check(4, 4, Some("xxxx"));
        check(6, 16, Some("x..x.x..x..x.x.."));
        check(5, 4, None);
        check(1, MAX_PULSES + 1, None);
    }

    #[test]
    fn where_a_cycle_begins() {
        let check = |pulse: i64, onsets: &[i64], want: Option<usize>| {
            let onsets = onsets.iter().map(|&at| Tick(pulse * at));
            let cycle = Cycle::new(&Metre::four_four(), 1, Tick(pulse), onsets).unwrap();
            assert_eq!(euclidean_rotation(&cycle), want);
        };
        check(480, &[0, 3, 6], Some(0));
        check(480, &[2, 5, 7], Some(7));
        check(480, &[0, 3, 5], Some(5));
        check(480, &[0, 1, 2], None);
        check(480, &[], None);
    }
}
