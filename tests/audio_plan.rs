//! Plans rendered through the reference bus: what the schedule says is where the sound is.

mod material;

use material::{beat, busy, full_tone, groove, kit, quarters};
use std::sync::Arc;
use stickleback::audio::{Plan, plan, voicing};
use stickleback::rhythm::{Frames, Groove, TapeSpeed};
use stickleback::role::Role;
use stickleback::schedule::ideal::ideal;
use stickleback::schedule::{Cause, End, Start};
use stickleback::synth::Tone;

/// The frame of the first sample above `level` in `from..to`.
fn onset(samples: &[f32], from: i64, to: i64, level: f32) -> Option<i64> {
    let span = samples.get(from.max(0) as usize..(to.max(0) as usize).min(samples.len()))?;
    span.iter().position(|x| x.abs() > level).map(|n| n as i64 + from.max(0))
}

fn render(groove: &Arc<Groove>, passes: u32, rate: u32, tone: &Tone) -> (Plan, [Vec<f32>; 2]) {
    let kit = kit();
    let plan = plan(groove, &kit, passes, Start::default(), rate);
    let mix = plan.render(&kit, tone, 0.5);
    (plan, mix)
}

#[test]
fn every_stroke_of_every_pass_is_planned_on_its_frame() {
    for bpm in [60.0, 97.0, 174.0] {
        for groove in [beat(bpm), busy(bpm)] {
            for rate in [16_000, 44_100, 48_000, 96_000] {
                let plan = plan(&groove, &kit(), 5, Start::default(), rate);
                let mut found: Vec<_> = plan.events.iter().map(|p| (p.event.key, p.event.frame)).collect();
                found.sort();
                let mut want = ideal(&groove, f64::from(rate), plan.origin, 5);
                want.sort();
                assert_eq!(found, want, "{bpm} at {rate}");
            }
        }
    }
}

#[test]
fn a_render_has_its_onsets_where_the_schedule_says() {
    for (bpm, rate) in [(60.0, 48_000), (97.0, 44_100), (140.0, 96_000), (174.0, 16_000)] {
        let (plan, [left, _]) = render(&quarters(bpm), 4, rate, &Tone::NEUTRAL);
        assert_eq!(plan.events.len(), 16);
        let ms = |ms: f64| (ms * f64::from(rate) / 1000.0) as i64;
        for planned in &plan.events {
            let want = planned.event.frame.0;
            // Each kick dies away long before the next; the filters of the bus add less than a millisecond.
            let found = onset(&left, want - ms(60.0), want + ms(20.0), 0.004).unwrap();
            assert!((0..=ms(1.0).max(8)).contains(&(found - want)), "{bpm} at {rate}: {found} for {want}");
        }
    }
}

#[test]
fn a_loop_renders_the_same_in_every_pass() {
    let (plan, [left, _]) = render(&beat(120.0), 3, 48_000, &Tone::NEUTRAL);
    let bar = 96_000;
    let start = plan.origin.0 as usize + bar;
    let (second, third) = (&left[start..start + bar], &left[start + bar..start + 2 * bar]);
    let difference = second.iter().zip(third).map(|(a, b)| (a - b).abs()).fold(0.0_f32, f32::max);
    assert!(difference < 1e-5, "{difference}");
    let peak = second.iter().fold(0.0_f32, |peak, x| peak.max(x.abs()));
    assert!((0.05..=0.981).contains(&peak), "{peak}");
}

#[test]
fn the_busiest_groove_stays_bounded_and_ends_in_silence() {
    for speed in [250, 1000, 4000] {
        let mut busy = Groove::clone(&busy(174.0));
        busy.sound.speed = TapeSpeed::from_thousandths(speed).unwrap();
        let mut tone = full_tone();
        tone.figures.surface_noise_db = -120.0;
        let kit = kit();
        let plan = plan(&Arc::new(busy), &kit, 2, Start::default(), 48_000);
        let mix = plan.render(&kit, &tone, 6.0);
        assert!(mix.iter().flatten().all(|x| x.is_finite() && x.abs() <= 0.981));
        assert!(mix.iter().all(|channel| channel[channel.len() - 480..].iter().all(|x| x.abs() < 1e-4)), "{speed}");
    }
}

#[test]
fn an_open_hat_is_cut_by_the_closed_one_across_the_seam() {
    let plan = plan(&beat(120.0), &kit(), 2, Start::default(), 48_000);
    let open: Vec<_> = plan.events.iter().filter(|p| p.voiced.key.role == Role::HatOpen).collect();
    assert_eq!(open.len(), 2);
    for planned in open {
        // Two sixteenths to the next bar's closed hat.
        let (after, ms) = planned.voiced.fade.unwrap();
        assert!((after - 0.25).abs() < 1e-4 && (ms - voicing::CUT_MS).abs() < 1e-12);
        assert!(planned.voiced.lasts(2.0) < 0.26);
    }
}

#[test]
fn voices_follow_the_stroke() {
    let kit = kit();
    let plan = plan(&busy(100.0), &kit, 1, Start::default(), 48_000);
    let of = |role: Role| plan.events.iter().filter(move |p| p.voiced.key.role == role).collect::<Vec<_>>();
    // The roll bends its drum by five semitones in even parts.
    let roll: Vec<f64> = of(Role::HatClosed).iter().rev().take(6).map(|p| p.voiced.first_cents()).collect();
    assert_eq!(roll.iter().rev().map(|cents| cents.round() as i64).collect::<Vec<_>>(), [0, 100, 200, 300, 400, 500]);
    // Rising loudness: rising gain, and no softer layer.
    let gains: Vec<f32> = of(Role::HatClosed).iter().rev().take(6).map(|p| p.voiced.gain).collect();
    assert!(gains.is_sorted_by(|later, earlier| later > earlier));
    // The held bass: tonic 36, as long as it must be, and a slide of seven semitones in its last 120 ms.
    let bass = of(Role::SubBass);
    assert_eq!(bass.iter().map(|p| p.voiced.key.notes.clone()).collect::<Vec<_>>(), [vec![36], vec![36], vec![31]]);
    // The one that slides up is read faster and needs more of its buffer.
    assert_eq!(bass.iter().map(|p| p.voiced.key.held).collect::<Vec<_>>(), [10, 20, 10]);
    let slide = &bass[1].voiced.bend;
    let length = 1100.0 / 960.0 * 0.6;
    assert_eq!(slide.len(), 3);
    for (corner, (seconds, cents)) in slide.iter().zip([(0.0, 0.0), (length - 0.12, 0.0), (length, 700.0)]) {
        assert!((corner.seconds - seconds).abs() < 1e-4 && (corner.cents - cents).abs() < 1e-6, "{corner:?}");
    }
    assert_eq!(bass[1].event.end.map(|end| end.cause), Some(Cause::Length));
    assert_eq!(bass[1].voiced.fade.map(|(_, ms)| ms), Some(30.0));
    // Strokes that sound alike share their buffers.
    assert!(plan.keys().len() < plan.events.len());
}

#[test]
fn a_missing_voice_is_stood_in_for_or_left_out() {
    let mut bare = stickleback::synth::Kit::clone(&kit());
    bare.voices.retain(|role, _| *role == Role::HatClosed);
    let groove =
        Arc::new(groove(100.0, 50.0, &[(Role::HatOpen, "x..............."), (Role::Snare, "x...............")]));
    let plan = plan(&groove, &bare, 1, Start::default(), 48_000);
    let roles: Vec<Role> = plan.events.iter().map(|p| p.voiced.key.role).collect();
    assert_eq!(roles, [Role::HatClosed], "the hat has a stand-in, the snare none");
}

#[test]
fn an_end_before_the_start_is_an_end_at_the_start() {
    let kit = kit();
    let mut event = plan(&quarters(100.0), &kit, 1, Start::default(), 48_000).events[0].event.clone();
    event.end = Some(End { frame: event.frame - Frames(100), cause: Cause::Choked });
    let voiced = voicing::voice(&event, &kit, TapeSpeed::NEUTRAL, 0.0, 48_000.0).unwrap();
    assert_eq!(voiced.fade, Some((0.0, voicing::CUT_MS)));
}
