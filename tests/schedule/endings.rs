//! Chokes, single voices, lengths and slides: found in the pattern, round its seam.

use crate::grooves::{change, edited, groove};
use crate::player::Player;
use stickleback::rhythm::*;
use stickleback::role::Role;
use stickleback::schedule::{Cause, Event, Start};

/// At 120 BPM and 48 kHz a sixteenth is 6000 frames. Start and end in sixteenths from the anchor.
#[track_caller]
fn check(groove: &Groove, lane: usize, want: &[(f64, Option<(f64, Cause)>)]) {
    let mut player = Player::start(groove, 48_000.0, Start::default());
    player.run(3500.0);
    let anchor = player.anchor();
    let place = |frame: Frames| (frame - anchor).0 as f64 / 6000.0;
    let events = player.lane(lane);
    let found: Vec<_> =
        events.iter().map(|e| (place(e.frame), e.end.map(|end| (place(end.frame), end.cause)))).collect();
    assert_eq!(&found[..want.len()], want);
}

#[test]
fn a_closed_hat_cuts_the_open_one_even_over_the_seam() {
    let hats = |open: &str, closed: &str| {
        groove(120.0, "4/4", 1, &[("hat-open", 240, open), ("hat-closed", 240, closed), ("ride", 240, closed)])
    };
    let choked = |at: f64| Some((at, Cause::Choked));
    check(
        &hats("..x.......x.....", "....x..........."),
        0,
        &[(2.0, choked(4.0)), (10.0, choked(20.0)), (18.0, choked(20.0))],
    );
    check(&hats("..x.......x.....", "................"), 0, &[(2.0, None), (10.0, None)]);
    // On the same place the open hat rings until the next closed one.
    check(&hats("x...............", "x.......x......."), 0, &[(0.0, choked(8.0)), (16.0, choked(24.0))]);
    // The closed hat and the ride are cut by nothing.
    check(&hats("x...............", "x.......x......."), 1, &[(0.0, None), (8.0, None), (16.0, None)]);
    check(&hats("x...............", "x.......x......."), 2, &[(0.0, None), (8.0, None)]);
}

#[test]
fn pedal_and_conga_cut_too() {
    let rows = [("hat-open", 240, "x..............."), ("hat-pedal", 240, "......x.........")];
    check(&groove(120.0, "4/4", 1, &rows), 0, &[(0.0, Some((6.0, Cause::Choked)))]);
    let rows = [
        ("conga-high", 240, "x..............."),
        ("conga-slap", 240, "..x............."),
        ("conga-low", 240, "x.x............."),
        ("conga-muted", 240, "....x..........."),
        ("hat-closed", 240, ".x.............."),
    ];
    let congas = groove(120.0, "4/4", 1, &rows);
    check(&congas, 0, &[(0.0, Some((2.0, Cause::Choked)))]);
    check(&congas, 1, &[(2.0, None)]);
    check(&congas, 2, &[(0.0, Some((2.0, Cause::Choked))), (2.0, Some((4.0, Cause::Choked)))]);
}

#[test]
fn a_part_that_plays_one_note_at_a_time_ends_itself() {
    let sub = groove(120.0, "4/4", 1, &[("sub-bass", 240, "x.....x........."), ("bass", 240, "...x............")]);
    let mono = |at: f64| Some((at, Cause::Mono));
    check(&sub, 0, &[(0.0, mono(6.0)), (6.0, mono(16.0)), (16.0, mono(22.0))]);
    check(&sub, 1, &[(3.0, mono(19.0)), (19.0, mono(35.0))]);
    // A length ends it sooner, never later.
    let held = change(&sub, 0, 0, |stroke| stroke.length = Some(Tick(480)));
    let held = change(&held, 0, 1440, |stroke| stroke.length = Some(Tick(4000)));
    check(&held, 0, &[(0.0, Some((2.0, Cause::Length))), (6.0, mono(16.0))]);
    // A chord rings for its length over the seam and over the next one.
    let chord = groove(120.0, "4/4", 1, &[("chord", 240, "x.............x.")]);
    let chord = change(&chord, 0, 3360, |stroke| stroke.length = Some(Tick(960)));
    check(&chord, 0, &[(0.0, None), (14.0, Some((18.0, Cause::Length)))]);
}

#[test]
fn a_roll_shares_its_length_and_each_stroke_ends_the_one_before() {
    let log = groove(120.0, "4/4", 1, &[("log-drum", 480, "2.......")]);
    let mono = |at: f64| Some((at, Cause::Mono));
    check(&log, 0, &[(0.0, mono(1.0)), (1.0, mono(16.0)), (16.0, mono(17.0))]);
    let short = change(&log, 0, 0, |stroke| stroke.length = Some(Tick(240)));
    check(&short, 0, &[(0.0, Some((0.5, Cause::Length))), (1.0, Some((1.5, Cause::Length)))]);
}

fn first(groove: &Groove) -> (Event, i64) {
    let mut player = Player::start(groove, 48_000.0, Start::default());
    player.run(1500.0);
    (player.lane(0)[0].clone(), player.anchor().0)
}

#[test]
fn a_slide_ends_where_the_stroke_ends() {
    let sub = groove(120.0, "4/4", 1, &[("sub-bass", 240, "x.....x.........")]);
    let slide = |ms: u16| {
        change(&sub, 0, 0, |stroke| {
            stroke.pitches = vec![3, -2];
            stroke.glide = Some(Glide { to: 5, ms });
        })
    };
    let (event, anchor) = first(&slide(100));
    let glide = event.glide.unwrap();
    assert_eq!((glide.start.0 - anchor, glide.end.0 - anchor), (36_000 - 4800, 36_000));
    assert!((glide.from, glide.to) == (0.0, 7.0), "from the lowest pitch: {glide:?}");
    // Longer than the stroke: it sets out at once.
    let (event, anchor) = first(&slide(2000));
    let glide = event.glide.unwrap();
    assert_eq!((glide.start.0 - anchor, glide.end.0 - anchor), (0, 36_000));
    assert_eq!(event.pitches, [39.0, 34.0]);
}

#[test]
fn pitches_are_note_numbers() {
    let bend = |role: &str| {
        let base = groove(120.0, "4/4", 1, &[(role, 480, "3.......")]);
        let base = edited(&base, Edit::SetTonic(Tonic::new(40).unwrap()));
        change(&base, 0, 0, |stroke| {
            stroke.pitches = vec![2];
            stroke.roll = stroke.roll.map(|roll| Roll { bend: 7, ..roll });
        })
    };
    for (role, shift) in [(Role::LogDrum, 0.0), (Role::Chord, 24.0)] {
        let mut player = Player::start(&bend(role.id()), 48_000.0, Start::default());
        player.run(1000.0);
        let pitches: Vec<f64> = player.lane(0).iter().map(|event| event.pitches[0]).collect();
        assert_eq!(&pitches[..3], [42.0 + shift, 45.5 + shift, 49.0 + shift]);
    }
}

#[test]
fn an_edit_moves_the_end_of_what_sounds_unless_it_is_near() {
    let hats =
        groove(120.0, "4/4", 1, &[("hat-open", 240, "x..............."), ("hat-closed", 240, "........x.......")]);
    let closed = hats.pattern.lanes()[1].id;
    let stroke = |at: i64| Stroke::new(Tick(at), Loudness::new(88).unwrap());
    // Half a second into the ring a closed stroke comes in at 750 ms, then goes again.
    let mut player = Player::start(&hats, 48_000.0, Start::default());
    player.run(550.0);
    let anchor = player.anchor();
    let end = |player: &Player| (player.lane(0)[0].end.unwrap().frame - anchor).0;
    assert_eq!(end(&player), 48_000);
    let nearer = edited(&hats, Edit::Put(closed, stroke(1440)));
    player.edit(&nearer);
    assert_eq!(end(&player), 36_000);
    player.edit(&hats);
    assert_eq!(end(&player), 48_000);
    player.edit(&nearer);
    // 40 ms before the cut it is too late to take it back.
    player.run(220.0);
    player.edit(&hats);
    assert_eq!(end(&player), 36_000);
    assert_eq!(player.retimes, 3);
}

#[test]
fn the_end_follows_the_tempo() {
    let sub = groove(120.0, "4/4", 1, &[("sub-bass", 240, "x...............")]);
    let held = change(&sub, 0, 0, |stroke| stroke.length = Some(Tick(1920)));
    let mut player = Player::start(&held, 48_000.0, Start::default());
    player.run(500.0);
    let anchor = player.anchor();
    assert_eq!((player.lane(0)[0].end.unwrap().frame - anchor).0, 48_000);
    let tempo = Tempo::quarters(Bpm::new(60.0).unwrap());
    player.edit(&edited(&held, Edit::SetTempo(tempo)));
    // The change lies 60 ms ahead; what is left of the second then takes twice as long.
    let change = (player.now - anchor).0 + 2880;
    assert_eq!((player.lane(0)[0].end.unwrap().frame - anchor).0, change + 2 * (48_000 - change));
}
