//! Every style of the program, planned and rendered: each stroke on its frame, each onset where the plan says.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test may stop at the first surprise")]

use std::fs;
use std::path::PathBuf;
use std::sync::Arc;
use stickleback::audio::plan;
use stickleback::lesson::{kit::read_kit, style_file};
use stickleback::rhythm::{Groove, Pattern};
use stickleback::schedule::Start;
use stickleback::schedule::ideal::ideal;
use stickleback::synth::{Kit, Tone};

const RATE: u32 = 44_100;

fn file(folder: &str, name: &str) -> String {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("lessons").join(folder).join(format!("{name}.json"));
    fs::read_to_string(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()))
}

/// Every style's name, groove and kit.
fn styles() -> Vec<(String, Arc<Groove>, Kit)> {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("lessons/styles");
    let mut names: Vec<String> = fs::read_dir(folder)
        .unwrap()
        .filter_map(|entry| Some(entry.unwrap().file_name().to_str()?.strip_suffix(".json")?.to_owned()))
        .collect();
    names.sort();
    assert!(names.len() >= 43, "{}", names.len());
    let style = |name: String| {
        let groove =
            style_file::read(&file("styles", &name)).unwrap_or_else(|faults| panic!("{name}: {faults:?}")).groove;
        let kit = file("kits", groove.sound.kit.as_str());
        let kit = read_kit(&kit).unwrap_or_else(|faults| panic!("{name}: {faults:?}"));
        (name, Arc::new(groove), kit)
    };
    names.into_iter().map(style).collect()
}

#[test]
fn every_stroke_of_every_style_is_on_its_frame_and_has_a_voice() {
    for (name, groove, kit) in styles() {
        let plan = plan(&groove, &kit, 3, Start::default(), RATE);
        let mut found: Vec<_> = plan.events.iter().map(|p| (p.event.key, p.event.frame)).collect();
        found.sort();
        let mut want = ideal(&groove, f64::from(RATE), plan.origin, 3);
        want.sort();
        assert!(found == want, "{name}: {} events of {}", found.len(), want.len());
        assert!(
            plan.events
                .iter()
                .all(|p| p.voiced.gain > 0.0 && p.voiced.fade.is_none_or(|(at, ms)| at >= 0.0 && ms >= 5.0))
        );
    }
}

#[test]
fn every_style_has_its_onsets_where_the_plan_says_and_stays_bounded() {
    for (name, groove, kit) in styles() {
        let whole = plan(&groove, &kit, 1, Start::default(), RATE);
        let mix = whole.render(&kit, &kit.tone, 0.1);
        let peak = mix.iter().flatten().fold(0.0_f32, |peak, x| peak.max(x.abs()));
        assert!((0.05..=0.981).contains(&peak), "{name}: peak {peak}");
        // A lane alone, so that what rises at a stroke is that stroke.
        let lane = groove.pattern.lanes().iter().find(|lane| !lane.strokes().is_empty()).unwrap().clone();
        let pattern = Pattern::new(groove.pattern.metre().clone(), groove.pattern.bars(), vec![lane]).unwrap();
        let alone = Arc::new(Groove { pattern, ..Groove::clone(&groove) });
        let plan = plan(&alone, &kit, 1, Start::default(), RATE);
        let [left, _] = plan.render(&kit, &Tone::NEUTRAL, 0.1);
        let loudest = |from: i64, to: i64| {
            let span = left.get(from.max(0) as usize..(to.max(0) as usize).min(left.len())).unwrap_or(&[]);
            span.iter().fold(0.0_f32, |peak, x| peak.max(x.abs()))
        };
        let ms = |ms: f64| (ms * f64::from(RATE) / 1000.0) as i64;
        let mut found = 0;
        for planned in &plan.events {
            let at = planned.event.frame.0;
            let (before, after) = (loudest(at - ms(12.0), at - 1), loudest(at, at + ms(40.0)));
            // What still rings hides the onset; such strokes are left to the frames above.
            if before > 0.1 * after {
                continue;
            }
            let threshold = 1.5 * before + 0.08 * after;
            let onset = left[at as usize..].iter().position(|x| x.abs() > threshold).unwrap() as i64;
            assert!(onset <= ms(12.0), "{name}: {onset} frames after {at}");
            found += 1;
        }
        assert!(found > 0, "{name}: no stroke of the lane stands free");
    }
}
