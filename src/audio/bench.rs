//! The bench: where single strokes are played, outside any groove.

use super::graph::{Graph, ToneBuffers};
use super::source::Source;
use super::status::Failure;
use super::voicing::{self, Voiced};
use crate::rhythm::{Frames, LaneId, Loudness, Part, StrokeId, TapeSpeed, Tick};
use crate::role::Role;
use crate::schedule::{Event, Instrument, Key, Line};
use crate::synth::kit::Place;
use crate::synth::{Kit, Patch, Tone, Voice};
use web_sys::{AudioBuffer, BaseAudioContext};

/// How far ahead of the clock's reading a stroke starts, in seconds: the reading is a block old.
const AHEAD: f64 = 0.005;

/// A graph of its own for single strokes; dropped when it has rung out.
pub struct Bench {
    graph: Graph,
    sources: Vec<Source>,
    over: f64,
}

impl Bench {
    /// A silent bench from the context's time `now` on.
    pub fn new(context: &BaseAudioContext, buffers: &ToneBuffers, volume: f64, now: f64) -> Result<Bench, Failure> {
        Ok(Bench { graph: Graph::new(context, buffers, volume, now)?, sources: Vec::new(), over: now })
    }

    /// Whether it plays through `tone` and still sounds.
    pub fn plays(&self, tone: &Tone, now: f64) -> bool {
        self.graph.tone() == tone && !self.is_over(now)
    }

    /// Plays one stroke at once.
    pub fn strike(&mut self, voiced: &Voiced, buffer: &AudioBuffer, now: f64) -> Result<(), Failure> {
        let frame = ((now + AHEAD) * self.graph.rate()).ceil() as i64;
        let source = self.graph.start(voiced, buffer, None, frame, 0.0)?;
        self.graph.tend(now, source.over());
        self.over = self.over.max(source.over() + self.graph.tone().room.decay_ms / 1000.0);
        self.sources.push(source);
        Ok(())
    }

    /// Falls silent.
    pub fn stop(&mut self, now: f64) {
        self.graph.set_volume(0.0, now, 0.015);
        self.over = self.over.min(now + 0.05);
    }

    /// The volume, 0 to 1.
    pub fn set_volume(&mut self, volume: f64, now: f64) {
        self.graph.set_volume(volume, now, 0.020);
    }

    /// Lets go of strokes that are over.
    pub fn tend(&mut self, now: f64) {
        self.sources.retain(|source| source.over() + 0.05 > now);
    }

    /// Whether all has rung out.
    pub fn is_over(&self, now: f64) -> bool {
        self.over < now
    }
}

/// The role a voice plays that is heard by itself: one that neither ducks nor is ducked.
pub const ROLE: Role = Role::Snare;

/// A kit of nothing but `patch`, without tone, at the level buffers have.
pub fn kit_of(patch: &Patch) -> Kit {
    let voice = Voice { patch: *patch, place: Place { level_db: 0.0, release_ms: 60.0 } };
    Kit { id: String::new(), name: String::new(), voices: [(ROLE, voice)].into(), tone: Tone::NEUTRAL }
}

/// `tone` without the hiss of its tape, which would go on when the stroke is over.
pub fn without_surface(tone: &Tone) -> Tone {
    let mut tone = *tone;
    tone.figures.surface_noise_db = -120.0;
    tone
}

/// How a lone stroke of `role` sounds; `note` is a MIDI note number, `None` the voice's own pitch.
pub fn voiced(role: Role, loudness: Loudness, note: Option<u8>, kit: &Kit, rate: f64) -> Option<Voiced> {
    let key = Key { pass: 0, line: Line::Lane(LaneId::default()), stroke: StrokeId::default(), part: Part::Stroke(0) };
    let event = Event {
        key,
        frame: Frames(0),
        instrument: Instrument::Role(role),
        at: Tick::ZERO,
        loudness,
        pitches: note.map(f64::from).into_iter().collect(),
        end: None,
        glide: None,
    };
    voicing::voice(&event, kit, TapeSpeed::NEUTRAL, 0.0, rate)
}
