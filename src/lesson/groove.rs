//! A groove in a file: in style files, drafts and exports.
//!
//! ```json
//! {
//!   "stickleback": 1,
//!   "kind": "groove",
//!   "metre": "4/4", "bars": 2, "pulse": "1/16",
//!   "tempo": {"bpm": 142, "unit": "1/4", "felt": "1/2"},
//!   "feel": {"pair": "1/8", "written": "straight", "swing": 50},
//!   "dynamics": {"accent": 120, "plain": 94, "ghost": 42},
//!   "tonic": 29,
//!   "sound": {"kit": "trap"},
//!   "lanes": [
//!     {"role": "kick", "row": "X.....x...x.....|X..x......x...x."}
//!   ]
//! }
//! ```
//! `pulse` is the pulse of every lane that states none. `written` is `straight` or `ternary`; `swing` the long note's share
//! in percent. `shifts` of a feel move places inside every beat: `{"at": "and", "percent": -2}`, in percent of the beat.
//! `tone` is the kit's own unless named, `speed` the tape's (1), `voices` are one's own ([`super::made`]). See
//! [`super::lane`] for lanes.

use super::reader::{Fault, FaultKind, Node, Object};
use super::{lane, layout, made, note_value, repeats};
use crate::rhythm::boxes::Ruling;
use crate::rhythm::{
    Bpm, Dynamics, Feel, Groove, Id, Lane, Loudness, Metre, Pattern, PositionShift, Sound, Swing, TapeSpeed, Tempo,
    Tick, Tonic, Written,
};
use crate::style::Spot;
use serde_json::{Map, Value, json};

/// The format version of every file.
pub const FORMAT: i64 = 1;
/// The longest file, in bytes.
pub const MOST_BYTES: usize = 1_000_000;
/// The longest text in a file, in characters.
pub const LONGEST_TEXT: usize = 2_000;

/// Parses the text of any file of ours: bounded, and without keys written twice.
///
/// # Errors
/// The text is too long or no JSON; or all keys written twice and texts too long.
pub fn parse(text: &str) -> Result<Value, Vec<Fault>> {
    let value = super::reader::parse(text, MOST_BYTES).map_err(|fault| vec![fault])?;
    let faults = repeats::faults(text, LONGEST_TEXT);
    if faults.is_empty() { Ok(value) } else { Err(faults) }
}

/// Reads the format version (`stickleback`) and the `kind` of a file.
pub fn read_header(file: &Object, kind: &str) -> Option<()> {
    let format = file.field("stickleback").and_then(|n| {
        let known = n.value().as_i64() == Some(FORMAT);
        if known { Some(()) } else { n.refuse(format!("{FORMAT}, the only format there is")) }
    });
    let kind = file.field("kind").and_then(|n| n.parsed(&format!("\"{kind}\""), |text| (text == kind).then_some(())));
    format.and(kind)
}

/// Reads a groove file.
///
/// # Errors
/// Every fault, each with its place.
pub fn read(text: &str) -> Result<Groove, Vec<Fault>> {
    super::reader::read(&parse(text)?, |root| {
        let keys: Vec<&str> = ["stickleback", "kind"].into_iter().chain(KEYS).collect();
        let file = root.object(&keys)?;
        let header = read_header(&file, "groove");
        let groove = read_object(&file);
        header.and(groove)
    })
}

/// Writes a groove file; [`read`] gives the groove back, and reading a written file and writing it gives the same bytes.
pub fn write(groove: &Groove) -> String {
    let mut map = Map::new();
    map.insert("stickleback".to_owned(), json!(FORMAT));
    map.insert("kind".to_owned(), json!("groove"));
    map.extend(write_object(groove));
    layout::write(&Value::Object(map))
}

/// The keys of a groove.
const KEYS: [&str; 9] = ["metre", "bars", "pulse", "tempo", "feel", "dynamics", "tonic", "sound", "lanes"];

/// Reads a groove inside another file.
pub fn read_node(node: &Node) -> Option<Groove> {
    read_object(&node.object(&KEYS)?)
}

fn read_object(object: &Object) -> Option<Groove> {
    let metre = object.field("metre").and_then(|n| read_metre(&n));
    let bars = object.field("bars").and_then(|n| n.integer(1..=8)).map(|bars| bars as u8);
    let pulse = object.field("pulse").and_then(|n| note_value::read(&n, Tick(40), Tick(3840)));
    let tempo = object.field("tempo").and_then(|n| read_tempo(&n));
    let feel = object.optionally("feel", |n| read_feel(n, metre.as_ref()));
    let dynamics = object.optionally("dynamics", read_dynamics);
    let tonic = object.optionally("tonic", |n| Tonic::new(n.integer(0..=96)? as u8));
    let sound = object.field("sound").and_then(|n| read_sound(&n));
    let lanes = object.field("lanes");
    let (metre, bars, dynamics) = (metre?, bars?, dynamics?.unwrap_or(Dynamics::DEFAULT));
    let pulse = pulse?;
    if metre.bar().times(i64::from(bars)).0 % pulse.0 != 0 {
        return object.field("pulse")?.refuse("a note value that divides the pattern");
    }
    let ruling = Ruling { metre: &metre, bars, pulse, dynamics };
    let lanes = lanes.and_then(|n| read_lanes(&n, &ruling))?;
    match Pattern::new(metre, bars, lanes) {
        Ok(pattern) => Some(Groove {
            pattern,
            tempo: tempo?,
            feel: feel?.unwrap_or_else(Feel::straight),
            dynamics,
            tonic: tonic?.unwrap_or(Tonic::DEFAULT),
            sound: sound?,
        }),
        Err(error) => object.node().refuse(format!("a pattern ({error})")),
    }
}

/// Writes a groove inside another file.
pub fn write_object(groove: &Groove) -> Map<String, Value> {
    let mut map = Map::new();
    let pattern = &groove.pattern;
    let pulse = usual_pulse(groove);
    map.insert("metre".to_owned(), write_metre(pattern.metre()));
    map.insert("bars".to_owned(), json!(pattern.bars()));
    map.insert("pulse".to_owned(), json!(note_value::text(pulse)));
    map.insert("tempo".to_owned(), write_tempo(&groove.tempo));
    if groove.feel != Feel::straight() {
        map.insert("feel".to_owned(), write_feel(&groove.feel, pattern.metre()));
    }
    if groove.dynamics != Dynamics::DEFAULT {
        map.insert("dynamics".to_owned(), write_dynamics(&groove.dynamics));
    }
    if groove.tonic != Tonic::DEFAULT {
        map.insert("tonic".to_owned(), json!(groove.tonic.note()));
    }
    map.insert("sound".to_owned(), write_sound(&groove.sound));
    let ruling = Ruling { metre: pattern.metre(), bars: pattern.bars(), pulse, dynamics: groove.dynamics };
    map.insert("lanes".to_owned(), write_lanes(pattern.lanes(), &ruling));
    map
}

/// The pulse most lanes share, or a sixteenth (an eighth of the bar's length where that does not divide it).
pub fn usual_pulse(groove: &Groove) -> Tick {
    let lanes = groove.pattern.lanes();
    let shared = |pulse: Tick| lanes.iter().filter(|lane| lane.head.pulse == pulse).count();
    // Of equally frequent ones the first lane's stays.
    let mut usual = None;
    for lane in lanes {
        if usual.is_none_or(|usual| shared(lane.head.pulse) > shared(usual)) {
            usual = Some(lane.head.pulse);
        }
    }
    let bar = groove.pattern.metre().bar();
    usual.unwrap_or(if bar.0 % 240 == 0 { Tick::SIXTEENTH } else { Tick(120) })
}

/// Reads the lanes of a groove or of a variation.
pub fn read_lanes(node: &Node, ruling: &Ruling) -> Option<Vec<Lane>> {
    node.each(crate::rhythm::pattern::MAX_LANES, |n| lane::read(n, ruling))
}

/// Writes lanes.
pub fn write_lanes(lanes: &[Lane], ruling: &Ruling) -> Value {
    Value::Array(lanes.iter().map(|lane| lane::write(lane, ruling)).collect())
}

/// Reads `"4/4"`, or the beat lengths in ticks.
pub fn read_metre(node: &Node) -> Option<Metre> {
    const EXPECTED: &str = "a metre such as 4/4, 6/8 or 2+2+3/8";
    if let Value::Array(_) = node.value() {
        let beats = node.each(16, |n| n.integer(120..=3840).map(Tick))?;
        return Metre::new(&beats).ok().or_else(|| node.refuse("1 to 16 beats of 120 to 3840 ticks, in whole 120s"));
    }
    node.parsed(EXPECTED, |text| Metre::parse(text).ok())
}

/// Writes a metre as its signature where that reads back, else as beat lengths.
pub fn write_metre(metre: &Metre) -> Value {
    let signature = metre.to_string();
    if Metre::parse(&signature).as_ref() == Ok(metre) {
        return json!(signature);
    }
    Value::Array(metre.beats().map(|beat| json!(beat.0)).collect())
}

/// Reads a number of beats a minute.
pub fn read_bpm(node: &Node) -> Option<Bpm> {
    Bpm::new(node.number(20.0..=400.0)?)
}

/// Writes a number of beats a minute.
pub fn write_bpm(bpm: Bpm) -> Value {
    layout::number(bpm.get())
}

/// Reads a tempo: `bpm`, the count `unit` (a quarter unless given) and the `felt` pulse (the unit unless given).
pub fn read_tempo(node: &Node) -> Option<Tempo> {
    let object = node.object(&["bpm", "unit", "felt"])?;
    let bpm = object.field("bpm").and_then(|n| read_bpm(&n));
    let count = |n: &Node| match note_value::read(n, Tick(120), Tick(7680))? {
        ticks if ticks.0 % 120 == 0 => Some(ticks),
        _ => n.refuse("a whole number of thirty-seconds"),
    };
    let unit = object.optionally("unit", count);
    let felt = object.optionally("felt", count);
    let unit = unit?.unwrap_or(Tick::QUARTER);
    Tempo::new(bpm?, unit, felt?.unwrap_or(unit)).ok()
}

/// Writes a tempo.
pub fn write_tempo(tempo: &Tempo) -> Value {
    let mut map = Map::new();
    map.insert("bpm".to_owned(), write_bpm(tempo.bpm));
    map.insert("unit".to_owned(), json!(note_value::text(tempo.unit())));
    if tempo.felt() != tempo.unit() {
        map.insert("felt".to_owned(), json!(note_value::text(tempo.felt())));
    }
    Value::Object(map)
}

/// Reads a share of the long note in percent.
pub fn read_swing(node: &Node) -> Option<Swing> {
    Swing::from_percent(node.number(50.0..=80.0)?)
}

/// Reads the length of a swung pair.
pub fn read_pair(node: &Node) -> Option<Tick> {
    match node.value().as_str().and_then(note_value::parse) {
        Some(pair @ Tick(480 | 720 | 960 | 1440)) => Some(pair),
        _ => node.refuse("1/8 (two sixteenths), 3/16, 1/4 (two eighths) or 3/8"),
    }
}

/// The words for how a pair is written.
const WRITTEN: [(&str, Written); 2] = [("straight", Written::Straight), ("ternary", Written::Ternary)];

/// Reads a feel; a syllable among its shifts stands in the first beat of `metre`.
pub fn read_feel(node: &Node, metre: Option<&Metre>) -> Option<Feel> {
    let object = node.object(&["pair", "written", "swing", "shifts"])?;
    let pair = object.field("pair").and_then(|n| read_pair(&n));
    let written = object.optionally("written", |n| n.choice(&WRITTEN));
    let swing = object.field("swing").and_then(|n| read_swing(&n));
    let four = Metre::four_four();
    let metre = metre.unwrap_or(&four);
    let shifts = object.optionally("shifts", |n| n.each(16, |n| read_shift(n, metre)));
    let (written, shifts) = (written?.unwrap_or(Written::Straight), shifts?.unwrap_or_default());
    Feel::new(pair?, written, swing?, shifts).map_err(|error| node.refuse::<()>(error.to_string())).ok()
}

fn read_shift(node: &Node, metre: &Metre) -> Option<PositionShift> {
    let object = node.object(&["at", "percent"])?;
    let at = object.field("at").and_then(|n| read_inside(&n, metre));
    let tenths = object.field("percent").and_then(|n| n.number(-10.0..=10.0)).map(|p| (p * 10.0).round() as i16);
    Some(PositionShift { at: at?, tenths: tenths? })
}

/// Reads a place inside a beat: a syllable (`beat` for the beat itself), or ticks after the beat.
pub fn read_inside(node: &Node, metre: &Metre) -> Option<Tick> {
    let Some(text) = node.value().as_str() else { return node.integer(0..=3839).map(Tick) };
    let spot = if text == "beat" { "1".to_owned() } else { format!("{text} of 1") };
    let tick = Spot::parse(&spot).and_then(|spot| spot.tick(metre));
    tick.ok().or_else(|| node.refuse("a syllable of the beat (beat, e, and, a, trip, let), or ticks after it"))
}

/// Writes a place inside a beat.
pub fn write_inside(at: Tick, metre: &Metre) -> Value {
    let spot = Spot::of(at, metre);
    let plain = if spot.syllable().is_empty() { "1".to_owned() } else { format!("{} of 1", spot.syllable()) };
    let in_first_beat = metre.beats().next().is_some_and(|beat| at < beat);
    match (at, in_first_beat && spot.to_string() == plain) {
        (Tick::ZERO, _) => json!("beat"),
        (_, true) => json!(spot.syllable()),
        _ => json!(at.0),
    }
}

/// Writes a feel.
pub fn write_feel(feel: &Feel, metre: &Metre) -> Value {
    let mut map = Map::new();
    map.insert("pair".to_owned(), json!(note_value::text(feel.pair())));
    if feel.written() == Written::Ternary {
        map.insert("written".to_owned(), json!("ternary"));
    }
    map.insert("swing".to_owned(), layout::number(feel.swing().percent()));
    let shift = |s: &PositionShift| json!({"at": write_inside(s.at, metre), "percent": layout::number(f64::from(s.tenths) / 10.0)});
    if !feel.shifts().is_empty() {
        map.insert("shifts".to_owned(), Value::Array(feel.shifts().iter().map(shift).collect()));
    }
    Value::Object(map)
}

/// Reads three loudnesses.
pub fn read_dynamics(node: &Node) -> Option<Dynamics> {
    let object = node.object(&["accent", "plain", "ghost"])?;
    let loudness = |key| {
        let value = object.field(key).and_then(|n| n.integer(1..=127));
        value.map(|value| Loudness::clamped(value as i32))
    };
    let (accent, plain, ghost) = (loudness("accent"), loudness("plain"), loudness("ghost"));
    Dynamics::new(accent?, plain?, ghost?).or_else(|| node.refuse("loudnesses with ghost under plain under accent"))
}

/// Writes three loudnesses.
pub fn write_dynamics(dynamics: &Dynamics) -> Value {
    json!({"accent": dynamics.accent.get(), "plain": dynamics.plain.get(), "ghost": dynamics.ghost.get()})
}

/// Reads an identifier.
pub fn read_id(node: &Node) -> Option<Id> {
    node.parsed("an identifier (1 to 40 lower-case letters, digits and single hyphens between them)", |text| {
        text.parse().ok()
    })
}

/// Reads kit, tone (the kit's own unless named), tape speed and own voices.
pub fn read_sound(node: &Node) -> Option<Sound> {
    let object = node.object(&["kit", "tone", "speed", "voices"])?;
    let kit = object.field("kit").and_then(|n| read_id(&n));
    let tone = object.optionally("tone", read_id);
    let speed =
        object.optionally("speed", |n| TapeSpeed::from_thousandths((n.number(0.25..=4.0)? * 1000.0).round() as u32));
    let voices = object.optionally("voices", made::read_voices);
    let own = Sound::of(kit?);
    let tone = tone?.unwrap_or_else(|| own.tone.clone());
    Some(Sound { tone, speed: speed?.unwrap_or(own.speed), voices: voices?.unwrap_or_default(), ..own })
}

/// Writes kit, tone, tape speed and own voices, as far as they are not the usual ones.
pub fn write_sound(sound: &Sound) -> Value {
    let mut map = Map::new();
    map.insert("kit".to_owned(), json!(sound.kit.as_str()));
    if sound.tone != sound.kit {
        map.insert("tone".to_owned(), json!(sound.tone.as_str()));
    }
    if sound.speed != TapeSpeed::NEUTRAL {
        map.insert("speed".to_owned(), layout::number(sound.speed.ratio()));
    }
    if !sound.voices.is_empty() {
        map.insert("voices".to_owned(), made::write_voices(&sound.voices));
    }
    Value::Object(map)
}

/// Notes that `node` should have been something else, naming what was found.
pub fn refuse<T>(node: &Node, expected: &str, found: &str) -> Option<T> {
    node.note(FaultKind::Unexpected { expected: expected.to_owned(), found: found.to_owned() });
    None
}
