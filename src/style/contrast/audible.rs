//! What of a change can be heard: strokes, milliseconds, tempo, and measures of sound against the least difference an ear
//! notices.
//!
//! Thresholds are several times what trained listeners notice in the laboratory, for a class hears a groove once, over
//! small speakers. In time: 25 ms, about four times the just noticeable shift of one sound in an even row (A. Friberg and
//! J. Sundberg, "Time discrimination in a monotonic, isochronous sequence", JASA 98, 1995). In tempo: 6 % (C. Drake and
//! M.-C. Botte, "Tempo sensitivity in auditory sequences", Perception & Psychophysics 54, 1993, found 2 % for rows and 6 %
//! for a single interval). Those of sound stand at [`Margin`].

use super::pairing;
use crate::rhythm::{Groove, sounding};
use crate::role::Role;
use crate::style::{SoundLookup, SoundMeasure};

/// The least shift of a stroke in time that counts as heard, in ms.
pub const SHIFT_MS: f64 = 25.0;
/// The least change of tempo that counts as heard, in percent.
pub const TEMPO_PERCENT: f64 = 6.0;

/// The least difference of a measure that counts as heard.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Margin {
    /// In the measure's own unit.
    By(f64),
    /// As a ratio of the larger to the smaller.
    Times(f64),
}

impl Margin {
    /// The margin of a measure: a quarter more decay, gate or room (five times the 5 % of ISO 3382-1), a fifth of bandwidth,
    /// a tenth of brightness, a semitone of pitch, three of drop, 6 dB of noise, a tenth of full grit, a quarter of the
    /// wobble's speed.
    pub const fn of(measure: SoundMeasure) -> Margin {
        match measure {
            SoundMeasure::Decay | SoundMeasure::Gate | SoundMeasure::Room | SoundMeasure::Wobble => Margin::Times(1.25),
            SoundMeasure::Bandwidth => Margin::Times(1.2),
            SoundMeasure::Brightness => Margin::Times(1.1),
            SoundMeasure::Pitch => Margin::Times(1.06),
            SoundMeasure::Drop => Margin::By(3.0),
            SoundMeasure::NoiseFloor => Margin::By(6.0),
            SoundMeasure::Grit => Margin::By(0.1),
        }
    }

    /// How many margins apart two values are; from 1 on the difference is heard.
    pub fn between(self, a: f64, b: f64) -> f64 {
        match self {
            Margin::By(margin) => (a - b).abs() / margin,
            Margin::Times(ratio) if a > 0.0 && b > 0.0 => (a / b).ln().abs() / ratio.ln(),
            Margin::Times(_) => {
                if (a - b).abs() > 0.0 {
                    f64::INFINITY
                } else {
                    0.0
                }
            }
        }
    }
}

/// A measure that differs by a margin at least.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SoundChange {
    /// Whose; `None` for the whole mix.
    pub voice: Option<Role>,
    /// What.
    pub measure: SoundMeasure,
    /// Of the first sound; `None` where it has none (a tail that is not cut).
    pub from: Option<f64>,
    /// Of the second.
    pub to: Option<f64>,
    /// How many margins apart; at least 1.
    pub margins: f64,
}

/// What differs between two grooves to the ear.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Audible {
    /// Strokes that come, go, move, or are played otherwise (strength, roll, flam, pitch, length, slide).
    pub strokes: usize,
    /// The largest shift in time of a stroke that stays, in ms at the second groove's tempo: swing, nudge and lean.
    pub shift_ms: f64,
    /// How much faster the second is, in percent; negative for slower.
    pub tempo_percent: f64,
    /// Measures of sound that differ by a margin at least; empty where sounds are not known.
    pub sound: Vec<SoundChange>,
}

impl Audible {
    /// Whether anything of it is over its threshold.
    pub fn is_clear(&self) -> bool {
        self.strokes > 0
            || self.shift_ms >= SHIFT_MS
            || self.tempo_percent.abs() >= TEMPO_PERCENT
            || !self.sound.is_empty()
    }

    /// What is heard of the change from one groove to another, each with what is known of its sound.
    pub fn between(from: (&Groove, Option<SoundLookup>), to: (&Groove, Option<SoundLookup>)) -> Audible {
        let (a, b) = (from.0, to.0);
        let mut audible = Audible {
            tempo_percent: (a.tempo.tick_seconds() / b.tempo.tick_seconds() - 1.0) * 100.0,
            sound: sound_changes(from, to),
            ..Audible::default()
        };
        let length = a.pattern.length().max(b.pattern.length());
        let sets = |lane, _| pairing::written(lane);
        for (own, other) in pairing::lanes((a.pattern.lanes(), b.pattern.lanes()), &sets, length) {
            let (own, other) =
                (own.and_then(|at| a.pattern.lanes().get(at)), other.and_then(|at| b.pattern.lanes().get(at)));
            let (Some(own), Some(other)) = (own, other) else {
                audible.strokes += own.or(other).map_or(0, |lane| lane.strokes().len());
                continue;
            };
            for pair in pairing::strokes(&pairing::written(own), &pairing::written(other), length).0 {
                let (Some(x), Some(y)) = (
                    pair.0.and_then(|index| own.strokes().get(index)),
                    pair.1.and_then(|index| other.strokes().get(index)),
                ) else {
                    audible.strokes += 1;
                    continue;
                };
                let plain = |stroke: &crate::rhythm::Stroke| crate::rhythm::Stroke {
                    loudness: x.loudness,
                    nudge: x.nudge,
                    ..stroke.clone()
                };
                let same_strength = a.dynamics.strength(x.loudness) == b.dynamics.strength(y.loudness);
                if plain(x) != plain(y) || !same_strength || own.head.role != other.head.role {
                    audible.strokes += 1;
                    continue;
                }
                let played = |groove: &Groove, lane: &crate::rhythm::Lane, stroke: &crate::rhythm::Stroke| {
                    let ticks = sounding::played(groove, lane, stroke.at) + stroke.nudge.as_f64();
                    b.tempo.seconds(ticks).ms() + lane.head.lean.ms()
                };
                audible.shift_ms = audible.shift_ms.max((played(a, own, x) - played(b, other, y)).abs());
            }
        }
        audible
    }
}

/// The measures of the mix and of every voice both grooves play that differ by a margin at least, the plainest first.
pub fn sound_changes(from: (&Groove, Option<SoundLookup>), to: (&Groove, Option<SoundLookup>)) -> Vec<SoundChange> {
    let (Some(own), Some(other)) = (from.1, to.1) else { return Vec::new() };
    let plays = |groove: &Groove, role: Role| {
        groove.pattern.lanes().iter().any(|lane| lane.head.role == role && !lane.strokes().is_empty())
    };
    let voices = Role::ALL.into_iter().filter(|&role| plays(from.0, role) && plays(to.0, role)).map(Some);
    let mut changes = Vec::new();
    for voice in core::iter::once(None).chain(voices) {
        for measure in SoundMeasure::ALL {
            // Those of the mix are told once, and a voice's bandwidth is mostly its tone's.
            let of_mix = matches!(measure, SoundMeasure::NoiseFloor | SoundMeasure::Room | SoundMeasure::Bandwidth);
            if of_mix != voice.is_none() {
                continue;
            }
            let (x, y) = (own(voice, measure), other(voice, measure));
            let margins = match (x, y) {
                (Some(x), Some(y)) => Margin::of(measure).between(x, y),
                // No room against one, a tail that is cut against one that is not, a wobble against none.
                (None, Some(_)) | (Some(_), None)
                    if matches!(measure, SoundMeasure::Room | SoundMeasure::Gate | SoundMeasure::Wobble) =>
                {
                    2.0
                }
                _ => 0.0,
            };
            if margins >= 1.0 {
                changes.push(SoundChange { voice, measure, from: x, to: y, margins });
            }
        }
    }
    changes.sort_by(|a, b| b.margins.total_cmp(&a.margins));
    changes
}
