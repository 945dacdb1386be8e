//! The fins of a lane: what each stroke looks like and exactly where its plumb edge stands.
//!
//! The left edge of a fin stands at the moment it sounds (swing, shift, nudge and lean included), its height is its
//! loudness, its right edge falls as the voice decays. All numbers are CSS pixels; heights are measured upwards from the
//! lane's line.

use super::layout::System;
use crate::rhythm::{Groove, Lane, Loudness, Part, Strength, StrokeId, Tick, sounding};
use core::fmt::Write;

/// The height of the loudest fin.
pub const TALLEST: f64 = 42.0;

/// One fin.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fin {
    /// The stroke it belongs to.
    pub stroke: StrokeId,
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

/// What `lane` of `groove` shows in `system`; `decay` is how long a stroke of this lane rings, in seconds.
pub fn draw(groove: &Groove, lane: &Lane, system: &System, decay: f64) -> Drawing {
    let mut drawing = Drawing::default();
    let ticks_of = |seconds: f64| groove.tempo.ticks(crate::rhythm::Seconds(seconds));
    // A tail ends with the sheet: what rings on over the seam is seen at the start of the next pass only by ear.
    let tail = |x: f64, share: f64| {
        let whole = (ticks_of(decay) * system.scale * share).clamp(4.0, 150.0);
        whole.min((system.right() + 12.0 - x).max(4.0))
    };
    for hit in sounding::lane_hits(groove, lane) {
        let Some(stroke) = lane.by_id(hit.stroke).filter(|stroke| system.holds(stroke.at)) else { continue };
        let x = system.x(hit.ticks + ticks_of(hit.offset.0));
        let thin = hit.part != Part::Stroke(0) || stroke.roll.is_some();
        drawing.fins.push(Fin {
            stroke: stroke.id,
            part: hit.part,
            x,
            height: height(hit.loudness) * if stroke.length.is_some() { 0.6 } else { 1.0 },
            // A held note shows its length on the pitch line; its fin only marks the stroke.
            tail: if stroke.length.is_some() { 9.0 } else { tail(x, if thin { 0.5 } else { 1.0 }) },
            open: groove.dynamics.strength(stroke.loudness) == Strength::Ghost,
            thin,
            foot: if hit.part == Part::Stroke(0) { system.x(stroke.at.as_f64()) } else { x },
        });
        if hit.part != Part::Stroke(0) {
            continue;
        }
        if let Some(roll) = stroke.roll {
            let end = sounding::played(groove, lane, stroke.at + roll.span) + stroke.nudge.as_f64();
            let to = system.x(end + ticks_of(hit.offset.0));
            drawing.brackets.push(Bracket { from: x, to, strokes: roll.strokes });
        }
        if let (Some(&pitch), Some(length)) = (stroke.pitches.iter().min(), stroke.length) {
            let to = (x + length.as_f64() * system.scale).min(system.right());
            let glide = stroke.glide.map(|glide| {
                let run = ticks_of(f64::from(glide.ms) / 1000.0) * system.scale;
                ((to - run).max(x), glide.to)
            });
            drawing.held.push(Held { stroke: stroke.id, from: x, to, pitch, glide });
        }
    }
    drawing
}

/// Whether any stroke of the groove sounds off the place it is written at: swung, shifted, nudged or leaning.
pub fn any_moved(groove: &Groove) -> bool {
    groove.pattern.lanes().iter().any(|lane| {
        let leans = lane.head.lean.tenths() != 0;
        let moved = |at: Tick| (sounding::played(groove, lane, at) - at.as_f64()).abs() > 0.5;
        lane.strokes().iter().any(|stroke| leans || stroke.nudge != Tick::ZERO || moved(stroke.at))
    })
}

/// The outline of a fin standing on a line at height `base` (pixels from the top).
pub fn outline(fin: &Fin, base: f64) -> String {
    let mut path = String::with_capacity(72);
    let (x, top, tail) = (fin.x, base - fin.height, fin.tail);
    // Exponential decay: fast at first, then long.
    let _ = write!(
        path,
        "M{x:.2} {base:.1}V{top:.1}C{:.2} {:.1} {:.2} {:.1} {:.2} {base:.1}Z",
        x + tail * 0.16,
        base - fin.height * 0.45,
        x + tail * 0.45,
        base - fin.height * 0.1,
        x + tail,
    );
    path
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rhythm::boxes::{Ruling, read_row};
    use crate::rhythm::{
        Bpm, Dynamics, Feel, LaneHead, Lean, Metre, Pattern, Sound, Stroke, Swing, TapeSpeed, Tempo, Tonic,
    };
    use crate::role::Role;

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
            sound: Sound { kit: kit.clone(), tone: kit, speed: TapeSpeed::NEUTRAL },
        }
    }

    #[track_caller]
    fn check(row: &str, lean_ms: f64, swing: f64, edges: &[f64]) {
        let groove = groove(row, lean_ms, swing);
        // 3840 ticks on 960 pixels: a quarter of a pixel a tick, and at 120 BPM 480 pixels a second.
        let system = System { start: Tick(0), end: Tick(3840), left: 100.0, scale: 0.25 };
        let drawing = draw(&groove, &groove.pattern.lanes()[0], &system, 0.1);
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
        let drawing = draw(&groove, &groove.pattern.lanes()[0], &system, 0.1);
        let (accent, ghost) = (drawing.fins[0], drawing.fins[1]);
        assert!(ghost.open && !accent.open && ghost.height < accent.height / 2.0);
        assert_eq!(drawing.brackets, [Bracket { from: 480.0, to: 540.0, strokes: 3 }]);
        let held =
            Stroke { pitches: vec![-5], length: Some(Tick(960)), ..Stroke::new(Tick(0), Dynamics::DEFAULT.plain) };
        assert!(held.fault().is_none());
    }

    #[test]
    fn an_outline_begins_with_the_plumb_edge() {
        let fin = Fin {
            stroke: StrokeId(1),
            part: Part::Stroke(0),
            x: 10.0,
            height: 40.0,
            tail: 20.0,
            open: false,
            thin: false,
            foot: 10.0,
        };
        assert!(outline(&fin, 50.0).starts_with("M10.00 50.0V10.0C"));
    }
}
