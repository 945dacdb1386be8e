//! One pass of a groove laid out for playing: every hit with its time, sorted, so that a window is found by binary search.
//! Made once for each revision of a groove.

use super::event::{Instrument, Line};
use super::felt::{self, Pulse};
use crate::rhythm::sounding::{Hit, lane_hits};
use crate::rhythm::{Dynamics, Groove, Lane, Loudness, Part, Seconds, Stroke, StrokeId, Tick};
use crate::role::Role;

/// One hit of a line in one pass.
#[derive(Clone, Debug, PartialEq)]
pub struct Strike {
    /// The stroke it belongs to.
    pub stroke: StrokeId,
    /// Which hit of the stroke.
    pub part: Part,
    /// The stroke's written place.
    pub at: Tick,
    /// Played place in real ticks from the pattern's start.
    pub ticks: f64,
    /// Lean and flam gap.
    pub offset: Seconds,
    /// Both together, from the pattern's start, at the groove's tempo.
    pub when: Seconds,
    /// How hard.
    pub loudness: Loudness,
    /// What plays it.
    pub instrument: Instrument,
    /// MIDI note numbers.
    pub pitches: Vec<f64>,
    /// How long it is held, in score ticks.
    pub length: Option<Tick>,
    /// A slide at its end: semitones relative to `pitches`, and how long it takes.
    pub glide: Option<(f64, Seconds)>,
}

/// A lane, the click or the count-in, its strikes in order of time.
#[derive(Clone, Debug)]
pub struct ScoreLine {
    /// Which line.
    pub line: Line,
    /// What plays it; for a click its unaccented pulse.
    pub instrument: Instrument,
    strikes: Vec<Strike>,
    /// (stroke, part, index into `strikes`), sorted.
    names: Vec<(StrokeId, Part, usize)>,
}

impl ScoreLine {
    fn new(line: Line, instrument: Instrument, mut strikes: Vec<Strike>) -> ScoreLine {
        strikes.sort_by(|a, b| a.when.0.total_cmp(&b.when.0).then((a.stroke, a.part).cmp(&(b.stroke, b.part))));
        let mut names: Vec<_> = strikes.iter().enumerate().map(|(n, s)| (s.stroke, s.part, n)).collect();
        names.sort_unstable();
        ScoreLine { line, instrument, strikes, names }
    }

    /// The strikes in order of time.
    pub fn strikes(&self) -> &[Strike] {
        &self.strikes
    }

    /// The strikes whose time lies from `from` to `to`, both included.
    pub fn between(&self, from: Seconds, to: Seconds) -> &[Strike] {
        let start = self.strikes.partition_point(|strike| strike.when < from);
        let end = self.strikes.partition_point(|strike| strike.when <= to);
        self.strikes.get(start..end).unwrap_or(&[])
    }

    /// The strike of that name.
    pub fn named(&self, stroke: StrokeId, part: Part) -> Option<&Strike> {
        let found = self.names.binary_search_by(|(s, p, _)| (*s, *p).cmp(&(stroke, part))).ok()?;
        self.strikes.get(self.names.get(found)?.2)
    }
}

/// One pass of a groove, line by line.
#[derive(Clone, Debug)]
pub struct Score {
    lines: Vec<ScoreLine>,
    earliest: Seconds,
    latest: Seconds,
}

impl Score {
    /// Lays out one pass of `groove`, with a click every `click` ticks and this count-in; leans and the gaps of flams are
    /// `stretch` times as long as written.
    pub fn new(groove: &Groove, count_in: &[Pulse], click: Tick, stretch: f64) -> Score {
        let lane = |lane| lane_line(groove, lane, stretch);
        let mut lines: Vec<ScoreLine> = groove.pattern.lanes().iter().map(lane).collect();
        lines.push(click_line(groove, Line::Click, &felt::pulses(groove, click)));
        if !count_in.is_empty() {
            lines.push(click_line(groove, Line::CountIn, count_in));
        }
        Score::of(lines)
    }

    /// The same with a click every `click` ticks.
    pub fn with_click(&self, groove: &Groove, click: Tick) -> Score {
        let mut lines = self.lines.clone();
        if let Some(line) = lines.iter_mut().find(|line| line.line == Line::Click) {
            *line = click_line(groove, Line::Click, &felt::pulses(groove, click));
        }
        Score::of(lines)
    }

    fn of(lines: Vec<ScoreLine>) -> Score {
        let of_pass = || lines.iter().filter(|line| line.line != Line::CountIn);
        let whens = || of_pass().flat_map(|line| &line.strikes).map(|strike| strike.when.0);
        let earliest = Seconds(whens().fold(0.0, f64::min));
        let latest = Seconds(whens().fold(0.0, f64::max));
        Score { lines, earliest, latest }
    }

    /// The lines: lanes from the top, the click, the count-in if there is one.
    pub fn lines(&self) -> &[ScoreLine] {
        &self.lines
    }

    /// The line of that name.
    pub fn line(&self, line: Line) -> Option<&ScoreLine> {
        self.lines.iter().find(|candidate| candidate.line == line)
    }

    /// The time of the first strike of a pass, the count-in apart; at most 0.
    pub fn earliest(&self) -> Seconds {
        self.earliest
    }

    /// The time of the last strike of a pass, the count-in apart; at least 0.
    pub fn latest(&self) -> Seconds {
        self.latest
    }
}

fn lane_line(groove: &Groove, lane: &Lane, stretch: f64) -> ScoreLine {
    let instrument = Instrument::Role(lane.head.role);
    let mut hits = lane_hits(groove, lane);
    hits.iter_mut().for_each(|hit| hit.offset = Seconds(hit.offset.0 * stretch));
    let mut strikes = Vec::with_capacity(hits.len());
    let mut strokes = lane.strokes().iter().peekable();
    for (index, hit) in hits.iter().enumerate() {
        // Hits come in the order of the strokes they belong to.
        while strokes.next_if(|stroke| stroke.id != hit.stroke).is_some() {}
        let Some(stroke) = strokes.peek() else { break };
        let last = hits.get(index + 1).is_none_or(|next| next.stroke != hit.stroke);
        strikes.push(strike(groove, lane, stroke, hit, last));
    }
    ScoreLine::new(Line::Lane(lane.id), instrument, strikes)
}

fn strike(groove: &Groove, lane: &Lane, stroke: &Stroke, hit: &Hit, last: bool) -> Strike {
    let role = lane.head.role;
    let base = f64::from(groove.tonic.note()) + f64::from(role.octave_shift());
    let pitches = stroke.pitches.iter().map(|&pitch| base + f64::from(pitch) + hit.bend).collect();
    let lowest = stroke.pitches.iter().min().copied();
    // A slide lies at the end of the whole stroke, so only its last hit has one.
    let glide = stroke.glide.filter(|_| last).zip(lowest).map(|(glide, lowest)| {
        (f64::from(glide.to) - f64::from(lowest) - hit.bend, Seconds::from_ms(f64::from(glide.ms)))
    });
    Strike {
        stroke: hit.stroke,
        part: hit.part,
        at: stroke.at,
        ticks: hit.ticks,
        offset: hit.offset,
        when: hit.seconds(groove),
        loudness: hit.loudness,
        instrument: Instrument::Role(role),
        pitches,
        length: hit.length,
        glide,
    }
}

fn click_line(groove: &Groove, line: Line, pulses: &[Pulse]) -> ScoreLine {
    let first = pulses.first().map_or(0, |pulse| pulse.at.0);
    let strikes = pulses.iter().enumerate().map(|(index, pulse)| {
        let accent = pulse.accent();
        // Clicks are named by their tick, so that a change of felt pulse leaves those in place that stay.
        let name = if line == Line::CountIn { index as i64 } else { pulse.at.0 - first };
        Strike {
            stroke: StrokeId(name as u32),
            part: Part::Stroke(0),
            at: pulse.at,
            ticks: pulse.at.as_f64(),
            offset: Seconds(0.0),
            when: groove.tempo.seconds(pulse.at.as_f64()),
            loudness: if accent { Dynamics::DEFAULT.accent } else { Dynamics::DEFAULT.plain },
            instrument: Instrument::Click { accent },
            pitches: Vec::new(),
            length: None,
            glide: None,
        }
    });
    ScoreLine::new(line, Instrument::Click { accent: false }, strikes.collect())
}

/// Whether a role's sound rings until another stroke on the same instrument damps it.
pub fn rings_open(role: Role) -> bool {
    matches!(role, Role::HatOpen | Role::CongaHigh | Role::CongaLow)
}

/// Whether a later stroke of `by` on the line `by_line` cuts one of `ringing` on `line`: a part that plays one note at a
/// time cuts itself, a damping stroke what rings open in its choke group.
pub fn cuts(by: Instrument, by_line: Line, ringing: Instrument, line: Line) -> bool {
    let (Instrument::Role(by), Instrument::Role(ringing)) = (by, ringing) else { return false };
    let same_part = by_line == line && by == ringing && ringing.is_mono();
    let damps = rings_open(ringing) && !rings_open(by) && by.choke_group() == ringing.choke_group();
    same_part || damps
}
