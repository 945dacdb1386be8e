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
        assert_eq!(pitch(-5, Role::Bass, Tonic::DEFAULT), "G1");
        assert_eq!(pitch(3, Role::Chord, Tonic::DEFAULT), "E♭4");
    }
}
