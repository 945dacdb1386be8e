//! Conditions about time: tempo, division of the beat, swing, lean.

use super::line::{Line, Struck};
use super::{Outcome, Verdict};
use crate::rhythm::{Bpm, Feel, Groove, Lane, LaneId, Lean, Stroke, StrokeId, Swing, Tick, Written};
use crate::role::Role;

/// The tempo, counted in `unit`.
pub fn tempo(groove: &Groove, min: Bpm, max: Bpm, unit: Tick) -> Verdict {
    let bpm = groove.tempo.bpm.get() * groove.tempo.unit().as_f64() / unit.as_f64();
    // Tempos are kept in hundredths; what another count unit adds beyond is no difference.
    let hundredths = (bpm * 100.0).round();
    let holds = (f64::from(min.hundredths())..=f64::from(max.hundredths())).contains(&hundredths);
    Verdict::figure(holds, hundredths / 100.0)
}

/// Every stroke of the groove, with its lane.
fn all(groove: &Groove) -> impl Iterator<Item = (&Lane, &Stroke)> {
    groove.pattern.lanes().iter().flat_map(|lane| lane.strokes().iter().map(move |stroke| (lane, stroke)))
}

/// How far after its beat a place lies, and how long that beat is.
fn in_beat(groove: &Groove, at: Tick) -> (Tick, Tick) {
    let metre = groove.pattern.metre();
    let inside = at.rem_euclid(metre.bar());
    let (_, start, length) = metre.beat_at(inside);
    (inside - start, length)
}

/// The strokes off the beats lie on `parts` even parts of it. Those on half parts (the "and" of a beat in threes) tell
/// nothing; one stranger in eight is let pass.
pub fn beat_division(groove: &Groove, parts: i64) -> Verdict {
    let (mut met, mut faults, mut halves) = (Vec::new(), Vec::new(), 0);
    for (lane, stroke) in all(groove) {
        let (inside, beat) = in_beat(groove, stroke.at);
        let on = |parts: i64| (inside.0 * parts) % beat.0 == 0;
        match (inside, on(parts), on(2 * parts)) {
            (Tick::ZERO, _, _) => {}
            (_, true, _) => met.push((lane.id, stroke.id)),
            (_, _, true) => halves += 1,
            _ => faults.push((lane.id, stroke.id)),
        }
    }
    if met.is_empty() && faults.is_empty() && halves == 0 {
        return Verdict::bare(Outcome::DoesNotApply);
    }
    let holds = met.len() > halves && 8 * faults.len() <= met.len();
    let outcome = if holds { Outcome::Holds } else { Outcome::Fails };
    Verdict { strokes: if holds { met.clone() } else { faults }, met, ..Verdict::bare(outcome) }
}

/// The strokes a swing moves: in lanes that swing, inside a pair.
fn moved(groove: &Groove, feel: &Feel) -> Vec<(LaneId, StrokeId)> {
    let bar = groove.pattern.metre().bar();
    let inside = |(lane, stroke): &(&Lane, &Stroke)| {
        feel.moves(&lane.head) && stroke.at.rem_euclid(bar).rem_euclid(feel.pair()) != Tick::ZERO
    };
    all(groove).filter(inside).map(|(lane, stroke)| (lane.id, stroke.id)).collect()
}

/// The swing, on pairs of one length. It does not apply where no stroke would show it.
pub fn swings(groove: &Groove, pair: Tick, min: Swing, max: Swing) -> Verdict {
    let feel = &groove.feel;
    let swung = feel.swing() != Swing::STRAIGHT;
    // A straight groove is as straight on pairs of any length.
    let swing = if feel.pair() == pair { feel.swing() } else { Swing::STRAIGHT };
    let holds = (min..=max).contains(&swing) && (feel.pair() == pair || !swung);
    let moved = moved(groove, feel);
    if holds && min > Swing::STRAIGHT && moved.is_empty() {
        return Verdict::bare(Outcome::DoesNotApply);
    }
    Verdict {
        strokes: moved.clone(),
        met: if holds { moved } else { Vec::new() },
        ..Verdict::figure(holds, swing.percent())
    }
}

/// At most so much swing, and no beats in threes.
pub fn straight(groove: &Groove, max: Swing) -> Verdict {
    let feel = &groove.feel;
    let ternary = feel.written() == Written::Ternary || beat_division(groove, 3).outcome == Outcome::Holds;
    let holds = feel.swing() <= max && !ternary;
    let strokes = if holds { Vec::new() } else { moved(groove, feel) };
    Verdict { strokes, ..Verdict::figure(holds, feel.swing().percent()) }
}

/// How late (positive) or early a lane is played in ms: its lean, and the middle one of its strokes' nudges.
fn lateness(groove: &Groove, lane: &Lane) -> f64 {
    let mut nudges: Vec<Tick> = lane.strokes().iter().map(|stroke| stroke.nudge).collect();
    nudges.sort_unstable();
    let nudge = nudges.get(nudges.len() / 2).copied().unwrap_or_default();
    lane.head.lean.ms() + groove.tempo.seconds(nudge.as_f64()).ms()
}

/// Every lane of the voices that plays leans so much.
pub fn leans(groove: &Groove, voices: &[Role], min: Lean, max: Lean) -> Verdict {
    let line = Line::of(groove, voices);
    if line.strokes.is_empty() {
        return Verdict::bare(Outcome::DoesNotApply);
    }
    let plays = |lane: &&Lane| voices.contains(&lane.head.role) && !lane.strokes().is_empty();
    let lanes: Vec<(LaneId, f64)> =
        groove.pattern.lanes().iter().filter(plays).map(|lane| (lane.id, lateness(groove, lane))).collect();
    let inside = |ms: f64| (min.ms() - 1e-9..=max.ms() + 1e-9).contains(&ms);
    let holds = lanes.iter().all(|(_, ms)| inside(*ms));
    let good = |struck: &&Struck| lanes.iter().any(|(id, ms)| *id == struck.lane && inside(*ms));
    let met: Vec<_> = line.strokes.iter().filter(good).map(Struck::id).collect();
    let faults = line.strokes.iter().filter(|struck| !good(struck)).map(Struck::id).collect();
    let off = |ms: f64| (min.ms() - ms).max(ms - max.ms());
    let furthest = lanes.iter().map(|(_, ms)| *ms).max_by(|a, b| off(*a).total_cmp(&off(*b)));
    Verdict {
        strokes: if holds { met.clone() } else { faults },
        met,
        ..Verdict::figure(holds, furthest.unwrap_or_default())
    }
}

/// Places inside the beat come early: by a shift of the feel, or by the nudge of every stroke there.
pub fn positions_early(groove: &Groove, at: &[Tick]) -> Verdict {
    let (mut met, mut faults) = (Vec::new(), Vec::new());
    let mut late = false;
    for &position in at {
        let shift = groove.feel.shifts().iter().find(|shift| shift.at == position).map_or(0, |shift| shift.tenths);
        let here: Vec<(&Lane, &Stroke)> =
            all(groove).filter(|(_, stroke)| in_beat(groove, stroke.at).0 == position).collect();
        let nudged = !here.is_empty() && here.iter().all(|(_, stroke)| stroke.nudge < Tick::ZERO);
        let early = shift < 0 || nudged;
        late |= !early;
        let ids = here.iter().map(|(lane, stroke)| (lane.id, stroke.id));
        if early { met.extend(ids) } else { faults.extend(ids) }
    }
    match (late, met.is_empty() && faults.is_empty()) {
        (_, true) => Verdict::bare(Outcome::DoesNotApply),
        (false, _) => Verdict { strokes: met.clone(), met, ..Verdict::bare(Outcome::Holds) },
        (true, _) => Verdict { strokes: faults, met, ..Verdict::bare(Outcome::Fails) },
    }
}
