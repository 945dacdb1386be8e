//! Maximal evenness: the onsets are spread over the pulses as evenly as whole pulses allow.
//!
//! J. Clough and J. Douthett, "Maximally even sets", J. Music Theory 35 (1991): for every a, the distances from each onset to
//! the a-th after it take one value or two neighbouring ones. It depends on the pulses, see [`Cycle::grid`].

use super::cycle::Cycle;

/// Whether the cycle is maximally even over its pulses. Cycles with fewer than two onsets are.
pub fn is_maximally_even(cycle: &Cycle) -> bool {
    let grid = cycle.grid();
    let length = cycle.length();
    let onsets = cycle.onsets();
    let spread_by = |a: usize| {
        let ends = onsets.iter().copied().cycle().skip(a);
        let spans = onsets.iter().zip(ends).map(|(&from, to)| (to - from).rem_euclid(length));
        let (least, most) =
            spans.fold((length, crate::rhythm::Tick::ZERO), |(least, most), span| (least.min(span), most.max(span)));
        most - least <= grid
    };
    (1..onsets.len()).all(spread_by)
}
