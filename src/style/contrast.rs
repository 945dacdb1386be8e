//! Contrast: in what two grooves differ, what tells most first.
//!
//! Each [`Difference`] is one respect: tempo, count, metre, swing, a lean, the places of one part, the sound of one voice or
//! of the mix. It carries the edits that change the first groove in that respect alone, so that it can be heard. The
//! strokes themselves are laid on one time axis by [`axis`].
//!
//! What a hallmark of either style rests on tells most: a difference that touches a signature comes before one that
//! touches a frame, that before seasoning, and within each the larger before the smaller ([`Difference::size`]).

pub mod audible;
pub mod axis;
pub mod pairing;
mod demonstration;
mod part;
mod subject;

use super::{Hallmark, Outcome, Rank, SoundLookup};
use crate::rhythm::{Edit, Feel, Groove, Id, LaneId, Lean, Metre, Tempo};
use crate::role::Role;
pub use audible::{Audible, SoundChange};
pub use axis::{Axis, Line, Mark, Spot};
pub use part::PartChange;

/// One of the two grooves.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Side {
    /// The first.
    A,
    /// The second.
    B,
}

/// A groove with what is known of its style and its sound.
#[derive(Clone, Copy)]
pub struct Compared<'a> {
    /// The groove.
    pub groove: &'a Groove,
    /// The hallmarks of its style; none for a groove of no style.
    pub hallmarks: &'a [Hallmark],
    /// What its sound was measured to be.
    pub sound: Option<SoundLookup<'a>>,
}

/// In what two grooves differ.
#[derive(Clone, Debug, PartialEq)]
pub enum Finding {
    /// How fast the same note value goes by. The count may differ too.
    Tempo {
        /// Of the first.
        from: Tempo,
        /// Of the second.
        to: Tempo,
    },
    /// What is counted, or what is felt: note values, at whatever speed.
    Count {
        /// Of the first.
        from: Tempo,
        /// Of the second.
        to: Tempo,
    },
    /// The metre of a bar.
    Metre {
        /// Of the first.
        from: Metre,
        /// Of the second.
        to: Metre,
    },
    /// How many bars go by before it begins again.
    Bars {
        /// Of the first.
        from: u8,
        /// Of the second.
        to: u8,
    },
    /// Swing: which pairs, and how long to short.
    Swing {
        /// Of the first.
        from: Feel,
        /// Of the second.
        to: Feel,
    },
    /// Places in the beat that come early or late by themselves.
    Shifts {
        /// Of the first.
        from: Feel,
        /// Of the second.
        to: Feel,
    },
    /// How early or late a part both have leans.
    Lean {
        /// Which lane of the first.
        lane: LaneId,
        /// Whose.
        role: Role,
        /// Of the first.
        from: Lean,
        /// Of the second.
        to: Lean,
    },
    /// Where and how one part plays; or that only one groove has it.
    Part(PartChange),
    /// What one voice that both play, or the whole mix, sounds like.
    Sound {
        /// Whose; `None` for the mix.
        voice: Option<Role>,
        /// The measures that differ by a margin at least, the plainest first.
        changes: Vec<SoundChange>,
    },
    /// Other drums or another tone, of which nothing was measured.
    Kit {
        /// Whether the drums are others.
        drums: bool,
        /// Whether the tone is another.
        tone: bool,
        /// Whether the tape runs at another speed.
        speed: bool,
    },
}

/// A hallmark that rests on a difference: it holds on its own side and not on the other.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Concerned {
    /// Whose style's.
    pub side: Side,
    /// Which.
    pub hallmark: Id,
    /// How much it tells.
    pub rank: Rank,
}

/// One difference.
#[derive(Clone, Debug, PartialEq)]
pub struct Difference {
    /// What.
    pub finding: Finding,
    /// How large, to rank those that touch the same rank of hallmark: about 1 for what is plainly heard.
    pub size: f64,
    /// The hallmarks that rest on it, signatures first.
    pub concerns: Vec<Concerned>,
    /// The edits that change the first groove in this respect alone, as far as its own bars allow; none for strokes of the
    /// second that lie past the end of its bars.
    pub demonstration: Vec<Edit>,
}

impl Difference {
    /// The rank of the hallmark that tells most of those it touches.
    pub fn rank(&self) -> Option<Rank> {
        let most = self.concerns.iter().max_by_key(|concerned| weight(Some(concerned.rank)));
        most.map(|concerned| concerned.rank)
    }
}

fn weight(rank: Option<Rank>) -> u8 {
    match rank {
        Some(Rank::Signature) => 3,
        Some(Rank::Frame) => 2,
        Some(Rank::Seasoning) => 1,
        None => 0,
    }
}

/// The differences of two grooves, and their strokes side by side.
#[derive(Clone, Debug, PartialEq)]
pub struct Contrast {
    /// What tells most first. Empty only for equal grooves, or such as differ only in how they are written.
    pub differences: Vec<Difference>,
    /// All strokes on one time axis.
    pub axis: Axis,
}

/// Sets `b` against `a`.
pub fn contrast(a: Compared, b: Compared) -> Contrast {
    let axis = Axis::of(a.groove, b.groove);
    let mut findings = time(a.groove, b.groove);
    findings.extend(leans(a.groove, b.groove, &axis));
    let parts = axis.lines.iter().filter_map(|line| part::change(a.groove, b.groove, line, &axis));
    findings.extend(parts.map(|(change, size)| (Finding::Part(change), size)));
    findings.extend(sound(a, b));
    let lost = [lost(Side::A, a, b), lost(Side::B, b, a)].concat();
    let made = |(finding, size): (Finding, f64)| {
        let touched = lost.iter().filter(|(hallmark, _)| subject::rests_on(&hallmark.condition, &finding));
        let mut concerns: Vec<Concerned> = touched
            .map(|&(hallmark, side)| Concerned { side, hallmark: hallmark.id.clone(), rank: hallmark.rank })
            .collect();
        concerns.sort_by_key(|concerned| core::cmp::Reverse(weight(Some(concerned.rank))));
        let demonstration = demonstration::edits(a.groove, b.groove, &finding);
        Difference { finding, size, concerns, demonstration }
    };
    let mut differences: Vec<Difference> = findings.into_iter().map(made).collect();
    differences.sort_by(|x, y| weight(y.rank()).cmp(&weight(x.rank())).then(y.size.total_cmp(&x.size)));
    Contrast { differences, axis }
}

/// The hallmarks of `own` that hold there and not in `other`.
fn lost<'a>(side: Side, own: Compared<'a>, other: Compared<'a>) -> Vec<(&'a Hallmark, Side)> {
    let lost = |hallmark: &&Hallmark| {
        hallmark.condition.judge(own.groove, own.sound).outcome == Outcome::Holds
            && hallmark.condition.judge(other.groove, other.sound).outcome != Outcome::Holds
    };
    own.hallmarks.iter().filter(lost).map(|hallmark| (hallmark, side)).collect()
}

/// Tempo, count, metre, bars and feel, each with its size.
fn time(a: &Groove, b: &Groove) -> Vec<(Finding, f64)> {
    let mut findings = Vec::new();
    let octaves = (a.tempo.tick_seconds() / b.tempo.tick_seconds()).log2().abs();
    // Less is a tempo rounded to a hundredth in another count.
    if octaves > 5e-4 {
        // A tenth of an octave (7 %) is plainly heard.
        findings.push((Finding::Tempo { from: a.tempo, to: b.tempo }, 10.0 * octaves));
    }
    if (a.tempo.unit(), a.tempo.felt()) != (b.tempo.unit(), b.tempo.felt()) {
        let felt = if a.tempo.felt() == b.tempo.felt() { 0.25 } else { 1.5 };
        findings.push((Finding::Count { from: a.tempo, to: b.tempo }, felt));
    }
    let (own, other) = (a.pattern.metre(), b.pattern.metre());
    if own != other {
        findings.push((Finding::Metre { from: own.clone(), to: other.clone() }, 6.0));
    }
    if a.pattern.bars() != b.pattern.bars() {
        findings.push((Finding::Bars { from: a.pattern.bars(), to: b.pattern.bars() }, 0.1));
    }
    let (own, other) = (&a.feel, &b.feel);
    let swing = |feel: &Feel| (feel.pair(), feel.written(), feel.swing());
    if swing(own) != swing(other) && !(is_even(own) && is_even(other)) {
        findings.push((Finding::Swing { from: own.clone(), to: other.clone() }, swing_ms(a, b) / audible::SHIFT_MS));
    }
    if own.shifts() != other.shifts() {
        let most = |feel: &Feel| feel.shifts().iter().map(|shift| shift.tenths.unsigned_abs()).max().unwrap_or(0);
        let size = f64::from(most(own).max(most(other))) / 30.0;
        findings.push((Finding::Shifts { from: own.clone(), to: other.clone() }, size));
    }
    findings
}

/// Whether the swing changes nothing.
pub(crate) fn is_even(feel: &Feel) -> bool {
    feel.swing() == feel.neutral() && feel.written() == crate::rhythm::Written::Straight
}

/// How much later the second of a pair comes in one groove than in the other, in ms at the first's tempo; swings of
/// different pairs by the larger.
fn swing_ms(a: &Groove, b: &Groove) -> f64 {
    let late = |feel: &Feel| (feel.swing().share() - 0.5) * feel.pair().as_f64();
    let ticks = if a.feel.pair() == b.feel.pair() {
        (late(&a.feel) - late(&b.feel)).abs()
    } else {
        late(&a.feel).max(late(&b.feel))
    };
    a.tempo.seconds(ticks).ms()
}

fn leans(a: &Groove, b: &Groove, axis: &Axis) -> Vec<(Finding, f64)> {
    let of = |line: &Line| {
        let (own, other) = (a.pattern.lane(line.a?)?, b.pattern.lane(line.b?)?);
        let (from, to) = (own.head.lean, other.head.lean);
        let size = (from.ms() - to.ms()).abs() / audible::SHIFT_MS;
        (from != to).then_some((Finding::Lean { lane: own.id, role: own.head.role, from, to }, size))
    };
    axis.lines.iter().filter_map(of).collect()
}

fn sound(a: Compared, b: Compared) -> Vec<(Finding, f64)> {
    let changes = audible::sound_changes((a.groove, a.sound), (b.groove, b.sound));
    let mut findings: Vec<(Finding, f64)> = Vec::new();
    for change in changes {
        // Each voice gathers what is to be said of it; the plainest came first.
        let known = findings.iter_mut().find_map(|(finding, _)| match finding {
            Finding::Sound { voice, changes } if *voice == change.voice => Some(changes),
            _ => None,
        });
        match known {
            Some(changes) => changes.push(change),
            None => {
                // However far apart, a sound tells no more than a part that plays elsewhere.
                let size = (change.margins / 3.0).min(3.0);
                findings.push((Finding::Sound { voice: change.voice, changes: vec![change] }, size));
            }
        }
    }
    let (own, other) = (&a.groove.sound, &b.groove.sound);
    if own != other && findings.is_empty() {
        let (drums, tone, speed) = (own.kit != other.kit, own.tone != other.tone, own.speed != other.speed);
        findings.push((Finding::Kit { drums, tone, speed }, 0.5));
    }
    findings
}
