//! The playable part of a style's facts: layers, feel and tempo become a groove.

use super::facts::{Grid, open};
use super::lane::read_role;
use super::reader::{Node, Object};
use super::style::LeanRange;
use crate::rhythm::boxes::{Ruling, read_row};
use crate::rhythm::{
    Bpm, Dynamics, Feel, Glide, Groove, Id, Lane, LaneHead, Lean, Loudness, Metre, Pattern, PositionShift, Roll,
    RollShape, Sound, Stroke, Swing, TapeSpeed, Tempo, Tick, Tonic, Written,
};
use crate::role::Role;
use crate::style::Variation;

const SHAPES: [(&str, RollShape); 4] = [
    ("even", RollShape::Even),
    ("rising", RollShape::Rising),
    ("falling", RollShape::Falling),
    ("swelling", RollShape::Swelling),
];

/// Reads metre, bars, pulse and count unit of a style's facts.
pub fn read_grid(style: &Object) -> Option<Grid> {
    let metre = style.field("metre")?.parsed("a metre", |text| Metre::parse(text).ok())?;
    let pulses = style.field("pulses")?.integer(1..=64)?;
    let bars = style.field("bars")?.integer(1..=8)? as u8;
    let unit = open(&style.field("tempo")?)?
        .field("unit")?
        .choice(&[("quarter", Tick::QUARTER), ("dotted-quarter", Tick(1440))])?;
    let pulse = Tick(metre.bar().0 / pulses);
    Some(Grid { metre, bars, pulse, unit })
}

/// Reads a style's groove and how far its lanes may lean. The felt pulse is the count unit unless `felt` says
/// otherwise; kit and tone are named after the style.
pub fn read_groove(
    style: &Object,
    grid: &Grid,
    felt: Option<Tick>,
    id: &Id,
    why: &dyn Fn(&str, &str) -> String,
) -> Option<(Groove, Vec<LeanRange>)> {
    let feel = open(&style.field("feel")?)?;
    let velocity = open(&feel.field("velocity")?)?;
    let loudness = |key: &str| velocity.field(key)?.integer(1..=127).map(|v| Loudness::clamped(v as i32));
    let dynamics = Dynamics::new(loudness("X")?, loudness("x")?, loudness("o")?)?;
    let offsets = feel.field("offsets")?.each(24, |n| read_lean(n, why))?;
    let lean_of = |role: Role| offsets.iter().find(|(range, _)| range.role == role).map(|(_, lean)| *lean);
    let mut lanes = style.field("layers")?.each(24, |n| {
        let mut lane = read_layer(n, grid, dynamics)?;
        lane.head.lean = lean_of(lane.head.role).unwrap_or_default();
        Some(lane)
    })?;
    lanes.sort_by_key(|lane| lane.head.role.score_rank());
    let tempo = open(&style.field("tempo")?)?;
    let bpm = Bpm::new(tempo.field("demo")?.number(20.0..=400.0)?)?;
    let tonic = open(&style.field("key")?)?.field("tonic_midi")?.integer(0..=96)?;
    let groove = Groove {
        pattern: Pattern::new(grid.metre.clone(), grid.bars, lanes).ok()?,
        tempo: Tempo::new(bpm, grid.unit, felt.unwrap_or(grid.unit)).ok()?,
        feel: read_feel(&feel, grid)?,
        dynamics,
        tonic: Tonic::new(tonic as u8)?,
        sound: Sound { kit: id.clone(), tone: id.clone(), speed: TapeSpeed::NEUTRAL },
    };
    Some((groove, offsets.into_iter().map(|(range, _)| range).collect()))
}

fn read_feel(feel: &Object, grid: &Grid) -> Option<Feel> {
    let swing = open(&feel.field("swing")?)?;
    let percent = Swing::from_percent(swing.field("percent")?.number(50.0..=80.0)?)?;
    let eighths = swing.field("level")?.choice(&[("eighth", true), ("sixteenth", false)])?;
    let ternary = swing.field("from_grid")?.boolean()?;
    let dotted = grid.metre.beats().all(|beat| beat.0 == 1440);
    // Sixteenths in pairs, eighths in pairs; a ternary grid's pair is its beat. Even eighths of 12/8 pair with nothing.
    let pair = match (eighths, ternary, dotted) {
        (true, true, true) => Tick(1440),
        (true, false, true) | (false, ..) => Tick(480),
        (true, _, false) => Tick(960),
    };
    let shifts = feel.optionally("position_offsets", |n| {
        n.each(16, |n| {
            let shift = open(n)?;
            let at = grid.pulse.times(shift.field("pulse_in_beat")?.integer(0..=15)?);
            let percent = shift.field("percent_of_beat")?.number(-10.0..=10.0)?;
            Some(PositionShift { at, tenths: (percent * 10.0).round() as i16 })
        })
    })?;
    let written = if ternary { Written::Ternary } else { Written::Straight };
    Feel::new(pair, written, percent, shifts.unwrap_or_default()).ok()
}

fn read_lean(node: &Node, why: &dyn Fn(&str, &str) -> String) -> Option<(LeanRange, Lean)> {
    let offset = open(node)?;
    let role = read_role(&offset.field("role")?)?;
    let lean = |n: &Node| Lean::from_ms(n.number(-60.0..=60.0)?);
    let range = offset.field("range_ms")?.each(2, lean)?;
    let own = lean(&offset.field("ms")?)?;
    let why = why(role.id(), offset.field("why")?.string()?);
    Some((LeanRange { role, earliest: *range.first()?, latest: *range.get(1)?, why }, own))
}

/// Reads one layer: its pattern, and by bar and pulse its rolls, notes and chords.
fn read_layer(node: &Node, grid: &Grid, dynamics: Dynamics) -> Option<Lane> {
    let layer = open(node)?;
    let role = read_role(&layer.field("role")?)?;
    let ruling = Ruling { metre: &grid.metre, bars: grid.bars, pulse: grid.pulse, dynamics };
    let pattern = layer.field("pattern")?;
    let mut strokes = match read_row(pattern.string()?, &ruling) {
        Ok(strokes) => strokes,
        Err(error) => return pattern.refuse(format!("a pattern ({error})")),
    };
    let mut each = |key: &str, change: &dyn Fn(&Object, &mut Stroke) -> Option<()>| {
        let Some(node) = layer.optional(key) else { return Some(()) };
        for node in node.array(256)? {
            let entry = open(&node)?;
            let bar = entry.field("bar")?.integer(1..=i64::from(grid.bars))? - 1;
            let pulse = entry.field("pulse")?.integer(0..=63)?;
            let at = grid.metre.bar().times(bar) + grid.pulse.times(pulse);
            match strokes.iter_mut().find(|stroke| stroke.at == at) {
                Some(stroke) => change(&entry, stroke)?,
                None => return node.refuse("a stroke in the pattern at this bar and pulse"),
            }
        }
        Some(())
    };
    each("rolls", &|entry, stroke| {
        let strokes = entry.field("strokes")?.integer(2..=32)? as u8;
        let span = grid.pulse.times(entry.field("span")?.integer(1..=64)?);
        let shape = entry.field("shape")?.choice(&SHAPES)?;
        stroke.roll = Some(Roll { strokes, span, shape, bend: 0 });
        Some(())
    })?;
    let length = |entry: &Object| Some(grid.pulse.times(entry.field("length")?.integer(1..=128)?));
    let pitch = |n: &Node| n.integer(-48..=48).map(|pitch| pitch as i8);
    each("notes", &|entry, stroke| {
        stroke.pitches = vec![pitch(&entry.field("semitones")?)?];
        stroke.length = Some(length(entry)?);
        if let Some(to) = entry.optional("slide_to") {
            let ms = entry.field("slide_ms")?.integer(5..=2000)? as u16;
            stroke.glide = Some(Glide { to: pitch(&to)?, ms });
        }
        Some(())
    })?;
    each("chords", &|entry, stroke| {
        stroke.pitches = entry.field("semitones")?.each(8, pitch)?;
        stroke.length = Some(length(entry)?);
        Some(())
    })?;
    let optional = layer.optionally("optional", Node::boolean)?.unwrap_or(false);
    let head = LaneHead { optional, ..LaneHead::new(role, grid.pulse) };
    Some(Lane::with_strokes(head, strokes))
}

/// Reads a variant: each of its layers is played in place of the one of the same role, leaning as that does.
pub fn read_variation(variant: &Object, grid: &Grid, groove: &Groove) -> Option<Variation> {
    let mut lanes = variant.field("layers")?.each(24, |n| {
        let mut lane = read_layer(n, grid, groove.dynamics)?;
        if let Some(old) = groove.pattern.lanes().iter().find(|old| old.head.role == lane.head.role) {
            lane.head = old.head;
        }
        Some(lane)
    })?;
    lanes.sort_by_key(|lane| lane.head.role.score_rank());
    Some(Variation { lanes, ..Variation::default() })
}
