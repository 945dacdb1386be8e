//! Swing density: how many of the places that swing would move are struck.
//!
//! A. Frane, "Swing rhythm in classic drum breaks from hip-hop's breakbeat canon", Music Perception 34 (2017): the share of
//! the even subdivisions at the level of the swing (the second of every two) that hold an event. With low density even a
//! strong swing is hardly heard.

use super::cycle::Cycle;
use crate::rhythm::{Feel, Tick, Written};

/// The share, 0 to 1, of the pairs of `feel` whose moved place (the second half, or the last third where pairs are written
/// in threes) holds an onset; `None` if no whole pair fits in a bar. Take the cycle of all roles together for what the
/// listener hears.
pub fn swing_density(cycle: &Cycle, feel: &Feel) -> Option<f64> {
    let (pair, bar) = (feel.pair(), cycle.metre().bar());
    let moved = match feel.written() {
        Written::Straight => Tick(pair.0 / 2),
        Written::Ternary => Tick(pair.0 * 2 / 3),
    };
    let bars = (0..i64::from(cycle.bars())).map(|index| bar.times(index));
    let places = bars.flat_map(|from| (0..bar.0 / pair.0).map(move |index| from + pair.times(index) + moved));
    let (mut all, mut struck) = (0_u32, 0_u32);
    for at in places {
        all += 1;
        struck += u32::from(cycle.onsets().binary_search(&at).is_ok());
    }
    (all > 0).then(|| f64::from(struck) / f64::from(all))
}
