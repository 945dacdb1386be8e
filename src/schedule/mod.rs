//! Schedule: what is to sound when, and what the audio engine must be told about it. Pure: the clock is an argument.
//!
//! A [`Transport`] lays the passes of a groove out in time as a list of segments; [`Transport::desired`] lists the events of
//! a span of frames; a [`Ledger`] remembers what has been handed over and says what to start, cancel or retime. The audio
//! edge pumps: every 25 ms or so, and at once after every change of the transport,
//!
//! ```text
//! for action in ledger.reconcile(&transport, now) { carry it out }
//! transport.forget(now);
//! ```

pub mod margins;
pub mod event;
pub mod span;
pub mod felt;
pub mod pace;
pub mod echo;
pub mod score;
pub mod segment;
pub mod transport;
pub mod desired;
pub mod ending;
pub mod ledger;
pub mod caret;
pub mod ideal;

pub use caret::Caret;
pub use echo::{Echo, EchoPhase};
pub use event::{Cause, End, Event, GlideTime, Instrument, Key, Line};
pub use felt::ClickPulse;
pub use ideal::ideal;
pub use ledger::{Action, Ledger};
pub use pace::Pace;
pub use span::Span;
pub use transport::{Start, Transport};
