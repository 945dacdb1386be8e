//! The fins of a lane: what each stroke looks like and exactly where its plumb edge stands.
//!
//! The left edge of a fin stands at the moment it sounds (swing, shift, nudge and lean included), its height is its
//! loudness, its right edge falls as the voice decays. All numbers are CSS pixels; heights are measured upwards from the
//! lane's line.

use super::layout::System;
use crate::rhythm::{Groove, Hit, Lane, Loudness, Part, Seconds, Strength, Stroke, StrokeId, Tick, sounding};
use core::fmt::Write;

/// The height of the loudest fin.
pub const TALLEST: f64 = 42.0;

/// One fin.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fin {
    /// The stroke it belongs to.
    pub stroke: StrokeId,
    /// Where that stroke is written.
    pub at: Tick,
    /// Which of the stroke's hits it is.
    pub part: Part,
    /// Where its plumb edge stands.
    pub x: f64,
    /// How high.
    pub height: f64,
    /// How far its tail runs.
    pub tail: f64,
    /// A ghost note is drawn open.
    pub open: bool,
    /// One of several strokes of a roll, or the grace stroke of a flam: drawn thinner.
    pub thin: bool,
    /// Where the stroke is written; the whisker runs from there if the fin stands elsewhere.
    pub foot: f64,
}

/// The bracket over a roll.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bracket {
    /// The stroke it belongs to.
    pub stroke: StrokeId,
    /// Where the first stroke stands.
    pub from: f64,
    /// Where the span ends.
    pub to: f64,
    /// How many strokes.
    pub strokes: u8,
}

/// The sounding length of a pitched stroke.
#[derive(Clone, Debug, PartialEq)]
pub struct Held {
    /// The stroke it belongs to.
    pub stroke: StrokeId,
    /// Where it begins.
    pub from: f64,
    /// Where it ends.
    pub to: f64,
    /// Its lowest pitch in semitones from the tonic.
    pub pitch: i8,
    /// Where a glide begins and the pitch it goes to.
    pub glide: Option<(f64, i8)>,
}

/// What one lane shows in one system.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Drawing {
    /// Its fins from left to right.
    pub fins: Vec<Fin>,
    /// Its brackets.
    pub brackets: Vec<Bracket>,
    /// Its pitch line.
    pub held: Vec<Held>,
}

fn height(loudness: Loudness) -> f64 {
    // Loudness on the ear's side of things: the quietest ghost is still a visible fin.
    6.0 + (TALLEST - 6.0) * loudness.share().powf(0.9)
}

/// What `lane` of `groove` shows in each of `systems`; `decay` is how long a stroke of this lane rings, in seconds. With
/// `magnify` every shift off the place is drawn [`MAGNIFIED`] times as large, as far as the order of the strokes allows.
pub fn draw(groove: &Groove, lane: &Lane, systems: &[System], decay: f64, magnify: bool) -> Vec<Drawing> {
    let mut drawings = vec![Drawing::default(); systems.len()];
    let mut hits = sounding::lane_hits(groove, lane).into_iter().peekable();
    for stroke in lane.strokes() {
        // Hits come in the order of their strokes.
        while let Some(hit) = hits.next_if(|hit| hit.stroke == stroke.id) {
            let place = systems.iter().position(|system| system.holds(stroke.at));
            let Some((index, system)) = place.and_then(|index| Some((index, systems.get(index)?))) else { continue };
            if let Some(drawing) = drawings.get_mut(index) {
                drawing.add(groove, lane, stroke, &hit, system, decay);
            }
        }
    }
    if magnify {
        for (drawing, system) in drawings.iter_mut().zip(systems) {
            drawing.magnify(system);
        }
    }
    drawings
}

impl Drawing {
    fn add(&mut self, groove: &Groove, lane: &Lane, stroke: &Stroke, hit: &Hit, system: &System, decay: f64) {
        let ticks_of = |seconds: f64| groove.tempo.ticks(Seconds(seconds));
        // A tail ends with the sheet: what rings on over the seam is seen at the start of the next pass only by ear.
        let tail = |x: f64, share: f64| {
            let whole = (ticks_of(decay) * system.scale * share).clamp(4.0, 150.0);
            whole.min((system.right() + 12.0 - x).max(4.0))
        };
        let first = hit.part == Part::Stroke(0);
        let x = system.x(hit.ticks + ticks_of(hit.offset.0));
        let thin = !first || stroke.roll.is_some();
        self.fins.push(Fin {
            stroke: stroke.id,
            at: stroke.at,
            part: hit.part,
            x,
            height: height(hit.loudness) * if stroke.length.is_some() { 0.6 } else { 1.0 },
            // A held note shows its length on the pitch line; its fin only marks the stroke.
            tail: if stroke.length.is_some() { 9.0 } else { tail(x, if thin { 0.5 } else { 1.0 }) },
            open: groove.dynamics.strength(stroke.loudness) == Strength::Ghost,
            thin,
            foot: system.x(stroke.at.as_f64()),
        });
        if !first {
            return;
        }
        if let Some(roll) = stroke.roll {
            let end = sounding::played(groove, lane, stroke.at + roll.span) + stroke.nudge.as_f64();
            let to = system.x(end + ticks_of(hit.offset.0));
            self.brackets.push(Bracket { stroke: stroke.id, from: x, to, strokes: roll.strokes });
        }
        if let (Some(&pitch), Some(length)) = (stroke.pitches.iter().min(), stroke.length) {
            let to = (x + length.as_f64() * system.scale).min(system.right());
            let glide = stroke.glide.map(|glide| {
                let run = ticks_of(f64::from(glide.ms) / 1000.0) * system.scale;
                ((to - run).max(x), glide.to)
            });
            self.held.push(Held { stroke: stroke.id, from: x, to, pitch, glide });
        }
    }

    /// Draws the shifts larger. All that belongs to a stroke moves with it.
    fn magnify(&mut self, system: &System) {
        let first = |fin: &&Fin| fin.part == Part::Stroke(0);
        let mut edges: Vec<(StrokeId, f64, f64)> =
            self.fins.iter().filter(first).map(|fin| (fin.stroke, fin.x, fin.foot)).collect();
        edges.sort_by(|a, b| a.1.total_cmp(&b.1));
        let places: Vec<(f64, f64)> = edges.iter().map(|&(_, x, foot)| (x, foot)).collect();
        let drawn = magnified(&places, system.left - 10.0, system.right() - 4.0);
        for ((stroke, x, _), drawn) in edges.into_iter().zip(drawn) {
            let by = drawn - x;
            let of_stroke = |id: StrokeId| if id == stroke { by } else { 0.0 };
            self.fins.iter_mut().for_each(|fin| fin.x += of_stroke(fin.stroke));
            for bracket in &mut self.brackets {
                let by = of_stroke(bracket.stroke);
                (bracket.from, bracket.to) = (bracket.from + by, bracket.to + by);
            }
            for held in &mut self.held {
                held.from = (held.from + of_stroke(held.stroke)).min(held.to - 4.0);
            }
        }
    }
}

/// How many times as large a shift is drawn.
pub const MAGNIFIED: f64 = 4.0;
/// How close two strokes may be drawn by it, in pixels; strokes that are closer in truth stay as they are.
const APART: f64 = 5.0;

/// Where edges standing at `x` with the foot at `foot` (pairs in the order of `x`) are drawn with their shifts enlarged,
/// kept between `low` and `high`. Where full size would bring a stroke past its neighbour, both are drawn with the largest
/// factor that keeps them apart.
fn magnified(edges: &[(f64, f64)], low: f64, high: f64) -> Vec<f64> {
    let shift = |index: usize| edges.get(index).map_or(0.0, |(x, foot)| x - foot);
    let mut factors: Vec<f64> = edges
        .iter()
        .map(|&(x, foot)| {
            let room = if x > foot { high - x } else { x - low };
            MAGNIFIED.min(1.0 + room.max(0.0) / (x - foot).abs().max(1e-6))
        })
        .collect();
    // Factors only ever fall, each time to one that suits a pair, so this comes to rest.
    for _ in 0..edges.len() * 2 {
        let mut rests = true;
        for (index, pair) in edges.windows(2).enumerate() {
            let &[(a, _), (b, _)] = pair else { continue };
            let (near, far) = (factors[index], factors[index + 1]);
            let (left, right) = (shift(index), shift(index + 1));
            let needed = APART.min(b - a);
            if (b + (far - 1.0) * right) - (a + (near - 1.0) * left) >= needed - 1e-9 {
                continue;
            }
            let both = near.min(far);
            let fits = if left - right > 1e-9 { both.min(1.0 + (b - a - needed) / (left - right)) } else { both };
            (factors[index], factors[index + 1]) = (fits.max(1.0), fits.max(1.0));
            rests = false;
        }
        if rests {
            break;
        }
    }
    edges.iter().enumerate().map(|(index, &(x, _))| x + (factors[index] - 1.0) * shift(index)).collect()
}

/// Whether any stroke of the groove sounds off the place it is written at: swung, shifted, nudged or leaning.
pub fn any_moved(groove: &Groove) -> bool {
    groove.pattern.lanes().iter().any(|lane| {
        let leans = lane.head.lean.tenths() != 0;
        let moved = |at: Tick| (sounding::played(groove, lane, at) - at.as_f64()).abs() > 0.5;
        lane.strokes().iter().any(|stroke| leans || stroke.nudge != Tick::ZERO || moved(stroke.at))
    })
}

/// Adds to `path` the outline of a fin standing on a line at height `base` (pixels from the top).
pub fn outline(path: &mut String, fin: &Fin, base: f64) {
    let (x, top, tail) = (fin.x, base - fin.height, fin.tail);
    // Exponential decay: fast at first, then long.
    let _ = write!(
        path,
        "M{x:.2} {base:.1}V{top:.1}C{:.1} {:.1} {:.1} {:.1} {:.1} {base:.1}Z",
        x + tail * 0.16,
        base - fin.height * 0.45,
        x + tail * 0.45,
        base - fin.height * 0.1,
        x + tail,
    );
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rhythm::boxes::{Ruling, read_row};
    use crate::rhythm::{Bpm, Dynamics, Feel, LaneHead, Lean, Metre, Pattern, Sound, Swing, Tempo, Tonic};
    use crate::role::Role;
    use proptest::prelude::*;
    use proptest::test_runner::RngSeed;

    fn groove(row: &str, lean_ms: f64, swing: f64) -> Groove {
        let metre = Metre::four_four();
        let ruling = Ruling { metre: &metre, bars: 1, pulse: Tick(240), dynamics: Dynamics::DEFAULT };
        let head = LaneHead { lean: Lean::from_ms(lean_ms).unwrap(), ..LaneHead::new(Role::Snare, Tick(240)) };
        let lane = Lane::with_strokes(head, read_row(row, &ruling).unwrap());
        let kit: crate::rhythm::Id = "plain".parse().unwrap();
        Groove {
            pattern: Pattern::new(metre, 1, vec![lane]).unwrap(),
            tempo: Tempo::quarters(Bpm::new(120.0).unwrap()),
            feel: Feel::straight().with_swing(Swing::from_percent(swing).unwrap()),
            dynamics: Dynamics::DEFAULT,
            tonic: Tonic::DEFAULT,
            sound: Sound::of(kit),
        }
    }

    #[track_caller]
    fn check(row: &str, lean_ms: f64, swing: f64, edges: &[f64]) {
        let groove = groove(row, lean_ms, swing);
        // 3840 ticks on 960 pixels: a quarter of a pixel a tick, and at 120 BPM 480 pixels a second.
        let system = System { start: Tick(0), end: Tick(3840), left: 100.0, scale: 0.25 };
        let drawing = &draw(&groove, &groove.pattern.lanes()[0], &[system], 0.1, false)[0];
        let got: Vec<f64> = drawing.fins.iter().map(|fin| fin.x).collect();
        assert_eq!(got.len(), edges.len(), "{got:?}");
        for (got, want) in got.iter().zip(edges) {
            assert!((got - want).abs() < 0.01, "{got} expected {want}");
        }
    }

    #[test]
    fn the_edge_stands_where_the_stroke_sounds() {
        check("x...x...........", 0.0, 50.0, &[100.0, 340.0]);
        check("xx..............", 0.0, 60.0, &[100.0, 172.0]);
        check("....x...........", 20.0, 50.0, &[340.0 + 9.6]);
        check("3...............", 0.0, 50.0, &[100.0, 120.0, 140.0]);
        check("....f...........", 0.0, 50.0, &[340.0 - 12.0, 340.0]);
    }

    #[test]
    fn a_groove_off_its_places_is_known() {
        for (row, lean, swing, moved) in [
            ("xxxx............", 0.0, 50.0, false),
            ("x.x.............", 0.0, 60.0, false),
            ("xx..............", 0.0, 60.0, true),
            ("x...............", 5.0, 50.0, true),
            ("................", 5.0, 60.0, false),
        ] {
            assert_eq!(any_moved(&groove(row, lean, swing)), moved, "{row} {lean} {swing}");
        }
    }

    #[test]
    fn ghosts_are_low_and_open_and_rolls_have_a_bracket() {
        let groove = groove("X...o...3.......", 0.0, 50.0);
        let system = System { start: Tick(0), end: Tick(3840), left: 0.0, scale: 0.25 };
        let drawing = &draw(&groove, &groove.pattern.lanes()[0], &[system], 0.1, false)[0];
        let (accent, ghost) = (drawing.fins[0], drawing.fins[1]);
        assert!(ghost.open && !accent.open && ghost.height < accent.height / 2.0);
        assert_eq!(drawing.brackets, [Bracket { stroke: StrokeId(3), from: 480.0, to: 540.0, strokes: 3 }]);
    }

    #[test]
    fn strokes_are_drawn_in_the_system_they_are_written_in() {
        let groove = groove("x.......xx......", -20.0, 50.0);
        let halves = [(0, 1920), (1920, 3840)];
        let systems =
            halves.map(|(start, end)| System { start: Tick(start), end: Tick(end), left: 100.0, scale: 0.25 });
        let drawings = draw(&groove, &groove.pattern.lanes()[0], &systems, 0.1, false);
        let edges: Vec<Vec<i64>> =
            drawings.iter().map(|drawing| drawing.fins.iter().map(|fin| fin.x.round() as i64).collect()).collect();
        // 20 ms early at 480 pixels a second: before the barline, and before the line the second system begins with.
        assert_eq!(edges, [vec![90], vec![90, 150]]);
    }

    #[track_caller]
    fn check_magnified(edges: &[(f64, f64)], want: &[f64]) {
        let drawn = magnified(edges, -10.0, 1000.0);
        assert_eq!(drawn.len(), want.len());
        for (got, want) in drawn.iter().zip(want) {
            assert!((got - want).abs() < 0.01, "{drawn:?} expected {want}");
        }
    }

    #[test]
    fn shifts_are_drawn_four_times_as_large() {
        check_magnified(&[(2.0, 0.0), (100.0, 100.0), (195.0, 200.0)], &[8.0, 100.0, 180.0]);
        // Only so far left or right as the system reaches.
        check_magnified(&[(-5.0, 0.0)], &[-10.0]);
        check_magnified(&[(990.0, 980.0)], &[1000.0]);
        // A late stroke stops short of the next one; both go as far as their distance allows if both move.
        check_magnified(&[(40.0, 20.0), (60.0, 60.0)], &[55.0, 60.0]);
        check_magnified(&[(25.0, 20.0), (35.0, 40.0)], &[27.5, 32.5]);
        // Closer than that in truth: they stay where they sound.
        check_magnified(&[(10.0, 0.0), (12.0, 12.0)], &[10.0, 12.0]);
    }

    proptest! {
        #![proptest_config(ProptestConfig {
            rng_seed: RngSeed::Fixed(11),
            failure_persistence: None,
            ..ProptestConfig::default()
        })]

        #[test]
        fn magnifying_keeps_the_order_and_never_draws_a_shift_smaller(
            strokes in prop::collection::vec((4.0..60.0_f64, -12.0..12.0_f64), 1..40),
        ) {
            let mut at = 0.0;
            let mut edges: Vec<(f64, f64)> = strokes.into_iter().map(|(gap, shift)| { at += gap; (at + shift, at) }).collect();
            edges.sort_by(|a, b| a.0.total_cmp(&b.0));
            let drawn = magnified(&edges, -10.0, 4000.0);
            for (pair, drawn) in edges.windows(2).zip(drawn.windows(2)) {
                let needed = APART.min(pair[1].0 - pair[0].0);
                prop_assert!(drawn[1] - drawn[0] >= needed - 1e-6, "{edges:?} as {drawn:?}");
            }
            for (&(x, foot), drawn) in edges.iter().zip(drawn) {
                let factor = if (x - foot).abs() < 1e-6 { 1.0 } else { (drawn - foot) / (x - foot) };
                prop_assert!((1.0 - 1e-9..=MAGNIFIED + 1e-9).contains(&factor));
            }
        }
    }

    #[test]
    fn an_outline_begins_with_the_plumb_edge() {
        let fin = Fin {
            stroke: StrokeId(1),
            at: Tick(0),
            part: Part::Stroke(0),
            x: 10.0,
            height: 40.0,
            tail: 20.0,
            open: false,
            thin: false,
            foot: 10.0,
        };
        let mut path = String::new();
        outline(&mut path, &fin, 50.0);
        assert!(path.starts_with("M10.00 50.0V10.0C"), "{path}");
    }
}
