//! The measures of rhythm against outside numbers, slow references, their own claims, and every style of the program.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test says by panicking that it fails")]

#[path = "../grooves/mod.rs"]
mod grooves;
#[path = "../styles/mod.rs"]
mod styles;

mod outside_numbers;
mod claims;
mod in_styles;

use stickleback::measure::Cycle;
use stickleback::rhythm::{Metre, Tick};

/// One bar of so many pulses: twelve in threes, all others in twos and fours, sixteenths.
fn bar(pulses: usize, onsets: &[usize]) -> Cycle {
    let (metre, pulse) = match pulses {
        12 => ("12/8", 480),
        16 => ("4/4", 240),
        14 => ("7/8", 240),
        8 => ("2/4", 240),
        other => panic!("no metre of {other} pulses"),
    };
    of(metre, pulse, onsets)
}

fn of(metre: &str, pulse: i64, onsets: &[usize]) -> Cycle {
    let onsets = onsets.iter().map(|&at| Tick(pulse * at as i64));
    Cycle::new(&Metre::parse(metre).unwrap(), 1, Tick(pulse), onsets).unwrap()
}

fn truth(truth: bool) -> Vec<f64> {
    vec![f64::from(u8::from(truth))]
}

fn count(count: usize) -> Vec<f64> {
    vec![count as f64]
}
