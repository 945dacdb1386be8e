//! Reads the grooves of `corpus.txt`, and lays details over them as a learner's editing does.

use stickleback::rhythm::boxes::{Ruling, read_row};
use stickleback::rhythm::*;

/// A groove and what it is called.
pub struct Named {
    pub name: String,
    pub groove: Groove,
}

/// Every groove of the corpus. A mistake in the file ends the test with its line.
pub fn grooves() -> Vec<Named> {
    let mut grooves: Vec<Named> = Vec::new();
    for (number, line) in include_str!("corpus.txt").lines().enumerate() {
        let words: Vec<&str> = line.split_whitespace().collect();
        match words.split_first() {
            None | Some((&"#", _)) => {}
            Some((&"=", head)) => {
                let groove = headed(head).unwrap_or_else(|| panic!("line {}: {line}", number + 1));
                grooves.push(Named { name: head[0].to_owned(), groove });
            }
            Some((role, rest)) => {
                let groove = &mut grooves.last_mut().expect("a head comes first").groove;
                let lane = lane(role, rest, groove).unwrap_or_else(|| panic!("line {}: {line}", number + 1));
                groove.apply(&Edit::AddLane(usize::MAX, lane)).unwrap();
            }
        }
    }
    grooves
}

fn headed(words: &[&str]) -> Option<Groove> {
    let [name, metre, bars, bpm, unit, felt, pair, written, swing, accent, plain, ghost, tonic, shifts @ ..] = words
    else {
        return None;
    };
    let tick = |text: &str| Some(Tick(text.parse().ok()?));
    let loudness = |text: &str| Loudness::new(text.parse().ok()?);
    let written = if *written == "ternary" { Written::Ternary } else { Written::Straight };
    let shift = |text: &&str| {
        let (at, tenths) = text.split_once(':')?;
        Some(PositionShift { at: tick(at)?, tenths: tenths.parse().ok()? })
    };
    let shifts = shifts.iter().map(shift).collect::<Option<_>>()?;
    let kit: Id = name.parse().ok()?;
    Some(Groove {
        pattern: Pattern::empty(Metre::parse(metre).ok()?, bars.parse().ok()?).ok()?,
        tempo: Tempo::new(Bpm::new(bpm.parse().ok()?)?, tick(unit)?, tick(felt)?).ok()?,
        feel: Feel::new(tick(pair)?, written, Swing::from_tenths(swing.parse().ok()?)?, shifts).ok()?,
        dynamics: Dynamics::new(loudness(accent)?, loudness(plain)?, loudness(ghost)?)?,
        tonic: Tonic::new(tonic.parse().ok()?)?,
        sound: Sound::of(kit),
    })
}

fn lane(role: &str, words: &[&str], groove: &Groove) -> Option<Lane> {
    let [pulse, row, details @ ..] = words else { return None };
    let pulse = Tick(pulse.parse().ok()?);
    let mut head = LaneHead::new(role.parse().ok()?, pulse);
    let pattern = &groove.pattern;
    let ruling = Ruling { metre: pattern.metre(), bars: pattern.bars(), pulse, dynamics: groove.dynamics };
    let mut strokes = read_row(row, &ruling).ok()?;
    for word in details {
        if *word == "optional" {
            head.optional = true;
        } else if let Some(lean) = word.strip_prefix("lean=") {
            head.lean = Lean::from_tenths(lean.parse().ok()?)?;
        } else {
            let (place, told) = word.split_once(':')?;
            let at = pulse.times(place.parse().ok()?);
            detail(strokes.iter_mut().find(|stroke| stroke.at == at)?, told)?;
        }
    }
    Some(Lane::with_strokes(head, strokes))
}

fn detail(stroke: &mut Stroke, told: &str) -> Option<()> {
    if let Some(told) = told.strip_prefix('r') {
        let (strokes, span) = told.split_once('/')?;
        let (span, shape) = span.split_at(span.len() - 1);
        let shape = match shape {
            "e" => RollShape::Even,
            "r" => RollShape::Rising,
            "f" => RollShape::Falling,
            "s" => RollShape::Swelling,
            _ => return None,
        };
        let roll = Roll { strokes: strokes.parse().ok()?, span: Tick(span.parse().ok()?), shape, bend: 0 };
        stroke.roll = Some(roll);
        return Some(());
    }
    let told = told.strip_prefix('p')?;
    let (told, glide) = told.split_once('>').map_or((told, None), |(told, glide)| (told, Some(glide)));
    let (pitches, length) = told.split_once('/')?;
    stroke.pitches = pitches.split(',').map(|pitch| pitch.parse().ok()).collect::<Option<_>>()?;
    stroke.length = Some(Tick(length.parse().ok()?));
    if let Some(glide) = glide {
        let (to, ms) = glide.split_once('~')?;
        stroke.glide = Some(Glide { to: to.parse().ok()?, ms: ms.parse().ok()? });
    }
    Some(())
}

/// Numbers from a seed: every run sees the same ones (a 64-bit linear congruential generator; D. Knuth's MMIX constants).
pub struct Seeded(pub u64);

impl Seeded {
    pub fn below(&mut self, limit: u64) -> u64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) % limit
    }
}

/// The groove after an evening of editing: six nudges, three strokes off the pulse, three loudnesses of their own, two
/// rolls, two flams and a lane that leans.
pub fn edited(groove: &Groove, seed: u64) -> Groove {
    let mut seeded = Seeded(seed);
    let mut groove = groove.clone();
    let mut change = |groove: &mut Groove, change: &dyn Fn(&mut Stroke, &mut Seeded, i64)| {
        let lanes: Vec<&Lane> = groove.pattern.lanes().iter().filter(|lane| !lane.strokes().is_empty()).collect();
        let lane = lanes[seeded.below(lanes.len() as u64) as usize];
        let mut stroke = lane.strokes()[seeded.below(lane.strokes().len() as u64) as usize].clone();
        change(&mut stroke, &mut seeded, lane.head.pulse.0);
        stroke.id = StrokeId::default();
        let edit = Edit::Put(lane.id, stroke);
        groove.apply(&edit).unwrap();
    };
    for _ in 0..6 {
        change(&mut groove, &|stroke, seeded, _| stroke.nudge = Tick(seeded.below(60) as i64 - 30));
    }
    for _ in 0..3 {
        change(&mut groove, &|stroke, _, pulse| stroke.at += Tick(pulse / 2));
    }
    for _ in 0..3 {
        change(&mut groove, &|stroke, seeded, _| stroke.loudness = Loudness::clamped(1 + seeded.below(127) as i32));
    }
    for _ in 0..2 {
        change(&mut groove, &|stroke, seeded, pulse| {
            let strokes = 2 + seeded.below(6) as u8;
            stroke.roll = Some(Roll { strokes, span: Tick(pulse), shape: RollShape::Rising, bend: 0 });
        });
    }
    for _ in 0..2 {
        change(&mut groove, &|stroke, _, _| stroke.flam = Some(Flam::DEFAULT));
    }
    let lane = &groove.pattern.lanes()[0];
    let head = LaneHead { lean: Lean::from_tenths(85).unwrap(), ..lane.head };
    let edit = Edit::SetHead(lane.id, head);
    groove.apply(&edit).unwrap();
    groove
}

/// The groove as if played by hand: every stroke with a nudge and a loudness of its own.
pub fn by_hand(groove: &Groove, seed: u64) -> Groove {
    let mut seeded = Seeded(seed);
    let mut groove = groove.clone();
    for lane in groove.pattern.lanes().to_vec() {
        for stroke in lane.strokes() {
            let nudge = Tick(seeded.below(25) as i64 - 12);
            let loudness = Loudness::clamped(i32::from(stroke.loudness.get()) + seeded.below(17) as i32 - 8);
            groove.apply(&Edit::Put(lane.id, Stroke { nudge, loudness, ..stroke.clone() })).unwrap();
        }
    }
    groove
}
