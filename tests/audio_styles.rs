//! Every style of the program, planned and rendered: each stroke on its frame, each onset where the plan says.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test may stop at the first surprise")]

#[path = "styles/mod.rs"]
mod styles;

use stickleback::audio::{Plan, Planned, plan};
use stickleback::role::Role;
use stickleback::schedule::Start;
use stickleback::schedule::ideal::ideal;
use stickleback::synth::Kit;
use stickleback::synth::filter::{Biquad, FLAT_DB};

const RATE: u32 = 24_000;

#[test]
fn every_stroke_of_every_style_is_on_its_frame_and_has_a_voice() {
    for (name, groove, kit) in styles::styles() {
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

/// The patch's own rise before a stroke of a lane counts as begun, ms: nothing for struck voices.
fn attack_ms(kit: &Kit, role: Role) -> f64 {
    let Some((voice, _)) = kit.voice_for(role) else { return 0.0 };
    let model = &voice.patch.model;
    let attacks = model.fields().iter().zip(model.values()).filter(|(field, _)| field.name == "attack_ms");
    attacks.map(|(_, value)| value).next().unwrap_or(0.0)
}

/// The plan's events in groups that do not overlap, so that every stroke rises out of (near) silence.
fn apart(events: &[Planned], kit: &Kit) -> Vec<Vec<Planned>> {
    let mut groups: Vec<(i64, Vec<Planned>)> = Vec::new();
    for planned in events {
        let seconds = planned.voiced.key.render(kit, RATE).map_or(0.0, |buffer| buffer.len() as f64 / f64::from(RATE));
        let end = planned.event.frame.0 + ((planned.voiced.lasts(seconds) + 0.4) * f64::from(RATE)) as i64;
        match groups.iter_mut().find(|(free, _)| *free <= planned.event.frame.0) {
            Some((free, group)) => {
                *free = end;
                group.push(planned.clone());
            }
            None => groups.push((end, vec![planned.clone()])),
        }
    }
    groups.into_iter().map(|(_, group)| group).collect()
}

#[test]
fn every_stroke_of_every_lane_sounds_where_the_schedule_says() {
    let (mut checked, mut astray) = (0, Vec::new());
    for (name, groove, kit) in styles::styles() {
        let plan = plan(&groove, &kit, 1, Start::default(), RATE);
        let mut tone = kit.tone;
        tone.figures.surface_noise_db = -120.0;
        let mut latest = 0.0_f64;
        for lane in groove.pattern.lanes() {
            let own = plan.events.iter().filter(|planned| planned.event.key.lane() == Some(lane.id));
            let attack = attack_ms(&kit, lane.head.role);
            for group in apart(&own.cloned().collect::<Vec<_>>(), &kit) {
                let [left, _] = Plan { events: group.clone(), ..plan.clone() }.render(&kit, &tone, 0.2);
                for planned in group {
                    let at = planned.event.frame.0;
                    // A deep note is not heard as one before a third of its first cycle has passed.
                    let note = planned.voiced.key.notes.first().map_or(69.0, |&note| f64::from(note));
                    let third = 350.0 / (440.0 * ((note - 69.0) / 12.0).exp2());
                    let allowed = attack + third.max(5.0);
                    let ms = |ms: f64| (at + (ms * f64::from(RATE) / 1000.0) as i64).max(0) as usize;
                    let peak = |from: usize, to: usize| {
                        let span = left.get(from.min(left.len())..to.min(left.len())).unwrap_or(&[]);
                        span.iter().fold(0.0_f32, |peak, x| peak.max(x.abs()))
                    };
                    // Begun is a tenth of the stroke's height, over what the room still has of the one before.
                    let height = peak(ms(0.0), ms(allowed + 40.0));
                    let begun = (0.1 * height).max(1.5 * peak(ms(-15.0), ms(-1.0)));
                    let onset = (ms(-10.0)..left.len()).find(|&i| left[i].abs() > begun);
                    let late = onset.map_or(f64::INFINITY, |i| (i as f64 - at as f64) * 1000.0 / f64::from(RATE));
                    latest = latest.max(late - allowed + 5.0);
                    checked += 1;
                    if !(-0.1..=allowed).contains(&late) {
                        astray.push(format!("{name} {} at {at}: {late:.1} ms, allowed {allowed:.1}", lane.head.role));
                    }
                }
            }
        }
        println!("{name:28} latest {latest:4.1} ms beyond its attack");
    }
    println!("{checked} strokes");
    assert!(astray.is_empty(), "{} of {checked}: {astray:#?}", astray.len());
    assert!(checked > 2000, "{checked}");
}

/// The band in which a role is looked for in the whole mix, Hz.
fn band(role: Role) -> Option<(f64, f64)> {
    match role {
        Role::Kick => Some((40.0, 130.0)),
        Role::Snare | Role::Clap => Some((1500.0, 6000.0)),
        Role::HatClosed | Role::HatOpen => Some((7000.0, 10_500.0)),
        _ => None,
    }
}

#[test]
fn kick_snare_and_hats_rise_in_their_bands_of_the_whole_mix() {
    let mut astray = Vec::new();
    for (name, groove, kit) in styles::styles() {
        let plan = plan(&groove, &kit, 2, Start::default(), RATE);
        let mut tone = kit.tone;
        tone.figures.surface_noise_db = -120.0;
        let [left, _] = plan.render(&kit, &tone, 0.2);
        for lane in groove.pattern.lanes().iter().filter(|lane| !lane.head.optional) {
            let Some((low, high)) = band(lane.head.role) else { continue };
            if kit.tone.figures.low_pass_hz < low {
                continue;
            }
            let mut banded: Vec<f64> = left.iter().map(|&x| f64::from(x)).collect();
            let rate = f64::from(RATE);
            for _ in 0..2 {
                Biquad::high_pass(low, FLAT_DB, rate).run_all(&mut banded);
                Biquad::low_pass(high, FLAT_DB, rate).run_all(&mut banded);
            }
            let power = |from: i64, to: i64| -> f64 {
                let span = &banded[(from.max(0) as usize).min(banded.len())..(to.max(0) as usize).min(banded.len())];
                span.iter().map(|x| x * x).sum::<f64>() / span.len().max(1) as f64
            };
            let ms = |ms: f64| (ms * rate / 1000.0) as i64;
            let own: Vec<&Planned> = plan
                .events
                .iter()
                .filter(|planned| planned.event.key.lane() == Some(lane.id) && planned.event.key.pass == 1)
                .filter(|planned| planned.event.loudness >= groove.dynamics.plain)
                .collect();
            let rises = own.iter().filter(|planned| {
                let at = planned.event.frame.0;
                power(at, at + ms(25.0)) > 1.25 * power(at - ms(15.0), at - ms(1.0))
            });
            let (found, all) = (rises.count(), own.len());
            println!("{name:28} {:12} {found:3} of {all:3}", lane.head.role.id());
            if found * 10 < all * 9 {
                astray.push(format!("{name} {}: {found} of {all}", lane.head.role));
            }
        }
    }
    assert!(astray.is_empty(), "{astray:#?}");
}

#[test]
fn a_buffer_lasts_as_long_as_its_stroke_is_heard() {
    let (mut bounded, mut whole) = (0, 0);
    for (name, groove, kit) in styles::styles() {
        let plan = plan(&groove, &kit, 1, Start::default(), RATE);
        for Planned { event, voiced } in &plan.events {
            let key = &voiced.key;
            let Some((after, ms)) = voiced.fade.filter(|_| key.held > 0) else { continue };
            let buffer = key.render(&kit, RATE).unwrap();
            let mut ringing = key.clone();
            ringing.held = 0;
            let full = ringing.render(&kit, RATE).unwrap();
            let fastest = voiced.bend.iter().map(|corner| corner.cents).fold(0.0, f64::max);
            let read = (after + ms / 1000.0) * (fastest / 1200.0).exp2();
            // It is as long as is read of it, or dies away before.
            let lasts = buffer.len() as f64 / f64::from(RATE);
            let ends_itself = buffer.len() == full.len();
            assert!(lasts + 1e-3 >= read || ends_itself || lasts > 5.9, "{name} {}: {lasts} of {read} s", key.role);
            bounded += usize::from(!ends_itself);
            whole += usize::from(ends_itself);
            assert!(event.end.is_some());
        }
    }
    println!("{bounded} strokes end before their voice has died away, {whole} do not");
    assert!(bounded > 100);
}
