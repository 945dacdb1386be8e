//! The words of contrasts: what differs between two grooves.
//!
//! All is told as a change of the first groove into the second: "The clap moves from 3 to 2 and 4."

use super::numbers::{counted, format};
use super::{marks, places, roles};
use crate::rhythm::{Feel, Groove, Metre, Tempo, Tick, Written};
use crate::role::Role;
use crate::style::contrast::{Axis, Difference, Finding, PartChange, SoundChange};
use crate::style::{Rank, SoundMeasure};

/// What differs, in one to three sentences. `axis` is that of the contrast, `a` and `b` the two grooves.
pub fn difference(difference: &Difference, axis: &Axis, a: &Groove, b: &Groove) -> String {
    match &difference.finding {
        Finding::Tempo { from, to } => tempo(*from, *to),
        Finding::Count { from, to } => count(*from, *to),
        Finding::Metre { from, to } => {
            format!("The metre changes from {} to {}.", marks::metre(from), marks::metre(to))
        }
        Finding::Bars { from, to } => bars(*from, *to),
        Finding::Swing { from, to } => swing(from, to),
        Finding::Shifts { from, to } => shifts(from, to),
        Finding::Lean { role, from, to, .. } => lean(*role, from.ms(), to.ms()),
        Finding::Part(change) => part(change, axis, a, b),
        Finding::Sound { voice, changes } => sound(*voice, changes),
        Finding::Kit { drums, tone, speed } => kit(*drums, *tone, *speed),
    }
}

/// How much a hallmark tells, as it stands beside what touches it.
pub const fn rank(rank: Rank) -> &'static str {
    match rank {
        Rank::Frame => "shared by the family",
        Rank::Signature => "what makes the style",
        Rank::Seasoning => "seasoning",
    }
}

pub(super) fn tempo(from: Tempo, to: Tempo) -> String {
    let ratio = from.tick_seconds() / to.tick_seconds();
    let way = if ratio > 1.0 { "faster" } else { "slower" };
    let much = match ratio.max(1.0 / ratio) {
        ratio if ratio < 1.06 => "a little ",
        ratio if ratio > 1.5 => "much ",
        _ => "",
    };
    let counted = to.counted_in(from.unit()).unwrap_or(to);
    format!("It goes {much}{way}: {} instead of {}.", marks::tempo(counted), marks::tempo(from))
}

pub(super) fn count(from: Tempo, to: Tempo) -> String {
    let felt = |tempo: Tempo| marks::note_value(tempo.felt());
    if from.felt() != to.felt() {
        return format!("The foot taps {}s instead of {}s.", felt(to), felt(from));
    }
    format!("It is counted in {}s instead of {}s.", marks::note_value(to.unit()), marks::note_value(from.unit()))
}

pub(super) fn bars(from: u8, to: u8) -> String {
    let bars = |count: u8| counted(count.into(), "bar", "bars");
    format!("It comes round after {} instead of {}.", bars(to), bars(from))
}

pub(super) fn swing(from: &Feel, to: &Feel) -> String {
    let even = |feel: &Feel| feel.swing() == feel.neutral() && feel.written() == Written::Straight;
    match (even(from), even(to)) {
        (_, true) => format!("The swing goes: it is straight now, not {}.", marks::swing(from)),
        (true, false) => format!("It swings: {}.", marks::swing_spoken(to)),
        _ if from.pair() == to.pair() && from.written() == to.written() => {
            let way = if to.swing() > from.swing() { "more" } else { "less" };
            format!("It swings {way}: {} instead of {}.", marks::swing(to), marks::swing(from))
        }
        _ => format!("It swings otherwise: {}, not {}.", marks::swing_spoken(to), marks::swing_spoken(from)),
    }
}

fn shifts(from: &Feel, to: &Feel) -> String {
    match (from.shifts().is_empty(), to.shifts().is_empty()) {
        (true, _) => "Some places of every beat come early or late by themselves.",
        (_, true) => "Every place of the beat comes in time again.",
        _ => "Other places of the beat come early or late.",
    }
    .to_owned()
}

pub(super) fn lean(role: Role, from: f64, to: f64) -> String {
    let name = the(role);
    let ms = |ms: f64| format(ms.abs(), 1);
    match to {
        to if to.abs() < 0.05 => format!("{name} plays in time, no longer {} ms {}.", ms(from), side(from)),
        to if from.abs() < 0.05 => format!("{name} leans {} ms {}.", ms(to), side(to)),
        to => format!("{name} leans {} ms {} instead of {} ms {}.", ms(to), side(to), ms(from), side(from)),
    }
}

fn side(ms: f64) -> &'static str {
    if ms > 0.0 { "late" } else { "early" }
}

/// The name of a part inside a sentence, always of one: "closed hat", "chord part".
pub(super) fn noun(role: Role) -> String {
    match role {
        Role::Chord => "chord part".to_owned(),
        other => roles::role(other).to_lowercase(),
    }
}

/// "The closed hat".
pub(super) fn the(role: Role) -> String {
    format!("The {}", noun(role))
}

/// "A clap", "An open hat".
pub(super) fn an(role: Role) -> String {
    let name = noun(role);
    let article = if name.starts_with(['a', 'e', 'i', 'o', 'u']) { "An" } else { "A" };
    format!("{article} {name}")
}

/// The most about how strokes are played that is said beside where they are.
const MOST_MANNERS: usize = 2;

fn part(change: &PartChange, axis: &Axis, a: &Groove, b: &Groove) -> String {
    // Bars that are a part of the axis's are counted as those: 2/4 beside 4/4 as four.
    let counted = |own: &'_ Metre, other: &'_ Metre| {
        if own.bar() < axis.bar && axis.bar.0 % own.bar().0 == 0 { other.clone() } else { own.clone() }
    };
    let (own, other) = (a.pattern.metre(), b.pattern.metre());
    let (own, other) = (counted(own, other), counted(other, own));
    let (own, other) = (Bars { axis, metre: &own }, Bars { axis, metre: &other });
    let (from, to) = match (change.from, change.to) {
        (None, Some(role)) => return comes(role, &other, &change.only_b),
        (Some(role), None) => return format!("{} goes.", the(role)),
        (Some(from), Some(to)) => (from, to),
        (None, None) => return String::new(),
    };
    let mut told = Vec::new();
    if from != to {
        told.push(format!("{} takes over from the {}.", an(to), noun(from)));
    }
    told.extend(places_told(change, to, &own, &other));
    let manners = [
        ("hits harder", &change.harder),
        ("plays softer", &change.softer),
        ("plays a roll or flam", &change.ornamented),
        ("plays single strokes", &change.plain),
        (if to.is_pitched() { "plays other notes" } else { "sounds otherwise" }, &change.other_notes),
    ];
    let room = MOST_MANNERS.saturating_sub(told.len()).max(1);
    for (how, places) in manners.into_iter().filter(|(_, places)| !places.is_empty()).take(room) {
        let name = if told.is_empty() { the(to) } else { "It".to_owned() };
        told.push(format!(
            "{name} {how} {}.",
            other.told(places).map_or_else(|| many(places), |list| format!("on {list}"))
        ));
    }
    told.join(" ")
}

pub(super) fn comes(role: Role, bars: &Bars, places: &[Tick]) -> String {
    let list = bars.told(places);
    let strokes = || format!("with {}", strokes(places, bars));
    format!("{} comes in, {}.", an(role), list.map_or_else(strokes, |list| format!("on {list}")))
}

/// Where it plays otherwise.
fn places_told(change: &PartChange, role: Role, own: &Bars, other: &Bars) -> Option<String> {
    let mut left: Vec<Tick> = change.only_a.iter().copied().chain(change.moved.iter().map(|moved| moved.0)).collect();
    let mut taken: Vec<Tick> = change.only_b.iter().copied().chain(change.moved.iter().map(|moved| moved.1)).collect();
    if left.is_empty() && taken.is_empty() {
        return None;
    }
    left.sort_unstable();
    taken.sort_unstable();
    let all = |more: &[Tick]| {
        let mut all: Vec<Tick> = change.shared.iter().chain(more).copied().collect();
        all.sort_unstable();
        all
    };
    let (before, after) = (all(&left), all(&taken));
    let name = the(role);
    if let (Some(before), Some(after)) = (own.regular(&before), other.regular(&after))
        && before != after
    {
        return Some(format!("{name} plays {after} instead of {before}."));
    }
    // What happens in one bar alone is told in that bar.
    let bars = |places: &[Tick]| places.iter().map(|at| at.div_euclid(own.axis.bar)).collect::<Vec<_>>();
    let touched = [bars(&left), bars(&taken)].concat();
    let bar = touched.first().copied().filter(|bar| own.axis.bars > 1 && touched.iter().all(|other| other == bar));
    let list = |bars: &Bars, places: &[Tick]| if bar.is_some() { bars.in_one(places) } else { bars.told(places) };
    let subject = match bar {
        Some(bar) => format!("In bar {} the {}", bar + 1, noun(role)),
        None => name.clone(),
    };
    Some(match (list(own, &left), list(other, &taken)) {
        (_, Some(to)) if left.is_empty() => format!("{subject} also plays {to}."),
        (Some(from), _) if taken.is_empty() => format!("{subject} leaves out {from}."),
        (Some(from), Some(to)) if from.len() + to.len() <= LONGEST_MOVE => {
            format!("{subject} moves from {from} to {to}.")
        }
        _ if left.is_empty() => format!("{name} plays {} more.", strokes(&taken, own)),
        _ if taken.is_empty() => format!("{name} plays {} fewer.", strokes(&left, own)),
        _ => match other.regular(&after).or_else(|| other.told(&after)) {
            Some(to) => format!("{name} plays {to} now."),
            None if change.shared.is_empty() => format!("{name} plays quite another pattern."),
            None => {
                let shared = change.shared.len();
                let stay = if shared == 1 { "stays" } else { "stay" };
                format!(
                    "{name} plays another pattern: {shared} of its {} {stay}.",
                    counted(before.len(), "stroke", "strokes")
                )
            }
        },
    })
}

/// The longest two lists of places that are told as a move, in letters.
const LONGEST_MOVE: usize = 80;

fn strokes(places: &[Tick], bars: &Bars) -> String {
    let strokes = counted(places.len(), "stroke", "strokes");
    if bars.axis.bars == 1 { strokes } else { format!("{strokes} in {} bars", bars.axis.bars) }
}

fn many(places: &[Tick]) -> String {
    format!("in {}", counted(places.len(), "place", "places"))
}

/// Places on the axis, told in bars of one metre.
pub(super) struct Bars<'a> {
    pub(super) axis: &'a Axis,
    pub(super) metre: &'a Metre,
}

/// The longest list of places that is read out.
const MOST_PLACES: usize = 5;

impl Bars<'_> {
    /// A place in its own metre's count.
    fn counted(&self, at: Tick) -> String {
        places::counted(at.rem_euclid(self.axis.bar), self.metre)
    }

    /// "every sixteenth", "every beat", "the and of every beat": a pattern that is the same in every beat of every bar.
    fn regular(&self, all: &[Tick]) -> Option<String> {
        let beats: Vec<Tick> = self.metre.beats().collect();
        let first = *beats.first()?;
        let even = beats.iter().all(|&beat| beat == first);
        if all.is_empty() || !even {
            return None;
        }
        let inside: Vec<Tick> = all.iter().copied().filter(|&at| at < first).collect();
        let every = (0..self.axis.bars).flat_map(|bar| {
            let start = self.axis.bar.times(bar);
            (0..beats.len() as i64).map(move |beat| start + first.times(beat))
        });
        let expected: Vec<Tick> = every.flat_map(|start| inside.iter().map(move |&at| start + at)).collect();
        if expected != all {
            return None;
        }
        let parts = inside.len() as i64;
        let grid = first.0 % parts == 0 && (0..parts).zip(&inside).all(|(n, &at)| at.0 == n * first.0 / parts);
        Some(match (inside.as_slice(), grid) {
            ([Tick(0)], _) => "every beat".to_owned(),
            ([one], _) => {
                let name = places::counted(*one, self.metre).replace(" of 1", "");
                format!("{name} of every beat")
            }
            (_, true) => match first.0 / parts {
                480 => "every eighth".to_owned(),
                240 => "every sixteenth".to_owned(),
                120 => "every thirty-second".to_owned(),
                _ if parts == 3 => "every third of a beat".to_owned(),
                _ => format!("{parts} even strokes a beat"),
            },
            _ => return None,
        })
    }

    /// Places of one bar, without the bar: "2 and 4"; `None` where there are too many to be read out.
    fn in_one(&self, places: &[Tick]) -> Option<String> {
        let names: Vec<String> = places.iter().map(|&at| self.counted(at)).collect();
        (!names.is_empty() && names.len() <= MOST_PLACES).then(|| listed(&names))
    }

    /// "2 and 4"; "4 in bar 2"; "1 and 3 in bar 1 and 4 in bar 2"; `None` where the list is too long to be read out.
    fn told(&self, all: &[Tick]) -> Option<String> {
        if let Some(regular) = self.regular(all) {
            return Some(regular);
        }
        let in_bar = |bar: i64| -> Vec<Tick> {
            let inside = all.iter().filter(|at| at.div_euclid(self.axis.bar) == bar);
            inside.map(|at| at.rem_euclid(self.axis.bar)).collect()
        };
        let bars: Vec<Vec<Tick>> = (0..self.axis.bars).map(in_bar).collect();
        let first = bars.first()?;
        if bars.iter().all(|bar| bar == first) {
            return self.in_one(first);
        }
        if all.len() >= MOST_PLACES {
            return None;
        }
        let told = bars.iter().enumerate().filter_map(|(bar, places)| Some((bar, self.in_one(places)?)));
        Some(told.map(|(bar, places)| format!("{places} in bar {}", bar + 1)).collect::<Vec<_>>().join(", and "))
    }
}

/// "2", "2 and 4", "1, 2 and 4".
fn listed(names: &[String]) -> String {
    match names {
        [] => String::new(),
        [one] => one.clone(),
        [all @ .., last] => format!("{} and {last}", all.join(", ")),
    }
}

fn sound(voice: Option<Role>, changes: &[SoundChange]) -> String {
    let name = voice.map_or_else(|| "The whole mix".to_owned(), the);
    let told: Vec<String> = changes.iter().take(3).map(compared).collect();
    format!("{name} sounds {}.", listed(&told))
}

/// How a sound has changed, as an adjective: no figures, for nobody hears hertz.
fn compared(change: &SoundChange) -> String {
    let more = match (change.from, change.to) {
        (Some(from), Some(to)) => to > from,
        (from, _) => from.is_none(),
    };
    let pick = |up: &'static str, down: &'static str| if more { up } else { down };
    match change.measure {
        SoundMeasure::Bandwidth => pick("clearer on top", "more muffled"),
        SoundMeasure::NoiseFloor => pick("noisier underneath", "cleaner underneath"),
        SoundMeasure::Decay => pick("longer", "shorter"),
        SoundMeasure::Pitch => pick("higher", "lower"),
        SoundMeasure::Drop => pick("as if it dived further", "as if it held its pitch more"),
        SoundMeasure::Brightness => pick("brighter", "darker"),
        SoundMeasure::Grit => pick("rougher", "purer"),
        SoundMeasure::Wobble if change.from.is_none() => "as if it wobbled",
        SoundMeasure::Wobble if change.to.is_none() => "steady",
        SoundMeasure::Wobble => pick("as if it wobbled faster", "as if it wobbled more slowly"),
        SoundMeasure::Room => pick("as in a larger room", "drier"),
        SoundMeasure::Gate if change.from.is_none() => "cut off short",
        SoundMeasure::Gate if change.to.is_none() => "free to ring out",
        SoundMeasure::Gate => pick("cut off later", "cut off sooner"),
    }
    .to_owned()
}

fn kit(drums: bool, tone: bool, speed: bool) -> String {
    match (drums, tone, speed) {
        (true, ..) => "Other drums play.",
        (_, true, _) => "The same drums sound through another tone.",
        _ => "The tape runs at another speed.",
    }
    .to_owned()
}
