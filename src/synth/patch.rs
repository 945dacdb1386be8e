//! A patch: which voice model, with which parameters, and the finish baked into its buffers.

use core::fmt;
use core::ops::RangeInclusive;

use super::parameter::parameters;
use super::voice::Strike;
use super::{
    Bell, Clap, Cymbal, ElectricPiano, Field, Formant, LogDrum, Membrane, Organ, PluckedString, Scraper, Shaker, Snare,
    Squeak, StagedKick, Sub, Subtractive, Tambourine, Wood,
};

macro_rules! models {
    ($($name:ident),* $(,)?) => {
        /// A voice model with its parameters.
        #[derive(Clone, Copy, Debug, PartialEq)]
        #[allow(missing_docs, reason = "each variant is documented at its struct")]
        pub enum Model { $($name($name)),* }

        impl Model {
            /// The name of every model in kit files.
            pub const IDS: &'static [&'static str] = &[$($name::ID),*];

            /// The name of this model in kit files.
            pub fn id(&self) -> &'static str {
                match self { $(Model::$name(_) => $name::ID),* }
            }

            /// The parameter table of this model.
            pub fn fields(&self) -> &'static [Field] {
                match self { $(Model::$name(_) => $name::FIELDS),* }
            }

            /// The parameter table of the model called `id`.
            pub fn fields_of(id: &str) -> Option<&'static [Field]> {
                match id { $($name::ID => Some($name::FIELDS),)* _ => None }
            }

            /// The values, in the order of [`Model::fields`].
            pub fn values(&self) -> Vec<f64> {
                match self { $(Model::$name(model) => model.values()),* }
            }

            /// Builds the model called `id` from `read`, which is asked for every field.
            pub fn build(id: &str, read: &mut dyn FnMut(&'static Field) -> Option<f64>) -> Option<Model> {
                match id { $($name::ID => $name::build(read).map(Model::$name),)* _ => None }
            }

            pub(super) fn render(&self, strike: &Strike) -> Vec<f64> {
                match self { $(Model::$name(model) => model.render(strike)),* }
            }

            /// Whether the voice holds as long as its stroke, instead of dying away by itself.
            pub fn sustains(&self) -> bool {
                self.fields().iter().zip(self.values()).any(|(field, value)| field.name == "decay_ms" && field.off == Some(0.0) && value < 1e-9)
            }
        }

        $(impl From<$name> for Model {
            fn from(model: $name) -> Model {
                Model::$name(model)
            }
        })*
    };
}

models! {
    Membrane, Snare, Clap, Shaker, Tambourine, Scraper, Cymbal, Bell, Wood, Squeak, Sub, LogDrum, PluckedString,
    Subtractive, ElectricPiano, Organ, Formant, StagedKick,
}

parameters! {
    /// What is baked into every buffer of a voice after its model, in this order.
    Finish = "finish" {
        /// Saturation: 0 clean, 0.3 warm, 0.6 audibly clipped, 0.9 square-like. Softer strokes are driven less.
        drive: 0.0 to 1.0, off(0.0);
        /// High-pass, Hz, 12 dB an octave; 0 for none.
        high_pass_hz: 10.0 to 12000.0, off(0.0);
        /// Low-pass, Hz, 12 dB an octave; 0 for none.
        low_pass_hz: 60.0 to 20000.0, off(0.0);
        /// The tail is cut to silence after this time, ms; 0 for never.
        gate_ms: 5.0 to 4000.0, off(0.0);
        /// Coarse resolution in bits; 0 for full.
        bits: 4.0 to 24.0, off(0.0);
        /// Coarse sampling clock, Hz; 0 for none.
        hold_hz: 4000.0 to 96000.0, off(0.0);
    }
}

impl Finish {
    /// Nothing added, nothing taken.
    pub const NONE: Finish =
        Finish { drive: 0.0, high_pass_hz: 0.0, low_pass_hz: 0.0, gate_ms: 0.0, bits: 0.0, hold_hz: 0.0 };
}

/// All that is needed to render a voice.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Patch {
    /// The model and its parameters.
    pub model: Model,
    /// What is baked in after it.
    pub finish: Finish,
}

/// A parameter outside its range.
#[derive(Clone, Debug, PartialEq)]
pub struct PatchFault {
    /// The parameter.
    pub field: &'static str,
    /// Its value.
    pub found: f64,
    /// The values it may have (besides its off value).
    pub expected: RangeInclusive<f64>,
}

impl fmt::Display for PatchFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (low, high) = (self.expected.start(), self.expected.end());
        write!(f, "{}: expected a number from {low} to {high}, found {}.", self.field, self.found)
    }
}

impl core::error::Error for PatchFault {}

impl Model {
    /// Whether noise makes the voice's peaks.
    pub(super) fn is_noise(&self) -> bool {
        matches!(
            self,
            Model::Snare(_)
                | Model::Clap(_)
                | Model::Shaker(_)
                | Model::Tambourine(_)
                | Model::Scraper(_)
                | Model::Cymbal(_)
        )
    }
}

impl Patch {
    /// A model as it is, without finish.
    pub fn plain(model: impl Into<Model>) -> Patch {
        Patch { model: model.into(), finish: Finish::NONE }
    }

    /// Whether every parameter is in range.
    ///
    /// # Errors
    /// The first parameter that is not.
    pub fn check(&self) -> Result<(), PatchFault> {
        check_fields(self.model.fields(), &self.model.values())?;
        check_fields(Finish::FIELDS, &self.finish.values())
    }
}

/// Whether every value is admitted by its field.
pub(super) fn check_fields(fields: &'static [Field], values: &[f64]) -> Result<(), PatchFault> {
    match fields.iter().zip(values).find(|(field, value)| !field.admits(**value)) {
        Some((field, &found)) => Err(PatchFault { field: field.name, found, expected: field.range() }),
        None => Ok(()),
    }
}
