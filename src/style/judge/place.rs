//! Conditions about places.

use super::super::condition::{Per, Places, Touch};
use super::line::{Line, Struck};
use super::{Outcome, Verdict};
use crate::rhythm::{Groove, Tick};
use crate::role::Role;

/// What has been found so far: strokes that are right, strokes at fault, places that lack one.
#[derive(Default)]
struct Tally<'g> {
    met: Vec<Struck<'g>>,
    faults: Vec<Struck<'g>>,
    missing: Vec<Tick>,
}

impl<'g> Tally<'g> {
    /// Looks for strokes on `at` (the line is in order of place), and notes those found or that there are none.
    fn want(&mut self, line: &[Struck<'g>], at: Tick) {
        let first = line.partition_point(|struck| struck.at() < at);
        let mut found = line.iter().skip(first).take_while(|struck| struck.at() == at).peekable();
        if found.peek().is_none() {
            self.missing.push(at);
        }
        self.met.extend(found);
    }

    /// The verdict if nothing may be missing or at fault.
    fn strict(self, line: &Line) -> Verdict {
        let holds = self.faults.is_empty() && self.missing.is_empty();
        self.verdict(line, holds)
    }

    fn verdict(self, line: &Line, holds: bool) -> Verdict {
        let ids = |strokes: &[Struck]| strokes.iter().map(Struck::id).collect();
        let places = if holds { Vec::new() } else { self.missing.iter().map(|&at| (line.lane, at)).collect() };
        Verdict {
            strokes: ids(if holds { &self.met } else { &self.faults }),
            places,
            met: ids(&self.met),
            ..Verdict::bare(if holds { Outcome::Holds } else { Outcome::Fails })
        }
    }
}

/// Every place struck; with `only`, nothing else.
pub fn strikes(groove: &Groove, voices: &[Role], places: &Places, touch: Touch, shift: usize, only: bool) -> Verdict {
    let line = Line::of(groove, voices);
    let Some(laid) = line.laid(places, shift) else { return Verdict::bare(Outcome::DoesNotApply) };
    let touched = line.touched(touch);
    let mut tally = Tally::default();
    for (bar, wanted) in &laid {
        wanted.iter().for_each(|&at| tally.want(&touched, at));
        let inside = touched.iter().filter(|struck| only && line.bar_of(struck.at()) == *bar);
        tally.faults.extend(inside.filter(|struck| wanted.binary_search(&struck.at()).is_err()));
    }
    tally.strict(&line)
}

/// None of the places struck.
pub fn kept_empty(groove: &Groove, voices: &[Role], places: &Places, touch: Touch, shift: usize) -> Verdict {
    let line = Line::of(groove, voices);
    let Some(laid) = line.laid(places, shift) else { return Verdict::bare(Outcome::DoesNotApply) };
    if line.strokes.is_empty() {
        return Verdict::bare(Outcome::DoesNotApply);
    }
    let mut kept: Vec<Tick> = laid.into_iter().flat_map(|(_, ticks)| ticks).collect();
    kept.sort_unstable();
    kept.dedup();
    let faults = line.touched(touch).into_iter().filter(|struck| kept.binary_search(&struck.at()).is_ok());
    let faults: Vec<Struck> = faults.collect();
    if faults.is_empty() {
        Verdict { places: kept.into_iter().map(|at| (line.lane, at)).collect(), ..Verdict::bare(Outcome::Holds) }
    } else {
        Tally { faults, ..Tally::default() }.strict(&line)
    }
}

/// How many of the places, and over what.
#[derive(Clone, Copy)]
pub struct Quota {
    pub at_least: usize,
    pub per: Per,
}

/// At least so many of the places struck.
pub fn some_of(groove: &Groove, voices: &[Role], places: &Places, touch: Touch, shift: usize, quota: Quota) -> Verdict {
    let line = Line::of(groove, voices);
    let Some(laid) = line.laid(places, shift) else { return Verdict::bare(Outcome::DoesNotApply) };
    let touched = line.touched(touch);
    let mut whole = Tally::default();
    let (mut enough, mut fewest, mut most) = (0, usize::MAX, 0);
    for (_, wanted) in &laid {
        let mut bar = Tally::default();
        wanted.iter().for_each(|&at| bar.want(&touched, at));
        let struck = wanted.len() - bar.missing.len();
        (fewest, most) = (fewest.min(struck), most.max(struck));
        whole.met.append(&mut bar.met);
        if struck >= quota.at_least {
            enough += 1;
        } else {
            whole.missing.append(&mut bar.missing);
        }
    }
    let (holds, found) = match quota.per {
        Per::Bar => (enough == laid.len(), fewest),
        Per::Loop => (enough > 0, most),
    };
    Verdict { found: laid.first().map(|_| found as f64), ..whole.verdict(&line, holds && !laid.is_empty()) }
}

/// So many of the places not struck while another place nearby is.
pub fn displaced(
    groove: &Groove,
    voices: &[Role],
    places: &Places,
    shift: usize,
    within: Tick,
    at_least: usize,
) -> Verdict {
    let line = Line::of(groove, voices);
    let Some(laid) = line.laid(places, shift) else { return Verdict::bare(Outcome::DoesNotApply) };
    let mut wanted: Vec<Tick> = laid.into_iter().flat_map(|(_, ticks)| ticks).collect();
    wanted.sort_unstable();
    wanted.dedup();
    let touched = line.touched(Touch::Sounded);
    let (mut moved, mut tally) = (0, Tally::default());
    for &at in &wanted {
        let here = touched.iter().filter(|struck| struck.at() == at);
        tally.faults.extend(here.clone());
        if here.count() > 0 {
            continue;
        }
        let away = |struck: &&Struck| {
            let ahead = (struck.at() - at).rem_euclid(line.length);
            ahead.min(line.length - ahead) <= within && wanted.binary_search(&struck.at()).is_err()
        };
        let near: Vec<&Struck> = touched.iter().filter(away).collect();
        moved += usize::from(!near.is_empty());
        tally.met.extend(near);
    }
    Verdict { found: Some(moved as f64), ..tally.verdict(&line, moved >= at_least) }
}

/// A stroke on every multiple of `pulse`.
pub fn every(groove: &Groove, voices: &[Role], pulse: Tick, touch: Touch) -> Verdict {
    let line = Line::of(groove, voices);
    let touched = line.touched(touch);
    let mut tally = Tally::default();
    (0..).map(|n| pulse.times(n)).take_while(|&at| at < line.length).for_each(|at| tally.want(&touched, at));
    tally.strict(&line)
}

/// A share of the places struck lies off the beats.
pub fn off_the_beat(groove: &Groove, voices: &[Role], percent: u8) -> Verdict {
    let line = Line::of(groove, voices);
    if line.strokes.is_empty() {
        return Verdict::bare(Outcome::DoesNotApply);
    }
    let on_beat = |struck: &Struck| {
        let inside = struck.at().rem_euclid(line.metre.bar());
        line.metre.beat_at(inside).1 == inside
    };
    let (on, off): (Vec<Struck>, Vec<Struck>) = line.strokes.iter().copied().partition(on_beat);
    let places = |strokes: &[Struck]| Line::gaps(strokes, line.length).len();
    let (on_places, off_places) = (places(&on), places(&off));
    let share = 100.0 * off_places as f64 / (on_places + off_places) as f64;
    let tally = Tally { met: off, faults: on, ..Tally::default() };
    Verdict { found: Some(share), ..tally.verdict(&line, share >= f64::from(percent)) }
}

/// Groups of pulses, counted from a bar's first beat and repeated to its end.
#[derive(Clone, Copy)]
pub struct Cell<'c> {
    pub groups: &'c [u8],
    pub pulse: Tick,
}

/// Strokes where the groups begin; with `only`, nothing else.
pub fn follows_cell(groove: &Groove, voices: &[Role], cell: Cell, touch: Touch, only: bool) -> Verdict {
    let line = Line::of(groove, voices);
    let touched = line.touched(touch);
    let bar = line.metre.bar();
    let mut starts = vec![Tick::ZERO];
    for group in cell.groups.iter().cycle() {
        let next = starts.last().copied().unwrap_or_default() + cell.pulse.times(i64::from(*group));
        if next >= bar || next <= Tick::ZERO {
            break;
        }
        starts.push(next);
    }
    let mut tally = Tally::default();
    for n in 0..line.bars {
        starts.iter().for_each(|&start| tally.want(&touched, bar.times(n as i64) + start));
    }
    let stray = |struck: &&Struck| only && !starts.contains(&struck.at().rem_euclid(bar));
    tally.faults.extend(touched.iter().filter(stray));
    tally.strict(&line)
}
