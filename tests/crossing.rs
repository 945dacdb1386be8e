//! Crossings: they end exactly where they should, every groove on the way is valid, and no row of edits is cheaper.
//!
//! `cargo test --no-default-features --test crossing -- --nocapture` prints how long they are.

#![allow(clippy::unwrap_used, clippy::print_stdout, reason = "tests, and their table")]

mod grooves;
mod house;

use grooves::{any_groove, change, change_head, edited, groove, seeded, with_pattern};
use house::{STYLES, for_each_style};
use proptest::prelude::*;
use std::cmp::Reverse;
use std::collections::{BinaryHeap, HashMap};
use stickleback::rhythm::{
    Bpm, Edit, Feel, Groove, Lane, LaneHead, LaneId, Lean, Loudness, Metre, Pattern, Stroke, Swing, Tempo, Tick,
    Written,
};
use stickleback::role::Role;
use stickleback::style::crossing::{Change, Crossing, Tip, crossing, tips};
use stickleback::words;

fn told(from: &Groove, crossing: &Crossing) -> Vec<String> {
    let grooves = crossing.grooves(from);
    let told = crossing.edits.iter().zip(&grooves);
    told.map(|(crossed, before)| words::crossing::change(&crossed.change, before, &str::to_owned)).collect()
}

#[track_caller]
fn check(from: &Groove, to: &Groove, cost: i64, want: &[&str]) {
    let row = crossing(from, to).unwrap();
    assert_eq!(told(from, &row), want);
    assert_eq!(row.cost, cost);
    assert_eq!(row.edits.iter().map(|crossed| crossed.cost).sum::<i64>(), cost);
    assert_eq!(row.grooves(from).last().unwrap(), to);
}

fn beat() -> Groove {
    groove(100.0, "4/4", 1, &[("clap", 240, "........x......."), ("kick", 240, "x.....x...x.....")])
}

#[test]
fn single_changes() {
    let beat = beat();
    let clap = LaneId(1);
    check(&beat, &beat, 0, &[]);
    check(&beat, &edited(&beat, Edit::Clear(clap, Tick(1920))), 100, &["The clap leaves out 3."]);
    check(
        &beat,
        &edited(
            &beat,
            Edit::Several(vec![
                Edit::Clear(clap, Tick(1920)),
                Edit::Put(clap, Stroke::new(Tick(2160), beat.dynamics.plain)),
            ]),
        ),
        125,
        &["The clap moves from 3 to the e of 3."],
    );
    check(
        &beat,
        &change(&beat, 0, 1920, |stroke| stroke.loudness = beat.dynamics.ghost),
        50,
        &["The clap on 3 shrinks to a ghost note."],
    );
    check(
        &beat,
        &change(&beat, 0, 1920, |stroke| stroke.nudge = Tick(30)),
        50,
        &["The clap on 3 is played otherwise."],
    );
    check(&beat, &change_head(&beat, 0, |head| head.role = Role::Snare), 75, &["A snare takes over from the clap."]);
    check(
        &beat,
        &change_head(&beat, 0, |head| head.lean = Lean::from_ms(12.0).unwrap()),
        50,
        &["The clap leans 12 ms late."],
    );
    check(&beat, &change_head(&beat, 0, |head| head.optional = true), 0, &["Only how it is written changes."]);
    check(&beat, &edited(&beat, Edit::MoveLane(clap, 1)), 0, &["Only how it is written changes."]);
    check(&beat, &edited(&beat, Edit::RemoveLane(clap)), 200, &["The clap goes."]);
    check(&edited(&beat, Edit::RemoveLane(clap)), &beat, 200, &["A clap comes in, on 3."]);
    // A kick is no clap.
    let kick = change_head(&beat, 0, |head| head.role = Role::Kick);
    check(&beat, &kick, 400, &["A kick comes in, on 3.", "The clap goes."]);
}

#[test]
fn what_a_groove_stands_on() {
    let beat = beat();
    let tempo = |bpm: f64, unit: i64, felt: i64| {
        edited(&beat, Edit::SetTempo(Tempo::new(Bpm::new(bpm).unwrap(), Tick(unit), Tick(felt)).unwrap()))
    };
    check(&beat, &tempo(120.0, 960, 960), 100, &["It goes faster: ♩ = 120 instead of ♩ = 100."]);
    check(&beat, &tempo(100.0, 960, 1920), 50, &["The foot taps half notes instead of quarter notes."]);
    check(&beat, &tempo(50.0, 1920, 1920), 50, &["The foot taps half notes instead of quarter notes."]);
    check(
        &beat,
        &tempo(70.0, 1920, 1920),
        150,
        &["It goes faster: ♩ = 140 instead of ♩ = 100.", "The foot taps half notes instead of quarter notes."],
    );
    let feel = Feel::new(Tick(480), Written::Straight, Swing::from_percent(59.0).unwrap(), Vec::new()).unwrap();
    check(&beat, &edited(&beat, Edit::SetFeel(feel)), 100, &["It swings: sixteenths swing, long 59 to short 41."]);
    // A loop played round is the same music.
    let twice = groove(100.0, "4/4", 2, &[("clap", 240, "........x.......|%"), ("kick", 240, "x.....x...x.....|%")]);
    check(&beat, &twice, 100, &["It comes round after 2 bars instead of 1 bar."]);
    check(&twice, &beat, 100, &["It comes round after 1 bar instead of 2 bars."]);
    let waltz = groove(100.0, "3/4", 1, &[("clap", 240, "........x..."), ("kick", 240, "x.....x...x.")]);
    check(&beat, &waltz, 200, &["The metre changes from 4/4 to 3/4."]);
}

#[test]
fn in_the_order_a_player_takes_it() {
    let from = groove(
        90.0,
        "4/4",
        1,
        &[
            ("hat-closed", 240, "x.x.x.x.x.x.x.x."),
            ("snare", 240, "....x.......x..."),
            ("kick", 240, "x.......x......."),
        ],
    );
    let to = groove(
        120.0,
        "4/4",
        1,
        &[("shaker", 240, "xxxxxxxxxxxxxxxx"), ("snare", 240, "....x.......x..o"), ("kick", 240, "x.....x...x.....")],
    );
    check(
        &from,
        &to,
        100 + 150 + 100 + 100 + 1700 + 900,
        &[
            "It goes faster: ♩ = 120 instead of ♩ = 90.",
            "The kick moves from 3 to the and of 2.",
            "The kick also plays the and of 3.",
            "The snare also plays the a of 4.",
            "A shaker comes in, on every sixteenth.",
            "The closed hat goes.",
        ],
    );
}

#[test]
fn strokes_wait_until_their_place_is_free() {
    let from = groove(100.0, "4/4", 1, &[("kick", 240, "xX..............")]);
    let to = groove(100.0, "4/4", 1, &[("kick", 240, ".xX.............")]);
    let row = crossing(&from, &to).unwrap();
    assert_eq!(row.grooves(&from).last().unwrap(), &to);
    assert!(
        row.edits.iter().all(|crossed| matches!(crossed.change, Change::StrokeMoves { .. })),
        "{:?}",
        told(&from, &row)
    );
    assert_eq!(row.cost, 250);
}

#[test]
fn where_likeness_tips() {
    let from = beat();
    let to = groove(140.0, "4/4", 1, &[("clap", 240, "....x.......x..."), ("kick", 240, "x...x...x...x...")]);
    let row = crossing(&from, &to).unwrap();
    let id = |text: &str| text.parse().unwrap();
    let mut leader = |groove: &Groove| {
        let kicks = groove.pattern.lanes()[1].strokes().len();
        if groove.tempo.bpm.get() < 120.0 { None } else { Some(id(if kicks < 4 { "broken" } else { "even" })) }
    };
    let found = tips(&row, &from, &mut leader);
    let even = row.grooves(&from).iter().position(|groove| groove.pattern.lanes()[1].strokes().len() == 4).unwrap();
    assert_eq!(
        found,
        [
            Tip { after: 0, leader: None },
            Tip { after: 1, leader: Some(id("broken")) },
            Tip { after: even, leader: Some(id("even")) },
        ]
    );
}

// ---- No row of edits is cheaper: every row there is, over one beat of four places and at most two lanes. ----

/// For each place rest, soft or loud.
type Row = [u8; 4];
/// Lanes by role, in the order of their index.
type State = Vec<(usize, Row)>;

const ROLES: [Role; 3] = [Role::Kick, Role::Snare, Role::Clap];

fn sorted(mut state: State) -> State {
    state.sort_unstable();
    state
}

/// Every single edit of a state, with its cost: written down from the table of costs, without any pairing.
fn neighbours(state: &State) -> Vec<(State, i64)> {
    let mut next = Vec::new();
    let mut reach = |lane: usize, new: (usize, Row), cost: i64| {
        let mut changed = state.clone();
        changed[lane] = new;
        next.push((sorted(changed), cost));
    };
    for (lane, &(role, row)) in state.iter().enumerate() {
        for at in 0..4 {
            for loud in 0..3_u8 {
                let cost = match (row[at], loud) {
                    (old, new) if old == new => continue,
                    (0, _) | (_, 0) => 100,
                    _ => 50,
                };
                let mut row = row;
                row[at] = loud;
                reach(lane, (role, row), cost);
            }
            for to in (0..4).filter(|&to| row[at] > 0 && row[to] == 0) {
                let way = i64::min((to as i64 - at as i64).rem_euclid(4), (at as i64 - to as i64).rem_euclid(4));
                let mut row = row;
                (row[to], row[at]) = (row[at], 0);
                reach(lane, (role, row), 100 + 25 * way);
            }
        }
        if role > 0 {
            reach(lane, (3 - role, row), 75);
        }
    }
    for (lane, (_, row)) in state.iter().enumerate() {
        let mut fewer = state.clone();
        fewer.remove(lane);
        next.push((fewer, 100 + 100 * row.iter().filter(|&&stroke| stroke > 0).count() as i64));
    }
    // A lane with strokes costs what it costs empty and then stroke by stroke.
    if state.len() < 2 {
        next.extend((0..ROLES.len()).map(|role| {
            let mut more = state.clone();
            more.push((role, [0; 4]));
            (sorted(more), 100)
        }));
    }
    next
}

/// What every state costs from `start` by the cheapest row of single edits (E. Dijkstra, 1959).
fn cheapest(start: &State) -> HashMap<State, i64> {
    let mut known: HashMap<State, i64> = HashMap::from([(start.clone(), 0)]);
    let mut open = BinaryHeap::from([(Reverse(0), start.clone())]);
    while let Some((Reverse(cost), state)) = open.pop() {
        if cost > known[&state] {
            continue;
        }
        for (next, edit) in neighbours(&state) {
            let through = cost + edit;
            if known.get(&next).is_none_or(|&best| through < best) {
                known.insert(next.clone(), through);
                open.push((Reverse(through), next));
            }
        }
    }
    known
}

fn small(state: &State) -> Groove {
    let lane = |&(role, row): &(usize, Row)| {
        let strokes = row.iter().enumerate().filter(|(_, loud)| **loud > 0);
        let strokes = strokes.map(|(at, &loud)| {
            Stroke::new(Tick(240 * at as i64), Loudness::new(if loud == 1 { 60 } else { 100 }).unwrap())
        });
        Lane::with_strokes(LaneHead::new(ROLES[role], Tick(240)), strokes)
    };
    let metre = Metre::new(&[Tick(960)]).unwrap();
    let pattern = Pattern::new(metre, 1, state.iter().map(lane).collect()).unwrap();
    with_pattern(Tempo::quarters(Bpm::new(100.0).unwrap()), pattern)
}

#[test]
fn no_row_of_edits_is_cheaper() {
    let run = |starts: &[State]| {
        let mut checked = 0;
        for start in starts {
            let from = small(start);
            for (state, cost) in cheapest(start) {
                let row = crossing(&from, &small(&state)).unwrap();
                assert_eq!(row.cost, cost, "{start:?} to {state:?}: {:?}", told(&from, &row));
                checked += 1;
            }
        }
        checked
    };
    let first: [State; 2] = [vec![(1, [2, 0, 1, 0])], vec![(0, [2, 0, 0, 1]), (1, [0, 1, 2, 0])]];
    let second: [State; 2] = [vec![(1, [1, 2, 1, 2]), (2, [0, 2, 0, 0])], vec![(1, [0, 1, 0, 2]), (1, [2, 1, 0, 0])]];
    let checked = std::thread::scope(|scope| {
        let other = scope.spawn(|| run(&second));
        run(&first) + other.join().unwrap()
    });
    // All patterns of no, one and two lanes.
    assert_eq!(checked, 4 * (1 + 243 + 243 * 244 / 2));
}

proptest! {
    #![proptest_config(seeded(300))]

    #[test]
    fn any_groove_is_reached(from in any_groove(), to in any_groove()) {
        let row = crossing(&from, &to).unwrap();
        let grooves = row.grooves(&from);
        prop_assert_eq!(grooves.len(), row.edits.len() + 1, "every edit fits");
        prop_assert_eq!(grooves.last().unwrap(), &to);
        prop_assert!(grooves.windows(2).all(|two| two[0] != two[1]), "every edit changes something");
        prop_assert_eq!(row.edits.iter().map(|crossed| crossed.cost).sum::<i64>(), row.cost);
        prop_assert!(crossing(&to, &to).unwrap().edits.is_empty());
    }

    #[test]
    fn over_the_same_bars_there_and_back_cost_the_same(from in any_groove(), other in any_groove()) {
        let to = Groove { tempo: other.tempo, feel: other.feel, ..from.clone() };
        prop_assert_eq!(crossing(&from, &to).unwrap().cost, crossing(&to, &from).unwrap().cost);
    }
}

#[test]
fn from_every_style_to_every_other() {
    let rows = for_each_style(|from| {
        let mut rows = Vec::new();
        for to in STYLES.iter().filter(|to| to.id != from.id) {
            let row = crossing(&from.groove, &to.groove).unwrap();
            let grooves = row.grooves(&from.groove);
            assert_eq!(grooves.len(), row.edits.len() + 1, "{} to {}", from.id, to.id);
            assert_eq!(grooves.last().unwrap(), &to.groove, "{} to {}", from.id, to.id);
            assert!(row.cost > 0, "{} to {}", from.id, to.id);
            for text in told(&from.groove, &row) {
                assert!(text.ends_with('.') && !text.contains("  "), "{text}");
            }
            rows.push((row.edits.len(), row.cost, format!("{} to {}", from.id, to.id)));
        }
        rows
    });
    let mut rows = rows.concat();
    rows.sort();
    let mean = rows.iter().map(|row| row.0).sum::<usize>() as f64 / rows.len() as f64;
    let (shortest, longest) = (&rows[0], &rows[rows.len() - 1]);
    println!("{} crossings, {mean:.1} edits on average", rows.len());
    println!("shortest: {} edits, {} ({})", shortest.0, shortest.2, shortest.1);
    println!("longest: {} edits, {} ({})", longest.0, longest.2, longest.1);
    assert_eq!(rows.len(), STYLES.len() * (STYLES.len() - 1));
}
