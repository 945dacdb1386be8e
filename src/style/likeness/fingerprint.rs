//! The fingerprint of a pattern: how often and how loudly each kind of part strikes in each twelfth of a beat, averaged
//! over the bars. It tells in microseconds which styles are worth a closer look.
//!
//! Beats, not ticks, are the scale, so beats in threes are the same whether written in 12/8 or as triplets; bars of two
//! beats are read in pairs. The average over the bars does not change when the loop begins in another bar.

use crate::rhythm::{Pattern, Tick};
use crate::role::{Register, Role};

/// Twelfths hold sixteenths and triplets alike.
const PARTS: usize = 12;
/// How many kinds of part are told apart.
pub const KINDS: usize = 7;
/// How much each kind tells: what carries the beat most, what is added on top least.
const WEIGHTS: [f64; KINDS] = [1.0, 1.0, 0.5, 0.4, 0.5, 0.4, 0.2];
/// The kinds from here on are pitched: a file of drums alone says nothing about them.
const PITCHED: usize = 5;

/// The kind of a role: equivalent instruments share one.
pub const fn kind(role: Role) -> usize {
    match role {
        Role::Kick | Role::SurdoLow | Role::SurdoHigh => 0,
        Role::Snare | Role::Clap | Role::Snap | Role::Rim => 1,
        Role::HatClosed | Role::Ride | Role::Shaker | Role::Guiro | Role::Tambourine => 2,
        Role::HatOpen | Role::HatPedal | Role::Crash => 3,
        Role::Bass | Role::SubBass | Role::LogDrum => 5,
        _ if role.is_pitched() => 6,
        _ => match role.register() {
            Register::Low | Register::Mid | Register::High => 4,
        },
    }
}

/// Mean loudness by kind and twelfth of a beat, 0 to 1.
#[derive(Clone, Debug, PartialEq)]
pub struct Fingerprint {
    beats: usize,
    cells: Vec<f64>,
    /// The sum of the cells of each kind.
    sums: [f64; KINDS],
}

impl Fingerprint {
    /// Of `pattern`; an optional lane counts half.
    pub fn of(pattern: &Pattern) -> Fingerprint {
        let metre = pattern.metre();
        let own = metre.beat_count();
        // A single pair of beats is half of a bar of four; odd loops of such bars go round twice.
        let beats = if own == 2 { 4 } else { own };
        let width = beats * PARTS;
        let turns = if own == 2 && pattern.bars() % 2 == 1 { 2 } else { 1 };
        let rows = (usize::from(pattern.bars()) * own * turns / beats).max(1) as f64;
        let mut cells = vec![0.0; KINDS * width];
        for lane in pattern.lanes() {
            let share = if lane.head.optional { 0.5 } else { 1.0 };
            for stroke in lane.strokes() {
                let bar = stroke.at.div_euclid(metre.bar()) as usize;
                let (beat, start, length) = metre.beat_at(stroke.at.rem_euclid(metre.bar()));
                let inside = (stroke.at.rem_euclid(metre.bar()) - start).as_f64() / length.as_f64();
                let within = (inside * PARTS as f64).round() as usize;
                for turn in 0..turns {
                    let whole = ((bar + turn * usize::from(pattern.bars())) * own + beat) * PARTS + within;
                    let index = kind(lane.head.role) * width + whole % width;
                    if let Some(cell) = cells.get_mut(index) {
                        *cell += share * stroke.loudness.share() / rows;
                    }
                }
            }
        }
        cells.iter_mut().for_each(|cell| *cell = cell.min(1.0));
        // Bars of two may begin with either: both halves are as good.
        if own == 2 {
            for kind in 0..KINDS {
                for cell in 0..width / 2 {
                    let (a, b) = (kind * width + cell, kind * width + cell + width / 2);
                    if let (Some(&first), Some(&second)) = (cells.get(a), cells.get(b)) {
                        for at in [a, b] {
                            cells.get_mut(at).into_iter().for_each(|cell| *cell = (first + second) / 2.0);
                        }
                    }
                }
            }
        }
        let mut sums = [0.0; KINDS];
        sums.iter_mut().zip(cells.chunks(width)).for_each(|(sum, row)| *sum = row.iter().sum());
        Fingerprint { beats, cells, sums }
    }

    /// A number [`Fingerprint::distance`] cannot be below: what two rows share is at most the smaller sum, and all they
    /// strike at least the larger.
    pub fn bound(&self, other: &Fingerprint, pitched: bool) -> f64 {
        if self.beats != other.beats {
            return 1.0;
        }
        let kinds = if pitched { KINDS } else { PITCHED };
        let (mut shared, mut all) = (0.0, 0.0);
        for ((weight, a), b) in WEIGHTS.iter().zip(self.sums).zip(other.sums).take(kinds) {
            shared += weight * a.min(b);
            all += weight * a.max(b);
        }
        if all > 0.0 { 1.0 - shared / all } else { 1.0 }
    }

    /// How far apart two are, 0 to 1: what they do not share of all they strike (M. Deza and E. Deza, "Encyclopedia of
    /// Distances", 2009: Ruzicka). Bars of other lengths are wholly apart. `pitched` says whether pitched parts count.
    pub fn distance(&self, other: &Fingerprint, pitched: bool) -> f64 {
        if self.beats != other.beats {
            return 1.0;
        }
        let width = self.beats * PARTS;
        let (mut apart, mut all) = (0.0, 0.0);
        for (kind, weight) in WEIGHTS.iter().enumerate().take(if pitched { KINDS } else { PITCHED }) {
            let row = kind * width..(kind + 1) * width;
            if let (Some(a), Some(b)) = (self.cells.get(row.clone()), other.cells.get(row)) {
                let (mut less, mut more) = (0.0, 0.0);
                for (a, b) in a.iter().zip(b) {
                    less += a.min(*b);
                    more += a.max(*b);
                }
                apart += weight * (more - less);
                all += weight * more;
            }
        }
        if all > 0.0 { apart / all } else { 1.0 }
    }
}

/// The pattern with its bars turned so that it begins `bars` later, and equivalent roles written as one: for distances.
pub fn plain(pattern: &Pattern, bars: u8) -> Option<Pattern> {
    use crate::rhythm::{Lane, Stroke};
    let length = pattern.length();
    let by = pattern.metre().bar().times(i64::from(bars));
    let lanes = pattern.lanes().iter().map(|lane| {
        let role = match kind(lane.head.role) {
            1 => Role::Snare,
            2 => Role::HatClosed,
            5 => Role::Bass,
            _ => lane.head.role,
        };
        let head = crate::rhythm::LaneHead { role, ..lane.head };
        let turned =
            |stroke: &Stroke| Stroke { at: (stroke.at - by).rem_euclid(length), nudge: Tick::ZERO, ..stroke.clone() };
        Lane::with_strokes(head, lane.strokes().iter().map(turned))
    });
    Pattern::new(pattern.metre().clone(), pattern.bars(), lanes.collect()).ok()
}
