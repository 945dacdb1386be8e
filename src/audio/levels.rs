//! The levels of a kit, set from the groove it is made for: every style equally loud, every voice that belongs to the
//! style heard in its mix. For making kit files and for proving them, never while the page runs.
//!
//! A lane alone is the lane through the tone's filters and ducking, without saturation, room and noise: linear, so that
//! the rest of the mix is the sum of the others.

use super::plan::{Plan, plan};
use crate::rhythm::Groove;
use crate::role::{Register, Role};
use crate::schedule::Start;
use crate::synth::loudness::{gain_of_db, integrated, stroke_lufs, true_peak};
use crate::synth::spectrum::Spectrum;
use crate::synth::{Kit, Tone};
use std::collections::BTreeMap;
use std::sync::Arc;

/// The rate at which kits are measured.
pub const RATE: u32 = 48_000;
/// The programme loudness of every reference groove, LUFS.
pub const LOUDNESS: f64 = -21.0;
/// How far a groove may stray from it to keep its peaks, LU.
pub const TOLERANCE: f64 = 1.0;
/// The true peak no reference groove reaches, dB against full scale.
pub const MOST_PEAK_DB: f64 = -1.0;
/// How far a voice of the style must at least stand out of the rest in the third of an octave where it does so best, dB: 0
/// is as strong there as all the rest together.
pub const CLEAR_DB: f64 = 0.0;
/// The same for a voice the style can do without.
pub const OPTIONAL_CLEAR_DB: f64 = -3.0;
/// How far over these the levels are set where a lane's window allows it, dB.
const AIM_DB: f64 = 3.5;
/// The shortest stretch measured, seconds.
const SECONDS: f64 = 6.0;
/// How often a lane is weighed against the others, which move too.
const ROUNDS: usize = 6;

/// How a role's lane stands in the mix.
#[derive(Clone, Debug, PartialEq)]
pub struct Standing {
    /// The role.
    pub role: Role,
    /// Whether the style can do without it.
    pub optional: bool,
    /// The K-weighted level of its strongest strokes (each's loudest 100 ms) over the loudness of the mix, LU.
    pub level: f64,
    /// How far its strokes, ghosts apart, stand out of the rest in their best third of an octave, dB: the middle one. See
    /// [`CLEAR_DB`].
    pub clear: f64,
    /// Where that is, Hz.
    pub best_hz: f64,
}

/// Whole mix and lanes of a groove with a kit.
#[derive(Clone, Debug, PartialEq)]
pub struct Report {
    /// Programme loudness, LUFS.
    pub loudness: f64,
    /// True peak, dB against full scale.
    pub peak_db: f64,
    /// One entry a role, from the top of the sheet.
    pub lanes: Vec<Standing>,
}

/// The least and the greatest [`Standing::level`] of a role that belongs to its style, LU: the drums that carry the beat
/// lead, cymbals and small percussion stay behind them, pitched parts between.
pub fn window(role: Role) -> (f64, f64) {
    match role {
        Role::Kick | Role::SurdoLow | Role::SurdoHigh | Role::Snare | Role::Clap => (-7.0, 6.0),
        Role::Snap | Role::SurdoThird | Role::TomLow | Role::TomHigh | Role::LogDrum => (-9.0, 5.0),
        Role::SubBass | Role::Bass => (-10.0, 3.0),
        Role::HatClosed | Role::Shaker => (-18.0, -4.0),
        Role::HatOpen | Role::Ride | Role::Crash => (-14.0, -3.0),
        // These sound together with the snare and must be heard beside it.
        Role::HatPedal | Role::Tambourine => (-18.0, 0.0),
        _ => (-15.0, 1.0),
    }
}

/// Measures the reference groove of a style with its kit.
pub fn measure(groove: &Arc<Groove>, kit: &Kit) -> Report {
    let plan = lasting(groove, kit);
    let (loudness, peak_db) = whole(&plan, kit);
    Report { loudness, peak_db, lanes: Lanes::of(&plan, groove, kit).standings() }
}

/// Sets the levels of `kit`: first those of its voices against each other, from the levels they have, then the whole's.
pub fn set(groove: &Arc<Groove>, kit: &mut Kit) {
    let plan = lasting(groove, kit);
    let mut lanes = Lanes::of(&plan, groove, kit);
    for _ in 0..ROUNDS {
        for standing in lanes.standings() {
            let (least, greatest) = window(standing.role);
            let clear = if standing.optional { OPTIONAL_CLEAR_DB } else { CLEAR_DB };
            // What the style can do without, like a kick that is only felt, may be as soft as it is played.
            let least = if standing.optional { -60.0 } else { least };
            // Half a decibel inside, so that rounding to files and the move of the others leave it inside.
            let wanted = match standing.level {
                level if level > greatest - 0.5 => greatest - 0.5 - level,
                level if level < least + 0.5 => least + 0.5 - level,
                level => (clear + AIM_DB - standing.clear).clamp(0.0, greatest - 0.5 - level),
            };
            lanes.turn(standing.role, wanted.clamp(-3.0, 3.0));
        }
    }
    for (role, turned) in &lanes.turned {
        if let Some(voice) = kit.voices.get_mut(role) {
            voice.place.level_db = tenth(voice.place.level_db + turned);
        }
    }
    bring_to_loudness(groove, kit);
    // Where the peaks are too high the loudest voice makes them: a softer one, then the whole up again.
    for _ in 0..8 {
        let Some(loudest) = loudest_of_high_peaks(groove, kit, &lanes) else { return };
        if let Some(voice) = kit.voices.get_mut(&loudest) {
            voice.place.level_db = tenth(voice.place.level_db - 0.7);
        }
        lanes.turn(loudest, -0.7);
        bring_to_loudness(groove, kit);
    }
    let plan = lasting(groove, kit);
    // A mix of hard peaks is rather a little softer than the rest than clipped.
    for _ in 0..(10.0 * TOLERANCE) as u32 - 1 {
        if whole(&plan, kit).1 < MOST_PEAK_DB - 0.05 {
            break;
        }
        kit.tone.figures.level_db = tenth(kit.tone.figures.level_db - 0.1);
    }
}

/// Sets the level of the whole.
fn bring_to_loudness(groove: &Arc<Groove>, kit: &mut Kit) {
    let plan = lasting(groove, kit);
    // The soft clip bends the relation a little; further measurements settle it.
    for _ in 0..4 {
        let (found, _) = whole(&plan, kit);
        kit.tone.figures.level_db = tenth((kit.tone.figures.level_db + LOUDNESS - found).clamp(-30.0, 30.0));
    }
}

/// The role that stands highest, if the peaks are too high.
fn loudest_of_high_peaks(groove: &Arc<Groove>, kit: &Kit, lanes: &Lanes) -> Option<Role> {
    if whole(&lasting(groove, kit), kit).1 < MOST_PEAK_DB - 0.05 {
        return None;
    }
    lanes.standings().into_iter().max_by(|a, b| a.level.total_cmp(&b.level)).map(|standing| standing.role)
}

fn tenth(db: f64) -> f64 {
    (db * 10.0).round() / 10.0
}

/// As many passes as fill [`SECONDS`], two at least: the second has the tails of the first.
fn lasting(groove: &Arc<Groove>, kit: &Kit) -> Plan {
    let seconds = groove.tempo.seconds(groove.pattern.length().as_f64()).0;
    plan(groove, kit, ((SECONDS / seconds).ceil() as u32).clamp(2, 8), Start::default(), RATE)
}

/// Programme loudness and true peak of a whole plan.
fn whole(plan: &Plan, kit: &Kit) -> (f64, f64) {
    let [left, right] = plan.render(kit, &kit.tone, 0.0);
    let from = (plan.origin.0.max(0) as usize).min(left.len());
    let peak = true_peak(&left).max(true_peak(&right));
    (integrated(&[&left[from..], &right[from..]], RATE), 20.0 * f64::from(peak).max(1e-6).log10())
}

/// Each role alone, and how far it has been turned up.
struct Lanes {
    alone: BTreeMap<Role, Alone>,
    turned: BTreeMap<Role, f64>,
    order: Vec<Role>,
}

struct Alone {
    samples: Vec<f32>,
    optional: bool,
    /// Where its strongest strokes of the second pass begin.
    strongest: Vec<usize>,
    /// Where those that are no ghosts begin; all, where all are.
    sounded: Vec<usize>,
}

impl Lanes {
    fn of(plan: &Plan, groove: &Groove, kit: &Kit) -> Lanes {
        let mut linear = Tone { figures: kit.tone.figures, room: Tone::NEUTRAL.room };
        (linear.figures.drive, linear.figures.surface_noise_db, linear.figures.level_db) = (0.0, -120.0, 0.0);
        let mut lanes = Lanes { alone: BTreeMap::new(), turned: BTreeMap::new(), order: Vec::new() };
        for lane in groove.pattern.lanes().iter().filter(|lane| !lane.strokes().is_empty()) {
            let role = lane.head.role;
            if !kit.voices.contains_key(&role) || lanes.order.contains(&role) {
                continue;
            }
            let mut solo = plan.clone();
            solo.events.retain(|planned| planned.voiced.key.role == role || planned.voiced.kick);
            let others = solo.events.iter_mut().filter(|planned| planned.voiced.key.role != role);
            // A silent kick still ducks.
            others.for_each(|planned| planned.voiced.gain = 0.0);
            // A tenth of the level keeps the sum below the bend of the soft clip.
            let scale = gain_of_db(-20.0) as f32;
            solo.events.iter_mut().for_each(|planned| planned.voiced.gain *= scale);
            let [samples, _] = solo.render(kit, &linear, 0.0);
            let own =
                solo.events.iter().filter(|planned| planned.voiced.key.role == role && planned.event.key.pass == 1);
            let strokes: Vec<(usize, u8)> =
                own.map(|planned| (planned.event.frame.0.max(0) as usize, planned.event.loudness.get())).collect();
            let most = strokes.iter().map(|(_, loudness)| *loudness).max().unwrap_or(0);
            let over = |least: u8| strokes.iter().filter(move |(_, loudness)| *loudness >= least).map(|(at, _)| *at);
            let strongest: Vec<usize> = over(most).collect();
            let sounded: Vec<usize> = over(most.min(groove.dynamics.plain.get())).collect();
            lanes.order.push(role);
            lanes.turned.insert(role, 0.0);
            lanes.alone.insert(role, Alone { samples, optional: lane.head.optional, strongest, sounded });
        }
        lanes
    }

    fn turn(&mut self, role: Role, db: f64) {
        if let Some(turned) = self.turned.get_mut(&role) {
            *turned += db;
        }
    }

    /// A role's share of the mix, frame by frame.
    fn turned(&self, role: Role) -> Vec<f32> {
        let gain = gain_of_db(self.turned.get(&role).copied().unwrap_or_default()) as f32;
        self.alone.get(&role).map(|alone| alone.samples.iter().map(|x| gain * x).collect()).unwrap_or_default()
    }

    fn standings(&self) -> Vec<Standing> {
        let shares: Vec<Vec<f32>> = self.order.iter().map(|&role| self.turned(role)).collect();
        let frames = shares.iter().map(Vec::len).max().unwrap_or(0);
        let mix: Vec<f32> = (0..frames).map(|i| shares.iter().filter_map(|share| share.get(i)).sum()).collect();
        let loudness = integrated(&[&mix, &mix], RATE);
        let row = self.order.iter().zip(&shares).filter_map(|(&role, share)| {
            let alone = self.alone.get(&role)?;
            let rest: Vec<f32> = mix.iter().zip(share).map(|(mix, own)| mix - own).collect();
            // Low drums need longer to be themselves.
            let length = if role.register() == Register::Low { 4096 } else { 2048 };
            let span = |from: usize, length: usize| from.min(frames)..(from + length).min(frames);
            let levels =
                alone.strongest.iter().map(|&at| stroke_lufs(&share[span(at, RATE as usize / 8)], RATE) + 3.01);
            let clears =
                alone.sounded.iter().map(|&at| standing_out(&share[span(at, length)], &rest[span(at, length)]));
            let (clear, best_hz) = middle(clears.collect(), |(clear, _)| *clear)?;
            let level = middle(levels.collect(), |level| *level)? - loudness;
            Some(Standing { role, optional: alone.optional, level, clear, best_hz })
        });
        row.collect()
    }
}

fn middle<T: Copy>(mut values: Vec<T>, key: impl Fn(&T) -> f64) -> Option<T> {
    values.sort_by(|a, b| key(a).total_cmp(&key(b)));
    values.get(values.len() / 2).copied()
}

/// The third of an octave in which `own` stands farthest out of `rest`, of those that carry it (within 12 dB of its
/// strongest): by how many dB, and its middle in Hz.
fn standing_out(own: &[f32], rest: &[f32]) -> (f64, f64) {
    let (own, rest) = (Spectrum::of(own, RATE), Spectrum::of(rest, RATE));
    let energy = |spectrum: &Spectrum, middle: f64| -> f64 {
        let (low, high) = (middle / 1.122_46, middle * 1.122_46);
        let bins = (low / spectrum.bin_hz).round() as usize..=(high / spectrum.bin_hz).round() as usize;
        spectrum.powers.get(bins).map_or(0.0, |powers| powers.iter().sum())
    };
    let middles = (0..27).map(|third| 40.0 * 2f64.powf(f64::from(third) / 3.0));
    let bands: Vec<(f64, f64, f64)> = middles.map(|hz| (hz, energy(&own, hz), energy(&rest, hz))).collect();
    let most = bands.iter().map(|(_, own, _)| *own).fold(0.0, f64::max);
    let carrying = bands.iter().filter(|(_, own, _)| *own > 0.063 * most);
    // Below a millionth of the stroke itself nothing hides it.
    let clear = carrying.map(|(hz, own, rest)| (10.0 * (own / rest.max(1e-6 * most).max(1e-18)).log10(), *hz));
    clear.max_by(|a, b| a.0.total_cmp(&b.0)).unwrap_or((-60.0, 0.0))
}
