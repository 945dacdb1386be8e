//! What a hallmark rests on: whether a condition speaks of what a finding is about.

use super::Finding;
use crate::style::{Condition, SoundMeasure};

/// Whether `condition`, or a part of it, speaks of what differs in `finding`.
pub fn rests_on(condition: &Condition, finding: &Finding) -> bool {
    condition.parts().iter().any(|part| single(part, finding))
}

fn single(condition: &Condition, finding: &Finding) -> bool {
    match (condition, finding) {
        (Condition::Tempo { .. }, Finding::Tempo { .. }) => true,
        (Condition::Tempo { .. } | Condition::Metre { .. }, Finding::Count { .. }) => false,
        (Condition::Metre { .. } | Condition::BeatDivision { .. }, Finding::Metre { .. }) => true,
        (
            Condition::Swings { .. } | Condition::Straight { .. } | Condition::BeatDivision { .. },
            Finding::Swing { .. },
        ) => true,
        (Condition::PositionsEarly { .. }, Finding::Shifts { .. }) => true,
        (Condition::Leans { voices, .. }, Finding::Lean { role, .. }) => voices.contains(role),
        (Condition::Sounds { voice, measure, .. }, Finding::Sound { voice: of, changes }) => {
            let of_mix = matches!(measure, SoundMeasure::NoiseFloor | SoundMeasure::Room | SoundMeasure::Bandwidth);
            (voice == of || (of_mix && of.is_none())) && changes.iter().any(|change| change.measure == *measure)
        }
        (Condition::Sounds { .. }, Finding::Kit { .. }) => true,
        (Condition::Sounds { .. } | Condition::Leans { .. }, Finding::Part(_)) => false,
        (other, Finding::Part(change)) => change.roles().any(|role| other.voices().contains(&role)),
        _ => false,
    }
}
