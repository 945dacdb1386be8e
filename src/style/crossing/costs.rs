//! What a single edit costs on the way from one groove to another, in hundredths of a stroke.
//!
//! | edit | cost | why |
//! |---|---|---|
//! | a stroke comes or goes | 100 | the unit |
//! | a stroke moves | 100 and 1 for every 9.6 ticks begun; under a quarter note only | nearer is less; from a quarter note on nobody hears it as the same stroke |
//! | its loudness changes | 50 | the rhythm stays |
//! | its roll, flam, nudge, pitches, length or slide change, together | 50 | likewise |
//! | a lane comes or goes | 100 and 100 a stroke | the same as stroke by stroke, and the player who sits down or leaves |
//! | a lane changes role between snare, clap, snap and rim | 75 | they stand in for one another; other roles do not |
//! | a lane leans otherwise; it swings otherwise | 50 each | all strokes shift together |
//! | a lane has places of another length | 25 | hardly more than writing |
//! | tempo; swing; shifts by position; number of bars (repeated, or the last ones left out); kit; tone; tape speed | 100 each | one turn of one knob |
//! | count unit and felt pulse; tonic | 50 each | the same music, counted or transposed |
//! | metre | 200 | every bar is cut or stretched |
//! | accents, plain strokes and ghost notes take the loudness of the other groove's | 100 | one hand, heavier or lighter |
//! | the order of lanes, what is optional | 0 | none of it is heard |
//!
//! Nothing is cheaper done together than one by one, and no change is cheaper by a detour: the costs of a stroke are sums
//! of metrics, so the cheapest pairing of strokes and lanes is the cheapest row of edits. Bars, metre
//! and the loudness of the strengths are changed once at most, and first: the rest is the cheapest from there on.

use crate::rhythm::{Lane, LaneHead, Stroke, Tick};
use crate::role::Role;

/// A stroke put in or taken out.
pub const STROKE: i64 = 100;
/// From here on a stroke is another one.
pub const MOVE_LIMIT: Tick = Tick::QUARTER;
/// Another loudness.
pub const LOUDNESS: i64 = 50;
/// Another roll, flam, nudge, pitch, length or slide.
pub const ORNAMENT: i64 = 50;
/// An empty lane put in or taken out.
pub const LANE: i64 = 100;
/// A lane's role.
pub const ROLE: i64 = 75;
/// A lane's lean.
pub const LEAN: i64 = 50;
/// Whether a lane swings.
pub const SWINGS: i64 = 50;
/// The length of a lane's places.
pub const PULSE: i64 = 25;
/// One knob: tempo, swing, shifts, bars, strengths, kit, tone, tape speed.
pub const KNOB: i64 = 100;
/// How the same music is counted, or from which note.
pub const COUNTING: i64 = 50;
/// The metre.
pub const METRE: i64 = 200;

/// Whether strokes of one may stand for strokes of the other: the same role, or both of the backbeat's.
pub fn equivalent(a: Role, b: Role) -> bool {
    let backbeat = |role| matches!(role, Role::Snare | Role::Clap | Role::Snap | Role::Rim);
    a == b || (backbeat(a) && backbeat(b))
}

/// The way from one place to another around a loop of `length` ticks.
pub fn way(a: Tick, b: Tick, length: Tick) -> Tick {
    let ahead = (b - a).rem_euclid(length);
    ahead.min(length - ahead)
}

/// A move by `way` ticks; `None` where it is none any more.
pub fn moved(way: Tick) -> Option<i64> {
    match way.0 {
        0 => Some(0),
        ticks if way < MOVE_LIMIT => Some(STROKE + (ticks * 100 + 959) / 960),
        _ => None,
    }
}

/// What makes a stroke another one on the same place.
pub fn touch(a: &Stroke, b: &Stroke) -> i64 {
    let loudness = if a.loudness == b.loudness { 0 } else { LOUDNESS };
    loudness + if a.is_ornamented_as(b) { 0 } else { ORNAMENT }
}

/// What makes a lane's head another one; `None` where their roles do not stand for one another.
pub fn head(a: &LaneHead, b: &LaneHead) -> Option<i64> {
    let part = |differs: bool, cost: i64| if differs { cost } else { 0 };
    equivalent(a.role, b.role).then(|| {
        part(a.role != b.role, ROLE)
            + part(a.lean != b.lean, LEAN)
            + part(a.swings != b.swings, SWINGS)
            + part(a.pulse != b.pulse, PULSE)
    })
}

/// A whole lane put in or taken out.
pub fn lane(lane: &Lane) -> i64 {
    LANE + STROKE * lane.strokes().len() as i64
}
