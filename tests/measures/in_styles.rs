//! The measures over every style of the program: what a drummer would say of a style, they say.

use crate::styles::styles;
use std::collections::BTreeMap;
use std::sync::Arc;
use stickleback::measure::*;
use stickleback::rhythm::Groove;
use stickleback::role::Role;

const BACKBEAT: [Role; 4] = [Role::Snare, Role::Clap, Role::Rim, Role::Snap];

fn grooves() -> BTreeMap<String, Arc<Groove>> {
    styles().into_iter().map(|(name, groove, _)| (name, groove)).collect()
}

#[test]
fn the_kick_on_every_beat_does_not_syncopate_and_the_broken_one_does() {
    let grooves = grooves();
    let check = |name: &str, syncopates: bool| {
        let kick = Cycle::of_roles(&grooves[name].pattern, &[Role::Kick], &|_| true).unwrap();
        assert_eq!(longuet_higgins_lee::total(&kick) > 0, syncopates, "{name}");
    };
    for name in ["house", "techno", "disco-pop", "hardstyle"] {
        check(name, false);
    }
    for name in ["boom-bap", "funk", "afrobeat", "trap"] {
        check(name, true);
    }
}

#[test]
fn the_backbeat_is_where_it_is_felt() {
    let grooves = grooves();
    let check = |name: &str, heavy: bool| {
        let groove = &grooves[name];
        let strength = backbeat::backbeat(&groove.pattern, &BACKBEAT, groove.tempo.felt()).unwrap().strength();
        assert_eq!(strength > 0.6, heavy, "{name}: {strength}");
    };
    for name in ["boom-bap", "classic-rock", "funk", "house", "half-time-shuffle", "trap"] {
        check(name, true);
    }
    for name in ["samba-batucada", "amapiano", "country-train-beat", "techno"] {
        check(name, false);
    }
    let waltz = &grooves["jazz-waltz"];
    assert_eq!(backbeat::backbeat(&waltz.pattern, &BACKBEAT, waltz.tempo.felt()), None);
}

#[test]
fn styles_written_in_triplets_swing_two_to_one() {
    let grooves = grooves();
    let check = |name: &str, ratio: f64| {
        let groove = &grooves[name];
        let all = groove.pattern.lanes().iter().flat_map(|lane| beat_upbeat_ratio::of_lane(groove, lane));
        let found = beat_upbeat_ratio::median(&all.collect::<Vec<_>>()).unwrap();
        assert!((found - ratio).abs() < 0.05, "{name}: {found}");
    };
    check("swing-jazz-ride", 2.0);
    check("jazz-waltz", 2.0);
    check("half-time-shuffle", 2.0);
    check("techno", 1.0);
    check("disco-pop", 1.0);
}

#[test]
fn kin_lie_near_among_all_styles() {
    let grooves = grooves();
    let weight = polyphonic_distance::role_weight;
    let check = |name: &str, kin: &[&str]| {
        let own = &grooves[name];
        let share = |other: &Groove| polyphonic_distance::unlikeness(&own.pattern, &other.pattern, &weight);
        assert!(share(own) == 0.0, "{name} is itself");
        let mut others: Vec<(f64, &str)> = grooves
            .iter()
            .filter(|(other, _)| *other != name)
            .map(|(other, groove)| (share(groove), other.as_str()))
            .collect();
        others.sort_by(|a, b| a.0.total_cmp(&b.0));
        for kin in kin {
            assert!(others.iter().take(3).any(|(_, other)| other == kin), "{name} and {kin}: {:.2?}", &others[..6]);
        }
    };
    check("boom-bap", &["lo-fi-hip-hop", "funk"]);
    check("trap", &["ternary-trap", "trap-soul", "uk-drill"]);
    check("house", &["hardstyle", "amapiano", "disco-pop"]);
    check("swing-jazz-ride", &["jazz-waltz", "twelve-eight-blues-shuffle"]);
    check("amapiano", &["afrobeats", "house"]);
    check("uk-garage-2-step", &["drum-and-bass"]);
}
