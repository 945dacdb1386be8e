//! Where everything of a time ribbon lies, in CSS pixels. Time runs to scale: one number of pixels a tick in all systems.
//!
//! A ribbon too long for the sheet is broken into *systems* (the word for the rows of a score), always at beats: whole
//! bars while they fit, then half bars, then beats; text and controls are never shrunk to fit.

use crate::rhythm::{Pattern, Tick};
use crate::role::Role;

/// The narrowest a place may be drawn: the smallest comfortable control.
pub const MIN_PLACE: f64 = 24.0;
/// Above this sheet width lane names stand in a margin left of the lines; below they stand over them.
pub const MARGIN_FROM: f64 = 560.0;
/// The width of that margin.
pub const MARGIN: f64 = 104.0;
/// Room at the right for the last barline and its repeat dots.
pub const TAIL: f64 = 16.0;
/// Room above the lanes for bar numbers and brackets.
pub const HEAD: f64 = 34.0;
/// The height of one count row.
pub const COUNT: f64 = 22.0;

/// How far left of its place a control begins, as a share of the pulse: a fin stands at the place and falls to the right.
pub const BEFORE: f64 = 0.35;

/// One row of the ribbon.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct System {
    /// The first tick drawn.
    pub start: Tick,
    /// The tick after the last one drawn; always a beat of the metre.
    pub end: Tick,
    /// Where `start` lies, from the left edge of the sheet.
    pub left: f64,
    /// Pixels a tick.
    pub scale: f64,
}

impl System {
    /// Where a played place (real ticks from the pattern's start) lies, from the left edge of the sheet.
    pub fn x(&self, ticks: f64) -> f64 {
        self.left + (ticks - self.start.as_f64()) * self.scale
    }

    /// The written place (in ticks, not on any pulse) under a point `x` pixels from the left edge of the sheet, kept inside
    /// the system.
    pub fn tick(&self, x: f64) -> f64 {
        (self.start.as_f64() + (x - self.left) / self.scale).clamp(self.start.as_f64(), self.end.as_f64() - 1.0)
    }

    /// The place whose control lies under a point `x` pixels from the left edge of the sheet, in a lane with places every
    /// `pulse` ticks.
    pub fn place_under(&self, x: f64, pulse: Tick) -> Tick {
        let place = ((self.tick(x) / pulse.as_f64() + BEFORE).floor() as i64).clamp(
            (self.start.0 + pulse.0 - 1).div_euclid(pulse.0),
            (self.end.0 - 1).div_euclid(pulse.0).max((self.start.0 + pulse.0 - 1).div_euclid(pulse.0)),
        );
        pulse.times(place)
    }

    /// Where the system's last barline or beat line lies.
    pub fn right(&self) -> f64 {
        self.x(self.end.as_f64())
    }

    /// Whether a written place is drawn in this system.
    pub fn holds(&self, at: Tick) -> bool {
        (self.start..self.end).contains(&at)
    }
}

/// How wide a margin the lane names get on a sheet of this width.
pub fn margin(width: f64) -> f64 {
    if width >= MARGIN_FROM { MARGIN } else { 12.0 }
}

/// Breaks `pattern` into systems for a sheet `width` pixels wide.
pub fn systems(pattern: &Pattern, width: f64) -> Vec<System> {
    let left = margin(width);
    let room = (width - left - TAIL).max(MIN_PLACE);
    let metre = pattern.metre();
    let bar = metre.bar();
    let finest = pattern.lanes().iter().map(|lane| lane.head.pulse.0).min().unwrap_or(Tick::SIXTEENTH.0);
    // A pulse finer than a sixteenth may be drawn narrower than a control: its controls then take two lines of places.
    let scale_floor = MIN_PLACE / finest.max(120) as f64;
    let fits = |length: Tick| length.as_f64() * scale_floor <= room;

    let bars = i64::from(pattern.bars());
    let mut lengths: Vec<Tick> = Vec::new();
    if let Some(count) = (1..=bars).rev().find(|&count| bars % count == 0 && fits(bar.times(count))) {
        lengths = vec![bar.times(count); (bars / count) as usize];
    } else {
        // Beats in groups: the largest number of equal groups first, or single beats if nothing fits.
        let beats = metre.beat_count();
        let group_length = |from: usize, count: usize| metre.beat_start(from + count) - metre.beat_start(from);
        let whole =
            |count: usize| (0..beats).step_by(count).all(|from| fits(group_length(from, count.min(beats - from))));
        let count = (1..beats)
            .rev()
            .find(|&count| (beats.is_multiple_of(count) || beats % 2 == 1) && whole(count))
            .unwrap_or(1);
        for _ in 0..bars {
            lengths.extend((0..beats).step_by(count).map(|from| group_length(from, count.min(beats - from))));
        }
    }
    let longest = lengths.iter().copied().max().unwrap_or(bar);
    let scale = (room / longest.as_f64()).max(scale_floor);
    let mut start = Tick::ZERO;
    let system = |length: Tick| {
        let system = System { start, end: start + length, left, scale };
        start += length;
        system
    };
    lengths.into_iter().map(system).collect()
}

/// A lane's band in a system.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Band {
    /// The top of the band, from the top of the system.
    pub top: f64,
    /// How much of the band, from its top, is kept for the lane's name; 0 where names stand in the margin.
    pub name: f64,
    /// Where the lane's line lies, from the top of the system.
    pub base: f64,
    /// Its height.
    pub height: f64,
}

/// The height kept for a lane's name over the line: that of a comfortable control.
const NAME: f64 = 24.0;
/// Room under a lane's line for its pulses, and for syllables.
const UNDER: f64 = 7.0;
const SYLLABLES: f64 = 12.0;

/// The bands of `lanes` from the top down on a sheet `width` pixels wide: pitched lanes have a pitch line over their
/// strokes, and lanes whose roles are `spoken` room for syllables under their line.
pub fn bands(lanes: &[(Role, Tick)], width: f64, spoken: &[Role]) -> Vec<Band> {
    let mut top = HEAD;
    let band = |&(role, _): &(Role, Tick)| {
        let name = if width >= MARGIN_FROM { 0.0 } else { NAME };
        let under = UNDER + if spoken.contains(&role) { SYLLABLES } else { 0.0 };
        let over = if role.is_pitched() { 70.0 } else { 49.0 };
        let band = Band { top, name, base: top + name + over, height: name + over + under };
        top += band.height;
        band
    };
    lanes.iter().map(band).collect()
}

/// A straight line under or over the lanes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Line {
    /// The first beat of a bar.
    Bar,
    /// Another beat.
    Beat,
}

/// The bar and beat lines of a system with their places, the closing line of the system included.
pub fn lines(pattern: &Pattern, system: &System) -> Vec<(Tick, Line)> {
    let metre = pattern.metre();
    let bar = metre.bar();
    let mut lines = Vec::new();
    for index in 0..=i64::from(pattern.bars()) {
        for beat in 0..metre.beat_count() {
            let at = bar.times(index) + metre.beat_start(beat);
            if at >= system.start && at <= system.end {
                lines.push((at, if beat == 0 { Line::Bar } else { Line::Beat }));
            }
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rhythm::{Lane, LaneHead, Metre};

    fn pattern(metre: &str, bars: u8, pulse: i64) -> Pattern {
        let lane = Lane::new(LaneHead::new(Role::Kick, Tick(pulse)));
        Pattern::new(Metre::parse(metre).unwrap(), bars, vec![lane]).unwrap()
    }

    #[track_caller]
    fn check(metre: &str, bars: u8, pulse: i64, width: f64, lengths: &[i64]) {
        let pattern = pattern(metre, bars, pulse);
        let systems = systems(&pattern, width);
        assert_eq!(systems.iter().map(|s| (s.end - s.start).0).collect::<Vec<_>>(), lengths);
        assert_eq!(systems.last().unwrap().end, pattern.length());
        for system in &systems {
            assert!(system.scale * pulse.max(120) as f64 >= MIN_PLACE - 1e-9, "a place is at least a control wide");
            if width > 240.0 {
                assert!(system.right() <= width, "{} over {width}", system.right());
            }
        }
    }

    #[test]
    fn systems_break_at_beats_and_places_stay_wide_enough() {
        check("4/4", 2, 240, 1000.0, &[7680]);
        check("4/4", 2, 240, 700.0, &[3840, 3840]);
        check("4/4", 2, 240, 328.0, &[1920; 4]);
        check("4/4", 1, 120, 328.0, &[960; 4]);
        check("6/8", 2, 240, 328.0, &[2880, 2880]);
        check("12/8", 2, 480, 328.0, &[5760, 5760]);
        check("7/8", 1, 240, 300.0, &[1920, 1440]);
        check("4/4", 8, 240, 1400.0, &[7680; 4]);
        check("4/4", 3, 240, 1000.0, &[3840; 3]);
        check("4/4", 1, 240, 90.0, &[960; 4]);
    }

    #[test]
    fn bands_follow_each_other_and_leave_room_for_names_and_syllables() {
        let lanes = [(Role::Snare, Tick(240)), (Role::Bass, Tick(240)), (Role::Kick, Tick(240))];
        for (width, name) in [(1000.0, 0.0), (328.0, 24.0)] {
            let bands = bands(&lanes, width, &[Role::Kick]);
            let heights: Vec<f64> = bands.iter().map(|band| band.height - band.name).collect();
            assert_eq!(heights, [56.0, 77.0, 68.0]);
            assert!(bands.iter().all(|band| (band.name - name).abs() < 1e-9));
            for pair in bands.windows(2) {
                assert!((pair[0].top + pair[0].height - pair[1].top).abs() < 1e-9);
            }
        }
    }

    #[test]
    fn a_point_leads_back_to_its_place() {
        let system = System { start: Tick(960), end: Tick(1920), left: 12.0, scale: 0.25 };
        for (x, tick) in [(12.0, 960.0), (72.0, 1200.0), (-40.0, 960.0), (900.0, 1919.0)] {
            assert!((system.tick(x) - tick).abs() < 1e-9, "{x}");
        }
        // Controls of 60 px that begin 21 px before their places.
        for (x, place) in [(-40.0, 960), (50.0, 960), (52.0, 1200), (110.0, 1200), (112.0, 1440), (999.0, 1680)] {
            assert_eq!(system.place_under(x, Tick(240)), Tick(place), "{x}");
        }
    }

    #[test]
    fn lines_stand_on_beats() {
        let pattern = pattern("7/8", 1, 240);
        let system = systems(&pattern, 1000.0)[0];
        assert_eq!(
            lines(&pattern, &system),
            [(Tick(0), Line::Bar), (Tick(960), Line::Beat), (Tick(1920), Line::Beat), (Tick(3360), Line::Bar)]
        );
    }
}
