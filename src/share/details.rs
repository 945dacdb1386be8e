//! What a row cannot tell of its strokes: nudges, rolls, flams, pitches, lengths, glides, loudnesses of their own.

use super::coder::{Coder, Context, EVEN};
use super::link::{LinkFault, Unfit};
use super::score::{Mark, Ruling, exact_strength};
use crate::rhythm::{Flam, Glide, Lane, LaneHead, Loudness, Roll, RollShape, Stroke, Tick};

/// The most pitches a stroke may have.
const MAX_PITCHES: u32 = 8;
/// How many different sets of pitches a lane remembers.
const REMEMBERED: usize = 8;

/// What is told of the strokes of one lane.
struct Details<'a> {
    role: u32,
    pulse: u32,
    ruling: &'a Ruling<'a>,
    /// Sets of pitches met in this lane, the latest first.
    pitches: Vec<Vec<i8>>,
    told: Vec<Stroke>,
}

/// The strokes of a row, with their details.
pub(super) fn strokes(
    coder: &mut Coder,
    given: Option<&Lane>,
    head: &LaneHead,
    ruling: &Ruling,
    row: &[Mark],
) -> Result<Vec<Stroke>, LinkFault> {
    let bare = |stroke: &Stroke| *stroke == Stroke::new(stroke.at, stroke.loudness);
    let some = given.is_some_and(|lane| !lane.strokes().iter().all(bare));
    let pitched = u32::from(head.role.is_pitched());
    let prior = if head.role.is_pitched() { EVEN + EVEN / 4 * 3 } else { EVEN / 4 };
    let some = coder.bit(some, prior, &[Context::of(&[70, pitched])]);
    let mut details = Details {
        role: head.role.index() as u32,
        pulse: head.pulse.0 as u32,
        ruling,
        pitches: Vec::new(),
        told: Vec::with_capacity(row.len()),
    };
    for (index, mark) in row.iter().enumerate() {
        let own = given.and_then(|lane| lane.at(Tick(mark.at)));
        let next = row.get(index + 1).map_or(ruling.length(), |next| next.at);
        let mut stroke = Stroke::new(Tick(mark.at), details.loudness(coder, own, mark)?);
        if some {
            details.stroke(coder, own, &mut stroke, next)?;
        }
        details.told.push(stroke);
    }
    Ok(details.told)
}

impl Details<'_> {
    fn contexts(&self, question: u32) -> [Context; 2] {
        [Context::of(&[question]), Context::of(&[question, self.role])]
    }

    fn bit(&self, coder: &mut Coder, value: bool, prior: u16, question: u32) -> bool {
        coder.bit(value, prior, &self.contexts(question))
    }

    /// The stroke at the same place one bar ago.
    fn bar_ago(&self, at: Tick) -> Option<&Stroke> {
        let place = at - self.ruling.metre.bar();
        self.told.binary_search_by_key(&place, |stroke| stroke.at).ok().and_then(|index| self.told.get(index))
    }

    fn loudness(&self, coder: &mut Coder, own: Option<&Stroke>, mark: &Mark) -> Result<Loudness, LinkFault> {
        if let Some(strength) = mark.strength {
            return Ok(self.ruling.dynamics.loudness(strength));
        }
        let own = own.map_or(1, |stroke| stroke.loudness.get());
        let uncommon = |stroke: &&Stroke| exact_strength(stroke.loudness, &self.ruling.dynamics).is_none();
        let last = self.told.iter().rfind(uncommon);
        for (question, before) in [(71, self.bar_ago(Tick(mark.at))), (72, last)] {
            let Some(before) = before else { continue };
            if self.bit(coder, before.loudness.get() == own, EVEN, question) {
                return Ok(before.loudness);
            }
        }
        let value = coder.choice(u32::from(own), 7, &[Context::of(&[73])]);
        Loudness::new(value as u8).ok_or(LinkFault::Unfit(Unfit::Loudness))
    }

    fn stroke(
        &mut self,
        coder: &mut Coder,
        own: Option<&Stroke>,
        stroke: &mut Stroke,
        next: i64,
    ) -> Result<(), LinkFault> {
        if let Some(before) = self.bar_ago(stroke.at).cloned() {
            let as_before = Stroke { at: stroke.at, loudness: stroke.loudness, ..before };
            if self.bit(coder, own == Some(&as_before), EVEN + EVEN / 4, 74) {
                *stroke = as_before;
                self.remember(&stroke.pitches.clone());
                return Ok(());
            }
        }
        let decorated = own.is_some_and(|own| own.nudge.0 != 0 || own.roll.is_some() || own.flam.is_some());
        if self.bit(coder, decorated, EVEN / 2, 75) {
            stroke.nudge = self.nudge(coder, own.map_or(Tick::ZERO, |own| own.nudge));
            stroke.roll = self.roll(coder, own.and_then(|own| own.roll));
            stroke.flam = self.flam(coder, own.and_then(|own| own.flam));
        }
        let pitched = own.is_some_and(|own| !own.pitches.is_empty() || own.length.is_some());
        let prior = if self.pitches.is_empty() { EVEN / 4 } else { EVEN + EVEN / 4 * 3 };
        if self.bit(coder, pitched, prior, 76) {
            stroke.pitches = self.pitch_set(coder, own.map_or(&[][..], |own| &own.pitches))?;
            stroke.length = self.length(coder, own.and_then(|own| own.length), next - stroke.at.0);
            if let Some(lowest) = stroke.pitches.iter().min().copied() {
                stroke.glide = self.glide(coder, own.and_then(|own| own.glide), lowest)?;
            }
        }
        Ok(())
    }

    fn nudge(&self, coder: &mut Coder, own: Tick) -> Tick {
        let last = self.told.iter().rfind(|stroke| stroke.nudge.0 != 0).map_or(Tick::ZERO, |stroke| stroke.nudge);
        if self.bit(coder, own == last, EVEN, 77) {
            return last;
        }
        Tick(i64::from(coder.signed(own.0 as i32, &self.contexts(78))))
    }

    fn roll(&self, coder: &mut Coder, own: Option<Roll>) -> Option<Roll> {
        if !self.bit(coder, own.is_some(), EVEN, 79) {
            return None;
        }
        let own = own.unwrap_or(Roll { strokes: 2, span: Tick(60), shape: RollShape::Even, bend: 0 });
        let strokes = coder.number(u32::from(own.strokes) - 2, &self.contexts(80)) + 2;
        let span = coder.distance(own.span.0 as u32, self.pulse, &self.contexts(81));
        let shape = RollShape::ALL.iter().position(|shape| *shape == own.shape).unwrap_or_default();
        let shape = coder.choice(shape as u32, 2, &self.contexts(82)) as usize;
        let bend = coder.signed(i32::from(own.bend), &self.contexts(83));
        Some(Roll {
            // What does not fit its type fits no stroke either: the pattern's gate refuses it.
            strokes: u8::try_from(strokes).unwrap_or(u8::MAX),
            span: Tick(i64::from(span)),
            shape: RollShape::ALL.get(shape).copied().unwrap_or_default(),
            bend: i8::try_from(bend).unwrap_or(i8::MAX),
        })
    }

    fn flam(&self, coder: &mut Coder, own: Option<Flam>) -> Option<Flam> {
        if !self.bit(coder, own.is_some(), EVEN / 2, 84) {
            return None;
        }
        if self.bit(coder, own == Some(Flam::DEFAULT), EVEN + EVEN / 2, 85) {
            return Some(Flam::DEFAULT);
        }
        let gap = coder.plain(own.map_or(0, |flam| u32::from(flam.gap_ms)), 6);
        Some(Flam { gap_ms: gap as u8 })
    }

    /// A set of pitches: one this lane had, or a new one told as distances.
    fn pitch_set(&mut self, coder: &mut Coder, own: &[i8]) -> Result<Vec<i8>, LinkFault> {
        let place = self.pitches.iter().position(|set| set == own).unwrap_or(self.pitches.len());
        let known = self.pitches.len() as u32;
        let place = coder.number(place as u32, &[Context::of(&[86, known]), Context::of(&[87, self.role, known])]);
        if let Some(set) = self.pitches.get(place as usize).cloned() {
            self.remember(&set);
            return Ok(set);
        }
        let last = self.pitches.first().cloned().unwrap_or_default();
        let count = coder.number(
            own.len() as u32,
            &[Context::of(&[88, self.role]), Context::of(&[89, self.role, last.len() as u32])],
        );
        if count > MAX_PITCHES {
            return Err(LinkFault::Unfit(Unfit::Number));
        }
        let mut set: Vec<i8> = Vec::with_capacity(count as usize);
        for index in 0..count as usize {
            let base = match index {
                0 => last.first().copied().unwrap_or(0),
                _ => set.last().copied().unwrap_or(0),
            };
            let distance = i32::from(own.get(index).copied().unwrap_or(0)) - i32::from(base);
            let kind = u32::from(index > 0);
            let distance = coder.signed(distance, &[Context::of(&[90, kind]), Context::of(&[91, kind, self.role])]);
            let pitch = i8::try_from(i32::from(base).saturating_add(distance));
            set.push(pitch.map_err(|_| LinkFault::Unfit(Unfit::Number))?);
        }
        self.remember(&set);
        Ok(set)
    }

    fn remember(&mut self, set: &[i8]) {
        self.pitches.retain(|known| known != set);
        self.pitches.insert(0, set.to_vec());
        self.pitches.truncate(REMEMBERED);
    }

    /// A length, guessed from the last one and from the room up to the next stroke.
    fn length(&self, coder: &mut Coder, own: Option<Tick>, room: i64) -> Option<Tick> {
        let gap = (room / i64::from(self.pulse)).min(20) as u32;
        let contexts = |question: u32| {
            [Context::of(&[question]), Context::of(&[question, self.role]), Context::of(&[question, self.role, gap])]
        };
        if !coder.bit(own.is_some(), EVEN + EVEN / 2, &contexts(92)) {
            return None;
        }
        let own = own.map_or(1, |length| length.0 as u32);
        if coder.bit(i64::from(own) == room, EVEN, &contexts(93)) {
            return Some(Tick(room));
        }
        Some(Tick(i64::from(coder.distance(own, self.pulse, &contexts(94)))))
    }

    fn glide(&self, coder: &mut Coder, own: Option<Glide>, lowest: i8) -> Result<Option<Glide>, LinkFault> {
        if !self.bit(coder, own.is_some(), EVEN / 4, 95) {
            return Ok(None);
        }
        let own = own.unwrap_or(Glide { to: lowest, ms: 0 });
        let distance = coder.signed(i32::from(own.to) - i32::from(lowest), &self.contexts(96));
        let tens = self.bit(coder, own.ms.is_multiple_of(10), EVEN + EVEN / 2, 97);
        let unit = if tens { 10 } else { 1 };
        let ms = coder.number(u32::from(own.ms) / unit, &self.contexts(98 + u32::from(tens))).saturating_mul(unit);
        let unfit = LinkFault::Unfit(Unfit::Number);
        let to = i8::try_from(i32::from(lowest).saturating_add(distance)).map_err(|_| unfit)?;
        Ok(Some(Glide { to, ms: u16::try_from(ms).map_err(|_| unfit)? }))
    }
}
