//! Changes while it plays: another state of the groove, other drums, another mix.

use super::{Engine, FIRST_VOLUME};
use crate::audio::mix::Mix;
use crate::audio::run::Run;
use crate::rhythm::Groove;
use crate::schedule::{ClickPulse, Pace, Span};
use crate::synth::{Kit, Tone};
use std::sync::Arc;

impl Engine {
    /// Does something to the run at the context's time, and pumps at once, so that it is heard as soon as may be.
    fn change(&mut self, what: impl FnOnce(&mut Run, f64)) {
        let Some(context) = &self.context else { return };
        let time = context.time();
        let Some(run) = &mut self.run else { return };
        what(run, time);
        if let Err(failure) = run.pump(time, &mut self.stock.cache, &self.mix) {
            self.fail(failure);
        }
    }

    /// Another state of the groove.
    pub fn edit(&mut self, groove: Arc<Groove>) {
        self.requeue(&groove);
        self.change(|run, time| run.edit(groove, time));
    }

    /// Another groove.
    pub fn exchange(&mut self, groove: Arc<Groove>) {
        self.requeue(&groove);
        self.change(|run, time| run.exchange(groove, time));
    }

    /// Another loop.
    pub fn set_span(&mut self, span: Option<Span>) {
        if let Some((wanted, _)) = &mut self.wanted {
            wanted.options.span = span;
        }
        self.change(|run, time| run.set_span(span, time));
    }

    /// The click on or off.
    pub fn set_click(&mut self, on: bool) {
        if let Some((wanted, _)) = &mut self.wanted {
            wanted.options.click = on;
        }
        self.change(|run, _| run.set_click(on));
    }

    /// Which pulse clicks.
    pub fn set_click_pulse(&mut self, pulse: ClickPulse) {
        if let Some((wanted, _)) = &mut self.wanted {
            wanted.options.click_pulse = pulse;
        }
        self.change(|run, _| run.set_click_pulse(pulse));
    }

    /// Another pace.
    pub fn set_pace(&mut self, pace: Pace) {
        if let Some((wanted, _)) = &mut self.wanted {
            wanted.options.pace = pace;
        }
        self.change(|run, time| run.set_pace(pace, time));
    }

    /// Another kit and tone.
    pub fn set_sound(&mut self, kit: Arc<Kit>, tone: Arc<Tone>) {
        if let Some((wanted, _)) = &mut self.wanted {
            (wanted.kit, wanted.tone) = (Arc::clone(&kit), Arc::clone(&tone));
        }
        let Some(groove) = self.run.as_ref().map(|run| Arc::clone(&run.wanted().groove)) else { return };
        self.stock.queue(&groove, &kit, self.rate);
        let buffers = match self.stock.tone(&tone, self.rate) {
            Ok(buffers) => buffers,
            Err(failure) => return self.fail(failure),
        };
        let Some((run, context)) = self.run.as_mut().zip(self.context.as_ref()) else { return };
        if let Err(failure) = run.set_sound(kit, &buffers, tone, context.time(), &mut self.stock.cache, &self.mix) {
            self.fail(failure);
        }
    }

    /// Mutes and solos.
    pub fn mix(&mut self, change: impl FnOnce(&mut Mix)) {
        change(&mut self.mix);
        if let Some((run, context)) = self.run.as_mut().zip(self.context.as_ref()) {
            run.set_mix(&self.mix, context.time());
        }
    }

    /// The volume.
    pub fn set_volume(&mut self, volume: f64) {
        self.volume = if volume.is_finite() { volume.clamp(0.0, 1.0) } else { FIRST_VOLUME };
        let Some(context) = &self.context else { return };
        if let Some(run) = &mut self.run {
            run.set_volume(self.volume, context.time());
        }
        if let Some(bench) = &mut self.bench {
            bench.set_volume(self.volume, context.time());
        }
    }

    fn requeue(&mut self, groove: &Arc<Groove>) {
        if let Some((wanted, _)) = &mut self.wanted {
            wanted.groove = Arc::clone(groove);
        }
        if let Some(kit) = self.run.as_ref().map(|run| Arc::clone(&run.wanted().kit)) {
            self.stock.queue(groove, &kit, self.rate);
        }
    }
}
