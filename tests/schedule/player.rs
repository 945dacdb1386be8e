//! An audio engine that only keeps books, and refuses what a real one could not do.

use std::collections::BTreeMap;
use std::sync::Arc;
use stickleback::rhythm::{Frames, Groove};
use stickleback::schedule::{Action, Event, Key, Ledger, Line, Start, Transport};

/// A transport, its ledger, and all that has been started and not taken back.
pub struct Player {
    pub transport: Transport,
    pub ledger: Ledger,
    pub now: Frames,
    pub events: BTreeMap<Key, Event>,
    pub retimes: usize,
    anchor: f64,
}

impl Player {
    pub fn start(groove: &Groove, rate: f64, how: Start) -> Player {
        let now = Frames(12_345);
        let transport = Transport::start(Arc::new(groove.clone()), rate, now, how);
        let mut player = Player {
            anchor: transport.segments()[0].anchor,
            transport,
            ledger: Ledger::new(),
            now,
            events: BTreeMap::new(),
            retimes: 0,
        };
        player.pump();
        player
    }

    pub fn ms(&self, ms: f64) -> Frames {
        Frames((ms / 1000.0 * self.transport.rate()).round() as i64)
    }

    /// Lets `ms` go by and pumps.
    pub fn wait(&mut self, ms: f64) {
        self.now += self.ms(ms);
        self.pump();
    }

    /// Pumps every 25 ms until `ms` have gone by.
    pub fn run(&mut self, ms: f64) {
        let end = self.now + self.ms(ms);
        while self.now < end {
            self.wait(25.0);
        }
    }

    pub fn edit(&mut self, groove: &Groove) {
        self.transport.edit(Arc::new(groove.clone()), self.now);
        self.pump();
    }

    /// Reconciles once and carries out the actions, holding each against what an audio engine may be asked.
    pub fn pump(&mut self) {
        let frozen = self.now + self.ms(60.0);
        for action in self.ledger.reconcile(&self.transport, self.now) {
            match action {
                Action::Start(event) => {
                    assert!(event.frame >= self.now, "started late: {event:?} at {:?}", self.now);
                    assert!(event.end.is_none_or(|end| end.frame >= event.frame), "ends before it starts: {event:?}");
                    let twice = self.events.insert(event.key, event);
                    assert!(twice.is_none(), "started twice: {twice:?}");
                }
                Action::Cancel(key) => {
                    let event = self.events.remove(&key).expect("cancels what was started");
                    assert!(event.frame >= frozen, "cancelled though frozen: {event:?} at {:?}", self.now);
                }
                Action::Retime { key, end, glide } => {
                    let event = self.events.get_mut(&key).expect("retimes what was started");
                    assert!(event.end != end || event.glide != glide, "nothing new: {event:?}");
                    if event.end != end {
                        assert!(event.end.is_none_or(|end| end.frame >= frozen), "frozen end moved: {event:?}");
                        assert!(end.is_none_or(|end| end.frame >= frozen), "end moved into the frozen: {end:?}");
                    }
                    if event.glide != glide {
                        assert!(event.glide.is_none_or(|glide| glide.start >= frozen), "glide moved: {event:?}");
                    }
                    (event.end, event.glide) = (end, glide);
                    self.retimes += 1;
                }
            }
        }
        self.transport.forget(self.now);
    }

    /// All strokes of lanes that have sounded by now, in order of key.
    pub fn sounded(&self) -> Vec<(Key, Frames)> {
        let lanes = self.events.values().filter(|event| matches!(event.key.line, Line::Lane(_)));
        lanes.filter(|event| event.frame < self.now).map(|event| (event.key, event.frame)).collect()
    }

    /// The events of the lane at `lane` from the top, in order of time.
    pub fn lane(&self, lane: usize) -> Vec<&Event> {
        let id = self.transport.groove().pattern.lanes()[lane].id;
        self.line(Line::Lane(id))
    }

    pub fn line(&self, line: Line) -> Vec<&Event> {
        let mut events: Vec<_> = self.events.values().filter(|event| event.key.line == line).collect();
        events.sort_by_key(|event| event.frame);
        events
    }

    /// The frame at which the first pass began.
    pub fn anchor(&self) -> Frames {
        Frames(self.anchor as i64)
    }
}
