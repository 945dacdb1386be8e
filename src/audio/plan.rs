//! A stretch of a groove as a finished plan: every event with its voice, for renders beforehand and for buffers needed.
//!
//! The plan is what the pump plays piece by piece, taken as a whole: the same schedule, the same voicing.

use super::click;
use super::voicing::{self, VoiceKey, Voiced};
use crate::rhythm::{Frames, Groove, Seconds};
use crate::schedule::{Event, Instrument, Start, Transport};
use crate::synth::bus::{self, BusEvent, Fade};
use crate::synth::{Kit, Tone};
use std::collections::BTreeMap;
use std::sync::Arc;

/// How long the filters of a tone ring after the last sample, in seconds.
const FILTERS_RING: f64 = 0.05;

/// Events with their voices, in order of time, on a clock that starts at 0.
#[derive(Clone, Debug)]
pub struct Plan {
    /// What sounds.
    pub events: Vec<Planned>,
    /// Frames a second.
    pub rate: u32,
    /// The frame of the first pass's first tick; count-in and early strokes lie before it.
    pub origin: Frames,
    /// The frame at which the last pass ends; tails ring beyond.
    pub end: Frames,
}

/// One event and how it is played.
#[derive(Clone, Debug)]
pub struct Planned {
    /// When and what.
    pub event: Event,
    /// With which buffer, gain, bend and end.
    pub voiced: Voiced,
}

/// Plans `passes` passes (at least one) of `groove` with `kit` at `rate`. Events the kit has no voice for are left out.
pub fn plan(groove: &Arc<Groove>, kit: &Kit, passes: u32, start: Start, rate: u32) -> Plan {
    let hertz = f64::from(rate);
    let transport = Transport::start(Arc::clone(groove), hertz, Frames(0), start);
    let passes = passes.max(1);
    let (origin, length) = transport.segments().first().map_or((0.0, 0.0), |segment| {
        let whole = segment.first.length() + segment.span.length().times(i64::from(passes) - 1);
        (segment.anchor, segment.groove.tempo.seconds(whole.as_f64()).0 * hertz)
    });
    let end = Frames((origin + length).round() as i64);
    // Strokes may be nudged or lean beyond the seam; which pass they belong to is in their identity.
    let slack = (groove.tempo.seconds(960.0) + Seconds(0.2)).to_frames(hertz);
    let wanted = transport.desired(Frames(0), end + slack).into_iter().filter(|event| event.key.pass < passes);
    let events = wanted.filter_map(|event| {
        let voiced = voiced(&event, groove, kit, hertz)?;
        Some(Planned { event, voiced })
    });
    Plan { events: events.collect(), rate, origin: Frames(origin.round() as i64), end }
}

/// How an event of `groove` is played with `kit`; clicks need no kit.
pub fn voiced(event: &Event, groove: &Groove, kit: &Kit, rate: f64) -> Option<Voiced> {
    match event.instrument {
        Instrument::Click { accent } => Some(click::voiced(accent)),
        Instrument::Role(_) => {
            voicing::voice(event, kit, groove.sound.speed, voicing::roll_bend(groove, event.key), rate)
        }
    }
}

impl Plan {
    /// The buffers of the kit's voices this plan needs, in the order of their first use.
    pub fn keys(&self) -> Vec<VoiceKey> {
        let mut keys: Vec<VoiceKey> = Vec::new();
        for planned in self.events.iter().filter(|planned| planned.event.key.lane().is_some()) {
            if !keys.contains(&planned.voiced.key) {
                keys.push(planned.voiced.key.clone());
            }
        }
        keys
    }

    /// Seconds from the end of the last pass until the last hit and the room of `tone` have rung out; `seconds` is how long
    /// the buffer of a voice is.
    pub fn tail(&self, tone: &Tone, mut seconds: impl FnMut(&VoiceKey) -> f64) -> f64 {
        let rate = f64::from(self.rate);
        let mut known: BTreeMap<&VoiceKey, f64> = BTreeMap::new();
        let mut rung = 0.0_f64;
        for Planned { event, voiced } in &self.events {
            let buffer = *known.entry(&voiced.key).or_insert_with(|| seconds(&voiced.key));
            rung = rung.max((event.frame - self.end).to_seconds(rate).0 + voiced.lasts(buffer));
        }
        let room = if tone.room.wet_percent > 0.0 { tone.room.seconds() } else { 0.0 };
        rung + room + FILTERS_RING
    }

    /// Renders the plan through the reference bus: left and right, until `tail` seconds after the last pass's end.
    pub fn render(&self, kit: &Kit, tone: &Tone, tail: f64) -> [Vec<f32>; 2] {
        let rate = f64::from(self.rate);
        let mut buffers: BTreeMap<&VoiceKey, Vec<f32>> = BTreeMap::new();
        for Planned { event, voiced } in &self.events {
            if !buffers.contains_key(&voiced.key) {
                let buffer = match event.instrument {
                    Instrument::Click { accent } => Some(click::render(accent, self.rate)),
                    Instrument::Role(_) => voiced.key.render(kit, self.rate),
                };
                buffers.insert(&voiced.key, buffer.unwrap_or_default());
            }
        }
        let events = self.events.iter().filter_map(|Planned { event, voiced }| {
            let fade =
                voiced.fade.map(|(after, ms)| Fade { at_frame: event.frame.0 + (after * rate).round() as i64, ms });
            Some(BusEvent {
                frame: event.frame.0,
                samples: buffers.get(&voiced.key)?,
                gain: voiced.gain,
                bend: &voiced.bend,
                fade,
                kick: voiced.kick,
            })
        });
        let events: Vec<BusEvent> = events.collect();
        let frames = self.end + Seconds(tail.clamp(0.0, 20.0)).to_frames(rate);
        bus::mix(&events, tone, frames.0.max(1) as usize, self.rate)
    }
}
