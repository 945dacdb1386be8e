//! The words of contrasts and crossings: what differs between two grooves, and what one edit on the way does.
//!
//! All is told as a change of the first groove into the second: "The clap moves from 3 to 2 and 4."

use super::numbers::{counted, format};
use super::{cards, marks, notes, places, roles};
use crate::rhythm::{Feel, Groove, Metre, Strength, Tempo, Tick, Written};
use crate::role::Role;
use crate::style::contrast::{Axis, Difference, Finding, PartChange, SoundChange};
use crate::style::crossing::Change;
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

fn tempo(from: Tempo, to: Tempo) -> String {
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

fn count(from: Tempo, to: Tempo) -> String {
    let felt = |tempo: Tempo| marks::note_value(tempo.felt());
    if from.felt() != to.felt() {
        return format!("The foot taps {}s instead of {}s.", felt(to), felt(from));
    }
    format!("It is counted in {}s instead of {}s.", marks::note_value(to.unit()), marks::note_value(from.unit()))
}

fn bars(from: u8, to: u8) -> String {
    let bars = |count: u8| counted(count.into(), "bar", "bars");
    format!("It comes round after {} instead of {}.", bars(to), bars(from))
}

fn swing(from: &Feel, to: &Feel) -> String {
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

fn lean(role: Role, from: f64, to: f64) -> String {
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

/// "The closed hat".
fn the(role: Role) -> String {
    format!("The {}", roles::role(role).to_lowercase())
}

/// "are" and "is" would need number: parts are told as one player.
fn part(change: &PartChange, axis: &Axis, a: &Groove, b: &Groove) -> String {
    let own = Bars { axis, metre: a.pattern.metre() };
    let other = Bars { axis, metre: b.pattern.metre() };
    let (from, to) = match (change.from, change.to) {
        (None, Some(role)) => {
            return format!(
                "{} comes in, on {}.",
                an(role),
                other.told(&change.only_b).unwrap_or_else(|| many(&change.only_b))
            );
        }
        (Some(role), None) => return format!("{} goes.", the(role)),
        (Some(from), Some(to)) => (from, to),
        (None, None) => return String::new(),
    };
    let mut told = Vec::new();
    if from != to {
        told.push(format!("{} takes over from the {}.", an(to), roles::role(from).to_lowercase()));
    }
    told.extend(places_told(change, &the(to), &own, &other));
    let list = |places: &[Tick]| other.told(places).unwrap_or_else(|| many(places));
    let name = if told.is_empty() { the(to) } else { "It".to_owned() };
    if !change.harder.is_empty() {
        told.push(format!("{name} hits harder on {}.", list(&change.harder)));
    }
    let name = if told.is_empty() { the(to) } else { "It".to_owned() };
    if !change.softer.is_empty() {
        told.push(format!("{name} plays softer on {}.", list(&change.softer)));
    }
    let name = if told.is_empty() { the(to) } else { "It".to_owned() };
    if !change.ornamented.is_empty() {
        told.push(format!("{name} plays a roll or flam on {}.", list(&change.ornamented)));
    }
    let name = if told.is_empty() { the(to) } else { "It".to_owned() };
    if !change.plain.is_empty() {
        told.push(format!("{name} plays single strokes on {}.", list(&change.plain)));
    }
    let name = if told.is_empty() { the(to) } else { "It".to_owned() };
    if !change.other_notes.is_empty() {
        let how = if to.is_pitched() { "plays other notes, or holds them otherwise," } else { "sounds otherwise" };
        told.push(format!("{name} {how} on {}.", list(&change.other_notes)));
    }
    told.join(" ")
}

/// Where it plays otherwise.
fn places_told(change: &PartChange, name: &str, own: &Bars, other: &Bars) -> Option<String> {
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
    if let (Some(before), Some(after)) = (own.regular(&all(&left)), other.regular(&all(&taken)))
        && before != after
    {
        return Some(format!("{name} plays {after} instead of {before}."));
    }
    Some(match (own.told(&left), other.told(&taken)) {
        (_, Some(to)) if left.is_empty() => format!("{name} also plays {to}."),
        (Some(from), _) if taken.is_empty() => format!("{name} leaves out {from}."),
        (Some(from), Some(to)) => format!("{name} moves from {from} to {to}."),
        _ if left.is_empty() => format!("{name} plays {} more.", strokes(&taken, own)),
        _ if taken.is_empty() => format!("{name} plays {} fewer.", strokes(&left, own)),
        _ => match other.regular(&all(&taken)).or_else(|| other.told(&all(&taken))) {
            Some(to) => format!("{name} plays {to} now."),
            None => format!(
                "{name} plays another pattern: {} strokes are the same, {} are not.",
                change.shared.len(),
                taken.len()
            ),
        },
    })
}

fn strokes(places: &[Tick], bars: &Bars) -> String {
    let strokes = counted(places.len(), "stroke", "strokes");
    if bars.axis.bars == 1 { strokes } else { format!("{strokes} in {} bars", bars.axis.bars) }
}

fn many(places: &[Tick]) -> String {
    counted(places.len(), "place", "places")
}

/// "A clap", "An open hat".
fn an(role: Role) -> String {
    let name = roles::role(role).to_lowercase();
    let article = if name.ends_with('s') {
        return roles::role(role).to_owned();
    } else if name.starts_with(['a', 'e', 'i', 'o']) {
        "An"
    } else {
        "A"
    };
    format!("{article} {name}")
}

/// Places on the axis, told in bars of one metre.
struct Bars<'a> {
    axis: &'a Axis,
    metre: &'a Metre,
}

/// The longest list of places that is read out.
const MOST_PLACES: usize = 6;

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

    /// "2 and 4"; "4 in bar 2"; `None` where the list is too long to be read out.
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
        let names = |places: &[Tick]| listed(&places.iter().map(|&at| self.counted(at)).collect::<Vec<_>>());
        if bars.iter().all(|bar| bar == first) {
            return (first.len() <= MOST_PLACES && !first.is_empty()).then(|| names(first));
        }
        if all.len() > MOST_PLACES {
            return None;
        }
        let told = bars.iter().enumerate().filter(|(_, places)| !places.is_empty());
        let told: Vec<String> = told.map(|(bar, places)| format!("{} in bar {}", names(places), bar + 1)).collect();
        Some(told.join(", "))
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

/// What one edit of a crossing does. `before` is the groove it is made on; `style` names a kit's style.
pub fn change(change: &Change, before: &Groove, style: &dyn Fn(&str) -> String) -> String {
    let metre = before.pattern.metre();
    let place = |at: Tick| {
        let name = places::counted(at.rem_euclid(metre.bar()), metre);
        if before.pattern.bars() == 1 { name } else { format!("{name} in bar {}", at.div_euclid(metre.bar()) + 1) }
    };
    match change {
        Change::Bars { from, to } => bars(*from, *to),
        Change::Metre { from, to } => format!("The metre changes from {} to {}.", marks::metre(from), marks::metre(to)),
        Change::Dynamics => "Accents and ghost notes are meant as loud as in the other groove.".to_owned(),
        Change::Tempo { from, to } => tempo(*from, *to),
        Change::Count { from, to } => count(*from, *to),
        Change::Swing { from, to } => swing(from, to),
        Change::Shifts => "Other places of the beat come early or late.".to_owned(),
        Change::Tonic { to, .. } => {
            format!("The bass note it all stands on becomes {}.", notes::note(to.note().into(), *to))
        }
        Change::Kit(id) => format!("The drums of {} play.", style(id.as_str())),
        Change::Tone(id) => format!("It sounds through the tone of {}.", style(id.as_str())),
        Change::TapeSpeed(speed) => format!("The tape runs at {} % of its speed.", format(speed.ratio() * 100.0, 1)),
        Change::PartComes { role, at } if at.is_empty() => format!("{} sits down, and waits.", an(*role)),
        Change::PartComes { role, at } => {
            let axis = Axis { bars: before.pattern.bars().into(), bar: metre.bar(), lines: Vec::new() };
            let told = Bars { axis: &axis, metre }.told(at).unwrap_or_else(|| many(at));
            format!("{} comes in, on {told}.", an(*role))
        }
        Change::PartGoes { role } => format!("{} goes.", the(*role)),
        Change::Role { from, to } => format!("{} takes over from the {}.", an(*to), roles::role(*from).to_lowercase()),
        Change::Lean { role, from, to } => lean(*role, from.ms(), to.ms()),
        Change::Swings { role, to: Some(true) } => format!("{} swings along.", the(*role)),
        Change::Swings { role, to: Some(false) } => format!("{} stays even.", the(*role)),
        Change::Swings { role, to: None } => format!("{} does as the feel says.", the(*role)),
        Change::Pulse { role, to } => {
            format!("The line of the {} is written in {}s.", roles::role(*role).to_lowercase(), cards::note_value(*to))
        }
        Change::StrokeComes { role, at } => format!("{} also plays {}.", the(*role), place(*at)),
        Change::StrokeGoes { role, at } => format!("{} leaves out {}.", the(*role), place(*at)),
        Change::StrokeMoves { role, from, to } => {
            format!("{} moves from {} to {}.", the(*role), place(*from), place(*to))
        }
        Change::Loudness { role, at, from, to } => {
            let strength = |loudness| before.dynamics.strength(loudness);
            let how = match (strength(*from), strength(*to)) {
                (from, Strength::Accent) if from != Strength::Accent => "is accented",
                (from, Strength::Ghost) if from != Strength::Ghost => "shrinks to a ghost note",
                (Strength::Ghost, Strength::Plain) => "grows from a ghost note to a plain stroke",
                (Strength::Accent, Strength::Plain) => "loses its accent",
                _ if to > from => "gets a little louder",
                _ => "gets a little softer",
            };
            format!("{} on {} {how}.", the(*role), place(*at))
        }
        Change::Ornament { role, at } => format!("{} on {} is played otherwise.", the(*role), place(*at)),
        Change::Written => "Only how it is written changes.".to_owned(),
    }
}
