//! A plain band-wise onset detector, which is told nothing of the groove, hears every style through its whole mix and tone.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test may stop at the first surprise")]

#[path = "styles/mod.rs"]
mod styles;

use stickleback::audio::plan;
use stickleback::role::Role;
use stickleback::schedule::Start;
use stickleback::synth::filter::{Biquad, FLAT_DB};

const RATE: u32 = 24_000;
/// Frames the detector moves on by: 1 ms.
const HOP: usize = 24;
/// How near a stroke its onset must be found, ms.
const NEAR: usize = 5;

/// A band the detector listens in: its edges in Hz, and how long it compares before and after, in ms. Low sounds need
/// longer, for their power swells and sinks with every half-wave.
struct Band {
    low: f64,
    high: f64,
    window: usize,
}

const BANDS: [Band; 4] = [
    Band { low: 40.0, high: 140.0, window: 20 },
    Band { low: 150.0, high: 500.0, window: 14 },
    Band { low: 1500.0, high: 5000.0, window: 8 },
    Band { low: 6500.0, high: 11_000.0, window: 8 },
];

/// In which bands strokes of a role are looked for.
fn bands(role: Role) -> &'static [usize] {
    match role {
        Role::Kick => &[0, 2],
        Role::Snare | Role::Clap | Role::Rim => &[1, 2],
        Role::HatClosed | Role::HatOpen | Role::HatPedal => &[3],
        _ => &[],
    }
}

/// The milliseconds at which `samples` rise in `band`: peaks of the ratio of power after to power before, at least 3 dB, each the
/// highest within its window.
fn onsets(samples: &[f32], band: &Band) -> Vec<usize> {
    let rate = f64::from(RATE);
    let mut banded: Vec<f64> = samples.iter().map(|&x| f64::from(x)).collect();
    for _ in 0..2 {
        Biquad::high_pass(band.low, FLAT_DB, rate).run_all(&mut banded);
        Biquad::low_pass(band.high, FLAT_DB, rate).run_all(&mut banded);
    }
    let power: Vec<f64> = banded.chunks(HOP).map(|chunk| chunk.iter().map(|x| x * x).sum()).collect();
    let floor = 1e-4 * power.iter().copied().fold(0.0, f64::max) * band.window as f64;
    let sum = |from: usize, to: usize| power[from..to].iter().sum::<f64>() + floor;
    let rise: Vec<f64> = (0..power.len())
        .map(|at| sum(at, (at + band.window).min(power.len())) / sum(at.saturating_sub(band.window), at))
        .collect();
    let reach = band.window;
    let is_peak = |at: &usize| {
        let around = &rise[at.saturating_sub(reach)..(at + reach + 1).min(rise.len())];
        rise[*at] > 2.0 && around.iter().all(|other| *other <= rise[*at])
    };
    (0..rise.len()).filter(is_peak).collect()
}

#[test]
fn a_detector_that_knows_nothing_finds_the_strokes() {
    let (mut found_all, mut all_all, mut by_chance) = (0, 0, 0.0);
    let mut poor = Vec::new();
    for (name, groove, kit) in styles::styles() {
        let plan = plan(&groove, &kit, 2, Start::default(), RATE);
        let [left, _] = plan.render(&kit, &kit.tone, 0.2);
        let heard: Vec<Vec<usize>> = BANDS.iter().map(|band| onsets(&left, band)).collect();
        let mut told = Vec::new();
        for lane in groove.pattern.lanes() {
            let bands = bands(lane.head.role);
            let own = plan.events.iter().filter(|planned| {
                planned.event.key.lane() == Some(lane.id) && planned.event.loudness >= groove.dynamics.plain
            });
            let own: Vec<usize> = own.map(|planned| planned.event.frame.0 as usize / HOP).collect();
            if bands.is_empty() || own.is_empty() {
                continue;
            }
            let hit = |at: usize| {
                bands.iter().any(|&band| {
                    let next = heard[band].partition_point(|&onset| onset + NEAR < at);
                    heard[band].get(next).is_some_and(|&onset| onset <= at + NEAR)
                })
            };
            // A detector that fires all the time would find everything: at how many places would it find a stroke?
            let all_ms = left.len() / HOP;
            let chance = (0..all_ms).filter(|&at| hit(at)).count() as f64 / all_ms as f64;
            by_chance += chance * own.len() as f64;
            let found = own.iter().filter(|&&at| hit(at)).count();
            told.push(format!("{} {found}/{} (by chance {:.0} %)", lane.head.role, own.len(), 100.0 * chance));
            found_all += found;
            all_all += own.len();
            if 2 * found < own.len() {
                poor.push(format!("{name} {}: {found} of {}", lane.head.role, own.len()));
            }
        }
        println!("{name:28} {}", told.join(", "));
    }
    let share = |found: f64| 100.0 * found / all_all as f64;
    let (found, by_chance) = (share(found_all as f64), share(by_chance));
    println!("{found_all} of {all_all} strokes within 5 ms: {found:.1} %; by chance it would be {by_chance:.1} %");
    assert!(poor.is_empty(), "{poor:#?}");
    assert!(found >= 95.0 && by_chance < 40.0, "{found} {by_chance}");
    assert!(all_all > 1000, "{all_all}");
}
