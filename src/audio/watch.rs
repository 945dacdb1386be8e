//! Whether a context really runs: its own word, held against its clock.
//!
//! After `resume()` an engine may say "running" up to 2 s before its clock moves, and after an interruption it may say so
//! with a clock that never moves again. [`Watch`] is asked at every tick and decides; it knows no browser.

/// What a context says of itself.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum State {
    /// It says it renders.
    Running,
    /// It waits for `resume()`.
    Suspended,
    /// Anything else: "interrupted" by a call or an alarm, "closed", or a word this program does not know. All of them
    /// are treated as stopped, and none may be resumed: a context brought back during an interruption can freeze.
    Held,
}

impl State {
    /// The state behind the engine's word.
    pub fn read(word: &str) -> State {
        match word {
            "running" => State::Running,
            "suspended" => State::Suspended,
            _ => State::Held,
        }
    }
}

/// What to do about a context.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// Its clock moves: schedule.
    Moving,
    /// It may yet move: wait.
    Waiting,
    /// It does not run, by its own word.
    Stopped,
    /// It says it runs and stands: make a fresh one.
    Standing,
}

/// How long the clock may stand after `resume()`, in ms: engines take up to 2 s.
pub const WAKING_MS: f64 = 2_300.0;
/// How long a clock that has moved may stand, in ms.
pub const STANDING_MS: f64 = 300.0;
/// The most one look may add to the time a clock is held to have stood, in ms: after a stall or a frozen page the first
/// look comes late and sees a clock that has had no chance to move yet.
const LOOK_MS: f64 = 60.0;

/// The memory of one context's clock.
#[derive(Clone, Copy, Debug, Default)]
pub struct Watch {
    seen: Option<(f64, f64)>,
    moved: bool,
    stood_ms: f64,
}

impl Watch {
    /// Looks once: `now_ms` is any steady clock in ms, `time` the context's `currentTime` in seconds.
    pub fn look(&mut self, state: State, now_ms: f64, time: f64) -> Verdict {
        if state != State::Running {
            *self = Watch::default();
            return Verdict::Stopped;
        }
        let Some((last_ms, last_time)) = self.seen.replace((now_ms, time)) else {
            return Verdict::Waiting;
        };
        // A clock that stands at 0 has not "not started": only movement counts.
        if time > last_time {
            self.moved = true;
            self.stood_ms = 0.0;
            return Verdict::Moving;
        }
        self.stood_ms += (now_ms - last_ms).clamp(0.0, LOOK_MS);
        let limit = if self.moved { STANDING_MS } else { WAKING_MS };
        match self.stood_ms {
            stood if stood > limit => Verdict::Standing,
            // Two looks inside one block of the engine: no news.
            _ if self.moved => Verdict::Moving,
            _ => Verdict::Waiting,
        }
    }

    /// Whether the clock has moved since the context last began to run.
    pub fn has_moved(&self) -> bool {
        self.moved
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Looks every 25 ms with the given clock readings and returns the verdicts.
    fn verdicts(state: State, times: impl IntoIterator<Item = f64>) -> Vec<Verdict> {
        let mut watch = Watch::default();
        times.into_iter().enumerate().map(|(n, time)| watch.look(state, n as f64 * 25.0, time)).collect()
    }

    #[test]
    fn every_word_but_running_is_stopped() {
        for (word, want) in [
            ("running", State::Running),
            ("suspended", State::Suspended),
            ("interrupted", State::Held),
            ("closed", State::Held),
            ("dreaming", State::Held),
            ("", State::Held),
        ] {
            assert_eq!(State::read(word), want, "{word}");
        }
        assert_eq!(verdicts(State::Held, [0.0, 0.1, 0.2]), [Verdict::Stopped; 3]);
        assert_eq!(verdicts(State::Suspended, [0.0, 0.0]), [Verdict::Stopped; 2]);
    }

    #[test]
    fn a_clock_may_take_two_seconds_to_move_and_then_three_tenths_to_stand() {
        let late = verdicts(State::Running, (0..90).map(|n| if n < 80 { 0.0 } else { f64::from(n) * 0.025 }));
        assert_eq!(late[79], Verdict::Waiting, "2 s of standing at 0 after the resume");
        assert_eq!(late[81], Verdict::Moving);
        let never = verdicts(State::Running, [0.0; 100]);
        assert_eq!(never.iter().position(|v| *v == Verdict::Standing), Some(93));
        let stops = verdicts(State::Running, (0..40).map(|n| f64::from(n.min(20)) * 0.025));
        assert_eq!(stops[20], Verdict::Moving);
        assert_eq!(stops[32], Verdict::Moving, "300 ms");
        assert_eq!(stops[33], Verdict::Standing);
    }

    #[test]
    fn a_late_look_is_no_standing_clock() {
        let mut watch = Watch::default();
        watch.look(State::Running, 0.0, 1.0);
        watch.look(State::Running, 25.0, 1.025);
        assert_eq!(watch.look(State::Running, 3_025.0, 1.025), Verdict::Moving, "the page was frozen for 3 s");
        assert_eq!(watch.look(State::Running, 3_050.0, 1.05), Verdict::Moving);
    }
}
