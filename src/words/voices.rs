//! Words about voices: their parts, their dials, their picture, what a kit plays in place of a drum it lacks, and what a
//! groove has of its own.

use super::roles::role;
use crate::role::Role;
use crate::synth::dials::Dial;
use crate::synth::portrait::{FLOOR_DB, Portrait};
use crate::synth::{Part, StandIn};

/// Texts and names of the Voices room.
pub mod room {
    #![allow(missing_docs, reason = "each constant is named after the words it holds")]
    pub const LEAD: &str = "Take a drum apart, hear what it is made of, and turn it into another one.";
    pub const KIT: &str = "Kit";
    pub const VOICE: &str = "Voice";
    pub const HEAR: &str = "Strike it";
    pub const SOFT: &str = "Softly";
    pub const MIDDLE: &str = "Normally";
    pub const HARD: &str = "Hard";
    pub const PARTS: &str = "What it is made of";
    pub const ALONE: &str = "alone";
    pub const LEFT_OUT: &str = "left out";
    pub const DIALS: &str = "Make it another";
    pub const OWN: &str = "Back to the kit\u{2019}s own";
    pub const TO_DRAFT: &str = "Use it in my draft";
    pub const FIGURES: &str = "The figures behind";
    pub const OVER_TIME: &str =
        "Over time: the wave, its level (broken line), and its pitch where there is one (thick line)";
    pub const BY_PITCH: &str = "From low to high: how strong";
    pub const ONE_PART: &str = "This voice is all of one piece.";
}

/// What a part is called.
pub const fn part(part: Part) -> &'static str {
    match part {
        Part::Click => "Click",
        Part::Body => "Body",
        Part::Tail => "Tail",
        Part::Overtones => "Overtones",
        Part::Noise => "Noise",
    }
}

/// What a dial is called, and its two ends.
pub const fn dial(dial: Dial) -> (&'static str, &'static str, &'static str) {
    match dial {
        Dial::Pitch => ("Pitch", "lower", "higher"),
        Dial::Length => ("Length", "shorter", "longer"),
        Dial::Attack => ("Attack", "softer", "harder"),
        Dial::Swell => ("Swell", "at once", "swelling"),
        Dial::Drop => ("Drop", "level", "falling from high"),
        Dial::Fullness => ("Fullness", "thinner", "fuller"),
        Dial::Ring => ("Ring", "drier", "ringing"),
        Dial::Noise => ("Noise", "rounder", "noisier"),
        Dial::Tail => ("Tail", "less", "more"),
        Dial::Brightness => ("Brightness", "darker", "brighter"),
        Dial::Dirt => ("Dirt", "cleaner", "dirtier"),
        Dial::Grain => ("Grain", "smooth", "grainy"),
    }
}

/// Where a dial stands, said: "40 of 100, from lower to higher".
pub fn dial_at(of: Dial, position: f64) -> String {
    let (_, low, high) = dial(of);
    format!("{position:.0} of 100, from {low} to {high}")
}

/// A figure's name and unit from its name in kit files, "start_hz": "start" and "Hz". `None` for figures of machines that
/// nobody hears by number.
pub fn figure(name: &str) -> Option<(String, &'static str)> {
    if matches!(name, "bits" | "hold_hz") {
        return None;
    }
    let units = [
        ("_hz", "Hz"),
        ("_ms", "ms"),
        ("_db", "dB"),
        ("_cents", "cents"),
        ("_octaves", "octaves"),
        ("_semitones", "semitones"),
        ("_percent", "%"),
    ];
    let found = units.iter().find_map(|(ending, unit)| Some((name.strip_suffix(ending)?, *unit)));
    let (stem, unit) = found.unwrap_or((name, ""));
    Some((stem.replace('_', " "), unit))
}

/// The picture of a sound in a sentence or two, for those who do not see it.
pub fn picture(drawn: &Portrait, seconds: f64) -> String {
    let pitches: Vec<f32> = drawn.pitch_hz.iter().copied().flatten().collect();
    let columns = drawn.level_db.len().max(1) as f64;
    let loudest = drawn.level_db.iter().copied().fold(FLOOR_DB, f32::max);
    let gone = drawn.level_db.iter().rposition(|&level| level > loudest - 40.0).map_or(0, |column| column + 1);
    let lasts = format!("It is gone after {:.0} ms", (gone as f64 / columns * seconds * 100.0).round() * 10.0);
    let strongest = drawn.spectrum.iter().max_by(|a, b| a.1.total_cmp(&b.1)).map_or(0.0, |band| band.0);
    let strongest = format!("strongest near {}", hertz(strongest));
    let pitch = match (pitches.first(), pitches.last()) {
        (Some(&first), Some(&last)) if first > 1.12 * last => {
            format!("Its pitch falls from {} to {}. ", hertz(first), hertz(last))
        }
        (Some(&first), Some(&last)) if last > 1.12 * first => {
            format!("Its pitch rises from {} to {}. ", hertz(first), hertz(last))
        }
        (Some(_), Some(&last)) => format!("Its pitch is {}. ", hertz(last)),
        _ => "It has no pitch of its own. ".to_owned(),
    };
    format!("{pitch}{lasts}, and {strongest}.")
}

/// A frequency rounded to what ears tell apart: "60 Hz", "2.5 kHz".
fn hertz(hz: f32) -> String {
    if hz < 1000.0 { format!("{hz:.0} Hz") } else { format!("{:.1} kHz", hz / 1000.0) }
}

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
    fn figures_lose_their_units() {
        let check = |name, stem: &str, unit| assert_eq!(figure(name), Some((stem.to_owned(), unit)));
        check("start_hz", "start", "Hz");
        check("high_pass_hz", "high pass", "Hz");
        check("detune_cents", "detune", "cents");
        check("click", "click", "");
        assert_eq!(figure("hold_hz"), None);
    }

    #[test]
    fn a_picture_is_told() {
        let check = |pitch: [Option<f32>; 2], expected: &str| {
            let drawn = Portrait {
                wave: vec![(0.0, 0.0); 2],
                level_db: vec![-6.0, -60.0],
                pitch_hz: pitch.to_vec(),
                spectrum: vec![(60.0, 0.0), (2500.0, -9.0)],
            };
            assert_eq!(picture(&drawn, 0.4), expected);
        };
        check(
            [Some(160.0), Some(58.0)],
            "Its pitch falls from 160 Hz to 58 Hz. It is gone after 200 ms, and strongest near 60 Hz.",
        );
        check([Some(58.0), Some(58.0)], "Its pitch is 58 Hz. It is gone after 200 ms, and strongest near 60 Hz.");
        check([None, None], "It has no pitch of its own. It is gone after 200 ms, and strongest near 60 Hz.");
    }

    #[test]
    fn a_stand_in_is_named() {
        let check = |role, plays, expected: &str| assert_eq!(stand_in(StandIn { role, plays }), expected);
        check(Role::Tamborim, Some(Role::Rim), "This kit has no tamborim: its rim plays.");
        check(Role::HatPedal, Some(Role::HatClosed), "This kit has no pedal hat: its closed hat plays.");
        check(Role::HornStab, Some(Role::Chord), "This kit has no horn stab: its chords play.");
        check(Role::LogDrum, None, "This kit has no log drum, and nothing near it: that line stays silent.");
    }
}
