//! Match by ear: a hidden sound, a learner's sound, and how far apart ears would say they are.
//!
//! The distance of two voices is reckoned in **just-noticeable differences**. Each dial's position becomes a number of
//! such differences on its own scale (Weber's law: a ratio, not a difference), by these figures:
//!
//! | dial | one difference | source |
//! |---|---|---|
//! | pitch | 1 % of a note, 3 % of a short drum, 6 % of bronze | B. C. J. Moore, "Frequency difference limens for short-duration tones", JASA 54, 1973 |
//! | length, swell | 15 % (over 10 ms) | S. M. Abel, "Duration discrimination of noise and tone bursts", JASA 51, 1972 |
//! | brightness | 6 % of a band, 12 % of an edge | E. J. Allen and A. J. Oxenham, JASA 135, 2014, for a spectral centroid; an edge moves it less |
//! | levels of a part, drive | 2 dB | 1 dB alone (W. Jesteadt, C. Wier, D. Green, JASA 61, 1977), twice that among others |
//! | fall of pitch | 1 semitone | a short glide is told coarsely (as pitch of a short drum) |
//! | grain | 12 % of the clock | as an edge |

use super::controls::Scale;
use super::dials::{Dial, control_of, dials, position, set, value};
use super::drive::gain;
use super::noise::Noise;
use super::patch::{Model, Patch};

/// Where a figure lies on the scale of its dial, in just-noticeable differences from an arbitrary zero.
pub fn audible(patch: &Patch, dial: Dial) -> Option<f64> {
    let control = control_of(patch, dial)?;
    let position = position(patch, dial)?;
    let field = value(patch, control.lead)?;
    Some(match (dial, control.scale) {
        (Dial::Dirt, _) => decibels(1.0 + gain(field)) / 2.0,
        (Dial::Pitch, Scale::Even) => field * SEMITONE / weber(0.01),
        (Dial::Pitch, _) => field.max(1.0).ln() / weber(pitch_share(&patch.model)),
        (Dial::Drop, Scale::Even) => field,
        (Dial::Drop, _) => 0.48 * position,
        // A hold lasts as the longest sound, a filter left out lets all through.
        (Dial::Length, _) => (if field > 0.0 { field } else { 6000.0 }).ln() / weber(0.15),
        (Dial::Swell, _) => (field + 10.0).ln() / weber(0.15),
        (Dial::Brightness, _) if control.lead.starts_with("finish") => {
            (if field > 0.0 { field } else { 20_000.0 }).ln() / weber(0.12)
        }
        (Dial::Brightness, _) => field.max(1.0).ln() / weber(0.06),
        (Dial::Grain, _) => -(if field > 0.0 { field } else { 32_000.0 }).min(32_000.0).ln() / weber(0.12),
        _ => decibels(0.05 + field) / 2.0,
    })
}

/// The natural logarithm of a semitone.
const SEMITONE: f64 = 0.057_762_265;

fn weber(share: f64) -> f64 {
    share.ln_1p()
}

fn decibels(amplitude: f64) -> f64 {
    20.0 * amplitude.max(1e-6).log10()
}

/// The least change of pitch heard: tones that last are told finely, drums coarsely, bronze more coarsely still.
fn pitch_share(model: &Model) -> f64 {
    match model {
        Model::Sub(_) | Model::LogDrum(_) | Model::Bell(_) => 0.01,
        Model::Cymbal(_) | Model::Tambourine(_) => 0.06,
        _ => 0.03,
    }
}

/// How much `theirs` lies above `own` on `dial`, in just-noticeable differences; 0 where either has no such dial.
pub fn difference(own: &Patch, theirs: &Patch, dial: Dial) -> f64 {
    match (audible(own, dial), audible(theirs, dial)) {
        (Some(a), Some(b)) => b - a,
        _ => 0.0,
    }
}

/// The root mean square of the differences over all dials of `a`, in just-noticeable differences.
pub fn distance(a: &Patch, b: &Patch) -> f64 {
    let dials = dials(a);
    root_mean(a, b, &dials, dials.len())
}

fn root_mean(a: &Patch, b: &Patch, dials: &[Dial], count: usize) -> f64 {
    let sum: f64 = dials.iter().map(|&dial| difference(a, b, dial).powi(2)).sum();
    (sum / count.max(1) as f64).sqrt()
}

/// A sound to be found by ear.
#[derive(Clone, Debug, PartialEq)]
pub struct Riddle {
    /// Where the learner starts: a voice of a kit.
    pub start: Patch,
    /// The sound to be found.
    pub hidden: Patch,
    /// The dials that were moved, in the order of [`Dial::ALL`]: those the learner is given.
    pub moved: Vec<Dial>,
}

/// Least and most that a dial is moved, in just-noticeable differences.
const MOVES: (f64, f64) = (5.0, 14.0);

impl Riddle {
    /// Hides a sound: `moves` dials (1 to 4) of `start` moved by a clearly audible amount. The same `seed` hides the
    /// same sound.
    pub fn new(start: &Patch, moves: usize, seed: u32) -> Riddle {
        let mut chance = Noise::new(seed, 48_000.0);
        let mut left = dials(start);
        let (mut hidden, mut moved) = (*start, Vec::new());
        while moved.len() < moves.clamp(1, 4) && !left.is_empty() {
            let dial = left.remove(((chance.chance() * left.len() as f64) as usize).min(left.len() - 1));
            let aim = MOVES.0 + chance.chance() * (MOVES.1 - MOVES.0);
            let up = chance.chance() < 0.5;
            let found = [up, !up].into_iter().find_map(|up| away(&hidden, dial, aim, up));
            if let Some(patch) = found {
                hidden = patch;
                moved.push(dial);
            }
        }
        moved.sort();
        Riddle { start: *start, hidden, moved }
    }

    /// How far `own` is from the hidden sound: the root of the summed squares of all differences over the number of
    /// hidden moves, in just-noticeable differences, so that a wrong move elsewhere counts like a missing one.
    pub fn distance(&self, own: &Patch) -> f64 {
        root_mean(&self.hidden, own, &dials(&self.hidden), self.moved.len())
    }

    /// 0 to 100: 100 for the same, 96 at one just-noticeable difference, 50 at five.
    pub fn score(&self, own: &Patch) -> f64 {
        100.0 / (1.0 + (self.distance(own) / 5.0).powi(2))
    }

    /// What is still to be heard between `own` and the hidden sound, the most audible first; differences that could not
    /// be heard are left out.
    pub fn findings(&self, own: &Patch) -> Vec<Finding> {
        findings(&self.hidden, own)
    }
}

/// Patches `dial` of `patch` away by `aim` just-noticeable differences upward or downward; `None` if the dial ends first.
fn away(patch: &Patch, dial: Dial, aim: f64, up: bool) -> Option<Patch> {
    let from = position(patch, dial)?;
    let off = |to: f64| difference(patch, &set(patch, dial, to), dial).abs();
    let end = if up { 99.9 } else { 0.1 };
    if (up && from > end) || (!up && from < end) || off(end) < aim {
        return None;
    }
    let (mut near, mut far) = (from, end);
    for _ in 0..40 {
        let middle = 0.5 * (near + far);
        if off(middle) < aim { near = middle } else { far = middle }
    }
    Some(set(patch, dial, far))
}

/// One audible difference.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Finding {
    /// On which dial.
    pub dial: Dial,
    /// How much too high, long, hard ... in just-noticeable differences; negative: too low, short, soft.
    pub by: f64,
    /// The same in the measure people speak of.
    pub amount: Amount,
}

/// A difference in the measure people speak of.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Amount {
    /// Semitones above (of pitch and its fall).
    Semitones(f64),
    /// How many times as long, high, fast.
    Times(f64),
    /// Positions of the dial.
    Positions(f64),
}

/// What could be heard between the `hidden` sound and `own`, the most audible first.
pub fn findings(hidden: &Patch, own: &Patch) -> Vec<Finding> {
    let mut found: Vec<Finding> = dials(hidden)
        .into_iter()
        .filter_map(|dial| {
            let by = difference(hidden, own, dial);
            (by.abs() > 1.0).then(|| amount(hidden, own, dial)).flatten().map(|amount| Finding { dial, by, amount })
        })
        .collect();
    found.sort_by(|a, b| b.by.abs().total_cmp(&a.by.abs()));
    found
}

fn amount(hidden: &Patch, own: &Patch, dial: Dial) -> Option<Amount> {
    let control = control_of(hidden, dial)?;
    let (a, b) = (value(hidden, control.lead)?, value(own, control.lead)?);
    let places = position(own, dial)? - position(hidden, dial)?;
    Some(match (dial, control.scale) {
        (Dial::Pitch | Dial::Drop, Scale::Even) => Amount::Semitones(b - a),
        (Dial::Pitch, _) if a > 0.0 && b > 0.0 => Amount::Semitones(12.0 * (b / a).log2()),
        (Dial::Drop, _) => Amount::Semitones(0.48 * places),
        (Dial::Length | Dial::Brightness, _) if a > 0.0 && b > 0.0 => Amount::Times(b / a),
        _ => Amount::Positions(places),
    })
}
