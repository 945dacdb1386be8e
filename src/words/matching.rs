//! Words about matching a sound by ear: what is still too high, too long, too dirty, and how near one is.

use super::numbers::{counted, format};
use super::roles;
use crate::role::Role;
use crate::synth::dials::Dial;
use crate::synth::matching::{Amount, Finding};

/// Fixed words of the section.
pub mod controls {
    #![allow(missing_docs, reason = "each constant is named after the words it holds")]
    pub const HEADING: &str = "Match this sound by ear";
    pub const LEAD: &str = "We hide a sound that is not quite the voice you chose. Hear it, hear yours, and move yours until they are the same.";
    pub const NO_VOICE: &str = "Choose a voice first: the hidden sound is made from it.";
    pub const LEVEL: &str = "How much is moved";
    pub const HIDE: &str = "Hide a sound";
    pub const NEXT: &str = "Next hidden sound";
    pub const HIDDEN: &str = "Hear the hidden sound";
    pub const OWN: &str = "Hear yours";
    pub const WHOSE: &str = "Yours:";
    pub const KEYS: &str = "In this section the keys A and B do the same.";
    pub const CHECK: &str = "Check the match";
    pub const REVEAL: &str = "Show me the hidden sound";
    pub const REVEALED: &str = "Your dials stand where the hidden ones do now, and this is its picture.";
    pub const WERE: &str = "What was off until then:";
}

/// The levels: how many dials are moved, and what they are called.
pub const LEVELS: [(usize, &str); 3] = [(1, "one dial"), (2, "two dials"), (4, "four dials")];

/// What is hidden: "Hidden: the kick with one dial moved. You have that dial, too."
pub fn hidden(role: Role, moved: usize) -> String {
    let (dials, these) = match moved {
        1 => ("one dial".to_owned(), "that dial"),
        2 => ("two dials".to_owned(), "those dials"),
        3 => ("three dials".to_owned(), "those dials"),
        4 => ("four dials".to_owned(), "those dials"),
        n => (format!("{n} dials"), "those dials"),
    };
    format!("Hidden: the {} with {dials} moved. You have {these}, too.", roles::role(role).to_lowercase())
}

/// What a check tells: how near in words, the figure, and what is farthest off. Checks are numbered, so that a second
/// one with the same outcome is read out, too.
pub fn checked(number: usize, score: f64, findings: &[Finding]) -> String {
    let near = match score {
        _ if findings.is_empty() => "That is it, nobody could tell them apart",
        s if s >= 85.0 => "Very close",
        s if s >= 65.0 => "Close",
        s if s >= 40.0 => "Getting there",
        s if s >= 15.0 => "Some way off still",
        _ => "Far off still",
    };
    let rest = match findings {
        [] => String::new(),
        [one] => format!(" {}", finding(one)),
        [first, rest @ ..] => {
            let more = rest.len();
            let differ = if more == 1 { "differs" } else { "differ" };
            format!(" {} {} {differ} less.", finding(first), counted(more, "other thing", "other things"))
        }
    };
    // Whoever still hears a difference has not got it whole.
    let figure = if findings.is_empty() { score.round() } else { score.round().min(99.0) };
    format!("Check {number}. {near}: {} of 100.{rest}", format(figure, 0))
}

/// One difference: "Yours is a little too high, by about 2 semitones."
pub fn finding(found: &Finding) -> String {
    let degree = match found.by.abs() {
        by if by < 3.0 => Degree::Little,
        by if by > 10.0 => Degree::Far,
        _ => Degree::Plain,
    };
    format!("Yours {}{}.", off(found.dial, found.by > 0.0, degree), amount(found.dial, found.amount))
}

fn amount(dial: Dial, amount: Amount) -> String {
    match amount {
        Amount::Semitones(by) if by.abs() < 0.75 => ", by less than a semitone".to_owned(),
        Amount::Semitones(by) if by.abs() < 1.5 => ", by about a semitone".to_owned(),
        Amount::Semitones(by) => format!(", by about {} semitones", format(by.abs(), 0)),
        Amount::Times(times) if dial == Dial::Length && times >= 1.95 => {
            format!(": about {} times as long as the hidden one", format(times, 1))
        }
        Amount::Times(times) if dial == Dial::Length && times > 1.0 => {
            format!(": about {} % longer than the hidden one", format(100.0 * (times - 1.0), 0))
        }
        Amount::Times(times) if dial == Dial::Length => {
            format!(": about {} % of the hidden one\u{2019}s length", format(100.0 * times, 0))
        }
        // Of brightness a figure says little; the ear knows which way.
        Amount::Times(_) => String::new(),
        Amount::Positions(by) => format!(", by about {} of the dial\u{2019}s 100", format(by.abs().max(1.0), 0)),
    }
}

/// How much something is off.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Degree {
    /// Hardly.
    Little,
    /// Clearly.
    Plain,
    /// By far.
    Far,
}

impl Degree {
    fn too(self) -> &'static str {
        match self {
            Degree::Little => "a little too",
            Degree::Plain => "too",
            Degree::Far => "far too",
        }
    }
}

/// What a sound does that has too much or too little of a dial: "is far too high", "rings a little too long".
pub fn off(dial: Dial, much: bool, degree: Degree) -> String {
    let (verb, much_of, little_of) = match dial {
        Dial::Pitch => ("is", "high", "low"),
        Dial::Length => ("is", "long", "short"),
        Dial::Attack => ("begins", "hard", "softly"),
        Dial::Swell => ("comes", "slowly", "suddenly"),
        Dial::Drop => ("falls", "far", "little"),
        Dial::Fullness => ("is", "full", "thin"),
        Dial::Ring => ("is", "ringing", "dry"),
        Dial::Noise => ("is", "noisy", "round"),
        Dial::Tail => ("has", "much tail", "little tail"),
        Dial::Brightness => ("is", "bright", "dark"),
        Dial::Dirt => ("is", "dirty", "clean"),
        Dial::Grain => ("is", "grainy", "smooth"),
    };
    format!("{verb} {} {}", degree.too(), if much { much_of } else { little_of })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn found(dial: Dial, by: f64, amount: Amount) -> Finding {
        Finding { dial, by, amount }
    }

    #[test]
    fn a_difference_is_told_as_one_would_say_it() {
        let check = |dial, by, amount, expected: &str| assert_eq!(finding(&found(dial, by, amount)), expected);
        check(Dial::Pitch, 6.0, Amount::Semitones(3.2), "Yours is too high, by about 3 semitones.");
        check(Dial::Pitch, -1.4, Amount::Semitones(-0.7), "Yours is a little too low, by less than a semitone.");
        check(Dial::Drop, -4.0, Amount::Semitones(-1.2), "Yours falls too little, by about a semitone.");
        check(
            Dial::Length,
            12.0,
            Amount::Times(5.31),
            "Yours is far too long: about 5.3 times as long as the hidden one.",
        );
        check(
            Dial::Length,
            2.0,
            Amount::Times(1.3),
            "Yours is a little too long: about 30 % longer than the hidden one.",
        );
        check(
            Dial::Length,
            -5.0,
            Amount::Times(0.5),
            "Yours is too short: about 50 % of the hidden one\u{2019}s length.",
        );
        check(Dial::Brightness, 3.0, Amount::Times(1.2), "Yours is too bright.");
        check(
            Dial::Attack,
            -2.0,
            Amount::Positions(-9.4),
            "Yours begins a little too softly, by about 9 of the dial\u{2019}s 100.",
        );
        check(Dial::Swell, 4.0, Amount::Positions(0.2), "Yours comes too slowly, by about 1 of the dial\u{2019}s 100.");
        check(
            Dial::Tail,
            11.0,
            Amount::Positions(40.0),
            "Yours has far too much tail, by about 40 of the dial\u{2019}s 100.",
        );
    }

    #[test]
    fn a_check_says_how_near_before_it_says_the_figure() {
        let high = found(Dial::Pitch, 6.0, Amount::Semitones(3.0));
        let dark = found(Dial::Brightness, -2.0, Amount::Times(0.8));
        let check = |number, score, findings: &[Finding], expected: &str| {
            assert_eq!(checked(number, score, findings), expected);
        };
        check(1, 41.2, &[high], "Check 1. Getting there: 41 of 100. Yours is too high, by about 3 semitones.");
        check(
            2,
            88.0,
            &[high, dark],
            "Check 2. Very close: 88 of 100. Yours is too high, by about 3 semitones. 1 other thing differs less.",
        );
        check(3, 99.8, &[dark], "Check 3. Very close: 99 of 100. Yours is a little too dark.");
        check(4, 99.8, &[], "Check 4. That is it, nobody could tell them apart: 100 of 100.");
        check(
            5,
            3.0,
            &[dark, dark, dark],
            "Check 5. Far off still: 3 of 100. Yours is a little too dark. 2 other things differ less.",
        );
    }

    #[test]
    fn every_dial_has_two_ways_to_be_off() {
        for dial in Dial::ALL {
            for degree in [Degree::Little, Degree::Plain, Degree::Far] {
                assert_ne!(off(dial, true, degree), off(dial, false, degree));
            }
        }
    }

    #[test]
    fn what_is_hidden_is_said() {
        let check = |role, moved, expected: &str| assert_eq!(hidden(role, moved), expected);
        check(Role::Kick, 1, "Hidden: the kick with one dial moved. You have that dial, too.");
        check(Role::HatClosed, 4, "Hidden: the closed hat with four dials moved. You have those dials, too.");
    }
}
