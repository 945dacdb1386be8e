//! One sounding buffer: a source and the gain that ends it.

use super::context::refused;
use super::graph::join;
use super::status::Failure;
use super::voicing::Voiced;
use web_sys::{AudioBuffer, AudioBufferSourceNode, AudioNode, BaseAudioContext, GainNode};

/// A source that has been told when to start.
pub struct Source {
    source: AudioBufferSourceNode,
    gain: GainNode,
    level: f32,
    start: f64,
    over: f64,
    fades: Option<f64>,
    buffer_seconds: f64,
    wander: f64,
    slides: bool,
}

impl Source {
    /// Starts `buffer` at `when` (seconds of the context) into `target`.
    pub fn start(
        context: &BaseAudioContext,
        buffer: &AudioBuffer,
        voiced: &Voiced,
        target: &AudioNode,
        when: f64,
        wander: f64,
    ) -> Result<Source, Failure> {
        let source = context.create_buffer_source().map_err(refused)?;
        let gain = context.create_gain().map_err(refused)?;
        source.set_buffer(Some(buffer));
        gain.gain().set_value(voiced.gain);
        bend(&source, voiced, (when, when), wander);
        join(&[&source, &gain, target])?;
        source.start_with_when(when).map_err(refused)?;
        let over = when + voiced.lasts(buffer.duration());
        let mut source = Source {
            source,
            gain,
            level: voiced.gain,
            start: when,
            over,
            fades: None,
            buffer_seconds: buffer.duration(),
            wander,
            slides: voiced.bend.len() > 1,
        };
        if let Some((after, ms)) = voiced.fade {
            source.fade(when + after, ms);
        }
        Ok(source)
    }

    /// Lets it end: silent `ms` after `at` (seconds of the context, which must lie ahead).
    pub fn fade(&mut self, at: f64, ms: f64) {
        let (at, silent) = (at.max(self.start), at.max(self.start) + ms / 1000.0);
        let param = self.gain.gain();
        // These fail only for times or values that are no numbers.
        if let Some(before) = self.fades.replace(at) {
            let _ = param.cancel_scheduled_values(before.min(at));
        }
        let _ = param.set_value_at_time(self.level, at);
        let _ = param.linear_ramp_to_value_at_time(0.0, silent);
        self.end_at(silent);
    }

    /// Gives it another end and another slide, as far as they lie ahead of `now`; without an end it rings out.
    pub fn retime(&mut self, voiced: &Voiced, now: f64) {
        let param = self.gain.gain();
        match voiced.fade {
            Some((after, ms)) => self.fade((self.start + after).max(now), ms),
            None => {
                if let Some(before) = self.fades.take() {
                    let _ = param.cancel_scheduled_values(before);
                    self.end_at(self.start + voiced.lasts(self.buffer_seconds));
                }
            }
        }
        let speed = self.source.playback_rate();
        if voiced.bend.len() > 1 || self.slides {
            // The schedule changes a slide only before it begins: up to there the speed is the first one.
            let from = voiced.bend.get(1).filter(|_| voiced.bend.len() > 2).map_or(0.0, |corner| corner.seconds);
            let _ = speed.cancel_scheduled_values((self.start + from).max(now));
            bend(&self.source, voiced, (self.start, now), self.wander);
            self.slides = voiced.bend.len() > 1;
        }
    }

    /// Silences it: one that has not begun never begins, one that sounds is faded.
    pub fn cancel(&mut self, now: f64) {
        if self.start > now {
            let _ = self.gain.disconnect();
            self.end_at(now);
        } else if self.fades.is_none_or(|at| at > now) {
            self.fade(now, 5.0);
        }
    }

    /// Stops it at `time`, whatever it does; one that has not begun by then never begins.
    pub fn end_at(&mut self, time: f64) {
        #[allow(deprecated, reason = "the binding of stop(when) lies at the scheduled source")]
        let _ = self.source.stop_with_when(time.max(0.0));
        self.over = time;
    }

    /// When it starts, in seconds of the context.
    pub fn starts(&self) -> f64 {
        self.start
    }

    /// When it is over, in seconds of the context.
    pub fn over(&self) -> f64 {
        self.over
    }
}

impl Drop for Source {
    /// Takes its nodes out of the graph. The owner drops it once the context's clock has passed its end: the clock says
    /// so for all sources at once, where `ended` would want a listener each.
    fn drop(&mut self) {
        let _ = self.source.disconnect();
        let _ = self.gain.disconnect();
    }
}

/// Cents as a ratio of speed.
fn speed(cents: f64) -> f32 {
    (cents / 1200.0).exp2() as f32
}

/// Writes the bend on the source's speed; corners before `from` are over. An exponential ramp of the speed is a straight
/// line in cents; `detune`, which would take cents as they are, is missing in some engines.
fn bend(source: &AudioBufferSourceNode, voiced: &Voiced, (when, from): (f64, f64), wander: f64) {
    let param = source.playback_rate();
    let first = speed(voiced.first_cents() + wander);
    if (first - 1.0).abs() > 1e-7 {
        param.set_value(first);
    }
    if voiced.bend.len() > 1 {
        let _ = param.set_value_at_time(first, when.max(from));
        for corner in voiced.bend.iter().skip(1).filter(|corner| when + corner.seconds > from) {
            let _ = param.exponential_ramp_to_value_at_time(speed(corner.cents + wander), when + corner.seconds);
        }
    }
}
