//! What is recorded: how often a groove goes round, how fine the file is, and whether it fits.

use super::wav::{Depth, Format};
use crate::rhythm::Groove;
use crate::synth::Tone;

/// The longest a recording lasts, in seconds of all passes: the page holds the whole of it in memory.
pub const LONGEST_SECONDS: f64 = 600.0;
/// The most passes of one recording.
pub const MOST_PASSES: u32 = 64;
/// What is allowed for the last strokes ringing out where nothing has been rendered yet, in seconds.
const RINGING: f64 = 1.0;

/// How fine a recording is kept.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Quality {
    /// What every player reads.
    #[default]
    Usual,
    /// For further work on the sound.
    Fine,
}

impl Quality {
    /// The form of the file: two channels.
    pub const fn format(self) -> Format {
        match self {
            Quality::Usual => Format { rate: 44_100, channels: 2, depth: Depth::Sixteen },
            Quality::Fine => Format { rate: 48_000, channels: 2, depth: Depth::TwentyFour },
        }
    }
}

/// What is to be recorded of a groove.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Take {
    /// How often it goes round, 1 to [`MOST_PASSES`].
    pub passes: u32,
    /// How fine.
    pub quality: Quality,
}

/// More than a recording holds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TooLong {
    /// How long it would last, in seconds.
    pub seconds: f64,
    /// How many passes fit; 0 if not even one does.
    pub fit: u32,
}

/// About how much a recording is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Size {
    /// Seconds.
    pub seconds: f64,
    /// Bytes.
    pub bytes: u64,
}

impl Take {
    /// How much it will be of `groove` through `tone`: exact but for how long the last strokes ring.
    ///
    /// # Errors
    /// If it lasts longer than [`LONGEST_SECONDS`].
    pub fn size(&self, groove: &Groove, tone: &Tone) -> Result<Size, TooLong> {
        let pass = groove.tempo.seconds(groove.pattern.length().as_f64()).0;
        let seconds = pass * f64::from(self.passes);
        if seconds > LONGEST_SECONDS {
            return Err(TooLong { seconds, fit: (LONGEST_SECONDS / pass).floor() as u32 });
        }
        let room = if tone.room.wet_percent > 0.0 { tone.room.seconds() } else { 0.0 };
        let seconds = seconds + room + RINGING;
        let format = self.quality.format();
        Ok(Size { seconds, bytes: format.file_bytes((seconds * f64::from(format.rate)) as u64) })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rhythm::{Bpm, Dynamics, Feel, Id, Metre, Pattern, Sound, Tempo, Tonic};

    /// Two bars of nothing.
    fn groove(bpm: f64) -> Groove {
        let kit: Id = "plain".parse().unwrap();
        Groove {
            pattern: Pattern::new(Metre::four_four(), 2, Vec::new()).unwrap(),
            tempo: Tempo::quarters(Bpm::clamped(bpm)),
            feel: Feel::straight(),
            dynamics: Dynamics::DEFAULT,
            tonic: Tonic::DEFAULT,
            sound: Sound::of(kit),
        }
    }

    #[test]
    fn passes_are_counted_against_ten_minutes() {
        // Two bars of four quarters at 20 a minute last 24 seconds, at 92 a minute 5.2.
        for (bpm, passes, want) in [
            (20.0, 25, Ok(600.0)),
            (20.0, 26, Err((624.0, 25))),
            (20.0, 64, Err((1536.0, 25))),
            (92.0, 64, Ok(64.0 * 480.0 / 92.0)),
            (400.0, 1, Ok(1.2)),
        ] {
            for quality in [Quality::Usual, Quality::Fine] {
                let groove = groove(bpm);
                let found = Take { passes, quality }.size(&groove, &Tone::NEUTRAL);
                match (found, want) {
                    (Ok(size), Ok(seconds)) => {
                        assert!((size.seconds - seconds - RINGING).abs() < 1e-9, "{bpm}: {size:?}");
                        let a_second = if quality == Quality::Usual { 44_100.0 * 4.0 } else { 48_000.0 * 6.0 };
                        assert!((size.bytes as f64 - a_second * size.seconds).abs() < 60.0, "{bpm}: {size:?}");
                    }
                    (Err(found), Err((seconds, fit))) => {
                        assert!((found.seconds - seconds).abs() < 1e-9 && found.fit == fit, "{bpm}: {found:?}");
                        assert!(Take { passes: fit, quality }.size(&groove, &Tone::NEUTRAL).is_ok());
                    }
                    (found, want) => panic!("{bpm}, {passes} passes: {found:?}, not {want:?}"),
                }
            }
        }
    }
}
