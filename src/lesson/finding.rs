//! Findings: what in a learner's groove is not as its task asks.

use crate::rhythm::{Groove, Strength, Tick};
use crate::role::Role;
use crate::style::Condition;

/// One thing that is not as it should be.
#[derive(Clone, Debug, PartialEq)]
pub enum Finding {
    /// A stroke is missing.
    Missing {
        /// Of this role.
        role: Role,
        /// Here.
        at: Tick,
    },
    /// A stroke is there that should not be.
    Extra {
        /// Of this role.
        role: Role,
        /// Here.
        at: Tick,
    },
    /// A stroke stands beside its place.
    Moved {
        /// Of this role.
        role: Role,
        /// Where it belongs.
        at: Tick,
        /// Where it stands, from where it belongs; negative is too early.
        by: Tick,
    },
    /// A stroke is where it belongs, but too loud or too soft.
    Strength {
        /// Of this role.
        role: Role,
        /// Here.
        at: Tick,
        /// How strong it is.
        is: Strength,
        /// How strong it should be.
        wanted: Strength,
    },
    /// A part of the goal that is no matter of single places does not hold.
    Unmet {
        /// Which.
        part: Condition,
        /// The number it was judged by; see [`crate::style::Verdict::found`].
        found: Option<f64>,
    },
}

/// A stroke this far from an empty place may have been meant for it: half a quarter note.
const BESIDE: Tick = Tick(480);

impl Finding {
    /// What findings are told by: the place, the score from top to bottom; what has no place comes last.
    pub fn order(&self) -> (Tick, usize) {
        match self {
            Finding::Missing { role, at }
            | Finding::Extra { role, at }
            | Finding::Moved { role, at, .. }
            | Finding::Strength { role, at, .. } => (*at, role.score_rank()),
            Finding::Unmet { .. } => (Tick(i64::MAX), 0),
        }
    }
}

/// What is missing and what is too much as findings; a stroke too much beside one that is missing has moved. The nearest
/// go together first, and each stroke is told once.
pub fn pair_up(mut missing: Vec<(Role, Tick)>, mut extra: Vec<(Role, Tick)>, groove: &Groove) -> Vec<Finding> {
    missing.sort_by_key(|(_, at)| *at);
    extra.sort_by_key(|(_, at)| *at);
    let length = groove.pattern.length();
    // The shorter way around the loop.
    let way = |from: Tick, to: Tick| {
        let ahead = (to - from).rem_euclid(length);
        if ahead.times(2) > length { ahead - length } else { ahead }
    };
    let mut pairs: Vec<(Tick, usize, usize, Tick)> = Vec::new();
    for (m, (_, at)) in missing.iter().enumerate() {
        for (e, (_, stands)) in extra.iter().enumerate() {
            let by = way(*at, *stands);
            let distance = Tick(by.0.abs());
            if distance <= BESIDE {
                pairs.push((distance, m, e, by));
            }
        }
    }
    pairs.sort_unstable();
    let (mut placed, mut used) = (vec![false; missing.len()], vec![false; extra.len()]);
    let mut findings = Vec::new();
    for (_, m, e, by) in pairs {
        if !placed[m] && !used[e] {
            (placed[m], used[e]) = (true, true);
            findings.push(Finding::Moved { role: extra[e].0, at: missing[m].1, by });
        }
    }
    let left = |all: &[(Role, Tick)], done: &[bool]| -> Vec<(Role, Tick)> {
        all.iter().zip(done).filter(|(_, done)| !**done).map(|(one, _)| *one).collect()
    };
    findings.extend(left(&missing, &placed).into_iter().map(|(role, at)| Finding::Missing { role, at }));
    findings.extend(left(&extra, &used).into_iter().map(|(role, at)| Finding::Extra { role, at }));
    findings
}
