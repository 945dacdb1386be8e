//! Conditions as JSON: the way back, key for key what [`read`](super::read) takes.

use super::super::groove::{write_bpm, write_inside, write_metre};
use super::super::{layout, note_value, word};
use super::{PERS, TOUCHES};
use crate::rhythm::{Metre, Tick};
use crate::role::Role;
use crate::style::{Condition, Per, Places, Spot, Touch};
use serde_json::{Map, Value, json};

/// Writes a condition.
pub fn write(condition: &Condition) -> Value {
    let mut out = Map::new();
    let mut set = |key: &str, value: Value| {
        out.insert(key.to_owned(), value);
    };
    match condition {
        Condition::Strikes { voices, places, touch } => {
            place(&mut set, "strikes", voices, places, *touch);
        }
        Condition::OnlyOn { voices, places, touch } => place(&mut set, "only-on", voices, places, *touch),
        Condition::KeptEmpty { voices, places, touch } => place(&mut set, "kept-empty", voices, places, *touch),
        Condition::SomeOf { voices, places, touch, at_least, per } => {
            place(&mut set, "some-of", voices, places, *touch);
            set("at_least", json!(at_least));
            set("per", word(&PERS, per));
        }
        Condition::Every { voices, pulse, touch } => {
            line(&mut set, "every", voices);
            set("pulse", json!(note_value::text(*pulse)));
            write_touch(&mut set, *touch);
        }
        Condition::OffTheBeat { voices, percent } => {
            line(&mut set, "off-the-beat", voices);
            set("percent", json!(percent));
        }
        Condition::FollowsCell { voices, cell, pulse, touch, only } => {
            line(&mut set, "follows-cell", voices);
            set("cell", json!(cell));
            set("pulse", json!(note_value::text(*pulse)));
            write_touch(&mut set, *touch);
            if *only {
                set("only", json!(true));
            }
        }
        Condition::Count { voices, touch, per, min, max } => {
            line(&mut set, "count", voices);
            write_touch(&mut set, *touch);
            write_range(&mut set, per, *min, *max);
        }
        Condition::Displaced { voices, places, within, at_least } => {
            place(&mut set, "displaced", voices, places, Touch::Sounded);
            set("within", json!(note_value::text(*within)));
            set("at_least", json!(at_least));
        }
        Condition::Chain { voices, gaps, at_least } => {
            line(&mut set, "chain", voices);
            set("gaps", Value::Array(gaps.iter().map(|gap| json!(note_value::text(*gap))).collect()));
            set("at_least", json!(at_least));
        }
        Condition::Rolls { voices, per, min, max } => {
            line(&mut set, "rolls", voices);
            write_range(&mut set, per, *min, *max);
        }
        Condition::Tuplets { voices, at_least } => some(&mut set, "tuplets", voices, *at_least),
        Condition::Slides { voices, at_least } => some(&mut set, "slides", voices, *at_least),
        Condition::OctaveLeaps { voices, at_least } => some(&mut set, "octave-leaps", voices, *at_least),
        Condition::Sustains { voices, at_least } => {
            line(&mut set, "sustains", voices);
            set("at_least", json!(note_value::text(*at_least)));
        }
        Condition::Tempo { min, max, unit } => {
            set("kind", json!("tempo"));
            set("min", write_bpm(*min));
            set("max", write_bpm(*max));
            if *unit != Tick::QUARTER {
                set("unit", json!(note_value::text(*unit)));
            }
        }
        Condition::Metre { any_of } => {
            set("kind", json!("metre"));
            set("any_of", Value::Array(any_of.iter().map(write_metre).collect()));
        }
        Condition::BeatDivision { parts } => {
            set("kind", json!("beat-division"));
            set("parts", json!(parts));
        }
        Condition::Swings { pair, min, max } => {
            set("kind", json!("swings"));
            set("pair", json!(note_value::text(*pair)));
            set("min", layout::number(min.percent()));
            set("max", layout::number(max.percent()));
        }
        Condition::Straight { max } => {
            set("kind", json!("straight"));
            set("max", layout::number(max.percent()));
        }
        Condition::Leans { voices, min, max } => {
            line(&mut set, "leans", voices);
            set("min_ms", layout::number(min.ms()));
            set("max_ms", layout::number(max.ms()));
        }
        Condition::PositionsEarly { at } => {
            set("kind", json!("positions-early"));
            let four = Metre::four_four();
            set("at", Value::Array(at.iter().map(|at| write_inside(*at, &four)).collect()));
        }
        Condition::Sounds { voice, measure, min, max } => {
            set("kind", json!("sounds"));
            if let Some(voice) = voice {
                set("voice", json!(voice.id()));
            }
            set("measure", json!(measure.id()));
            for (key, end) in [("min", min), ("max", max)] {
                if let Some(end) = end {
                    set(key, layout::number(*end));
                }
            }
        }
        Condition::All(parts) => {
            set("kind", json!("all"));
            set("of", Value::Array(parts.iter().map(write).collect()));
        }
        Condition::OneOf(parts) => {
            set("kind", json!("one-of"));
            set("of", Value::Array(parts.iter().map(write).collect()));
        }
    }
    Value::Object(out)
}

type Set<'a> = dyn FnMut(&str, Value) + 'a;

fn line(set: &mut Set, kind: &str, voices: &[Role]) {
    set("kind", json!(kind));
    set("voices", Value::Array(voices.iter().map(|role| json!(role.id())).collect()));
}

fn some(set: &mut Set, kind: &str, voices: &[Role], at_least: u8) {
    line(set, kind, voices);
    set("at_least", json!(at_least));
}

fn place(set: &mut Set, kind: &str, voices: &[Role], places: &Places, touch: Touch) {
    line(set, kind, voices);
    write_places(set, places);
    write_touch(set, touch);
}

/// Writes places under the key they are read from.
pub fn write_places(set: &mut dyn FnMut(&str, Value), places: &Places) {
    let spots = |spots: &Vec<Spot>| Value::Array(spots.iter().map(|spot| json!(spot.to_string())).collect());
    match places.0.as_slice() {
        [Some(every)] => set("places", spots(every)),
        bars => {
            let bars = bars.iter().map(|bar| bar.as_ref().map_or(Value::Null, spots));
            set("phrase", Value::Array(bars.collect()));
        }
    }
}

fn write_touch(set: &mut Set, touch: Touch) {
    if touch != Touch::default() {
        set("touch", word(&TOUCHES, &touch));
    }
}

fn write_range(set: &mut Set, per: &Per, min: u16, max: Option<u16>) {
    set("per", word(&PERS, per));
    set("min", json!(min));
    if let Some(max) = max {
        set("max", json!(max));
    }
}
