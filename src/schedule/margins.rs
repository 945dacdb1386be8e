//! How far ahead the schedule looks and what it leaves alone, in one place.

use crate::rhythm::{Frames, Seconds};

/// How far ahead of now events are handed to the audio engine: a pump that comes 250 ms late still finds every event ahead
/// of it.
pub const HORIZON: Seconds = Seconds(0.350);
/// What starts, ends or begins to glide within this time of now is left as it is; edits of tempo, feel and loop take hold
/// this far ahead.
pub const FROZEN: Seconds = Seconds(0.060);
/// The least time between the call of [`super::Transport::start`] and the first thing that sounds.
pub const START: Seconds = Seconds(0.060);
/// How long segments and sounded events stay known after they are over.
pub const MEMORY: Seconds = Seconds(3.0);

/// `margin` in whole frames at `rate` frames a second.
pub fn frames(margin: Seconds, rate: f64) -> Frames {
    margin.to_frames(rate)
}
