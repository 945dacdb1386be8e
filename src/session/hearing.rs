//! What is heard: the one player of the page, and signals of where it stands.

use super::editor::Editor;
use super::keep;
use super::library::Drums;
use super::practice::EchoTurn;
use crate::audio::mix::Mix;
use crate::audio::{Failure, PlayOptions, Player, Status};
use crate::browser::frames::FrameLoop;
use crate::rhythm::{Groove, LaneId, Loudness, Part, StrokeId};
use crate::schedule::{Caret, ClickPulse, Echo, Pace};
use crate::style::SoundLookup;
use crate::synth::{Part as VoicePart, Patch};
use leptos::prelude::*;
use std::sync::Arc;

/// The volume of a first visit: moderate.
const FIRST_VOLUME: f64 = 0.6;

/// What keeps the sound from being heard.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Trouble {
    /// The browser waits for a gesture: [`Hearing::wake`] in the next one goes on.
    Blocked,
    /// The browser has no Web Audio.
    Unsupported,
    /// The browser refused, in its own words.
    Refused(String),
    /// The audio clock stands still.
    Standing,
}

type Sounding = Vec<(LaneId, StrokeId, Part)>;

/// The player and its signals. Copies are handles to the same one.
#[derive(Clone, Copy)]
pub struct Hearing {
    pub(super) player: StoredValue<Player, LocalStorage>,
    frames: StoredValue<Option<FrameLoop>, LocalStorage>,
    status: RwSignal<Status>,
    caret: RwSignal<Option<Caret>>,
    sounding: RwSignal<Sounding>,
    volume: RwSignal<f64>,
    count_in: RwSignal<bool>,
    click: RwSignal<bool>,
    pub(super) click_pulse: RwSignal<ClickPulse>,
    pub(super) pace: RwSignal<Pace>,
    pub(super) mix: RwSignal<Mix>,
    pub(super) echo: RwSignal<Option<Echo>>,
    pub(super) turn: RwSignal<Option<EchoTurn>>,
    pub(super) followed: RwSignal<Option<Followed>>,
}

#[derive(Clone, Copy)]
pub(super) struct Followed {
    pub(super) editor: Editor,
    drums: Signal<Option<Drums>>,
    number: u32,
}

impl Hearing {
    /// The page's hearing; call once, at the root, so that it outlives every room.
    pub fn open() -> Hearing {
        let volume = keep::volume().unwrap_or(FIRST_VOLUME);
        let player = Player::new();
        player.set_volume(volume);
        let hearing = Hearing {
            player: StoredValue::new_local(player),
            frames: StoredValue::new_local(None),
            status: RwSignal::new(Status::default()),
            caret: RwSignal::new(None),
            sounding: RwSignal::new(Vec::new()),
            volume: RwSignal::new(volume),
            count_in: RwSignal::new(false),
            click: RwSignal::new(false),
            click_pulse: RwSignal::new(ClickPulse::Felt),
            pace: RwSignal::new(Pace::FULL),
            mix: RwSignal::new(Mix::default()),
            echo: RwSignal::new(None),
            turn: RwSignal::new(None),
            followed: RwSignal::new(None),
        };
        hearing.player.with_value(|player| player.on_status(move |status| hearing.on_status(status)));
        // What is edited is heard. The effects are the only way from the editor's signals to the player.
        Effect::new(move |_| {
            if let Some(followed) = hearing.followed.get() {
                let groove = followed.editor.groove().get();
                hearing.forget_lanes(|lane| groove.pattern.lane(lane).is_some());
                hearing.player.with_value(|player| player.edit(Arc::new(groove)));
            }
        });
        Effect::new(move |_| {
            let drums = hearing.followed.get().and_then(|followed| followed.drums.get());
            if let (Some(drums), Some(followed)) = (drums, hearing.followed.get_untracked()) {
                let groove = Arc::new(followed.editor.now());
                hearing.player.with_value(|player| {
                    player.set_sound(drums.kit.clone(), drums.tone.clone());
                    player.prepare(groove, drums.kit.clone(), drums.tone.clone());
                });
            }
        });
        Effect::new(move |_| {
            let mix = hearing.mix.get();
            hearing.player.with_value(|player| player.set_mix(mix));
        });
        Effect::new(move |_| {
            let pulse = hearing.click_pulse.get();
            hearing.player.with_value(|player| player.set_click_pulse(pulse));
        });
        Effect::new(move |_| {
            let pace = hearing.pace.get();
            hearing.player.with_value(|player| player.set_pace(pace));
        });
        hearing
    }

    fn on_status(self, status: Status) {
        let playing = matches!(status, Status::Playing | Status::Waking);
        self.frames.update_value(|frames| match (playing, frames.is_some()) {
            (true, false) => *frames = Some(FrameLoop::new(move || self.look())),
            (false, _) => {
                *frames = None;
            }
            _ => {}
        });
        if !playing {
            self.caret.set(None);
            self.sounding.set(Vec::new());
            self.turn.set(None);
            if status != Status::Blocked && self.echo.get_untracked().is_some() {
                self.echo.set(None);
            }
        }
        self.status.set(status);
    }

    /// Reads where the heard music stands; before every frame while it plays.
    fn look(self) {
        let (caret, sounding) = self.player.with_value(|player| (player.caret(), player.sounding()));
        if self.caret.get_untracked() != caret {
            self.caret.set(caret);
        }
        let turn = match (self.echo.get_untracked(), caret) {
            (Some(echo), Some(Caret::Playing { pass, .. })) => Some(EchoTurn { phase: echo.phase(pass), pass }),
            _ => None,
        };
        if self.turn.get_untracked() != turn {
            self.turn.set(turn);
        }
        let mut sounding: Sounding = sounding.iter().map(|hit| (hit.lane, hit.stroke, hit.part)).collect();
        sounding.sort_unstable();
        if self.sounding.with_untracked(|before| *before != sounding) {
            self.sounding.set(sounding);
        }
    }

    /// Makes `editor` the groove that Play plays, with these drums, until another takes its place or the
    /// caller's owner ends; a groove that plays at that moment stops.
    pub fn follow(&self, editor: Editor, drums: Signal<Option<Drums>>) {
        let hearing = *self;
        hearing.stop();
        hearing.pace.set(Pace::FULL);
        hearing.clear_mix();
        let number = hearing.followed.with_untracked(|before| before.map_or(0, |before| before.number.wrapping_add(1)));
        hearing.followed.set(Some(Followed { editor, drums, number }));
        on_cleanup(move || {
            // A room that opens may follow before the one that closes is cleaned up.
            if hearing.followed.with_untracked(|now| now.is_some_and(|now| now.number == number)) {
                hearing.stop();
                hearing.followed.set(None);
            }
        });
    }

    /// Plays the followed groove, or stops it. In a gesture.
    pub fn toggle(&self) {
        if self.is_on() { self.stop() } else { self.play() }
    }

    /// Plays the followed groove from its start. In a gesture.
    pub fn play(&self) {
        self.begin(None);
    }

    pub(super) fn begin(&self, echo: Option<(u8, u8)>) {
        let Some(followed) = self.followed.get_untracked() else { return };
        let Some(drums) = followed.drums.get_untracked() else { return };
        let groove = Arc::new(followed.editor.now());
        let echo = echo.map(|(heard, silent)| Echo::over(&groove.pattern, heard, silent));
        let options = PlayOptions {
            count_in: u8::from(self.count_in.get_untracked()),
            click: self.click.get_untracked(),
            click_pulse: self.click_pulse.get_untracked(),
            pace: self.pace.get_untracked(),
            echo: echo.map(|(echo, _)| echo),
            span: echo.and_then(|(_, span)| span),
            ..PlayOptions::default()
        };
        // What played before may end with the call, and with it its echo.
        self.player.with_value(|player| player.play(groove, drums.kit, drums.tone, options));
        self.echo.set(options.echo.filter(|_| self.is_on()));
    }

    /// Plays the followed groove unless it plays already. In a gesture.
    pub fn keep_playing(&self) {
        if !untrack(|| self.is_on()) {
            self.play();
        }
    }

    /// Ends the sound.
    pub fn stop(&self) {
        self.player.with_value(Player::stop);
    }

    /// Goes on after the engine held the sound back. In a gesture.
    pub fn wake(&self) {
        self.player.with_value(Player::wake);
    }

    /// What keeps the groove from being heard, if anything does.
    pub fn trouble(&self) -> Option<Trouble> {
        match self.status.get() {
            Status::Blocked => Some(Trouble::Blocked),
            Status::Failed(Failure::Unsupported) => Some(Trouble::Unsupported),
            Status::Failed(Failure::Refused(reason)) => Some(Trouble::Refused(reason)),
            Status::Failed(Failure::Standing) => Some(Trouble::Standing),
            Status::Silent | Status::Waking | Status::Playing => None,
        }
    }

    /// Whether something was asked to play and has not been stopped; tracked where it is read reactively.
    pub fn is_on(&self) -> bool {
        matches!(self.status.get(), Status::Playing | Status::Waking | Status::Blocked)
    }

    /// Plays one stroke of a voice at once, or only some of its parts; all of them if none is named. In a gesture.
    pub fn hear(&self, patch: Patch, parts: Vec<VoicePart>, loudness: u8) {
        self.player.with_value(|player| player.hear(&patch, &parts, Loudness::clamped(i32::from(loudness))));
    }

    /// Calls `act` with what looks measured properties of the followed groove's sound up for `groove`, if they are known.
    pub fn with_sound<T>(&self, groove: &Groove, act: impl FnOnce(Option<SoundLookup>) -> T) -> T {
        match self.followed.get_untracked().and_then(|followed| followed.drums.get_untracked()) {
            Some(drums) => drums.judged(groove, act),
            None => act(None),
        }
    }

    /// Calls `act` with the drums of the followed groove, if they are there; tracked where it is read reactively.
    pub fn with_drums<T>(&self, act: impl FnOnce(&Drums) -> T) -> Option<T> {
        self.followed.get()?.drums.with(|drums| drums.as_ref().map(act))
    }

    /// Whether the followed groove can be played yet: its drums are there.
    pub fn is_ready(&self) -> bool {
        self.followed.get().is_some_and(|followed| followed.drums.get().is_some())
    }

    /// The same, not reactive.
    pub fn is_ready_untracked(&self) -> bool {
        untrack(|| self.is_ready())
    }

    /// Where the heard music stands in the pattern, in ticks.
    pub fn caret_tick(&self) -> Option<f64> {
        match self.caret.get() {
            Some(Caret::Playing { tick, .. }) => Some(tick),
            _ => None,
        }
    }

    /// The pass that is heard and where in the pattern, in ticks.
    pub fn playing_at(&self) -> Option<(u32, f64)> {
        match self.caret.get() {
            Some(Caret::Playing { pass, tick, .. }) => Some((pass, tick)),
            _ => None,
        }
    }

    /// The count spoken now while it is counted in.
    pub fn counting_in(&self) -> Option<u32> {
        match self.caret.get() {
            Some(Caret::CountIn { number, .. }) => Some(number),
            _ => None,
        }
    }

    /// What sounds in one lane now, in order. Call inside an owner, whose end ends it.
    pub fn lane(&self, lane: LaneId) -> ReadSignal<Vec<(StrokeId, Part)>> {
        let sounding = self.sounding;
        settled(move || {
            sounding.with(|hits| {
                // The list is in order of lanes: of a large groove hundreds ring at once, and every lane asks.
                let first = hits.partition_point(|hit| hit.0 < lane);
                hits.iter().skip(first).take_while(|hit| hit.0 == lane).map(|hit| (hit.1, hit.2)).collect()
            })
        })
    }

    /// The volume, 0 to 1.
    pub fn volume(&self) -> f64 {
        self.volume.get()
    }

    /// Turns the volume and remembers it as the loudest the page may be from now on.
    pub fn set_volume(&self, volume: f64) {
        let volume = volume.clamp(0.0, 1.0);
        self.volume.set(volume);
        keep::set_volume(volume);
        self.player.with_value(|player| player.set_volume(volume));
    }

    /// Whether a bar is counted in before the groove.
    pub fn count_in(&self) -> RwSignal<bool> {
        self.count_in
    }

    /// Whether the pulse clicks along.
    pub fn click(&self) -> bool {
        self.click.get()
    }

    /// Turns the click on or off.
    pub fn set_click(&self, on: bool) {
        self.click.set(on);
        self.player.with_value(|player| player.set_click(on));
    }
}

/// What `value` says, as a signal that speaks only when it has changed. A memo wakes all who read it to ask whether it has:
/// with thousands of fins, before every frame.
pub fn settled<T>(value: impl Fn() -> T + 'static) -> ReadSignal<T>
where
    T: Default + PartialEq + Send + Sync + 'static,
{
    let settled = RwSignal::new(T::default());
    Effect::new(move |_| {
        let next = value();
        if settled.with_untracked(|before| *before != next) {
            settled.set(next);
        }
    });
    settled.read_only()
}
