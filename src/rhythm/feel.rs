//! Feel: how the score's even pulses become the uneven ones that are played.
//!
//! Two shifts act on score ticks, in this order: swing inside each pair, then a shift by position in the beat (samba and
//! its kin). Both are continuous and keep the order of strokes, so a stroke on any tick, a roll's two ends and the bar
//! lines all have a place. A nudge and a lane's lean come after; see [`super::sounding`].

use super::lane::LaneHead;
use super::metre::Metre;
use super::units::Tick;

/// The long note's share of a pair, 50 to 80 %, kept in tenths of a percent.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Swing(u16);

impl Swing {
    /// Straight.
    pub const STRAIGHT: Swing = Swing(500);
    /// Two to one: a triplet's first two thirds against its last. Written 66.7, it counts as exactly two thirds.
    pub const TRIPLET: Swing = Swing(667);
    /// The strongest swing.
    pub const MAX: Swing = Swing(800);

    /// A share in percent, rounded to a tenth; `None` outside 50 to 80 or if it is not a number.
    pub fn from_percent(percent: f64) -> Option<Swing> {
        if !percent.is_finite() {
            return None;
        }
        Swing::from_tenths((percent * 10.0).round().clamp(0.0, 10_000.0) as u16)
    }

    /// A share in tenths of a percent; `None` outside 500 to 800.
    pub fn from_tenths(tenths: u16) -> Option<Swing> {
        (500..=800).contains(&tenths).then_some(Swing(tenths))
    }

    /// Tenths of a percent.
    pub const fn tenths(self) -> u16 {
        self.0
    }

    /// Percent.
    pub fn percent(self) -> f64 {
        f64::from(self.0) / 10.0
    }

    /// The exact share, 0.5 to 0.8.
    pub fn share(self) -> f64 {
        if self == Swing::TRIPLET { 2.0 / 3.0 } else { f64::from(self.0) / 1000.0 }
    }
}

/// How the pair that swings is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Written {
    /// As two even halves: all that lies inside moves along.
    Straight,
    /// As three even thirds, of which only the last moves; 66.7 % leaves it where it is written.
    Ternary,
}

/// A shift of one position inside every beat, in tenths of a percent of the beat; negative is early.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct PositionShift {
    /// Place inside the beat, from 0 to before its end.
    pub at: Tick,
    /// Tenths of a percent of the beat, -100 to 100.
    pub tenths: i16,
}

/// Swing and position shifts.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Feel {
    pair: u16,
    written: Written,
    swing: Swing,
    shifts: Vec<PositionShift>,
}

/// Why there is no such feel.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FeelError {
    /// A pair is 480 (two sixteenths), 720, 960 (two eighths) or 1440 ticks.
    Pair(Tick),
    /// At most 16 shifts, in order, inside the beat, each at most 10 % of it, and never past one another.
    Shifts,
}

impl core::fmt::Display for FeelError {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        match self {
            FeelError::Pair(pair) => write!(f, "a swung pair is 480, 720, 960 or 1440 ticks long, found {}", pair.0),
            FeelError::Shifts => f.write_str(
                "position shifts are at most 16, in order inside the beat, at most 10 % of it, and keep the order of strokes",
            ),
        }
    }
}

impl Feel {
    /// No swing at all; pairs of sixteenths, should swing be turned up.
    pub const fn straight() -> Feel {
        Feel { pair: 480, written: Written::Straight, swing: Swing::STRAIGHT, shifts: Vec::new() }
    }

    /// A feel from its parts: `pair` is the length of the whole pair.
    pub fn new(pair: Tick, written: Written, swing: Swing, shifts: Vec<PositionShift>) -> Result<Feel, FeelError> {
        if !matches!(pair.0, 480 | 720 | 960 | 1440) {
            return Err(FeelError::Pair(pair));
        }
        let inside = |shift: &PositionShift| (0..3840).contains(&shift.at.0) && (-100..=100).contains(&shift.tenths);
        if shifts.len() > 16 || !shifts.iter().all(inside) || !keeps_order(&shifts) {
            return Err(FeelError::Shifts);
        }
        Ok(Feel { pair: pair.0 as u16, written, swing, shifts })
    }

    /// The length of the pair that swings: 480 for two sixteenths, 960 for two eighths.
    pub const fn pair(&self) -> Tick {
        Tick(self.pair as i64)
    }

    /// How the pair is written.
    pub const fn written(&self) -> Written {
        self.written
    }

    /// The long note's share.
    pub const fn swing(&self) -> Swing {
        self.swing
    }

    /// The shifts by position in the beat.
    pub fn shifts(&self) -> &[PositionShift] {
        &self.shifts
    }

    /// The same feel written another way; a swing that leaves all in its place goes on leaving it.
    pub fn with_written(&self, written: Written) -> Feel {
        let swing = if self.swing == self.neutral() { Feel { written, ..self.clone() }.neutral() } else { self.swing };
        Feel { written, swing, ..self.clone() }
    }

    /// The same feel with another swing.
    pub fn with_swing(&self, swing: Swing) -> Feel {
        Feel { swing, ..self.clone() }
    }

    /// The same feel with the swing acting on pairs of another length.
    pub fn with_pair(&self, pair: Tick) -> Result<Feel, FeelError> {
        Feel::new(pair, self.written, self.swing, self.shifts.clone())
    }

    /// The swing that changes nothing: 50 %, or two thirds for pairs written in threes.
    pub const fn neutral(&self) -> Swing {
        match self.written {
            Written::Straight => Swing::STRAIGHT,
            Written::Ternary => Swing::TRIPLET,
        }
    }

    /// Whether the swing moves a lane that states no wish of its own: the lane must be written the way the pair is. A swing
    /// in halves moves lanes whose pulse divides the pair in twos, a swing in thirds those that divide it in threes;
    /// lanes with pulses of whole pairs agree with both.
    pub fn moves(&self, head: &LaneHead) -> bool {
        head.swings.unwrap_or_else(|| {
            let (pair, pulse) = (i64::from(self.pair), head.pulse.0);
            let parts = if pair % pulse == 0 { pair / pulse } else { 0 };
            pulse % pair == 0
                || match self.written {
                    Written::Straight => parts > 0 && (parts as u64).is_power_of_two(),
                    Written::Ternary => parts > 0 && parts % 3 == 0,
                }
        })
    }

    /// Where score place `at` (real ticks from the pattern's start) is played, before nudge and lean. Bars begin on
    /// multiples of the metre's bar; both shifts start anew at every bar line. `swings` as [`Feel::moves`] says.
    pub fn warp(&self, at: f64, metre: &Metre, swings: bool) -> f64 {
        self.shifted(if swings { self.swung(at, metre) } else { at }, metre)
    }

    /// Swing alone.
    fn swung(&self, at: f64, metre: &Metre) -> f64 {
        if self.swing == self.neutral() {
            return at;
        }
        let pair = f64::from(self.pair);
        let bar = metre.bar().as_f64();
        let in_bar = at.rem_euclid(bar);
        let start = at - in_bar.rem_euclid(pair);
        // A bar that does not divide into pairs (5/8 in pairs of eighths) leaves its last part as written.
        if in_bar - in_bar.rem_euclid(pair) + pair > bar {
            return at;
        }
        let written = (at - start) / pair;
        let played = self.swing.share();
        let moved = match self.written {
            Written::Straight => {
                piecewise(written, 0.0, 0.0, 0.5, played).unwrap_or_else(|| between(written, 0.5, played, 1.0, 1.0))
            }
            Written::Ternary => {
                let (first, last) = (1.0 / 3.0, 2.0 / 3.0);
                if written <= first {
                    written
                } else {
                    piecewise(written, first, first, last, played)
                        .unwrap_or_else(|| between(written, last, played, 1.0, 1.0))
                }
            }
        };
        start + moved * pair
    }

    /// The shift by position in the beat, of a place that has been swung: both maps keep the order of places, so the two
    /// together do. Between two stated positions the shift runs evenly from one to the other; the next beat's first
    /// position closes the beat.
    fn shifted(&self, swung: f64, metre: &Metre) -> f64 {
        let Some(first) = self.shifts.first() else { return swung };
        let in_bar = swung.rem_euclid(metre.bar().as_f64());
        let (index, beat_start, beat) = metre.beat_at(Tick(in_bar.floor() as i64));
        let next = metre.beats().nth(index + 1).or(metre.beats().next()).unwrap_or(beat);
        let position = in_bar - beat_start.as_f64();
        let head = if first.at == Tick::ZERO { f64::from(first.tenths) / 1000.0 } else { 0.0 };
        let mut before = (0.0, head * beat.as_f64());
        let mut after = (beat.as_f64(), head * next.as_f64());
        for shift in &self.shifts {
            let anchor = (shift.at.as_f64(), f64::from(shift.tenths) / 1000.0 * beat.as_f64());
            if anchor.0 <= position {
                before = anchor;
            } else {
                after = if anchor.0 < beat.as_f64() { anchor } else { after };
                break;
            }
        }
        swung + between(position, before.0, before.1, after.0, after.1)
    }
}

/// Whether shifts stand in order and leave every two places of a beat of any length in order, the first place of a next
/// beat of any length included.
fn keeps_order(shifts: &[PositionShift]) -> bool {
    let ordered = shifts.windows(2).all(|two| two[0].at < two[1].at);
    let head = shifts.first().filter(|first| first.at == Tick::ZERO).map_or(0, |first| i64::from(first.tenths));
    // In thousandths of a tick, to stay with whole numbers.
    let increasing = |beat: i64| {
        let moved = |at: i64, tenths: i64| at * 1000 + tenths * beat;
        let inside = shifts.iter().filter(|shift| shift.at.0 < beat && shift.at.0 > 0);
        let mut last = moved(0, head);
        let close = beat * 1000 + (head * 120).min(head * 3840);
        inside.map(|shift| moved(shift.at.0, i64::from(shift.tenths))).chain([close]).all(|next| {
            let later = next > last;
            last = next;
            later
        })
    };
    ordered && (120..=3840).step_by(120).all(increasing)
}

/// The straight line from (x0, y0) to (x1, y1) at `x`.
fn between(x: f64, x0: f64, y0: f64, x1: f64, y1: f64) -> f64 {
    if x1 > x0 { y0 + (x - x0) / (x1 - x0) * (y1 - y0) } else { y0 }
}

/// As [`between`], or `None` past x1.
fn piecewise(x: f64, x0: f64, y0: f64, x1: f64, y1: f64) -> Option<f64> {
    (x <= x1).then(|| between(x, x0, y0, x1, y1))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn feel(pair: i64, written: Written, percent: f64) -> Feel {
        Feel::new(Tick(pair), written, Swing::from_percent(percent).unwrap(), Vec::new()).unwrap()
    }

    #[track_caller]
    fn check(feel: &Feel, metre: &str, cases: &[(f64, f64)]) {
        let metre = Metre::parse(metre).unwrap();
        for &(at, want) in cases {
            let got = feel.warp(at, &metre, true);
            assert!((got - want).abs() < 1e-9, "{at}: {got}, expected {want}");
        }
    }

    #[test]
    fn straight_pairs_are_linear_on_both_sides() {
        let lofi = feel(480, Written::Straight, 59.0);
        check(
            &lofi,
            "4/4",
            &[(0.0, 0.0), (240.0, 283.2), (120.0, 141.6), (360.0, 381.6), (480.0, 480.0), (720.0, 763.2)],
        );
        check(&feel(960, Written::Straight, 66.7), "4/4", &[(480.0, 640.0), (240.0, 320.0), (960.0, 960.0)]);
        check(&feel(480, Written::Straight, 50.0), "4/4", &[(241.0, 241.0)]);
    }

    #[test]
    fn a_lane_swings_if_it_is_written_as_the_pair_is() {
        let role = crate::role::Role::Shaker;
        let cases = [
            (480, Written::Straight, 240, true),
            (480, Written::Straight, 120, true),
            (480, Written::Straight, 960, true),
            (480, Written::Straight, 160, false),
            (480, Written::Straight, 320, false),
            (960, Written::Ternary, 320, true),
            (960, Written::Ternary, 160, true),
            (960, Written::Ternary, 240, false),
            (960, Written::Ternary, 1920, true),
            (1440, Written::Ternary, 480, true),
        ];
        for (pair, written, pulse, want) in cases {
            let head = LaneHead::new(role, Tick(pulse));
            assert_eq!(feel(pair, written, 60.0).moves(&head), want, "{pair} {written:?} {pulse}");
            assert!(feel(pair, written, 60.0).moves(&LaneHead { swings: Some(true), ..head }));
        }
    }

    #[test]
    fn ternary_pairs_move_only_the_third_pulse() {
        check(&feel(960, Written::Ternary, 66.7), "4/4", &[(320.0, 320.0), (640.0, 640.0)]);
        check(&feel(960, Written::Ternary, 60.0), "4/4", &[(0.0, 0.0), (320.0, 320.0), (640.0, 576.0), (960.0, 960.0)]);
        check(&feel(1440, Written::Ternary, 60.0), "12/8", &[(480.0, 480.0), (960.0, 864.0), (1440.0, 1440.0)]);
    }

    #[test]
    fn a_rest_of_the_bar_that_is_no_pair_stays() {
        check(
            &feel(960, Written::Straight, 60.0),
            "5/8",
            &[(480.0, 576.0), (1440.0, 1536.0), (2160.0, 2160.0), (2400.0, 2400.0)],
        );
    }

    #[test]
    fn position_shifts_run_evenly_between_their_anchors() {
        let shifts =
            [(0, 5), (240, 0), (480, -20), (720, -30)].map(|(at, tenths)| PositionShift { at: Tick(at), tenths });
        let samba = Feel::new(Tick(480), Written::Straight, Swing::STRAIGHT, shifts.to_vec()).unwrap();
        check(
            &samba,
            "2/4",
            &[
                (0.0, 4.8),
                (240.0, 240.0),
                (360.0, 350.4),
                (480.0, 460.8),
                (720.0, 691.2),
                (960.0, 964.8),
                (1680.0, 1651.2),
            ],
        );
    }

    #[test]
    fn refused() {
        let crossing = [(0, 100), (10, -100)].map(|(at, tenths)| PositionShift { at: Tick(at), tenths });
        for (pair, shifts, want) in [
            (500, Vec::new(), FeelError::Pair(Tick(500))),
            (480, crossing.to_vec(), FeelError::Shifts),
            (480, vec![PositionShift { at: Tick(0), tenths: 101 }], FeelError::Shifts),
        ] {
            assert_eq!(Feel::new(Tick(pair), Written::Straight, Swing::STRAIGHT, shifts), Err(want));
        }
        assert_eq!(Swing::from_percent(49.9), None);
        assert_eq!(Swing::from_percent(f64::NAN), None);
        assert_eq!(Swing::from_percent(80.1), None);
    }
}
