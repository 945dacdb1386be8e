//! Practising: slower than written, the click in either count, and passes left to the learner.

use crate::grooves::{any_groove, change, change_head, edited, groove, seeded};
use crate::player::Player;
use proptest::prelude::*;
use stickleback::rhythm::*;
use stickleback::schedule::{Cause, ClickPulse, Echo, EchoPhase, Event, Line, Pace, Start};

/// Starts of the lane at `lane` from the top, in ms from the anchor.
fn starts(player: &Player, lane: usize, anchor: Frames) -> Vec<f64> {
    let ms = |event: &&Event| (event.frame - anchor).to_seconds(player.transport.rate()).ms();
    player.lane(lane).iter().map(ms).collect()
}

#[track_caller]
fn check(found: &[f64], want: &[f64]) {
    assert!(found.len() >= want.len(), "{found:?}");
    for (found_ms, want) in found.iter().zip(want) {
        assert!((found_ms - want).abs() < 0.02, "{found:?}");
    }
}

fn at_pace(percent: u8) -> Start {
    Start { pace: Pace::clamped(percent), ..Start::default() }
}

#[test]
fn slower_takes_longer_and_leans_keep_their_milliseconds() {
    let base = groove(120.0, "4/4", 1, &[("kick", 960, "x..."), ("snare", 960, ".x.f")]);
    let base = change_head(&base, 1, |head| head.lean = Lean::from_ms(14.0).unwrap());
    for (percent, beat) in [(100, 500.0), (70, 60_000.0 / 84.0), (50, 1000.0)] {
        let mut player = Player::start(&base, 48_000.0, at_pace(percent));
        player.run(9000.0);
        let anchor = player.anchor();
        check(&starts(&player, 0, anchor), &[0.0, 4.0 * beat]);
        let gap = f64::from(base.pattern.lanes()[1].strokes()[1].flam.unwrap().gap_ms);
        check(&starts(&player, 1, anchor), &[beat + 14.0, 3.0 * beat + 14.0 - gap, 3.0 * beat + 14.0]);
    }
}

#[test]
fn leans_that_would_let_strokes_change_order_grow_with_the_beat() {
    // At 120 BPM the thirty-second lasts 62.5 ms: the kick, 40 ms late, and the hat, 40 ms early, have passed each other.
    let base = groove(120.0, "4/4", 1, &[("hat-closed", 120, &format!(".x{}", ".".repeat(30))), ("kick", 960, "x...")]);
    let base = change_head(&base, 0, |head| head.lean = Lean::from_ms(-40.0).unwrap());
    let base = change_head(&base, 1, |head| head.lean = Lean::from_ms(40.0).unwrap());
    let mut player = Player::start(&base, 48_000.0, at_pace(50));
    player.run(3000.0);
    let anchor = player.anchor();
    check(&starts(&player, 0, anchor), &[125.0 - 80.0]);
    check(&starts(&player, 1, anchor), &[80.0]);
}

#[test]
fn a_change_of_pace_keeps_the_position_and_can_be_taken_back() {
    let base = groove(120.0, "4/4", 1, &[("rim", 960, "xxxx")]);
    let mut player = Player::start(&base, 48_000.0, Start::default());
    let anchor = player.anchor();
    player.run(1060.0 + 60.0);
    let change = player.now + player.ms(60.0);
    player.transport.set_pace(Pace::SLOWEST, player.now);
    player.pump();
    player.run(3000.0);
    let beat = |n: f64| {
        let change = (change - anchor).to_seconds(48_000.0).ms();
        change + (n * 500.0 - change) * 2.0
    };
    check(&starts(&player, 0, anchor), &[0.0, 500.0, 1000.0, beat(3.0), beat(4.0), beat(5.0)]);
    // An edit keeps the pace; its own tempo is what is written.
    let faster = edited(&base, Edit::SetTempo(Tempo::quarters(Bpm::new(150.0).unwrap())));
    player.edit(&faster);
    assert_eq!(player.transport.groove().tempo, faster.tempo);
    assert!((player.transport.segments().last().unwrap().groove.tempo.bpm.get() - 75.0).abs() < 1e-9);
    player.transport.set_pace(Pace::FULL, player.now);
    assert_eq!(*player.transport.segments().last().unwrap().groove, faster);
}

#[test]
fn the_click_changes_its_count_without_a_restart() {
    let trap = groove(140.0, "4/4", 1, &[("kick", 240, "X...............")]);
    let felt = Tempo::new(trap.tempo.bpm, Tick(960), Tick(1920)).unwrap();
    let trap = edited(&trap, Edit::SetTempo(felt));
    let beat = 60_000.0 / 140.0;
    let clicks = |player: &Player| {
        let ms = |event: &&Event| (event.frame - player.anchor()).to_seconds(48_000.0).ms() / beat;
        player.line(Line::Click).iter().map(ms).map(|beats| (beats * 100.0).round() / 100.0).collect::<Vec<_>>()
    };
    let mut player = Player::start(&trap, 48_000.0, Start { click: true, ..Start::default() });
    player.run(60.0 + 4.0 * beat - 200.0);
    player.transport.set_click_pulse(ClickPulse::Written);
    player.pump();
    player.run(4.0 * beat);
    player.transport.set_click_pulse(ClickPulse::Felt);
    player.pump();
    player.run(4.0 * beat);
    let found = clicks(&player);
    let want = [0.0, 2.0, 4.0, 5.0, 6.0, 7.0, 8.0, 10.0];
    assert_eq!(found[..want.len()], want, "{found:?}");
    assert_eq!(player.transport.segments().len(), 1, "the groove goes on as it was");
}

#[test]
fn the_learners_passes_have_no_strokes_but_their_click() {
    let base = groove(240.0, "4/4", 2, &[("kick", 960, "x...|x..."), ("snare", 960, ".x.x|.x.x")]);
    let (echo, span) = Echo::over(&base.pattern, 1, 2);
    let how = Start { click: true, echo: Some(echo), span, ..Start::default() };
    let mut player = Player::start(&base, 48_000.0, how);
    player.run(7000.0);
    let anchor = player.anchor();
    check(&starts(&player, 0, anchor), &[0.0, 3000.0, 6000.0]);
    check(&starts(&player, 1, anchor), &[250.0, 750.0, 3250.0, 3750.0]);
    let clicks = player.line(Line::Click);
    assert!(clicks.iter().zip(clicks.iter().skip(1)).all(|(a, b)| (b.frame - a.frame).0 == 12_000));
    assert!(clicks.len() >= 27);
}

#[test]
fn what_is_held_ends_where_the_learner_begins() {
    let base = groove(120.0, "4/4", 1, &[("bass", 960, "x..x")]);
    let base = change(&base, 0, 2880, |stroke| stroke.length = Some(Tick(3000)));
    let (echo, span) = Echo::over(&base.pattern, 1, 1);
    let mut player = Player::start(&base, 48_000.0, Start { echo: Some(echo), span, ..Start::default() });
    player.run(5000.0);
    let last = player.lane(0)[1];
    let end = last.end.unwrap();
    assert_eq!(((end.frame - player.anchor()).0, end.cause), (96_000, Cause::Length));
}

proptest! {
    #![proptest_config(seeded(60))]

    #[test]
    fn strokes_follow_each_other_as_at_full_tempo(groove in any_groove(), percent in 50_u8..=99) {
        let order = |percent| {
            let mut player = Player::start(&groove, 48_000.0, at_pace(percent));
            player.run(4000.0 * 100.0 / f64::from(percent));
            let mut events: Vec<Event> = player.events.into_values().collect();
            events.sort_by_key(|event| (event.frame, event.key));
            events.into_iter().map(|event| (event.key, event.frame)).collect::<Vec<_>>()
        };
        let (full, slow) = (order(100), order(percent));
        let place = |key| slow.iter().position(|(slow, _)| *slow == key).map(|at| slow[at].1);
        let times: Vec<Frames> = full.iter().filter_map(|(key, _)| place(*key)).collect();
        prop_assert!(times.len() + 40 >= full.len());
        // What falls together at full tempo may part by a rounding.
        prop_assert!(times.is_sorted_by(|a, b| a.0 <= b.0 + 1), "{full:?} {slow:?}");
    }

    #[test]
    fn an_echo_is_the_groove_with_passes_left_out(groove in any_groove(), heard in 1_u8..4, silent in 1_u8..4) {
        let (echo, span) = Echo::over(&groove.pattern, heard, silent);
        let play = |echo| {
            let mut player = Player::start(&groove, 48_000.0, Start { span, echo, ..Start::default() });
            player.run(6000.0);
            let anchor = player.anchor();
            player.sounded().into_iter().map(|(key, frame)| (key, frame - anchor)).collect::<Vec<_>>()
        };
        let until = Seconds(5.0).to_frames(48_000.0);
        let kept = |list: Vec<_>| list.into_iter().filter(|(_, frame)| *frame < until).collect::<Vec<_>>();
        let mut want = kept(play(None));
        want.retain(|(key, _)| echo.phase(key.pass) == EchoPhase::Listen);
        prop_assert_eq!(kept(play(Some(echo))), want);
    }
}
