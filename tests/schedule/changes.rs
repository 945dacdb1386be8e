//! Changes while it plays: what waits, what goes on, what is frozen, and what a stall costs.

use crate::grooves::{change, change_head, edited, groove};
use crate::player::Player;
use std::sync::Arc;
use stickleback::rhythm::*;
use stickleback::schedule::{Action, Caret, Line, Span, Start};

fn quarters(bpm: f64) -> Edit {
    Edit::SetTempo(Tempo::quarters(Bpm::new(bpm).unwrap()))
}

fn click(bpm: f64, metre: &str, bars: u8) -> Groove {
    let metre_beats = Metre::parse(metre).unwrap().bar().0 / 960;
    let row = vec!["x".repeat(metre_beats as usize); usize::from(bars)].join("|");
    groove(bpm, metre, bars, &[("rim", 960, &row)])
}

/// Starts of the lane at the top: frames from the anchor, and the beat of the pattern.
fn beats(player: &Player, anchor: Frames) -> Vec<(i64, i64)> {
    player.lane(0).iter().map(|event| ((event.frame - anchor).0, event.at.0 / 960)).collect()
}

#[test]
fn tempo_goes_on_from_where_it_is() {
    let slow = click(60.0, "4/4", 1);
    let mut player = Player::start(&slow, 48_000.0, Start::default());
    let anchor = player.anchor();
    player.run(1060.0 + 60.0);
    let at = (player.now - anchor).0 + 2880;
    player.edit(&edited(&slow, quarters(120.0)));
    player.run(2000.0);
    // What is left of the second beat takes half as long.
    let second = at + (96_000 - at) / 2;
    let want = [(0, 0), (48_000, 1), (second, 2), (second + 24_000, 3), (second + 48_000, 0), (second + 72_000, 1)];
    assert_eq!(&beats(&player, anchor)[..6], &want);
    assert_eq!(player.lane(0)[4].key.pass, 1);
}

#[test]
fn an_edit_sixty_milliseconds_ahead_is_heard_in_the_same_pass() {
    let base = groove(120.0, "4/4", 1, &[("kick", 240, "x...............")]);
    let id = base.pattern.lanes()[0].id;
    let put = |at: i64| edited(&base, Edit::Put(id, Stroke::new(Tick(at), Loudness::new(88).unwrap())));
    for (early_ms, heard) in [(61.0, true), (200.0, true), (400.0, true), (59.0, false), (5.0, false), (-20.0, false)] {
        let mut player = Player::start(&base, 48_000.0, Start::default());
        player.run(500.0);
        // The stroke stands on the third beat, a second after the anchor.
        player.now = player.anchor() + player.ms(1000.0 - early_ms);
        player.pump();
        player.edit(&put(1920));
        player.run(1000.0);
        let third = player.lane(0).iter().filter(|event| event.key.pass == 0 && event.at == Tick(1920)).count();
        assert_eq!(third == 1, heard, "{early_ms} ms ahead");
        player.run(2000.0);
        let third = player.lane(0).iter().filter(|event| event.key.pass == 1 && event.at == Tick(1920)).count();
        assert_eq!(third, 1, "and in every later pass");
    }
}

#[test]
fn a_stroke_taken_away_falls_silent_unless_it_is_near() {
    let base = groove(120.0, "4/4", 1, &[("kick", 240, "x.......x.......")]);
    let without = edited(&base, Edit::Clear(base.pattern.lanes()[0].id, Tick(1920)));
    for (early_ms, sounds) in [(300.0, false), (61.0, false), (59.0, true)] {
        let mut player = Player::start(&base, 48_000.0, Start::default());
        player.run(500.0);
        player.now = player.anchor() + player.ms(1000.0 - early_ms);
        player.pump();
        player.edit(&without);
        player.run(400.0);
        assert_eq!(player.lane(0).len() == 2, sounds, "{early_ms} ms ahead");
    }
}

#[test]
fn loudness_and_pitch_change_what_is_still_to_come() {
    let base = groove(120.0, "4/4", 1, &[("kick", 240, "x.......x.......")]);
    let mut player = Player::start(&base, 48_000.0, Start::default());
    player.run(100.0);
    player.now = player.anchor() + player.ms(700.0);
    player.pump();
    player.edit(&change(&base, 0, 1920, |stroke| stroke.loudness = Loudness::MAX));
    assert_eq!(player.lane(0).len(), 2, "the same stroke, once");
    assert_eq!(player.lane(0)[1].loudness, Loudness::MAX);
}

#[test]
fn more_and_fewer_bars_wait_for_the_bar_line() {
    let (one, two, four) = (click(120.0, "4/4", 1), click(120.0, "4/4", 2), click(120.0, "4/4", 4));
    let cases: [(&Groove, &Groove, f64, &[i64]); 5] = [
        // In the first bar: the bar after the seam is the first of two.
        (&one, &two, 600.0, &[0, 1, 2, 3, 0, 1, 2, 3, 4, 5]),
        // Bar 2 of four goes on as bar 0 of two.
        (&four, &two, 2600.0, &[0, 1, 2, 3, 4, 5, 6, 7, 0, 1, 2, 3, 4]),
        // Bar 3 of four goes on as bar 1 of two.
        (&four, &two, 4600.0, &[0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 4, 5, 6, 7, 0, 1]),
        // Bar 1 of two goes on as bar 1 of four.
        (&two, &four, 600.0, &[0, 1, 2, 3, 4, 5, 6, 7, 8, 9]),
        // In the last bar the seam comes first.
        (&two, &four, 2600.0, &[0, 1, 2, 3, 4, 5, 6, 7, 0, 1, 2, 3, 4]),
    ];
    for (from, to, at_ms, want) in cases {
        let mut player = Player::start(from, 48_000.0, Start::default());
        player.run(at_ms);
        // Bars are added to and taken from the groove itself, so that its strokes keep their names.
        let bars = edited(from, Edit::SetBars(to.pattern.bars()));
        let lane = bars.pattern.lanes()[0].id;
        let missing = to.pattern.lanes()[0].strokes().iter().filter(|s| s.at >= from.pattern.length());
        let puts = missing.map(|s| Edit::Put(lane, Stroke { id: StrokeId(0), ..s.clone() })).collect();
        player.edit(&edited(&bars, Edit::Several(puts)));
        player.run(500.0 * want.len() as f64);
        let found = beats(&player, player.anchor());
        let places: Vec<i64> = found.iter().map(|(_, beat)| *beat).take(want.len()).collect();
        assert_eq!(places, want, "at {at_ms} ms");
        assert!(found.iter().zip(0..).all(|((frame, _), n)| *frame == n * 24_000), "no beat is lost: {found:?}");
    }
}

#[test]
fn a_metre_waits_for_the_bar_line_and_strokes_late_at_its_end_still_sound() {
    let four =
        groove(120.0, "4/4", 2, &[("rim", 960, "xxxx|xxxx"), ("shaker", 120, &format!("{0}x|{0}x", ".".repeat(31)))]);
    let four = change_head(&four, 1, |head| head.lean = Lean::from_ms(60.0).unwrap());
    let four = change(&four, 1, 3720, |stroke| stroke.nudge = Tick(40));
    let mut player = Player::start(&four, 48_000.0, Start::default());
    player.run(1600.0);
    player.edit(&edited(&four, Edit::SetMetre(Metre::parse("3/4").unwrap())));
    player.run(4000.0);
    let found = beats(&player, player.anchor());
    let places: Vec<i64> = found.iter().map(|(_, beat)| *beat).take(11).collect();
    assert_eq!(places, [0, 1, 2, 3, 3, 4, 5, 0, 1, 2, 3]);
    assert!(found.iter().zip(0..).all(|((frame, _), n)| *frame == n * 24_000), "{found:?}");
    let shaker: Vec<i64> = player.lane(1).iter().map(|event| (event.frame - player.anchor()).0).collect();
    // 3720 + 40 ticks are 94,000 frames, and 60 ms more: after the bar line at 96,000.
    assert_eq!(shaker, [96_880], "the stroke of the old bar, and none in 3/4");
}

#[test]
fn while_bars_wait_the_bar_that_plays_can_be_edited() {
    let four = click(120.0, "4/4", 4);
    let mut player = Player::start(&four, 48_000.0, Start::default());
    player.run(60.0 + 4100.0);
    let two = edited(&four, Edit::SetBars(2));
    player.edit(&two);
    player.run(200.0);
    player.edit(&edited(&two, quarters(60.0)));
    player.run(6000.0);
    let places: Vec<i64> = beats(&player, player.anchor()).iter().map(|(_, beat)| *beat).collect();
    // Bar 2 is played out though it is no more, at the new tempo; then bar 3 modulo 2 follows.
    assert_eq!(&places[8..15], [8, 9, 10, 11, 4, 5, 6]);
}

#[test]
fn loops_open_and_close_without_a_break() {
    let base = click(120.0, "4/4", 2);
    let span = |start: i64, end: i64| Span::new(&base.pattern, Tick(960 * start), Tick(960 * end));
    let cases: [(Option<Span>, &[i64]); 4] = [
        (span(1, 3), &[0, 1, 2, 1, 2, 1, 2]),
        (span(4, 6), &[0, 1, 2, 3, 4, 5, 4, 5, 4]),
        // It lies behind: on to the next beat and back.
        (span(0, 1), &[0, 1, 0, 0, 0]),
        (None, &[0, 1, 2, 3, 4, 5, 6, 7, 0, 1]),
    ];
    for (span, want) in cases {
        let mut player = Player::start(&base, 48_000.0, Start::default());
        player.run(700.0);
        player.transport.set_span(span, player.now);
        player.pump();
        player.run(500.0 * want.len() as f64);
        let found = beats(&player, player.anchor());
        let places: Vec<i64> = found.iter().map(|(_, beat)| *beat).take(want.len()).collect();
        assert_eq!(places, want, "{span:?}");
        assert!(found.iter().zip(0..).all(|((frame, _), n)| *frame == n * 24_000), "{found:?}");
    }
}

#[test]
fn another_groove_takes_over_in_phase_and_ends_what_was_held() {
    let old = groove(120.0, "4/4", 1, &[("sub-bass", 240, "x..............."), ("kick", 240, "x...x...x...x...")]);
    let new = groove(120.0, "4/4", 1, &[("kick", 240, "x...x...x...x..."), ("snare", 240, "....x.......x...")]);
    let mut player = Player::start(&old, 48_000.0, Start::default());
    player.run(60.0 + 600.0);
    player.transport.exchange(Arc::new(new), player.now);
    player.pump();
    let anchor = player.anchor();
    let sub = player.events.values().find(|event| event.end.is_some()).unwrap();
    assert_eq!(sub.end.unwrap().frame, player.now + player.ms(60.0));
    player.run(2000.0);
    let mut kicks: Vec<i64> = player
        .events
        .values()
        .filter(|event| format!("{:?}", event.instrument).contains("Kick"))
        .map(|event| (event.frame - anchor).0)
        .collect();
    kicks.sort_unstable();
    assert!(kicks.iter().zip(0..).all(|(frame, n)| *frame == n * 24_000), "{kicks:?}");
    assert!(kicks.len() > 5);
}

#[test]
fn an_exchange_in_the_count_in_waits_for_the_first_beat() {
    let (old, new) = (click(120.0, "4/4", 1), groove(120.0, "4/4", 1, &[("kick", 960, "x.x.")]));
    let mut player = Player::start(&old, 48_000.0, Start { count_in: 4, ..Start::default() });
    player.run(700.0);
    player.transport.exchange(Arc::new(new), player.now);
    player.pump();
    player.run(4000.0);
    assert_eq!(player.line(Line::CountIn).len(), 4);
    assert_eq!(&beats(&player, player.anchor())[..3], &[(0, 0), (48_000, 2), (96_000, 0)]);
}

#[test]
fn the_tempo_of_a_count_in_can_change() {
    let slow = click(60.0, "4/4", 1);
    let mut player = Player::start(&slow, 48_000.0, Start { count_in: 4, ..Start::default() });
    let first = player.now + player.ms(60.0);
    player.run(1000.0);
    player.edit(&edited(&slow, quarters(120.0)));
    player.run(5000.0);
    let counts: Vec<i64> = player.line(Line::CountIn).iter().map(|event| (event.frame - first).0).collect();
    assert_eq!(counts, [0, 48_000, 72_000, 96_000]);
    assert_eq!((player.lane(0)[0].frame - first).0, 120_000);
}

#[test]
fn stalls_up_to_a_quarter_second_lose_nothing() {
    let busy = groove(174.0, "4/4", 1, &[("hat-closed", 120, "xxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxx")]);
    for (stall, dropped) in [(250.0, 0), (345.0, 0), (1350.0, 23), (60_000.0, 1384)] {
        let mut player = Player::start(&busy, 44_100.0, Start::default());
        player.run(1000.0);
        assert_eq!(player.ledger.dropped(), 0);
        let before = player.events.len();
        player.wait(stall);
        // A thirty-second lasts 43.1 ms: a horizon holds nine of them at most, and there is never a burst.
        assert!(player.events.len() - before <= 9, "{}", player.events.len() - before);
        let found = player.ledger.dropped();
        assert!(found.abs_diff(dropped) <= 1, "{stall} ms: {found}");
        player.run(1000.0);
        assert_eq!(player.ledger.dropped(), found, "counted once");
    }
}

#[test]
fn stop_takes_everything_back() {
    let busy = groove(174.0, "4/4", 1, &[("hat-open", 240, "xxxxxxxxxxxxxxxx")]);
    let mut player = Player::start(&busy, 44_100.0, Start { click: true, ..Start::default() });
    player.run(2000.0);
    let pending: Vec<_> = player.events.values().filter(|event| event.frame >= player.now).map(|e| e.key).collect();
    assert!(pending.len() > 3);
    let actions = player.ledger.stop();
    assert!(pending.iter().all(|key| actions.contains(&Action::Cancel(*key))));
    assert_eq!(player.ledger.remembered(), 0);
    assert!(player.ledger.stop().is_empty());
}

#[test]
fn memory_stays_bounded() {
    let busy =
        groove(174.0, "4/4", 1, &[("hat-closed", 240, "xxxxxxxxxxxxxxxx"), ("hat-open", 240, "x.......x.......")]);
    let mut player = Player::start(&busy, 44_100.0, Start { click: true, ..Start::default() });
    for round in 0..400 {
        player.run(100.0);
        // The tempo is dragged all the time.
        player.edit(&edited(&busy, quarters(150.0 + f64::from(round % 50))));
        assert!(player.transport.segments().len() < 40, "{}", player.transport.segments().len());
        assert!(player.ledger.remembered() < 200, "{}", player.ledger.remembered());
    }
}

#[test]
fn the_caret_runs_evenly_and_follows_the_tempo() {
    let base = click(120.0, "6/8", 2);
    let mut player = Player::start(&base, 48_000.0, Start::default());
    player.run(1060.0);
    let anchor = player.anchor().0 as f64;
    let tick = |player: &Player, ms: f64| match player.transport.caret(anchor + ms * 48.0) {
        Caret::Playing { tick, bar, beat, .. } => (tick.round() as i64, bar, beat),
        other => panic!("{other:?}"),
    };
    assert_eq!(tick(&player, 1000.0), (1920, 0, 1));
    assert_eq!(tick(&player, 1750.0), (3360, 1, 0));
    assert_eq!(tick(&player, 3000.0 + 250.0), (480, 0, 0));
    player.edit(&edited(&base, quarters(60.0)));
    let change = (player.now.0 as f64 + 2880.0 - anchor) / 48.0;
    assert_eq!(tick(&player, change + 500.0).0, (change * 1.92 + 480.0).round() as i64);
}
