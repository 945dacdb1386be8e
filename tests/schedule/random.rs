//! Properties: whatever is played, pumped and changed at random, every stroke sounds exactly once, in its place.

use crate::grooves::*;
use crate::player::Player;
use proptest::collection::vec;
use proptest::prelude::*;
use proptest::sample::{Index, select};
use std::collections::{BTreeMap, BTreeSet};
use stickleback::rhythm::*;
use stickleback::role::Role;
use stickleback::schedule::{Cause, End, Key, Line, Span, Start, ideal};

const RATES: [f64; 3] = [44_100.0, 48_000.0, 96_000.0];

/// How long to wait between pumps, in ms: mostly a timer's tick, sometimes a stall.
fn any_waits(seconds: u32) -> impl Strategy<Value = Vec<f64>> {
    let wait = prop_oneof![3 => 5.0..60.0, 1 => 60.0..250.0];
    vec(wait, seconds as usize * 12)
}

fn sorted(mut list: Vec<(Key, Frames)>, until: Frames) -> Vec<(Key, Frames)> {
    list.retain(|(_, frame)| *frame < until);
    list.sort_unstable();
    list
}

/// The end of a stroke on `lane` that starts at `frame`, the slow way: look through all that is ever played.
fn slow_end(groove: &Groove, rate: f64, all: &[(Key, Frames)], key: &Key, frame: Frames, exact: f64) -> Option<End> {
    let lane_of = |key: &Key| groove.pattern.lane(key.lane().unwrap()).unwrap();
    let lane = lane_of(key);
    let role = lane.head.role;
    let cutting: &[Role] = match role {
        Role::HatOpen => &[Role::HatClosed, Role::HatPedal],
        Role::CongaHigh | Role::CongaLow => &[Role::CongaMuted, Role::CongaSlap],
        _ => &[],
    };
    let mono = [Role::LogDrum, Role::SubBass, Role::Bass, Role::VocalChop].contains(&role);
    let cuts = |by: &Key| if mono { by.lane() == key.lane() } else { cutting.contains(&lane_of(by).head.role) };
    let next = all.iter().filter(|(by, at)| *at > frame && cuts(by)).map(|(_, at)| *at).min();
    let cause = if mono { Cause::Mono } else { Cause::Choked };
    let cut = next.map(|frame| End { frame, cause });
    let stroke = lane.by_id(key.stroke).unwrap();
    let parts = stroke.roll.map_or(1, |roll| i64::from(roll.strokes));
    let length = stroke.length.filter(|_| key.part != Part::Grace).map(|length| {
        let seconds = groove.tempo.seconds((length.0 / parts) as f64);
        End { frame: Frames((exact + seconds.0 * rate).round() as i64), cause: Cause::Length }
    });
    length.into_iter().chain(cut).min_by_key(|end| end.frame)
}

proptest! {
    #![proptest_config(seeded(96))]

    /// Unchanged, a groove is played exactly as the direct list has it, however it is pumped.
    #[test]
    fn played_as_written(groove in any_groove(), rate in select(RATES.to_vec()), waits in any_waits(6), click: bool, count_in in 0_u32..5) {
        let mut player = Player::start(&groove, rate, Start { click, count_in, ..Start::default() });
        for wait in waits {
            player.wait(wait);
        }
        let length = groove.tempo.seconds(groove.pattern.length().as_f64()).to_frames(rate).0;
        let passes = ((player.now - player.anchor()).0.max(0) / length + 6) as u32;
        prop_assert_eq!(player.sounded(), sorted(ideal(&groove, rate, player.anchor(), passes), player.now));
        prop_assert_eq!(player.ledger.dropped(), 0);
        prop_assert_eq!(player.line(Line::CountIn).len(), count_in as usize);
    }

    /// Every end is that of the next cutting stroke or of the written length, over seams.
    #[test]
    fn ended_as_written(
        mut groove in any_groove(),
        roles in vec(select(vec![
            Role::HatOpen, Role::HatClosed, Role::HatPedal, Role::CongaHigh, Role::CongaSlap, Role::SubBass, Role::Chord,
        ]), 6),
    ) {
        for (lane, role) in groove.pattern.clone().lanes().iter().zip(roles) {
            groove.apply(&Edit::SetHead(lane.id, LaneHead { role, ..lane.head })).unwrap();
        }
        let mut player = Player::start(&groove, 48_000.0, Start::default());
        player.run(4000.0);
        let length = groove.tempo.seconds(groove.pattern.length().as_f64()).to_frames(48_000.0).0;
        let passes = (player.now - player.anchor()).0.max(0) / length + 8;
        let all = ideal(&groove, 48_000.0, player.anchor(), passes as u32);
        let hits = sounding::hits(&groove);
        for event in player.events.values() {
            let hit = hits.iter().find(|h| (Some(h.lane), h.stroke, h.part) == (event.key.lane(), event.key.stroke, event.key.part));
            let ticks = f64::from(event.key.pass) * groove.pattern.length().as_f64() + hit.unwrap().ticks;
            let exact = player.anchor().0 as f64 + (groove.tempo.seconds(ticks) + hit.unwrap().offset).0 * 48_000.0;
            let want = slow_end(&groove, 48_000.0, &all, &event.key, event.frame, exact);
            prop_assert_eq!(event.end, want, "{:?}", event);
        }
    }

    /// A loop is the passes of its beats alone.
    #[test]
    fn loops_as_written(groove in any_groove(), from: Index, to: Index, at: Index, waits in any_waits(5)) {
        let metre = groove.pattern.metre();
        let bars = 0..i64::from(groove.pattern.bars());
        let mut beats: Vec<Tick> = bars
            .flat_map(|bar| (0..metre.beat_count()).map(move |beat| (bar, beat)))
            .map(|(bar, beat)| metre.bar().times(bar) + metre.beat_start(beat))
            .collect();
        beats.push(groove.pattern.length());
        let start = from.index(beats.len() - 1);
        let end = start + 1 + to.index(beats.len() - 1 - start);
        let span = Span::new(&groove.pattern, beats[start], beats[end]).unwrap();
        let at = beats[start] + Tick(at.index(span.length().0 as usize) as i64);
        let mut player = Player::start(&groove, 48_000.0, Start { at, span: Some(span), ..Start::default() });
        for wait in waits {
            player.wait(wait);
        }
        let mut want = Vec::new();
        for hit in sounding::hits(&groove) {
            let written = groove.pattern.lane(hit.lane).unwrap().by_id(hit.stroke).unwrap().at;
            if !span.contains(written) {
                continue;
            }
            for pass in 0..400 {
                // Ticks since the start: what was left of the first pass, then whole ones.
                let ticks = hit.ticks - at.as_f64() + span.length().times(pass).as_f64();
                let seconds = groove.tempo.seconds(ticks) + hit.offset;
                let key = Key { pass: pass as u32, line: Line::Lane(hit.lane), stroke: hit.stroke, part: hit.part };
                if pass > 0 || written >= at {
                    want.push((key, Frames((player.anchor().0 as f64 + seconds.0 * 48_000.0).round() as i64)));
                }
            }
        }
        prop_assert_eq!(player.sounded(), sorted(want, player.now));
    }
}

/// One change while playing.
#[derive(Clone, Debug)]
enum Change {
    Loudness(Index, Index, u8),
    Clear(Index, Index),
    Put(Index, Stroke),
    Lean(Index, i16),
    AddLane(Lane),
    RemoveLane(Index),
    Tempo(Tempo),
    Feel(Feel),
    Bars(u8),
    Metre(Metre),
    Loop(Index, Index),
    Unloop,
    Click(bool),
    Exchange(Box<Groove>),
}

impl Change {
    /// Makes the change; what does not fit the groove is left out.
    fn make(&self, player: &mut Player) {
        let mut groove = Groove::clone(player.transport.groove());
        let lanes = groove.pattern.lanes().to_vec();
        let lane = |index: &Index| (!lanes.is_empty()).then(|| index.get(&lanes));
        let stroke =
            |lane: &Lane, index: &Index| (!lane.strokes().is_empty()).then(|| index.get(lane.strokes()).clone());
        let edit = match self {
            Change::Loudness(l, s, loudness) => lane(l).and_then(|lane| {
                let loudness = Loudness::new(*loudness)?;
                Some(Edit::Put(lane.id, stroke(lane, s)?.with_loudness(loudness)))
            }),
            Change::Clear(l, s) => lane(l).and_then(|lane| Some(Edit::Clear(lane.id, stroke(lane, s)?.at))),
            Change::Put(l, stroke) => lane(l).map(|lane| Edit::Put(lane.id, stroke.clone())),
            Change::Lean(l, tenths) => lane(l).and_then(|lane| {
                Some(Edit::SetHead(lane.id, LaneHead { lean: Lean::from_tenths(*tenths)?, ..lane.head }))
            }),
            Change::AddLane(lane) => Some(Edit::AddLane(0, lane.clone())),
            Change::RemoveLane(l) => lane(l).map(|lane| Edit::RemoveLane(lane.id)),
            Change::Tempo(tempo) => Some(Edit::SetTempo(*tempo)),
            Change::Feel(feel) => Some(Edit::SetFeel(feel.clone())),
            Change::Bars(bars) => Some(Edit::SetBars(*bars)),
            Change::Metre(metre) => Some(Edit::SetMetre(metre.clone())),
            Change::Loop(from, to) => {
                let metre = groove.pattern.metre();
                let start = metre.beat_start(from.index(metre.beat_count()));
                let bar = metre.bar().times(to.index(usize::from(groove.pattern.bars())) as i64 + 1);
                player.transport.set_span(Span::new(&groove.pattern, start, bar), player.now);
                None
            }
            Change::Unloop => {
                player.transport.set_span(None, player.now);
                None
            }
            Change::Click(on) => {
                player.transport.set_click(*on);
                None
            }
            Change::Exchange(groove) => {
                player.transport.exchange(std::sync::Arc::new(Groove::clone(groove)), player.now);
                None
            }
        };
        if let Some(edit) = edit
            && groove.apply(&edit).is_ok()
        {
            player.edit(&groove);
        }
        player.pump();
    }
}

fn any_loudness_change() -> impl Strategy<Value = Change> {
    (any::<Index>(), any::<Index>(), 1_u8..=127).prop_map(|(lane, stroke, value)| Change::Loudness(lane, stroke, value))
}

/// Changes that leave every stroke in the groove.
fn any_keeping_change() -> impl Strategy<Value = Change> {
    prop_oneof![
        any_loudness_change(),
        (any::<Index>(), -600_i16..=600).prop_map(|(lane, lean)| Change::Lean(lane, lean)),
        any_tempo().prop_map(Change::Tempo),
        any_feel().prop_map(Change::Feel),
        any::<bool>().prop_map(Change::Click),
    ]
}

fn any_change() -> impl Strategy<Value = Change> {
    let length = Tick(3840);
    prop_oneof![
        5 => any_keeping_change(),
        1 => (any::<Index>(), any::<Index>()).prop_map(|(lane, stroke)| Change::Clear(lane, stroke)),
        2 => (any::<Index>(), any_stroke(length, Tick(240))).prop_map(|(lane, stroke)| Change::Put(lane, stroke)),
        1 => any_lane(length).prop_map(Change::AddLane),
        1 => any::<Index>().prop_map(Change::RemoveLane),
        1 => (1_u8..=4).prop_map(Change::Bars),
        1 => any_metre().prop_map(Change::Metre),
        1 => (any::<Index>(), any::<Index>()).prop_map(|(from, to)| Change::Loop(from, to)),
        1 => Just(Change::Unloop),
        1 => any_groove().prop_map(|groove| Change::Exchange(Box::new(groove))),
    ]
}

/// Changes at random moments, with the waits before them.
fn any_course(change: impl Strategy<Value = Change>) -> impl Strategy<Value = Vec<(f64, Option<Change>)>> {
    let wait = prop_oneof![3 => 1.0..60.0, 1 => 60.0..250.0];
    vec((wait, proptest::option::weighted(0.15, change)), 30..90)
}

/// Where a place lies on the clock while only the tempo changes: (frame, ticks since the start, tempo) of every change.
struct Course {
    pieces: Vec<(Frames, f64, Tempo)>,
    rate: f64,
}

impl Course {
    fn turn(&mut self, from: Frames, tempo: Tempo) {
        let &(frame, ticks, before) = self.pieces.last().unwrap();
        self.pieces.push((from, ticks + before.ticks((from - frame).to_seconds(self.rate)), tempo));
    }

    fn frame(&self, ticks: f64, offset: Seconds) -> Frames {
        let mut found = Frames(0);
        for (index, (from, at, tempo)) in self.pieces.iter().enumerate() {
            let here = Frames((from.0 as f64 + (tempo.seconds(ticks - at) + offset).0 * self.rate).round() as i64);
            found = if index == 0 { here } else { here.max(*from) };
            if self.pieces.get(index + 1).is_none_or(|next| found < next.0) {
                break;
            }
        }
        found
    }
}

proptest! {
    #![proptest_config(seeded(64))]

    /// Tempo changes move every stroke to its exact place, once.
    #[test]
    fn tempo_changes_are_exact(
        groove in any_groove(),
        rate in select(RATES.to_vec()),
        course in vec((any_waits(1), any_tempo()), 1..6),
    ) {
        let mut player = Player::start(&groove, rate, Start::default());
        let mut reference = Course { pieces: vec![(player.anchor(), 0.0, groove.tempo)], rate };
        for (waits, tempo) in course {
            for wait in waits {
                player.wait(wait);
            }
            let edited = edited(player.transport.groove(), Edit::SetTempo(tempo));
            if edited.tempo != player.transport.groove().tempo {
                reference.turn(player.now + player.ms(60.0), tempo);
            }
            player.edit(&edited);
        }
        player.run(1000.0);
        let length = groove.pattern.length();
        let mut want = Vec::new();
        for hit in sounding::hits(&groove) {
            for pass in 0..200 {
                let key = Key { pass: pass as u32, line: Line::Lane(hit.lane), stroke: hit.stroke, part: hit.part };
                want.push((key, reference.frame(length.times(pass).as_f64() + hit.ticks, hit.offset)));
            }
        }
        prop_assert_eq!(player.sounded(), sorted(want, player.now));
        prop_assert_eq!(player.ledger.dropped(), 0);
    }

    /// A stroke that stays in the groove sounds exactly once in every pass, whatever tempo, feel, lean and loudness do.
    #[test]
    fn what_stays_sounds_once_a_pass(groove in any_groove(), course in any_course(any_keeping_change())) {
        let mut player = Player::start(&groove, 48_000.0, Start::default());
        for (wait, change) in course {
            player.wait(wait);
            if let Some(change) = change {
                change.make(&mut player);
            }
        }
        // Long rolls and late strokes of the last whole pass need time to come to their end.
        let passes = player.transport.pass(player.now);
        for _ in 0..4 {
            player.run(8000.0);
        }
        let sounded: BTreeSet<Key> = player.sounded().into_iter().map(|(key, _)| key).filter(|key| key.pass < passes).collect();
        let hits = sounding::hits(&groove);
        let want: BTreeSet<Key> = (0..passes)
            .flat_map(|pass| hits.iter().map(move |hit| Key { pass, line: Line::Lane(hit.lane), stroke: hit.stroke, part: hit.part }))
            .collect();
        prop_assert_eq!(sounded, want);
        prop_assert_eq!(player.ledger.dropped(), 0);
    }

    /// Under any changes the bookkeeping audio engine finds nothing to refuse, what was not touched goes on, and when
    /// the changes are over everything falls into its exact place again.
    #[test]
    fn any_changes_settle(groove in any_groove(), course in any_course(any_change())) {
        let mut player = Player::start(&groove, 48_000.0, Start::default());
        for (wait, change) in course {
            player.wait(wait);
            if let Some(change) = change {
                change.make(&mut player);
            }
        }
        let quiet = player.now;
        player.run(6000.0);
        let segment = player.transport.segments().last().unwrap().clone();
        let last = player.transport.groove().clone();
        prop_assert!(std::sync::Arc::ptr_eq(&segment.groove, &last));
        // Where the first whole pass of the last segment begins, the direct way.
        let left = segment.first.end().as_f64() - segment.tick;
        let settled = quiet.max(segment.from) + Frames(2 * 48_000);
        let mut want = BTreeMap::new();
        for hit in sounding::hits(&last) {
            let written = last.pattern.lane(hit.lane).unwrap().by_id(hit.stroke).unwrap().at;
            if !segment.span.contains(written) {
                continue;
            }
            for turn in 0..100_u32 {
                let ticks = left + f64::from(turn) * segment.span.length().as_f64() + hit.ticks - segment.span.start().as_f64();
                let time = segment.anchor + (last.tempo.seconds(ticks) + hit.offset).0 * 48_000.0;
                let pass = segment.next_pass + turn;
                let key = Key { pass, line: Line::Lane(hit.lane), stroke: hit.stroke, part: hit.part };
                want.insert(key, Frames(time.round() as i64));
            }
        }
        let from_now_on = |frame: Frames| settled <= frame && frame < player.now;
        for (key, frame) in player.sounded() {
            if from_now_on(frame) && key.pass >= segment.next_pass {
                prop_assert_eq!(want.get(&key), Some(&frame), "{:?}", key);
            }
        }
        for (key, frame) in want {
            if from_now_on(frame) {
                prop_assert_eq!(player.events.get(&key).map(|event| event.frame), Some(frame), "{:?}", key);
            }
        }
        prop_assert_eq!(player.ledger.dropped(), 0);
    }
}
