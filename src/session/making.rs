//! Where a learner is in a guided build: the sound as it stands, the stage, the hints given.

use crate::lesson::builds::{Build, BuildStage};
use crate::synth::Patch;

/// A sound being made.
#[derive(Clone, Debug, PartialEq)]
pub struct Making {
    /// The sound as it stands.
    pub patch: Patch,
    /// The stage, from 0.
    pub stage: usize,
    /// How many hints of the stage were given.
    pub hints: usize,
    /// How often the stage was checked.
    pub checks: usize,
    /// Whether the last stage was reached once.
    pub made: bool,
    /// The sound as each stage so far was entered.
    entered: Vec<Patch>,
}

impl Making {
    /// At the start of `build`.
    pub fn of(build: &Build) -> Making {
        let patch = build.start.patch;
        Making { patch, stage: 0, hints: 0, checks: 0, made: false, entered: vec![patch] }
    }

    /// The stage of `build` it is in.
    pub fn stage_of<'a>(&self, build: &'a Build) -> Option<&'a BuildStage> {
        build.stages.get(self.stage)
    }

    /// Whether no stage comes after this one.
    pub fn is_last(&self, build: &Build) -> bool {
        self.stage + 1 >= build.stages.len()
    }

    /// Goes on to the next stage, if there is one; the sound stays as it stands.
    pub fn next(&mut self, build: &Build) {
        if !self.is_last(build) {
            self.stage += 1;
            self.entered.truncate(self.stage);
            self.entered.push(self.patch);
            (self.hints, self.checks) = (0, 0);
        }
    }

    /// Goes back to the stage before, if there is one; the sound stays as it stands.
    pub fn back(&mut self) {
        if self.stage > 0 {
            self.stage -= 1;
            (self.hints, self.checks) = (0, 0);
        }
    }

    /// Puts what this stage moves back to where it stood when the stage was entered.
    pub fn again(&mut self, build: &Build) {
        let (Some(stage), Some(entered)) = (build.stages.get(self.stage), self.entered.get(self.stage)) else { return };
        let moves = stage.moves.iter().filter_map(|handle| Some((handle, handle.read(entered)?)));
        self.patch = moves.fold(self.patch, |patch, (handle, to)| handle.put(&patch, to));
        (self.hints, self.checks) = (0, 0);
    }

    /// Sets the stage's solution.
    pub fn solve(&mut self, build: &Build) {
        if let Some(stage) = build.stages.get(self.stage) {
            self.patch = stage.solve(&self.patch);
        }
    }

    /// Gives the next hint, if there is one left.
    pub fn hint(&mut self, build: &Build) {
        let most = self.stage_of(build).map_or(0, |stage| stage.hints.len());
        self.hints = (self.hints + 1).min(most);
    }

    /// Counts a check, and says whether the stage is reached.
    pub fn check(&mut self, build: &Build) -> bool {
        self.checks += 1;
        let reached = self.stage_of(build).is_some_and(|stage| stage.is_reached(&self.patch));
        self.made |= reached && self.is_last(build);
        reached
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::lesson::builds::{BUILD_IDS, read_build};

    fn builds() -> impl Iterator<Item = Build> {
        BUILD_IDS.into_iter().map(|id| {
            let file = format!("{}/lessons/builds/{id}.json", env!("CARGO_MANIFEST_DIR"));
            read_build(&std::fs::read_to_string(file).unwrap()).unwrap()
        })
    }

    #[test]
    fn solved_stage_by_stage_a_build_is_made() {
        for build in builds() {
            let mut making = Making::of(&build);
            for stage in 0..build.stages.len() {
                assert_eq!(making.stage, stage, "{}", build.id);
                assert!(!making.check(&build), "{} {stage}: nothing is left to do", build.id);
                assert!(!making.made);
                making.solve(&build);
                assert!(making.check(&build), "{} {stage}", build.id);
                assert_eq!(making.checks, 2);
                making.next(&build);
            }
            assert!(making.made, "{}", build.id);
            assert_eq!(making.stage, build.stages.len() - 1, "there is nothing after the last stage");
        }
    }

    #[test]
    fn again_takes_back_this_stage_and_no_other() {
        for build in builds() {
            let mut making = Making::of(&build);
            while !making.is_last(&build) {
                let entered = making.clone();
                making.solve(&build);
                making.again(&build);
                // What goes along with a dial follows in ratio, so it comes back to within rounding.
                for (handle, to) in making.stage_of(&build).unwrap().moves.iter().map(|h| (h, h.read(&entered.patch))) {
                    let now = handle.read(&making.patch).unwrap();
                    assert!((now - to.unwrap()).abs() < 1e-6, "{}: {handle:?} at {now}, was at {to:?}", build.id);
                }
                making.solve(&build);
                making.next(&build);
            }
        }
    }

    #[test]
    fn back_and_on_leave_the_sound_alone() {
        for build in builds() {
            let mut making = Making::of(&build);
            making.solve(&build);
            making.next(&build);
            making.solve(&build);
            let sound = making.patch;
            making.back();
            assert_eq!((making.stage, making.patch), (0, sound));
            making.back();
            assert_eq!(making.stage, 0);
            making.next(&build);
            assert_eq!((making.stage, making.patch), (1, sound));
        }
    }

    #[test]
    fn hints_end_with_the_last() {
        for build in builds() {
            let mut making = Making::of(&build);
            let most = build.stages[0].hints.len();
            (0..most + 3).for_each(|_| making.hint(&build));
            assert_eq!(making.hints, most);
            making.solve(&build);
            making.next(&build);
            assert_eq!(making.hints, 0);
        }
    }
}
