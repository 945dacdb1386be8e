//! Words about voices: what a kit plays in place of a drum it lacks, and what a groove has of its own.

use super::roles::role;
use crate::role::Role;
use crate::synth::StandIn;

/// Says what plays a role that the chosen kit lacks: "This kit has no tamborim: its rim plays."
pub fn stand_in(found: StandIn) -> String {
    let missing = role(found.role).to_lowercase();
    match found.plays {
        // The one name in the plural.
        Some(Role::Chord) => format!("This kit has no {missing}: its {} play.", role(Role::Chord).to_lowercase()),
        Some(plays) => format!("This kit has no {missing}: its {} plays.", role(plays).to_lowercase()),
        None => format!("This kit has no {missing}, and nothing near it: that line stays silent."),
    }
}

/// Says that a groove brings its own voice for a role.
pub fn own(played: Role) -> String {
    format!("This groove has its own {} in place of the kit's.", role(played).to_lowercase())
}

/// Says that a groove's own voice for a role cannot be read by this page.
pub fn unread(played: Role) -> String {
    let name = role(played).to_lowercase();
    format!("This groove's own {name} cannot be read here yet, so the kit's is heard; the groove keeps its own.")
}

/// The button that takes a groove's own voice for a role away.
pub fn back_to_kit(played: Role) -> String {
    format!("Back to the kit's {}", role(played).to_lowercase())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_stand_in_is_named() {
        let check = |role, plays, expected: &str| assert_eq!(stand_in(StandIn { role, plays }), expected);
        check(Role::Tamborim, Some(Role::Rim), "This kit has no tamborim: its rim plays.");
        check(Role::HatPedal, Some(Role::HatClosed), "This kit has no pedal hat: its closed hat plays.");
        check(Role::HornStab, Some(Role::Chord), "This kit has no horn stab: its chords play.");
        check(Role::LogDrum, None, "This kit has no log drum, and nothing near it: that line stays silent.");
    }
}
