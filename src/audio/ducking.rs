//! Ducking as the corners of straight lines, laid down piece by piece.
//!
//! The kicks of the next moment are known, those after it may yet be edited; so the line is laid only so far ahead, and
//! nothing laid is ever taken back: cancelling a line under way is where engines differ and clicks come from.

use crate::synth::Tone;
use crate::synth::tone::DUCK_ATTACK_MS;

/// The line of one gain, laid so far.
#[derive(Clone, Debug, Default)]
pub struct Ducking {
    kicks: Vec<f64>,
    laid: f64,
}

impl Ducking {
    /// A line that begins at `from` seconds, open.
    pub fn new(from: f64) -> Ducking {
        Ducking { kicks: Vec::new(), laid: from }
    }

    /// A kick at `time` seconds.
    pub fn kick(&mut self, time: f64) {
        let place = self.kicks.partition_point(|&known| known < time);
        self.kicks.insert(place, time);
    }

    /// The kick at `time` will not come.
    pub fn unkick(&mut self, time: f64) {
        self.kicks.retain(|&known| (known - time).abs() > 1e-9);
    }

    /// The corners (seconds, gain) from where the line ended to `to`, each reached in a straight line from the one
    /// before. Where two ducks meet, the deeper counts.
    pub fn lay(&mut self, tone: &Tone, to: f64) -> Vec<(f64, f64)> {
        if tone.figures.duck_db <= 0.0 || to <= self.laid {
            return Vec::new();
        }
        let down = DUCK_ATTACK_MS / 1000.0;
        let back = down + tone.figures.duck_ms / 1000.0;
        let inside = |time: &f64| self.laid < *time && *time < to;
        let mut times: Vec<f64> =
            self.kicks.iter().flat_map(|&kick| [kick, kick + down, kick + back]).filter(inside).chain([to]).collect();
        times.sort_by(f64::total_cmp);
        let corners = times.into_iter().map(|time| (time, self.gain(tone, time))).collect();
        self.laid = to;
        let laid = self.laid;
        self.kicks.retain(|kick| kick + back > laid);
        corners
    }

    fn gain(&self, tone: &Tone, time: f64) -> f64 {
        self.kicks.iter().map(|kick| tone.duck_gain((time - kick) * 1000.0)).fold(1.0, f64::min)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_pieces_make_the_tones_own_curve() {
        let mut tone = Tone::NEUTRAL;
        (tone.figures.duck_db, tone.figures.duck_ms) = (9.0, 180.0);
        let kicks = [0.5, 0.62, 1.4];
        let mut ducking = Ducking::new(0.0);
        let mut corners = vec![(0.0, 1.0)];
        for piece in 0..80 {
            let now = f64::from(piece) * 0.025;
            // Each kick becomes known a quarter of a second ahead.
            kicks
                .iter()
                .filter(|kick| (now..now + 0.025).contains(&(*kick - 0.2512)))
                .for_each(|kick| ducking.kick(*kick));
            corners.extend(ducking.lay(&tone, now + 0.2));
        }
        assert!(corners.is_sorted_by(|a, b| a.0 <= b.0));
        for pair in corners.windows(2) {
            let [(a, from), (b, to)] = pair else { continue };
            for along in [0.0, 0.5, 1.0] {
                let (time, line) = (a + along * (b - a), from + along * (to - from));
                let want = kicks.iter().map(|kick| tone.duck_gain((time - kick) * 1000.0)).fold(1.0, f64::min);
                let meeting = kicks.iter().any(|kick| (*kick..kick + 0.004).contains(&time));
                assert!((line - want).abs() < if meeting { 0.35 } else { 1e-6 }, "{time}: {line}, {want}");
            }
        }
        assert!(ducking.kicks.is_empty(), "what is over is forgotten");
        assert!(Ducking::new(0.0).lay(&Tone::NEUTRAL, 1.0).is_empty());
    }
}
