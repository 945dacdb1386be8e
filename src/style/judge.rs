//! Judging: whether a condition holds for a groove, and which strokes and places make it so.
//!
//! Places are resolved through the metre, so a condition holds over any grid. A loop has no first bar of its own: phrases
//! of several bars are tried in every alignment, the parts of one condition all in the same, and the one that comes
//! nearest counts. Only conditions of time look at nudges and leans; a roll counts as one stroke, on its first place.

mod line;
mod number;
mod place;
mod time;

use super::condition::{Condition, SoundMeasure};
use crate::rhythm::{Groove, LaneId, StrokeId, Tick};
use crate::role::Role;

/// What became of a condition.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Outcome {
    /// It is true.
    Holds,
    /// It speaks of a sound, and no sound was given that could be measured.
    Unknown,
    /// The groove has nothing it speaks of: no such beat in its metre, no stroke of a line that should keep a place empty
    /// or lean. It supports nothing.
    DoesNotApply,
    /// It is false.
    Fails,
}

/// What became of a condition, and by which strokes and places.
#[derive(Clone, Debug, PartialEq)]
pub struct Verdict {
    /// Whether it holds.
    pub outcome: Outcome,
    /// The strokes concerned: where it holds those that make it hold, else those at fault. In order of lane, then place.
    pub strokes: Vec<(LaneId, StrokeId)>,
    /// The empty places concerned: where it fails those that should be struck, where it holds those that are kept empty.
    /// The lane is the first of the condition's voices, `None` if the groove has no such lane.
    pub places: Vec<(Option<LaneId>, Tick)>,
    /// The strokes that are as the condition wants them, whatever its outcome.
    pub met: Vec<(LaneId, StrokeId)>,
    /// The number it was judged by, in the condition's own unit: strokes (of the bar that is furthest off), percent, BPM,
    /// milliseconds, ticks or a sound's measure.
    pub found: Option<f64>,
}

/// Looks a measured property of one voice (or, for `None`, of the whole mix) up; `None` where it is not known.
pub type SoundLookup<'a> = &'a dyn Fn(Option<Role>, SoundMeasure) -> Option<f64>;

impl Verdict {
    /// Nothing but an outcome.
    fn bare(outcome: Outcome) -> Verdict {
        Verdict { outcome, strokes: Vec::new(), places: Vec::new(), met: Vec::new(), found: None }
    }

    /// A verdict that turns on a number alone.
    fn figure(holds: bool, found: f64) -> Verdict {
        Verdict { found: Some(found), ..Verdict::bare(if holds { Outcome::Holds } else { Outcome::Fails }) }
    }

    /// How far off it is: to choose the nearest of several.
    fn distance(&self) -> (Outcome, usize) {
        (self.outcome, self.strokes.len() + self.places.len())
    }

    /// Takes the strokes and places of `other` along.
    fn join(&mut self, other: Verdict) {
        self.strokes.extend(other.strokes);
        self.places.extend(other.places);
        self.met.extend(other.met);
        self.found = self.found.or(other.found);
    }

    fn tidy(mut self) -> Verdict {
        for strokes in [&mut self.strokes, &mut self.met] {
            strokes.sort_unstable();
            strokes.dedup();
        }
        self.places.sort_unstable();
        self.places.dedup();
        self
    }
}

impl Condition {
    /// Judges `groove`. Without `sound`, conditions of sound are [`Outcome::Unknown`].
    pub fn judge(&self, groove: &Groove, sound: Option<SoundLookup>) -> Verdict {
        let judged = (0..self.alignments()).map(|shift| self.judge_at(groove, sound, shift));
        judged.min_by_key(Verdict::distance).unwrap_or_else(|| Verdict::bare(Outcome::DoesNotApply)).tidy()
    }

    /// Judges `groove` part by part, all in the alignment that comes nearest for the whole; one verdict a part.
    pub fn judge_parts(&self, groove: &Groove, sound: Option<SoundLookup>) -> Vec<Verdict> {
        let nearest =
            (0..self.alignments()).min_by_key(|&shift| self.judge_at(groove, sound, shift).distance()).unwrap_or(0);
        self.parts().iter().map(|part| part.judge_at(groove, sound, nearest).tidy()).collect()
    }

    /// In how many ways the bars of the loop can be laid against the condition's phrases; of phrases that only a long row
    /// of loops would bring together again, the first 56.
    fn alignments(&self) -> usize {
        self.parts()
            .iter()
            .filter_map(|part| part.places())
            .map(|places| places.bars().max(1))
            .fold(1, line::least_common)
            .min(56)
    }

    /// Judges with bar 0 of the loop laid on bar `shift` of every phrase.
    fn judge_at(&self, groove: &Groove, sound: Option<SoundLookup>, shift: usize) -> Verdict {
        match self {
            Condition::All(parts) => {
                let verdicts: Vec<Verdict> = parts.iter().map(|part| part.judge_at(groove, sound, shift)).collect();
                let outcome = verdicts.iter().map(|verdict| verdict.outcome).max().unwrap_or(Outcome::DoesNotApply);
                let mut whole = Verdict::bare(outcome);
                for mut verdict in verdicts {
                    // Where the whole fails, its strokes are those at fault.
                    if outcome != verdict.outcome {
                        verdict.strokes.clear();
                        verdict.places.clear();
                    }
                    whole.join(verdict);
                }
                whole
            }
            Condition::OneOf(parts) => {
                let verdicts = parts.iter().map(|part| part.judge_at(groove, sound, shift));
                // One that fails can be mended; one that does not apply tells nothing.
                let rank = |verdict: &Verdict| match verdict.outcome {
                    Outcome::Fails => (Outcome::DoesNotApply, verdict.distance().1),
                    Outcome::DoesNotApply => (Outcome::Fails, 0),
                    _ => verdict.distance(),
                };
                verdicts.min_by_key(rank).unwrap_or_else(|| Verdict::bare(Outcome::DoesNotApply))
            }
            single => single.judge_single(groove, sound, shift),
        }
    }

    fn judge_single(&self, groove: &Groove, sound: Option<SoundLookup>, shift: usize) -> Verdict {
        match self {
            Condition::Strikes { voices, places, touch } => {
                place::strikes(groove, voices, places, *touch, shift, false)
            }
            Condition::OnlyOn { voices, places, touch } => place::strikes(groove, voices, places, *touch, shift, true),
            Condition::KeptEmpty { voices, places, touch } => place::kept_empty(groove, voices, places, *touch, shift),
            Condition::SomeOf { voices, places, touch, at_least, per } => {
                let quota = place::Quota { at_least: usize::from(*at_least), per: *per };
                place::some_of(groove, voices, places, *touch, shift, quota)
            }
            Condition::Displaced { voices, places, within, at_least } => {
                place::displaced(groove, voices, places, shift, *within, usize::from(*at_least))
            }
            Condition::Every { voices, pulse, touch } => place::every(groove, voices, *pulse, *touch),
            Condition::OffTheBeat { voices, percent } => place::off_the_beat(groove, voices, *percent),
            Condition::FollowsCell { voices, cell, pulse, touch, only } => {
                place::follows_cell(groove, voices, place::Cell { groups: cell, pulse: *pulse }, *touch, *only)
            }
            Condition::Count { voices, touch, per, min, max } => {
                number::count(groove, voices, *touch, *per, number::Range { min: *min, max: *max })
            }
            Condition::Rolls { voices, per, min, max } => {
                number::rolls(groove, voices, *per, number::Range { min: *min, max: *max })
            }
            Condition::Chain { voices, gaps, at_least } => number::chain(groove, voices, gaps, usize::from(*at_least)),
            Condition::Tuplets { voices, at_least } => number::tuplets(groove, voices, usize::from(*at_least)),
            Condition::Slides { voices, at_least } => number::slides(groove, voices, usize::from(*at_least)),
            Condition::OctaveLeaps { voices, at_least } => number::octave_leaps(groove, voices, usize::from(*at_least)),
            Condition::Sustains { voices, at_least } => number::sustains(groove, voices, *at_least),
            Condition::Tempo { min, max, unit } => time::tempo(groove, *min, *max, *unit),
            Condition::Metre { any_of } => {
                let holds = any_of.contains(groove.pattern.metre());
                Verdict::bare(if holds { Outcome::Holds } else { Outcome::Fails })
            }
            Condition::BeatDivision { parts } => time::beat_division(groove, i64::from(*parts)),
            Condition::Swings { pair, min, max } => time::swings(groove, *pair, *min, *max),
            Condition::Straight { max } => time::straight(groove, *max),
            Condition::Leans { voices, min, max } => time::leans(groove, voices, *min, *max),
            Condition::PositionsEarly { at } => time::positions_early(groove, at),
            Condition::Sounds { voice, measure, min, max } => sounds(groove, sound, *voice, *measure, (*min, *max)),
            // Parts have no parts themselves.
            Condition::All(_) | Condition::OneOf(_) => Verdict::bare(Outcome::DoesNotApply),
        }
    }
}

fn sounds(
    groove: &Groove,
    sound: Option<SoundLookup>,
    voice: Option<Role>,
    measure: SoundMeasure,
    (min, max): (Option<f64>, Option<f64>),
) -> Verdict {
    if voice.is_some_and(|role| line::Line::of(groove, &[role]).strokes.is_empty()) {
        return Verdict::bare(Outcome::DoesNotApply);
    }
    match sound.and_then(|lookup| lookup(voice, measure)) {
        Some(found) => {
            let holds = min.is_none_or(|min| found >= min) && max.is_none_or(|max| found <= max);
            // For ever is no figure to tell.
            if found.is_finite() {
                Verdict::figure(holds, found)
            } else {
                Verdict::bare(if holds { Outcome::Holds } else { Outcome::Fails })
            }
        }
        None => Verdict::bare(Outcome::Unknown),
    }
}
