//! Recordings: what can be set, how much it will be, and how it went.

use super::numbers::{counted, format};
use crate::share::take::{LONGEST_SECONDS, Quality, Size, TooLong};

/// Names of controls.
pub mod controls {
    #![allow(missing_docs, reason = "each constant is named after the words it holds")]
    pub const SAVE_AS_SOUND: &str = "Save as sound";
    pub const TIMES_ROUND: &str = "Times round";
    pub const QUALITY: &str = "Quality";
    pub const SAVE: &str = "Save the sound";
    pub const CANCEL: &str = "Cancel saving";
    pub const PROGRESS: &str = "Saving the sound";
}

/// What is said when the learner has cancelled.
pub const CANCELLED: &str = "Cancelled. Nothing was saved.";
/// What is said of lanes the learner has silenced.
pub const SILENT_LANES: &str = "Silenced lanes stay silent in it.";

/// A quality as it is chosen.
pub const fn quality(quality: Quality) -> &'static str {
    match quality {
        Quality::Usual => "usual",
        Quality::Fine => "fine, for further work",
    }
}

/// So many minutes and seconds: "2 minutes 5 seconds".
pub fn duration(seconds: f64) -> String {
    let whole = seconds.round().max(0.0) as usize;
    let (minutes, seconds) = (whole / 60, whole % 60);
    let told = |count, one, many| (count > 0).then(|| counted(count, one, many));
    let parts = [told(minutes, "minute", "minutes"), told(seconds, "second", "seconds")];
    let parts: Vec<String> = parts.into_iter().flatten().collect();
    if parts.is_empty() { counted(0, "second", "seconds") } else { parts.join(" ") }
}

/// How much it will be: "About 43 seconds, 7.6 MB."
pub fn size(size: Size) -> String {
    format!("About {}, {} MB.", duration(size.seconds), format(size.bytes as f64 / 1e6, 1))
}

/// Why it cannot be, and what can.
pub fn too_long(passes: u32, too_long: TooLong) -> String {
    let round = counted(passes as usize, "time round lasts", "times round last");
    let lasts = format!("{round} {}; a recording holds {}.", duration(too_long.seconds), duration(LONGEST_SECONDS));
    match too_long.fit {
        0 => format!("{lasts} A quicker tempo would make it fit."),
        1 => format!("{lasts} Once round fits."),
        fit => format!("{lasts} {fit} times fit."),
    }
}

/// It lies among the learner's files now.
pub fn saved(name: &str) -> String {
    format!("Saved as {name}.")
}

/// The browser would not make or save it.
pub fn refused(reason: Option<&str>) -> String {
    let reason = reason.map_or(String::new(), |reason| format!(" It says: {reason}"));
    format!("The browser would not save the sound. Fewer times round, or the usual quality, need less memory.{reason}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_and_sizes_are_said_as_people_do() {
        for (seconds, want) in [
            (0.2, "0 seconds"),
            (1.0, "1 second"),
            (43.4, "43 seconds"),
            (60.0, "1 minute"),
            (125.0, "2 minutes 5 seconds"),
            (600.0, "10 minutes"),
        ] {
            assert_eq!(duration(seconds), want);
        }
        assert_eq!(size(Size { seconds: 43.0, bytes: 7_585_244 }), "About 43 seconds, 7.6 MB.");
    }

    #[test]
    fn what_does_not_fit_says_what_does() {
        for (passes, seconds, fit, want) in [
            (64, 768.0, 50, "64 times round last 12 minutes 48 seconds; a recording holds 10 minutes. 50 times fit."),
            (2, 700.0, 1, "2 times round last 11 minutes 40 seconds; a recording holds 10 minutes. Once round fits."),
            (
                1,
                601.0,
                0,
                "1 time round lasts 10 minutes 1 second; a recording holds 10 minutes. A quicker tempo would make it fit.",
            ),
        ] {
            assert_eq!(too_long(passes, TooLong { seconds, fit }), want);
        }
    }
}
