//! Call and answer: passes that sound, and passes left to the learner, in turn.

use super::span::Span;
use crate::rhythm::{Pattern, Tick};

/// Whose turn a pass is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum EchoPhase {
    /// The groove sounds.
    Listen,
    /// Its lanes are silent, for the learner to play them; the click goes on.
    Yours,
}

/// How many passes sound, and how many are then left to the learner, round and round. Neither is 0.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Echo {
    heard: u32,
    silent: u32,
}

impl Echo {
    /// So many bars of `pattern` heard and so many left to the learner, at least one each, and the loop that goes round:
    /// the first bars where fewer than all are heard, else the whole pattern (`None`), as often as the bars ask for.
    pub fn over(pattern: &Pattern, bars_heard: u8, bars_silent: u8) -> (Echo, Option<Span>) {
        let heard = bars_heard.max(1);
        let turn = heard.min(pattern.bars().max(1));
        let passes = |bars: u8| u32::from(bars.max(1).div_ceil(turn));
        let end = pattern.metre().bar().times(i64::from(turn));
        let span = if turn < pattern.bars() { Span::new(pattern, Tick::ZERO, end) } else { None };
        (Echo { heard: passes(heard), silent: passes(bars_silent) }, span)
    }

    /// How many passes sound in a row.
    pub const fn heard(self) -> u32 {
        self.heard
    }

    /// How many passes in a row are the learner's.
    pub const fn silent(self) -> u32 {
        self.silent
    }

    /// Whose turn the pass of that number is; see [`super::Key::pass`].
    pub const fn phase(self, pass: u32) -> EchoPhase {
        if self.within(pass) < self.heard { EchoPhase::Listen } else { EchoPhase::Yours }
    }

    /// The how-manieth pass of the learner's turn pass `pass` is, from 0; `None` while the groove sounds.
    pub const fn answer(self, pass: u32) -> Option<u32> {
        self.within(pass).checked_sub(self.heard)
    }

    const fn within(self, pass: u32) -> u32 {
        pass % (self.heard + self.silent)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rhythm::Metre;

    #[track_caller]
    fn check(bars: u8, asked: (u8, u8), span: Option<i64>, want: &str) {
        let pattern = Pattern::empty(Metre::four_four(), bars).unwrap();
        let (echo, found) = Echo::over(&pattern, asked.0, asked.1);
        assert_eq!(found.map(|span| (span.start().0, span.end().0)), span.map(|end| (0, end)));
        let phases = (0..8).map(|pass| match (echo.phase(pass), echo.answer(pass)) {
            (EchoPhase::Listen, None) => '.',
            (EchoPhase::Yours, Some(n)) => char::from(b'0' + n as u8),
            _ => '?',
        });
        assert_eq!(phases.collect::<String>(), want);
    }

    #[test]
    fn passes_take_turns() {
        check(1, (1, 1), None, ".0.0.0.0");
        check(2, (2, 2), None, ".0.0.0.0");
        check(4, (2, 2), Some(7680), ".0.0.0.0");
        check(4, (1, 1), Some(3840), ".0.0.0.0");
        check(1, (2, 2), None, "..01..01");
        check(1, (2, 4), None, "..0123..");
        check(2, (3, 1), None, "..0..0..");
        check(2, (1, 3), Some(3840), ".012.012");
        check(4, (0, 0), Some(3840), ".0.0.0.0");
        check(8, (255, 255), None, "........");
    }
}
