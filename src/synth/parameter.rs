//! The table of a model's parameters: one place for name, range and off value, read by checks, hashes and files.

use core::ops::RangeInclusive;

/// One parameter of a model. The unit is the end of its name (`_hz`, `_ms`, `_db`, `_percent`, `_octaves` ...); a name
/// without unit is a share from 0 to 1 or a count.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Field {
    /// The name, as in the struct and in kit files.
    pub name: &'static str,
    /// Least value.
    pub lowest: f64,
    /// Greatest value.
    pub highest: f64,
    /// The value that means "none"; kit files leave it out.
    pub off: Option<f64>,
    /// Whether only whole numbers make sense.
    pub whole: bool,
}

impl Field {
    pub(super) const fn new(name: &'static str, lowest: f64, highest: f64) -> Field {
        Field { name, lowest, highest, off: None, whole: false }
    }

    pub(super) const fn off(self, off: f64) -> Field {
        Field { off: Some(off), ..self }
    }

    pub(super) const fn whole(self) -> Field {
        Field { whole: true, ..self }
    }

    /// Both ends of the range.
    pub fn range(&self) -> RangeInclusive<f64> {
        self.lowest..=self.highest
    }

    /// Whether `value` is in range, or the off value, and whole where it must be.
    pub fn admits(&self, value: f64) -> bool {
        let is_off = self.off.is_some_and(|off| (off - value).abs() < f64::EPSILON);
        (self.range().contains(&value) || is_off) && (!self.whole || value.fract().abs() < f64::EPSILON)
    }
}

/// Declares a struct of physical parameters together with its table.
macro_rules! parameters {
    ($(#[$meta:meta])* $name:ident = $id:literal {
        $($(#[$field_meta:meta])* $field:ident: $low:literal to $high:literal $(, $kind:ident($($value:literal)?))?;)*
    }) => {
        $(#[$meta])*
        #[derive(Clone, Copy, Debug, PartialEq)]
        pub struct $name { $($(#[$field_meta])* pub $field: f64,)* }

        impl $name {
            /// The name in kit files.
            pub const ID: &'static str = $id;

            /// Every parameter, in the order of the struct.
            pub const FIELDS: &'static [$crate::synth::Field] = &[
                $($crate::synth::Field::new(stringify!($field), $low, $high)$(.$kind($($value)?))?,)*
            ];

            /// The values, in the order of [`Self::FIELDS`].
            pub fn values(&self) -> Vec<f64> {
                vec![$(self.$field),*]
            }

            /// Builds the struct from `read`, which is asked for every field, even after a refusal.
            pub fn build(read: &mut dyn FnMut(&'static $crate::synth::Field) -> Option<f64>) -> Option<Self> {
                let mut fields = Self::FIELDS.iter();
                $(let $field = fields.next().and_then(&mut *read);)*
                Some(Self { $($field: $field?),* })
            }
        }
    };
}

pub(super) use parameters;
