//! Licence: the freedom a player has. A seeded variation of a groove that is still the same style.
//!
//! Optional lanes may fall silent, ghost notes come and go, a fill may end the loop, the tempo lies anywhere in the range,
//! strokes come a little early or late and a little louder or softer. No change is kept that breaks a frame or signature
//! hallmark which held before.

use super::{Hallmark, Outcome, Rank, SoundLookup};
use crate::rhythm::{Bpm, Edit, Groove, Loudness, Strength, Stroke, Tick};
use crate::role::Role;

/// Numbers from a seed (G. Steele, D. Lea, C. Flood, "Fast splittable pseudorandom number generators", 2014: SplitMix64).
#[derive(Clone, Debug)]
pub struct Dice(u64);

impl Dice {
    /// Dice that fall alike for one seed.
    pub const fn new(seed: u64) -> Dice {
        Dice(seed)
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// From 0 to below 1.
    pub fn share(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// From `-most` to `most`.
    pub fn around(&mut self, most: f64) -> f64 {
        (2.0 * self.share() - 1.0) * most
    }

    /// From 0 to below `count`.
    pub fn below(&mut self, count: usize) -> usize {
        (self.share() * count as f64) as usize
    }
}

/// The hallmarks that held and must go on holding.
fn kept<'a>(groove: &Groove, hallmarks: &'a [Hallmark], sound: Option<SoundLookup>) -> Vec<&'a Hallmark> {
    let holds = |hallmark: &&Hallmark| {
        hallmark.rank != Rank::Seasoning && hallmark.condition.judge(groove, sound).outcome == Outcome::Holds
    };
    hallmarks.iter().filter(holds).collect()
}

/// A variation of `groove` within its licence: the same for the same seed. The tempo lies from `slowest` to `fastest`.
pub fn licensed(
    groove: &Groove,
    hallmarks: &[Hallmark],
    (slowest, fastest): (Bpm, Bpm),
    sound: Option<SoundLookup>,
    seed: u64,
) -> Groove {
    let mut dice = Dice::new(seed);
    let must = kept(groove, hallmarks, sound);
    let mut varied = groove.clone();
    let bpm = slowest.get() + dice.share() * (fastest.get() - slowest.get());
    let mut edits = vec![Edit::SetTempo(groove.tempo.at(Bpm::clamped(bpm)))];
    edits.extend(silences(groove, &mut dice));
    edits.extend(ghosts(groove, &mut dice));
    edits.extend(fill(groove, &mut dice));
    keep_what_holds(&mut varied, edits, &must, sound);
    // Only what is still there is touched.
    let touched = touches(&varied, &mut dice);
    keep_what_holds(&mut varied, touched, &must, sound);
    varied
}

/// Makes each of `edits` that breaks none of the hallmarks.
fn keep_what_holds(groove: &mut Groove, edits: Vec<Edit>, must: &[&Hallmark], sound: Option<SoundLookup>) {
    for edit in edits {
        let mut tried = groove.clone();
        let fits = tried.apply(&edit).is_ok();
        if fits && must.iter().all(|hallmark| hallmark.condition.judge(&tried, sound).outcome == Outcome::Holds) {
            *groove = tried;
        }
    }
}

/// Optional lanes fall silent.
fn silences(groove: &Groove, dice: &mut Dice) -> Vec<Edit> {
    let lanes = groove.pattern.lanes().iter();
    lanes.filter(|lane| lane.head.optional && dice.share() < 0.4).map(|lane| Edit::RemoveLane(lane.id)).collect()
}

/// Ghost notes go, and others come between the snare's strokes.
fn ghosts(groove: &Groove, dice: &mut Dice) -> Vec<Edit> {
    let mut edits = Vec::new();
    for lane in groove.pattern.lanes() {
        let ghost = |stroke: &&Stroke| groove.dynamics.strength(stroke.loudness) == Strength::Ghost;
        let gone = lane.strokes().iter().filter(ghost).filter(|_| dice.share() < 0.25);
        edits.extend(gone.map(|stroke| Edit::Clear(lane.id, stroke.at)).collect::<Vec<_>>());
        if lane.head.role == Role::Snare {
            for _ in 0..dice.below(4) {
                let places = (groove.pattern.length().0 / lane.head.pulse.0.max(1)) as usize;
                let at = lane.head.pulse.times(dice.below(places) as i64);
                if lane.at(at).is_none() {
                    edits.push(Edit::Put(lane.id, Stroke::new(at, groove.dynamics.ghost)));
                }
            }
        }
    }
    edits
}

/// In one of three, snare and toms fill the last beat.
fn fill(groove: &Groove, dice: &mut Dice) -> Vec<Edit> {
    if dice.share() > 0.33 {
        return Vec::new();
    }
    let metre = groove.pattern.metre();
    let last = groove.pattern.length() - metre.bar() + metre.beat_start(metre.beat_count().saturating_sub(1));
    let plays = |role| matches!(role, Role::Snare | Role::TomHigh | Role::TomLow | Role::Clap);
    let Some(lane) = groove.pattern.lanes().iter().rev().find(|lane| plays(lane.head.role)) else { return Vec::new() };
    let places = (groove.pattern.length() - last).0 / lane.head.pulse.0.max(1);
    let struck = (0..places).filter(|_| dice.share() < 0.6).map(|place| last + lane.head.pulse.times(place));
    let empty = struck.filter(|&at| lane.at(at).is_none());
    let put = |at: Tick| Edit::Put(lane.id, Stroke::new(at, groove.dynamics.plain));
    empty.map(put).collect()
}

/// Strokes come up to 8 ms early or late, and up to 6 louder or softer within their strength. One edit a lane.
fn touches(groove: &Groove, dice: &mut Dice) -> Vec<Edit> {
    let touched = |lane: &crate::rhythm::Lane, dice: &mut Dice| {
        let touched = lane.strokes().iter().map(|stroke| {
            let wanted = Loudness::clamped(i32::from(stroke.loudness.get()) + dice.around(6.0).round() as i32);
            let same = groove.dynamics.strength(wanted) == groove.dynamics.strength(stroke.loudness);
            let loudness = if same { wanted } else { stroke.loudness };
            let most = (lane.head.nudge_limit().0 - 1).max(0);
            let jitter = groove.tempo.ticks(crate::rhythm::Seconds::from_ms(dice.around(8.0))).round() as i64;
            let nudge = Tick((stroke.nudge.0 + jitter).clamp(-most, most));
            Stroke { loudness, nudge, ..stroke.clone() }
        });
        Edit::Several(touched.map(|stroke| Edit::Put(lane.id, stroke)).collect())
    };
    groove.pattern.lanes().iter().map(|lane| touched(lane, dice)).collect()
}
