//! Crossing: the cheapest row of single edits from one groove to another, and where on the way likeness tips.
//!
//! What edits cost, and why the row is the cheapest, stands in [`costs`]. The row is in the order a player would take it:
//! the bars and the metre they are counted in, tempo and count, feel; then the parts, those that tell most first (kick and
//! backbeat before what keeps time on top), each from beat 1 on; then sound. Every groove on the way is valid.

pub mod costs;
pub mod frame;
mod parts;

use crate::rhythm::{Edit, EditError, Feel, Groove, Id, LaneId, Lean, Loudness, Metre, TapeSpeed, Tempo, Tick, Tonic};
use crate::role::Role;

/// What one edit of a crossing changes.
#[derive(Clone, Debug, PartialEq)]
pub enum Change {
    /// The number of bars; the loop is repeated or cut.
    Bars {
        /// Before.
        from: u8,
        /// After.
        to: u8,
    },
    /// The metre.
    Metre {
        /// Before.
        from: Metre,
        /// After.
        to: Metre,
    },
    /// How loud accents, plain strokes and ghost notes are, all of them at once.
    Dynamics,
    /// The speed.
    Tempo {
        /// Before.
        from: Tempo,
        /// After.
        to: Tempo,
    },
    /// What is counted and felt, at the same speed.
    Count {
        /// Before.
        from: Tempo,
        /// After.
        to: Tempo,
    },
    /// The swing.
    Swing {
        /// Before.
        from: Feel,
        /// After.
        to: Feel,
    },
    /// Shifts by position in the beat.
    Shifts,
    /// The tonic.
    Tonic {
        /// Before.
        from: Tonic,
        /// After.
        to: Tonic,
    },
    /// The drums.
    Kit(Id),
    /// The tone.
    Tone(Id),
    /// Tape speed.
    TapeSpeed(TapeSpeed),
    /// A part comes in with all its strokes.
    PartComes {
        /// Who.
        role: Role,
        /// Where it strikes.
        at: Vec<Tick>,
    },
    /// A part goes.
    PartGoes {
        /// Who.
        role: Role,
    },
    /// A part is played on another instrument.
    Role {
        /// Before.
        from: Role,
        /// After.
        to: Role,
    },
    /// A part leans otherwise.
    Lean {
        /// Who.
        role: Role,
        /// Before.
        from: Lean,
        /// After.
        to: Lean,
    },
    /// A part follows the swing, stays even, or does as the feel says (`None`).
    Swings {
        /// Who.
        role: Role,
        /// After.
        to: Option<bool>,
    },
    /// A part has places of another length.
    Pulse {
        /// Who.
        role: Role,
        /// After.
        to: Tick,
    },
    /// A stroke comes.
    StrokeComes {
        /// Whose.
        role: Role,
        /// Where.
        at: Tick,
    },
    /// A stroke goes.
    StrokeGoes {
        /// Whose.
        role: Role,
        /// From where.
        at: Tick,
    },
    /// A stroke moves.
    StrokeMoves {
        /// Whose.
        role: Role,
        /// Before.
        from: Tick,
        /// After.
        to: Tick,
    },
    /// A stroke gets louder or softer.
    Loudness {
        /// Whose.
        role: Role,
        /// Where.
        at: Tick,
        /// Before.
        from: Loudness,
        /// After.
        to: Loudness,
    },
    /// A stroke is played otherwise: roll, flam, nudge, pitches, length, slide.
    Ornament {
        /// Whose.
        role: Role,
        /// Where.
        at: Tick,
    },
    /// The order of the lanes and which of them may be left out; nothing heard.
    Written,
}

/// One edit of a crossing.
#[derive(Clone, Debug, PartialEq)]
pub struct Crossed {
    /// What it changes.
    pub change: Change,
    /// The edit, for the groove that all before it have led to.
    pub edit: Edit,
    /// What it costs, in hundredths of a stroke.
    pub cost: i64,
}

/// A row of edits from one groove to another.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Crossing {
    /// The edits in order; none for equal grooves.
    pub edits: Vec<Crossed>,
    /// What they cost together, in hundredths of a stroke.
    pub cost: i64,
}

impl Crossing {
    /// The grooves on the way: after no edit, after the first, ... after the last.
    pub fn grooves(&self, from: &Groove) -> Vec<Groove> {
        let mut groove = from.clone();
        let mut grooves = vec![groove.clone()];
        for crossed in &self.edits {
            // Each fits the one before.
            if groove.apply(&crossed.edit).is_ok() {
                grooves.push(groove.clone());
            }
        }
        grooves
    }
}

/// A place on a crossing where another style comes to lead.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Tip {
    /// After how many edits; 0 for the start.
    pub after: usize,
    /// The style that leads from here on; `None` for none.
    pub leader: Option<Id>,
}

/// Who leads on the way from `from`, as `leader` judges: the start, and wherever that changes.
pub fn tips(crossing: &Crossing, from: &Groove, leader: &mut dyn FnMut(&Groove) -> Option<Id>) -> Vec<Tip> {
    let mut tips: Vec<Tip> = Vec::new();
    for (after, groove) in crossing.grooves(from).iter().enumerate() {
        let leader = leader(groove);
        if tips.last().is_none_or(|last| last.leader != leader) {
            tips.push(Tip { after, leader });
        }
    }
    tips
}

/// The cheapest row of single edits that makes `to` of `from`. Identities of lanes and strokes are those of `from`.
///
/// # Errors
/// An edit did not fit, which valid grooves do not lead to.
pub fn crossing(from: &Groove, to: &Groove) -> Result<Crossing, EditError> {
    let mut row = Row { groove: from.clone(), crossing: Crossing::default() };
    row.ground(to)?;
    row.tempo(to.tempo)?;
    row.feel(&to.feel)?;
    row.parts(to)?;
    row.sound(to)?;
    Ok(row.crossing)
}

/// A row of edits and the groove it has led to.
struct Row {
    groove: Groove,
    crossing: Crossing,
}

impl Row {
    fn push(&mut self, change: Change, edit: Edit, cost: i64) -> Result<(), EditError> {
        self.groove.apply(&edit)?;
        self.crossing.edits.push(Crossed { change, edit, cost });
        self.crossing.cost += cost;
        Ok(())
    }

    fn lane(&self, id: LaneId) -> Result<&crate::rhythm::Lane, EditError> {
        self.groove.pattern.lane(id).ok_or(EditError::NoLane(id))
    }
}
