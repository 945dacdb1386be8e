//! A few plain controls over the physical figures of any voice: higher, longer, harder, dirtier, brighter ...
//!
//! A [`Dial`] of a model *leads* one figure and takes others along in proportion (`followers`): a higher drum starts its
//! fall higher, too. Its position, 0 to 100, is read from the led figure over that figure's whole range, so any patch has
//! positions; ears being what they are, frequencies and times are spread evenly in octaves.

use super::controls::{Control, FINISH, Scale, own_controls};
use super::parameter::Field;
use super::patch::{Finish, Model, Patch};

/// A control in plain words.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Dial {
    /// Lower to higher.
    Pitch,
    /// Shorter to longer (100: holds as long as its stroke, where the voice can).
    Length,
    /// Softer to harder: the click of stick, beater, hand, finger.
    Attack,
    /// At once to swelling.
    Swell,
    /// Flatter to dropping from higher.
    Drop,
    /// Thinner to fuller: harmonics that carry a tone to small loudspeakers.
    Fullness,
    /// Drier to more ringing: modes of skin, bar, bronze.
    Ring,
    /// Rounder to noisier: wires, skin, breath.
    Noise,
    /// Less to more tail.
    Tail,
    /// Darker to brighter.
    Brightness,
    /// Cleaner to dirtier: drive.
    Dirt,
    /// Smooth to grainy, as of worn machines.
    Grain,
}

impl Dial {
    /// Every dial, in the order they are shown.
    pub const ALL: [Dial; 12] = [
        Dial::Pitch,
        Dial::Length,
        Dial::Attack,
        Dial::Swell,
        Dial::Drop,
        Dial::Fullness,
        Dial::Ring,
        Dial::Noise,
        Dial::Tail,
        Dial::Brightness,
        Dial::Dirt,
        Dial::Grain,
    ];

    /// The identifier in files.
    pub const fn id(self) -> &'static str {
        match self {
            Dial::Pitch => "pitch",
            Dial::Length => "length",
            Dial::Attack => "attack",
            Dial::Swell => "swell",
            Dial::Drop => "drop",
            Dial::Fullness => "fullness",
            Dial::Ring => "ring",
            Dial::Noise => "noise",
            Dial::Tail => "tail",
            Dial::Brightness => "brightness",
            Dial::Dirt => "dirt",
            Dial::Grain => "grain",
        }
    }

    /// The dial called `id`.
    pub fn named(id: &str) -> Option<Dial> {
        Dial::ALL.into_iter().find(|dial| dial.id() == id)
    }
}

/// Greatest fall a dial sets, octaves.
const DEEPEST: f64 = 4.0;

/// Time of a fall that is turned up from none, ms.
const USUAL_DROP_MS: f64 = 60.0;

/// The clocks of a smooth and of the grainiest sound, Hz.
const CLOCKS: (f64, f64) = (32_000.0, 4_000.0);

/// The control behind `dial` at `patch`, if its model has one.
pub(super) fn control_of(patch: &Patch, dial: Dial) -> Option<Control> {
    own_controls(&patch.model).iter().chain(&FINISH).find(|control| control.dial == dial).copied()
}

/// The dials `patch` has, in the order of [`Dial::ALL`]; they depend on its model only.
pub fn dials(patch: &Patch) -> Vec<Dial> {
    Dial::ALL.into_iter().filter(|&dial| control_of(patch, dial).is_some()).collect()
}

/// Where `dial` stands at `patch`, 0 to 100; `None` if the voice has no such dial.
pub fn position(patch: &Patch, dial: Dial) -> Option<f64> {
    let control = control_of(patch, dial)?;
    let (field, value) = figure(patch, control.lead)?;
    let (low, high) = (field.lowest, field.highest);
    let off = field.off.is_some_and(|off| (off - value).abs() < 1e-12);
    let share = match control.scale {
        Scale::Even => (value - low) / (high - low),
        Scale::Square => ((value - low) / (high - low)).max(0.0).sqrt(),
        Scale::Octaves if off => 1.0,
        Scale::Octaves => (value / low).max(1e-9).log2() / (high / low).log2(),
        Scale::Above(base) => (value / self::value(patch, base)?).max(1e-9).log2() / DEEPEST,
        Scale::Coarser if off => 0.0,
        Scale::Coarser => (CLOCKS.0 / value.max(1.0)).log2() / (CLOCKS.0 / CLOCKS.1).log2(),
    };
    Some(100.0 * share.clamp(0.0, 1.0))
}

/// `patch` with `dial` at `to`, held to 0 to 100. Where it stands already, or where the voice has no such dial, nothing
/// changes. A follower stops at the end of its range.
pub fn set(patch: &Patch, dial: Dial, to: f64) -> Patch {
    let (Some(control), Some(now)) = (control_of(patch, dial), position(patch, dial)) else { return *patch };
    let to = if to.is_finite() { to.clamp(0.0, 100.0) } else { now };
    if (to - now).abs() < 1e-9 {
        return *patch;
    }
    let Some((field, before)) = figure(patch, control.lead) else { return *patch };
    let (low, high) = (field.lowest, field.highest);
    let share = 0.01 * to;
    let lead = match control.scale {
        Scale::Even => low + share * (high - low),
        Scale::Square => low + share * share * (high - low),
        Scale::Octaves if share >= 1.0 => field.off.unwrap_or(high),
        Scale::Octaves => low * (high / low).powf(share),
        Scale::Above(base) => value(patch, base).unwrap_or(before) * (DEEPEST * share).exp2(),
        Scale::Coarser if share <= 0.0 => 0.0,
        Scale::Coarser => CLOCKS.0 * (CLOCKS.1 / CLOCKS.0).powf(share),
    };
    let mut moved = with(patch, control.lead, lead);
    // A fall takes time; one that had none gets some.
    if dial == Dial::Drop && value(patch, "drop_ms").is_some_and(|ms| ms <= 0.0) {
        moved = with(&moved, "drop_ms", USUAL_DROP_MS);
    }
    // A hold counts as the longest time, a filter left out as the highest.
    let ratio = if before > 0.0 { before } else { high };
    let ratio = if lead > 0.0 { lead } else { high } / ratio;
    for follower in control.followers {
        let along = value(patch, follower).unwrap_or_default();
        // What is off stays off.
        if along > 0.0 {
            moved = with(&moved, follower, along * ratio);
        }
    }
    moved
}

/// The figure called `name` and its value at `patch`; those of the finish begin with `finish.`.
pub fn figure(patch: &Patch, name: &str) -> Option<(&'static Field, f64)> {
    let (fields, values, name) = match name.strip_prefix("finish.") {
        Some(name) => (Finish::FIELDS, patch.finish.values(), name),
        None => (patch.model.fields(), patch.model.values(), name),
    };
    fields.iter().zip(values).find(|(field, _)| field.name == name)
}

/// Its value.
pub(super) fn value(patch: &Patch, name: &str) -> Option<f64> {
    figure(patch, name).map(|(_, value)| value)
}

/// `patch` with the figure `name` at `to`, held to its range (or at its off value).
pub fn with(patch: &Patch, name: &str, to: f64) -> Patch {
    let (part, own) = match name.strip_prefix("finish.") {
        Some(own) => (Some(()), own),
        None => (None, name),
    };
    let put = |field: &'static Field, old: Option<f64>| {
        if field.name != own {
            return old;
        }
        let held = if field.admits(to) { to } else { to.clamp(field.lowest, field.highest) };
        Some(if field.whole { held.round() } else { held })
    };
    let mut moved = *patch;
    match part {
        Some(()) => {
            let mut row = patch.finish.values().into_iter();
            moved.finish = Finish::build(&mut |field| put(field, row.next())).unwrap_or(patch.finish);
        }
        None => {
            let mut row = patch.model.values().into_iter();
            moved.model = Model::build(patch.model.id(), &mut |field| put(field, row.next())).unwrap_or(patch.model);
        }
    }
    moved
}
