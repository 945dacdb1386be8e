//! The units of time and loudness, each a type of its own, so that a tick is never taken for a frame.
//!
//! [`Tick`] is exact and counts the score; [`Seconds`] is measured time; [`Frames`] counts samples of one stated rate.
//! The only road from ticks to seconds is [`super::sounding`].

use core::fmt;
use core::ops::{Add, AddAssign, Neg, Rem, Sub, SubAssign};

/// A point or a distance in the score: 1/960 of a quarter note.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Tick(pub i64);

impl Tick {
    /// The start of a pattern.
    pub const ZERO: Tick = Tick(0);
    /// One quarter note.
    pub const QUARTER: Tick = Tick(960);
    /// One eighth note.
    pub const EIGHTH: Tick = Tick(480);
    /// One sixteenth note.
    pub const SIXTEENTH: Tick = Tick(240);

    /// The number of ticks as a real number, for drawing and measures.
    pub fn as_f64(self) -> f64 {
        self.0 as f64
    }

    /// This point inside a cycle of `length` ticks; `length` must be positive.
    pub fn rem_euclid(self, length: Tick) -> Tick {
        Tick(self.0.rem_euclid(length.0))
    }

    /// How many whole cycles of `length` ticks lie before this point.
    pub fn div_euclid(self, length: Tick) -> i64 {
        self.0.div_euclid(length.0)
    }

    /// `n` times this distance.
    pub const fn times(self, n: i64) -> Tick {
        Tick(self.0 * n)
    }
}

/// Time in seconds.
#[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd)]
pub struct Seconds(pub f64);

impl Seconds {
    /// Milliseconds as seconds.
    pub fn from_ms(ms: f64) -> Seconds {
        Seconds(ms / 1000.0)
    }

    /// This time in milliseconds.
    pub fn ms(self) -> f64 {
        self.0 * 1000.0
    }

    /// The nearest whole frame at `rate` frames a second; halves go away from zero.
    pub fn to_frames(self, rate: f64) -> Frames {
        Frames((self.0 * rate).round() as i64)
    }
}

/// A point or a distance in sample frames at a rate stated beside it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Frames(pub i64);

impl Frames {
    /// These frames in seconds at `rate` frames a second.
    pub fn to_seconds(self, rate: f64) -> Seconds {
        Seconds(self.0 as f64 / rate)
    }
}

macro_rules! linear {
    ($($name:ident)*) => {$(
        impl Add for $name {
            type Output = $name;
            fn add(self, other: $name) -> $name { $name(self.0 + other.0) }
        }
        impl Sub for $name {
            type Output = $name;
            fn sub(self, other: $name) -> $name { $name(self.0 - other.0) }
        }
        impl Neg for $name {
            type Output = $name;
            fn neg(self) -> $name { $name(-self.0) }
        }
        impl AddAssign for $name {
            fn add_assign(&mut self, other: $name) { self.0 += other.0 }
        }
        impl SubAssign for $name {
            fn sub_assign(&mut self, other: $name) { self.0 -= other.0 }
        }
    )*};
}
linear!(Tick Seconds Frames);

impl Rem for Tick {
    type Output = Tick;
    fn rem(self, other: Tick) -> Tick {
        Tick(self.0 % other.0)
    }
}

/// Beats a minute, 20 to 400, kept in hundredths so that a tempo survives every file and link unchanged.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Bpm(u32);

impl Bpm {
    /// The slowest tempo.
    pub const MIN: Bpm = Bpm(2_000);
    /// The fastest tempo.
    pub const MAX: Bpm = Bpm(40_000);

    /// A tempo from a number, rounded to a hundredth; `None` outside 20 to 400 or if it is not a number.
    pub fn new(bpm: f64) -> Option<Bpm> {
        if !bpm.is_finite() || !(-1e9..=1e9).contains(&bpm) {
            return None;
        }
        Bpm::from_hundredths((bpm * 100.0).round().max(0.0) as u32)
    }

    /// A tempo from hundredths of a beat a minute; `None` outside 2,000 to 40,000.
    pub fn from_hundredths(hundredths: u32) -> Option<Bpm> {
        (Bpm::MIN.0..=Bpm::MAX.0).contains(&hundredths).then_some(Bpm(hundredths))
    }

    /// Hundredths of a beat a minute.
    pub const fn hundredths(self) -> u32 {
        self.0
    }

    /// Beats a minute.
    pub fn get(self) -> f64 {
        f64::from(self.0) / 100.0
    }

    /// The nearest allowed tempo.
    pub fn clamped(bpm: f64) -> Bpm {
        Bpm::new(bpm.clamp(20.0, 400.0)).unwrap_or(Bpm::MIN)
    }
}

impl fmt::Display for Bpm {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.get())
    }
}

/// How hard a stroke is played, 1 to 127, on the scale of MIDI key velocities.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Loudness(u8);

impl Loudness {
    /// The softest stroke.
    pub const MIN: Loudness = Loudness(1);
    /// The hardest stroke.
    pub const MAX: Loudness = Loudness(127);

    /// A loudness; `None` outside 1 to 127.
    pub const fn new(value: u8) -> Option<Loudness> {
        if value >= 1 && value <= 127 { Some(Loudness(value)) } else { None }
    }

    /// The nearest allowed loudness.
    pub fn clamped(value: i32) -> Loudness {
        Loudness(value.clamp(1, 127) as u8)
    }

    /// The value, 1 to 127.
    pub const fn get(self) -> u8 {
        self.0
    }

    /// The share of the hardest stroke, 1/127 to 1.
    pub fn share(self) -> f64 {
        f64::from(self.0) / 127.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tempo_is_twenty_to_four_hundred() {
        for (bpm, want) in [
            (20.0, Some(20.0)),
            (92.5, Some(92.5)),
            (97.333, Some(97.33)),
            (400.0, Some(400.0)),
            (0.0, None),
            (-1.0, None),
            (19.99, None),
            (400.01, None),
            (1e9, None),
            (f64::NAN, None),
            (f64::INFINITY, None),
        ] {
            assert_eq!(Bpm::new(bpm).map(Bpm::get), want, "{bpm}");
        }
    }

    #[test]
    fn frames_are_rounded_once() {
        assert_eq!(Seconds(0.5).to_frames(44_100.0), Frames(22_050));
        assert_eq!(Seconds(-0.010_01).to_frames(48_000.0), Frames(-480));
    }
}
