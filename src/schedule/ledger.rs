//! The ledger: what has been handed to the audio engine, and what it must be told next.

use super::event::{End, Event, GlideTime, Instrument, Key};
use super::margins;
use super::score;
use super::transport::Transport;
use crate::rhythm::Frames;
use std::collections::{BTreeMap, BTreeSet};

/// One thing to tell the audio engine. Within a list the order matters: a stroke that moves is cancelled and then started.
#[derive(Clone, Debug, PartialEq)]
pub enum Action {
    /// Schedule this event. Its frame lies at or after the `now` of the call.
    Start(Event),
    /// Take this event back: it has not begun (or all is stopped, and what sounds is let go).
    Cancel(Key),
    /// The event stays, pending or sounding, but ends or slides otherwise; both fields are the new truth.
    Retime {
        /// Which event.
        key: Key,
        /// Its new end.
        end: Option<End>,
        /// Its new glide.
        glide: Option<GlideTime>,
    },
}

/// What has been handed over. One ledger belongs to one transport from its start to its stop.
#[derive(Clone, Debug, Default)]
pub struct Ledger {
    entries: BTreeMap<Key, Event>,
    /// Everything before this frame has been handed over (or counted as dropped).
    reached: Option<Frames>,
    version: Option<u64>,
    dropped: u64,
}

impl Ledger {
    /// An empty ledger.
    pub fn new() -> Ledger {
        Ledger::default()
    }

    /// How many events came too late to be started since the beginning: those of stalls longer than the horizon forgives.
    pub fn dropped(&self) -> u64 {
        self.dropped
    }

    /// How many events are remembered.
    pub fn remembered(&self) -> usize {
        self.entries.len()
    }

    /// Compares what has been handed over with what `transport` desires up to the horizon, and says what to do about the
    /// difference. Nothing is started before `now`; what starts or ends within the frozen margin is left as it is.
    pub fn reconcile(&mut self, transport: &Transport, now: Frames) -> Vec<Action> {
        let rate = transport.rate();
        let frozen = now + margins::frames(margins::FROZEN, rate);
        let reached = self.reached.unwrap_or(transport.started());
        let to = reached.max(now + margins::frames(margins::HORIZON, rate));
        let changed = self.version != Some(transport.version());
        let from = if changed { reached.min(frozen) } else { reached };
        let mut actions = Vec::new();
        let mut wanted = BTreeSet::new();
        for event in transport.desired(from, to) {
            wanted.insert(event.key);
            match self.entries.get(&event.key) {
                Some(old) if old.frame < frozen => {}
                Some(old) => {
                    let old = old.clone();
                    self.replace(&old, event, &mut actions);
                }
                // Covered by an earlier call and not handed over: an edit put it here too late.
                None if event.frame < reached.min(frozen) => {}
                None if event.frame < now => self.dropped += 1,
                None => self.hand_over(event, &mut actions),
            }
        }
        if changed {
            self.withdraw(transport, &wanted, frozen, &mut actions);
            self.retime_held(transport, frozen, &mut actions);
        }
        self.reached = Some(to);
        self.version = Some(transport.version());
        self.forget(transport.pass(now), now - margins::frames(margins::MEMORY, rate));
        actions
    }

    /// Stops: cancels everything remembered, sounding or not (what is unknown to the audio engine has rung out), and
    /// empties the ledger.
    pub fn stop(&mut self) -> Vec<Action> {
        let entries = core::mem::take(&mut self.entries);
        *self = Ledger { dropped: self.dropped, ..Ledger::new() };
        entries.into_keys().map(Action::Cancel).collect()
    }

    fn hand_over(&mut self, event: Event, actions: &mut Vec<Action>) {
        self.entries.insert(event.key, event.clone());
        actions.push(Action::Start(event));
    }

    /// Brings the pending `old` to where `new` wants it.
    fn replace(&mut self, old: &Event, new: Event, actions: &mut Vec<Action>) {
        if *old == new {
            return;
        }
        let same = Event { at: new.at, end: new.end, glide: new.glide, ..old.clone() } == new;
        if same {
            if (old.end, old.glide) != (new.end, new.glide) {
                actions.push(Action::Retime { key: new.key, end: new.end, glide: new.glide });
            }
            self.entries.insert(new.key, new);
        } else {
            actions.push(Action::Cancel(old.key));
            self.hand_over(new, actions);
        }
    }

    /// Takes back what is pending and no longer wanted.
    fn withdraw(&mut self, transport: &Transport, wanted: &BTreeSet<Key>, frozen: Frames, actions: &mut Vec<Action>) {
        let pending = self.entries.values().filter(|old| old.frame >= frozen && !wanted.contains(&old.key));
        for old in pending.cloned().collect::<Vec<_>>() {
            match transport.event(&old.key) {
                // A change of feel or lean would have had it sound a moment ago: it sounds as soon as it may.
                Some(new) if new.at == old.at && new.frame < frozen => {
                    let (end, glide) = transport.ending_since(&old.key, frozen, frozen + Frames(1)).unwrap_or_default();
                    self.replace(&old, Event { frame: frozen, end, glide, ..new }, actions);
                }
                _ => {
                    self.entries.remove(&old.key);
                    actions.push(Action::Cancel(old.key));
                }
            }
        }
    }

    /// Moves the ends of what sounds, as far as they are not frozen.
    fn retime_held(&mut self, transport: &Transport, frozen: Frames, actions: &mut Vec<Action>) {
        for old in self.entries.values_mut().filter(|old| old.frame < frozen) {
            let over = match old.end {
                Some(end) => end.frame < frozen,
                None => !endable(old.instrument),
            };
            if over {
                continue;
            }
            let after = frozen.max(old.frame + Frames(1));
            let Some((end, glide)) = transport.ending_since(&old.key, old.frame, after) else { continue };
            let end = end.map(|end| End { frame: end.frame.max(frozen), ..end });
            let glide = match (old.glide, glide) {
                (Some(begun), _) if begun.start < frozen => Some(begun),
                (_, Some(new)) => Some(GlideTime { start: new.start.max(frozen), end: new.end.max(frozen), ..new }),
                (_, None) => None,
            };
            if (end, glide) != (old.end, old.glide) {
                (old.end, old.glide) = (end, glide);
                actions.push(Action::Retime { key: old.key, end, glide });
            }
        }
    }

    /// Forgets what can neither sound again nor be ended.
    fn forget(&mut self, pass: u32, since: Frames) {
        let over = |event: &Event| event.frame < since && event.end.is_none_or(|end| end.frame < since);
        let old = self.entries.range(..).take_while(|(key, _)| key.pass.saturating_add(2) < pass);
        let over: Vec<Key> = old.filter(|(_, event)| over(event)).map(|(key, _)| *key).collect();
        for key in over {
            self.entries.remove(&key);
        }
    }
}

/// Whether an edit may give an end to a sound of this instrument that had none.
fn endable(instrument: Instrument) -> bool {
    match instrument {
        Instrument::Role(role) => role.is_pitched() || score::rings_open(role),
        Instrument::Click { .. } => false,
    }
}
