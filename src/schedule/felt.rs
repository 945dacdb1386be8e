//! The pulse: where the click and the count-in fall.

use super::transport::Transport;
use crate::rhythm::{Groove, Tempo, Tick};
use std::sync::Arc;

/// Which of the two counts clicks along. The count-in is always in the felt pulse.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum ClickPulse {
    /// The pulse that is felt: 71 a minute in a groove written at 142 and felt in halves.
    #[default]
    Felt,
    /// The count it is written in.
    Written,
}

impl ClickPulse {
    /// The length of this pulse at `tempo`.
    pub fn of(self, tempo: Tempo) -> Tick {
        match self {
            ClickPulse::Felt => tempo.felt(),
            ClickPulse::Written => tempo.unit(),
        }
    }
}

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

/// The pulses of `felt` ticks of one period and the period's length. A pulse that divides the bar, or spans whole bars, is taken as
/// it is; any other (quarters in 7/8) would limp over the bar line, so the beats of the metre are felt instead.
fn period(groove: &Groove, felt: Tick) -> (Tick, Vec<Tick>) {
    let metre = groove.pattern.metre();
    let bar = metre.bar();
    if bar.0 % felt.0 == 0 {
        (bar, (0..bar.0 / felt.0).map(|n| felt.times(n)).collect())
    } else if felt.0 % bar.0 == 0 {
        (felt, vec![Tick::ZERO])
    } else {
        (bar, (0..metre.beat_count()).map(|beat| metre.beat_start(beat)).collect())
    }
}

/// The pulses of `pulse` ticks in one pass, in order.
pub fn pulses(groove: &Groove, pulse: Tick) -> Vec<Pulse> {
    let (period, places) = period(groove, pulse);
    let length = groove.pattern.length();
    let periods = (length.0 + period.0 - 1) / period.0;
    (0..periods)
        .flat_map(|n| (1..).zip(&places).map(move |(number, &place)| Pulse { at: period.times(n) + place, number }))
        .filter(|pulse| pulse.at < length)
        .collect()
}

/// The last `count` felt pulses before the place `at`, in order, as if bars went on before the pattern's start.
pub fn pulses_before(groove: &Groove, at: Tick, count: u32) -> Vec<Pulse> {
    let (period, places) = period(groove, groove.tempo.felt());
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

impl Transport {
    /// Clicks in the other count from now on; clicks that both counts share go on undisturbed.
    pub fn set_click_pulse(&mut self, pulse: ClickPulse) {
        if self.click_pulse == pulse {
            return;
        }
        self.click_pulse = pulse;
        let ticks = pulse.of(self.groove().tempo);
        for segment in &mut self.segments {
            segment.score = Arc::new(segment.score.with_click(&segment.groove, ticks));
        }
        self.version += 1;
    }
}
