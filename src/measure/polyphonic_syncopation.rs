//! Syncopation between the drums of a set: a low or middle drum that strikes just before a stronger place of another.
//!
//! Inspired by M. Witek, E. Clarke, M. Wallentin, M. Kringelbach and P. Vuust, "Syncopation, body-movement and pleasure in
//! groove music", PLoS ONE 9 (2014); the paper's own table was not at hand, so this is *not* that index. As two
//! independent programs have it: a stroke followed on the next place, which weighs no less, by other drums is a
//! syncopation whose strength is the difference of the weights plus 2 (low before middle and high), 1 (middle before low
//! and high) or 5 (low or middle before high alone). Beats weigh -1 except the bar's start (0), places below them one
//! less a division. What those programs give for a following rest, and for low and middle alone, differs and rests on
//! nothing we could read: it is left out. Three anchors from a test suite hold.

use super::cycle::Cycle;
use super::metrical_hierarchy::Hierarchy;
use crate::rhythm::{Pattern, Stroke, Tick};
use crate::role::{Register, Role};

/// Which drums stand against which.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Against {
    /// A low drum before a middle and a high one.
    LowBeforeMidAndHigh,
    /// A middle drum before a low and a high one.
    MidBeforeLowAndHigh,
    /// A low or middle drum, or both, before a high one alone.
    BeforeHighAlone,
}

impl Against {
    /// What is added to the difference of the weights.
    pub const fn instability(self) -> u32 {
        match self {
            Against::LowBeforeMidAndHigh => 2,
            Against::MidBeforeLowAndHigh => 1,
            Against::BeforeHighAlone => 5,
        }
    }
}

/// A stroke before a stronger place of other drums.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct PolyphonicSyncopation {
    /// The stroke's place.
    pub note: Tick,
    /// The next place, around the circle.
    pub next: Tick,
    /// Who stands against whom.
    pub against: Against,
    /// Difference of the weights plus instability.
    pub strength: u32,
}

/// The same for a pattern's drums, by [`Role::register`]; pitched parts are left out, and so are strokes that `takes`
/// refuses.
pub fn of_pattern(pattern: &Pattern, takes: &dyn Fn(&Stroke) -> bool) -> Vec<PolyphonicSyncopation> {
    let drums = |register: Register| -> Vec<Role> {
        Role::ALL.into_iter().filter(|role| role.register() == register && !role.is_pitched()).collect()
    };
    let all: Vec<Role> = Role::ALL.into_iter().filter(|role| !role.is_pitched()).collect();
    let line = |roles: &[Role]| Cycle::of_roles(pattern, roles, takes);
    let Some(together) = line(&all) else { return Vec::new() };
    let struck = |roles: &[Role]| line(roles).map(|line| line.onsets().to_vec()).unwrap_or_default();
    let [low, mid, high] = [Register::Low, Register::Mid, Register::High].map(|register| struck(&drums(register)));
    polyphonic_syncopations(&together, [&low, &mid, &high])
}

/// Every syncopation between the low, middle and high line, in order of place. `together` holds all their onsets and says
/// which places there are.
pub fn polyphonic_syncopations(together: &Cycle, lines: [&[Tick]; 3]) -> Vec<PolyphonicSyncopation> {
    let hierarchy = Hierarchy::of(together.metre());
    // All beats but the bar's first lie one below it here, whatever larger parts they start.
    let depth = |at: Tick| match hierarchy.depth(at) {
        0 => 0,
        depth => 1 + depth.saturating_sub(hierarchy.beat_depth()),
    };
    let strikes = |line: &[Tick], at: Tick| line.binary_search(&at).is_ok();
    let places = together.places();
    let mut found = Vec::new();
    for (&note, &next) in places.iter().zip(places.iter().cycle().skip(1)) {
        let Some(rise) = depth(note).checked_sub(depth(next)) else { continue };
        let [low, mid, _] = lines.map(|line| strikes(line, note));
        let [then_low, then_mid, then_high] = lines.map(|line| strikes(line, next));
        let kinds = [
            (low && then_mid && then_high, Against::LowBeforeMidAndHigh),
            (mid && then_low && then_high, Against::MidBeforeLowAndHigh),
            ((low || mid) && then_high && !then_low && !then_mid, Against::BeforeHighAlone),
        ];
        let fitting = kinds.into_iter().filter(|(fits, _)| *fits);
        found.extend(fitting.map(|(_, against)| PolyphonicSyncopation {
            note,
            next,
            against,
            strength: rise + against.instability(),
        }));
    }
    found
}
