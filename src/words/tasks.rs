//! What became of a task, as a musician beside you says it: first what is right, then at most two things, by place.

use super::numbers::{counted, format as number};
use super::{places, roles};
use crate::lesson::task::Choose;
use crate::lesson::{Finding, TaskVerdict};
use crate::rhythm::{Groove, Metre, Strength, Swing, Tick};
use crate::role::Role;
use crate::style::{Condition, Per, Touch};

/// The most things that are told at once.
const AT_MOST: usize = 2;

/// The sentence for a task that is done.
pub const SOLVED: &str = "That is it.";

/// What is said when one of the answers of `task` was taken: whether it was the right one, else which is, and why.
pub fn choice(task: &Choose, taken: usize) -> String {
    let answer = usize::from(task.answer);
    match task.choices.get(answer) {
        Some(right) if taken != answer => format!("Not quite: {right}. {}", task.because),
        _ => format!("{SOLVED} {}", task.because),
    }
}

/// What became of the learner's `groove`: "Snare: the one on 2 is there. One is missing on 4." While nothing has been put
/// down, no place is given away.
pub fn verdict(verdict: &TaskVerdict, groove: &Groove) -> String {
    if verdict.solved {
        return SOLVED.to_owned();
    }
    let by_place = |finding: &&Finding| !matches!(finding, Finding::Missing { .. } | Finding::Unmet { .. });
    let missing = |finding: &&Finding| matches!(finding, Finding::Missing { .. });
    if verdict.right.is_empty()
        && !verdict.findings.iter().any(|f| by_place(&f))
        && verdict.findings.iter().any(|f| missing(&f))
    {
        return "Nothing is there yet.".to_owned();
    }
    let mut said = Vec::new();
    let mut speaking = None;
    let first = verdict.findings.iter().find_map(role_of);
    let told = verdict.right.iter().map(|(role, _)| *role);
    // Of the strokes that are right, those of the line that has something wrong are told.
    let of = told.clone().find(|role| Some(*role) == first).or(told.clone().next());
    if let Some(role) = of {
        said.push(line(role, &mut speaking, &right(role, &verdict.right, groove)));
    }
    for (finding, bars) in grouped(&verdict.findings, groove).into_iter().take(AT_MOST) {
        let text = finding_text(finding, &where_in(&bars, groove), groove);
        match role_of(finding) {
            Some(role) => said.push(line(role, &mut speaking, &text)),
            None => said.push(capital(&text)),
        }
    }
    said.join(" ")
}

/// A sentence about a role, which is named where another one, or none, was spoken of.
fn line(role: Role, speaking: &mut Option<Role>, text: &str) -> String {
    if *speaking == Some(role) {
        return capital(text);
    }
    *speaking = Some(role);
    format!("{}: {text}", roles::role(role))
}

/// A sentence from what follows a colon.
fn capital(text: &str) -> String {
    let mut letters = text.chars();
    let first = letters.next().map(|c| c.to_uppercase().to_string()).unwrap_or_default();
    format!("{first}{}", letters.as_str())
}

/// The role a finding is about; none for what concerns several or the whole groove.
fn role_of(finding: &Finding) -> Option<Role> {
    match finding {
        Finding::Missing { role, .. }
        | Finding::Extra { role, .. }
        | Finding::Moved { role, .. }
        | Finding::Strength { role, .. } => Some(*role),
        Finding::Unmet { part, .. } => match part.voices() {
            [role] => Some(*role),
            _ => None,
        },
    }
}

/// What is right of a role: "the one on 2 is there", "the ones on 1 and the and of 3 are there", "6 are there".
fn right(role: Role, right: &[(Role, Tick)], groove: &Groove) -> String {
    let (metre, bar) = (groove.pattern.metre(), groove.pattern.metre().bar());
    let ticks: Vec<Tick> = right.iter().filter(|(of, _)| *of == role).map(|(_, at)| *at).collect();
    let mut spots: Vec<Tick> = ticks.iter().map(|at| at.rem_euclid(bar)).collect();
    spots.sort_unstable();
    spots.dedup();
    let bars_of = |spot: Tick| -> Vec<i64> {
        ticks.iter().filter(|at| at.rem_euclid(bar) == spot).map(|at| at.div_euclid(bar)).collect()
    };
    let same = spots.windows(2).all(|two| bars_of(two[0]) == bars_of(two[1]));
    let bars = spots.first().map(|&spot| where_in(&bars_of(spot), groove)).unwrap_or_default();
    match (spots.as_slice(), same) {
        (&[one], _) => format!("the one on {} is there{bars}.", places::counted(one, metre)),
        (&[one, other], true) => {
            format!(
                "the ones on {} and {} are there{bars}.",
                places::counted(one, metre),
                places::counted(other, metre)
            )
        }
        _ => format!("{} are there.", ticks.len()),
    }
}

/// Findings that are the same in several bars told once, with those bars from 0.
fn grouped<'f>(findings: &'f [Finding], groove: &Groove) -> Vec<(&'f Finding, Vec<i64>)> {
    let bar = groove.pattern.metre().bar();
    let split = |finding: &Finding| match finding {
        Finding::Missing { at, .. }
        | Finding::Extra { at, .. }
        | Finding::Moved { at, .. }
        | Finding::Strength { at, .. } => Some((at.div_euclid(bar), at.rem_euclid(bar))),
        Finding::Unmet { .. } => None,
    };
    let same = |a: &Finding, b: &Finding| {
        let kind = match (a, b) {
            (Finding::Moved { by, .. }, Finding::Moved { by: other, .. }) => by == other,
            (Finding::Strength { is, wanted, .. }, Finding::Strength { is: i, wanted: w, .. }) => {
                (is, wanted) == (i, w)
            }
            _ => core::mem::discriminant(a) == core::mem::discriminant(b),
        };
        let place = matches!((split(a), split(b)), (Some((_, a)), Some((_, b))) if a == b);
        kind && place && role_of(a) == role_of(b)
    };
    let mut groups: Vec<(&Finding, Vec<i64>)> = Vec::new();
    for finding in findings {
        let bar = split(finding).map(|(bar, _)| bar);
        match groups.iter_mut().find(|(first, _)| same(first, finding)) {
            Some((_, bars)) => bars.extend(bar),
            None => groups.push((finding, bar.into_iter().collect())),
        }
    }
    groups
}

/// In which bars, after a place: nothing in a single bar, ", in both bars", ", in bar 2".
fn where_in(bars: &[i64], groove: &Groove) -> String {
    let all = usize::from(groove.pattern.bars());
    match (bars, all) {
        ([], _) | (_, 1) => String::new(),
        (bars, 2) if bars.len() == 2 => ", in both bars".to_owned(),
        (bars, all) if bars.len() == all => ", in every bar".to_owned(),
        (&[bar], _) => format!(", in bar {}", bar + 1),
        (bars, _) => {
            let names: Vec<String> = bars.iter().map(|bar| (bar + 1).to_string()).collect();
            format!(", in bars {}", names.join(" and "))
        }
    }
}

fn finding_text(finding: &Finding, bars: &str, groove: &Groove) -> String {
    let metre = groove.pattern.metre();
    let on = |at: &Tick| places::counted(*at, metre);
    match finding {
        Finding::Missing { at, .. } => format!("one is missing on {}{bars}.", on(at)),
        Finding::Extra { at, .. } => format!("the one on {} is too many{bars}.", on(at)),
        Finding::Moved { at, by, .. } => {
            let stands = (*at + *by).rem_euclid(groove.pattern.length());
            let late = by.0 > 0;
            let way = if late { "earlier" } else { "later" };
            format!("the one on {} belongs {} {way}, on {}{bars}.", on(&stands), distance(*by, *at, metre), on(at))
        }
        Finding::Strength { at, is, wanted, .. } => match (is, wanted) {
            (_, Strength::Ghost) => format!("the one on {} should be a ghost note{bars}.", on(at)),
            (_, Strength::Accent) => format!("the one on {} wants an accent{bars}.", on(at)),
            (Strength::Ghost, _) => format!("the one on {} is too soft{bars}.", on(at)),
            _ => format!("the one on {} is too loud{bars}.", on(at)),
        },
        Finding::Unmet { part, found } => unmet(part, *found),
    }
}

/// A distance as a part of the beat it is near.
fn distance(by: Tick, at: Tick, metre: &Metre) -> &'static str {
    let (_, _, beat) = metre.beat_at(at.rem_euclid(metre.bar()));
    let by = by.0.abs();
    [(2, "half a beat"), (3, "a third of a beat"), (4, "a quarter of a beat"), (6, "a sixth of a beat")]
        .into_iter()
        .find(|(parts, _)| by * parts == beat.0)
        .map_or("a little", |(_, name)| name)
}

/// A part of the goal that is no matter of single places.
fn unmet(part: &Condition, found: Option<f64>) -> String {
    let found = found.unwrap_or_default();
    let have = number(found, 1);
    let count = found.max(0.0) as usize;
    let at_least = |n: u8, one: &str, many: &str| so_far(count, one, many, "", u16::from(n), None);
    match part {
        Condition::Tempo { min, max, .. } => {
            let off = if found < min.get() { "slow" } else { "fast" };
            format!(
                "The tempo, {have}, is too {off}: {} to {} is asked for.",
                number(min.get(), 2),
                number(max.get(), 2)
            )
        }
        Condition::Swings { min, max, .. } => {
            let off = if found < min.percent() { "too little" } else { "too much" };
            format!("There is {off} swing: {} to {} is asked for.", shares(*min), shares(*max))
        }
        Condition::Straight { .. } => "It should be straight.".to_owned(),
        Condition::Metre { any_of } => {
            let names: Vec<String> = any_of.iter().map(ToString::to_string).collect();
            format!("The metre should be {}.", names.join(" or "))
        }
        Condition::BeatDivision { parts } => format!("The beats should be divided in {parts}."),
        Condition::PositionsEarly { .. } => "These places should come a little early.".to_owned(),
        Condition::Leans { min, max, .. } => {
            let ends = (number(min.ms(), 1), number(max.ms(), 1));
            format!("it leans {have} ms, and {} to {} ms is asked for.", ends.0, ends.1)
        }
        Condition::SomeOf { at_least, .. } => {
            so_far(count, "of these places", "of these places", " in a bar", u16::from(*at_least), None)
        }
        Condition::OffTheBeat { percent, .. } => {
            format!("{} % lie off the beats, and at least {percent} % are asked for.", number(found, 0))
        }
        Condition::Count { touch, per, min, max, .. } => {
            let (one, many) = match touch {
                Touch::Ghost => ("ghost note", "ghost notes"),
                Touch::Accent => ("accent", "accents"),
                Touch::Any | Touch::Sounded => ("stroke", "strokes"),
            };
            so_far(count, one, many, over(*per), *min, *max)
        }
        Condition::Rolls { per, min, max, .. } => so_far(count, "roll", "rolls", over(*per), *min, *max),
        Condition::Displaced { at_least: n, .. } => at_least(*n, "moved stroke", "moved strokes"),
        Condition::Chain { at_least: n, .. } => at_least(*n, "equal gap in a row", "equal gaps in a row"),
        Condition::Tuplets { at_least: n, .. } => at_least(*n, "burst in threes", "bursts in threes"),
        Condition::Slides { at_least: n, .. } => at_least(*n, "slide", "slides"),
        Condition::OctaveLeaps { at_least: n, .. } => at_least(*n, "leap of an octave", "leaps of an octave"),
        Condition::Sustains { at_least, .. } => {
            let quarters = |ticks: f64| number(ticks / Tick::QUARTER.as_f64(), 2);
            format!("the longest lasts {} quarters, {} asked for.", quarters(found), quarters(at_least.as_f64()))
        }
        Condition::Sounds { .. } => "The sound is not there yet.".to_owned(),
        Condition::Strikes { .. }
        | Condition::OnlyOn { .. }
        | Condition::KeptEmpty { .. }
        | Condition::Every { .. }
        | Condition::FollowsCell { .. }
        | Condition::All(_)
        | Condition::OneOf(_) => "nothing plays yet.".to_owned(),
    }
}

/// What a number is counted over, after its noun.
const fn over(per: Per) -> &'static str {
    match per {
        Per::Bar => " in a bar",
        Per::Loop => " in all",
    }
}

/// "2 rolls in all so far, 4 are asked for."
fn so_far(found: usize, one: &str, many: &str, over: &str, min: u16, max: Option<u16>) -> String {
    let are = |count: u16| if count == 1 { "is" } else { "are" };
    let wanted = match max {
        Some(0) => "none is".to_owned(),
        Some(max) if max == min => format!("{min} {}", are(min)),
        Some(max) if min == 0 => format!("at most {max} {}", are(max)),
        Some(max) => format!("{min} to {max} are"),
        None => format!("at least {min} {}", are(min)),
    };
    format!("{}{over} so far, {wanted} asked for.", counted(found, one, many))
}

/// Long to short.
fn shares(swing: Swing) -> String {
    format!("{} : {}", number(swing.percent(), 1), number(100.0 - swing.percent(), 1))
}

#[cfg(test)]
mod tests;
