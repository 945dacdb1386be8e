//! Score marks: tempo, felt tempo, metre and feel as they stand engraved on a sheet, and as they are spoken.

use super::numbers::{counted, format};
use crate::rhythm::{Feel, Metre, Swing, Tempo, Tick, Written};

/// The sign of a note value, where the common fonts have one.
fn note_sign(ticks: Tick) -> Option<&'static str> {
    match ticks.0 {
        960 => Some("♩"),
        1440 => Some("♩."),
        480 => Some("♪"),
        720 => Some("♪."),
        _ => None,
    }
}

/// The name of a note value: "quarter note", "dotted quarter note", "7 sixteenths".
pub fn note_value(ticks: Tick) -> String {
    match ticks.0 {
        120 => "thirty-second note".to_owned(),
        240 => "sixteenth note".to_owned(),
        360 => "dotted sixteenth note".to_owned(),
        480 => "eighth note".to_owned(),
        720 => "dotted eighth note".to_owned(),
        960 => "quarter note".to_owned(),
        1440 => "dotted quarter note".to_owned(),
        1920 => "half note".to_owned(),
        2880 => "dotted half note".to_owned(),
        3840 => "whole note".to_owned(),
        7680 => "double whole note".to_owned(),
        n if n % 480 == 0 => format!("{} eighths", n / 480),
        n if n % 240 == 0 => format!("{} sixteenths", n / 240),
        n => format!("{} thirty-seconds", n / 120),
    }
}

/// The note a tempo counts, as it stands in a tempo mark: "♩", "♩.", "half note".
pub fn count_note(ticks: Tick) -> String {
    note_sign(ticks).map_or_else(|| note_value(ticks), str::to_owned)
}

/// The tempo mark: "♩ = 142", "♩. = 56", "half note = 71".
pub fn tempo(tempo: Tempo) -> String {
    let bpm = format(tempo.bpm.get(), 2);
    format!("{} = {bpm}", count_note(tempo.unit()))
}

/// The tempo as it is spoken: "142 quarter notes a minute", "56 dotted quarter notes a minute".
pub fn tempo_spoken(tempo: Tempo) -> String {
    let value = note_value(tempo.unit());
    let plural = if value.ends_with("note") { "s" } else { "" };
    let times = if plural.is_empty() { " times" } else { "" };
    format!("{}{times} {value}{plural} a minute", format(tempo.bpm.get(), 2))
}

/// "felt at 71", where the felt pulse is not the written count.
pub fn felt(tempo: Tempo) -> Option<String> {
    (tempo.felt() != tempo.unit()).then(|| format!("felt at {}", format(tempo.felt_bpm(), 1)))
}

/// The metre as it is spoken: "4/4", "7/8, grouped 2 + 2 + 3".
pub fn metre(metre: &Metre) -> String {
    let signature = metre.to_string();
    let beats: Vec<i64> = metre.beats().map(|beat| beat.0).collect();
    let uneven = beats.windows(2).any(|two| two[0] != two[1]);
    if !uneven || signature.contains('+') {
        return signature;
    }
    let unit = [480, 240, 120].into_iter().find(|unit| beats.iter().all(|beat| beat % unit == 0)).unwrap_or(120);
    let groups: Vec<String> = beats.iter().map(|beat| (beat / unit).to_string()).collect();
    format!("{signature}, grouped {}", groups.join(" + "))
}

/// The metre with the number of bars: "4/4, 2 bars".
pub fn bars(pattern_metre: &Metre, bars: u8) -> String {
    format!("{}, {}", metre(pattern_metre), counted(bars.into(), "bar", "bars"))
}

/// The swing as long : short: "59 : 41", "66.7 : 33.3"; "straight" where the pair is even.
pub fn swing(feel: &Feel) -> String {
    if feel.swing() == Swing::STRAIGHT {
        return "straight".to_owned();
    }
    let tenths = feel.swing().tenths();
    let share = |tenths: u16| format(f64::from(tenths) / 10.0, 1);
    format!("{} : {}", share(tenths), share(1000 - tenths))
}

/// The swing as it is spoken: "straight", "sixteenths swing, long 59 to short 41".
pub fn swing_spoken(feel: &Feel) -> String {
    if feel.swing() == Swing::STRAIGHT {
        return "straight".to_owned();
    }
    let pair = match (feel.pair().0, feel.written()) {
        (480, Written::Straight) => "sixteenths swing",
        (480, Written::Ternary) => "sixteenths swing, written in threes",
        (960, Written::Straight) => "eighths swing",
        (960, Written::Ternary) => "eighths swing, written in threes",
        (720, _) => "sixteenths in threes",
        _ => "eighths in threes",
    };
    format!("{pair}, long {}", swing(feel).replace(" : ", " to short "))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rhythm::Bpm;

    #[track_caller]
    fn check(bpm: f64, unit: i64, felt_ticks: i64, mark: &str, spoken: &str, felt_mark: Option<&str>) {
        let written = Tempo::new(Bpm::new(bpm).unwrap(), Tick(unit), Tick(felt_ticks)).unwrap();
        assert_eq!(tempo(written), mark);
        assert_eq!(tempo_spoken(written), spoken);
        assert_eq!(felt(written).as_deref(), felt_mark);
    }

    #[test]
    fn tempo_marks() {
        check(142.0, 960, 1920, "♩ = 142", "142 quarter notes a minute", Some("felt at 71"));
        check(56.0, 1440, 1440, "♩. = 56", "56 dotted quarter notes a minute", None);
        check(92.5, 960, 960, "♩ = 92.5", "92.5 quarter notes a minute", None);
        check(200.0, 480, 960, "♪ = 200", "200 eighth notes a minute", Some("felt at 100"));
        check(71.0, 1920, 1920, "half note = 71", "71 half notes a minute", None);
        check(30.0, 3360, 3360, "7 eighths = 30", "30 times 7 eighths a minute", None);
        check(87.0, 960, 1440, "♩ = 87", "87 quarter notes a minute", Some("felt at 58"));
    }

    #[test]
    fn metres() {
        for (signature, want) in [
            ("4/4", "4/4"),
            ("6/8", "6/8"),
            ("7/8", "7/8, grouped 2 + 2 + 3"),
            ("3+2+2/8", "3+2+2/8"),
            ("5/8", "5/8, grouped 2 + 3"),
        ] {
            assert_eq!(metre(&Metre::parse(signature).unwrap()), want);
        }
        assert_eq!(bars(&Metre::four_four(), 1), "4/4, 1 bar");
        assert_eq!(bars(&Metre::parse("7/8").unwrap(), 2), "7/8, grouped 2 + 2 + 3, 2 bars");
    }

    #[track_caller]
    fn check_swing(pair: i64, written: Written, percent: f64, mark: &str, spoken: &str) {
        let feel = Feel::new(Tick(pair), written, Swing::from_percent(percent).unwrap(), Vec::new()).unwrap();
        assert_eq!(swing(&feel), mark);
        assert_eq!(swing_spoken(&feel), spoken);
    }

    #[test]
    fn swing_marks() {
        check_swing(480, Written::Straight, 50.0, "straight", "straight");
        check_swing(480, Written::Straight, 59.0, "59 : 41", "sixteenths swing, long 59 to short 41");
        check_swing(960, Written::Straight, 62.5, "62.5 : 37.5", "eighths swing, long 62.5 to short 37.5");
        check_swing(1440, Written::Ternary, 66.7, "66.7 : 33.3", "eighths in threes, long 66.7 to short 33.3");
    }
}
