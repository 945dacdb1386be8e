//! Every sheet reads from high to low: grooves, variants, and what a variation adds.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test may stop at the first surprise")]

use std::fs;
use std::path::Path;
use stickleback::lesson::style_file;
use stickleback::rhythm::{Lane, LaneHead, Tick};
use stickleback::role::Role;
use stickleback::style::Variation;

fn in_order(lanes: &[Lane]) -> bool {
    lanes.is_sorted_by_key(|lane| lane.head.role.score_rank())
}

#[test]
fn lanes_stand_in_score_order() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("lessons/styles");
    let mut count = 0;
    for entry in fs::read_dir(folder).unwrap() {
        let style = style_file::read(&fs::read_to_string(entry.unwrap().path()).unwrap()).unwrap();
        assert!(in_order(style.groove.pattern.lanes()), "{}", style.id);
        for variant in &style.variants {
            let varied = variant.change.over(&style.groove).unwrap();
            assert!(in_order(varied.pattern.lanes()), "{} {}", style.id, variant.id);
        }
        let added = [Role::SubBass, Role::Crash, Role::TomHigh, Role::Clap].into_iter();
        let added = added.map(|role| Lane::new(LaneHead::new(role, Tick::SIXTEENTH)));
        let more = Variation { lanes: added.collect(), ..Variation::default() };
        assert!(in_order(more.over(&style.groove).unwrap().pattern.lanes()), "{}", style.id);
        count += 1;
    }
    assert!(count >= 43);
}
