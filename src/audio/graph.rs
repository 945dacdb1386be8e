//! The graph of native nodes, one builder for the live and the offline context.
//!
//! The chain and all figures are those of the reference bus ([`crate::synth::bus`]). Every ramp stands on an anchor on the
//! same parameter, and values are remembered here: reading a parameter under automation is not reliable in every engine.

use super::cache::audio_buffer;
use super::context::refused;
use super::ducking::Ducking;
use super::source::Source;
use super::status::Failure;
use super::voicing::Voiced;
use crate::rhythm::LaneId;
use crate::synth::filter::{FLAT_DB, clamp_hz};
use crate::synth::tone::{SHAPER_RANGE, soft_clip_curve};
use crate::synth::{Tone, room, surface};
use std::collections::HashMap;
use web_sys::{
    AudioBuffer, AudioBufferSourceNode, AudioNode, AudioParam, BaseAudioContext, BiquadFilterType, GainNode,
    WaveShaperNode,
};

/// How fast a lane is muted and comes back, in seconds.
pub const MUTE_SECONDS: f64 = 0.010;
/// How long one tone takes to give way to another, in seconds.
const TONE_SECONDS: f64 = 0.030;

/// What a tone needs rendered: made once, kept while the tone stays.
#[derive(Clone)]
pub struct ToneBuffers {
    tone: Tone,
    rate: u32,
    room: Option<AudioBuffer>,
    surface: Option<AudioBuffer>,
}

impl ToneBuffers {
    /// Renders what `tone` needs at `rate`.
    pub fn render(tone: &Tone, rate: u32) -> Result<ToneBuffers, Failure> {
        ToneBuffers::room(tone, rate)?.with_surface()
    }

    /// Renders the first half of it, which is not yet all: the room.
    pub fn room(tone: &Tone, rate: u32) -> Result<ToneBuffers, Failure> {
        let room = if tone.room.wet_percent > 0.0 {
            let [left, right] = room::impulse(&tone.room, rate);
            Some(audio_buffer(&[&left, &right], rate)?)
        } else {
            None
        };
        Ok(ToneBuffers { tone: *tone, rate, room, surface: None })
    }

    /// Renders the second half: the noise of the surface.
    pub fn with_surface(mut self) -> Result<ToneBuffers, Failure> {
        let noise = surface::noise_loop(&self.tone, self.rate);
        self.surface = if noise.is_empty() { None } else { Some(audio_buffer(&[&noise], self.rate)?) };
        Ok(self)
    }

    /// Whether these are the buffers of `tone` at `rate`.
    pub fn fit(&self, tone: &Tone, rate: u32) -> bool {
        self.rate == rate && self.tone == *tone
    }
}

/// A gain that remembers where its ramps lead.
pub struct Ramp {
    param: AudioParam,
    from: f64,
    to: f64,
    start: f64,
    end: f64,
}

impl Ramp {
    /// The gain of `node`, at `value` from the start of time.
    pub fn new(node: &GainNode, value: f64) -> Ramp {
        let param = node.gain();
        param.set_value(value as f32);
        Ramp { param, from: value, to: value, start: 0.0, end: 0.0 }
    }

    /// Leads to `value` from `now` in a straight line over `seconds`.
    pub fn lead(&mut self, value: f64, now: f64, seconds: f64) {
        let from = self.at(now);
        (self.from, self.to, self.start, self.end) = (from, value, now, now + seconds);
        // These fail only for times or values that are no numbers.
        let _ = self.param.cancel_scheduled_values(now);
        let _ = self.param.set_value_at_time(from as f32, now);
        let _ = self.param.linear_ramp_to_value_at_time(value as f32, self.end);
    }

    /// The value at `time`.
    pub fn at(&self, time: f64) -> f64 {
        let along =
            if self.end > self.start { ((time - self.start) / (self.end - self.start)).clamp(0.0, 1.0) } else { 1.0 };
        self.from + (self.to - self.from) * along
    }

    /// Where it leads.
    pub fn goal(&self) -> f64 {
        self.to
    }
}

/// The nodes of one tone, from the mix of the lanes to the sum before the last shaper.
struct Chain {
    input: GainNode,
    output: GainNode,
    level: Ramp,
    surface: Option<AudioBufferSourceNode>,
}

struct Lane {
    node: GainNode,
    level: Ramp,
}

/// All nodes of one run; dropped, it falls silent and lets them go.
pub struct Graph {
    context: BaseAudioContext,
    rate: f64,
    lanes: HashMap<LaneId, Lane>,
    ducked: GainNode,
    direct: GainNode,
    ducking: Ducking,
    tone: Tone,
    chain: Chain,
    /// Chains that give way, with the time at which they are silent.
    leaving: Vec<(f64, Chain)>,
    sum: GainNode,
    master: GainNode,
    volume: Ramp,
}

impl Graph {
    /// A graph that plays through the tone of `buffers` at `volume` (0 to 1) into the destination, from the context's
    /// time `now` on.
    pub fn new(context: &BaseAudioContext, buffers: &ToneBuffers, volume: f64, now: f64) -> Result<Graph, Failure> {
        let gain = || context.create_gain().map_err(refused);
        let (sum, master, ducked, direct) = (gain()?, gain()?, gain()?, gain()?);
        let clip_curve = soft_clip_curve();
        let clip = shaper(context, &clip_curve)?;
        sum.gain().set_value((1.0 / SHAPER_RANGE) as f32);
        join(&[&sum, &clip, &master, &context.destination()])?;
        let chain = Chain::new(context, buffers, 1.0, now)?;
        join(&[&ducked, &chain.input])?;
        join(&[&direct, &chain.input])?;
        join(&[&chain.output, &sum])?;
        let _ = ducked.gain().set_value_at_time(1.0, now);
        let volume = Ramp::new(&master, volume.clamp(0.0, 1.0));
        Ok(Graph {
            context: context.clone(),
            rate: f64::from(context.sample_rate()),
            lanes: HashMap::new(),
            ducked,
            direct,
            ducking: Ducking::new(now),
            tone: buffers.tone,
            chain,
            leaving: Vec::new(),
            sum,
            master,
            volume,
        })
    }

    /// Frames a second.
    pub fn rate(&self) -> f64 {
        self.rate
    }

    /// The tone it plays through.
    pub fn tone(&self) -> &Tone {
        &self.tone
    }

    /// The last node before the destination, for taps.
    pub fn master(&self) -> &AudioNode {
        &self.master
    }

    /// Plays through another tone from `now` on; the old one gives way within 30 ms.
    pub fn set_tone(&mut self, buffers: &ToneBuffers, now: f64) -> Result<(), Failure> {
        let mut chain = Chain::new(&self.context, buffers, 0.0, now)?;
        join(&[&self.ducked, &chain.input])?;
        join(&[&self.direct, &chain.input])?;
        join(&[&chain.output, &self.sum])?;
        chain.level.lead(1.0, now, TONE_SECONDS);
        let mut old = std::mem::replace(&mut self.chain, chain);
        old.level.lead(0.0, now, TONE_SECONDS);
        self.leaving.push((now + 2.0 * TONE_SECONDS, old));
        if self.tone.figures.duck_db > 0.0 && buffers.tone.figures.duck_db <= 0.0 {
            let _ = self.ducked.gain().cancel_scheduled_values(now);
            let _ = self.ducked.gain().set_value_at_time(1.0, now);
        }
        self.tone = buffers.tone;
        Ok(())
    }

    /// The volume, 0 to 1.
    pub fn set_volume(&mut self, volume: f64, now: f64, seconds: f64) {
        self.volume.lead(volume.clamp(0.0, 1.0), now, seconds);
    }

    /// Whether a lane sounds.
    pub fn set_lane(&mut self, lane: LaneId, sounds: bool, now: f64) {
        let goal = if sounds { 1.0 } else { 0.0 };
        if let Some(lane) = self.lanes.get_mut(&lane)
            && (lane.level.goal() - goal).abs() > 1e-9
        {
            lane.level.lead(goal, now, MUTE_SECONDS);
        }
    }

    /// Starts `buffer` at `frame` of the context as `voiced` says, in `lane` (which sounds or not when it is first met).
    /// `wander` is the tone's detune at that moment, in cents.
    pub fn start(
        &mut self,
        voiced: &Voiced,
        buffer: &AudioBuffer,
        lane: Option<(LaneId, bool)>,
        frame: i64,
        wander: f64,
    ) -> Result<Source, Failure> {
        let when = frame as f64 / self.rate;
        let target = self.lane_node(lane, voiced.kick)?;
        let source = Source::start(&self.context, buffer, voiced, &target, when, wander)?;
        if voiced.kick && lane.is_none_or(|(_, sounds)| sounds) {
            self.ducking.kick(when);
        }
        Ok(source)
    }

    /// Starts `buffer` at `frame` beside the mix, for the click: neither room nor tone touch it.
    pub fn start_click(&self, voiced: &Voiced, buffer: &AudioBuffer, frame: i64) -> Result<Source, Failure> {
        Source::start(&self.context, buffer, voiced, &self.sum, frame as f64 / self.rate, 0.0)
    }

    /// A kick that was to start at `when` will not.
    pub fn forget_kick(&mut self, when: f64) {
        self.ducking.unkick(when);
    }

    /// Lays the ducking down to `to` seconds, and lets go of chains that have given way by `now`.
    pub fn tend(&mut self, now: f64, to: f64) {
        let param = self.ducked.gain();
        for (time, gain) in self.ducking.lay(&self.tone, to) {
            let _ = param.linear_ramp_to_value_at_time(gain as f32, time);
        }
        self.leaving.retain(|(silent, _)| *silent > now);
    }

    fn lane_node(&mut self, lane: Option<(LaneId, bool)>, kick: bool) -> Result<GainNode, Failure> {
        let group = if kick { &self.direct } else { &self.ducked };
        let Some((id, sounds)) = lane else { return Ok(group.clone()) };
        if let Some(lane) = self.lanes.get(&id) {
            return Ok(lane.node.clone());
        }
        let node = self.context.create_gain().map_err(refused)?;
        let level = Ramp::new(&node, if sounds { 1.0 } else { 0.0 });
        join(&[&node, group])?;
        self.lanes.insert(id, Lane { node: node.clone(), level });
        Ok(node)
    }
}

impl Drop for Graph {
    fn drop(&mut self) {
        for node in [&self.master, &self.sum, &self.ducked, &self.direct] {
            let _ = node.disconnect();
        }
        self.lanes.values().for_each(|lane| {
            let _ = lane.node.disconnect();
        });
    }
}

impl Chain {
    fn new(context: &BaseAudioContext, buffers: &ToneBuffers, level: f64, now: f64) -> Result<Chain, Failure> {
        let (tone, rate) = (&buffers.tone, f64::from(buffers.rate));
        let gain = |value: f64| {
            let node = context.create_gain().map_err(refused)?;
            node.gain().set_value(value as f32);
            Ok::<_, Failure>(node)
        };
        let filter = |kind, hz: f64| {
            let node = context.create_biquad_filter().map_err(refused)?;
            node.set_type(kind);
            node.frequency().set_value(clamp_hz(hz, rate) as f32);
            node.q().set_value(FLAT_DB as f32);
            Ok::<_, Failure>(node)
        };
        let (input, output) = (gain(1.0)?, gain(level)?);
        let high_pass = filter(BiquadFilterType::Highpass, tone.figures.high_pass_hz)?;
        let low_pass = filter(BiquadFilterType::Lowpass, tone.figures.low_pass_hz)?;
        let into = gain(1.0 / SHAPER_RANGE)?;
        let drive = shaper(context, &tone.shaper_curve())?;
        let common = gain(tone.level_gain())?;
        join(&[&input, &high_pass, &low_pass, &into, &drive, &common, &output])?;
        if let Some(impulse) = &buffers.room {
            let room = context.create_convolver().map_err(refused)?;
            // Before the buffer: the standard scales it when it is set.
            room.set_normalize(false);
            room.set_buffer(Some(impulse));
            let wet = gain(tone.room.wet_percent / 100.0)?;
            join(&[&drive, &room, &wet, &common])?;
        }
        let surface = match &buffers.surface {
            Some(noise) => {
                let source = context.create_buffer_source().map_err(refused)?;
                source.set_buffer(Some(noise));
                source.set_loop(true);
                join(&[&source, &output])?;
                source.start_with_when(now).map_err(refused)?;
                Some(source)
            }
            None => None,
        };
        let level = Ramp::new(&output, level);
        Ok(Chain { input, output, level, surface })
    }
}

impl Drop for Chain {
    fn drop(&mut self) {
        if let Some(source) = &self.surface {
            // It has been started, so stopping it cannot fail.
            #[allow(deprecated, reason = "the binding of stop() lies at the scheduled source")]
            let _ = source.stop();
            let _ = source.disconnect();
        }
        let _ = self.input.disconnect();
        let _ = self.output.disconnect();
    }
}

fn shaper(context: &BaseAudioContext, curve: &[f32]) -> Result<WaveShaperNode, Failure> {
    let node = context.create_wave_shaper().map_err(refused)?;
    let mut curve = curve.to_vec();
    node.set_curve_opt_f32_slice(Some(&mut curve));
    Ok(node)
}

/// Connects a row of nodes.
pub fn join(row: &[&AudioNode]) -> Result<(), Failure> {
    for pair in row.windows(2) {
        if let [from, to] = pair {
            from.connect_with_audio_node(to).map_err(refused)?;
        }
    }
    Ok(())
}
