//! Contrasts: what differs is found, told plainly, ordered by what makes the styles, and heard alone.
//!
//! `cargo test --no-default-features --test contrast -- --nocapture` prints some of them.

#![allow(clippy::unwrap_used, clippy::print_stdout, reason = "tests, and what they print")]

mod grooves;
mod house;

use grooves::{any_groove, change, change_head, edited, groove, seeded};
use house::{STYLES, for_each_style, style};
use proptest::prelude::*;
use stickleback::lesson::Style;
use stickleback::rhythm::{Bpm, Edit, Feel, Groove, LaneId, Lean, Roll, RollShape, Sound, Swing, Tempo, Tick, Written};
use stickleback::role::Role;
use stickleback::style::contrast::{Axis, Compared, Contrast, Finding, Mark, contrast};
use stickleback::style::{Rank, SoundMeasure};
use stickleback::words;

fn bare(groove: &Groove) -> Compared<'_> {
    Compared { groove, hallmarks: &[], sound: None }
}

fn told(a: &Groove, b: &Groove, found: &Contrast) -> Vec<String> {
    found.differences.iter().map(|difference| words::contrast::difference(difference, &found.axis, a, b)).collect()
}

#[track_caller]
fn check(a: &Groove, b: &Groove, want: &[&str]) {
    let found = contrast(bare(a), bare(b));
    assert_eq!(told(a, b, &found), want);
}

fn rows(rows: &[(&str, &str)]) -> Groove {
    over("4/4", 240, rows)
}

fn over(metre: &str, pulse: i64, rows: &[(&str, &str)]) -> Groove {
    let bars = rows[0].1.split('|').count() as u8;
    let rows: Vec<(&str, i64, &str)> = rows.iter().map(|&(role, row)| (role, pulse, row)).collect();
    groove(100.0, metre, bars, &rows)
}

#[test]
fn places_of_a_part() {
    let three = rows(&[("clap", "........x.......")]);
    let backbeat = rows(&[("clap", "....x.......x...")]);
    check(&three, &three, &[]);
    check(&three, &backbeat, &["The clap moves from 3 to 2 and 4."]);
    check(&backbeat, &three, &["The clap moves from 2 and 4 to 3."]);
    let kick = |row: &str| rows(&[("kick", row)]);
    check(&kick("x.......x......."), &kick("x.......x.x....."), &["The kick also plays the and of 3."]);
    check(&kick("x.......x.x....."), &kick("x.......x......."), &["The kick leaves out the and of 3."]);
    check(
        &kick("x...............|x..............."),
        &kick("x...............|x.........x....."),
        &["In bar 2 the kick also plays the and of 3."],
    );
    check(
        &kick("x.......x.......|x.......x......."),
        &kick("x.....x...x.....|x.....x...x....."),
        &["The kick moves from 3 to the and of 2 and the and of 3."],
    );
    let hat = |row: &str| rows(&[("hat-closed", row)]);
    check(
        &hat("x.x.x.x.x.x.x.x."),
        &hat("xxxxxxxxxxxxxxxx"),
        &["The closed hat plays every sixteenth instead of every eighth."],
    );
    check(
        &hat("x...x...x...x..."),
        &hat("..x...x...x...x."),
        &["The closed hat plays the and of every beat instead of every beat."],
    );
    check(
        &hat("x.x.x.x.x.x.x.x."),
        &rows(&[("kick", "x...............")]),
        &["The closed hat goes.", "A kick comes in, on 1."],
    );
    // The same part on another instrument, and nothing else.
    check(&backbeat, &rows(&[("snare", "....x.......x...")]), &["A snare takes over from the clap."]);
}

#[test]
fn how_strokes_are_played() {
    let snare = rows(&[("snare", "....x..o....x...")]);
    check(&snare, &rows(&[("snare", "....X..o....X...")]), &["The snare hits harder on 2 and 4."]);
    check(&snare, &rows(&[("snare", "....x..o....x..o")]), &["The snare also plays the a of 4."]);
    check(&snare, &rows(&[("snare", "....x..o....o...")]), &["The snare plays softer on 4."]);
    let roll = Some(Roll { strokes: 3, span: Tick(240), shape: RollShape::Even, bend: 0 });
    let rolled = change(&snare, 0, 2880, |stroke| stroke.roll = roll);
    check(&snare, &rolled, &["The snare plays a roll or flam on 4."]);
    check(&rolled, &snare, &["The snare plays single strokes on 4."]);
    // A little louder within its strength, a little late: nobody would tell.
    check(&snare, &change(&snare, 0, 2880, |stroke| stroke.nudge = Tick(10)), &[]);
}

#[test]
fn time_and_feel() {
    let beat = rows(&[("kick", "x...............")]);
    let tempo = |bpm: f64, unit: i64, felt: i64| {
        edited(&beat, Edit::SetTempo(Tempo::new(Bpm::new(bpm).unwrap(), Tick(unit), Tick(felt)).unwrap()))
    };
    check(&beat, &tempo(128.0, 960, 960), &["It goes faster: ♩ = 128 instead of ♩ = 100."]);
    check(&beat, &tempo(96.0, 960, 960), &["It goes a little slower: ♩ = 96 instead of ♩ = 100."]);
    check(&beat, &tempo(100.0, 960, 1920), &["The foot taps half notes instead of quarter notes."]);
    check(
        &beat,
        &tempo(70.0, 1920, 1920),
        &["It goes faster: ♩ = 140 instead of ♩ = 100.", "The foot taps half notes instead of quarter notes."],
    );
    let feel = |pair: i64, percent: f64| {
        let swing = Swing::from_percent(percent).unwrap();
        edited(&beat, Edit::SetFeel(Feel::new(Tick(pair), Written::Straight, swing, Vec::new()).unwrap()))
    };
    check(&beat, &feel(480, 59.0), &["It swings: sixteenths swing, long 59 to short 41."]);
    check(&feel(480, 59.0), &beat, &["The swing goes: it is straight now, not 59 : 41."]);
    check(&feel(480, 59.0), &feel(480, 54.0), &["It swings less: 54 : 46 instead of 59 : 41."]);
    check(&feel(960, 50.0), &beat, &[]);
    let leaning = |ms: f64| change_head(&beat, 0, |head| head.lean = Lean::from_ms(ms).unwrap());
    check(&beat, &leaning(14.0), &["The kick leans 14 ms late."]);
    check(&leaning(-5.0), &leaning(14.0), &["The kick leans 14 ms late instead of 5 ms early."]);
    check(&leaning(14.0), &beat, &["The kick plays in time, no longer 14 ms late."]);
    check(
        &beat,
        &edited(&beat, Edit::SetSound(Sound { kit: "dry".parse().unwrap(), ..beat.sound.clone() })),
        &["Other drums play."],
    );
}

#[test]
fn across_metres_and_lengths() {
    let four = over("4/4", 480, &[("kick", "x.......")]);
    let three = over("3/4", 480, &[("kick", "x....x")]);
    check(&four, &three, &["The metre changes from 4/4 to 3/4.", "The kick also plays the and of 3."]);
    let axis = Axis::of(&four, &three);
    assert_eq!((axis.bars, axis.bar), (1, Tick(3840)));
    // One bar beside two, two beside three: until they come round together.
    let two = rows(&[("kick", "x...............|x.......x.......")]);
    let once = rows(&[("kick", "x...............")]);
    let axis = Axis::of(&once, &two);
    assert_eq!(axis.bars, 2);
    let marks: Vec<i64> = axis.lines[0]
        .marks
        .iter()
        .filter_map(|mark| if let Mark::OnlyB(spot) = mark { Some(spot.at.0) } else { None })
        .collect();
    assert_eq!(marks, [5760]);
    assert!(
        matches!(axis.lines[0].marks[1], Mark::Same(a, b) if a.at == Tick(3840) && a.written == Tick(0) && b.written == Tick(3840))
    );
    let long = rows(&[("kick", "x...............|%|%")]);
    assert_eq!(Axis::of(&two, &long).bars, 6);
    // Bars of two beside bars of four: the loops run on.
    let half = over("2/4", 240, &[("kick", "x.......|....x...")]);
    check(
        &half,
        &rows(&[("kick", "x...........x...")]),
        &["The metre changes from 2/4 to 4/4.", "It comes round after 1 bar instead of 2 bars."],
    );
    // 5 and 8 bars would take 40.
    let bars = |count: usize| rows(&[("kick", &["x..............."; 8][..count].join("|"))]);
    assert_eq!(Axis::of(&bars(5), &bars(8)).bars, 8);
    check(&once, &two, &["In bar 2 the kick also plays 3.", "It comes round after 2 bars instead of 1 bar."]);
}

#[test]
fn sounds_by_what_is_measured() {
    let beat = rows(&[("kick", "x...............")]);
    let own = |voice: Option<Role>, measure| match (voice, measure) {
        (None, SoundMeasure::Bandwidth) => Some(16_000.0),
        (Some(_), SoundMeasure::Decay) => Some(200.0),
        (Some(_), SoundMeasure::Pitch) => Some(50.0),
        _ => None,
    };
    let other = |voice: Option<Role>, measure| match (voice, measure) {
        (None, SoundMeasure::Bandwidth) => Some(6_000.0),
        (Some(_), SoundMeasure::Decay) => Some(600.0),
        // Less than a semitone is no other pitch.
        (Some(_), SoundMeasure::Pitch) => Some(51.0),
        (Some(_), SoundMeasure::Gate) => Some(300.0),
        _ => None,
    };
    let found =
        contrast(Compared { sound: Some(&own), ..bare(&beat) }, Compared { sound: Some(&other), ..bare(&beat) });
    assert_eq!(
        told(&beat, &beat, &found),
        ["The whole mix sounds more muffled.", "The kick sounds longer and cut off short."]
    );
}

#[test]
fn what_makes_the_style_comes_first() {
    let (house, disco) = (style("house"), style("techno"));
    let side = |style: &'static Style| Compared { groove: &style.groove, hallmarks: &style.hallmarks, sound: None };
    let found = contrast(side(house), side(disco));
    let ranks: Vec<Option<Rank>> = found.differences.iter().map(|difference| difference.rank()).collect();
    let weight = |rank: &Option<Rank>| match rank {
        Some(Rank::Signature) => 0,
        Some(Rank::Frame) => 1,
        Some(Rank::Seasoning) => 2,
        None => 3,
    };
    assert!(ranks.is_sorted_by_key(weight), "{ranks:?}");
    assert_eq!(ranks[0], Some(Rank::Signature));
    for (a, b) in
        [("house", "techno"), ("trap", "uk-drill"), ("reggaeton", "modern-dancehall"), ("boom-bap", "lo-fi-hip-hop")]
    {
        let (a, b) = (style(a), style(b));
        let found = contrast(side(a), side(b));
        println!("{} to {}", a.id, b.id);
        for (difference, told) in found.differences.iter().zip(told(&a.groove, &b.groove, &found)) {
            println!("  {:?} {:.2}: {told}", difference.rank(), difference.size);
        }
    }
}

/// What is left of the differences when the demonstration of one has been made.
fn left(a: &Groove, b: &Groove, edits: &[Edit]) -> (Groove, Vec<Finding>) {
    let changed = edited(a, Edit::Several(edits.to_vec()));
    let found = contrast(bare(&changed), bare(b));
    (changed, found.differences.into_iter().map(|difference| difference.finding).collect())
}

fn same_aspect(a: &Finding, b: &Finding) -> bool {
    match (a, b) {
        (Finding::Part(x), Finding::Part(y)) => x.roles().any(|role| y.roles().any(|other| other == role)),
        (Finding::Lean { role: x, .. }, Finding::Lean { role: y, .. }) => x == y,
        (Finding::Sound { voice: x, .. }, Finding::Sound { voice: y, .. }) => x == y,
        _ => core::mem::discriminant(a) == core::mem::discriminant(b),
    }
}

#[test]
fn every_two_styles_differ_and_each_difference_can_be_heard_alone() {
    let all = for_each_style(|a: &Style| {
        let (mut count, mut most) = (0, 0);
        for b in STYLES.iter().filter(|b| b.id != a.id) {
            let found = contrast(
                Compared { hallmarks: &a.hallmarks, ..bare(&a.groove) },
                Compared { hallmarks: &b.hallmarks, ..bare(&b.groove) },
            );
            assert!(!found.differences.is_empty(), "{} {}", a.id, b.id);
            most = most.max(found.differences.len());
            count += 1;
            for text in told(&a.groove, &b.groove, &found) {
                assert!(text.ends_with('.') && text.len() < 220 && !text.contains("  "), "{text}");
            }
            for difference in &found.differences {
                assert!(!difference.demonstration.is_empty(), "{} {}: {:?}", a.id, b.id, difference.finding);
                let changed = edited(&a.groove, Edit::Several(difference.demonstration.clone()));
                assert!(changed != a.groove, "{} {}: {:?}", a.id, b.id, difference.finding);
            }
        }
        (count, most)
    });
    let (count, most) = all.iter().fold((0, 0), |(count, most), (more, longest)| (count + more, most.max(*longest)));
    println!("{count} contrasts, at most {most} differences each");
    assert_eq!(count, STYLES.len() * (STYLES.len() - 1));
}

proptest! {
    #![proptest_config(seeded(200))]

    #[test]
    fn a_groove_does_not_differ_from_itself(groove in any_groove()) {
        prop_assert!(contrast(bare(&groove), bare(&groove)).differences.is_empty());
    }

    #[test]
    fn a_demonstration_takes_its_difference_away_and_no_other(groove in any_groove(), other in any_groove()) {
        // Over the same bars each aspect stands alone; but a speed that is no tempo in the other's count needs both.
        let (x, y) = (groove.tempo, other.tempo);
        prop_assume!(x.counted_in(y.unit()).is_some() && y.counted_in(x.unit()).is_some());
        let b = Groove { tempo: other.tempo, feel: other.feel, ..groove.clone() };
        let before = contrast(bare(&groove), bare(&b)).differences;
        for difference in &before {
            let (_, left) = left(&groove, &b, &difference.demonstration);
            prop_assert_eq!(left.len(), before.len() - 1, "{:?}: {:?}", difference.finding, left);
            prop_assert!(!left.iter().any(|finding| same_aspect(finding, &difference.finding)));
        }
    }

    #[test]
    fn every_stroke_is_on_the_axis_once_a_round(a in any_groove(), b in any_groove()) {
        let axis = Axis::of(&a, &b);
        let (long, short) = (a.pattern.metre().bar(), b.pattern.metre().bar());
        let running = long.max(short).0 % long.min(short).0 == 0;
        for (groove, second) in [(&a, false), (&b, true)] {
            let strokes: usize = groove.pattern.lanes().iter().map(|lane| lane.strokes().len()).sum();
            let (axis_length, own) = if running {
                (axis.length().0, groove.pattern.length().0)
            } else {
                (axis.bars, i64::from(groove.pattern.bars()))
            };
            let turns = (axis_length / own) as usize;
            let spot = |mark: &Mark| if second { mark.b() } else { mark.a() };
            let laid = axis.lines.iter().flat_map(|line| &line.marks).filter_map(spot);
            let laid: Vec<Tick> = laid.map(|spot| spot.at).collect();
            if axis_length % own == 0 {
                prop_assert_eq!(laid.len(), strokes * turns);
            }
            prop_assert!(laid.iter().all(|at| (0..axis.length().0).contains(&at.0)));
        }
        for line in &axis.lines {
            prop_assert!(line.marks.iter().all(|mark| mark.a().is_none() || line.a.is_some()));
        }
    }
}

#[test]
fn a_part_is_taken_over_bar_on_bar() {
    // The kick of a bar of three over two bars of four.
    let four = over("4/4", 480, &[("kick", "x.......|x......."), ("snare", "..x...x.|..x...x.")]);
    let three = over("3/4", 480, &[("kick", "x....x"), ("snare", "..x.x.")]);
    let found = contrast(bare(&four), bare(&three));
    let kick = found
        .differences
        .iter()
        .find(|difference| matches!(&difference.finding, Finding::Part(change) if change.to == Some(Role::Kick)));
    let changed = edited(&four, Edit::Several(kick.unwrap().demonstration.clone()));
    assert_eq!(changed, over("4/4", 480, &[("kick", "x....x..|x....x.."), ("snare", "..x...x.|..x...x.")]));
    assert_eq!(changed.pattern.lanes()[0].id, LaneId(1));
}
