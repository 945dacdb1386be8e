//! Practising: the click, a slower pace, and echoes with what came back.

use super::numbers::{counted, format};
use super::{marks, places};
use crate::lesson::echo::Answer;
use crate::rhythm::{Metre, Pattern, Tempo, Tick};
use crate::schedule::{ClickPulse, EchoPhase, Pace};

/// Names of controls.
pub mod controls {
    #![allow(missing_docs, reason = "each constant is named after the words it holds")]
    pub const PRACTICE: &str = "Practise";
    pub const CLICK_COUNT: &str = "Which count clicks";
    pub const SLOWER: &str = "Slower";
    pub const FULL: &str = "Full tempo";
    pub const ECHO: &str = "Echo";
    pub const END_ECHO: &str = "End the echo";
    pub const TAP: &str = "Tap";
    pub const TAPPED_LANE: &str = "What you tap";
    pub const ALL_LANES: &str = "all that sounds";
    pub const BARS: &str = "How much is heard at a time";
}

/// What an echo is, beside its button.
pub const ECHO_HINT: &str = "Listen, say it, then tap it back on the big button, or with Space or Enter.";

/// The learning tempo that has a button of its own, in percent.
pub const LEARNING: u8 = 70;

/// One of the two counts the click may follow, with its tempo: "felt, 71 a minute".
pub fn click_count(pulse: ClickPulse, tempo: Tempo) -> String {
    match pulse {
        ClickPulse::Felt => format!("felt, {} a minute", format(tempo.felt_bpm(), 1)),
        ClickPulse::Written => format!("written, {} a minute", format(tempo.bpm.get(), 1)),
    }
}

/// A pace as it stands beside its control: "70 %, ♩ = 99.4"; "full tempo".
pub fn pace(pace: Pace, tempo: Tempo) -> String {
    if pace == Pace::FULL {
        return "full tempo".to_owned();
    }
    format!("{} %, {}", pace.percent(), marks::tempo(pace.of(tempo)))
}

/// A pace as a button: "70 %".
pub fn percent(percent: u8) -> String {
    format!("{percent} %")
}

/// Whose turn it is, and what is tapped in it: "Your turn: Kick".
pub fn phase(phase: Option<EchoPhase>, tapped: &str) -> String {
    match phase {
        None => "Get ready".to_owned(),
        Some(EchoPhase::Listen) => format!("Listen: {tapped}"),
        Some(EchoPhase::Yours) => format!("Your turn: {tapped}"),
    }
}

/// So many bars: "1 bar".
pub fn bars(bars: u8) -> String {
    counted(usize::from(bars), "bar", "bars")
}

/// How an answer went: what was found first, then what was not. Never whether it came late or early: the delays of
/// loudspeakers and screens are unknown.
pub fn answer(answer: &Answer, pattern: &Pattern, pulse: Tick) -> String {
    let all = answer.found.len() + answer.missed.len();
    if answer.found.is_empty() && answer.extra.is_empty() {
        return "No taps this time. Tap the strokes you heard, on the button or with Space.".to_owned();
    }
    let strokes = counted(all, "stroke", "strokes");
    let mut sentence = match answer.missed.len() {
        0 if all == 1 => "The stroke was found.".to_owned(),
        0 => format!("All {strokes} found."),
        missed => format!("{} of {strokes} found; missed: {}.", all - missed, list(&answer.missed, pattern, pulse)),
    };
    if let Some(first) = answer.extra.first() {
        let near = place(nearest(*first, pulse, pattern.length()), pattern, pulse);
        let taps = counted(answer.extra.len(), "tap", "taps");
        let near = if answer.extra.len() == 1 { format!("near {near}") } else { format!("the first near {near}") };
        sentence.push_str(&format!(" {taps} too many, {near}."));
    }
    if let Some(spread) = answer.spread_ms {
        let how = match spread {
            ..15.0 => "Very even",
            15.0..35.0 => "Even",
            _ => "Not yet even",
        };
        sentence.push_str(&format!(" {how}: within {} ms.", format(spread, 0)));
    }
    sentence
}

/// The first few of these places.
fn list(ticks: &[Tick], pattern: &Pattern, pulse: Tick) -> String {
    let mut named: Vec<String> = ticks.iter().take(3).map(|&at| place(at, pattern, pulse)).collect();
    if ticks.len() > 3 {
        named.push(format!("{} more", ticks.len() - 3));
    }
    named.join("; ")
}

/// A place, with its bar where there are several.
fn place(at: Tick, pattern: &Pattern, pulse: Tick) -> String {
    let metre: &Metre = pattern.metre();
    let beat = places::beat(nearest(at, pulse, pattern.length()), pulse, metre);
    if pattern.bars() == 1 { beat } else { format!("bar {} {beat}", at.div_euclid(metre.bar()) + 1) }
}

/// The place of the pulse nearest to a sounding tick, which swing and lean may have moved.
fn nearest(at: Tick, pulse: Tick, length: Tick) -> Tick {
    let pulse = pulse.0.max(1);
    Tick((at.0 + pulse / 2).div_euclid(pulse) * pulse).rem_euclid(length)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rhythm::Bpm;

    #[track_caller]
    fn check(found: usize, missed: &[i64], extra: &[i64], spread_ms: Option<f64>, want: &str) {
        let ticks = |list: &[i64]| list.iter().map(|&at| Tick(at)).collect();
        let answer_of = Answer { found: vec![Tick(0); found], missed: ticks(missed), extra: ticks(extra), spread_ms };
        let pattern = Pattern::empty(Metre::four_four(), 1).unwrap();
        assert_eq!(answer(&answer_of, &pattern, Tick(240)), want);
    }

    #[test]
    fn answers() {
        check(4, &[], &[], Some(9.4), "All 4 strokes found. Very even: within 9 ms.");
        check(1, &[], &[], None, "The stroke was found.");
        check(3, &[1500], &[], Some(22.0), "3 of 4 strokes found; missed: beat 2 and. Even: within 22 ms.");
        check(2, &[], &[2000], None, "All 2 strokes found. 1 tap too many, near beat 3.");
        check(
            3,
            &[0, 240, 480, 720, 960],
            &[1200, 2000],
            Some(40.0),
            "3 of 8 strokes found; missed: beat 1; beat 1 e; beat 1 and; 2 more. 2 taps too many, the first near beat 2 e. Not yet even: within 40 ms.",
        );
        check(0, &[0], &[], None, "No taps this time. Tap the strokes you heard, on the button or with Space.");
    }

    #[test]
    fn paces_and_clicks() {
        let trap = Tempo::new(Bpm::new(142.0).unwrap(), Tick(960), Tick(1920)).unwrap();
        assert_eq!(pace(Pace::clamped(70), trap), "70 %, ♩ = 99.4");
        assert_eq!(pace(Pace::FULL, trap), "full tempo");
        assert_eq!(click_count(ClickPulse::Felt, trap), "felt, 71 a minute");
        assert_eq!(click_count(ClickPulse::Written, trap), "written, 142 a minute");
    }
}
