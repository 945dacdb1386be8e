//! Frames computed by hand, and no drift over ten thousand bars.

use crate::grooves::{change, change_head, edited, groove};
use crate::player::Player;
use std::sync::Arc;
use stickleback::rhythm::*;
use stickleback::schedule::{Caret, Line, Span, Start, Transport, ideal};

/// The first frames of the lane at the top, counted from the anchor.
#[track_caller]
fn check(groove: &Groove, rate: f64, how: Start, want: &[i64]) {
    let mut player = Player::start(groove, rate, how);
    player.run(3000.0);
    let anchor = player.anchor();
    let frames: Vec<i64> = player.lane(0).iter().map(|event| (event.frame - anchor).0).collect();
    assert_eq!(&frames[..want.len()], want);
}

#[test]
fn frames_by_hand() {
    // A sixteenth at 174 BPM is 60 / 174 / 4 s = 3801.724 frames of 44,100.
    let jungle = groove(174.0, "4/4", 1, &[("kick", 240, "X.x.......x....."), ("snare", 240, "....X..o.o..X...")]);
    check(&jungle, 44_100.0, Start::default(), &[0, 7603, 38_017, 60_828, 68_431, 98_845, 121_655]);
    check(&jungle, 48_000.0, Start::default(), &[0, 8276, 41_379, 66_207]);
    // Swung 66.7 %, a pair of sixteenths lasts 7603.448, its second is two thirds in: 5068.966.
    let feel = Feel::new(Tick(480), Written::Straight, Swing::TRIPLET, Vec::new()).unwrap();
    let shuffled = groove(174.0, "4/4", 1, &[("hat-closed", 240, "xxxx............")]);
    check(&edited(&shuffled, Edit::SetFeel(feel)), 44_100.0, Start::default(), &[0, 5069, 7603, 12_672, 60_828]);
    // Triplets at 97 BPM: 60 / 97 / 3 s = 9092.784 frames of 44,100.
    let triplets = groove(97.0, "4/4", 1, &[("ride", 320, "xxx.........")]);
    check(&triplets, 44_100.0, Start::default(), &[0, 9093, 18_186, 109_113]);
    // A roll of three in an eighth at 120 BPM: thirds of a quarter second.
    let roll = groove(120.0, "4/4", 1, &[("snare", 480, "3.......")]);
    check(&roll, 48_000.0, Start::default(), &[0, 4000, 8000, 96_000]);
}

#[test]
fn early_strokes_have_room_and_belong_to_the_coming_pass() {
    let base = groove(120.0, "4/4", 1, &[("snare", 240, "f.......x.......")]);
    // 25 ms of flam: 1200 frames before the anchor, and before every seam.
    check(&base, 48_000.0, Start::default(), &[-1200, 0, 48_000, 94_800, 96_000]);
    let leaning = change_head(&base, 0, |head| head.lean = Lean::from_ms(-20.0).unwrap());
    check(&leaning, 48_000.0, Start::default(), &[-2160, -960, 47_040, 93_840, 95_040]);
    // 100 ticks at 120 BPM are 2500 frames.
    let nudged = change(&leaning, 0, 0, |stroke| stroke.nudge = Tick(-100));
    check(&nudged, 48_000.0, Start::default(), &[-4660, -3460, 47_040, 91_340, 92_540]);
    let mut player = Player::start(&nudged, 48_000.0, Start::default());
    assert_eq!(player.anchor() - player.now, Frames(2880 + 4660), "just enough room");
    player.run(2500.0);
    let passes: Vec<u32> = player.lane(0).iter().map(|event| event.key.pass).collect();
    assert_eq!(&passes[..5], &[0, 0, 0, 1, 1]);
}

#[test]
fn late_strokes_belong_to_the_pass_that_is_over() {
    let base = groove(120.0, "4/4", 1, &[("snare", 120, "x..............................x")]);
    let late = change_head(&base, 0, |head| head.lean = Lean::from_ms(60.0).unwrap());
    // The last thirty-second falls 62.5 ms before the seam; nudged 59 ticks late and leaning 60 ms it sounds after it.
    let late = change(&late, 0, 3720, |stroke| stroke.nudge = Tick(59));
    let mut player = Player::start(&late, 48_000.0, Start::default());
    player.run(4500.0);
    let anchor = player.anchor();
    let events: Vec<_> = player.lane(0).iter().map(|event| ((event.frame - anchor).0, event.key.pass)).collect();
    assert_eq!(&events[..4], &[(2880, 0), (97_355, 0), (98_880, 1), (193_355, 1)]);
}

#[test]
fn loops_repeat_their_beats_alone() {
    let base = groove(120.0, "4/4", 1, &[("kick", 240, "x...x..ox...x...")]);
    let span = Span::new(&base.pattern, Tick(960), Tick(1920));
    assert!(span.is_some());
    let how = Start { at: Tick(960), span, ..Start::default() };
    check(&base, 48_000.0, how, &[0, 18_000, 24_000, 42_000, 48_000, 66_000]);
    // Off the beat, empty, or past the end is no loop.
    for (start, end) in [(0, 500), (960, 960), (1920, 960), (2880, 4800), (-960, 960)] {
        assert_eq!(Span::new(&base.pattern, Tick(start), Tick(end)), None);
    }
    // A start inside the pattern plays on to its end, then all of it.
    check(&base, 48_000.0, Start { at: Tick(1680), ..Start::default() }, &[0, 6000, 30_000, 54_000, 78_000, 96_000]);
}

#[test]
fn counted_in_and_clicked_in_the_felt_pulse() {
    let trap = groove(142.0, "4/4", 1, &[("kick", 240, "X...............")]);
    let felt = Tempo::new(trap.tempo.bpm, Tick(960), Tick(1920)).unwrap();
    let trap = edited(&trap, Edit::SetTempo(felt));
    let mut player = Player::start(&trap, 44_100.0, Start { count_in: 4, click: true, ..Start::default() });
    player.run(6000.0);
    let anchor = player.anchor();
    let frames = |line| player.line(line).iter().map(|event| (event.frame - anchor).0).collect::<Vec<_>>();
    // Two quarters at 142 BPM are 37,267.6 frames.
    assert_eq!(frames(Line::CountIn), [-149_070, -111_803, -74_535, -37_268]);
    assert_eq!(&frames(Line::Click)[..3], &[0, 37_268, 74_535]);
    assert_eq!(
        player.line(Line::CountIn)[0].frame - Frames(12_345),
        Frames(2647),
        "60 ms after the press, on the next whole frame"
    );
    let caret = |ms: f64| player.transport.caret(anchor.0 as f64 + ms * 44.1);
    assert_eq!(caret(-4000.0), Caret::Waiting);
    assert_eq!(caret(-3380.0), Caret::CountIn { number: 1, left: 3 });
    assert_eq!(caret(-1.0), Caret::CountIn { number: 2, left: 0 });
    let Caret::Playing { pass, tick, bar, beat } = caret(60_000.0 / 142.0 * 5.5) else { panic!("playing") };
    assert_eq!((pass, bar, beat), (1, 0, 1));
    assert!((tick - 1440.0).abs() < 1e-3, "{tick}");
}

#[test]
fn an_uneven_metre_clicks_on_its_beats() {
    let seven = groove(120.0, "7/8", 1, &[("kick", 480, "x......")]);
    let mut player = Player::start(&seven, 48_000.0, Start { count_in: 4, click: true, ..Start::default() });
    player.run(5000.0);
    let anchor = player.anchor();
    let frames = |line| player.line(line).iter().map(|event| (event.frame - anchor).0).collect::<Vec<_>>();
    assert_eq!(frames(Line::CountIn), [-120_000, -84_000, -60_000, -36_000]);
    assert_eq!(&frames(Line::Click)[..4], &[0, 24_000, 48_000, 84_000]);
}

#[test]
fn ten_thousand_bars_do_not_drift() {
    let swing = Feel::new(Tick(480), Written::Straight, Swing::from_percent(57.3).unwrap(), Vec::new()).unwrap();
    for bpm in [97.0, 140.0] {
        let rows = [("hat-closed", 320, "xxxxxxxxxxxx"), ("kick", 240, "x..x..x.xx.x..x.")];
        let groove = edited(&groove(bpm, "4/4", 1, &rows), Edit::SetFeel(swing.clone()));
        let transport = Transport::start(Arc::new(groove.clone()), 44_100.0, Frames(0), Start::default());
        let anchor = transport.segments()[0].anchor;
        for bar in [0_u32, 1, 4_999, 9_999] {
            // Whole bars in exact integers: a bar is 240 / bpm seconds, 44,100 * 240 / bpm frames.
            let start = anchor + f64::from(bar) * 10_584_000.0 / bpm;
            let from = Frames(start.floor() as i64 - 10);
            let events = transport.desired(from, from + Frames((10_584_000.0 / bpm) as i64));
            assert_eq!(events.len(), 19, "{bpm} {bar}");
            for event in events {
                let lane = groove.pattern.lane(event.key.lane().unwrap()).unwrap();
                let place = sounding::played(&groove, lane, event.at) / 3840.0 * 10_584_000.0 / bpm;
                let error = (event.frame.0 as f64 - (start + place)).abs();
                assert!(error <= 0.500_01, "bar {bar} at {bpm}: {error} frames");
            }
        }
    }
}

#[test]
fn the_direct_list_agrees() {
    let groove = groove(174.0, "4/4", 2, &[("kick", 240, "x..x..x...x.....|%"), ("snare", 240, "....f..2........|%")]);
    let mut player = Player::start(&groove, 44_100.0, Start::default());
    player.run(30_000.0);
    let now = player.now;
    let mut want: Vec<_> =
        ideal(&groove, 44_100.0, player.anchor(), 40).into_iter().filter(|(_, frame)| *frame < now).collect();
    want.sort();
    assert_eq!(player.sounded(), want);
    assert!(want.len() > 150);
}
