//! The felt pulse: where the click and the count-in fall.

use crate::rhythm::{Groove, Tick};

/// One pulse of the click.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Pulse {
    /// Its place in the pattern; before the first stroke in a count-in.
    pub at: Tick,
    /// Its number in the bar as it is counted aloud, from 1.
    pub number: u32,
}

impl Pulse {
    /// Whether it is the first of its bar.
    pub const fn accent(self) -> bool {
        self.number == 1
    }
}

/// The felt pulses of one period and the period's length. A pulse that divides the bar, or spans whole bars, is taken as
/// it is; any other (quarters in 7/8) would limp over the bar line, so the beats of the metre are felt instead.
fn period(groove: &Groove) -> (Tick, Vec<Tick>) {
    let metre = groove.pattern.metre();
    let (bar, felt) = (metre.bar(), groove.tempo.felt());
    if bar.0 % felt.0 == 0 {
        (bar, (0..bar.0 / felt.0).map(|n| felt.times(n)).collect())
    } else if felt.0 % bar.0 == 0 {
        (felt, vec![Tick::ZERO])
    } else {
        (bar, (0..metre.beat_count()).map(|beat| metre.beat_start(beat)).collect())
    }
}

/// The felt pulses of one pass, in order.
pub fn pulses(groove: &Groove) -> Vec<Pulse> {
    let (period, places) = period(groove);
    let length = groove.pattern.length();
    let periods = (length.0 + period.0 - 1) / period.0;
    (0..periods)
        .flat_map(|n| (1..).zip(&places).map(move |(number, &place)| Pulse { at: period.times(n) + place, number }))
        .filter(|pulse| pulse.at < length)
        .collect()
}

/// The last `count` felt pulses before the place `at`, in order, as if bars went on before the pattern's start.
pub fn pulses_before(groove: &Groove, at: Tick, count: u32) -> Vec<Pulse> {
    let (period, places) = period(groove);
    let here = at.div_euclid(period);
    let mut pulses: Vec<Pulse> = (0_i64..)
        .flat_map(|back| {
            let numbered = places.iter().enumerate().rev();
            numbered.map(move |(n, &place)| Pulse { at: period.times(here - back) + place, number: n as u32 + 1 })
        })
        .filter(|pulse| pulse.at < at)
        .take(count as usize)
        .collect();
    pulses.reverse();
    pulses
}
