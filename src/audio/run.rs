//! One run of a groove, from its first beat to its stop: the transport, its ledger, and the sources they have started.

use super::cache::{Cache, audio_buffer};
use super::click;
use super::graph::{Graph, ToneBuffers};
use super::mix::Mix;
use super::plan::voiced;
use super::source::Source;
use super::status::{Failure, PlayOptions, Sounding};
use crate::rhythm::{Frames, Groove};
use crate::schedule::{Action, Caret, ClickPulse, Echo, Event, Instrument, Key, Ledger, Pace, Span, Transport};
use crate::synth::{Kit, Tone};
use std::collections::HashMap;
use std::sync::Arc;
use web_sys::{AudioBuffer, BaseAudioContext};

/// What was asked for.
#[derive(Clone)]
pub struct Wanted {
    /// What to play.
    pub groove: Arc<Groove>,
    /// With which voices.
    pub kit: Arc<Kit>,
    /// Through which tone.
    pub tone: Arc<Tone>,
    /// How.
    pub options: PlayOptions,
}

/// The master's way down on a stop, in seconds.
const STOP_SECONDS: f64 = 0.015;
/// How far ahead of now the ducking is laid: what a stall may last.
const DUCK_AHEAD: f64 = 0.25;
/// What is rendered before the anchor: more than the first pump reaches.
const FIRST_SECONDS: f64 = 0.5;
/// A source is let go this long after its end: the clock read here may run a block ahead of the sound.
const AFTERWARDS: f64 = 0.05;
/// The longest delay between scheduling time and ear the record of what sounds must bridge, in seconds.
const SHOWN_AFTERWARDS: f64 = 0.7;

/// A groove in play.
pub struct Run {
    wanted: Wanted,
    transport: Transport,
    ledger: Ledger,
    graph: Graph,
    clicks: [AudioBuffer; 2],
    live: HashMap<Key, Live>,
    /// Sources that were replaced or cut off while they sounded.
    leaving: Vec<Source>,
    shown: Vec<Shown>,
    lost: u64,
}

struct Live {
    event: Event,
    source: Source,
}

struct Shown {
    key: Key,
    start: f64,
    over: f64,
}

impl Run {
    /// Begins: the first sound is 60 ms from the anchor, or later by what early strokes need. Everything that takes time
    /// comes first (the graph, and every buffer the first pump will ask for); only then is `clock` (seconds of the
    /// context) read for the anchor, which is returned: the first pump belongs to that very moment.
    pub fn begin(
        context: &BaseAudioContext,
        wanted: Wanted,
        buffers: &ToneBuffers,
        volume: f64,
        cache: &mut Cache,
        clock: impl Fn() -> f64,
    ) -> Result<(Run, f64), Failure> {
        let now = clock();
        let graph = Graph::new(context, buffers, volume, now)?;
        let rate = graph.rate();
        let click = |accent| audio_buffer(&[&click::render(accent, rate as u32)], rate as u32);
        let clicks = [click(false)?, click(true)?];
        let start = wanted.options.start(&wanted.groove);
        let transport = |now| Transport::start(Arc::clone(&wanted.groove), rate, frame(now, rate), start);
        let first = transport(now);
        for event in first.desired(frame(now, rate), frame(now + FIRST_SECONDS, rate)) {
            if let (Instrument::Role(_), Some(voiced)) =
                (event.instrument, voiced(&event, &wanted.groove, &wanted.kit, rate))
            {
                cache.get(&voiced.key, &wanted.kit, rate as u32);
            }
        }
        let now = clock();
        let transport = transport(now);
        let run = Run {
            wanted,
            transport,
            ledger: Ledger::new(),
            graph,
            clicks,
            live: HashMap::new(),
            leaving: Vec::new(),
            shown: Vec::new(),
            lost: 0,
        };
        Ok((run, now))
    }

    /// What it plays now, so that another run can take its place.
    pub fn wanted(&self) -> &Wanted {
        &self.wanted
    }

    /// Starts, takes back and ends what the schedule says for the time after `now`.
    pub fn pump(&mut self, now: f64, cache: &mut Cache, mix: &Mix) -> Result<(), Failure> {
        let now_frame = frame(now, self.graph.rate());
        for action in self.ledger.reconcile(&self.transport, now_frame) {
            match action {
                Action::Start(event) => self.start(event, now, cache, mix)?,
                Action::Cancel(key) => self.cancel(&key, now),
                Action::Retime { key, end, glide } => {
                    if let Some(live) = self.live.get_mut(&key) {
                        (live.event.end, live.event.glide) = (end, glide);
                        let rate = self.graph.rate();
                        if let Some(voiced) = voiced(&live.event, self.transport.groove(), &self.wanted.kit, rate) {
                            live.source.retime(&voiced, now);
                            let over = live.source.over();
                            self.shown.iter_mut().filter(|shown| shown.key == key).for_each(|shown| shown.over = over);
                        }
                    }
                }
            }
        }
        self.transport.forget(now_frame);
        self.graph.tend(now, now + DUCK_AHEAD);
        self.live.retain(|_, live| live.source.over() + AFTERWARDS > now);
        self.leaving.retain(|source| source.over() + AFTERWARDS > now);
        self.shown.retain(|shown| shown.over + SHOWN_AFTERWARDS > now);
        Ok(())
    }

    fn start(&mut self, event: Event, now: f64, cache: &mut Cache, mix: &Mix) -> Result<(), Failure> {
        if self.wanted.options.passes.is_some_and(|passes| event.key.pass >= passes) {
            return Ok(());
        }
        let rate = self.graph.rate();
        let Some(voiced) = voiced(&event, self.transport.groove(), &self.wanted.kit, rate) else {
            // The kit has neither the voice nor a stand-in: the lane is silent, which the page shows from the kit.
            return Ok(());
        };
        let frame = event.frame.0;
        let source = match event.instrument {
            Instrument::Click { accent } => {
                let [plain, accented] = &self.clicks;
                self.graph.start_click(&voiced, if accent { accented } else { plain }, frame)?
            }
            Instrument::Role(_) => {
                let Some(buffer) = cache.get(&voiced.key, &self.wanted.kit, rate as u32) else {
                    self.lost += 1;
                    return Ok(());
                };
                let lane = event.key.lane().map(|lane| (lane, mix.sounds(lane)));
                let song = (event.frame - self.transport.started()).to_seconds(rate).0;
                let wander = self.graph.tone().wander_cents_at(song);
                self.graph.start(&voiced, &buffer, lane, frame, wander)?
            }
        };
        self.shown.push(Shown { key: event.key, start: source.starts(), over: source.over() });
        if let Some(mut old) = self.live.insert(event.key, Live { event, source }) {
            old.source.cancel(now);
            self.leaving.push(old.source);
        }
        Ok(())
    }

    fn cancel(&mut self, key: &Key, now: f64) {
        if let Some(mut live) = self.live.remove(key) {
            if matches!(live.event.instrument, Instrument::Role(crate::role::Role::Kick)) {
                self.graph.forget_kick(live.source.starts());
            }
            live.source.cancel(now);
            self.shown.retain(|shown| shown.key != *key);
            self.leaving.push(live.source);
        }
    }

    /// Puts an edited groove in force.
    pub fn edit(&mut self, groove: Arc<Groove>, now: f64) {
        self.wanted.groove = Arc::clone(&groove);
        self.transport.edit(groove, frame(now, self.graph.rate()));
    }

    /// Puts another groove in its place.
    pub fn exchange(&mut self, groove: Arc<Groove>, now: f64) {
        self.wanted.groove = Arc::clone(&groove);
        self.transport.exchange(groove, frame(now, self.graph.rate()));
    }

    /// Loops a stretch of beats.
    pub fn set_span(&mut self, span: Option<Span>, now: f64) {
        self.wanted.options.span = span;
        self.transport.set_span(span, frame(now, self.graph.rate()));
    }

    /// Turns the click on or off.
    pub fn set_click(&mut self, on: bool) {
        self.wanted.options.click = on;
        self.transport.set_click(on);
    }

    /// Clicks in this pulse.
    pub fn set_click_pulse(&mut self, pulse: ClickPulse) {
        self.wanted.options.click_pulse = pulse;
        self.transport.set_click_pulse(pulse);
    }

    /// Plays at this pace.
    pub fn set_pace(&mut self, pace: Pace, now: f64) {
        self.wanted.options.pace = pace;
        self.transport.set_pace(pace, frame(now, self.graph.rate()));
    }

    /// Another kit and tone: what is pending is started anew, what sounds rings out as it began.
    pub fn set_sound(
        &mut self,
        kit: Arc<Kit>,
        buffers: &ToneBuffers,
        tone: Arc<Tone>,
        now: f64,
        cache: &mut Cache,
        mix: &Mix,
    ) -> Result<(), Failure> {
        if !buffers.fit(self.graph.tone(), self.graph.rate() as u32) {
            self.graph.set_tone(buffers, now)?;
        }
        (self.wanted.kit, self.wanted.tone) = (kit, tone);
        // What starts within the time it takes to render is left alone.
        let after = now + crate::schedule::margins::FROZEN.0;
        let pending: Vec<Event> = self
            .live
            .values()
            .filter(|live| live.source.starts() > after && live.event.key.lane().is_some())
            .map(|live| live.event.clone())
            .collect();
        for event in pending {
            self.cancel(&event.key, now);
            self.start(event, now, cache, mix)?;
        }
        Ok(())
    }

    /// Lets each lane sound or not.
    pub fn set_mix(&mut self, mix: &Mix, now: f64) {
        for lane in self.transport.groove().pattern.lanes() {
            self.graph.set_lane(lane.id, mix.sounds(lane.id), now);
        }
    }

    /// The volume, 0 to 1.
    pub fn set_volume(&mut self, volume: f64, now: f64) {
        self.graph.set_volume(volume, now, 0.020);
    }

    /// Ends it: silent within 20 ms of `now`, and nothing starts afterwards. Returns when it may be dropped.
    pub fn stop(&mut self, now: f64) -> f64 {
        self.graph.set_volume(0.0, now, STOP_SECONDS);
        let silent = now + STOP_SECONDS + 0.003;
        let sources = self.live.values_mut().map(|live| &mut live.source).chain(&mut self.leaving);
        sources.for_each(|source| source.end_at(silent));
        self.ledger.stop();
        silent + AFTERWARDS
    }

    /// Whether all the passes asked for are over and have rung out.
    pub fn is_over(&self, now: f64) -> bool {
        let pass = self.transport.pass(frame(now, self.graph.rate()));
        self.wanted.options.passes.is_some_and(|passes| pass >= passes) && self.live.is_empty()
    }

    /// Where the music is at `heard` seconds of the context.
    pub fn caret(&self, heard: f64) -> Caret {
        self.transport.caret(heard * self.graph.rate())
    }

    /// Which passes sound, if not all do.
    pub fn echo(&self) -> Option<Echo> {
        self.wanted.options.echo
    }

    /// What sounds at `heard` seconds of the context.
    pub fn sounding(&self, heard: f64) -> Vec<Sounding> {
        let now = self.shown.iter().filter(|shown| shown.start <= heard && heard < shown.over);
        let named = now.filter_map(|shown| {
            Some(Sounding {
                lane: shown.key.lane()?,
                stroke: shown.key.stroke,
                part: shown.key.part,
                age: heard - shown.start,
                lasts: shown.over - shown.start,
            })
        });
        named.collect()
    }

    /// How many hits were given up.
    pub fn dropped(&self) -> u64 {
        self.ledger.dropped() + self.lost
    }
}

/// Seconds of the context as a whole frame not after them.
fn frame(time: f64, rate: f64) -> Frames {
    Frames((time * rate).floor() as i64)
}
