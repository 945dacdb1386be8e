//! Where the caret stands: frame to place in the score.

use super::transport::Transport;
use crate::rhythm::Frames;

/// Where the music is at one moment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Caret {
    /// Nothing has been counted yet.
    Waiting,
    /// The count-in.
    CountIn {
        /// The count in its bar as it is spoken, from 1.
        number: u32,
        /// How many pulses are still to come before the first pass.
        left: u32,
    },
    /// The groove. The caret runs evenly in score time by the tempo: the strokes swing, it does not.
    Playing {
        /// The number of the pass; see [`super::Key::pass`].
        pass: u32,
        /// The position in the pattern, in ticks.
        tick: f64,
        /// The bar it lies in, from 0.
        bar: u32,
        /// The beat of that bar, from 0.
        beat: u32,
    },
}

impl Transport {
    /// The caret at `frame` (real: a smoothed clock lies between frames).
    pub fn caret(&self, frame: f64) -> Caret {
        let Some(segment) = self.ruling(Frames(frame.floor() as i64)) else { return Caret::Waiting };
        let (turn, tick) = segment.position(frame, self.rate);
        let part = segment.part_of(turn);
        if turn == 0 && segment.pass == 0 && tick < part.start().as_f64() {
            let begun = self.count_in.iter().take_while(|pulse| pulse.at.as_f64() <= tick).count();
            return match begun.checked_sub(1).and_then(|index| self.count_in.get(index)) {
                None => Caret::Waiting,
                Some(pulse) => Caret::CountIn { number: pulse.number, left: (self.count_in.len() - begun) as u32 },
            };
        }
        let metre = segment.groove.pattern.metre();
        let whole = crate::rhythm::Tick(tick.floor().max(0.0) as i64);
        let (beat, _, _) = metre.beat_at(whole.rem_euclid(metre.bar()));
        Caret::Playing {
            pass: segment.pass_of(turn),
            tick,
            bar: whole.div_euclid(metre.bar()) as u32,
            beat: beat as u32,
        }
    }

    /// The number of the pass at `frame`.
    pub fn pass(&self, frame: Frames) -> u32 {
        self.ruling(frame).map_or(0, |segment| segment.pass_of(segment.position(frame.0 as f64, self.rate).0))
    }
}
