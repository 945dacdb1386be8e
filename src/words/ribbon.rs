//! Words on and under the time ribbon.

/// The switch that draws small shifts larger, and the label on the sheet while it is on.
pub const MAGNIFY: &str = "feel \u{00d7}4";
/// What the switch does, for its description.
pub const MAGNIFY_HINT: &str = "draws every shift off its place four times as large";
/// What a lane's name is, for its description.
pub const LANE: &str = "lane";

/// The spoken name of a lane that is not heard now.
pub fn silent(lane: &str) -> String {
    format!("{lane}, silent")
}

/// Words for what a ring round a stroke says; they follow what the stroke is like.
pub mod rings {
    /// The lesson speaks of this stroke.
    pub const TOPIC: &str = "topic";
    /// Foretold, and there.
    pub const FOUND: &str = "found";
    /// There, and not foretold.
    pub const MISSED: &str = "missed";
    /// Foretold, and not there.
    pub const EXTRA: &str = "extra";
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_silent_lane_says_so() {
        assert_eq!(silent("Snare"), "Snare, silent");
    }
}
