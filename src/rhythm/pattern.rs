//! A pattern: bars of one metre and the lanes over them.

use super::lane::{Lane, LaneFault, LaneId};
use super::metre::Metre;
use super::units::Tick;
use core::fmt;

/// The most bars a pattern may have.
pub const MAX_BARS: u8 = 8;
/// The most lanes a pattern may have.
pub const MAX_LANES: usize = 24;

/// One to eight bars of one metre, and up to 24 lanes of the same length.
#[derive(Clone, Debug)]
pub struct Pattern {
    metre: Metre,
    bars: u8,
    lanes: Vec<Lane>,
    next_id: u16,
}

impl Pattern {
    /// A pattern of these lanes, given fresh identities. Fails on the first thing that is out of range.
    pub fn new(metre: Metre, bars: u8, lanes: Vec<Lane>) -> Result<Pattern, PatternError> {
        let mut pattern = Pattern::empty(metre, bars)?;
        for mut lane in lanes {
            lane.id = LaneId::default();
            pattern.insert(pattern.lanes.len(), lane)?;
        }
        Ok(pattern)
    }

    /// A pattern without lanes.
    pub fn empty(metre: Metre, bars: u8) -> Result<Pattern, PatternError> {
        if !(1..=MAX_BARS).contains(&bars) {
            return Err(PatternError::Bars(u32::from(bars)));
        }
        Ok(Pattern { metre, bars, lanes: Vec::new(), next_id: 1 })
    }

    /// The metre of every bar.
    pub fn metre(&self) -> &Metre {
        &self.metre
    }

    /// How many bars, 1 to 8.
    pub fn bars(&self) -> u8 {
        self.bars
    }

    /// The length of the whole pattern.
    pub fn length(&self) -> Tick {
        self.metre.bar().times(i64::from(self.bars))
    }

    /// The lanes from top to bottom.
    pub fn lanes(&self) -> &[Lane] {
        &self.lanes
    }

    /// The lane with identity `id`.
    pub fn lane(&self, id: LaneId) -> Option<&Lane> {
        self.lanes.iter().find(|lane| lane.id == id)
    }

    /// The place of the lane with identity `id`, from the top.
    pub fn lane_index(&self, id: LaneId) -> Option<usize> {
        self.lanes.iter().position(|lane| lane.id == id)
    }

    /// Puts a lane in at `index`. A lane without identity (0) gets one that no lane of this pattern has had.
    pub(super) fn insert(&mut self, index: usize, mut lane: Lane) -> Result<LaneId, PatternError> {
        if self.lanes.len() >= MAX_LANES {
            return Err(PatternError::Lanes(self.lanes.len() + 1));
        }
        if let Some(fault) = lane.fault(self.length()) {
            return Err(PatternError::Lane(index, fault));
        }
        if lane.id == LaneId::default() {
            lane.id = LaneId(self.next_id);
        }
        self.next_id = self.next_id.max(lane.id.0.saturating_add(1));
        let id = lane.id;
        self.lanes.insert(index.min(self.lanes.len()), lane);
        Ok(id)
    }

    /// Gives no lane or stroke an identity that one of `before`, an earlier state of this pattern, has had: what sounds and
    /// what has the focus is remembered by them.
    pub(super) fn remember_identities(&mut self, before: &Pattern) {
        self.next_id = self.next_id.max(before.next_id);
        for lane in &mut self.lanes {
            if let Some(before) = before.lane(lane.id) {
                lane.remember_identities(before);
            }
        }
    }

    /// Takes the lane at `index` out.
    pub(super) fn remove(&mut self, index: usize) -> Option<Lane> {
        (index < self.lanes.len()).then(|| self.lanes.remove(index))
    }

    /// Changes the lane with identity `id` through `change`; the pattern stays as it was if the result does not fit.
    pub(super) fn change<T>(
        &mut self,
        id: LaneId,
        change: impl FnOnce(&mut Lane) -> T,
    ) -> Option<Result<T, PatternError>> {
        let length = self.length();
        let index = self.lane_index(id)?;
        let lane = self.lanes.get_mut(index)?;
        let before = lane.clone();
        let result = change(lane);
        Some(match lane.fault(length) {
            Some(fault) => {
                *lane = before;
                Err(PatternError::Lane(index, fault))
            }
            None => Ok(result),
        })
    }
}

/// Equality is musical: identities do not count.
impl PartialEq for Pattern {
    fn eq(&self, other: &Pattern) -> bool {
        self.metre == other.metre && self.bars == other.bars && self.lanes == other.lanes
    }
}

impl Eq for Pattern {}

/// Why there is no such pattern.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PatternError {
    /// A pattern has 1 to 8 bars; this many were asked for.
    Bars(u32),
    /// A pattern has at most 24 lanes; this many were asked for.
    Lanes(usize),
    /// The lane at this place from the top does not fit.
    Lane(usize, LaneFault),
}

impl fmt::Display for PatternError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            PatternError::Bars(bars) => write!(f, "a pattern has 1 to {MAX_BARS} bars, found {bars}"),
            PatternError::Lanes(lanes) => write!(f, "a pattern has at most {MAX_LANES} lanes, found {lanes}"),
            PatternError::Lane(index, fault) => write!(f, "lane {}: {fault}", index + 1),
        }
    }
}
