//! What speaks for and against a style, in numbers, and how sure they make us.
//!
//! The log odds of a style are a weighted sum of five misfits, each from 0 (fits) up; the weights of such a sum are those
//! of a multinomial logistic regression (D. McFadden, "Conditional logit analysis of qualitative choice behavior", 1974).
//! "None of these" is one more choice, of constant odds.

use super::reading::relabelled;
use super::{HallmarkReason, StyleModel};
use crate::measure::polyphonic_distance::{role_weight, unlikeness};
use crate::rhythm::{Groove, Pattern};
use crate::style::{Condition, Outcome, Rank, SoundLookup, Verdict};

/// How many misfits there are.
pub const MISFITS: usize = 5;

/// Signatures, frames and seasonings not met (shares, 0 to 1), distance to the nearest form (0 to 1), and how far the
/// tempo lies outside the range (octaves, at most 1).
pub type Misfits = [f64; MISFITS];

/// What a whole misfit of each kind costs, in log odds.
///
/// Set by hand, in order of what tells most, and not fitted. `tests/likeness.rs` prints how often they are right against
/// how sure they say they are, on variations that keep the very hallmarks weighed here: a check of the arithmetic and of
/// gross overconfidence, not of how sure to be about playing from elsewhere.
pub const COSTS: Misfits = [9.0, 3.0, 1.0, 9.0, 8.0];
/// The log odds of "none of these"; set by hand likewise.
pub const NONE: f64 = -7.0;

/// What a hallmark speaks of that this groove cannot say: pitched parts in a groove of drums alone.
fn unheard(condition: &Condition, pitched: bool) -> bool {
    let parts = condition.parts();
    !pitched
        && parts
            .iter()
            .any(|part| part.voices().first().is_some_and(|_| part.voices().iter().all(|role| role.is_pitched())))
}

/// How far a verdict is met, 0 to 1.
pub fn met(verdict: &Verdict) -> f64 {
    match verdict.outcome {
        Outcome::Holds => 1.0,
        Outcome::DoesNotApply | Outcome::Unknown => 0.0,
        Outcome::Fails => {
            let (good, bad) = (verdict.met.len() as f64, (verdict.strokes.len() + verdict.places.len()) as f64);
            if good + bad > 0.0 { 0.6 * good / (good + bad) } else { 0.0 }
        }
    }
}

/// Judges every hallmark of `model`, once more with equivalent instruments where it does not hold.
pub fn hallmarks(
    model: &StyleModel,
    groove: &Groove,
    sound: Option<SoundLookup>,
    pitched: bool,
) -> Vec<HallmarkReason> {
    let judge = |hallmark: &crate::style::Hallmark| {
        let mut verdict = hallmark.condition.judge(groove, sound);
        if unheard(&hallmark.condition, pitched) {
            verdict.outcome = Outcome::Unknown;
        }
        if matches!(verdict.outcome, Outcome::Fails | Outcome::DoesNotApply) {
            let voices: Vec<_> = hallmark.condition.parts().iter().flat_map(|part| part.voices()).copied().collect();
            if let Some(read) = relabelled(groove, &voices) {
                let again = hallmark.condition.judge(&read, sound);
                if met(&again) > met(&verdict) {
                    verdict = again;
                }
            }
        }
        HallmarkReason { id: hallmark.id.clone(), rank: hallmark.rank, verdict }
    };
    model.hallmarks.iter().map(judge).collect()
}

/// The share of the hallmarks of one rank that is not met; what is unknown is left out, half if nothing is known.
fn unmet(reasons: &[HallmarkReason], rank: Rank) -> f64 {
    let known = reasons.iter().filter(|reason| reason.rank == rank && reason.verdict.outcome != Outcome::Unknown);
    let (sum, count) = known.fold((0.0, 0.0), |(sum, count), reason| (sum + met(&reason.verdict), count + 1.0));
    let any = reasons.iter().any(|reason| reason.rank == rank);
    if count > 0.0 {
        1.0 - sum / count
    } else if any {
        0.5
    } else {
        0.0
    }
}

/// The distance to the nearest of `forms`; pitched parts count only where the groove has some.
pub fn nearest(forms: &[Pattern], pattern: &Pattern, pitched: bool) -> f64 {
    let weight = |role: crate::role::Role| if !pitched && role.is_pitched() { 0.0 } else { role_weight(role) };
    forms.iter().map(|form| unlikeness(form, pattern, &weight)).fold(1.0, f64::min)
}

/// The misfits of a judged style.
pub fn misfits(reasons: &[HallmarkReason], distance: f64, tempo: f64) -> Misfits {
    let unmet = |rank| unmet(reasons, rank);
    [unmet(Rank::Signature), unmet(Rank::Frame), unmet(Rank::Seasoning), distance, tempo]
}

/// The log odds.
pub fn log_odds(misfits: &Misfits) -> f64 {
    -misfits.iter().zip(COSTS).map(|(misfit, cost)| misfit * cost).sum::<f64>()
}
