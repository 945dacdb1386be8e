//! What went wrong, in sentences. Each says what happened, what to do if there is something to do, and that the work at
//! hand is safe.

use super::numbers::counted;
use super::roles;
use crate::rhythm::boxes::RowError;
use crate::rhythm::lane::MAX_STROKES;
use crate::rhythm::pattern::{MAX_BARS, MAX_LANES};
use crate::rhythm::place::PlaceError;
use crate::rhythm::tempo::CountError;
use crate::rhythm::{EditError, FeelError, IdError, LaneFault, MetreError, PatternError, StrokeFault};
use crate::role::Role;
use crate::route::RouteFault;
use crate::share::{LinkFault, Unfit};

/// After a link that could not be opened: nothing was replaced.
const UNTOUCHED: &str = "What you were working on is untouched.";
/// After a change that was not made.
const AS_IT_WAS: &str = "Your groove is as it was.";

/// Why a groove link could not be opened.
pub fn link(fault: &LinkFault) -> String {
    let reason = match fault {
        LinkFault::Empty => "There is no groove in this link.".to_owned(),
        LinkFault::NotALink => {
            "This is not a groove link: it has characters such links never have. Copy the link once more from where it was \
             made."
                .to_owned()
        }
        LinkFault::Cut => {
            "This link is incomplete or was changed on its way. Ask for it again, or copy the whole of it.".to_owned()
        }
        LinkFault::Newer { version } => format!(
            "This link was made by a newer Stickleback (link form {version}). Reload the page to get the newest one, then \
             open it again."
        ),
        LinkFault::TooLong => "This link is far too long to be a groove.".to_owned(),
        LinkFault::Unfit(unfit) => format!("This link holds something that is no groove: {}.", unfit_reason(unfit)),
    };
    format!("{reason} {UNTOUCHED}")
}

fn unfit_reason(unfit: &Unfit) -> String {
    match unfit {
        Unfit::Metre(error) => metre_reason(*error),
        Unfit::Pattern(error) => pattern_reason(*error),
        Unfit::Feel(error) => feel_reason(*error).to_owned(),
        Unfit::Tempo => "a tempo is 20 to 400 beats a minute".to_owned(),
        Unfit::Count(error) => count_reason(*error),
        Unfit::Dynamics => "a ghost note is softer than a stroke, and a stroke softer than an accent".to_owned(),
        Unfit::Tonic => "its tonic is out of range".to_owned(),
        Unfit::Sound => "its sound has no proper name or speed".to_owned(),
        Unfit::Role => "it asks for a drum we do not know".to_owned(),
        Unfit::Loudness => "a stroke is louder or softer than strokes can be".to_owned(),
        Unfit::Title => "its title is no text".to_owned(),
        Unfit::Number => "a number in it is out of range".to_owned(),
    }
}

/// Why an address led to the Styles room.
pub fn route(fault: RouteFault) -> String {
    let reason = match fault {
        RouteFault::Unknown => "There is no such page here, so these are the styles.",
        RouteFault::Percent => "This address was damaged on its way, so these are the styles.",
        RouteFault::TooLong => "This address is far too long, so these are the styles.",
    };
    format!("{reason} {UNTOUCHED}")
}

/// Why a change was not made.
pub fn edit(error: EditError) -> String {
    let reason = match error {
        EditError::NoLane(_) => "That lane is gone.".to_owned(),
        EditError::Pattern(error) => return pattern(error),
        EditError::Tempo => "The tempo would leave 20 to 400 beats a minute.".to_owned(),
        EditError::TapeSpeed => {
            "The tape cannot run slower than a quarter or faster than four times its speed.".to_owned()
        }
        EditError::Slices => "The bars do not cut evenly into these slices.".to_owned(),
    };
    format!("{reason} {AS_IT_WAS}")
}

/// Why there is no such pattern.
pub fn pattern(error: PatternError) -> String {
    closed(&pattern_reason(error))
}

/// Why a lane of `role` does not fit its pattern.
pub fn lane(role: Role, fault: LaneFault) -> String {
    closed(&format!("{}: {}", roles::role(role), lane_reason(fault)))
}

/// Why there is no such metre.
pub fn metre(error: MetreError) -> String {
    closed(&metre_reason(error))
}

/// Why there is no such feel.
pub fn feel(error: FeelError) -> String {
    closed(feel_reason(error))
}

/// Why a tempo cannot be counted so.
pub fn count(error: CountError) -> String {
    closed(&count_reason(error))
}

/// Why a typed tempo was not taken.
pub fn tempo() -> String {
    closed("a tempo is a number from 20 to 400, such as 92 or 92.5")
}

/// Why a typed swing was not taken.
pub fn swing() -> String {
    closed("a swing is a number from 50 (straight) to 80, such as 59")
}

/// What is wrong in a row of box notation.
pub fn row(error: RowError) -> String {
    closed(&match error {
        RowError::Bars { expected, found } => {
            format!("this row should have {}, but has {found}", counted(expected, "bar", "bars"))
        }
        RowError::Pulses { bar, expected, found } => {
            format!("bar {bar} should have {}, but has {found}", counted(expected, "box", "boxes"))
        }
        RowError::Character { bar, pulse, found } => {
            format!("bar {bar}, box {pulse}: {found} means nothing here (use X x o . f or 2 to 8)")
        }
        RowError::NothingToRepeat => "the first bar has no bar before it to repeat".to_owned(),
    })
}

/// Why a typed place was not found.
pub fn place(error: PlaceError) -> String {
    closed(&match error {
        PlaceError::Form => "a place is written like 2:4 and (bar, beat, syllable)".to_owned(),
        PlaceError::Beat(beat) => format!("a bar of this metre has no beat {beat}"),
        PlaceError::Syllable => "the syllables are e, and, a, or trip, let".to_owned(),
    })
}

/// Why a text is no name for a style or a kit.
pub fn name(_: IdError) -> String {
    closed("a name is made of small letters, digits and single hyphens, at most 40 of them")
}

/// A reason as a sentence, and the assurance after it.
fn closed(reason: &str) -> String {
    let mut letters = reason.chars();
    let first = letters.next().map(|c| c.to_uppercase().to_string()).unwrap_or_default();
    format!("{first}{}. {AS_IT_WAS}", letters.as_str())
}

fn metre_reason(error: MetreError) -> String {
    match error {
        MetreError::BeatCount(found) => format!("a bar has 1 to 16 beats, not {found}"),
        MetreError::BeatLength(_) => "a beat lasts from a thirty-second to a whole note".to_owned(),
        MetreError::Signature => "a metre is written like 4/4, 6/8 or 2+2+3/8".to_owned(),
    }
}

fn pattern_reason(error: PatternError) -> String {
    match error {
        PatternError::Bars(bars) => format!("a pattern has 1 to {MAX_BARS} bars, not {bars}"),
        PatternError::Lanes(lanes) => format!("a pattern has at most {MAX_LANES} lanes, not {lanes}"),
        PatternError::Lane(index, fault) => format!("lane {} does not fit: {}", index + 1, lane_reason(fault)),
    }
}

fn lane_reason(fault: LaneFault) -> String {
    match fault {
        LaneFault::Pulse(_) => "its pulse does not fill the bars evenly".to_owned(),
        LaneFault::TooMany(count) => format!("a lane has at most {MAX_STROKES} strokes, not {count}"),
        LaneFault::Stroke(_, fault) => stroke_reason(fault).to_owned(),
    }
}

const fn stroke_reason(fault: StrokeFault) -> &'static str {
    match fault {
        StrokeFault::Roll => "a roll has 2 to 32 strokes, lasts at most two bars of 4/4 and bends at most two octaves",
        StrokeFault::Flam => "the small stroke of a flam comes 5 to 60 ms before the big one",
        StrokeFault::Pitch => "a stroke has at most 8 notes, each within four octaves of the tonic",
        StrokeFault::Length => "a stroke is held at least an eighth of a sixteenth and at most 16 bars of 4/4",
        StrokeFault::Glide => "a slide needs a note to start from, and takes 5 to 2000 ms",
        StrokeFault::Nudge => "a nudge is less than half the way to the next place",
        StrokeFault::Place => "a stroke has to lie inside the bars",
    }
}

const fn feel_reason(error: FeelError) -> &'static str {
    match error {
        FeelError::Pair(_) => "only pairs of sixteenths or eighths can swing",
        FeelError::Shifts => "these shifts inside the beat are too large or would change the order of strokes",
    }
}

fn count_reason(_: CountError) -> String {
    "a count lasts from a thirty-second to a double whole note".to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rhythm::Tick;

    #[test]
    fn every_sentence_says_the_work_is_safe() {
        for (got, want) in [
            (link(&LinkFault::Empty), "There is no groove in this link. What you were working on is untouched."),
            (
                link(&LinkFault::NotALink),
                "This is not a groove link: it has characters such links never have. Copy the link once more from where it \
                 was made. What you were working on is untouched.",
            ),
            (
                link(&LinkFault::Cut),
                "This link is incomplete or was changed on its way. Ask for it again, or copy the whole of it. What you \
                 were working on is untouched.",
            ),
            (
                link(&LinkFault::Newer { version: 2 }),
                "This link was made by a newer Stickleback (link form 2). Reload the page to get the newest one, then open \
                 it again. What you were working on is untouched.",
            ),
            (
                link(&LinkFault::TooLong),
                "This link is far too long to be a groove. What you were working on is untouched.",
            ),
            (
                link(&LinkFault::Unfit(Unfit::Pattern(PatternError::Bars(1_000_000)))),
                "This link holds something that is no groove: a pattern has 1 to 8 bars, not 1000000. What you were \
                 working on is untouched.",
            ),
            (
                route(RouteFault::Unknown),
                "There is no such page here, so these are the styles. What you were working on is untouched.",
            ),
            (edit(EditError::Tempo), "The tempo would leave 20 to 400 beats a minute. Your groove is as it was."),
            (
                edit(EditError::Pattern(PatternError::Lanes(25))),
                "A pattern has at most 24 lanes, not 25. Your groove is as it was.",
            ),
            (
                lane(Role::HatClosed, LaneFault::Stroke(Tick::ZERO, StrokeFault::Nudge)),
                "Closed hat: a nudge is less than half the way to the next place. Your groove is as it was.",
            ),
            (metre(MetreError::Signature), "A metre is written like 4/4, 6/8 or 2+2+3/8. Your groove is as it was."),
            (
                feel(FeelError::Pair(Tick(500))),
                "Only pairs of sixteenths or eighths can swing. Your groove is as it was.",
            ),
            (
                row(RowError::Character { bar: 2, pulse: 5, found: 'q' }),
                "Bar 2, box 5: q means nothing here (use X x o . f or 2 to 8). Your groove is as it was.",
            ),
            (
                row(RowError::Bars { expected: 1, found: 3 }),
                "This row should have 1 bar, but has 3. Your groove is as it was.",
            ),
            (tempo(), "A tempo is a number from 20 to 400, such as 92 or 92.5. Your groove is as it was."),
        ] {
            assert_eq!(got, want);
        }
    }
}
