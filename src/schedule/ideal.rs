//! The slow, direct statement of where every stroke belongs: the yardstick the engine's own starts are held against.

use super::event::{Key, Line};
use crate::rhythm::{Frames, Groove, sounding};

/// Every stroke of the first `passes` passes of `groove`, played whole and unchanged from the frame `anchor` on, with its
/// ideal frame, in order of pass, lane and stroke. It knows nothing of segments and windows.
pub fn ideal(groove: &Groove, rate: f64, anchor: Frames, passes: u32) -> Vec<(Key, Frames)> {
    let hits = sounding::hits(groove);
    let length = groove.pattern.length().as_f64();
    let of_pass = |pass: u32| {
        hits.iter().map(move |hit| {
            let key = Key { pass, line: Line::Lane(hit.lane), stroke: hit.stroke, part: hit.part };
            let seconds = groove.tempo.seconds(f64::from(pass) * length + hit.ticks) + hit.offset;
            (key, anchor + seconds.to_frames(rate))
        })
    };
    (0..passes).flat_map(of_pass).collect()
}
