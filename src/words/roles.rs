//! Names of the roles and of the lanes that play them.

use crate::rhythm::{LaneId, Pattern};
use crate::role::Role;

/// The name of a role as it stands beside its lane.
pub const fn role(role: Role) -> &'static str {
    match role {
        Role::Kick => "Kick",
        Role::Snare => "Snare",
        Role::Clap => "Clap",
        Role::Snap => "Snap",
        Role::Rim => "Rim",
        Role::HatClosed => "Closed hat",
        Role::HatOpen => "Open hat",
        Role::HatPedal => "Pedal hat",
        Role::Ride => "Ride",
        Role::Crash => "Crash",
        Role::Shaker => "Shaker",
        Role::Tambourine => "Tambourine",
        Role::Cowbell => "Cowbell",
        Role::BellHigh => "High bell",
        Role::BellLow => "Low bell",
        Role::Clave => "Clave",
        Role::Shell => "Shell",
        Role::Guiro => "Guiro",
        Role::Tamborim => "Tamborim",
        Role::CongaHigh => "High conga",
        Role::CongaLow => "Low conga",
        Role::CongaMuted => "Muted conga",
        Role::CongaSlap => "Conga slap",
        Role::TomHigh => "High tom",
        Role::TomLow => "Low tom",
        Role::SurdoLow => "Low surdo",
        Role::SurdoHigh => "High surdo",
        Role::SurdoThird => "Third surdo",
        Role::PercSqueak => "Squeak",
        Role::LogDrum => "Log drum",
        Role::SubBass => "Sub bass",
        Role::Bass => "Bass",
        Role::Chord => "Chords",
        Role::ChordBubble => "Organ bubble",
        Role::HornStab => "Horn stab",
        Role::VocalChop => "Vocal chop",
    }
}

/// The name of a lane: its role, numbered from the second lane of that role on ("Closed hat", "Closed hat 2").
/// `None` if the pattern has no such lane.
pub fn lane(pattern: &Pattern, id: LaneId) -> Option<String> {
    let index = pattern.lane_index(id)?;
    let own = pattern.lanes().get(index)?.head.role;
    let before = pattern.lanes().iter().take(index).filter(|lane| lane.head.role == own).count();
    Some(if before == 0 { role(own).to_owned() } else { format!("{} {}", role(own), before + 1) })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rhythm::{Lane, LaneHead, Metre, Tick};
    use std::collections::HashSet;

    #[test]
    fn every_role_has_a_name_of_its_own() {
        let names: HashSet<&str> = Role::ALL.into_iter().map(role).collect();
        assert_eq!(names.len(), Role::ALL.len());
        for name in names {
            assert!(name.starts_with(char::is_uppercase) && !name.ends_with(char::is_numeric), "{name}");
        }
    }

    #[test]
    fn lanes_of_one_role_are_numbered() {
        let lanes = [Role::HatClosed, Role::Snare, Role::HatClosed, Role::HatClosed];
        let lanes = lanes.map(|role| Lane::new(LaneHead::new(role, Tick::SIXTEENTH)));
        let pattern = Pattern::new(Metre::four_four(), 1, lanes.to_vec()).unwrap();
        let names: Vec<_> = pattern.lanes().iter().filter_map(|l| lane(&pattern, l.id)).collect();
        assert_eq!(names, ["Closed hat", "Snare", "Closed hat 2", "Closed hat 3"]);
        assert_eq!(lane(&pattern, LaneId(99)), None);
    }
}
