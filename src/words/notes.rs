//! Names of notes. Middle C is C4 (MIDI note 60); the groove's tonic decides between sharps and flats.

use crate::rhythm::Tonic;
use crate::role::Role;

const SHARP: [&str; 12] = ["C", "C♯", "D", "D♯", "E", "F", "F♯", "G", "G♯", "A", "A♯", "B"];
const FLAT: [&str; 12] = ["C", "D♭", "D", "E♭", "E", "F", "G♭", "G", "A♭", "A", "B♭", "B"];

/// Whether notes over this tonic are written with flats. Pitch lines of grooves are minor more often than not, so a
/// tonic is judged by its minor key: flats for C, D, F, G, B♭ and E♭ minor, sharps for the rest.
fn flat(tonic: Tonic) -> bool {
    matches!(tonic.note() % 12, 0 | 2 | 3 | 5 | 7 | 10)
}

/// The name of a MIDI note number, written as suits the tonic: "C2", "A♭1", "F♯3".
pub fn note(midi: i32, tonic: Tonic) -> String {
    let names = if flat(tonic) { FLAT } else { SHARP };
    let name = names.get(midi.rem_euclid(12) as usize).copied().unwrap_or_default();
    format!("{name}{}", midi.div_euclid(12) - 1)
}

/// The name of a pitch of a stroke, in semitones from the groove's tonic as `role` writes them.
pub fn pitch(semitones: i8, role: Role, tonic: Tonic) -> String {
    note(i32::from(tonic.note()) + i32::from(role.octave_shift()) + i32::from(semitones), tonic)
}

/// Reads the name of a note: "C2", "eb3", "F♯-1", "60" (a MIDI note number). `None` for anything else.
pub fn read(text: &str) -> Option<i32> {
    let text = text.trim().replace('\u{2212}', "-");
    if let Ok(midi) = text.parse::<u8>() {
        return Some(midi.into());
    }
    let mut letters = text.chars();
    let letter = letters.next()?.to_ascii_uppercase().to_string();
    let natural = SHARP.iter().position(|name| *name == letter)? as i32;
    let rest = letters.as_str();
    let octave = rest.trim_start_matches(['♯', '#', '♭', 'b']);
    let signs = rest.strip_suffix(octave)?;
    let shift: i32 = signs.chars().map(|sign| if matches!(sign, '♯' | '#') { 1 } else { -1 }).sum();
    let octave: i8 = octave.trim().parse().ok()?;
    Some(natural + shift + 12 * (i32::from(octave) + 1))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn named_as_the_tonic_suggests() {
        for (tonic, midi, want) in [
            (36, 36, "C2"),
            (36, 60, "C4"),
            (36, 39, "E♭2"),
            (36, 32, "A♭1"),
            (40, 42, "F♯2"),
            (41, 44, "A♭2"),
            (37, 37, "C♯2"),
            (36, 0, "C-1"),
            (36, -1, "B-2"),
        ] {
            assert_eq!(note(midi, Tonic::new(tonic).unwrap()), want);
        }
        for (text, want) in [
            ("C4", Some(60)),
            (" eb2 ", Some(39)),
            ("F♯2", Some(42)),
            ("f#2", Some(42)),
            ("B♭-1", Some(10)),
            ("Cb4", Some(59)),
            ("b3", Some(59)),
            ("bb3", Some(58)),
            ("60", Some(60)),
            ("H2", None),
            ("C", None),
            ("", None),
            ("♭2", None),
            ("C999", None),
        ] {
            assert_eq!(read(text), want, "{text:?}");
        }
        assert_eq!(pitch(-5, Role::Bass, Tonic::DEFAULT), "G1");
        assert_eq!(pitch(3, Role::Chord, Tonic::DEFAULT), "E♭4");
    }
}
