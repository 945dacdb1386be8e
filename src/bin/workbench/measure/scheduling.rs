//! What the pump costs, and how far its starts lie from where they belong.

use super::{Row, least_ms, middle_and_most};
use crate::Trouble;
use std::collections::BTreeMap;
use std::sync::Arc;
use stickleback::rhythm::boxes::{Ruling, read_row};
use stickleback::rhythm::{
    Bpm, Dynamics, Feel, Frames, Groove, Id, Lane, LaneHead, Lean, Metre, Pattern, Sound, Swing, Tempo, Tick, Tonic,
    Written, sounding,
};
use stickleback::role::Role;
use stickleback::schedule::{Action, Key, Ledger, Start, Transport};

const RATE: f64 = 48_000.0;
/// The time between two calls of the pump, in ms.
const TICK_MS: f64 = 25.0;

/// Rows for ten minutes of a hard groove, and for the pump under the largest one.
pub fn rows() -> Result<Vec<Row>, Trouble> {
    let hard = groove(
        174.0,
        667,
        1,
        &[
            (Role::Kick, "X.x.......X.....", 0),
            (Role::Snare, "....f..o.o..X..4", 87),
            (Role::HatClosed, "x.x.x.3.x.x.xxx8", -35),
        ],
    );
    let (Some(hard), Some(largest)) = (hard, largest()) else { return Err(Trouble::Faults) };
    let drift = drift(&hard, 600.0);
    let (middle, most) = pump(&largest, 60.0);
    Ok(vec![
        Row::bound("schedule: 10 min at 174 BPM, furthest start from ideal", 0.5, drift.furthest, "frames"),
        Row::bound("schedule: starts lost, doubled or not asked for", 0.0, drift.astray as f64, "starts"),
        Row::told("native: one pump of 8 bars x 24 lanes, median", middle, "ms"),
        Row::told("native: the longest of them", most, "ms"),
    ])
}

/// The largest groove there can be: 8 bars x 24 lanes, every sixteenth struck.
pub fn largest() -> Option<Groove> {
    let rows: Vec<(Role, &str, i16)> =
        Role::ALL.iter().take(24).map(|role| (*role, "XxxxXxxxXxxxXxxx|%|%|%|%|%|%|%", 0)).collect();
    groove(120.0, 560, 8, &rows)
}

/// A groove of `bars` bars of 4/4 in sixteenths: roles, rows in box notation and leans in tenths of a ms.
fn groove(bpm: f64, swing: u16, bars: u8, rows: &[(Role, &str, i16)]) -> Option<Groove> {
    let metre = Metre::four_four();
    let lane = |(role, row, lean): &(Role, &str, i16)| {
        let ruling = Ruling { metre: &metre, bars, pulse: Tick::SIXTEENTH, dynamics: Dynamics::DEFAULT };
        let head = LaneHead { lean: Lean::from_tenths(*lean)?, ..LaneHead::new(*role, Tick::SIXTEENTH) };
        Some(Lane::with_strokes(head, read_row(row, &ruling).ok()?))
    };
    let lanes: Option<Vec<Lane>> = rows.iter().map(lane).collect();
    let kit: Id = "jungle".parse().ok()?;
    Some(Groove {
        pattern: Pattern::new(metre.clone(), bars, lanes?).ok()?,
        tempo: Tempo::quarters(Bpm::new(bpm)?),
        feel: Feel::new(Tick::EIGHTH, Written::Straight, Swing::from_tenths(swing)?, Vec::new()).ok()?,
        dynamics: Dynamics::DEFAULT,
        tonic: Tonic::DEFAULT,
        sound: Sound::of(kit),
    })
}

struct Drift {
    /// The largest distance of a start from its ideal, in frames.
    furthest: f64,
    /// Starts missing, doubled or belonging nowhere.
    astray: usize,
}

/// Pumps `seconds` of `groove` and holds every start against the sounding time of its stroke, in real numbers.
fn drift(groove: &Groove, seconds: f64) -> Drift {
    let mut transport = Transport::start(Arc::new(groove.clone()), RATE, Frames(0), Start::default());
    let anchor = transport.segments().first().map_or(0.0, |segment| segment.anchor);
    let mut ledger = Ledger::new();
    let mut starts: BTreeMap<Key, Frames> = BTreeMap::new();
    let mut astray = 0;
    let end = Frames((seconds * RATE) as i64);
    for turn in 0.. {
        let now = Frames((f64::from(turn) * TICK_MS / 1000.0 * RATE) as i64);
        if now > end {
            break;
        }
        for action in ledger.reconcile(&transport, now) {
            match action {
                Action::Start(event) => astray += usize::from(starts.insert(event.key, event.frame).is_some()),
                // Nothing was edited: nothing is to be taken back.
                Action::Cancel(_) => astray += 1,
                Action::Retime { .. } => {}
            }
        }
        transport.forget(now);
    }
    let length = groove.pattern.length().as_f64();
    let hits = sounding::hits(groove);
    let mut furthest = 0.0_f64;
    for pass in 0.. {
        let ideal = |hit: &sounding::Hit| {
            anchor + (groove.tempo.seconds(f64::from(pass) * length + hit.ticks) + hit.offset).0 * RATE
        };
        if hits.iter().map(ideal).fold(f64::INFINITY, f64::min) > end.0 as f64 {
            break;
        }
        for hit in &hits {
            let line = stickleback::schedule::Line::Lane(hit.lane);
            match starts.remove(&Key { pass, line, stroke: hit.stroke, part: hit.part }) {
                Some(frame) => furthest = furthest.max((frame.0 as f64 - ideal(hit)).abs()),
                None => astray += usize::from(ideal(hit) < end.0 as f64),
            }
        }
    }
    // What is left lies beyond the end, inside the pump's horizon, or nowhere.
    astray += starts.values().filter(|frame| **frame < end).count();
    Drift { furthest, astray }
}

/// The median and the longest call of the pump over `seconds` of `groove`, in ms, each the least of three runs.
fn pump(groove: &Groove, seconds: f64) -> (f64, f64) {
    let transport = Transport::start(Arc::new(groove.clone()), RATE, Frames(0), Start::default());
    let mut ledger = Ledger::new();
    let calls = (0..(seconds * 1000.0 / TICK_MS) as i64).map(|turn| {
        let now = Frames((turn as f64 * TICK_MS / 1000.0 * RATE) as i64);
        let before = ledger.clone();
        least_ms(|| {
            ledger = before.clone();
            std::hint::black_box(ledger.reconcile(&transport, now));
        })
    });
    middle_and_most(calls.collect())
}
