//! What the player does at each tick and call: the context's life, the run, and what waits for either.

use crate::audio::bench::{self, Bench};
use crate::audio::cache::audio_buffer;
use crate::audio::context::Context;
use crate::audio::heard::Heard;
use crate::audio::mix::Mix;
use crate::audio::run::{Run, Wanted};
use crate::audio::status::{Failure, Sounding, Status};
use crate::audio::stock::Stock;
use crate::audio::voicing::Voiced;
use crate::audio::watch::{State, Verdict, Watch};
use crate::rhythm::{Groove, Loudness};
use crate::role::Role;
use crate::schedule::{Caret, Echo};
use crate::synth::audition::stroke;
use crate::synth::{Kit, Part, Patch, Tone};
use std::rc::Rc;
use std::sync::Arc;
use web_sys::AudioBuffer;

/// A context nobody needs rests after so many ms.
const IDLE_MS: f64 = 30_000.0;
/// A context that has not begun to run so many ms after it was asked to is blocked.
const BLOCKED_MS: f64 = 600.0;
/// The most rendering ahead between a press of Play and its anchor, in ms: the pump renders what comes first anyway.
const PRESS_MS: f64 = 10.0;
/// The volume before anyone has set one: moderate.
const FIRST_VOLUME: f64 = 0.7;
/// The rate voices are prepared for until the device has told its own.
const LIKELY_RATE: u32 = 48_000;

mod change;

/// The state behind the player.
pub struct Engine {
    context: Option<Context>,
    changed: Rc<dyn Fn()>,
    watch: Watch,
    heard: Heard,
    stock: Stock,
    mix: Mix,
    volume: f64,
    rate: u32,
    status: Status,
    /// What is to begin as soon as the clock moves, and since when (ms).
    wanted: Option<(Wanted, f64)>,
    /// Whether what waits was cut short by the device: only a gesture takes it up again, for a groove that starts by itself
    /// after a call is a fright.
    interrupted: bool,
    run: Option<Run>,
    /// Runs on their way down, and when each may be dropped (seconds of the context).
    ending: Vec<(f64, Run)>,
    bench: Option<Bench>,
    idle_since: Option<f64>,
    rebuilt: bool,
    dropped: u64,
}

impl Engine {
    /// A silent engine; `changed` is called whenever its context changes its state.
    pub fn new(changed: impl Fn() + 'static) -> Engine {
        Engine {
            context: None,
            changed: Rc::new(changed),
            watch: Watch::default(),
            heard: Heard::default(),
            stock: Stock::default(),
            mix: Mix::default(),
            volume: FIRST_VOLUME,
            rate: LIKELY_RATE,
            status: Status::Silent,
            wanted: None,
            interrupted: false,
            run: None,
            ending: Vec::new(),
            bench: None,
            idle_since: None,
            rebuilt: false,
            dropped: 0,
        }
    }

    /// How things stand.
    pub fn status(&self) -> Status {
        self.status.clone()
    }

    /// Whether ticks are needed: until a context with nothing to do rests.
    pub fn is_busy(&self) -> bool {
        self.context.is_some() && self.idle_since.is_none_or(|since| since >= 0.0)
    }

    /// Whether buffers wait to be rendered.
    pub fn is_preparing(&self) -> bool {
        self.stock.is_waiting()
    }

    /// How many hits were given up.
    pub fn dropped(&self) -> u64 {
        self.dropped + self.run.as_ref().map_or(0, Run::dropped)
    }

    /// Begins to play as soon as the clock moves; in a gesture.
    pub fn play(&mut self, wanted: Wanted) {
        self.end_run();
        self.stock.queue(&wanted.groove, &wanted.kit, self.rate);
        self.wanted = Some((wanted, now_ms()));
        self.rebuilt = false;
        self.status = Status::Waking;
        self.wake();
        self.tick();
    }

    /// Sees to it that there is a context that runs or is about to; in a gesture.
    pub fn wake(&mut self) {
        match self.context.as_ref().map(Context::state) {
            Some(State::Running) => {}
            Some(State::Suspended) => {
                if let Some(context) = &self.context {
                    context.resume();
                }
            }
            // One that is interrupted, closed or in a state unknown may come back with a frozen clock, or never.
            Some(State::Held) | None => self.open(),
        }
        self.idle_since = None;
        self.interrupted = false;
        if let Some((_, since)) = &mut self.wanted {
            *since = now_ms();
            if self.status == Status::Blocked {
                self.status = Status::Waking;
            }
        }
    }

    /// Makes a fresh context in place of the old.
    fn open(&mut self) {
        self.close();
        let changed = Rc::clone(&self.changed);
        match Context::open(move || changed()) {
            Ok(context) => {
                self.rate = context.rate().round().clamp(8_000.0, 192_000.0) as u32;
                context.resume();
                self.context = Some(context);
            }
            Err(failure) => self.fail(failure),
        }
    }

    /// Lets the context go with all that hangs on it.
    fn close(&mut self) {
        if let Some(run) = self.run.take() {
            self.dropped += run.dropped();
        }
        self.ending.clear();
        self.bench = None;
        self.context = None;
        self.watch = Watch::default();
        self.heard.clear();
    }

    fn fail(&mut self, failure: Failure) {
        self.close();
        self.wanted = None;
        self.status = Status::Failed(failure);
    }

    /// Ends the sound.
    pub fn stop(&mut self) {
        self.wanted = None;
        self.end_run();
        if let Some((bench, context)) = self.bench.as_mut().zip(self.context.as_ref()) {
            bench.stop(context.time());
        }
        if !matches!(self.status, Status::Failed(_)) {
            self.status = Status::Silent;
        }
    }

    fn end_run(&mut self) {
        let Some(mut run) = self.run.take() else { return };
        self.dropped += run.dropped();
        // With no context to ramp it the run is silent as it is dropped.
        if let Some(context) = &self.context {
            let over = run.stop(context.time());
            self.ending.push((over, run));
        }
    }

    /// One look at the clock, and all that follows from it.
    pub fn tick(&mut self) {
        let now = now_ms();
        let Some(context) = &self.context else { return };
        let (state, time) = (context.state(), context.time());
        match self.watch.look(state, now, time) {
            Verdict::Moving => {
                self.rebuilt = false;
                self.heard.reading(now, time);
                self.proceed(time);
            }
            Verdict::Waiting => {}
            Verdict::Stopped => self.halted(now),
            Verdict::Standing => self.stuck(),
        }
        self.rest(now);
    }

    /// The clock moves: begin what waits, pump what runs.
    fn proceed(&mut self, time: f64) {
        if core::mem::take(&mut self.interrupted) {
            self.wanted = None;
        }
        if let Some((wanted, _)) = self.wanted.take() {
            match self.begin(wanted) {
                Ok(()) => self.status = Status::Playing,
                Err(failure) => return self.fail(failure),
            }
        } else if let Some(run) = &mut self.run {
            if let Err(failure) = run.pump(time, &mut self.stock.cache, &self.mix) {
                return self.fail(failure);
            }
            if run.is_over(time) {
                self.stop();
            }
        } else if self.status == Status::Blocked || self.status == Status::Waking {
            self.status = Status::Silent;
        }
        self.ending.retain(|(over, _)| *over > time);
        if let Some(bench) = &mut self.bench {
            bench.tend(time);
            if bench.is_over(time) {
                self.bench = None;
            }
        }
    }

    fn begin(&mut self, wanted: Wanted) -> Result<(), Failure> {
        // Buffers first, then the anchor: rendering takes time, and the anchor must lie ahead of it.
        self.stock.render_for(&wanted.groove, &wanted.kit, self.rate, PRESS_MS);
        let buffers = self.stock.tone(&wanted.tone, self.rate)?;
        let Some(context) = &self.context else { return Ok(()) };
        let cache = &mut self.stock.cache;
        let (mut run, anchor) = Run::begin(context.audio(), wanted, &buffers, self.volume, cache, || context.time())?;
        run.pump(anchor, cache, &self.mix)?;
        self.run = Some(run);
        Ok(())
    }

    /// The context does not run, by its own word.
    fn halted(&mut self, now: f64) {
        if let Some(run) = self.run.take() {
            // Interrupted: what is scheduled must not burst out when the device comes back.
            self.dropped += run.dropped();
            self.wanted = Some((run.wanted().clone(), now - BLOCKED_MS));
            self.interrupted = true;
        }
        self.ending.clear();
        self.bench = None;
        self.heard.clear();
        match &self.wanted {
            Some((_, since)) if now - since >= BLOCKED_MS => self.status = Status::Blocked,
            Some(_) => self.status = Status::Waking,
            None => {}
        }
    }

    /// The context says it runs, and stands.
    fn stuck(&mut self) {
        let wanted = self.run.as_ref().map(|run| run.wanted().clone());
        let wanted = wanted.map(|wanted| (wanted, now_ms())).or(self.wanted.take());
        if wanted.is_some() && self.rebuilt {
            return self.fail(Failure::Standing);
        }
        self.wanted = wanted;
        self.rebuilt = true;
        if self.wanted.is_some() {
            self.status = Status::Waking;
            self.open();
        } else {
            self.close();
        }
    }

    /// Lets a context without work rest after a while.
    fn rest(&mut self, now: f64) {
        let idle = self.wanted.is_none() && self.run.is_none() && self.ending.is_empty() && self.bench.is_none();
        match self.idle_since {
            _ if !idle => self.idle_since = None,
            None => self.idle_since = Some(now),
            Some(since) if since >= 0.0 && now - since > IDLE_MS => {
                if let Some(context) = &self.context {
                    context.suspend();
                }
                self.watch = Watch::default();
                self.heard.clear();
                // Asleep: no more ticks.
                self.idle_since = Some(-1.0);
            }
            Some(_) => {}
        }
    }

    /// Plays one stroke at once; in a gesture.
    pub fn strike(&mut self, role: Role, loudness: Loudness, note: Option<u8>, kit: Arc<Kit>, tone: Arc<Tone>) {
        self.wake();
        if let Err(failure) = self.strike_now(role, loudness, note, &kit, &tone) {
            self.fail(failure);
        }
    }

    fn strike_now(
        &mut self,
        role: Role,
        loudness: Loudness,
        note: Option<u8>,
        kit: &Kit,
        tone: &Tone,
    ) -> Result<(), Failure> {
        let tone = bench::without_surface(tone);
        let Some(voiced) = bench::voiced(role, loudness, note, kit, f64::from(self.rate)) else { return Ok(()) };
        let Some(buffer) = self.stock.cache.get(&voiced.key, kit, self.rate) else { return Ok(()) };
        self.strike_on_bench(&voiced, &buffer, &tone)
    }

    /// Plays a buffer by itself through `tone`, on the bench that plays through it already if there is one.
    fn strike_on_bench(&mut self, voiced: &Voiced, buffer: &AudioBuffer, tone: &Tone) -> Result<(), Failure> {
        let buffers = self.stock.tone(tone, self.rate)?;
        let Some(context) = &self.context else { return Ok(()) };
        let time = context.time();
        let bench = match &mut self.bench {
            Some(bench) if bench.plays(tone, time) => bench,
            place => place.insert(Bench::new(context.audio(), &buffers, self.volume, time)?),
        };
        bench.strike(voiced, buffer, time)
    }

    /// Plays one stroke of `patch`, or of some of its parts, at once and without tone; in a gesture.
    pub fn hear(&mut self, patch: &Patch, parts: &[Part], loudness: Loudness) {
        self.wake();
        if let Err(failure) = self.hear_now(patch, parts, loudness) {
            self.fail(failure);
        }
    }

    fn hear_now(&mut self, patch: &Patch, parts: &[Part], loudness: Loudness) -> Result<(), Failure> {
        let kit = bench::kit_of(patch);
        let Some(voiced) = bench::voiced(bench::ROLE, loudness, None, &kit, f64::from(self.rate)) else {
            return Ok(());
        };
        let buffer = audio_buffer(&[&stroke(patch, parts, loudness.get(), self.rate)], self.rate)?;
        self.strike_on_bench(&voiced, &buffer, &kit.tone)
    }

    /// Where the heard music stands at `at`, on the page's clock in ms; now, if not given.
    pub fn caret(&mut self, at: Option<f64>) -> Option<Caret> {
        let heard = self.heard_time(at)?;
        self.run.as_ref().map(|run| run.caret(heard))
    }

    /// Which passes of what plays sound, if not all do.
    pub fn echo(&self) -> Option<Echo> {
        self.run.as_ref().and_then(Run::echo)
    }

    /// What is heard.
    pub fn sounding(&mut self) -> Vec<Sounding> {
        match (self.heard_time(None), &self.run) {
            (Some(heard), Some(run)) => run.sounding(heard),
            _ => Vec::new(),
        }
    }

    fn heard_time(&mut self, at: Option<f64>) -> Option<f64> {
        let context = self.context.as_ref()?;
        let now = now_ms();
        self.heard.reading(now, context.time());
        Some((self.heard.at(at.unwrap_or(now))? - context.delays(now).seconds()).max(0.0))
    }

    /// Queues the buffers a groove needs.
    pub fn prepare(&mut self, groove: &Arc<Groove>, kit: &Arc<Kit>, tone: &Tone) {
        self.stock.queue(groove, kit, self.rate);
        self.stock.queue_tone(tone);
    }

    /// Renders waiting buffers for a little while.
    pub fn prepare_slice(&mut self) {
        self.stock.render_slice(self.rate);
    }
}

/// The page's steady clock in ms.
pub(in crate::audio) fn now_ms() -> f64 {
    web_sys::window().and_then(|window| window.performance()).map_or(0.0, |clock| clock.now())
}
