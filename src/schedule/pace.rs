//! Playing slower than written, for learning: the groove stays as it is, only the clock it is laid on goes slower.

use super::transport::Transport;
use crate::rhythm::sounding::hits;
use crate::rhythm::{Bpm, Frames, Groove, Tempo, Tick};
use std::sync::Arc;

/// The share of the written tempo that is played, in whole percent from 50 to 100.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Pace(u8);

impl Pace {
    /// As written.
    pub const FULL: Pace = Pace(100);
    /// Half the written tempo: slower than that a groove falls apart into single strokes.
    pub const SLOWEST: Pace = Pace(50);

    /// The pace nearest to `percent`.
    pub fn clamped(percent: u8) -> Pace {
        Pace(percent.clamp(Pace::SLOWEST.0, Pace::FULL.0))
    }

    /// In percent of the written tempo.
    pub const fn percent(self) -> u8 {
        self.0
    }

    /// As a share of the written tempo: 0.5 to 1.
    pub fn share(self) -> f64 {
        f64::from(self.0) / 100.0
    }

    /// `tempo` at this pace. Where that has fewer than 20 counts a minute it is counted in halves of them; the felt pulse
    /// stays.
    pub fn of(self, tempo: Tempo) -> Tempo {
        let (mut bpm, mut unit) = (tempo.bpm.get() * self.share(), tempo.unit());
        while bpm < Bpm::MIN.get() && unit.0 % 240 == 0 {
            (bpm, unit) = (bpm * 2.0, Tick(unit.0 / 2));
        }
        Tempo::new(Bpm::clamped(bpm), unit, tempo.felt()).unwrap_or(tempo)
    }
}

impl Default for Pace {
    fn default() -> Pace {
        Pace::FULL
    }
}

/// A groove as it is played: at its pace, and with leans and the gaps of flams so many times as long as written.
#[derive(Clone, Debug)]
pub(super) struct Paced {
    pub groove: Arc<Groove>,
    pub stretch: f64,
}

impl Paced {
    /// `groove` at `pace`. Leans and gaps keep their milliseconds, unless a stroke would pass another one that way (a late
    /// snare after a ghost note at full tempo, before it at half): then they grow as the beats do.
    pub fn new(groove: &Arc<Groove>, pace: Pace) -> Paced {
        if pace == Pace::FULL {
            return Paced { groove: Arc::clone(groove), stretch: 1.0 };
        }
        let tempo = pace.of(groove.tempo);
        let stretch = if keeps_order(groove, tempo) { 1.0 } else { tempo.tick_seconds() / groove.tempo.tick_seconds() };
        Paced { groove: Arc::new(Groove { tempo, ..Groove::clone(groove) }), stretch }
    }
}

/// Whether all hits, over the seam too, follow each other at `tempo` as they do at the groove's own.
fn keeps_order(groove: &Groove, tempo: Tempo) -> bool {
    let (hits, length) = (hits(groove), groove.pattern.length().as_f64());
    let at = |tempo: Tempo, ticks: f64, offset: f64| tempo.seconds(ticks).0 + offset;
    let mut times: Vec<(f64, f64)> = [0.0, length]
        .iter()
        .flat_map(|pass| hits.iter().map(move |hit| (pass + hit.ticks, hit.offset.0)))
        .map(|(ticks, offset)| (at(groove.tempo, ticks, offset), at(tempo, ticks, offset)))
        .collect();
    times.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
    let mut latest = f64::NEG_INFINITY;
    times.iter().all(|&(_, slow)| {
        let follows = slow >= latest - 1e-6;
        latest = latest.max(slow);
        follows
    })
}

impl Transport {
    /// Plays at another pace from 60 ms after `now` on, the position continuous.
    pub fn set_pace(&mut self, pace: Pace, now: Frames) {
        if self.pace != pace {
            self.pace = pace;
            self.relay(now, false);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(bpm: f64, unit: i64, percent: u8, want_bpm: f64, want_unit: i64) {
        let tempo = Tempo::new(Bpm::new(bpm).unwrap(), Tick(unit), Tick(1920)).unwrap();
        let slower = Pace::clamped(percent).of(tempo);
        assert_eq!(slower, Tempo::new(Bpm::new(want_bpm).unwrap(), Tick(want_unit), Tick(1920)).unwrap());
    }

    #[test]
    fn a_pace_is_a_share_of_the_tempo() {
        check(142.0, 960, 100, 142.0, 960);
        check(142.0, 960, 70, 99.4, 960);
        check(92.5, 960, 50, 46.25, 960);
        check(142.0, 960, 10, 71.0, 960);
        check(142.0, 960, 200, 142.0, 960);
        check(30.0, 960, 50, 30.0, 480);
        check(20.0, 1440, 50, 20.0, 720);
    }
}
