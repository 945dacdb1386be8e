//! Lengths in files: note values as fractions of a whole note (`"1/8"`, `"1/12"` for a triplet eighth), or, in a lane, a
//! number of its pulses.

use super::reader::Node;
use crate::rhythm::Tick;
use serde_json::Value;

/// Ticks of a whole note.
const WHOLE: i64 = 3840;

/// `ticks` as a note value in lowest terms: `1/8` for 480.
pub fn text(ticks: Tick) -> String {
    let divisor = gcd(ticks.0.abs(), WHOLE).max(1);
    format!("{}/{}", ticks.0 / divisor, WHOLE / divisor)
}

/// Reads `1/8`; `None` if the text is no note value of a whole number of ticks.
pub fn parse(text: &str) -> Option<Tick> {
    let (top, bottom) = text.split_once('/')?;
    let top: i64 = top.parse().ok().filter(|n| (1..=100_000).contains(n))?;
    let bottom: i64 = bottom.parse().ok().filter(|n| (1..=WHOLE).contains(n))?;
    (top * WHOLE % bottom == 0).then(|| Tick(top * WHOLE / bottom))
}

fn gcd(a: i64, b: i64) -> i64 {
    if b == 0 { a } else { gcd(b, a % b) }
}

/// Reads a note value of `least` to `most` ticks.
pub fn read(node: &Node, least: Tick, most: Tick) -> Option<Tick> {
    let found = node.value().as_str().and_then(parse).filter(|ticks| (least..=most).contains(ticks));
    found.or_else(|| node.refuse(format!("a note value from {} to {}", text(least), text(most))))
}

/// Reads a note value or a whole number of `pulse`s, of `least` to `most` ticks in all.
pub fn read_in_pulses(node: &Node, pulse: Tick, least: Tick, most: Tick) -> Option<Tick> {
    let pulses = |n: i64| (1..=10_000).contains(&n).then(|| pulse.times(n));
    let found = node.value().as_str().and_then(parse).or_else(|| node.value().as_i64().and_then(pulses));
    found
        .filter(|ticks| (least..=most).contains(ticks))
        .or_else(|| node.refuse(format!("a number of pulses, or a note value, from {} to {}", text(least), text(most))))
}

/// Writes `ticks` as a number of `pulse`s where it is one, else as a note value.
pub fn write_in_pulses(ticks: Tick, pulse: Tick) -> Value {
    if pulse.0 > 0 && ticks.0 % pulse.0 == 0 { Value::from(ticks.0 / pulse.0) } else { Value::from(text(ticks)) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_length_reads_back() {
        for (ticks, want) in [(960, "1/4"), (480, "1/8"), (320, "1/12"), (1440, "3/8"), (3840, "1/1"), (7, "7/3840")] {
            assert_eq!(text(Tick(ticks)), want);
        }
        for ticks in 1..8000 {
            assert_eq!(parse(&text(Tick(ticks))), Some(Tick(ticks)));
        }
        for bad in ["", "1", "1/0", "0/4", "1/7", "-1/4", "x/4"] {
            assert_eq!(parse(bad), None, "{bad:?}");
        }
    }
}
