//! The beat-upbeat ratio: how long the first part of a swung pair is to the second.
//!
//! F. Benadon, "Slicing the beat", Ethnomusicology 50 (2006); C. Corcoran and K. Frieler, "Playing it straight", Music
//! Perception 38 (2021): (u - b1) / (b2 - u) for the single stroke u between two beats. 1 is straight, 2 the triplet; a beat
//! with no upbeat or several has no ratio. Few upbeats hide a swing, so say [`super::swing_density`] beside it.

use crate::rhythm::sounding::played;
use crate::rhythm::{Groove, Lane, Tick};

/// The ratios between each two of `beats` (rising) with the `upbeats` strictly between them, in any unit of time; `None`
/// where there is not exactly one.
pub fn beat_upbeat_ratios(beats: &[f64], upbeats: &[f64]) -> Vec<Option<f64>> {
    let between = |two: &[f64]| {
        let (start, end) = (two[0], two[1]);
        let mut inside = upbeats.iter().filter(|&&at| start < at && at < end);
        match (inside.next(), inside.next()) {
            (Some(at), None) => Some((at - start) / (end - at)),
            _ => None,
        }
    };
    beats.windows(2).map(between).collect()
}

/// The ratios of one lane as it is played, for every pair of the feel ([`crate::rhythm::Feel::pair`]) that fits in its bar.
/// The beats are the even pairs of the score; the upbeats are strokes written inside a pair, swung, shifted and nudged. A
/// lane's lean moves all of it and is no swing.
pub fn of_lane(groove: &Groove, lane: &Lane) -> Vec<Option<f64>> {
    let (pair, bar) = (groove.feel.pair(), groove.pattern.metre().bar());
    let bars = (0..i64::from(groove.pattern.bars())).map(|index| bar.times(index));
    let pairs = bars.flat_map(|from| (0..bar.0 / pair.0).map(move |index| from + pair.times(index)));
    let ratio = |start: Tick| {
        let inside = |at: Tick| start < at && at < start + pair;
        let strokes = lane.strokes().iter().filter(|stroke| inside(stroke.at));
        let upbeats: Vec<f64> = strokes.map(|stroke| played(groove, lane, stroke.at) + stroke.nudge.as_f64()).collect();
        beat_upbeat_ratios(&[start.as_f64(), (start + pair).as_f64()], &upbeats).into_iter().next().flatten()
    };
    pairs.map(ratio).collect()
}

/// The median of the ratios between 1/4 and 4, the usual bounds: outside them the stroke is hardly an upbeat. `None` if
/// there is none.
pub fn median(ratios: &[Option<f64>]) -> Option<f64> {
    let mut ratios: Vec<f64> = ratios.iter().flatten().copied().filter(|&ratio| 0.25 < ratio && ratio < 4.0).collect();
    ratios.sort_by(f64::total_cmp);
    let upper = *ratios.get(ratios.len() / 2)?;
    let lower = *ratios.get((ratios.len() - 1) / 2)?;
    Some((lower + upper) / 2.0)
}

/// The long part's share of the pair in percent: 50 for 1, 66.7 for 2.
pub fn percent(ratio: f64) -> f64 {
    100.0 * ratio / (1.0 + ratio)
}
