//! The draft a learner starts from.

use crate::rhythm::{Bpm, Dynamics, Feel, Groove, Lane, LaneHead, Metre, Pattern, Sound, Tempo, Tick, Tonic};
use crate::role::Role;

/// The lanes of a new draft from top to bottom: what most grooves need, all empty.
const LANES: [Role; 6] = [Role::HatOpen, Role::HatClosed, Role::Clap, Role::Snare, Role::Kick, Role::Bass];

/// Two empty bars of 4/4 in sixteenths at 92 quarter notes a minute, on the boom-bap kit.
pub fn blank() -> Groove {
    let lanes = LANES.into_iter().map(|role| Lane::new(LaneHead::new(role, Tick::SIXTEENTH))).collect();
    let metre = Metre::four_four();
    let pattern = Pattern::new(metre.clone(), 2, lanes);
    let kit: crate::rhythm::Id = "boom-bap".parse().unwrap_or_else(|_| unreachable!("a plain identifier"));
    Groove {
        pattern: pattern.unwrap_or_else(|_| unreachable!("six lanes of two bars are a pattern")),
        tempo: Tempo::quarters(Bpm::clamped(92.0)),
        feel: Feel::straight(),
        dynamics: Dynamics::DEFAULT,
        tonic: Tonic::DEFAULT,
        sound: Sound::of(kit),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_blank_draft_is_a_groove() {
        let draft = blank();
        assert_eq!(draft.pattern.lanes().len(), LANES.len());
        assert!(draft.pattern.lanes().iter().all(|lane| lane.strokes().is_empty()));
        assert!(LANES.is_sorted_by_key(|role| role.score_rank()));
    }
}
