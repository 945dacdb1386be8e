//! Pressing's cognitive complexity: what it costs to hold each part of the bar in mind, at every depth of the metre.
//!
//! J. Pressing, "Cognitive complexity and the structure of musical patterns" (1999). At every depth of the metrical
//! hierarchy each part, written with as few pulses as it needs, costs, by the first that fits: 0 if empty or struck only
//! at its start; 1 if all filled; 2 if struck at its start but not on its last pulse; 2 if struck at its start and the next
//! part is not; 3 if struck on its last pulse and the next part at its start; 5 if not struck at its start. The costs are
//! averaged at each depth and the averages added.
//!
//! The paper's own table was not at hand; the rule above is as implemented in one open research program, whose values for
//! a cycle that goes on repeating this gives. In a metre of unequal beats, parts are those of [`Hierarchy`].

use super::cycle::{Cycle, gcd};
use super::metrical_hierarchy::{Hierarchy, divisions};
use crate::rhythm::Tick;

/// A part of the cycle: start and length.
type Span = (Tick, Tick);

/// The cost added over all depths, from 0.
pub fn pressing(cycle: &Cycle) -> f64 {
    let hierarchy = Hierarchy::of(cycle.metre());
    let bar = cycle.metre().bar();
    let in_every_bar = |spans: Vec<Span>| -> Vec<Span> {
        let bars = (0..i64::from(cycle.bars())).map(|index| bar.times(index));
        bars.flat_map(|from| spans.iter().map(move |&(start, length)| (from + start, length))).collect()
    };
    let mut levels: Vec<Vec<Span>> = hierarchy.spans_above_beats().into_iter().map(in_every_bar).collect();
    levels.extend(below_beats(cycle));
    levels.iter().map(|spans| average(cycle, spans)).sum()
}

/// The parts below the beats, down to where every part is one pulse. A beat that comes there earlier stays as it is, and
/// costs nothing.
fn below_beats(cycle: &Cycle) -> Vec<Vec<Span>> {
    let beats = cycle.beats();
    let chains: Vec<Vec<i64>> = beats.iter().map(|beat| divisions(beat.length, beat.unit)).collect();
    let deepest = chains.iter().map(Vec::len).max().unwrap_or(0);
    let level = |depth: usize| {
        let parts = beats.iter().zip(&chains).flat_map(|(beat, chain)| {
            let count: i64 = chain.iter().take(depth).product();
            let length = Tick(beat.length.0 / count);
            (0..count).map(move |index| (beat.start + length.times(index), length))
        });
        parts.collect()
    };
    (1..=deepest).map(level).collect()
}

fn average(cycle: &Cycle, spans: &[Span]) -> f64 {
    let total: u32 = spans.iter().map(|&span| cost(cycle, span)).sum();
    f64::from(total) / spans.len().max(1) as f64
}

fn cost(cycle: &Cycle, (start, length): Span) -> u32 {
    let onsets = cycle.onsets();
    let from = onsets.partition_point(|&at| at < start);
    let inside = || onsets.iter().skip(from).map(|&at| at - start).take_while(|&at| at < length);
    let pulse = inside().fold(length, gcd);
    let (pulses, count) = (length.0 / pulse.0.max(1), inside().count() as i64);
    let strikes = |at: Tick| onsets.binary_search(&at.rem_euclid(cycle.length())).is_ok();
    let (first, last, next) = (strikes(start), strikes(start + length - pulse), strikes(start + length));
    match () {
        () if pulses == 1 => 0,
        () if count == pulses => 1,
        () if first && (!last || !next) => 2,
        () if last && next => 3,
        () => 5,
    }
}
