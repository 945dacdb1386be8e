//! What hallmarks say, drawn on the ribbon: a hollow sign where a place is kept empty, arches over the groups of a cell.

use crate::rhythm::{LaneId, Pattern, Tick};
use crate::style::{Condition, Hallmark};

/// One group of a cell: so many pulses from one place to the next.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Arch {
    /// The lane it stands over.
    pub lane: LaneId,
    /// Where the group begins.
    pub from: Tick,
    /// Where the next one begins.
    pub to: Tick,
    /// How many pulses it has.
    pub pulses: u8,
}

/// The signs of a pattern.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Signs {
    /// Places kept empty.
    pub hollow: Vec<(LaneId, Tick)>,
    /// Groups of cells.
    pub arches: Vec<Arch>,
}

impl Signs {
    /// What `hallmarks` have to say about `pattern`: for each lane that plays one of the voices they speak of.
    pub fn of<'a>(hallmarks: impl IntoIterator<Item = &'a Hallmark>, pattern: &Pattern) -> Signs {
        let mut signs = Signs::default();
        for hallmark in hallmarks {
            signs.add(&hallmark.condition, pattern);
        }
        signs.hollow.sort_unstable();
        signs.hollow.dedup();
        signs
    }

    fn add(&mut self, condition: &Condition, pattern: &Pattern) {
        let bar = pattern.metre().bar();
        match condition {
            Condition::All(conditions) => conditions.iter().for_each(|condition| self.add(condition, pattern)),
            Condition::KeptEmpty { voices, places, .. } => {
                let lanes = pattern.lanes().iter().filter(|lane| voices.contains(&lane.head.role));
                for lane in lanes {
                    for index in 0..i64::from(pattern.bars()) {
                        let spots = places.0.get(index as usize % places.bars().max(1)).and_then(Option::as_ref);
                        let ticks = spots.into_iter().flatten().filter_map(|spot| spot.tick(pattern.metre()).ok());
                        self.hollow.extend(ticks.map(|tick| (lane.id, bar.times(index) + tick)));
                    }
                }
            }
            Condition::FollowsCell { voices, cell, pulse, .. } => {
                // The cell is drawn once over the first lane that follows it, as a musician pencils it in.
                let Some(lane) = pattern.lanes().iter().find(|lane| voices.contains(&lane.head.role)) else { return };
                let mut from = Tick::ZERO;
                for &pulses in cell {
                    let to = from + pulse.times(i64::from(pulses));
                    if to <= pattern.length() {
                        self.arches.push(Arch { lane: lane.id, from, to, pulses });
                    }
                    from = to;
                }
            }
            _ => {}
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rhythm::{Lane, LaneHead, Metre};
    use crate::role::Role;
    use crate::style::{Places, Spot, Touch};

    fn pattern() -> Pattern {
        let lanes = [Role::HatClosed, Role::Snare].map(|role| Lane::new(LaneHead::new(role, Tick::SIXTEENTH)));
        Pattern::new(Metre::four_four(), 2, lanes.to_vec()).unwrap()
    }

    #[test]
    fn a_place_kept_empty_has_a_sign_in_every_bar() {
        let pattern = pattern();
        let spots = vec![Spot::parse("2").unwrap(), Spot::parse("a of 4").unwrap()];
        let condition = Condition::KeptEmpty {
            voices: vec![Role::Snare, Role::Clap],
            places: Places::every_bar(spots),
            touch: Touch::Any,
        };
        let mut signs = Signs::default();
        signs.add(&condition, &pattern);
        let snare = pattern.lanes()[1].id;
        assert_eq!(signs.hollow, [960, 3600, 4800, 7440].map(|at| (snare, Tick(at))));
    }

    #[test]
    fn a_cell_has_an_arch_a_group() {
        let pattern = pattern();
        let condition = Condition::FollowsCell {
            voices: vec![Role::HatClosed],
            cell: vec![3, 3, 2],
            pulse: Tick::SIXTEENTH,
            touch: Touch::Any,
            only: true,
        };
        let mut signs = Signs::default();
        signs.add(&condition, &pattern);
        let spans: Vec<_> = signs.arches.iter().map(|arch| (arch.from.0, arch.to.0, arch.pulses)).collect();
        assert_eq!(spans, [(0, 720, 3), (720, 1440, 3), (1440, 1920, 2)]);
    }
}
