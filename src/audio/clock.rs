//! The pump's clock: a tick every 25 ms, from a worker where one can be had.
//!
//! A hidden, silent page gets one timer tick a second (one a minute later), a worker keeps its own. The worker is a small
//! same-origin file, for a strict policy allows no blob; the page names it in the element with the id `clock`, whose
//! `src` is relative, so that the page works under any path. Where no worker starts an interval of the page takes over.

use super::listener::Listener;
use gloo_timers::callback::{Interval, Timeout};
use js_sys::{Object, Reflect};
use std::cell::{Cell, RefCell};
use std::rc::Rc;
use web_sys::Worker;

/// The time between ticks, in ms.
pub const TICK_MS: u32 = 25;
/// A worker that has not ticked after so many ms will not.
const PATIENCE_MS: u32 = 600;

/// The ticking clock; stops for good when dropped.
pub struct Clock {
    shared: Rc<Shared>,
}

struct Shared {
    tick: Box<dyn Fn()>,
    running: Cell<bool>,
    worker_ticked: Cell<bool>,
    worker_failed: Cell<bool>,
    worker: RefCell<Option<(Worker, [Listener; 2])>>,
    interval: RefCell<Option<Interval>>,
    patience: RefCell<Option<Timeout>>,
}

impl Clock {
    /// A clock at rest that will call `tick`.
    pub fn new(tick: impl Fn() + 'static) -> Clock {
        Clock {
            shared: Rc::new(Shared {
                tick: Box::new(tick),
                running: Cell::new(false),
                worker_ticked: Cell::new(false),
                worker_failed: Cell::new(false),
                worker: RefCell::new(None),
                interval: RefCell::new(None),
                patience: RefCell::new(None),
            }),
        }
    }

    /// Starts the ticks; a running clock runs on.
    pub fn start(&self) {
        if self.shared.running.replace(true) {
            return;
        }
        if self.shared.worker.borrow().is_none() && !self.shared.worker_failed.get() {
            Shared::hire(&self.shared);
        }
        match self.shared.worker.borrow().as_ref() {
            Some((worker, _)) => {
                let order = Object::new();
                let _ = Reflect::set(&order, &"every".into(), &f64::from(TICK_MS).into());
                if worker.post_message(&order).is_err() {
                    self.shared.worker_failed.set(true);
                }
            }
            None => self.shared.worker_failed.set(true),
        }
        if self.shared.worker_failed.get() {
            Shared::fall_back(&self.shared);
        } else if !self.shared.worker_ticked.get() {
            let shared = Rc::downgrade(&self.shared);
            let patience = Timeout::new(PATIENCE_MS, move || {
                if let Some(shared) = shared.upgrade().filter(|shared| !shared.worker_ticked.get()) {
                    shared.worker_failed.set(true);
                    Shared::fall_back(&shared);
                }
            });
            *self.shared.patience.borrow_mut() = Some(patience);
        }
    }

    /// Ends the ticks until the next start.
    pub fn stop(&self) {
        if !self.shared.running.replace(false) {
            return;
        }
        if let Some((worker, _)) = self.shared.worker.borrow().as_ref() {
            let _ = worker.post_message(&"stop".into());
        }
        *self.shared.interval.borrow_mut() = None;
        *self.shared.patience.borrow_mut() = None;
    }
}

impl Drop for Clock {
    fn drop(&mut self) {
        self.stop();
        if let Some((worker, listeners)) = self.shared.worker.borrow_mut().take() {
            drop(listeners);
            worker.terminate();
        }
    }
}

impl Shared {
    /// One tick, unless the clock was stopped while it was on its way.
    fn beat(&self) {
        if self.running.get() {
            (self.tick)();
        }
    }

    /// Starts the worker, if the page names one.
    fn hire(shared: &Rc<Shared>) {
        let document = web_sys::window().and_then(|window| window.document());
        let Some(path) = document.and_then(|page| page.get_element_by_id("clock")?.get_attribute("src")) else {
            return;
        };
        let Ok(worker) = Worker::new(&path) else { return };
        let (ticks, failures) = (Rc::downgrade(shared), Rc::downgrade(shared));
        let listeners = [
            Listener::new(&worker, "message", move |_| {
                if let Some(shared) = ticks.upgrade() {
                    shared.worker_ticked.set(true);
                    // The worker woke after all: one clock is enough.
                    if shared.worker_failed.replace(false) {
                        *shared.interval.borrow_mut() = None;
                    }
                    shared.beat();
                }
            }),
            Listener::new(&worker, "error", move |event| {
                event.prevent_default();
                if let Some(shared) = failures.upgrade() {
                    shared.worker_failed.set(true);
                    Shared::fall_back(&shared);
                }
            }),
        ];
        *shared.worker.borrow_mut() = Some((worker, listeners));
    }

    /// Lets an interval of the page tick instead.
    fn fall_back(shared: &Rc<Shared>) {
        if !shared.running.get() || shared.interval.borrow().is_some() {
            return;
        }
        let ticks = Rc::downgrade(shared);
        let interval = Interval::new(TICK_MS, move || {
            if let Some(shared) = ticks.upgrade() {
                shared.beat();
            }
        });
        *shared.interval.borrow_mut() = Some(interval);
    }
}
