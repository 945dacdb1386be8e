//! The reference groove of every style with its kit: one loudness, no peaks, every voice of the style heard.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test may stop at the first surprise")]

#[path = "styles/mod.rs"]
mod styles;

use stickleback::audio::levels::{
    self, CLEAR_DB, LOUDNESS, MOST_PEAK_DB, OPTIONAL_CLEAR_DB, TOLERANCE, measure, window,
};
use stickleback::lesson::kit_facts::kit_from_facts;

#[test]
fn every_style_is_equally_loud_and_every_voice_of_it_heard() {
    let mut astray = Vec::new();
    for (name, groove, kit) in styles::styles() {
        let report = measure(&groove, &kit);
        println!("{name:28} {:6.1} LUFS  {:5.1} dBTP", report.loudness, report.peak_db);
        if (report.loudness - LOUDNESS).abs() > TOLERANCE {
            astray.push(format!("{name}: {:.2} LUFS", report.loudness));
        }
        if report.peak_db >= MOST_PEAK_DB {
            astray.push(format!("{name}: peaks at {:.2} dB", report.peak_db));
        }
        for lane in report.lanes {
            println!(
                "    {:14} {:6.1} LU  clear {:5.1} dB at {:5.0} Hz {}",
                lane.role.id(),
                lane.level,
                lane.clear,
                lane.best_hz,
                if lane.optional { "(optional)" } else { "" }
            );
            let (least, greatest) = window(lane.role);
            if !lane.optional && !(least..=greatest).contains(&lane.level) {
                astray.push(format!("{name} {}: {:.1} LU, not {least} to {greatest}", lane.role, lane.level));
            }
            if lane.clear < if lane.optional { OPTIONAL_CLEAR_DB } else { CLEAR_DB } {
                astray.push(format!("{name} {}: clear by {:.1} dB", lane.role, lane.clear));
            }
        }
    }
    assert!(astray.is_empty(), "{astray:#?}");
}

#[test]
fn the_kits_are_what_the_tool_makes() {
    let facts: serde_json::Value = serde_json::from_str(include_str!("data/sounds.json")).unwrap();
    for (number, (name, groove, kit)) in styles::styles().into_iter().enumerate() {
        let mut made =
            kit_from_facts(&name, &facts[&name]["sound"]).unwrap_or_else(|faults| panic!("{name}: {faults:?}"));
        // Every sound is the same; setting the levels takes long, so every seventh shows that it leads to the same.
        for (role, voice) in &kit.voices {
            assert_eq!(made.voices[role].patch, voice.patch, "{name} {role}");
        }
        assert_eq!(made.voices.len(), kit.voices.len(), "{name}");
        if number % 7 == 0 {
            levels::set(&groove, &mut made);
            // A tenth may round the other way on another machine.
            let near = |made: f64, own: f64| (made - own).abs() < 0.15;
            assert!(near(made.tone.figures.level_db, kit.tone.figures.level_db), "{name}");
            for (role, voice) in &kit.voices {
                assert!(near(made.voices[role].place.level_db, voice.place.level_db), "{name} {role}");
            }
        }
    }
}
