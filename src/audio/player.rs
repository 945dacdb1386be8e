//! The player: a groove in, sound out, in the calls a page needs.
//!
//! All calls return at once and none of them panics. [`Player::play`], [`Player::wake`] and [`Player::strike`] belong
//! inside a gesture's handler, for browsers let no sound begin elsewhere. The player is one thread's: keep it in
//! `StoredValue::new_local`. Clones are handles to the same player; when the last one goes, the sound ends and
//! everything is given back.

use super::clock::Clock;
use super::engine::Engine;
use super::listener::Listener;
use super::mix::Mix;
use super::run::Wanted;
use super::status::{PlayOptions, Sounding, Status};
use crate::rhythm::{Groove, LaneId, Loudness};
use crate::role::Role;
use crate::schedule::{Caret, ClickPulse, Echo, Pace, Span};
use crate::synth::{Kit, Part, Patch, Tone};
use gloo_timers::callback::Timeout;
use std::cell::RefCell;
use std::rc::{Rc, Weak};
use std::sync::Arc;

/// Who is told of every change of status.
type StatusListener = Rc<dyn Fn(Status)>;

/// A handle to the one player of the page.
#[derive(Clone)]
pub struct Player {
    shared: Rc<Shared>,
}

struct Shared {
    engine: RefCell<Engine>,
    clock: Clock,
    listener: RefCell<Option<StatusListener>>,
    told: RefCell<Status>,
    preparing: RefCell<Option<Timeout>>,
    _leaving: Option<Listener>,
}

impl Player {
    /// A silent player. Makes no context yet: that is the first gesture's.
    pub fn new() -> Player {
        let shared = Rc::new_cyclic(|weak: &Weak<Shared>| {
            let on_tick = weak.clone();
            let on_leave = weak.clone();
            let on_change = weak.clone();
            let leaving = web_sys::window()
                .map(|window| Listener::new(&window, "pagehide", move |_| with(&on_leave, |engine| engine.stop())));
            Shared {
                // The state is looked at in the tick after the change: a listener must not drop the context it listens to.
                engine: RefCell::new(Engine::new(move || {
                    if let Some(shared) = on_change.upgrade() {
                        shared.clock.start();
                    }
                })),
                clock: Clock::new(move || with(&on_tick, Engine::tick)),
                listener: RefCell::new(None),
                told: RefCell::new(Status::Silent),
                preparing: RefCell::new(None),
                _leaving: leaving,
            }
        });
        Player { shared }
    }

    /// Renders the buffers `groove` needs from `kit`, a few at a time so that the page stays responsive; call it when
    /// a style opens. Playing before it is done renders the rest on demand.
    pub fn prepare(&self, groove: Arc<Groove>, kit: Arc<Kit>, tone: Arc<Tone>) {
        self.act(|engine| engine.prepare(&groove, &kit, &tone));
        Shared::prepare_on(&self.shared);
    }

    /// Plays from silence; what played before is stopped first. In a gesture.
    pub fn play(&self, groove: Arc<Groove>, kit: Arc<Kit>, tone: Arc<Tone>, options: PlayOptions) {
        self.act(|engine| engine.play(Wanted { groove, kit, tone, options }));
        Shared::prepare_on(&self.shared);
    }

    /// Goes on after [`Status::Blocked`], or opens the context before the first sound. In a gesture; harmless any time.
    pub fn wake(&self) {
        self.act(Engine::wake);
    }

    /// Another state of the same groove while it plays: heard in the same pass where it lies 60 ms or more ahead. Tempo,
    /// feel and pattern keep the position; bars and metre wait for the bar line. A silent player takes no notice.
    pub fn edit(&self, groove: Arc<Groove>) {
        self.act(|engine| engine.edit(groove));
        Shared::prepare_on(&self.shared);
    }

    /// Another groove, with strokes of its own, in place of the one that plays: 60 ms from now at the same bar and beat,
    /// or at the next bar line if the metre differs.
    pub fn exchange(&self, groove: Arc<Groove>) {
        self.act(|engine| engine.exchange(groove));
        Shared::prepare_on(&self.shared);
    }

    /// Goes round in these beats from now on, or in the whole pattern again.
    pub fn set_span(&self, span: Option<Span>) {
        self.act(|engine| engine.set_span(span));
    }

    /// Another kit or tone while playing; what already sounds rings out in the old kit, the old tone gives way in 30 ms.
    pub fn set_sound(&self, kit: Arc<Kit>, tone: Arc<Tone>) {
        self.act(|engine| engine.set_sound(kit, tone));
        Shared::prepare_on(&self.shared);
    }

    /// Turns the click on or off while playing.
    pub fn set_click(&self, on: bool) {
        self.act(|engine| engine.set_click(on));
    }

    /// Clicks in the felt or in the written count from now on.
    pub fn set_click_pulse(&self, pulse: ClickPulse) {
        self.act(|engine| engine.set_click_pulse(pulse));
    }

    /// Plays at another pace from 60 ms from now on: slower, at the same pitch, the groove unchanged.
    pub fn set_pace(&self, pace: Pace) {
        self.act(|engine| engine.set_pace(pace));
    }

    /// Ends the sound within 30 ms; nothing starts afterwards.
    pub fn stop(&self) {
        self.act(Engine::stop);
    }

    /// The volume, 0 to 1 (values outside are clamped); remembered across stops, ramped over 20 ms. The remembered cap
    /// is the caller's: pass the smaller of the two. 0.7 before the first call.
    pub fn set_volume(&self, volume: f64) {
        self.act(|engine| engine.set_volume(volume));
    }

    /// Silences a lane or lets it sound, within 10 ms. Muted lanes stay scheduled.
    pub fn mute(&self, lane: LaneId, on: bool) {
        self.act(|engine| engine.mix(|mix| mix.mute(lane, on)));
    }

    /// Lets only the lanes on solo sound; with none on solo all sound.
    pub fn solo(&self, lane: LaneId, on: bool) {
        self.act(|engine| engine.mix(|mix| mix.solo(lane, on)));
    }

    /// Lets every lane sound: lanes are named by number, which another groove gives to others.
    pub fn clear_mix(&self) {
        self.act(|engine| engine.mix(|mix| mix.clear()));
    }

    /// Which lanes sound, all at once.
    pub fn set_mix(&self, to: Mix) {
        self.act(|engine| engine.mix(|mix| *mix = to));
    }

    /// Plays one stroke at once, outside any groove: for a stroke being entered, and for the voices room. `note` is a
    /// MIDI note number, `None` the voice's own pitch. In a gesture.
    pub fn strike(&self, role: Role, loudness: Loudness, note: Option<u8>, kit: Arc<Kit>, tone: Arc<Tone>) {
        self.act(|engine| engine.strike(role, loudness, note, kit, tone));
    }

    /// Plays one stroke of `patch`, or of some of its parts, at once and without tone. In a gesture.
    pub fn hear(&self, patch: &Patch, parts: &[Part], loudness: Loudness) {
        self.act(|engine| engine.hear(patch, parts, loudness));
    }

    /// Where the heard music stands now; `None` unless [`Status::Playing`]. For animation frames.
    pub fn caret(&self) -> Option<Caret> {
        self.shared.engine.try_borrow_mut().ok()?.caret(None)
    }

    /// Where the music was that was heard at `ms` of the page's clock (an event's own time), shortly ago.
    pub fn caret_at(&self, ms: f64) -> Option<Caret> {
        self.shared.engine.try_borrow_mut().ok()?.caret(Some(ms))
    }

    /// Which passes of what plays sound, if not all do.
    pub fn echo(&self) -> Option<Echo> {
        self.shared.engine.try_borrow().ok()?.echo()
    }

    /// The hits of the groove that sound at the caret's time, in no order.
    pub fn sounding(&self) -> Vec<Sounding> {
        self.shared.engine.try_borrow_mut().map_or_else(|_| Vec::new(), |mut engine| engine.sounding())
    }

    /// How things stand.
    pub fn status(&self) -> Status {
        self.shared.told.borrow().clone()
    }

    /// Calls `listener` whenever the status changes, in place of the listener before. It may call the player.
    pub fn on_status(&self, listener: impl Fn(Status) + 'static) {
        *self.shared.listener.borrow_mut() = Some(Rc::new(listener));
    }

    /// How many hits were given up since the page was opened, because the page stood still too long.
    pub fn dropped(&self) -> u64 {
        self.shared.engine.try_borrow().map_or(0, |engine| engine.dropped())
    }

    /// Does something to the engine, sees to the clock, and tells of a change.
    fn act(&self, what: impl FnOnce(&mut Engine)) {
        Shared::act(&self.shared, what);
    }
}

impl Default for Player {
    fn default() -> Player {
        Player::new()
    }
}

/// Does something to the engine unless the player is gone.
fn with(weak: &Weak<Shared>, what: impl FnOnce(&mut Engine)) {
    if let Some(shared) = weak.upgrade() {
        Shared::act(&shared, what);
    }
}

impl Shared {
    fn act(shared: &Rc<Shared>, what: impl FnOnce(&mut Engine)) {
        // Taken only if something inside the engine came back here, which nothing does; better deaf than dead.
        let Ok(mut engine) = shared.engine.try_borrow_mut() else { return };
        what(&mut engine);
        let (status, busy) = (engine.status(), engine.is_busy());
        drop(engine);
        if busy {
            shared.clock.start();
        } else {
            shared.clock.stop();
        }
        if shared.told.replace(status.clone()) != status {
            let listener = shared.listener.borrow().clone();
            if let Some(listener) = listener {
                listener(status);
            }
        }
    }

    /// Renders what is still to be prepared, one slice a task.
    fn prepare_on(shared: &Rc<Shared>) {
        let more = shared.engine.try_borrow().is_ok_and(|engine| engine.is_preparing());
        let weak = Rc::downgrade(shared);
        *shared.preparing.borrow_mut() = more.then(|| {
            Timeout::new(0, move || {
                if let Some(shared) = weak.upgrade() {
                    Shared::act(&shared, Engine::prepare_slice);
                    Shared::prepare_on(&shared);
                }
            })
        });
    }
}
