//! The player in a real browser: `cargo test --target wasm32-unknown-unknown --test web_audio`.
//!
//! A small script wraps the engine's constructors and methods, so that a test sees every start and hears what reaches the
//! destination, and can make the engine lie about its state.
#![cfg(all(target_arch = "wasm32", feature = "web"))]
#![allow(clippy::unwrap_used, clippy::panic, clippy::float_cmp, reason = "a test may stop at the first surprise")]

mod material;
mod web_styles;

use js_sys::{Array, Float32Array, Promise, Reflect};
use material::{beat, busy, full_tone, kit, quarters};
use std::cell::RefCell;
use std::rc::Rc;
use std::sync::Arc;
use stickleback::audio::{Failure, PlayOptions, Player, Status, offline, plan};
use stickleback::rhythm::{Groove, LaneId, Loudness};
use stickleback::role::Role;
use stickleback::schedule::{Caret, Start};
use stickleback::synth::spectrum::Spectrum;
use stickleback::synth::{Kit, Tone};
use wasm_bindgen::JsValue;
use wasm_bindgen_futures::JsFuture;
use wasm_bindgen_test::{console_log, wasm_bindgen_test, wasm_bindgen_test_configure};

wasm_bindgen_test_configure!(run_in_browser);

/// Wraps the engine once; what it saw is in `window.bench`.
const BENCH: &str = r#"
(() => {
  if (window.bench) return;
  const bench = { contexts: [], starts: [], errors: [], options: undefined, spoil: undefined };
  window.bench = bench;
  window.addEventListener("error", (event) => bench.errors.push(String(event.message)));
  window.addEventListener("unhandledrejection", (event) => bench.errors.push(String(event.reason)));
  const Native = window.AudioContext;
  bench.Native = Native;
  window.AudioContext = class extends Native {
    constructor(options) {
      super(bench.options || options);
      bench.contexts.push(this);
      this.tap = new AnalyserNode(this, { fftSize: 1024 });
      if (bench.spoil) bench.spoil(this);
    }
  };
  const connect = AudioNode.prototype.connect;
  AudioNode.prototype.connect = function (target, ...rest) {
    if (target === this.context.destination && this.context.tap) connect.call(this, this.context.tap);
    return connect.call(this, target, ...rest);
  };
  const start = AudioBufferSourceNode.prototype.start;
  AudioBufferSourceNode.prototype.start = function (...at) {
    if (!this.loop && this.context.tap) {
      bench.starts.push({ when: at[0], now: this.context.currentTime, rate: this.context.sampleRate, of: this.buffer.sampleRate });
    }
    return start.apply(this, at);
  };
  bench.level = () => {
    const context = bench.contexts.at(-1);
    const samples = new Float32Array(1024);
    context.tap.getFloatTimeDomainData(samples);
    return samples.reduce((peak, x) => Math.max(peak, Math.abs(x)), 0);
  };
  bench.say = (word) => {
    const context = bench.contexts.at(-1);
    Object.defineProperty(context, "state", { get: () => word, configurable: true });
    context.dispatchEvent(new Event("statechange"));
  };
})();
"#;

fn js(script: &str) -> JsValue {
    js_sys::eval(script).unwrap()
}

fn number(script: &str) -> f64 {
    js(script).as_f64().unwrap()
}

/// Wraps the engine, and puts everything back as it was.
fn fresh() {
    js(BENCH);
    // A test that failed leaves its player behind: without a context it is mute.
    js("bench.contexts.forEach((context) => context.close().catch(() => {})); bench.contexts = [];");
    js("bench.starts = []; bench.errors = []; bench.options = undefined; bench.spoil = undefined;");
}

async fn wait(ms: i32) {
    let promise = Promise::new(&mut |resolve, _| {
        let window = web_sys::window().unwrap();
        window.set_timeout_with_callback_and_timeout_and_arguments_0(&resolve, ms).unwrap();
    });
    JsFuture::from(promise).await.unwrap();
}

fn now() -> f64 {
    web_sys::window().unwrap().performance().unwrap().now()
}

/// Waits until `reached`, for `ms` at most; returns how long it took.
#[track_caller]
fn until(what: &'static str, ms: f64, reached: impl Fn() -> bool) -> impl Future<Output = f64> {
    let begun = now();
    async move {
        while !reached() {
            assert!(now() - begun < ms, "{what}: not within {ms} ms");
            wait(4).await;
        }
        now() - begun
    }
}

fn play(player: &Player, groove: &Arc<Groove>) {
    player.play(Arc::clone(groove), kit(), Arc::new(Tone::NEUTRAL), PlayOptions::default());
}

/// The starts seen so far: time, the clock at the call, rate, the buffer's rate.
fn starts() -> Vec<[f64; 4]> {
    let rows = Array::from(&js("bench.starts.map((s) => [s.when, s.now, s.rate, s.of])"));
    rows.iter()
        .map(|row| {
            let row = Array::from(&row);
            [0, 1, 2, 3].map(|index| row.get(index).as_f64().unwrap())
        })
        .collect()
}

fn no_errors() {
    let errors: Vec<String> = Array::from(&js("bench.errors")).iter().filter_map(|e| e.as_string()).collect();
    assert!(errors.is_empty(), "{errors:?}");
}

#[wasm_bindgen_test]
async fn a_press_is_heard_and_stop_is_silence() {
    fresh();
    let player = Player::new();
    let told = Rc::new(RefCell::new(Vec::new()));
    let seen = Rc::clone(&told);
    player.on_status(move |status| seen.borrow_mut().push(status));
    assert_eq!(player.status(), Status::Silent);
    for bpm in [60.0, 240.0] {
        let groove = beat(bpm);
        player.prepare(Arc::clone(&groove), kit(), Arc::new(Tone::NEUTRAL));
        play(&player, &groove);
        let waited = until("playing", 3000.0, || player.status() == Status::Playing).await;
        let heard = until("sound", 1000.0, || number("bench.level()") > 0.01).await;
        console_log!("{bpm}: playing after {waited:.0} ms, heard {heard:.0} ms later");
        until("a bar", 5000.0, || matches!(player.caret(), Some(Caret::Playing { pass: 1, .. }))).await;
        player.stop();
        assert_eq!(player.status(), Status::Silent);
        // 30 ms, and the analyser's window of 21 ms.
        wait(55).await;
        let level = number("bench.level()");
        assert!(level < 1e-4, "{level} after the stop");
        let count = starts().len();
        let begun = now();
        while now() - begun < 600.0 {
            assert!(number("bench.level()") < 1e-4, "something sounds after the stop");
            wait(10).await;
        }
        assert_eq!(starts().len(), count, "nothing starts after the stop");
    }
    let told = told.borrow();
    assert_eq!(told[..3], [Status::Waking, Status::Playing, Status::Silent]);
    no_errors();
}

#[wasm_bindgen_test]
async fn starts_lie_on_whole_frames_of_the_grid_and_ahead_of_the_clock() {
    fresh();
    let player = Player::new();
    let groove = busy(174.0);
    play(&player, &groove);
    until("playing", 3000.0, || player.status() == Status::Playing).await;
    // 20 ms of work every 30: the pump is late, the sound is not.
    let begun = now();
    while now() - begun < 5000.0 {
        wait(10).await;
        let busy_since = now();
        while now() - busy_since < 20.0 {}
    }
    let starts = starts();
    player.stop();
    assert!(starts.len() > 60, "{}", starts.len());
    let rate = starts[0][2];
    let plan = plan(&groove, &kit(), 6, Start::default(), rate as u32);
    let mut wanted: Vec<i64> = plan.events.iter().map(|planned| planned.event.frame.0).collect();
    wanted.sort_unstable();
    let mut found: Vec<f64> = starts.iter().map(|start| start[0] * rate).collect();
    found.sort_by(f64::total_cmp);
    let shift = found[0] - wanted[0] as f64;
    let worst = found.iter().zip(&wanted).map(|(found, want)| (found - shift - *want as f64).abs()).fold(0.0, f64::max);
    let off = found.iter().map(|frame| (frame - frame.round()).abs()).fold(0.0, f64::max);
    let lead = starts.iter().map(|start| start[0] - start[1]).fold(f64::MAX, f64::min);
    console_log!("{} starts: worst {worst:.4} frames from the plan, least lead {:.0} ms", starts.len(), lead * 1000.0);
    assert!(worst < 0.5 && off < 1e-4, "{worst} {off}");
    assert!(lead > 0.03, "{lead}");
    assert_eq!(player.dropped(), 0);
    no_errors();
}

#[wasm_bindgen_test]
async fn playing_again_at_once_leaves_nothing_behind() {
    fresh();
    let player = Player::new();
    for _ in 0..25 {
        play(&player, &beat(200.0));
        wait(15).await;
        player.stop();
    }
    play(&player, &quarters(60.0));
    until("playing", 3000.0, || player.status() == Status::Playing).await;
    let first = number("bench.starts.at(-1).when");
    until("the first kick", 1500.0, || number("bench.contexts.at(-1).currentTime") > first + 0.5).await;
    // Half-way between two kicks a second apart nothing else sounds.
    wait(60).await;
    assert!(number("bench.level()") < 1e-3, "{}", number("bench.level()"));
    assert_eq!(number("bench.contexts.length") as i32, number("new Set(bench.contexts).size") as i32);
    drop(player);
    wait(60).await;
    assert!(number("bench.level()") < 1e-4, "a dropped player is silent");
    no_errors();
}

#[wasm_bindgen_test]
async fn an_interrupted_or_unknown_state_stops_and_the_next_press_plays() {
    for word in ["interrupted", "dreaming", "closed", "suspended"] {
        fresh();
        let player = Player::new();
        play(&player, &beat(120.0));
        until("playing", 3000.0, || player.status() == Status::Playing).await;
        js(&format!("bench.say({word:?})"));
        let took = until("blocked", 1000.0, || player.status() == Status::Blocked).await;
        console_log!("{word}: blocked after {took:.0} ms");
        assert_eq!(player.caret(), None);
        if word == "suspended" {
            // The stub would go on lying about a context that is not remade.
            js("delete bench.contexts.at(-1).state");
        }
        play(&player, &beat(120.0));
        until("playing again", 3000.0, || player.status() == Status::Playing).await;
        player.stop();
        no_errors();
    }
}

#[wasm_bindgen_test]
async fn without_a_gesture_it_says_so_within_a_second_and_goes_on_in_one() {
    fresh();
    js(r#"bench.spoil = (context) => {
        context.resume = () => new Promise(() => {});
        Object.defineProperty(context, "state", { get: () => "suspended", configurable: true });
    }"#);
    let player = Player::new();
    play(&player, &beat(120.0));
    assert_eq!(player.status(), Status::Waking);
    let took = until("blocked", 1000.0, || player.status() == Status::Blocked).await;
    console_log!("blocked after {took:.0} ms");
    js("const context = bench.contexts.at(-1); delete context.state; delete context.resume;");
    player.wake();
    until("playing", 3000.0, || player.status() == Status::Playing).await;
    player.stop();
    no_errors();
}

#[wasm_bindgen_test]
async fn a_clock_that_stands_is_remade_once_and_a_late_one_waited_for() {
    fresh();
    // The first context never moves.
    js(r#"bench.spoil = (context) => {
        Object.defineProperty(context, "currentTime", { get: () => 0, configurable: true });
        bench.spoil = undefined;
    }"#);
    let contexts = number("bench.contexts.length");
    let player = Player::new();
    play(&player, &beat(120.0));
    let took = until("playing on the second", 6000.0, || player.status() == Status::Playing).await;
    console_log!("remade after {took:.0} ms");
    assert_eq!(number("bench.contexts.length") - contexts, 2.0);
    // It freezes while it plays.
    js(r#"{ const context = bench.contexts.at(-1), at = context.currentTime;
        Object.defineProperty(context, "currentTime", { get: () => at, configurable: true }); }"#);
    until("remade", 3000.0, || number("bench.contexts.length") - contexts > 2.0).await;
    until("playing on the third", 3000.0, || player.status() == Status::Playing).await;
    player.stop();
    // The clock of none moves.
    js(r#"bench.spoil = (context) => {
        Object.defineProperty(context, "currentTime", { get: () => 0, configurable: true });
    }"#);
    let player = Player::new();
    play(&player, &beat(120.0));
    until("given up", 9000.0, || player.status() == Status::Failed(Failure::Standing)).await;
    // A clock that takes a second and a half is waited for.
    js(r#"bench.spoil = (context) => {
        const until = performance.now() + 1500;
        Object.defineProperty(context, "currentTime", { configurable: true, get: () => {
            if (performance.now() < until) return 0;
            delete context.currentTime;
            return context.currentTime;
        } });
    }"#);
    let contexts = number("bench.contexts.length");
    play(&player, &beat(120.0));
    until("playing after all", 4000.0, || player.status() == Status::Playing).await;
    assert_eq!(number("bench.contexts.length") - contexts, 1.0);
    player.stop();
    no_errors();
}

#[wasm_bindgen_test]
async fn any_rate_of_the_device_is_played_at_that_rate() {
    for rate in [16_000, 22_050, 44_100, 48_000, 96_000] {
        fresh();
        js(&format!("bench.options = {{ sampleRate: {rate} }}"));
        let player = Player::new();
        player.play(busy(120.0), kit(), Arc::new(full_tone()), PlayOptions { count_in: 1, ..PlayOptions::default() });
        until("playing", 3000.0, || player.status() == Status::Playing).await;
        until("sound", 2000.0, || number("bench.level()") > 0.01).await;
        until("the groove", 4000.0, || matches!(player.caret(), Some(Caret::Playing { .. }))).await;
        until("strokes", 2000.0, || !player.sounding().is_empty()).await;
        player.stop();
        let starts = starts();
        assert!(starts.iter().all(|start| start[2] == f64::from(rate) && start[3] == f64::from(rate)), "{rate}");
        no_errors();
    }
}

#[wasm_bindgen_test]
async fn an_engine_that_refuses_is_a_failure_and_not_a_panic() {
    fresh();
    js(r#"bench.spoil = () => { throw new Error("no device"); }"#);
    let player = Player::new();
    play(&player, &beat(120.0));
    assert_eq!(player.status(), Status::Failed(Failure::Refused("no device".to_owned())));
    js(
        "bench.Wrapped = window.AudioContext; delete window.AudioContext; window.AudioContext = undefined; delete window.AudioContext;",
    );
    play(&player, &beat(120.0));
    assert_eq!(player.status(), Status::Failed(Failure::Unsupported));
    js("window.AudioContext = bench.Wrapped; bench.spoil = undefined;");
    play(&player, &beat(120.0));
    until("playing", 3000.0, || player.status() == Status::Playing).await;
    player.stop();
    no_errors();
}

#[wasm_bindgen_test]
async fn edits_sounds_mutes_and_strikes_are_heard_while_it_plays() {
    fresh();
    let player = Player::new();
    player.strike(Role::Kick, Loudness::MAX, None, kit(), Arc::new(full_tone()));
    until("the stroke", 3000.0, || number("bench.level()") > 0.02).await;
    until("its end", 4000.0, || number("bench.level()") < 1e-4).await;
    play(&player, &quarters(120.0));
    until("playing", 3000.0, || player.status() == Status::Playing).await;
    until("sound", 1000.0, || number("bench.level()") > 0.02).await;
    let lane = LaneId(1);
    player.mute(lane, true);
    // 10 ms of ramp; then the deepest filter of the tone rings out.
    wait(250).await;
    let begun = now();
    while now() - begun < 700.0 {
        assert!(number("bench.level()") < 1e-4, "a muted lane sounds");
        wait(10).await;
    }
    player.mute(lane, false);
    until("the lane again", 1500.0, || number("bench.level()") > 0.02).await;
    for bpm in [90.0, 180.0, 140.0] {
        player.edit(busy(bpm));
        player.set_sound(kit(), Arc::new(full_tone()));
        player.set_click(true);
        wait(120).await;
        player.exchange(beat(bpm));
        player.set_sound(kit(), Arc::new(Tone::NEUTRAL));
        player.set_volume(0.4);
        wait(120).await;
        player.set_click(false);
    }
    assert_eq!(player.status(), Status::Playing);
    let options = PlayOptions { passes: Some(1), ..PlayOptions::default() };
    player.play(beat(240.0), kit(), Arc::new(Tone::NEUTRAL), options);
    until("playing once", 1000.0, || player.status() == Status::Playing).await;
    until("over by itself", 5000.0, || player.status() == Status::Silent).await;
    assert_eq!(player.dropped(), 0);
    no_errors();
}

#[wasm_bindgen_test]
async fn the_caret_is_steady() {
    fresh();
    let player = Player::new();
    play(&player, &beat(120.0));
    until("the groove", 3000.0, || matches!(player.caret(), Some(Caret::Playing { .. }))).await;
    wait(1500).await;
    let (mut last, mut worst): (Option<(f64, f64)>, f64) = (None, 0.0);
    for _ in 0..120 {
        wait(8).await;
        let (at, caret) = (now(), player.caret());
        let Some(Caret::Playing { pass, tick, .. }) = caret else { panic!("{caret:?}") };
        let ms = (f64::from(pass) * 3840.0 + tick) / 960.0 * 500.0;
        if let Some((before, ms_before)) = last {
            worst = worst.max(((ms - ms_before) - (at - before)).abs());
        }
        last = Some((at, ms));
    }
    console_log!("the caret strays {worst:.2} ms between looks");
    assert!(worst < 8.0, "{worst}");
    player.stop();
}

/// The level in dB of `samples` between two frequencies.
fn bands(samples: &[f32], rate: u32) -> Vec<f64> {
    let spectrum = Spectrum::of(samples, rate);
    let power: f64 = samples.iter().map(|x| f64::from(x * x)).sum::<f64>() / samples.len() as f64;
    let edges = [40.0, 80.0, 160.0, 320.0, 640.0, 1280.0, 2560.0, 5120.0, 7000.0];
    edges.windows(2).map(|edge| 10.0 * (power * spectrum.share(edge[0], edge[1])).max(1e-12).log10()).collect()
}

async fn compare(kit: &Kit, groove: &Arc<Groove>, tone: &Tone, rate: u32) {
    let plan = plan(groove, kit, 1, Start::default(), rate);
    let [native, other] = offline::render(&plan, kit, tone, 0.5).await.unwrap();
    let [reference, _] = plan.render(kit, tone, 0.5);
    assert_eq!(native.len(), reference.len());
    assert!(native.iter().chain(&other).all(|x| x.abs() <= 0.981), "peaks are bounded");
    let (a, b) = (bands(&native, rate), bands(&reference, rate));
    let worst = a.iter().zip(&b).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
    let loudest = |samples: &[f32]| samples.iter().fold(0.0_f32, |peak, x| peak.max(x.abs()));
    console_log!(
        "{rate}: bands differ by {worst:.2} dB at most; peaks {:.3} {:.3}",
        loudest(&native),
        loudest(&reference)
    );
    assert!(worst < 1.0, "{rate}: {a:?} {b:?}");
}

#[wasm_bindgen_test]
async fn native_nodes_sound_as_the_reference_bus() {
    let kit = kit();
    for rate in [16_000, 44_100, 48_000, 96_000] {
        compare(&kit, &quarters(120.0), &Tone::NEUTRAL, rate).await;
        compare(&kit, &busy(120.0), &full_tone(), rate).await;
    }
}

#[wasm_bindgen_test]
async fn offline_onsets_are_exact_and_memory_that_grows_harms_no_buffer() {
    let kit = kit();
    let rate = 48_000;
    let short = plan(&quarters(97.0), &kit, 4, Start::default(), rate);
    let [first, _] = offline::render(&short, &kit, &Tone::NEUTRAL, 0.2).await.unwrap();
    for planned in &short.events {
        let want = planned.event.frame.0 as usize;
        let onset = first[want - 200..].iter().position(|x| x.abs() > 1e-4).unwrap();
        assert!((200..210).contains(&onset), "{onset}");
    }
    for _ in 0..4 {
        let ballast: Vec<u8> = vec![1; 64 << 20];
        let [again, _] = offline::render(&short, &kit, &Tone::NEUTRAL, 0.2).await.unwrap();
        assert!(first == again && ballast[ballast.len() - 1] == 1);
    }
    assert!(Float32Array::new_with_length(1).length() == 1);
    let long = plan(&quarters(20.0), &kit, 60, Start::default(), rate);
    assert_eq!(offline::render(&long, &kit, &Tone::NEUTRAL, 0.0).await, Err(offline::OfflineError::TooLong));
}

#[wasm_bindgen_test]
async fn playback_is_claimed_where_a_phone_asks_for_it() {
    fresh();
    js(r#"Object.defineProperty(navigator, "audioSession", { value: { type: "auto" }, configurable: true });"#);
    let player = Player::new();
    player.wake();
    let session = Reflect::get(&js("navigator"), &"audioSession".into()).unwrap();
    assert_eq!(Reflect::get(&session, &"type".into()).unwrap().as_string().as_deref(), Some("playback"));
    js("delete navigator.audioSession");
}

#[wasm_bindgen_test]
async fn the_clock_ticks_from_a_worker_and_without_one() {
    let page = web_sys::window().unwrap().document().unwrap();
    let worker = "data:text/javascript,let t;onmessage=(e)=>{clearInterval(t);if(e.data!=='stop')t=setInterval(()=>postMessage('tick'),e.data.every)}";
    for source in [Some(worker), Some("no-such-file.js"), None] {
        fresh();
        if let Some(source) = source {
            let element = page.create_element("div").unwrap();
            element.set_id("clock");
            element.set_attribute("src", source).unwrap();
            page.body().unwrap().append_child(&element).unwrap();
        }
        let player = Player::new();
        play(&player, &beat(120.0));
        until("playing", 3000.0, || player.status() == Status::Playing).await;
        let before = starts().len();
        until("more strokes", 3000.0, || starts().len() > before + 8).await;
        player.stop();
        drop(player);
        if let Some(element) = page.get_element_by_id("clock") {
            element.remove();
        }
    }
}
