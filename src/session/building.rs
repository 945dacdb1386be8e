//! Guided builds: which is open, and where the learner is in each, for as long as the page lives.

use super::making::Making;
use crate::lesson::builds::Build;
use crate::role::Role;
use crate::synth::{Patch, Voice};
use leptos::prelude::*;
use std::collections::HashMap;
use std::sync::Arc;

/// All builds of this visit. Copies are handles to the same.
#[derive(Clone, Copy)]
pub struct Building {
    kept: StoredValue<HashMap<String, Making>>,
    open: RwSignal<Option<&'static str>>,
    made: RwSignal<Vec<String>>,
}

impl Building {
    /// None is begun; call once, at the root, so that it outlives every room.
    pub fn new() -> Building {
        Building { kept: StoredValue::new(HashMap::new()), open: RwSignal::new(None), made: RwSignal::new(Vec::new()) }
    }

    /// The identifier of the open build.
    pub fn open(&self) -> RwSignal<Option<&'static str>> {
        self.open
    }

    /// Whether the build `id` was made to its end.
    pub fn is_made(&self, id: &str) -> bool {
        self.made.with(|made| made.iter().any(|made| made == id))
    }

    /// Goes on with `build` where it was left. Call inside an owner, whose end leaves it.
    pub fn enter(self, build: Arc<Build>) -> Work {
        let kept = self.kept.with_value(|kept| kept.get(&build.id).cloned());
        let making = kept.unwrap_or_else(|| Making::of(&build));
        let patch = RwSignal::new(making.patch);
        let work =
            Work { build: StoredValue::new(build), patch, making: RwSignal::new(making), checked: RwSignal::new(None) };
        // The dials move the patch, and it is kept as it moves.
        Effect::new(move |_| {
            let patch = patch.get();
            if work.making.with_untracked(|making| making.patch != patch) {
                work.making.update(|making| making.patch = patch);
            }
        });
        Effect::new(move |_| {
            let making = work.making.get();
            let id = work.build.with_value(|build| build.id.clone());
            if making.made && !self.made.with_untracked(|made| made.contains(&id)) {
                self.made.update(|made| made.push(id.clone()));
            }
            self.kept.update_value(|kept| {
                kept.insert(id, making);
            });
        });
        work
    }
}

impl Default for Building {
    fn default() -> Building {
        Building::new()
    }
}

/// What a check found: the sound that was checked, and the number of the check.
#[derive(Clone, Debug, PartialEq)]
pub struct Checked {
    /// Which check of this stage it was, from 1.
    pub number: usize,
    /// The sound as it was.
    pub patch: Patch,
}

/// The open build. Copies are handles to the same.
#[derive(Clone, Copy)]
pub struct Work {
    build: StoredValue<Arc<Build>>,
    patch: RwSignal<Patch>,
    making: RwSignal<Making>,
    checked: RwSignal<Option<Checked>>,
}

impl Work {
    /// What is built.
    pub fn build(&self) -> Arc<Build> {
        self.build.get_value()
    }

    /// The sound as it stands.
    pub fn patch(&self) -> RwSignal<Patch> {
        self.patch
    }

    /// Where the learner is.
    pub fn making(&self) -> RwSignal<Making> {
        self.making
    }

    /// What the last check of this stage found.
    pub fn checked(&self) -> RwSignal<Option<Checked>> {
        self.checked
    }

    fn change(&self, act: impl FnOnce(&mut Making, &Build)) {
        // What the dials moved last may not have been taken over yet.
        let patch = self.patch.get_untracked();
        let build = self.build();
        self.making.update(|making| {
            making.patch = patch;
            act(making, &build);
        });
        let now = self.making.with_untracked(|making| making.patch);
        if now != patch {
            self.patch.set(now);
        }
    }

    fn turn(&self, act: impl FnOnce(&mut Making, &Build)) {
        self.checked.set(None);
        self.change(act);
    }

    /// On to the next stage.
    pub fn next(&self) {
        self.turn(Making::next);
    }

    /// Back to the stage before.
    pub fn back(&self) {
        self.turn(|making, _| making.back());
    }

    /// Begins this stage again.
    pub fn again(&self) {
        self.turn(Making::again);
    }

    /// Sets what the stage asks for.
    pub fn solve(&self) {
        self.change(Making::solve);
    }

    /// Gives the next hint.
    pub fn hint(&self) {
        self.change(Making::hint);
    }

    /// Checks the stage.
    pub fn check(&self) {
        self.change(|making, build| {
            making.check(build);
        });
        let number = self.making.with_untracked(|making| making.checks);
        self.checked.set(Some(Checked { number, patch: self.patch.get_untracked() }));
    }

    /// The voice as it stands, with the role it plays.
    pub fn voice(&self) -> (Role, Voice) {
        let build = self.build();
        (build.role, Voice { patch: self.patch.get_untracked(), place: build.start.place })
    }
}
