//! The drawing under the places: lines, fins, whiskers, brackets, pitch lines, counts and the caret. It is hidden from
//! screen readers, which have the places themselves.

use super::fin::{self, Drawing, Fin};
use super::layout::{self, Line, System};
use super::sign::Signs;
use crate::rhythm::{Groove, Lane, Part, Pattern, StrokeId, Tick, Tonic};
use crate::role::Role;
use crate::words;
use leptos::prelude::*;

/// A lane's band in a system.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Band {
    /// Where the lane's line lies, from the top of the system.
    pub base: f64,
    /// The top of the band.
    pub top: f64,
    /// Its height.
    pub height: f64,
}

fn n(value: f64) -> String {
    format!("{value:.2}")
}

/// Bar and beat lines, bar numbers, the closing lines, and the lanes' own lines with a tick at every pulse.
pub fn ruling(groove: &Groove, system: &System, bands: &[(Lane, Band)]) -> impl IntoView + use<> {
    let pattern = &groove.pattern;
    let bar = pattern.metre().bar();
    let top = layout::HEAD - 8.0;
    let foot = bands.last().map_or(top, |(_, band)| band.base);
    let first = bands.first().map_or(top, |(_, band)| band.top.min(top));
    let lines = layout::lines(pattern, system).into_iter().map(|(at, line)| {
        let x = n(system.x(at.as_f64()));
        let class = match line {
            Line::Bar => "bar-line",
            Line::Beat if strong_beat(pattern, at) => "beat-line strong",
            Line::Beat => "beat-line",
        };
        view! { <line class=class x1=x.clone() x2=x y1=n(first) y2=n(foot) /> }
    });
    let numbers =
        (0..i64::from(pattern.bars())).map(|index| (index, bar.times(index))).filter(|(_, at)| system.holds(*at));
    let numbers = numbers.map(|(index, at)| {
        view! { <text class="bar-number" x=n(system.x(at.as_f64()) + 4.0) y=n(top - 2.0)>{index + 1}</text> }
    });
    let end = (system.end == pattern.length()).then(|| {
        let x = system.right();
        let middle = (first + foot) / 2.0;
        view! {
            <line class="end-line" x1=n(x + 5.0) x2=n(x + 5.0) y1=n(first) y2=n(foot) />
            <circle class="repeat" cx=n(x + 11.0) cy=n(middle - 8.0) r="2.4" />
            <circle class="repeat" cx=n(x + 11.0) cy=n(middle + 8.0) r="2.4" />
        }
    });
    let lanes = bands.iter().map(|(lane, band)| {
        let base = n(band.base);
        let pulse = lane.head.pulse.0.max(1);
        let first = (system.start.0 + pulse - 1) / pulse;
        let pulses = (first * pulse..system.end.0).step_by(pulse as usize);
        let pulses = pulses.map(|at| {
            let x = n(system.x(at as f64));
            view! { <line class="pulse" x1=x.clone() x2=x y1=base.clone() y2=n(band.base + 4.0) /> }
        });
        view! {
            <line class="lane-line" x1=n(system.left) x2=n(system.right()) y1=base.clone() y2=base.clone() />
            {pulses.collect_view()}
        }
    });
    let (lines, numbers, lanes) = (lines.collect_view(), numbers.collect_view(), lanes.collect_view());
    view! { {lines} {numbers} {end} {lanes} }
}

/// Whether two or more lanes strike on a beat: its line is then drawn stronger.
fn strong_beat(pattern: &Pattern, at: Tick) -> bool {
    pattern.lanes().iter().filter(|lane| lane.at(at).is_some()).count() >= 2
}

/// What sounds now in one lane, in order.
pub type Now = ReadSignal<Vec<(StrokeId, Part)>>;

/// The strokes of one lane in one system.
pub fn strokes(drawing: Drawing, band: Band, tonic: Tonic, role: Role, now: Now) -> impl IntoView {
    let base = band.base;
    let whiskers = drawing.fins.iter().filter(|fin| (fin.x - fin.foot).abs() >= 0.75);
    let whiskers = whiskers.map(|fin| {
        let y = n(base - 1.2);
        view! { <line class="whisker" x1=n(fin.foot) x2=n(fin.x) y1=y.clone() y2=y /> }
    });
    let whiskers = whiskers.collect_view();
    let brackets = drawing.brackets.iter().map(|bracket| {
        let y = base - fin::TALLEST + 3.0;
        let (from, to) = (bracket.from, (bracket.to - 1.5).max(bracket.from + 4.0));
        let path = format!("M{from:.1} {:.1}v-4H{to:.1}v4", y + 4.0);
        view! {
            <path class="bracket" d=path />
            <text class="bracket-number" x=n((from + to) / 2.0) y=n(y - 1.5)>{bracket.strokes}</text>
        }
    });
    let brackets = brackets.collect_view();
    // The pitch line takes the upper part of a pitched lane's band: two octaves about the lane's own middle.
    let pitches = drawing.held.iter().map(|held| held.pitch);
    let (low, high) = (pitches.clone().min().unwrap_or(0), pitches.max().unwrap_or(0));
    let middle = (f64::from(low) + f64::from(high)) / 2.0;
    let span = (f64::from(high) - f64::from(low)).max(12.0);
    let y_of = move |pitch: i8| base - 46.0 - (f64::from(pitch) - middle) / span * 22.0;
    let held = drawing.held.iter().map(|held| {
        let y = y_of(held.pitch);
        let mut path = format!("M{:.1} {y:.1}", held.from);
        match held.glide {
            Some((from, to)) => {
                path.push_str(&format!("H{from:.1}L{:.1} {:.1}", held.to, y_of(to).clamp(base - 62.0, base - 16.0)));
            }
            None => path.push_str(&format!("H{:.1}", (held.to - 1.5).max(held.from + 2.0))),
        }
        let id = held.stroke;
        let sounds = move || now.with(|now| now.iter().any(|(stroke, _)| *stroke == id));
        let note = words::notes::pitch(held.pitch, role, tonic);
        view! {
            <path class="held" class:now=sounds d=path />
            <text class="note" x=n(held.from + 2.0) y=n(y - 4.5)>{note}</text>
        }
    });
    let held = held.collect_view();
    let fins = drawing.fins.iter().map(|fin| fin_view(fin, base, now)).collect_view();
    view! { {whiskers} {brackets} {held} {fins} }
}

fn fin_view(fin: &Fin, base: f64, now: Now) -> impl IntoView + use<> {
    let (id, part) = (fin.stroke, fin.part);
    let sounds = move || now.with(|now| now.binary_search(&(id, part)).is_ok());
    let class = if fin.open { "fin open" } else { "fin" };
    view! { <path class=class class:now=sounds d=fin::outline(fin, base) /> }
}

/// The signs of hallmarks in one lane of one system. A place kept empty shows its sign only while it is empty.
pub fn signs(signs: &Signs, lane: &Lane, system: &System, base: f64) -> impl IntoView + use<> {
    let empty = signs.hollow.iter().filter(|(id, at)| *id == lane.id && system.holds(*at) && lane.at(*at).is_none());
    let hollow = empty.map(|(_, at)| {
        let (x, y) = (system.x(at.as_f64()), base - 15.0);
        view! { <path class="hollow" d=format!("M{:.1} {y:.1}l5 -6l5 6l-5 6z", x - 5.0) /> }
    });
    let arches = signs.arches.iter().filter(|arch| arch.lane == lane.id && system.holds(arch.from));
    let arches = arches.map(|arch| {
        let (from, to) = (system.x(arch.from.as_f64()), system.x(arch.to.as_f64()).min(system.right()));
        // In a pitched lane the arch keeps under the pitch line, and its number under the arch.
        let pitched = lane.head.role.is_pitched();
        let (y, rise, number) = if pitched { (base - 19.0, 12.0, 4.0) } else { (base - 33.0, 15.0, -10.0) };
        let middle = (from + to) / 2.0;
        view! {
            <path class="arch" d=format!("M{from:.1} {y:.1}Q{middle:.1} {:.1} {to:.1} {y:.1}", y - rise) />
            <text class="bracket-number" x=n(middle) y=n(y + number)>{arch.pulses}</text>
        }
    });
    let (hollow, arches) = (hollow.collect_view(), arches.collect_view());
    view! { {hollow} {arches} }
}

/// The count rows, from `top` down: what is counted aloud, and the felt count where it is another.
pub fn counts(groove: &Groove, system: &System, top: f64, pulse: Tick) -> impl IntoView + use<> {
    let row = words::counts::row(&groove.pattern, pulse).into_iter().filter(|count| system.holds(count.at));
    let row = row.map(|count| {
        let class = if count.beat { "count beat" } else { "count" };
        view! { <text class=class x=n(system.x(count.at.as_f64())) y=n(top + 15.0)>{count.label}</text> }
    });
    let row = row.collect_view();
    let named = system.left >= 90.0;
    let felt = has_felt_row(groove).then(|| {
        let row =
            words::counts::felt_row(&groove.pattern, groove.tempo).into_iter().filter(|count| system.holds(count.at));
        let row = row.map(|count| {
            let y = n(top + layout::COUNT + 15.0);
            view! { <text class="count felt" x=n(system.x(count.at.as_f64())) y=y>{count.label}</text> }
        });
        let row = row.collect_view();
        let names = named.then(|| {
            let x = n(system.left - 14.0);
            view! {
                <text class="count-name" x=x.clone() y=n(top + 15.0)>{words::ui::WRITTEN_COUNT}</text>
                <text class="count-name" x=x y=n(top + layout::COUNT + 15.0)>{words::ui::FELT_COUNT}</text>
            }
        });
        view! { {row} {names} }
    });
    view! { {row} {felt} }
}

/// Whether the felt count differs from the beats of the metre and gets a row of its own.
pub fn has_felt_row(groove: &Groove) -> bool {
    let felt = groove.tempo.felt();
    groove.pattern.metre().beats().any(|beat| beat != felt)
}
