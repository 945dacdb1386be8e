//! The checks of the facts as conditions: pulses counted from zero become counted places.

use super::facts::{Grid, open};
use super::groove::{read_metre, read_swing};
use super::lane::read_role;
use super::reader::{Node, Object};
use crate::rhythm::{Bpm, Lean, Metre, Strength, Swing, Tick};
use crate::role::Role;
use crate::style::{Condition, Per, Places, SoundMeasure, Spot, Touch};

/// Makes a check of a style with this grid a condition.
pub fn convert(node: &Node, grid: &Grid) -> Option<Condition> {
    let check = open(node)?;
    let kind = check.field("kind")?.string()?;
    let touch = |usual: Touch| read_touch(&check, usual);
    let at_least = |key: &str| check.field(key)?.integer(1..=64).map(|n| n as u8);
    let number = |key: &str| check.optionally(key, |n| n.number(-1e6..=1e6));
    let whole = |key: &str| check.optionally(key, |n| n.integer(0..=8192).map(|n| n as u16));
    let pulses = |key: &str| Some(grid.pulse.times(check.field(key)?.integer(1..=64)?));
    let per = || match check.optional("per") {
        None => Some(Per::Bar),
        Some(n) => n.choice(&[("bar", Per::Bar), ("loop", Per::Loop)]),
    };
    let voices = || voices(&check);
    let places = || places(&check, grid);
    Some(match kind {
        "tempo" => {
            let bpm = |key: &str| Bpm::new(check.field(key)?.number(20.0..=400.0)?);
            Condition::Tempo { min: bpm("min")?, max: bpm("max")?, unit: grid.unit }
        }
        "metre" => Condition::Metre { any_of: check.field("value")?.each(8, read_metre)? },
        "grid" => Condition::BeatDivision { parts: check.field("beat_division")?.integer(2..=8)? as u8 },
        "swing" => {
            let swing = |key: &str| read_swing(&check.field(key)?);
            let dotted = grid.metre.beats().all(|beat| beat.0 == 1440);
            let eighths = if dotted { Tick(1440) } else { Tick(960) };
            let pair = check.field("level")?.choice(&[("eighth", eighths), ("sixteenth", Tick(480))])?;
            Condition::Swings { pair, min: swing("min")?, max: swing("max")? }
        }
        "straight" => Condition::Straight { max: Swing::from_percent(check.field("max")?.number(50.0..=80.0)?)? },
        "hits" => Condition::Strikes { voices: voices()?, places: places()?, touch: touch(Touch::Any)? },
        "exactly" | "exactly_bars" => {
            Condition::OnlyOn { voices: voices()?, places: places()?, touch: touch(Touch::Sounded)? }
        }
        "accents_exactly" => Condition::OnlyOn { voices: voices()?, places: places()?, touch: Touch::Accent },
        "accent_at" => Condition::Strikes { voices: voices()?, places: places()?, touch: Touch::Accent },
        "ghosts_at" => Condition::Strikes { voices: voices()?, places: places()?, touch: Touch::Ghost },
        "none" => Condition::KeptEmpty { voices: voices()?, places: places()?, touch: touch(Touch::Sounded)? },
        "any" => Condition::SomeOf {
            voices: voices()?,
            places: places()?,
            touch: Touch::Sounded,
            at_least: at_least("min")?,
            per: per()?,
        },
        "count" => {
            let (touch, per) = (touch(Touch::Sounded)?, per()?);
            let (min, max) = (whole("min")?.unwrap_or(0), whole("max")?);
            let all = (grid.metre.bar().0 / grid.pulse.0) as u16;
            if per == Per::Bar && min == all && max == Some(all) {
                Condition::Every { voices: voices()?, pulse: grid.pulse, touch }
            } else {
                Condition::Count { voices: voices()?, touch, per, min, max }
            }
        }
        "present" => count(voices()?, Touch::Any, 1, None),
        "absent" => count(voices()?, Touch::Any, 0, Some(0)),
        "no_accents" => count(voices()?, Touch::Accent, 0, Some(0)),
        "ghosts" => count(voices()?, Touch::Ghost, whole("min")?.unwrap_or(0), whole("max")?),
        "ghosts_per_bar" => {
            let min = whole("min")?.unwrap_or(0);
            Condition::Count { voices: voices()?, touch: Touch::Ghost, per: Per::Bar, min, max: None }
        }
        "displaced" => Condition::Displaced {
            voices: voices()?,
            places: places()?,
            within: pulses("within")?,
            at_least: at_least("min")?,
        },
        "chain" => Condition::Chain { voices: voices()?, gaps: vec![pulses("gap")?], at_least: at_least("min")? },
        "rolls" => {
            let (min, max) = (whole("min")?.unwrap_or(0), whole("max")?);
            Condition::Rolls { voices: voices()?, per: per()?, min, max }
        }
        "tuplet" => Condition::Tuplets { voices: voices()?, at_least: at_least("min")? },
        "slide" => Condition::Slides { voices: voices()?, at_least: at_least("min")? },
        "octaves" => Condition::OctaveLeaps { voices: voices()?, at_least: at_least("min")? },
        "sustain" => Condition::Sustains { voices: voices()?, at_least: pulses("min_pulses")? },
        "offbeat_share" => {
            let share = check.field("min")?.number(0.01..=1.0)?;
            Condition::OffTheBeat { voices: voices()?, percent: (share * 100.0).round() as u8 }
        }
        "late" => {
            let lean = |key: &str| Lean::from_ms(check.field(key)?.number(-60.0..=60.0)?);
            let voices = vec![read_role(&check.field("role")?)?];
            Condition::Leans { voices, min: lean("min")?, max: lean("max")? }
        }
        "position_early" => {
            let at = check.field("positions")?.each(16, |n| Some(grid.pulse.times(n.integer(0..=15)?)))?;
            Condition::PositionsEarly { at }
        }
        "sound" => {
            let (min, max) = (number("min")?, number("max")?);
            let (voice, measure) = sound(&check.field("path")?)?;
            Condition::Sounds { voice, measure, min, max }
        }
        _ => return check.field("kind")?.refuse("a kind of check"),
    })
}

fn count(voices: Vec<Role>, touch: Touch, min: u16, max: Option<u16>) -> Condition {
    Condition::Count { voices, touch, per: Per::Loop, min, max }
}

fn voices(check: &Object) -> Option<Vec<Role>> {
    check.field("roles")?.each(8, read_role)
}

fn read_touch(check: &Object, usual: Touch) -> Option<Touch> {
    let words = [("ghost", Strength::Ghost), ("normal", Strength::Plain), ("accent", Strength::Accent)];
    Some(match check.optionally("min_strength", |n| n.choice(&words))? {
        None => usual,
        Some(Strength::Ghost) => Touch::Any,
        Some(Strength::Plain) => Touch::Sounded,
        Some(Strength::Accent) => Touch::Accent,
    })
}

/// Pulses of a bar as spots.
fn spots(node: &Node, metre: &Metre, pulse: Tick) -> Option<Vec<Spot>> {
    node.each(64, |n| Some(Spot::of(pulse.times(n.integer(0..=63)?), metre)))
}

/// `pulses` in every bar, `pulses` in the `bars` listed, or pulses for each of `bars`.
fn places(check: &Object, grid: &Grid) -> Option<Places> {
    let spots = |n: &Node| spots(n, &grid.metre, grid.pulse);
    let bars = usize::from(grid.bars);
    let numbered = |key: &str| key.parse::<usize>().ok().filter(|bar| (1..=bars).contains(bar)).map(|bar| bar - 1);
    let Some(named) = check.optional("bars") else {
        return Some(Places::every_bar(spots(&check.field("pulses")?)?));
    };
    let mut phrase = vec![None; bars];
    if named.value().is_object() {
        for (key, node) in named.entries()? {
            *phrase.get_mut(numbered(key)?)? = Some(spots(&node)?);
        }
    } else {
        let every = spots(&check.field("pulses")?)?;
        for bar in named.each(8, |n| n.integer(1..=i64::from(grid.bars)))? {
            *phrase.get_mut(bar as usize - 1)? = Some(every.clone());
        }
    }
    Some(Places(phrase))
}

/// The setting at a path of the facts as the property that is measured.
fn sound(node: &Node) -> Option<(Option<Role>, SoundMeasure)> {
    let path = node.each(2, |n| n.string())?;
    let measure = match path.as_slice() {
        ["mix", "lowpass_hz"] => return Some((None, SoundMeasure::Bandwidth)),
        ["mix", "surface_noise_db"] => return Some((None, SoundMeasure::NoiseFloor)),
        [_, "gate_ms"] => SoundMeasure::Gate,
        [_, "drive"] => SoundMeasure::Grit,
        [_, "decay_ms"] => SoundMeasure::Decay,
        [_, "wobble_per_beat"] => SoundMeasure::Wobble,
        _ => return node.refuse("a setting that is measured"),
    };
    Some((Some(path.first()?.parse().ok()?), measure))
}
