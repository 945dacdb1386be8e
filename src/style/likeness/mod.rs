//! Likeness: which styles a groove leans to, how surely, and why.
//!
//! A groove is read as written and at half and double time; a fingerprint picks the styles worth a closer look; those are
//! judged by their hallmarks, by the polyphonic distance to their nearest form, and by tempo. See [`evidence`] for how
//! that becomes a confidence.

pub mod evidence;
pub mod fingerprint;
pub mod reading;

use super::{Hallmark, Outcome, Rank, SoundLookup, Verdict};
use crate::rhythm::{Bpm, Groove, Id, Pattern};
use evidence::Misfits;
use fingerprint::Fingerprint;
pub use reading::Writing;

/// How many pairs of a reading and a style are looked at closely.
const CLOSELY: usize = 14;
/// A style whose hallmarks of sound are unknown ties with the leader if it has at least this share of its confidence.
const TIE: f64 = 0.25;

/// What likeness knows of a style. Built once from its file.
#[derive(Clone, Debug)]
pub struct StyleModel {
    /// Its name.
    pub id: Id,
    /// What makes it itself.
    pub hallmarks: Vec<Hallmark>,
    slowest: f64,
    fastest: f64,
    /// The reference and the variants, beginning in each of their bars.
    forms: Vec<Pattern>,
    fingerprints: Vec<Fingerprint>,
}

impl StyleModel {
    /// A style with these forms (the reference first, then its variants), played from `slowest` to `fastest` in the count
    /// unit of the first form.
    pub fn new(id: Id, hallmarks: Vec<Hallmark>, forms: &[Groove], slowest: Bpm, fastest: Bpm) -> StyleModel {
        let unit = forms.first().map_or(1.0, |groove| groove.tempo.unit().as_f64() / 960.0);
        let turned = forms.iter().flat_map(|groove| {
            let pattern = &groove.pattern;
            (0..pattern.bars()).filter_map(move |bars| fingerprint::plain(pattern, bars))
        });
        StyleModel {
            id,
            hallmarks,
            slowest: slowest.get() * unit,
            fastest: fastest.get() * unit,
            forms: turned.collect(),
            fingerprints: forms.iter().map(|groove| Fingerprint::of(&groove.pattern)).collect(),
        }
    }

    /// How far the tempo lies outside the range, in octaves, at most 1.
    fn tempo_misfit(&self, groove: &Groove) -> f64 {
        let quarters = groove.tempo.bpm.get() * groove.tempo.unit().as_f64() / 960.0;
        let off = (self.slowest / quarters).log2().max((quarters / self.fastest).log2());
        // Half a percent is no difference.
        if off < 0.007 { 0.0 } else { off.min(1.0) }
    }
}

/// A hallmark and what became of it.
#[derive(Clone, Debug, PartialEq)]
pub struct HallmarkReason {
    /// Which.
    pub id: Id,
    /// How much it tells.
    pub rank: Rank,
    /// What became of it; [`Outcome::Unknown`] also for pitched parts where the groove has drums alone. Its strokes are
    /// those of the groove as it was given only where it was read as written.
    pub verdict: Verdict,
}

/// One style a groove leans to.
#[derive(Clone, Debug, PartialEq)]
pub struct Leaning {
    /// Which.
    pub style: Id,
    /// How sure that it is this one, 0 to 1.
    pub confidence: f64,
    /// How the groove was read.
    pub writing: Writing,
    /// Hallmarks met, broken and unknown.
    pub hallmarks: Vec<HallmarkReason>,
    /// The unlikeness to its nearest form, 0 to 1.
    pub distance: f64,
    /// How far the tempo lies outside its range, in octaves.
    pub tempo: f64,
    /// The misfits it was weighed by.
    pub misfits: Misfits,
}

/// The styles a groove leans to, the likeliest first.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Likeness {
    /// Each style that was looked at closely.
    pub leanings: Vec<Leaning>,
    /// How sure that it is none of these, 0 to 1.
    pub none: f64,
    /// Styles that only their sound, which was not given, could tell from the first.
    pub ties: Vec<Id>,
}

impl Likeness {
    /// The style it leans to most, unless it is likelier none.
    pub fn leader(&self) -> Option<&Leaning> {
        self.leanings.first().filter(|first| first.confidence > self.none)
    }
}

/// Judges `groove` among `styles`. Without `sound`, hallmarks of sound are unknown.
pub fn likeness(groove: &Groove, styles: &[StyleModel], sound: Option<SoundLookup>) -> Likeness {
    if groove.pattern.lanes().iter().all(|lane| lane.strokes().is_empty()) {
        return Likeness { none: 1.0, ..Likeness::default() };
    }
    let pitched = groove.pattern.lanes().iter().any(|lane| lane.head.role.is_pitched() && !lane.strokes().is_empty());
    let readings = reading::readings(groove);
    let plains: Vec<Option<Pattern>> = readings.iter().map(|(_, read)| fingerprint::plain(&read.pattern, 0)).collect();
    let mut leanings: Vec<Leaning> = Vec::new();
    for (_, at, style) in closest(&readings, styles, pitched) {
        let (Some((writing, read)), Some(Some(plain))) = (readings.get(at), plains.get(at)) else { continue };
        let hallmarks = evidence::hallmarks(style, read, sound, pitched);
        let distance = evidence::nearest(&style.forms, plain, pitched);
        let tempo = style.tempo_misfit(read);
        let misfits = evidence::misfits(&hallmarks, distance, tempo);
        let confidence = evidence::log_odds(&misfits);
        let (style, writing) = (style.id.clone(), *writing);
        let leaning = Leaning { style, confidence, writing, hallmarks, distance, tempo, misfits };
        match leanings.iter_mut().find(|other| other.style == leaning.style) {
            Some(other) if other.confidence < confidence => *other = leaning,
            Some(_) => {}
            None => leanings.push(leaning),
        }
    }
    leanings.sort_by(|a, b| b.confidence.total_cmp(&a.confidence).then_with(|| a.style.cmp(&b.style)));
    let most = leanings.first().map_or(evidence::NONE, |first| first.confidence.max(evidence::NONE));
    let none = (evidence::NONE - most).exp();
    let all = none + leanings.iter().map(|leaning| (leaning.confidence - most).exp()).sum::<f64>();
    for leaning in &mut leanings {
        leaning.confidence = (leaning.confidence - most).exp() / all;
    }
    let ties = ties(&leanings);
    Likeness { leanings, none: none / all, ties }
}

/// The pairs of a reading (by its place in `readings`) and a style that roughly fit best: by fingerprint and tempo, the
/// lower the better. Bounds from below spare most comparisons once the list is full; they change nothing of the result.
fn closest<'a>(
    readings: &[(Writing, Groove)],
    styles: &'a [StyleModel],
    pitched: bool,
) -> Vec<(f64, usize, &'a StyleModel)> {
    let mut best: Vec<(f64, usize, &StyleModel)> = Vec::with_capacity(CLOSELY + 1);
    for (at, (_, read)) in readings.iter().enumerate() {
        let print = Fingerprint::of(&read.pattern);
        for style in styles {
            let most = if best.len() < CLOSELY { f64::INFINITY } else { best.last().map_or(0.0, |last| last.0) };
            let tempo = style.tempo_misfit(read);
            if tempo >= most {
                continue;
            }
            let worth = |own: &&Fingerprint| tempo + own.bound(&print, pitched) < most;
            let near = style.fingerprints.iter().filter(worth).map(|own| own.distance(&print, pitched));
            let rough = tempo + near.fold(1.0, f64::min);
            if rough < most {
                let place = best.partition_point(|other| other.0 <= rough);
                best.insert(place, (rough, at, style));
                best.truncate(CLOSELY);
            }
        }
    }
    best
}

/// Those near the first where a hallmark of sound, of theirs or the first's, is unknown.
fn ties(leanings: &[Leaning]) -> Vec<Id> {
    let open = |leaning: &Leaning| leaning.hallmarks.iter().any(|reason| reason.verdict.outcome == Outcome::Unknown);
    let Some(first) = leanings.first() else { return Vec::new() };
    let near = leanings.iter().skip(1).filter(|other| other.confidence >= TIE * first.confidence);
    near.filter(|other| open(first) || open(other)).map(|other| other.style.clone()).collect()
}
