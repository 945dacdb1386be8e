//! Conditions about how many: strokes, rolls, gaps in a row, bursts, slides, leaps, and how long.

use super::super::condition::{Per, Touch};
use super::line::{Line, Struck};
use super::{Outcome, Verdict};
use crate::rhythm::{Groove, Tick};
use crate::role::Role;

/// So many, both ends included.
#[derive(Clone, Copy)]
pub struct Range {
    pub min: u16,
    pub max: Option<u16>,
}

impl Range {
    fn holds(self, count: usize) -> bool {
        count >= usize::from(self.min) && self.max.is_none_or(|max| count <= usize::from(max))
    }

    /// How far a count is outside.
    fn off(self, count: usize) -> usize {
        let over = self.max.map_or(0, |max| count.saturating_sub(usize::from(max)));
        usize::from(self.min).saturating_sub(count).max(over)
    }
}

fn ids(strokes: &[Struck]) -> Vec<(crate::rhythm::LaneId, crate::rhythm::StrokeId)> {
    strokes.iter().map(Struck::id).collect()
}

/// Strokes that make up a number: `met` if it is enough.
fn at_least(strokes: &[Struck], found: usize, wanted: usize) -> Verdict {
    let holds = found >= wanted;
    let strokes = ids(strokes);
    let figure = Verdict::figure(holds, found as f64);
    Verdict { strokes: if holds { strokes.clone() } else { Vec::new() }, met: strokes, ..figure }
}

/// So many places struck.
pub fn count(groove: &Groove, voices: &[Role], touch: Touch, per: Per, range: Range) -> Verdict {
    let line = Line::of(groove, voices);
    // "None at all" is said of a line that may be absent; "few" or "no ghost notes" only of one that is there.
    let says_absent = range.max == Some(0) && matches!(touch, Touch::Any | Touch::Sounded);
    if line.strokes.is_empty() && range.min == 0 && !says_absent {
        return Verdict::bare(Outcome::DoesNotApply);
    }
    counted(&line, &line.touched(touch), per, range)
}

/// So many rolls.
pub fn rolls(groove: &Groove, voices: &[Role], per: Per, range: Range) -> Verdict {
    let line = Line::of(groove, voices);
    if line.strokes.is_empty() && range.min == 0 {
        return Verdict::bare(Outcome::DoesNotApply);
    }
    let rolls: Vec<Struck> = line.strokes.iter().filter(|struck| struck.stroke.roll.is_some()).copied().collect();
    counted(&line, &rolls, per, range)
}

fn counted(line: &Line, strokes: &[Struck], per: Per, range: Range) -> Verdict {
    let parts: Vec<Vec<Struck>> = match per {
        Per::Loop => vec![strokes.to_vec()],
        Per::Bar => (0..line.bars)
            .map(|bar| strokes.iter().filter(|struck| line.bar_of(struck.at()) == bar).copied().collect())
            .collect(),
    };
    let (mut verdict, mut furthest) = (Verdict::bare(Outcome::Holds), None);
    for part in &parts {
        let places = Line::gaps(part, line.length).len();
        if furthest.is_none_or(|furthest| range.off(places) > range.off(furthest)) {
            furthest = Some(places);
        }
        let too_many = range.max.is_some_and(|max| places > usize::from(max));
        if !range.holds(places) {
            verdict.outcome = Outcome::Fails;
        }
        if too_many { verdict.strokes.extend(ids(part)) } else { verdict.met.extend(ids(part)) }
    }
    if verdict.outcome == Outcome::Holds {
        verdict.strokes = verdict.met.clone();
    }
    Verdict { found: furthest.map(|count| count as f64), ..verdict }
}

/// So many equal gaps in a row, around the loop.
pub fn chain(groove: &Groove, voices: &[Role], gaps: &[Tick], wanted: usize) -> Verdict {
    let line = Line::of(groove, voices);
    let steady = Line::gaps(&line.strokes, line.length);
    let (mut longest, mut from, mut of) = (0, 0, Tick::ZERO);
    for &gap in gaps {
        for start in 0..steady.len() {
            let run = (0..steady.len()).take_while(|n| steady[(start + n) % steady.len()].1 == gap).count();
            if run > longest {
                (longest, from, of) = (run, start, gap);
            }
        }
    }
    let first = steady.get(from).map_or(Tick::ZERO, |(at, _)| *at);
    let places: Vec<Tick> = (0..=longest as i64).map(|n| (first + of.times(n)).rem_euclid(line.length)).collect();
    let inside = |struck: &&Struck| longest > 0 && places.contains(&struck.at());
    let strokes: Vec<Struck> = line.strokes.iter().filter(inside).copied().collect();
    at_least(&strokes, longest, wanted)
}

/// So many bursts in threes over a span in twos: a roll of 3, 6 or 12, or three even strokes on a span's start.
pub fn tuplets(groove: &Groove, voices: &[Role], wanted: usize) -> Verdict {
    const SPANS: [i64; 4] = [480, 960, 1920, 3840];
    let line = Line::of(groove, voices);
    // Beats in threes have their threes by nature.
    let in_twos = line.metre.beats().all(|beat| beat.0 % 720 != 0 || beat.0 % 960 == 0);
    let burst =
        |struck: &&Struck| struck.stroke.roll.is_some_and(|roll| roll.strokes % 3 == 0 && SPANS.contains(&roll.span.0));
    let mut strokes: Vec<Struck> = line.strokes.iter().filter(burst).copied().collect();
    let mut found = strokes.len();
    let on = |at: Tick| line.strokes.iter().find(|struck| struck.at() == at);
    for span in SPANS {
        let starts = (0..line.length.0 / span).map(|n| Tick(n * span));
        for start in starts {
            let thirds = [0, 1, 2].map(|n| on(start + Tick(n * span / 3)));
            let between = line.strokes.iter().filter(|struck| (start.0..start.0 + span).contains(&struck.at().0));
            if let ([Some(a), Some(b), Some(c)], 3) =
                (thirds, Line::gaps(&between.copied().collect::<Vec<_>>(), line.length).len())
            {
                strokes.extend([*a, *b, *c]);
                found += 1;
            }
        }
    }
    if in_twos { at_least(&strokes, found, wanted) } else { at_least(&[], 0, wanted) }
}

/// So many strokes that slide to another pitch.
pub fn slides(groove: &Groove, voices: &[Role], wanted: usize) -> Verdict {
    let line = Line::of(groove, voices);
    let slide = |struck: &&Struck| {
        let lowest = struck.stroke.pitches.iter().min();
        struck.stroke.glide.is_some_and(|glide| lowest.is_some_and(|&pitch| pitch != glide.to))
    };
    let strokes: Vec<Struck> = line.strokes.iter().filter(slide).copied().collect();
    at_least(&strokes, strokes.len(), wanted)
}

/// The longest stroke held so long. One that states no length lasts until the next if its part plays one note at a time.
pub fn sustains(groove: &Groove, voices: &[Role], wanted: Tick) -> Verdict {
    let mut longest = Tick::ZERO;
    let mut strokes = Vec::new();
    for lane in groove.pattern.lanes().iter().filter(|lane| voices.contains(&lane.head.role)) {
        let own = lane.strokes();
        for (index, stroke) in own.iter().enumerate() {
            let next = own.get(index + 1).or(own.first()).map_or(stroke.at, |next| next.at);
            let until = (next - stroke.at - Tick(1)).rem_euclid(groove.pattern.length()) + Tick(1);
            let mono = lane.head.role.is_mono();
            let lasts = stroke
                .length
                .map_or(if mono { until } else { Tick::ZERO }, |length| if mono { length.min(until) } else { length });
            longest = longest.max(lasts);
            if lasts >= wanted {
                strokes.push((lane.id, stroke.id));
            }
        }
    }
    let figure = Verdict::figure(longest >= wanted, longest.as_f64());
    Verdict { strokes: strokes.clone(), met: strokes, ..figure }
}

/// So many leaps of an octave from one stroke of a lane to its next, around the loop.
pub fn octave_leaps(groove: &Groove, voices: &[Role], wanted: usize) -> Verdict {
    let line = Line::of(groove, voices);
    let (mut found, mut leaping) = (0, Vec::new());
    for lane in groove.pattern.lanes().iter().filter(|lane| voices.contains(&lane.head.role)) {
        let of_lane: Vec<&Struck> = line.strokes.iter().filter(|struck| struck.lane == lane.id).collect();
        for (index, struck) in of_lane.iter().enumerate() {
            let next = of_lane[(index + 1) % of_lane.len()];
            let lowest = |struck: &Struck| struck.stroke.pitches.iter().min().copied().map(i16::from);
            if let (Some(from), Some(to)) = (lowest(struck), lowest(next))
                && (from - to).abs() == 12
            {
                found += 1;
                leaping.extend([**struck, *next]);
            }
        }
    }
    at_least(&leaping, found, wanted)
}
