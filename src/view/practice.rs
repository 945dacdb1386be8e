//! The row under the sheet for practising: count-in and click, a slower pace, and the echo with its tap.

use crate::lesson::echo::{Answer, Asked, judge};
use crate::rhythm::sounding::lane_hits;
use crate::rhythm::{Groove, LaneId, Part, Strength, Tick};
use crate::role::Role;
use crate::schedule::{ClickPulse, EchoPhase, Pace};
use crate::session::Session;
use crate::session::editor::Editor;
use crate::session::hearing::Hearing;
use crate::session::practice::HeardAt;
use crate::view::aria;
use crate::words::{practice as told, roles, ui};
use leptos::ev;
use leptos::html;
use leptos::prelude::*;
use std::time::Duration;

/// How far into the next turn a tap may still belong to the answer before, in seconds: the delays of loudspeaker and hand.
const LINGER: f64 = 0.35;
/// The key that plays and stops while the focus is on the desk, as `aria-keyshortcuts` names it.
pub const PLAY_KEY: &str = "P";

/// Plays or stops by [`PLAY_KEY`], pressed anywhere on the desk but in a field that takes letters.
pub fn play_by_key(hearing: Hearing, event: &ev::KeyboardEvent) {
    use wasm_bindgen::JsCast;
    let plain = !(event.ctrl_key() || event.alt_key() || event.meta_key() || event.repeat());
    let target = event.target().and_then(|target| target.dyn_into::<web_sys::Element>().ok());
    let typing = target.is_some_and(|element| {
        element.matches("input:not([type=range]), textarea, select, [contenteditable]").unwrap_or(false)
    });
    let asked = event.key().eq_ignore_ascii_case(PLAY_KEY);
    if asked && plain && !typing && !event.default_prevented() && hearing.is_ready_untracked() {
        event.prevent_default();
        hearing.toggle();
    }
}

/// The practice row of the groove in `editor`.
#[component]
pub fn Practice(session: Session, editor: Editor) -> impl IntoView {
    let hearing = session.hearing;
    let count_in = hearing.count_in();
    let tempo = Memo::new(move |_| editor.groove().with(|groove| groove.tempo));
    let pace = move || Pace::clamped((hearing.pace() * 100.0).round() as u8);
    let quick = move |percent: u8, name: String| {
        view! {
            <button type="button" class="switch" aria-pressed=move || aria::state(pace().percent() == percent) on:click=move |_| hearing.set_pace(percent)>
                {name}
            </button>
        }
    };
    view! {
        <section class="practice" aria-label=told::controls::PRACTICE>
            <div class="practice-row">
                <button type="button" class="switch" aria-pressed=move || aria::state(count_in.get()) on:click=move |_| count_in.update(|on| *on = !*on)>
                    {ui::controls::COUNT_IN}
                </button>
                <button type="button" class="switch" aria-pressed=move || aria::state(hearing.click()) on:click=move |_| hearing.set_click(!hearing.click())>
                    {ui::controls::CLICK}
                </button>
                {click_count(hearing, tempo)}
                {move || hearing.counting_in().map(|left| view! { <b class="counting">{left}</b> })}
            </div>
            <div class="practice-row">
                <label class="slower">
                    <span>{told::controls::SLOWER}</span>
                    <input
                        type="range" min="50" max="100" step="1"
                        aria-valuetext=move || told::pace(pace(), tempo.get())
                        prop:value=move || pace().percent().to_string()
                        on:input:target=move |event| {
                            if let Ok(percent) = event.target().value().parse::<u8>() {
                                hearing.set_pace(percent);
                            }
                        }
                    />
                    <span class="slower-text" aria-hidden="true">{move || told::pace(pace(), tempo.get())}</span>
                </label>
                {quick(told::LEARNING, told::percent(told::LEARNING))}
                {quick(100, told::controls::FULL.to_owned())}
            </div>
            <Echo session=session editor=editor />
        </section>
    }
    .into_any()
}

/// Which count clicks, where the two differ.
fn click_count(hearing: Hearing, tempo: Memo<crate::rhythm::Tempo>) -> impl IntoView {
    const COUNTS: [(&str, ClickPulse); 2] = [("felt", ClickPulse::Felt), ("written", ClickPulse::Written)];
    let pulse = hearing.click_pulse();
    let chosen = move |value: String| {
        if let Some((_, chosen)) = COUNTS.iter().find(|(name, _)| *name == value) {
            pulse.set(*chosen);
        }
    };
    move || {
        let tempo = tempo.get();
        (tempo.felt() != tempo.unit()).then(|| {
            let option = |(value, count): (&'static str, ClickPulse)| {
                view! { <option value=value selected=move || pulse.get() == count>{told::click_count(count, tempo)}</option> }
            };
            view! {
                <select aria-label=told::controls::CLICK_COUNT on:change:target=move |event| chosen(event.target().value())>
                    {COUNTS.map(option).into_iter().collect_view()}
                </select>
            }
        })
    }
}

/// What was asked in the echo that plays: taken down as it begins, for the groove may be edited meanwhile.
#[derive(Clone)]
struct Question {
    groove: Groove,
    lane: Option<LaneId>,
    silent: Vec<LaneId>,
    /// The loop in ticks, and how often it goes round in a turn of each.
    length: Tick,
    heard: u32,
    answered: u32,
    tempo: crate::rhythm::Tempo,
}

impl Question {
    /// How many passes a turn of each takes.
    fn round(&self) -> u32 {
        (self.heard + self.answered).max(1)
    }

    /// Where a tap lies in the learner's turn, in ticks from its start; `None` in the middle of listening.
    fn tap(&self, at: HeardAt) -> Option<(u32, f64)> {
        let (round, length) = (self.round(), self.length.as_f64());
        let (number, within) = (at.pass / round, at.pass % round);
        let ticks = f64::from(within) * length + at.tick - f64::from(self.heard) * length;
        let linger = self.tempo.ticks(crate::rhythm::Seconds(LINGER));
        let lasts = f64::from(self.answered) * length;
        if ticks >= -linger {
            return Some((number, ticks));
        }
        // Just after the turn before was over.
        let after = ticks + f64::from(round) * length;
        (after < lasts + linger && number > 0).then(|| (number - 1, after))
    }

    fn answer(&self, taps: &[f64]) -> (Answer, Tick) {
        let pattern = &self.groove.pattern;
        let sounds = |id: LaneId| self.lane.map_or(!self.silent.contains(&id), |lane| lane == id);
        let lanes = || pattern.lanes().iter().filter(|lane| sounds(lane.id));
        let pulse = lanes().map(|lane| lane.head.pulse).min().unwrap_or(Tick::SIXTEENTH);
        let (mut onsets, mut ghosts) = (Vec::new(), Vec::new());
        for lane in lanes() {
            for hit in lane_hits(&self.groove, lane).iter().filter(|hit| hit.part == Part::Stroke(0)) {
                let ticks = (hit.ticks + self.tempo.ticks(hit.offset)).round() as i64;
                let written = lane.by_id(hit.stroke).map_or(Tick::ZERO, |stroke| stroke.at);
                if written < self.length {
                    let soft = self.groove.dynamics.strength(hit.loudness) == Strength::Ghost;
                    onsets.push(Tick(ticks).rem_euclid(self.length));
                    ghosts.extend(soft.then(|| Tick(ticks).rem_euclid(self.length)));
                }
            }
        }
        let all: Vec<Tick> = (0..self.answered)
            .flat_map(|pass| onsets.iter().map(move |&at| (pass, at)))
            .map(|(pass, at)| at + self.length.times(i64::from(pass)))
            .collect();
        let length = self.length.times(i64::from(self.answered));
        let mut answer = judge(&Asked { onsets: &all, length, pulse, tempo: self.tempo }, taps);
        // Ghost notes may be tapped and need not be.
        answer.missed.retain(|at| !ghosts.contains(&at.rem_euclid(self.length)));
        (answer, pulse)
    }
}

/// The echo: its button, what is tapped, the big button to tap on, and what came back.
#[component]
fn Echo(session: Session, editor: Editor) -> impl IntoView {
    let hearing = session.hearing;
    let silent_lanes = hearing.silent_lanes();
    let bars = Memo::new(move |_| editor.groove().with(|groove| groove.pattern.bars()));
    let heard_bars = RwSignal::new(2_u8);
    let lane = RwSignal::new(None::<LaneId>);
    let first_lane = Memo::new(move |_| editor.groove().with(first_to_tap));
    // A lane that was chosen and is gone is a choice no more.
    let tapped = Memo::new(move |_| {
        let chosen = lane.get().filter(|id| editor.groove().with(|groove| groove.pattern.lane(*id).is_some()));
        chosen.or(first_lane.get())
    });
    let every = RwSignal::new(false);
    let question = StoredValue::new(None::<Question>);
    let taps = StoredValue::new(Vec::<(u32, f64)>::new());
    let result = RwSignal::new(String::new());
    let asked_name = RwSignal::new(String::new());
    let tap_button = NodeRef::<html::Button>::new();
    // Space and Enter tap at once.
    tap_button.on_load(|button| {
        let _ = button.focus();
    });
    let begin = move |_| {
        if hearing.echo().is_some() {
            return hearing.stop();
        }
        let asked = heard_bars.get_untracked().min(bars.get_untracked());
        hearing.play_echo(asked, asked);
        let groove = editor.now();
        let length = groove.pattern.metre().bar().times(i64::from(asked));
        let lane = tapped.get_untracked().filter(|_| !every.get_untracked());
        let name = lane.and_then(|lane| roles::lane(&groove.pattern, lane));
        asked_name.set(name.unwrap_or_else(|| told::controls::ALL_LANES.to_owned()));
        taps.set_value(Vec::new());
        result.set(String::new());
        question.set_value(Some(Question {
            lane,
            silent: silent_lanes.get_untracked(),
            length,
            heard: 1,
            answered: 1,
            tempo: Pace::clamped((hearing.pace() * 100.0).round() as u8).of(groove.tempo),
            groove,
        }));
    };
    let tap = move |ms: f64| {
        let at = hearing.heard_at(ms);
        let found = question.with_value(|question| question.as_ref()?.tap(at?));
        if let Some(found) = found {
            taps.update_value(|taps| taps.push(found));
        }
    };
    let judge_turn = move |number: u32| {
        let mine = taps.try_update_value(|taps| {
            let mine = taps.iter().filter(|(turn, _)| *turn == number).map(|(_, at)| *at).collect::<Vec<f64>>();
            taps.retain(|(turn, _)| *turn > number);
            mine
        });
        let sentence = question.try_with_value(|question| {
            let question = question.as_ref()?;
            let (answer, pulse) = question.answer(&mine?);
            Some(told::answer(&answer, &question.groove.pattern, pulse))
        });
        if let Some(sentence) = sentence.flatten() {
            let _ = result.try_set(sentence);
        }
    };
    // When the learner's turn is over, and what was tapped on its last stroke has had time to arrive, it is judged.
    Effect::new(move |before: Option<Option<(EchoPhase, u32)>>| {
        let now = hearing.echo_turn().map(|turn| (turn.phase, turn.pass));
        if let (Some(Some((EchoPhase::Yours, pass))), false) =
            (before, now.is_some_and(|(phase, _)| phase == EchoPhase::Yours))
        {
            let round = question.with_value(|question| question.as_ref().map_or(1, Question::round));
            let turn = pass / round;
            set_timeout(move || judge_turn(turn), Duration::from_secs_f64(LINGER));
        }
        now
    });
    let on = move || hearing.echo().is_some();
    let lanes = move || {
        editor.groove().with(|groove| {
            let lanes = groove.pattern.lanes().iter().filter(|lane| !lane.strokes().is_empty());
            let option = |id: LaneId| {
                let name = roles::lane(&groove.pattern, id).unwrap_or_default();
                view! { <option value=id.0.to_string() selected=move || !every.get() && tapped.get() == Some(id)>{name}</option> }
            };
            lanes.map(|lane| option(lane.id)).collect_view()
        })
    };
    let choose = move |value: String| {
        let id = value.parse().ok().map(LaneId);
        every.set(id.is_none());
        if id.is_some() {
            lane.set(id);
        }
    };
    let choices = move || {
        view! {
            <select aria-label=told::controls::TAPPED_LANE on:change:target=move |event| choose(event.target().value())>
                {lanes()}
                <option value="all" selected=move || every.get()>{told::controls::ALL_LANES}</option>
            </select>
            {(bars.get() > 1).then(|| view! {
                <select
                    aria-label=told::controls::BARS
                    on:change:target=move |event| heard_bars.set(event.target().value().parse().unwrap_or(2))
                >
                    {[1_u8, 2].map(|n| view! { <option value=n.to_string() selected=move || heard_bars.get() == n>{told::bars(n)}</option> }).into_iter().collect_view()}
                </select>
            })}
            <small>{told::ECHO_HINT}</small>
        }
    };
    let keys = move |event: ev::KeyboardEvent| {
        if matches!(event.key().as_str(), "Enter" | " ") {
            event.prevent_default();
            if !event.repeat() {
                tap(event.time_stamp());
            }
        }
    };
    let press = move |event: ev::PointerEvent| {
        if event.button() == 0 {
            tap(event.time_stamp());
        }
    };
    view! {
        <div class="practice-row">
            <button type="button" class="switch" aria-pressed=move || aria::state(on()) disabled=move || !hearing.is_ready() on:click=begin>
                {move || if on() { told::controls::END_ECHO } else { told::controls::ECHO }}
            </button>
            {move || if on() {
                view! {
                    <b class="echo-phase" class:yours=move || hearing.echo_phase() == Some(EchoPhase::Yours)>
                        {move || told::phase(hearing.echo_phase(), &asked_name.get())}
                    </b>
                }.into_any()
            } else {
                choices().into_any()
            }}
        </div>
        {move || on().then(|| view! {
            <button type="button" class="tap" node_ref=tap_button on:pointerdown=press on:keydown=keys>{told::controls::TAP}</button>
        })}
        // Read out once the sound is off: while it plays the ear is busy.
        <p class="echo-result" aria-live=move || if hearing.is_on() { "off" } else { "polite" }>{move || result.get()}</p>
    }
    .into_any()
}

/// The lane a beginner taps first: the kick, else the snare, else the first lane that has strokes.
fn first_to_tap(groove: &Groove) -> Option<LaneId> {
    let with_strokes = || groove.pattern.lanes().iter().filter(|lane| !lane.strokes().is_empty());
    let of = |role: Role| with_strokes().find(|lane| lane.head.role == role);
    of(Role::Kick).or_else(|| of(Role::Snare)).or_else(|| with_strokes().next()).map(|lane| lane.id)
}
