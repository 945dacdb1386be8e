//! From score to sound: where every hit of a groove is played.
//!
//! The order is fixed: score tick, swing, shift by position in the beat, nudge (all in ticks), then seconds by tempo, then
//! lean and the gap of a flam (in seconds). A roll warps its two ends and divides evenly between them. Everything here is
//! exact arithmetic on one pass of the pattern; the schedule repeats it and rounds each time once, to a whole frame.

use super::groove::Groove;
use super::lane::{Lane, LaneId};
use super::stroke::{Flam, StrokeId};
use super::units::{Loudness, Seconds, Tick};

/// Which of the hits a stroke makes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Part {
    /// The grace stroke of a flam.
    Grace,
    /// A stroke of a roll, counted from 0; a single stroke is number 0.
    Stroke(u8),
}

/// One hit of one pass: a time in two summands, for tempo changes scale the first and not the second.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hit {
    /// The lane it belongs to.
    pub lane: LaneId,
    /// The stroke it belongs to.
    pub stroke: StrokeId,
    /// Which hit of that stroke.
    pub part: Part,
    /// Played place in real ticks from the pass's start: swung, shifted and nudged. May lie before 0 or past the end.
    pub ticks: f64,
    /// Lean, less the gap of a grace stroke.
    pub offset: Seconds,
    /// How hard, with the shape of a roll.
    pub loudness: Loudness,
    /// Semitones above the stroke's written pitches: the bend of a roll.
    pub bend: f64,
    /// How long it is held, in score ticks (no swing); `None` lets it ring.
    pub length: Option<Tick>,
}

impl Hit {
    /// When this hit sounds, from the pass's start, if the whole pass runs at `groove`'s tempo.
    pub fn seconds(&self, groove: &Groove) -> Seconds {
        groove.tempo.seconds(self.ticks) + self.offset
    }
}

/// Where the written place `at` of `lane` is played, in real ticks, before any nudge.
pub fn played(groove: &Groove, lane: &Lane, at: Tick) -> f64 {
    let swings = groove.feel.moves(&lane.head);
    groove.feel.warp(at.as_f64(), groove.pattern.metre(), swings)
}

/// All hits of one lane in one pass, in order of stroke and part.
pub fn lane_hits(groove: &Groove, lane: &Lane) -> Vec<Hit> {
    let mut hits = Vec::with_capacity(lane.strokes().len());
    let lean = Seconds::from_ms(lane.head.lean.ms());
    for stroke in lane.strokes() {
        let start = played(groove, lane, stroke.at) + stroke.nudge.as_f64();
        let whole = Hit {
            lane: lane.id,
            stroke: stroke.id,
            part: Part::Stroke(0),
            ticks: start,
            offset: lean,
            loudness: stroke.loudness,
            bend: 0.0,
            length: stroke.length,
        };
        if let Some(flam) = stroke.flam {
            hits.push(Hit {
                part: Part::Grace,
                offset: lean - Seconds::from_ms(f64::from(flam.gap_ms)),
                loudness: scaled(stroke.loudness, Flam::GRACE),
                length: None,
                ..whole
            });
        }
        let Some(roll) = stroke.roll else {
            hits.push(whole);
            continue;
        };
        let end = played(groove, lane, stroke.at + roll.span) + stroke.nudge.as_f64();
        let count = usize::from(roll.strokes);
        for index in 0..count {
            let along = index as f64 / count as f64;
            hits.push(Hit {
                part: Part::Stroke(index as u8),
                ticks: start + (end - start) * along,
                loudness: scaled(stroke.loudness, roll.shape.share(index, count)),
                bend: f64::from(roll.bend) * index as f64 / (count - 1).max(1) as f64,
                length: whole.length.map(|length| Tick(length.0 / count as i64)),
                ..whole
            });
        }
    }
    hits
}

/// All hits of one pass of the whole groove, lane by lane.
pub fn hits(groove: &Groove) -> Vec<Hit> {
    groove.pattern.lanes().iter().flat_map(|lane| lane_hits(groove, lane)).collect()
}

/// How far the earliest hit of a pass sounds before the pass's start: the room its first anchor must leave. Never negative.
pub fn lead(groove: &Groove) -> Seconds {
    let early = hits(groove).iter().map(|hit| -hit.seconds(groove).0).fold(0.0, f64::max);
    Seconds(early)
}

fn scaled(loudness: Loudness, share: f64) -> Loudness {
    Loudness::clamped((f64::from(loudness.get()) * share).round() as i32)
}
