//! The words of crossings: what one edit on the way from one groove to another does.

use super::contrast::{Bars, an, bars, comes, count, lean, noun, swing, tempo, the};
use super::numbers::format;
use super::{cards, marks, notes, places};
use crate::rhythm::{Groove, Strength, Tick};
use crate::style::contrast::Axis;
use crate::style::crossing::Change;

/// What one edit of a crossing does. `before` is the groove it is made on; `style` names a kit's style.
pub fn change(change: &Change, before: &Groove, style: &dyn Fn(&str) -> String) -> String {
    let metre = before.pattern.metre();
    let place = |at: Tick| {
        let name = places::counted(at.rem_euclid(metre.bar()), metre);
        if before.pattern.bars() == 1 { name } else { format!("{name} in bar {}", at.div_euclid(metre.bar()) + 1) }
    };
    match change {
        Change::Bars { from, to } => bars(*from, *to),
        Change::Metre { from, to } => format!("The metre changes from {} to {}.", marks::metre(from), marks::metre(to)),
        Change::Dynamics => "Accents, plain strokes and ghost notes get as loud as in the other groove.".to_owned(),
        Change::Tempo { from, to } => tempo(*from, *to),
        Change::Count { from, to } => count(*from, *to),
        Change::Swing { from, to } => swing(from, to),
        Change::Shifts => "Other places of the beat come early or late.".to_owned(),
        Change::Tonic { to, .. } => {
            format!("The bass note it all stands on becomes {}.", notes::note(to.note().into(), *to))
        }
        Change::Kit(id) => format!("The drums of {} play.", style(id.as_str())),
        Change::Tone(id) => format!("It sounds through the tone of {}.", style(id.as_str())),
        Change::TapeSpeed(speed) => format!("The tape runs at {} % of its speed.", format(speed.ratio() * 100.0, 1)),
        Change::PartComes { role, at } if at.is_empty() => format!("{} sits down, and waits.", an(*role)),
        Change::PartComes { role, at } => {
            let axis = Axis { bars: before.pattern.bars().into(), bar: metre.bar(), lines: Vec::new() };
            comes(*role, &Bars { axis: &axis, metre }, at)
        }
        Change::PartGoes { role } => format!("{} goes.", the(*role)),
        Change::Role { from, to } => format!("{} takes over from the {}.", an(*to), noun(*from)),
        Change::Lean { role, from, to } => lean(*role, from.ms(), to.ms()),
        Change::Swings { role, to: Some(true) } => format!("{} swings along.", the(*role)),
        Change::Swings { role, to: Some(false) } => format!("{} stays even.", the(*role)),
        Change::Swings { role, to: None } => format!("{} does as the feel says.", the(*role)),
        Change::Pulse { role, to } => {
            format!("The line of the {} is written in {}s.", noun(*role), cards::note_value(*to))
        }
        Change::StrokeComes { role, at } => format!("{} also plays {}.", the(*role), place(*at)),
        Change::StrokeGoes { role, at } => format!("{} leaves out {}.", the(*role), place(*at)),
        Change::StrokeMoves { role, from, to } => {
            format!("{} moves from {} to {}.", the(*role), place(*from), place(*to))
        }
        Change::Loudness { role, at, from, to } => {
            let strength = |loudness| before.dynamics.strength(loudness);
            let how = match (strength(*from), strength(*to)) {
                (from, Strength::Accent) if from != Strength::Accent => "is accented",
                (from, Strength::Ghost) if from != Strength::Ghost => "shrinks to a ghost note",
                (Strength::Ghost, Strength::Plain) => "grows from a ghost note to a plain stroke",
                (Strength::Accent, Strength::Plain) => "loses its accent",
                _ if to > from => "gets a little louder",
                _ => "gets a little softer",
            };
            format!("{} on {} {how}.", the(*role), place(*at))
        }
        Change::Ornament { role, at } => format!("{} on {} is played otherwise.", the(*role), place(*at)),
        Change::Written => "Only how it is written changes.".to_owned(),
    }
}
