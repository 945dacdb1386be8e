//! The words of the cards and panels a groove is changed with: names of numbers, what they stand at, and what was refused.

use super::numbers::{self, format};
use super::{faults, marks, notes};
use crate::rhythm::quantity::{Addition, Quantity, Refusal};
use crate::rhythm::{Groove, RollShape, Tempo, Tick, Written};
use crate::role::Role;

#[allow(missing_docs, reason = "each constant is named after the words it holds")]
mod fixed {
    pub const CARD_LANE: &str = "Lane";
    pub const TO_LANE: &str = "Its lane";
    pub const LESS: &str = "less";
    pub const MORE: &str = "more";
    pub const TIME: &str = "Time";
    pub const KEYS: &str =
        "With the keyboard: Shift and an arrow move the stroke on its line, F2 leads to this card, Escape back.";
    pub const ROLL_AND_FLAM: &str = "Roll and flam";
    pub const PITCH: &str = "Pitch";
    pub const SHAPE: &str = "Its loudness";
    pub const MOVE: &str = "Move the stroke";
    pub const EARLIER: &str = "a pulse earlier";
    pub const LATER: &str = "a pulse later";
    pub const BETWEEN: &str = "Between this place and the next";
    pub const ON_PLACE: &str = "on it";
    pub const THIRD: &str = "a third on";
    pub const HALF: &str = "half way";
    pub const TWO_THIRDS: &str = "two thirds on";
    pub const ADD_NOTE: &str = "Add a note";
    pub const ROLE: &str = "Part";
    pub const PULSE: &str = "A place every";
    pub const SWINGS: &str = "Swings";
    pub const MOVE_UP: &str = "Move up";
    pub const MOVE_DOWN: &str = "Move down";
    pub const SILENCE: &str = "Silence";
    pub const ALONE: &str = "Alone";
    pub const CLEAR_LANE: &str = "Clear the lane";
    pub const REMOVE_LANE: &str = "Remove the lane";
    pub const ADD_LANE: &str = "Add a lane";
    pub const ADD: &str = "Add";
    pub const COUNT: &str = "Counted in";
    pub const FELT: &str = "Felt in";
    pub const PAIR: &str = "What swings";
    pub const WRITTEN: &str = "Written";
    pub const METRE_TYPED: &str = "Or as you write it";
    pub const BARS: &str = "Bars";
    pub const ADD_BAR: &str = "Add a bar";
    pub const REPEAT: &str = "Repeat";
    pub const COPY: &str = "Copy";
    pub const COPY_FROM: &str = "Copy from";
    pub const COPY_TO: &str = "Copy to";
    pub const REMOVE: &str = "Remove";
    pub const REMOVE_BAR: &str = "Which bar to remove";
    pub const SOUND: &str = "Sound";
    pub const COUNT_PANEL: &str = "Count";
    pub const FEEL_PANEL: &str = "Feel";
    pub const METRE_PANEL: &str = "Metre and bars";
    pub const KIT: &str = "Drums";
    pub const TONE: &str = "Tone";
    pub const OWN_TONE: &str = "As the drums bring it";
}
pub use fixed::*;

/// The metres of the list; any other is typed.
pub const METRES: [&str; 10] = ["4/4", "3/4", "2/4", "2/2", "6/8", "12/8", "9/8", "5/8", "7/8", "5/4"];

/// The name of a number, as its control is called.
pub fn name(quantity: Quantity) -> String {
    match quantity {
        Quantity::Loudness => "Loudness",
        Quantity::Nudge => "Nudge",
        Quantity::Place => "Exact place",
        Quantity::RollStrokes => "Strokes",
        Quantity::RollSpan => "Span",
        Quantity::RollBend => "Bend",
        Quantity::FlamGap => "Gap",
        Quantity::Pitch(0) => "Note",
        Quantity::Pitch(index) => return format!("Note {}", index + 1),
        Quantity::Length => "Held for",
        Quantity::GlideTo => "Slides to",
        Quantity::GlideTime => "Slide takes",
        Quantity::Lean => "Lean",
        Quantity::Tonic => "Tonic",
    }
    .to_owned()
}

/// What stands behind the number in its control.
pub const fn unit(quantity: Quantity) -> &'static str {
    match quantity {
        Quantity::Nudge | Quantity::Place | Quantity::RollSpan | Quantity::Length => "ticks",
        Quantity::FlamGap | Quantity::GlideTime | Quantity::Lean => "ms",
        Quantity::RollBend => "semitones",
        _ => "",
    }
}

/// The number as it stands in its control, and as it is typed.
pub fn shown(quantity: Quantity, value: i32, role: Role, groove: &Groove) -> String {
    match quantity {
        Quantity::Pitch(_) | Quantity::GlideTo => notes::note(value + written_zero(role, groove), groove.tonic),
        Quantity::Tonic => notes::note(value, groove.tonic),
        Quantity::Lean => format(f64::from(value) / 10.0, 1),
        _ => value.to_string(),
    }
}

/// The MIDI note a pitch of 0 stands for.
fn written_zero(role: Role, groove: &Groove) -> i32 {
    i32::from(groove.tonic.note()) + i32::from(role.octave_shift())
}

/// What was typed as a number of this kind; `None` if it is none.
pub fn typed(quantity: Quantity, text: &str, role: Role, groove: &Groove) -> Option<i32> {
    match quantity {
        Quantity::Pitch(_) | Quantity::GlideTo => notes::read(text).map(|midi| midi - written_zero(role, groove)),
        Quantity::Tonic => notes::read(text),
        Quantity::Lean => numbers::parse(text).map(|ms| (ms * 10.0).round() as i32),
        _ => numbers::parse(text).map(|number| number.round() as i32),
    }
}

/// The number in words: "a little early 12, 8 ms", "lays back 14 ms", "roll of 3", "E♭2".
pub fn told(quantity: Quantity, value: i32, role: Role, groove: &Groove) -> String {
    let ticks = Tick(value.into());
    match quantity {
        Quantity::Loudness => format!("{value} of 127"),
        Quantity::Nudge => nudge(ticks, groove.tempo),
        Quantity::Place => format!("{} of {} ticks", value, groove.pattern.length().0),
        Quantity::RollStrokes => format!("roll of {value}"),
        Quantity::RollSpan | Quantity::Length => note_value(ticks),
        Quantity::RollBend => match value {
            0 => "keeps its pitch".to_owned(),
            1.. => format!("up {}", numbers::counted(value as usize, "semitone", "semitones")),
            _ => format!("down {}", numbers::counted(value.unsigned_abs() as usize, "semitone", "semitones")),
        },
        Quantity::FlamGap | Quantity::GlideTime => format!("{value} ms"),
        Quantity::Lean => lean(f64::from(value) / 10.0),
        Quantity::Pitch(_) | Quantity::GlideTo | Quantity::Tonic => shown(quantity, value, role, groove),
    }
}

/// A nudge in words: "on its place", "a little early 12, 8 ms".
fn nudge(nudge: Tick, tempo: Tempo) -> String {
    let ms = tempo.seconds(nudge.as_f64().abs()).ms();
    let much = match ms {
        ms if ms < 15.0 => "a little ",
        ms if ms < 40.0 => "",
        _ => "very ",
    };
    match nudge.0 {
        0 => "on its place".to_owned(),
        n => {
            let way = if n < 0 { "early" } else { "late" };
            format!("{much}{way} {}, {} ms", n.abs(), format(ms, 0))
        }
    }
}

/// A lean in words: "in time", "lays back 14 ms", "pushes 5 ms".
fn lean(ms: f64) -> String {
    let size = format(ms.abs(), 1);
    match size.as_str() {
        "0" => "in time".to_owned(),
        _ if ms > 0.0 => format!("lays back {size} ms"),
        _ => format!("pushes {size} ms"),
    }
}

/// A note value, triplets included: "eighth note", "eighth triplet", "250 ticks".
pub fn note_value(ticks: Tick) -> String {
    match ticks.0 {
        80 => "thirty-second triplet".to_owned(),
        160 => "sixteenth triplet".to_owned(),
        320 => "eighth triplet".to_owned(),
        640 => "quarter triplet".to_owned(),
        1280 => "half triplet".to_owned(),
        192 => "fifth of a quarter".to_owned(),
        60 => "sixty-fourth note".to_owned(),
        n if n > 0 && n % 120 == 0 => marks::note_value(ticks),
        n => format!("{n} ticks"),
    }
}

/// The lengths offered by name, short to long.
pub const NOTE_VALUES: [i64; 15] = [60, 80, 120, 160, 240, 320, 360, 480, 640, 720, 960, 1440, 1920, 2880, 3840];

/// The list a length in note values is chosen from.
pub const fn lasting(quantity: Quantity) -> &'static str {
    match quantity {
        Quantity::RollSpan => "It fills",
        _ => "As long as",
    }
}

/// How the loudness of a roll runs, where it is chosen.
pub const fn shape(shape: RollShape) -> &'static str {
    match shape {
        RollShape::Even => "even",
        other => super::strokes::shape(other),
    }
}

/// The name of a part a stroke may have, as its switch is called.
pub const fn addition(addition: Addition) -> &'static str {
    match addition {
        Addition::Roll => "Roll",
        Addition::Flam => "Flam",
        Addition::Length => "Held",
        Addition::Glide => "Slide",
    }
}

/// Why a number was not set.
pub fn refusal(refusal: Refusal) -> String {
    match refusal {
        Refusal::NoStroke => "There is no stroke here yet.".to_owned(),
        Refusal::Occupied => "Another stroke stands there. Move or clear that one first.".to_owned(),
        Refusal::Outside => "That is past the end of the bars.".to_owned(),
        Refusal::Edit(error) => faults::edit(error),
    }
}

/// What was typed is no number of this kind.
pub fn not_read(quantity: Quantity) -> &'static str {
    match quantity {
        Quantity::Pitch(_) | Quantity::GlideTo | Quantity::Tonic => "A note is written like C2, E♭3 or F#2.",
        _ => "That is not a number.",
    }
}

/// Whether the feel moves a lane that has no wish of its own.
pub const fn by_the_feel(moves: bool) -> &'static str {
    if moves { "as the feel says: yes" } else { "as the feel says: no" }
}

/// A lane's own wish.
pub const fn swings(wish: bool) -> &'static str {
    if wish { "yes, always" } else { "no, stays even" }
}

/// How a felt pulse stands to the count: "as it is counted", "half note, half-time".
pub fn felt(felt: Tick, unit: Tick) -> String {
    let value = marks::note_value(felt);
    match (felt.0, unit.0) {
        (felt, unit) if felt == unit => format!("{value}, as it is counted"),
        (felt, unit) if felt == 2 * unit => format!("{value}, half-time"),
        (felt, unit) if 2 * felt == unit => format!("{value}, double-time"),
        _ => value,
    }
}

/// The name of a pair that swings.
pub const fn pair(ticks: Tick) -> &'static str {
    match ticks.0 {
        480 => "pairs of sixteenths",
        720 => "sixteenths in threes",
        960 => "pairs of eighths",
        _ => "eighths in threes",
    }
}

/// How a pair is written.
pub const fn written(written: Written) -> &'static str {
    match written {
        Written::Straight => "in even halves",
        Written::Ternary => "in three thirds",
    }
}

/// "Sound of Boom bap".
pub fn sound_of(style: &str) -> String {
    format!("Sound of {style}")
}

/// "Tone of Boom bap".
pub fn tone_of(style: &str) -> String {
    format!("Tone of {style}")
}

/// "bar 2".
pub fn bar(index: u8) -> String {
    format!("bar {}", u16::from(index) + 1)
}

/// The button that takes one note out of a stroke.
pub fn remove_note(name: &str) -> String {
    format!("Take {name} away")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rhythm::{Bpm, Dynamics, Feel, Metre, Pattern, Sound, Tonic};

    fn groove() -> Groove {
        let kit: crate::rhythm::Id = "plain".parse().unwrap();
        Groove {
            pattern: Pattern::empty(Metre::four_four(), 2).unwrap(),
            tempo: Tempo::quarters(Bpm::new(90.0).unwrap()),
            feel: Feel::straight(),
            dynamics: Dynamics::DEFAULT,
            tonic: Tonic::DEFAULT,
            sound: Sound::of(kit),
        }
    }

    #[track_caller]
    fn check(quantity: Quantity, value: i32, field: &str, words: &str) {
        let (groove, role) = (groove(), Role::Chord);
        assert_eq!(shown(quantity, value, role, &groove), field);
        assert_eq!(told(quantity, value, role, &groove), words);
        assert_eq!(typed(quantity, field, role, &groove), Some(value));
    }

    #[test]
    fn numbers_in_words() {
        check(Quantity::Loudness, 88, "88", "88 of 127");
        check(Quantity::Nudge, 0, "0", "on its place");
        check(Quantity::Nudge, -12, "-12", "a little early 12, 8 ms");
        check(Quantity::Nudge, 40, "40", "late 40, 28 ms");
        check(Quantity::Nudge, 100, "100", "very late 100, 69 ms");
        check(Quantity::Place, 500, "500", "500 of 7680 ticks");
        check(Quantity::RollStrokes, 3, "3", "roll of 3");
        check(Quantity::RollSpan, 320, "320", "eighth triplet");
        check(Quantity::RollBend, -1, "-1", "down 1 semitone");
        check(Quantity::RollBend, 12, "12", "up 12 semitones");
        check(Quantity::FlamGap, 25, "25", "25 ms");
        check(Quantity::Pitch(2), 3, "E♭4", "E♭4");
        check(Quantity::GlideTo, -12, "C3", "C3");
        check(Quantity::Length, 960, "960", "quarter note");
        check(Quantity::Length, 970, "970", "970 ticks");
        check(Quantity::GlideTime, 120, "120", "120 ms");
        check(Quantity::Lean, 140, "14", "lays back 14 ms");
        check(Quantity::Lean, -55, "-5.5", "pushes 5.5 ms");
        check(Quantity::Lean, 0, "0", "in time");
        check(Quantity::Tonic, 40, "E2", "E2");
    }

    #[test]
    fn the_list_of_metres_is_readable() {
        for metre in METRES {
            assert_eq!(Metre::parse(metre).unwrap().to_string(), metre);
        }
    }

    #[test]
    fn felt_against_counted() {
        for (pulse, unit, want) in [
            (960, 960, "quarter note, as it is counted"),
            (1920, 960, "half note, half-time"),
            (480, 960, "eighth note, double-time"),
            (1440, 960, "dotted quarter note"),
        ] {
            assert_eq!(felt(Tick(pulse), Tick(unit)), want);
        }
    }
}
