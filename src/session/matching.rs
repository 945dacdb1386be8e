//! Match by ear: a hidden sound, the learner's, and how near they are.

use crate::role::Role;
use crate::synth::matching::{Finding, Riddle};
use crate::synth::{Patch, Voice};
use leptos::prelude::*;

/// What a check found.
#[derive(Clone, Debug, PartialEq)]
pub struct Checked {
    /// Which check of this sound it was, from 1.
    pub number: usize,
    /// How near, 0 to 100.
    pub score: f64,
    /// What could still be heard, the most audible first.
    pub findings: Vec<Finding>,
}

/// One hidden sound, and the learner's. Copies are handles to the same one.
#[derive(Clone, Copy)]
pub struct Round {
    riddle: StoredValue<Riddle>,
    role: Role,
    own: RwSignal<Patch>,
    checks: StoredValue<usize>,
    before: RwSignal<Option<Vec<Finding>>>,
}

impl Round {
    /// Hides a sound: `moves` dials of `voice` moved, by the page's own chance. The current owner keeps it.
    pub fn new((role, voice): (Role, Voice), moves: usize) -> Round {
        let seed = (js_sys::Math::random() * f64::from(u32::MAX)) as u32;
        Round {
            riddle: StoredValue::new(Riddle::new(&voice.patch, moves, seed)),
            role,
            own: RwSignal::new(voice.patch),
            checks: StoredValue::new(0),
            before: RwSignal::new(None),
        }
    }

    /// Whose voice it is made from.
    pub fn role(&self) -> Role {
        self.role
    }

    /// The riddle.
    pub fn riddle(&self) -> Riddle {
        self.riddle.get_value()
    }

    /// The learner's sound.
    pub fn own(&self) -> RwSignal<Patch> {
        self.own
    }

    /// What the learner's sound lacked when the hidden one was shown, if it was.
    pub fn before_reveal(&self) -> RwSignal<Option<Vec<Finding>>> {
        self.before
    }

    /// Holds the learner's sound against the hidden one.
    pub fn check(&self) -> Checked {
        let own = self.own.get_untracked();
        let number = self.checks.get_value() + 1;
        self.checks.set_value(number);
        self.riddle.with_value(|riddle| Checked { number, score: riddle.score(&own), findings: riddle.findings(&own) })
    }

    /// Shows the hidden sound: the learner's dials move to it. Once is enough.
    pub fn reveal(&self) {
        if self.before.with_untracked(Option::is_none) {
            let (own, riddle) = (self.own.get_untracked(), self.riddle());
            self.before.set(Some(riddle.findings(&own)));
            self.own.set(riddle.hidden);
        }
    }
}
