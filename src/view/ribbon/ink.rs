//! The drawing under the places as text of SVG elements: lines, fins, whiskers, brackets, pitch lines, rings and counts.
//! What is alike in one lane is one path, however many strokes it has. The drawing is hidden from screen readers, which
//! have the places themselves.

use super::fin::{self, Drawing, Fin, Held};
use super::layout::{self, Band, Line, System};
use super::ring::Ring;
use super::sign::Signs;
use crate::rhythm::{Groove, Lane, Part, Pattern, StrokeId, Tick, Tonic};
use crate::role::Role;
use crate::words;
use core::fmt::Write;

/// How close two syllables or counts may stand.
const APART: f64 = 15.0;
/// Half of what a sounding pitch line is thick.
const HALF_SOUNDING: f64 = 1.8;

/// A path element, or nothing for an empty path.
fn path(class: &str, d: &str) -> String {
    if d.is_empty() { String::new() } else { format!("<path class=\"{class}\" d=\"{d}\"/>") }
}

fn text(out: &mut String, class: &str, x: f64, y: f64, told: &str) {
    let _ = write!(out, "<text class=\"{class}\" x=\"{x:.1}\" y=\"{y:.1}\">");
    // Some of it comes from files that anybody may have written.
    for letter in told.chars() {
        match letter {
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '&' => out.push_str("&amp;"),
            _ => out.push(letter),
        }
    }
    out.push_str("</text>");
}

fn upright(d: &mut String, x: f64, from: f64, to: f64) {
    let _ = write!(d, "M{x:.2} {from:.1}V{to:.1}");
}

/// Bar and beat lines, bar numbers, the closing lines, and the lanes' own lines with a tick at every pulse. `strong` are the
/// beats several lanes strike on: their lines are drawn stronger. `pulses` are those of the lanes with `bands`.
pub fn ruling(pattern: &Pattern, system: &System, bands: &[Band], strong: &[Tick]) -> String {
    let top = layout::HEAD - 8.0;
    let foot = bands.last().map_or(top, |band| band.base);
    let (mut bars, mut beats, mut strongs) = (String::new(), String::new(), String::new());
    for (at, line) in layout::lines(pattern, system) {
        let d = match line {
            Line::Bar => &mut bars,
            Line::Beat if strong.contains(&at) => &mut strongs,
            Line::Beat => &mut beats,
        };
        upright(d, system.x(at.as_f64()), top, foot);
    }
    let (mut lines, mut pulses) = (String::new(), String::new());
    for (lane, band) in pattern.lanes().iter().zip(bands) {
        let _ = write!(lines, "M{:.1} {:.1}H{:.1}", system.left, band.base, system.right());
        let pulse = lane.head.pulse.0.max(1);
        let mut at = (system.start.0 + pulse - 1).div_euclid(pulse) * pulse;
        while at < system.end.0 {
            upright(&mut pulses, system.x(at as f64), band.base, band.base + 4.0);
            at += pulse;
        }
    }
    let mut out = path("beat-line", &beats) + &path("beat-line strong", &strongs) + &path("bar-line", &bars);
    out += &path("pulse", &pulses);
    out += &path("lane-line", &lines);
    if system.end == pattern.length() {
        let (x, middle) = (system.right(), (top + foot) / 2.0);
        let mut end = String::new();
        upright(&mut end, x + 5.0, top, foot);
        out += &path("end-line", &end);
        for y in [middle - 8.0, middle + 8.0] {
            let _ = write!(out, "<circle class=\"repeat\" cx=\"{:.1}\" cy=\"{y:.1}\" r=\"2.4\"/>", x + 11.0);
        }
    }
    let bar = pattern.metre().bar();
    for index in 0..i64::from(pattern.bars()) {
        let at = bar.times(index);
        let number = index + 1;
        if system.holds(at) {
            text(&mut out, "bar-number", system.x(at.as_f64()) + 4.0, top - 2.0, &number.to_string());
        } else if at < system.start && system.start < at + bar {
            // A bar that was begun in the system before is told in brackets, as engravers do.
            text(&mut out, "bar-number", system.left + 4.0, top - 2.0, &format!("({number})"));
        }
    }
    out
}

/// The beats on which two or more lanes strike.
pub fn strong_beats(pattern: &Pattern) -> Vec<Tick> {
    let metre = pattern.metre();
    let beats = (0..i64::from(pattern.bars()))
        .flat_map(|index| (0..metre.beat_count()).map(move |beat| metre.bar().times(index) + metre.beat_start(beat)));
    beats.filter(|&at| pattern.lanes().iter().filter(|lane| lane.at(at).is_some()).count() >= 2).collect()
}

/// Where the pitches of one lane lie over its line: the upper part of a pitched lane's band holds two octaves or what the
/// lane needs, about its own middle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PitchLine {
    middle: f64,
    span: f64,
}

impl PitchLine {
    /// The pitch line of a lane with these drawings; all systems of a lane share it.
    pub fn of(drawings: &[Drawing]) -> PitchLine {
        let pitches = drawings
            .iter()
            .flat_map(|drawing| &drawing.held)
            .flat_map(|held| [Some(held.pitch), held.glide.map(|(_, to)| to)].into_iter().flatten().map(f64::from));
        let (low, high) = pitches.fold((f64::MAX, f64::MIN), |(low, high), pitch| (low.min(pitch), high.max(pitch)));
        if low > high {
            return PitchLine { middle: 0.0, span: 12.0 };
        }
        PitchLine { middle: (low + high) / 2.0, span: (high - low).max(12.0) }
    }

    fn y(&self, pitch: i8, base: f64) -> f64 {
        base - 44.0 - (f64::from(pitch) - self.middle) / self.span * 22.0
    }

    /// The corners of a held note: beginning, where its glide begins, end.
    fn corners(&self, held: &Held, base: f64) -> [(f64, f64); 3] {
        let y = self.y(held.pitch, base);
        match held.glide {
            Some((from, to)) => [(held.from, y), (from, y), (held.to, self.y(to, base))],
            None => {
                let end = (held.to - 1.5).max(held.from + 2.0);
                [(held.from, y), (end, y), (end, y)]
            }
        }
    }
}

/// What goes with the strokes of one lane besides themselves.
pub struct Company<'a> {
    /// The signs of hallmarks.
    pub signs: &'a Signs,
    /// The rings round places of any lane.
    pub rings: &'a [Ring],
    /// What is said under each stroke.
    pub syllable: Option<&'a str>,
}

/// The strokes of one lane in one system.
pub fn strokes(drawing: &Drawing, lane: &Lane, band: &Band, pitches: PitchLine, tonic: Tonic) -> String {
    let base = band.base;
    let role: Role = lane.head.role;
    let mut out = String::new();
    let mut whiskers = String::new();
    for fin in own(drawing).filter(|fin| (fin.x - fin.foot).abs() >= 0.75) {
        let _ = write!(whiskers, "M{:.1} {:.1}H{:.2}", fin.foot, base - 1.2, fin.x);
    }
    out += &path("whisker", &whiskers);
    let mut brackets = String::new();
    for bracket in &drawing.brackets {
        let y = base - fin::TALLEST + 3.0;
        let (from, to) = (bracket.from, (bracket.to - 1.5).max(bracket.from + 4.0));
        let _ = write!(brackets, "M{from:.1} {:.1}v-4H{to:.1}v4", y + 4.0);
        text(&mut out, "bracket-number", (from + to) / 2.0, y - 1.5, &bracket.strokes.to_string());
    }
    out += &path("bracket", &brackets);
    let mut lines = String::new();
    let mut free_from = f64::MIN;
    for held in &drawing.held {
        let [(x, y), (x1, y1), (x2, y2)] = pitches.corners(held, base);
        let _ = write!(lines, "M{x:.1} {y:.1}L{x1:.1} {y1:.1}L{x2:.1} {y2:.1}");
        // Notes closer than a name is wide would write over each other.
        if held.from >= free_from {
            let note = words::notes::pitch(held.pitch, role, tonic);
            free_from = held.from + 7.0 * note.chars().count() as f64 + 3.0;
            text(&mut out, "note", held.from + 2.0, y - 4.5, &note);
        }
    }
    out += &path("held", &lines);
    let (mut solid, mut open) = (String::new(), String::new());
    for fin in &drawing.fins {
        fin::outline(if fin.open { &mut open } else { &mut solid }, fin, base);
    }
    out + &path("fin", &solid) + &path("fin open", &open)
}

/// The first hit of every stroke.
fn own(drawing: &Drawing) -> impl Iterator<Item = &Fin> {
    drawing.fins.iter().filter(|fin| fin.part == Part::Stroke(0))
}

/// Signs of hallmarks, rings and syllables of one lane in one system. A place kept empty shows its sign only while it is
/// empty.
pub fn company(company: &Company<'_>, drawing: &Drawing, lane: &Lane, system: &System, band: &Band) -> String {
    let base = band.base;
    let mut out = String::new();
    let (mut hollow, mut arches) = (String::new(), String::new());
    let empty = |&&(id, at): &&(_, Tick)| id == lane.id && system.holds(at) && lane.at(at).is_none();
    for (_, at) in company.signs.hollow.iter().filter(empty) {
        let _ = write!(hollow, "M{:.1} {:.1}l5 -6l5 6l-5 6z", system.x(at.as_f64()) - 5.0, base - 15.0);
    }
    for arch in company.signs.arches.iter().filter(|arch| arch.lane == lane.id && system.holds(arch.from)) {
        let (from, to) = (system.x(arch.from.as_f64()), system.x(arch.to.as_f64()).min(system.right()));
        // In a pitched lane the arch keeps under the pitch line, and its number under the arch.
        let pitched = lane.head.role.is_pitched();
        let (y, rise, number) = if pitched { (base - 19.0, 12.0, 4.0) } else { (base - 33.0, 15.0, -10.0) };
        let middle = (from + to) / 2.0;
        let _ = write!(arches, "M{from:.1} {y:.1}Q{middle:.1} {:.1} {to:.1} {y:.1}", y - rise);
        text(&mut out, "bracket-number", middle, y + number, &arch.pulses.to_string());
    }
    out += &path("hollow", &hollow);
    out += &path("arch", &arches);
    for ring in company.rings.iter().filter(|ring| ring.lane == lane.id && system.holds(ring.at)) {
        let there = own(drawing).find(|fin| fin.at == ring.at);
        let (x, height) = there.map_or((system.x(ring.at.as_f64()), 0.0), |fin| (fin.x, fin.height));
        out += &path(ring.kind.class(), &ring.kind.path(x, base, height));
    }
    if let Some(syllable) = company.syllable {
        let mut last = f64::MIN;
        for fin in own(drawing) {
            if fin.x - last >= APART.max(6.0 * syllable.chars().count() as f64) {
                text(&mut out, "syllable", fin.x - 2.0, base + 14.0, syllable);
                last = fin.x;
            }
        }
    }
    out
}

/// The path over those of the drawing's fins and pitch lines that sound now; empty if none does. `now` is in order.
pub fn sounding(drawing: &Drawing, now: &[(StrokeId, Part)], band: &Band, pitches: PitchLine) -> String {
    let mut d = String::new();
    if now.is_empty() {
        return d;
    }
    for fin in drawing.fins.iter().filter(|fin| now.binary_search(&(fin.stroke, fin.part)).is_ok()) {
        fin::outline(&mut d, fin, band.base);
    }
    for held in drawing.held.iter().filter(|held| now.iter().any(|(stroke, _)| *stroke == held.stroke)) {
        let corners = pitches.corners(held, band.base);
        for (index, (x, y)) in corners.into_iter().enumerate() {
            let _ = write!(d, "{}{x:.1} {:.1}", if index == 0 { 'M' } else { 'L' }, y - HALF_SOUNDING);
        }
        for (x, y) in corners.into_iter().rev() {
            let _ = write!(d, "L{x:.1} {:.1}", y + HALF_SOUNDING);
        }
        d.push('Z');
    }
    d
}

/// The pulse the counts are written at: the commonest among the lanes, the finer of two.
pub fn count_pulse(pattern: &Pattern) -> Tick {
    let lanes = pattern.lanes();
    let times = |pulse: Tick| lanes.iter().filter(|lane| lane.head.pulse == pulse).count();
    let commonest = lanes.iter().map(|lane| lane.head.pulse).max_by_key(|&pulse| (times(pulse), -pulse.0));
    commonest.unwrap_or(Tick::EIGHTH)
}

/// The count rows, from `top` down: what is counted aloud, and the felt count where it is another.
pub fn counts(groove: &Groove, system: &System, top: f64) -> String {
    let mut out = String::new();
    let pulse = count_pulse(&groove.pattern);
    let narrow = pulse.as_f64() * system.scale < APART;
    for count in words::counts::row(&groove.pattern, pulse) {
        if system.holds(count.at) && (count.beat || !narrow) && !count.label.is_empty() {
            let class = if count.beat { "count beat" } else { "count" };
            text(&mut out, class, system.x(count.at.as_f64()), top + 15.0, &count.label);
        }
    }
    if !has_felt_row(groove) {
        return out;
    }
    let lower = top + layout::COUNT + 15.0;
    for count in words::counts::felt_row(&groove.pattern, groove.tempo) {
        if system.holds(count.at) {
            text(&mut out, "count felt", system.x(count.at.as_f64()), lower, &count.label);
        }
    }
    if system.left >= layout::MARGIN {
        text(&mut out, "count-name", system.left - 14.0, top + 15.0, words::ui::WRITTEN_COUNT);
        text(&mut out, "count-name", system.left - 14.0, lower, words::ui::FELT_COUNT);
    }
    out
}

/// Whether the felt count differs from the beats of the metre and gets a row of its own.
pub fn has_felt_row(groove: &Groove) -> bool {
    let felt = groove.tempo.felt();
    groove.pattern.metre().beats().any(|beat| beat != felt)
}

#[cfg(test)]
mod tests {
    use super::super::ring::RingKind;
    use super::*;
    use crate::rhythm::boxes::{Ruling, read_row};
    use crate::rhythm::{Bpm, Dynamics, Feel, LaneHead, Metre, Sound, Tempo};

    fn groove(rows: &[(Role, &str)]) -> Groove {
        let metre = Metre::four_four();
        let ruling = Ruling { metre: &metre, bars: 1, pulse: Tick(240), dynamics: Dynamics::DEFAULT };
        let lane = |&(role, row): &(Role, &str)| {
            Lane::with_strokes(LaneHead::new(role, Tick(240)), read_row(row, &ruling).unwrap())
        };
        let lanes = rows.iter().map(lane).collect();
        let kit: crate::rhythm::Id = "plain".parse().unwrap();
        Groove {
            pattern: Pattern::new(metre, 1, lanes).unwrap(),
            tempo: Tempo::quarters(Bpm::new(120.0).unwrap()),
            feel: Feel::straight(),
            dynamics: Dynamics::DEFAULT,
            tonic: Tonic::DEFAULT,
            sound: Sound::of(kit),
        }
    }

    const SYSTEM: System = System { start: Tick(0), end: Tick(3840), left: 100.0, scale: 0.25 };
    const BAND: Band = Band { top: 34.0, name: 0.0, base: 83.0, height: 56.0 };

    /// How often each class is drawn.
    #[track_caller]
    fn check(svg: &str, want: &[(&str, usize)]) {
        for (class, count) in want {
            assert_eq!(svg.matches(&format!("class=\"{class}\"")).count(), *count, "{class} in {svg}");
        }
    }

    fn drawn(groove: &Groove) -> (Drawing, &Lane) {
        let lane = &groove.pattern.lanes()[0];
        (fin::draw(groove, lane, &[SYSTEM], 0.1, false).remove(0), lane)
    }

    #[test]
    fn a_lane_is_one_path_of_each_kind_however_many_strokes_it_has() {
        let groove = groove(&[(Role::Snare, "xxxoxoxx3xxx4xxx")]);
        let (drawing, lane) = drawn(&groove);
        let svg = strokes(&drawing, lane, &BAND, PitchLine::of(&[]), groove.tonic);
        check(&svg, &[("fin", 1), ("fin open", 1), ("bracket", 1), ("bracket-number", 2), ("whisker", 0), ("held", 0)]);
        // Each fin has one curve: 14 single strokes, and 3 and 4 of the rolls.
        assert_eq!(svg.matches('C').count(), 21);
    }

    #[test]
    fn only_what_sounds_is_drawn_over_it() {
        let groove = groove(&[(Role::Snare, "x...x...x.......")]);
        let (drawing, lane) = drawn(&groove);
        let second = lane.strokes()[1].id;
        assert_eq!(sounding(&drawing, &[], &BAND, PitchLine::of(&[])), "");
        let path = sounding(&drawing, &[(second, Part::Stroke(0))], &BAND, PitchLine::of(&[]));
        assert!(path.starts_with("M340.00 83.0V") && path.matches('M').count() == 1, "{path}");
    }

    #[test]
    fn higher_pitches_lie_higher_within_the_band() {
        let held = |pitch, glide| Held { stroke: StrokeId(1), from: 0.0, to: 50.0, pitch, glide };
        let drawing = Drawing { held: vec![held(0, None), held(7, Some((20.0, 24)))], ..Drawing::default() };
        let line = PitchLine::of(&[drawing]);
        let ys = [0, 7, 24].map(|pitch| line.y(pitch, 83.0));
        assert!(ys[0] > ys[1] && ys[1] > ys[2], "{ys:?}");
        assert!(ys[2] > 83.0 - 60.0 && ys[0] < 83.0 - 30.0, "{ys:?}");
    }

    #[test]
    fn company_is_drawn_where_it_belongs_and_text_is_text() {
        let groove = groove(&[(Role::Snare, "x...x...........")]);
        let (drawing, lane) = drawn(&groove);
        let signs = Signs { hollow: vec![(lane.id, Tick(0)), (lane.id, Tick(1920))], arches: Vec::new() };
        let ring = |at: i64, kind| Ring { lane: lane.id, at: Tick(at), kind };
        let rings = [ring(960, RingKind::Topic), ring(240, RingKind::Missed), ring(9600, RingKind::Extra)];
        let all = Company { signs: &signs, rings: &rings, syllable: Some("<ka>") };
        let svg = company(&all, &drawing, lane, &SYSTEM, &BAND);
        // The stroke on 1 stands where a place is to be empty: its sign is gone. The last ring lies outside.
        check(&svg, &[("hollow", 1), ("ring topic", 1), ("ring missed", 1), ("ring extra", 0), ("syllable", 2)]);
        assert!(svg.contains("M575.0 68.0l5"), "{svg}");
        assert!(svg.contains("&lt;ka&gt;") && !svg.contains("<ka>"), "{svg}");
    }

    #[test]
    fn beats_that_coincide_are_stronger_and_broken_bars_numbered_in_brackets() {
        let groove = groove(&[
            (Role::Snare, "x...x..........."),
            (Role::Kick, "x.......x......."),
            (Role::Clap, "....x..........."),
        ]);
        let strong = strong_beats(&groove.pattern);
        assert_eq!(strong, [Tick(0), Tick(960)]);
        let half = System { start: Tick(1920), ..SYSTEM };
        let svg = ruling(&groove.pattern, &half, &[BAND; 3], &strong);
        check(&svg, &[("bar-number", 1), ("beat-line", 1), ("beat-line strong", 0), ("end-line", 1), ("repeat", 2)]);
        assert!(svg.contains(">(1)<"), "{svg}");
        check(&ruling(&groove.pattern, &SYSTEM, &[BAND; 3], &strong), &[("beat-line strong", 1), ("pulse", 1)]);
    }

    #[test]
    fn counts_stand_under_their_places() {
        let groove = groove(&[(Role::Snare, "x...............")]);
        let svg = counts(&groove, &SYSTEM, 200.0);
        check(&svg, &[("count", 12), ("count beat", 4), ("count felt", 0)]);
        assert!(svg.contains("x=\"340.0\" y=\"215.0\">2<"), "{svg}");
        let close = System { scale: 0.05, ..SYSTEM };
        check(&counts(&groove, &close, 200.0), &[("count", 0), ("count beat", 4)]);
    }
}
