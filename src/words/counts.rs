//! The count rows under a ribbon: what is counted aloud, and the felt count below it.

use crate::rhythm::{Metre, Pattern, Place, Tempo, Tick};

/// One label of a count row.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Count {
    /// Where it stands, in score ticks.
    pub at: Tick,
    /// What is counted there.
    pub label: String,
    /// Whether a beat (or a felt pulse) begins here.
    pub beat: bool,
}

/// The label of a place: the beat's number on the beat, else "e", "&", "a", "trip", "let", "ta" or "ti"; empty where
/// counting has no syllable.
pub fn label(at: Tick, metre: &Metre) -> String {
    let place = Place::of(at, metre);
    if place.after != Tick::ZERO {
        return String::new();
    }
    match place.syllable {
        "" => (place.beat + 1).to_string(),
        "and" => "&".to_owned(),
        syllable => syllable.rsplit(' ').next().unwrap_or_default().to_owned(),
    }
}

/// The labels at every multiple of `pulse` in the pattern; an empty row for a pulse that is not positive.
pub fn row(pattern: &Pattern, pulse: Tick) -> Vec<Count> {
    let metre = pattern.metre();
    let places = multiples(pulse, pattern.length());
    let on_beat = |at: Tick| {
        let place = Place::of(at, metre);
        place.after == Tick::ZERO && place.syllable.is_empty()
    };
    places.map(|at| Count { at, label: label(at, metre), beat: on_beat(at) }).collect()
}

/// The felt count: a number for every felt pulse. It runs over as many felt pulses as the metre has beats, so that a
/// groove felt in half-time counts 1 to 4 over two bars; where that does not fill the pattern it starts anew in each bar.
pub fn felt_row(pattern: &Pattern, tempo: Tempo) -> Vec<Count> {
    let (felt, length, bar) = (tempo.felt(), pattern.length(), pattern.metre().bar());
    let cycle = felt.times(pattern.metre().beat_count() as i64);
    let cycle = if length.rem_euclid(cycle) == Tick::ZERO {
        cycle
    } else if bar.rem_euclid(felt) == Tick::ZERO {
        bar
    } else {
        length
    };
    let number = |at: Tick| at.rem_euclid(cycle).div_euclid(felt) + 1;
    multiples(felt, length).map(|at| Count { at, label: number(at).to_string(), beat: true }).collect()
}

fn multiples(pulse: Tick, length: Tick) -> impl Iterator<Item = Tick> {
    let count = if pulse > Tick::ZERO { (length.0 + pulse.0 - 1) / pulse.0 } else { 0 };
    (0..count).map(move |n| pulse.times(n))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rhythm::Bpm;

    fn pattern(metre: &str, bars: u8) -> Pattern {
        Pattern::empty(Metre::parse(metre).unwrap(), bars).unwrap()
    }

    fn labels(row: &[Count]) -> String {
        row.iter().map(|count| count.label.as_str()).collect::<Vec<_>>().join(" ")
    }

    #[track_caller]
    fn check(metre: &str, pulse: i64, want: &str) {
        let row = row(&pattern(metre, 1), Tick(pulse));
        assert_eq!(labels(&row), want);
        let beats = row.iter().filter(|count| count.beat);
        assert!(beats.eq(row.iter().filter(|count| count.label.parse::<u8>().is_ok())));
    }

    #[test]
    fn counted_aloud() {
        check("4/4", 240, "1 e & a 2 e & a 3 e & a 4 e & a");
        check("4/4", 480, "1 & 2 & 3 & 4 &");
        check("2/4", 320, "1 trip let 2 trip let");
        check("2/4", 160, "1 ti trip & let ti 2 ti trip & let ti");
        check("2/4", 120, "1 ta e ta & ta a ta 2 ta e ta & ta a ta");
        check("7/8", 480, "1 & 2 & 3 trip let");
        check("4/4", 1920, "1 3");
        check("1/4", 192, "1    ");
        check("4/4", 0, "");
    }

    #[track_caller]
    fn check_felt(metre: &str, bars: u8, unit: i64, felt: i64, want: &str) {
        let tempo = Tempo::new(Bpm::MIN, Tick(unit), Tick(felt)).unwrap();
        assert_eq!(labels(&felt_row(&pattern(metre, bars), tempo)), want);
    }

    #[test]
    fn felt_in_half_time_counts_over_two_bars() {
        check_felt("4/4", 2, 960, 1920, "1 2 3 4");
        check_felt("4/4", 1, 960, 1920, "1 2");
        check_felt("4/4", 1, 960, 480, "1 2 3 4 1 2 3 4");
        check_felt("12/8", 1, 1440, 1440, "1 2 3 4");
        check_felt("7/8", 2, 480, 960, "1 2 3 4 5 6 7");
    }
}
