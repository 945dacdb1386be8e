//! Foils: what becomes of a groove when one of its hallmarks is undone, and how that is played so that it is heard.
//!
//! A foil is good if it breaks its hallmark, breaks nothing else but hallmarks that cannot hold without this one
//! ([`Hallmark::implies`]), and changes something an ear can tell. Where the change is under an ear's threshold, the
//! demonstration exaggerates first, and has to say so. Nothing is invented for a hallmark without a foil.

use super::contrast::audible::{Audible, SHIFT_MS};
use super::{Foil, Hallmark, Outcome, SoundLookup};
use crate::rhythm::{Edit, EditError, Feel, Groove, Id, LaneHead, Lean, Stroke, Swing, Tick};

/// How a foil comes in while the groove plays.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Joining {
    /// At once, on the same place in the same time: other strokes, another feel, another sound.
    KeepsPhase,
    /// At once, on the same place of the score, which goes on faster or slower.
    KeepsPosition,
    /// At the next bar line: the bars themselves are others.
    WaitsForTheBar,
}

impl Joining {
    /// How `to` takes over from `from`.
    pub fn of(from: &Groove, to: &Groove) -> Joining {
        let bars = |groove: &Groove| (groove.pattern.metre().clone(), groove.pattern.bars());
        if bars(from) != bars(to) {
            Joining::WaitsForTheBar
        } else if (from.tempo.tick_seconds() - to.tempo.tick_seconds()).abs() > 1e-12 {
            Joining::KeepsPosition
        } else {
            Joining::KeepsPhase
        }
    }
}

/// The same contrast, larger than life.
#[derive(Clone, Debug, PartialEq)]
pub struct Exaggeration {
    /// What is heard for the style.
    pub style: Groove,
    /// What is heard for the foil.
    pub foil: Groove,
    /// How many times larger the shifts are than between the style and its foil, over 1.
    pub times: f64,
}

/// A foil ready to be played.
#[derive(Clone, Debug, PartialEq)]
pub struct Demonstration {
    /// The groove with the hallmark undone.
    pub groove: Groove,
    /// The edits that make it of the reference.
    pub edits: Vec<Edit>,
    /// How it comes in.
    pub joining: Joining,
    /// What of it is heard.
    pub audible: Audible,
    /// What is heard before it, where the change alone is under an ear's threshold.
    pub exaggerated: Option<Exaggeration>,
}

/// Looks up a measure of the sound a groove is played with; `None` where nothing is known of it.
pub type SoundOf<'a> = &'a dyn Fn(&Groove, Option<crate::role::Role>, super::SoundMeasure) -> Option<f64>;

impl Foil {
    /// The foil over `reference`.
    ///
    /// # Errors
    /// The foil does not fit the groove.
    pub fn demonstrate(&self, reference: &Groove, sound: Option<SoundOf>) -> Result<Demonstration, EditError> {
        let edits = self.change.edits(reference);
        let groove = self.change.over(reference)?;
        let audible = audible(reference, &groove, sound);
        let exaggerated = if audible.is_clear() { None } else { exaggerate(reference, &groove) };
        let joining = Joining::of(reference, &groove);
        Ok(Demonstration { groove, edits, joining, audible, exaggerated })
    }
}

fn audible(from: &Groove, to: &Groove, sound: Option<SoundOf>) -> Audible {
    let own = |voice, measure| sound.and_then(|sound| sound(from, voice, measure));
    let other = |voice, measure| sound.and_then(|sound| sound(to, voice, measure));
    let known = sound.is_some();
    Audible::between((from, known.then_some(&own as SoundLookup)), (to, known.then_some(&other as SoundLookup)))
}

/// The shifts between two grooves of the same strokes so much enlarged that they are heard: of the foil if there is room,
/// else of the style; `None` if neither has room, or nothing is shifted.
pub fn exaggerate(style: &Groove, foil: &Groove) -> Option<Exaggeration> {
    let small = Audible::between((style, None), (foil, None)).shift_ms;
    if small < 0.1 {
        return None;
    }
    let times = (SHIFT_MS / small).max(1.5);
    let clear = |a: &Groove, b: &Groove| Audible::between((a, None), (b, None)).shift_ms >= SHIFT_MS;
    // A little more, for swings and leans are rounded to tenths.
    for times in [times, times * 1.1] {
        if let Some(foil) = enlarged(style, foil, times).filter(|foil| clear(style, foil)) {
            return Some(Exaggeration { style: style.clone(), foil, times });
        }
        if let Some(style) = enlarged(foil, style, times).filter(|style| clear(style, foil)) {
            return Some(Exaggeration { style, foil: foil.clone(), times });
        }
    }
    None
}

/// `to`, with its swing, leans and nudges `times` as far from those of `from`; `None` where that leaves their ranges.
fn enlarged(from: &Groove, to: &Groove, times: f64) -> Option<Groove> {
    let far = |from: f64, to: f64| from + (to - from) * times;
    let mut groove = to.clone();
    let (own, other) = (&from.feel, &to.feel);
    if own != other {
        let swing = Swing::from_percent(far(own.swing().percent(), other.swing().percent()))?;
        let shifts = other.shifts().iter().map(|shift| {
            let was = own.shifts().iter().find(|own| own.at == shift.at).map_or(0, |own| own.tenths);
            let tenths = far(f64::from(was), f64::from(shift.tenths)).round() as i16;
            crate::rhythm::PositionShift { tenths, ..*shift }
        });
        let feel = Feel::new(other.pair(), other.written(), swing, shifts.collect()).ok()?;
        groove.apply(&Edit::SetFeel(feel)).ok()?;
    }
    for lane in to.pattern.lanes() {
        let Some(was) = from.pattern.lanes().iter().find(|was| was.head.role == lane.head.role) else { continue };
        let lean = Lean::from_ms(far(was.head.lean.ms(), lane.head.lean.ms()))?;
        groove.apply(&Edit::SetHead(lane.id, LaneHead { lean, ..lane.head })).ok()?;
        for stroke in lane.strokes() {
            let nudge = was
                .at(stroke.at)
                .map_or(stroke.nudge, |was| Tick(far(was.nudge.as_f64(), stroke.nudge.as_f64()).round() as i64));
            groove.apply(&Edit::Put(lane.id, Stroke { nudge, ..stroke.clone() })).ok()?;
        }
    }
    Some(groove)
}

/// What a foil does to the hallmarks of its style.
#[derive(Clone, Debug, PartialEq)]
pub struct Undone {
    /// The hallmark it is the foil of.
    pub hallmark: Id,
    /// What became of that one; should be [`Outcome::Fails`].
    pub outcome: Outcome,
    /// Others that held and fail now because they imply this one.
    pub implied: Vec<Id>,
    /// Others that held and fail now without a reason.
    pub beyond: Vec<Id>,
    /// How it is played.
    pub demonstration: Demonstration,
}

/// What is wrong with a foil.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum FoilFault {
    /// Its hallmark does not fail.
    Kept(Outcome),
    /// It breaks hallmarks that do not imply its own.
    Breaks(Vec<Id>),
    /// Nothing of it can be heard, nor exaggerated.
    Inaudible,
    /// It does not fit its groove.
    Unfit(EditError),
}

impl Undone {
    /// Everything wrong with it.
    pub fn faults(&self) -> Vec<FoilFault> {
        let kept = (self.outcome != Outcome::Fails).then_some(FoilFault::Kept(self.outcome));
        let breaks = (!self.beyond.is_empty()).then(|| FoilFault::Breaks(self.beyond.clone()));
        let heard = self.demonstration.audible.is_clear() || self.demonstration.exaggerated.is_some();
        [kept, breaks, (!heard).then_some(FoilFault::Inaudible)].into_iter().flatten().collect()
    }
}

/// Whether `hallmark` implies `other`, itself or through others of the style.
pub fn implies(hallmarks: &[Hallmark], hallmark: &Id, other: &Id) -> bool {
    let mut reached = vec![hallmark];
    let mut next = 0;
    while let Some(&from) = reached.get(next) {
        if from == other {
            return true;
        }
        let own = hallmarks.iter().filter(|hallmark| hallmark.id == *from).flat_map(|hallmark| &hallmark.implies);
        let new: Vec<&Id> = own.filter(|id| !reached.contains(id)).collect();
        reached.extend(new);
        next += 1;
    }
    false
}

/// What became of each hallmark over `groove`.
pub fn outcomes(hallmarks: &[Hallmark], groove: &Groove, sound: Option<SoundOf>) -> Vec<Outcome> {
    let lookup = |voice, measure| sound.and_then(|sound| sound(groove, voice, measure));
    let lookup = sound.is_some().then_some(&lookup as SoundLookup);
    hallmarks.iter().map(|hallmark| hallmark.condition.judge(groove, lookup).outcome).collect()
}

/// Undoes each hallmark that has a foil, and tells what that does to all.
///
/// A hallmark of sound that held and can no longer be measured fails: the tail is not cut any more, the bass wobbles no
/// more. Where no sound is known it never held, and its foil comes back as [`Outcome::Unknown`].
pub fn undo(
    hallmarks: &[Hallmark],
    reference: &Groove,
    sound: Option<SoundOf>,
) -> Vec<(Id, Result<Undone, EditError>)> {
    let before = outcomes(hallmarks, reference, sound);
    let undone = |hallmark: &Hallmark, foil: &Foil| {
        let demonstration = foil.demonstrate(reference, sound)?;
        let after = outcomes(hallmarks, &demonstration.groove, sound);
        let (mut outcome, mut implied, mut beyond) = (Outcome::DoesNotApply, Vec::new(), Vec::new());
        for ((other, before), after) in hallmarks.iter().zip(&before).zip(&after) {
            let gone = *before == Outcome::Holds && *after == Outcome::Unknown;
            if other.id == hallmark.id {
                outcome = if gone { Outcome::Fails } else { *after };
            } else if *before == Outcome::Holds && *after == Outcome::Fails {
                let with_reason = implies(hallmarks, &other.id, &hallmark.id);
                if with_reason { implied.push(other.id.clone()) } else { beyond.push(other.id.clone()) }
            }
        }
        Ok(Undone { hallmark: hallmark.id.clone(), outcome, implied, beyond, demonstration })
    };
    hallmarks
        .iter()
        .filter_map(|hallmark| Some((hallmark.id.clone(), undone(hallmark, hallmark.foil.as_ref()?))))
        .collect()
}
