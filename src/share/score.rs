//! Lanes as questions: first the row of every lane, as box notation tells it, then the details a row cannot tell.
//!
//! A row is told bar by bar: like the bar before, like the one before that, or place by place. The odds of a stroke
//! follow what a musician would guess from: the role, the weight of the place in the metre, the places just before, the
//! same place a beat and a bar ago, and the lanes above.

use super::coder::{Coder, Context, EVEN};
use super::details;
use super::link::{LinkFault, Unfit};
use crate::rhythm::lane::MAX_STROKES;
use crate::rhythm::pattern::{MAX_BARS, MAX_LANES};
use crate::rhythm::{
    Dynamics, Lane, LaneFault, LaneHead, Lean, Loudness, Metre, Pattern, PatternError, Strength, Tick,
};
use crate::role::Role;

/// What a lane is told over.
pub(super) struct Ruling<'a> {
    pub(super) metre: &'a Metre,
    pub(super) bars: u8,
    pub(super) dynamics: Dynamics,
}

impl Ruling<'_> {
    pub(super) fn length(&self) -> i64 {
        self.metre.bar().0 * i64::from(self.bars)
    }
}

/// A stroke as a row tells it: its tick, and its strength unless its loudness is none of the three.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Mark {
    pub(super) at: i64,
    pub(super) strength: Option<Strength>,
}

/// The strength whose loudness this is exactly.
pub(super) fn exact_strength(loudness: Loudness, dynamics: &Dynamics) -> Option<Strength> {
    let nearest = dynamics.strength(loudness);
    (dynamics.loudness(nearest) == loudness).then_some(nearest)
}

fn pattern_fault(error: PatternError) -> LinkFault {
    LinkFault::Unfit(Unfit::Pattern(error))
}

/// The pattern: metre, bars and lanes.
pub(super) fn pattern(coder: &mut Coder, given: Option<&Pattern>, dynamics: Dynamics) -> Result<Pattern, LinkFault> {
    let metre = metre(coder, given.map(Pattern::metre))?;
    let bars = coder.number(u32::from(given.map_or(1, Pattern::bars)) - 1, &[Context::of(&[20])]) + 1;
    let fitting = u8::try_from(bars).ok().filter(|bars| *bars <= MAX_BARS);
    let bars = fitting.ok_or(pattern_fault(PatternError::Bars(bars)))?;
    let given = given.map_or(&[][..], Pattern::lanes);
    let count = coder.number(given.len() as u32, &[]) as usize;
    if count > MAX_LANES {
        return Err(pattern_fault(PatternError::Lanes(count)));
    }
    let ruling = Ruling { metre: &metre, bars, dynamics };
    let mut lanes: Vec<Lane> = Vec::with_capacity(count);
    let mut rows: Vec<Vec<Mark>> = Vec::with_capacity(count);
    for index in 0..count {
        let given = given.get(index);
        let head = head(coder, given.map(|lane| lane.head), lanes.last().map(|lane| lane.head))?;
        let pulse = head.pulse.0;
        if !(40..=3840).contains(&pulse) || ruling.length() % pulse != 0 {
            return Err(pattern_fault(PatternError::Lane(index, LaneFault::Pulse(head.pulse))));
        }
        let row = row(coder, given, &head, &ruling, &lanes, &rows);
        let row = row.map_err(|fault| pattern_fault(PatternError::Lane(index, fault)))?;
        let strokes = details::strokes(coder, given, &head, &ruling, &row)?;
        lanes.push(Lane::with_strokes(head, strokes));
        rows.push(row);
    }
    Pattern::new(metre, bars, lanes).map_err(pattern_fault)
}

fn metre(coder: &mut Coder, given: Option<&Metre>) -> Result<Metre, LinkFault> {
    let four_four = Metre::four_four();
    if coder.bit(given == Some(&four_four), EVEN + EVEN / 2, &[]) {
        return Ok(four_four);
    }
    let given: Vec<Tick> = given.map(|metre| metre.beats().collect()).unwrap_or_default();
    let count = coder.plain((given.len().max(1) - 1) as u32, 4) as usize + 1;
    let mut beats: Vec<Tick> = Vec::with_capacity(count);
    for index in 0..count {
        let units = (given.get(index).map_or(120, |beat| beat.0) / 120) as u32;
        let last = beats.last().map_or(8, |beat| beat.0 as u32 / 120);
        let units =
            if coder.bit(units == last, EVEN, &[Context::of(&[21])]) { last } else { coder.plain(units - 1, 5) + 1 };
        beats.push(Tick(i64::from(units) * 120));
    }
    Metre::new(&beats).map_err(|error| LinkFault::Unfit(Unfit::Metre(error)))
}

/// Everything about a lane but its strokes. Lanes mostly come in the order of roles, with the pulse of the lane above.
fn head(coder: &mut Coder, given: Option<LaneHead>, above: Option<LaneHead>) -> Result<LaneHead, LinkFault> {
    let given = given.unwrap_or(LaneHead::new(Role::Kick, Tick::SIXTEENTH));
    let next = above.map_or(0, |above| above.role.index() + 1);
    let role = coder.signed(given.role.index() as i32 - next as i32, &[Context::of(&[22])]);
    let role = usize::try_from(next as i32 + role).ok().and_then(Role::from_index);
    let role = role.ok_or(LinkFault::Unfit(Unfit::Role))?;
    let last = above.map_or(Tick::SIXTEENTH, |above| above.pulse);
    let pulse = if coder.bit(given.pulse == last, EVEN + EVEN / 2, &[Context::of(&[23])]) {
        last
    } else {
        Tick(i64::from(coder.distance(given.pulse.0 as u32, 320, &[Context::of(&[24])])))
    };
    let special = given != LaneHead::new(given.role, given.pulse);
    let mut head = LaneHead::new(role, pulse);
    if coder.bit(special, EVEN / 2, &[Context::of(&[25])]) {
        head.optional = coder.bit(given.optional, EVEN, &[Context::of(&[26])]);
        if coder.bit(given.swings.is_some(), EVEN / 2, &[Context::of(&[27])]) {
            head.swings = Some(coder.bit(given.swings == Some(true), EVEN, &[Context::of(&[28])]));
        }
        head.lean = lean(coder, given.lean)?;
    }
    Ok(head)
}

fn lean(coder: &mut Coder, given: Lean) -> Result<Lean, LinkFault> {
    let tenths = i32::from(given.tenths());
    let tenths = if coder.bit(tenths % 10 == 0, EVEN + EVEN / 2, &[Context::of(&[29])]) {
        coder.signed(tenths / 10, &[Context::of(&[30])]).saturating_mul(10)
    } else {
        coder.signed(tenths, &[Context::of(&[31])])
    };
    let lean = i16::try_from(tenths).ok().and_then(Lean::from_tenths);
    lean.ok_or(LinkFault::Unfit(Unfit::Number))
}

/// The row of one lane. `lanes` and `rows` are those above it.
fn row(
    coder: &mut Coder,
    given: Option<&Lane>,
    head: &LaneHead,
    ruling: &Ruling,
    lanes: &[Lane],
    rows: &[Vec<Mark>],
) -> Result<Vec<Mark>, LaneFault> {
    let mark = |stroke: &crate::rhythm::Stroke| Mark {
        at: stroke.at.0,
        strength: exact_strength(stroke.loudness, &ruling.dynamics),
    };
    let given: Option<Vec<Mark>> = given.map(|lane| lane.strokes().iter().map(mark).collect());
    let bar_length = ruling.metre.bar().0;
    let mut told = Row {
        marks: Vec::new(),
        role: head.role.index() as u32,
        lane: rows.len() as u32,
        pulse: head.pulse.0,
        metre: ruling.metre,
        above: rows.last(),
        kick: lanes.iter().position(|lane| lane.head.role == Role::Kick).and_then(|index| rows.get(index)),
        differences: 0,
    };
    for bar in 0..i64::from(ruling.bars) {
        let start = bar * bar_length;
        let within = |marks: &[Mark], from: i64| -> Vec<Mark> {
            let inside = marks.iter().filter(|mark| (from..from + bar_length).contains(&mark.at));
            inside.map(|mark| Mark { at: mark.at - from, ..*mark }).collect()
        };
        let own = given.as_deref().map(|marks| within(marks, start));
        let mut repeated = false;
        for back in 1..=bar.min(2) {
            let earlier = within(&told.marks, start - back * bar_length);
            let context = Context::of(&[32, back as u32]);
            let contexts = [context, context.with(told.role)];
            repeated = coder.bit(own.as_ref() == Some(&earlier), EVEN + EVEN / 2, &contexts);
            if repeated {
                told.marks.extend(earlier.into_iter().map(|mark| Mark { at: mark.at + start, ..mark }));
                break;
            }
        }
        if !repeated {
            told.bar(coder, given.as_deref(), start, start + bar_length)?;
        }
        if told.marks.len() > MAX_STROKES {
            return Err(LaneFault::TooMany(told.marks.len()));
        }
    }
    Ok(told.marks)
}

struct Row<'a> {
    marks: Vec<Mark>,
    role: u32,
    lane: u32,
    pulse: i64,
    metre: &'a Metre,
    above: Option<&'a Vec<Mark>>,
    kick: Option<&'a Vec<Mark>>,
    /// How often this bar has differed from the one before, up to 3.
    differences: u32,
}

fn find(marks: &[Mark], at: i64) -> Option<&Mark> {
    marks.binary_search_by_key(&at, |mark| mark.at).ok().and_then(|index| marks.get(index))
}

/// A strength as a number: 0 for a loudness of its own, and 4 where there is no stroke.
fn strength_number(mark: Option<&Mark>) -> u32 {
    match mark.map(|mark| mark.strength) {
        Some(None) => 0,
        Some(Some(Strength::Ghost)) => 1,
        Some(Some(Strength::Plain)) => 2,
        Some(Some(Strength::Accent)) => 3,
        None => 4,
    }
}

impl Row<'_> {
    /// One bar, place by place, then the strokes off the pulse.
    fn bar(&mut self, coder: &mut Coder, given: Option<&[Mark]>, start: i64, end: i64) -> Result<(), LaneFault> {
        self.differences = 0;
        let first = self.marks.len();
        let mut at = (start + self.pulse - 1) / self.pulse * self.pulse;
        while at < end {
            let own = given.and_then(|marks| find(marks, at)).copied();
            let contexts = self.contexts(at);
            if coder.bit(own.is_some(), EVEN / 2, &contexts) {
                let strength = self.strength(coder, own, at);
                self.push(Mark { at, strength })?;
            }
            let (now, earlier) = (find(&self.marks, at), find(&self.marks, at - self.metre.bar().0));
            self.differences = (self.differences + u32::from(now.is_some() != earlier.is_some())).min(3);
            at += self.pulse;
        }
        self.off_pulse(coder, given, start, end)?;
        if let Some(bar) = self.marks.get_mut(first..) {
            bar.sort_unstable_by_key(|mark| mark.at);
        }
        Ok(())
    }

    fn off_pulse(&mut self, coder: &mut Coder, given: Option<&[Mark]>, start: i64, end: i64) -> Result<(), LaneFault> {
        let inside = |mark: &&Mark| (start..end).contains(&mark.at) && mark.at % self.pulse != 0;
        let own: Vec<Mark> = given.unwrap_or_default().iter().filter(inside).copied().collect();
        let context = Context::of(&[33]);
        let count = coder.number(own.len() as u32, &[context, context.with(self.role)]) as usize;
        if count > MAX_STROKES {
            return Err(LaneFault::TooMany(count));
        }
        // Counted from a pulse before the bar, so that no distance is 0.
        let mut last = start - self.pulse;
        for index in 0..count {
            let own = own.get(index).copied();
            let contexts = [Context::of(&[34, u32::from(index > 0)])];
            let distance = own.map_or(1, |mark| mark.at - last) as u32;
            let at = last + i64::from(coder.distance(distance, self.pulse as u32 / 2, &contexts));
            if !(start..end).contains(&at) || at % self.pulse == 0 {
                return Err(LaneFault::Stroke(Tick(at), crate::rhythm::StrokeFault::Place));
            }
            let strength = self.strength(coder, own, at);
            self.push(Mark { at, strength })?;
            last = at;
        }
        Ok(())
    }

    fn push(&mut self, mark: Mark) -> Result<(), LaneFault> {
        if self.marks.len() >= MAX_STROKES {
            return Err(LaneFault::TooMany(self.marks.len() + 1));
        }
        self.marks.push(mark);
        Ok(())
    }

    /// Where a place stands in the metre: on a beat, on its half, its quarters or thirds, or between; and in which half
    /// of the bar's beats.
    fn weight(&self, at: i64) -> u32 {
        let (beat, start, length) = self.metre.beat_at(Tick(at).rem_euclid(self.metre.bar()));
        let inside = Tick(at).rem_euclid(self.metre.bar()) - start;
        let part = match inside.0 {
            0 => 0,
            inside if inside * 2 == length.0 => 1,
            inside if inside * 4 == length.0 => 2,
            inside if inside * 4 == length.0 * 3 => 3,
            inside if inside * 3 == length.0 => 4,
            inside if inside * 3 == length.0 * 2 => 5,
            _ => 6,
        };
        part * 16 + beat as u32
    }

    /// What is known before the question whether a stroke stands at `at`, from the general to the specific.
    fn contexts(&self, at: i64) -> [Context; 6] {
        let struck = |at: i64| u32::from(find(&self.marks, at).is_some());
        let weight = self.weight(at);
        let (part, backbeat) = (weight / 16, weight % 2);
        let recent = struck(at - self.pulse) | struck(at - 2 * self.pulse) << 1 | struck(at - 960) << 2;
        let above = |marks: Option<&Vec<Mark>>| marks.map_or(2, |marks| u32::from(find(marks, at).is_some()));
        let others = above(self.above) * 3 + above(self.kick);
        let earlier = strength_number(find(&self.marks, at - self.metre.bar().0));
        let first_bar = u32::from(at < self.metre.bar().0);
        let earlier = first_bar * 8 + u32::from(earlier < 4) * 4 + self.differences;
        [
            Context::of(&[40, self.role]),
            Context::of(&[41, self.role, part, backbeat]),
            Context::of(&[42, self.lane, others, part]),
            Context::of(&[43, self.lane, recent, part]),
            Context::of(&[44, earlier, recent]),
            Context::of(&[45, self.lane, earlier, recent, part]),
        ]
    }

    fn strength(&self, coder: &mut Coder, own: Option<Mark>, at: i64) -> Option<Strength> {
        let last = strength_number(self.marks.last());
        let beat_ago = strength_number(find(&self.marks, at - 960));
        let bar_ago = strength_number(find(&self.marks, at - self.metre.bar().0));
        let contexts = [
            Context::of(&[50]),
            Context::of(&[51, self.role, self.weight(at) / 16]),
            Context::of(&[52, self.lane, last, self.weight(at) / 16]),
            Context::of(&[53, self.lane, beat_ago, bar_ago, last]),
        ];
        let own = own.and_then(|mark| mark.strength);
        let ask = |coder: &mut Coder, strength: Strength, part: u32| {
            coder.bit(own == Some(strength), EVEN, &contexts.map(|context| context.with(part)))
        };
        [(Strength::Plain, 0), (Strength::Accent, 1), (Strength::Ghost, 2)]
            .into_iter()
            .find_map(|(strength, part)| ask(coder, strength, part).then_some(strength))
    }
}
