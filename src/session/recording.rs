//! Recording: the groove of an editor, rendered faster than it sounds and saved as a wave file.

use super::drafts::file_stem;
use super::library::Drums;
use crate::audio::Failure;
use crate::audio::breath::Breath;
use crate::audio::offline::{self, OfflineError, Recorded};
use crate::audio::plan;
use crate::browser::files::Pieces;
use crate::rhythm::{Groove, LaneId};
use crate::schedule::Start;
use crate::share::take::Take;
use crate::share::wav::Encoder;
use leptos::prelude::*;
use leptos::task::spawn_local;
use std::sync::Arc;

/// The share of the work that is rendering; the rest is writing the file.
const RENDERING: f64 = 0.6;
/// Frames written at a time.
const BLOCK: usize = 8192;

/// How a recording stands.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub enum State {
    /// Nothing has been asked for.
    #[default]
    Idle,
    /// Under way: so many percent are done.
    Working(u8),
    /// Saved under this name.
    Saved(String),
    /// Cancelled by the learner; nothing was saved.
    Cancelled,
    /// The browser would not render or save it, with its own words if it has any.
    Refused(Option<String>),
}

/// Why no file was made.
enum Trouble {
    GivenUp,
    Refused(Option<String>),
}

impl From<OfflineError> for Trouble {
    fn from(error: OfflineError) -> Trouble {
        match error {
            OfflineError::GivenUp => Trouble::GivenUp,
            OfflineError::Failed(failure) => failure.into(),
            OfflineError::TooLong => Trouble::Refused(None),
        }
    }
}

impl From<Failure> for Trouble {
    fn from(failure: Failure) -> Trouble {
        Trouble::Refused(match failure {
            Failure::Refused(reason) => Some(reason),
            Failure::Unsupported | Failure::Standing => None,
        })
    }
}

/// One desk's recordings, one at a time; the end of the owner that opened it ends what is under way.
#[derive(Clone, Copy)]
pub struct Recorder {
    state: RwSignal<State>,
    /// Counts up whenever one begins or is cancelled: an older one ends.
    number: RwSignal<u32>,
}

impl Recorder {
    /// A recorder at rest.
    pub fn open() -> Recorder {
        Recorder { state: RwSignal::new(State::Idle), number: RwSignal::new(0) }
    }

    /// How things stand.
    pub fn state(&self) -> ReadSignal<State> {
        self.state.read_only()
    }

    /// Whether one is under way.
    pub fn is_working(&self) -> bool {
        self.state.with(|state| matches!(state, State::Working(_)))
    }

    /// Ends what is under way; nothing is saved.
    pub fn cancel(&self) {
        self.number.update(|number| *number = number.wrapping_add(1));
        self.state.set(State::Cancelled);
    }

    /// Records `groove` without the lanes in `silent`, and saves it under a name made of `name`. What plays goes on.
    pub fn save(&self, groove: Groove, drums: Drums, take: Take, silent: Vec<LaneId>, name: &str) {
        let recorder = *self;
        let name = format!("{}.wav", file_stem(name));
        self.number.update(|number| *number = number.wrapping_add(1));
        self.state.set(State::Working(0));
        let mine = self.number.get_untracked();
        spawn_local(async move {
            let told = move |share: f64| {
                // Gone with its room, or another one has begun.
                let goes_on = recorder.number.try_get_untracked() == Some(mine);
                let state = State::Working((100.0 * share) as u8);
                if goes_on && recorder.state.try_with_untracked(|before| *before != state) == Some(true) {
                    recorder.state.set(state);
                }
                goes_on
            };
            let ended = match make(groove, drums, take, &silent, &told).await {
                Ok(file) if told(1.0) && file.save(&name, "audio/wav") => State::Saved(name),
                Ok(_) => State::Refused(None),
                Err(Trouble::Refused(reason)) => State::Refused(reason),
                Err(Trouble::GivenUp) => return,
            };
            if recorder.number.try_get_untracked() == Some(mine) {
                recorder.state.set(ended);
            }
        });
    }
}

/// Renders and writes the file.
async fn make(
    groove: Groove,
    drums: Drums,
    take: Take,
    silent: &[LaneId],
    told: &dyn Fn(f64) -> bool,
) -> Result<Pieces, Trouble> {
    let format = take.quality.format();
    let mut plan = plan(&Arc::new(groove), &drums.kit, take.passes, Start::default(), format.rate);
    plan.events.retain(|planned| planned.event.key.lane().is_none_or(|lane| !silent.contains(&lane)));
    let rendering = |share: f64| told(RENDERING * share);
    let recorded: Recorded = offline::record(&plan, &drums.kit, &drums.tone, None, &rendering).await?;
    let frames = recorded.frames();
    let mut file = Pieces::new();
    file.push(&format.header(frames as u64).map_err(|_| Trouble::Refused(None))?);
    let mut encoder = Encoder::new(format);
    let mut breath = Breath::new();
    let (mut left, mut right) = (vec![0.0; BLOCK.min(frames)], vec![0.0; BLOCK.min(frames)]);
    for from in (0..frames).step_by(BLOCK) {
        let here = BLOCK.min(frames - from);
        left.truncate(here);
        right.truncate(here);
        recorded.read(from, [&mut left, &mut right])?;
        file.push(&encoder.block(&[&left, &right]));
        breath.take().await;
        if !told(RENDERING + (1.0 - RENDERING) * from as f64 / frames as f64) {
            return Err(Trouble::GivenUp);
        }
    }
    file.push(encoder.ending());
    Ok(file)
}
