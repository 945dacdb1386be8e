//! Practising with what is heard: lanes silenced or alone, a slower pace, the click's count, and echoes to answer.

use super::hearing::Hearing;
use crate::rhythm::LaneId;
use crate::schedule::{Caret, ClickPulse, Echo, EchoPhase, Pace};
use leptos::prelude::*;

/// Whose turn it is in an echo, and which pass of the whole that is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct EchoTurn {
    /// Whose.
    pub phase: EchoPhase,
    /// The number of the pass that is heard.
    pub pass: u32,
}

/// A moment of the heard music.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HeardAt {
    /// The number of the pass.
    pub pass: u32,
    /// The position in the pattern, in ticks.
    pub tick: f64,
}

impl Hearing {
    /// Plays the followed groove so many bars, leaves as many as `bars_silent` to the learner, and so on until stopped;
    /// where fewer bars are heard than there are, the first ones go round. In a gesture.
    pub fn play_echo(&self, bars_heard: u8, bars_silent: u8) {
        self.begin(Some((bars_heard, bars_silent)));
    }

    /// Where the music was that was heard at `ms` of the page's clock: an event's own time stamp. Not reactive.
    pub fn heard_at(&self, ms: f64) -> Option<HeardAt> {
        heard_at(self.player.with_value(|player| player.caret_at(ms)))
    }

    /// Whether what plays is an echo.
    pub fn echo(&self) -> Option<Echo> {
        self.echo.get()
    }

    /// Whose turn it is in an echo, by what is heard; `None` outside one and while it is counted in.
    pub fn echo_phase(&self) -> Option<EchoPhase> {
        self.turn.get().map(|turn| turn.phase)
    }

    /// The same with the number of the pass.
    pub fn echo_turn(&self) -> Option<EchoTurn> {
        self.turn.get()
    }

    /// Which pulse clicks; set it to change it, also while it plays.
    pub fn click_pulse(&self) -> RwSignal<ClickPulse> {
        self.click_pulse
    }

    /// The share of the written tempo that is played: 0.5 to 1.
    pub fn pace(&self) -> f64 {
        self.pace.get().share()
    }

    /// Plays at `percent` of the written tempo, 50 to 100; while it plays the position goes on. The groove stays as it is.
    pub fn set_pace(&self, percent: u8) {
        let pace = Pace::clamped(percent);
        if self.pace.get_untracked() != pace {
            self.pace.set(pace);
        }
    }

    /// Whether a lane is silenced.
    pub fn is_muted(&self, lane: LaneId) -> bool {
        self.mix.with(|mix| mix.is_muted(lane))
    }

    /// Silences a lane or lets it sound.
    pub fn set_muted(&self, lane: LaneId, on: bool) {
        if self.mix.with_untracked(|mix| mix.is_muted(lane)) != on {
            self.mix.update(|mix| mix.mute(lane, on));
        }
    }

    /// Whether a lane was asked to sound alone (several may, together).
    pub fn is_alone(&self, lane: LaneId) -> bool {
        self.mix.with(|mix| mix.is_solo(lane))
    }

    /// Lets only this lane sound, and others asked for likewise. Outweighs silencing.
    pub fn set_alone(&self, lane: LaneId, on: bool) {
        if self.mix.with_untracked(|mix| mix.is_solo(lane)) != on {
            self.mix.update(|mix| mix.solo(lane, on));
        }
    }

    /// The lanes of the followed groove that do not sound, in its order. Call inside an owner.
    pub fn silent_lanes(&self) -> Memo<Vec<LaneId>> {
        let hearing = *self;
        Memo::new(move |_| {
            let Some(followed) = hearing.followed.get() else { return Vec::new() };
            let lanes = followed
                .editor
                .groove()
                .with(|groove| groove.pattern.lanes().iter().map(|lane| lane.id).collect::<Vec<_>>());
            hearing.mix.with(|mix| lanes.into_iter().filter(|lane| !mix.sounds(*lane)).collect())
        })
    }

    /// Lets every lane sound.
    pub fn clear_mix(&self) {
        self.forget_lanes(|_| false);
    }

    pub(super) fn forget_lanes(&self, stays: impl Fn(LaneId) -> bool) {
        let mut kept = self.mix.get_untracked();
        kept.keep(stays);
        if self.mix.with_untracked(|mix| *mix != kept) {
            self.mix.set(kept);
        }
    }
}

fn heard_at(caret: Option<Caret>) -> Option<HeardAt> {
    match caret? {
        Caret::Playing { pass, tick, .. } => Some(HeardAt { pass, tick }),
        Caret::Waiting | Caret::CountIn { .. } => None,
    }
}
