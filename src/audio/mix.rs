//! Which lanes sound: mute and solo.

use crate::rhythm::LaneId;
use std::collections::BTreeSet;

/// The lanes muted and the lanes on solo.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Mix {
    muted: BTreeSet<LaneId>,
    solo: BTreeSet<LaneId>,
}

impl Mix {
    /// Mutes a lane or lets it sound.
    pub fn mute(&mut self, lane: LaneId, on: bool) {
        put(&mut self.muted, lane, on);
    }

    /// Puts a lane on solo or takes it off.
    pub fn solo(&mut self, lane: LaneId, on: bool) {
        put(&mut self.solo, lane, on);
    }

    /// Lets all lanes sound.
    pub fn clear(&mut self) {
        *self = Mix::default();
    }

    /// Forgets the lanes that `stays` does not hold.
    pub fn keep(&mut self, stays: impl Fn(LaneId) -> bool) {
        self.muted.retain(|lane| stays(*lane));
        self.solo.retain(|lane| stays(*lane));
    }

    /// Whether a lane is muted; it may still sound, for solo outweighs mute.
    pub fn is_muted(&self, lane: LaneId) -> bool {
        self.muted.contains(&lane)
    }

    /// Whether a lane is on solo.
    pub fn is_solo(&self, lane: LaneId) -> bool {
        self.solo.contains(&lane)
    }

    /// Whether a lane sounds. Solo outweighs mute: asking for a lane alone is asking for it.
    pub fn sounds(&self, lane: LaneId) -> bool {
        if self.solo.is_empty() { !self.muted.contains(&lane) } else { self.solo.contains(&lane) }
    }
}

fn put(set: &mut BTreeSet<LaneId>, lane: LaneId, on: bool) {
    if on {
        set.insert(lane);
    } else {
        set.remove(&lane);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn solo_outweighs_mute() {
        let lanes = [1, 2, 3].map(LaneId);
        let sounding = |mix: &Mix| lanes.map(|lane| mix.sounds(lane));
        let mut mix = Mix::default();
        assert_eq!(sounding(&mix), [true, true, true]);
        mix.mute(lanes[0], true);
        assert_eq!(sounding(&mix), [false, true, true]);
        mix.solo(lanes[0], true);
        mix.solo(lanes[1], true);
        assert_eq!(sounding(&mix), [true, true, false]);
        mix.solo(lanes[0], false);
        mix.solo(lanes[1], false);
        assert_eq!(sounding(&mix), [false, true, true]);
        mix.solo(lanes[1], true);
        assert!(mix.is_muted(lanes[0]) && mix.is_solo(lanes[1]));
        mix.keep(|lane| lane != lanes[1]);
        assert_eq!(sounding(&mix), [false, true, true]);
        mix.clear();
        assert_eq!(sounding(&mix), [true, true, true]);
    }
}
