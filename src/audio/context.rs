//! The life of an audio context: made in a gesture, watched, woken, laid to rest.
//!
//! The state is read as a plain property: engines know words the standard's enumeration has not ("interrupted"), and a
//! binding that turns words into an enum must not meet them.

use super::heard::Delays;
use super::listener::Listener;
use super::status::Failure;
use super::watch::State;
use js_sys::{Array, Function, Promise, Reflect};
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::{JsFuture, spawn_local};
use web_sys::AudioContext;

/// One context and the listener on its state.
pub struct Context {
    audio: AudioContext,
    _listener: Listener,
}

impl Context {
    /// Makes a context; call it in a gesture. `changed` is called whenever its state changes.
    pub fn open(changed: impl Fn() + 'static) -> Result<Context, Failure> {
        let maker = property(&js_sys::global(), "AudioContext").and_then(|maker| maker.dyn_into::<Function>().ok());
        let maker = maker.ok_or(Failure::Unsupported)?;
        claim_playback();
        let audio: AudioContext = Reflect::construct(&maker, &Array::new()).map_err(refused)?.unchecked_into();
        let listener = Listener::new(&audio, "statechange", move |_| changed());
        Ok(Context { audio, _listener: listener })
    }

    /// The context's own node factory.
    pub fn audio(&self) -> &AudioContext {
        &self.audio
    }

    /// What it says of itself.
    pub fn state(&self) -> State {
        property(&self.audio, "state").and_then(|word| word.as_string()).map_or(State::Held, |word| State::read(&word))
    }

    /// Its clock in seconds.
    pub fn time(&self) -> f64 {
        self.audio.current_time()
    }

    /// Frames a second, as the device has it.
    pub fn rate(&self) -> f64 {
        f64::from(self.audio.sample_rate())
    }

    /// Asks a suspended context to run, and waits for nothing: without a gesture the promise may never settle.
    pub fn resume(&self) {
        if self.state() == State::Suspended {
            let_go(self.audio.resume());
        }
    }

    /// Asks a running context to rest.
    pub fn suspend(&self) {
        if self.state() == State::Running {
            let_go(self.audio.suspend());
        }
    }

    /// What the engine says about the delay to the ear, at the context's time `time`.
    pub fn delays(&self, now_ms: f64) -> Delays {
        let number = |name| property(&self.audio, name).and_then(|value| value.as_f64());
        Delays { output: number("outputLatency"), base: number("baseLatency"), stamped: self.stamped(now_ms) }
    }

    /// How far the heard time lies behind the clock, from the engine's own pair of readings.
    fn stamped(&self, now_ms: f64) -> Option<f64> {
        let ask = property(&self.audio, "getOutputTimestamp")?.dyn_into::<Function>().ok()?;
        let stamp = ask.call0(&self.audio).ok()?;
        let context = property(&stamp, "contextTime")?.as_f64()?;
        let page = property(&stamp, "performanceTime")?.as_f64()?;
        // Engines that do not know yet give zeros.
        (context > 0.0 && page > 0.0).then(|| self.time() - (context + (now_ms - page) / 1000.0))
    }
}

impl Drop for Context {
    fn drop(&mut self) {
        if self.state() == State::Held && property(&self.audio, "state").is_some_and(|word| word == "closed") {
            return;
        }
        // Engines allow only a few open contexts a page.
        let_go(self.audio.close());
    }
}

/// Makes the sound count as playback, not as an effect that the mute switch of a phone silences, where the browser knows
/// the distinction.
fn claim_playback() {
    let session = web_sys::window().and_then(|window| property(&window.navigator(), "audioSession"));
    if let Some(session) = session.filter(JsValue::is_object) {
        let _ = Reflect::set(&session, &"type".into(), &"playback".into());
    }
}

/// The property `name` of `object`, unless absent or throwing.
pub fn property(object: &JsValue, name: &str) -> Option<JsValue> {
    Reflect::get(object, &name.into()).ok().filter(|value| !value.is_undefined() && !value.is_null())
}

/// The browser's own words for a refusal.
pub fn refused(error: JsValue) -> Failure {
    let message = property(&error, "message").and_then(|text| text.as_string());
    Failure::Refused(message.unwrap_or_else(|| format!("{error:?}")))
}

/// Lets a promise settle or not, and a rejection pass without noise: what counts is the state.
fn let_go(promise: Result<Promise, JsValue>) {
    if let Ok(promise) = promise {
        spawn_local(async move {
            let _ = JsFuture::from(promise).await;
        });
    }
}
