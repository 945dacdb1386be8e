//! What a stroke is like, in a few words: the state of its control, and the head of its stroke card.

use super::notes;
use super::numbers::format;
use crate::rhythm::{Groove, RollShape, Strength, Stroke, Tick};
use crate::role::Role;

/// The word for a strength.
pub const fn strength(strength: Strength) -> &'static str {
    match strength {
        Strength::Ghost => "ghost",
        Strength::Plain => "stroke",
        Strength::Accent => "accent",
    }
}

/// The word for how the loudness of a roll runs; empty for an even one.
pub const fn shape(shape: RollShape) -> &'static str {
    match shape {
        RollShape::Even => "",
        RollShape::Rising => "rising",
        RollShape::Falling => "falling",
        RollShape::Swelling => "swelling",
    }
}

/// What is at a place: "rest", or the stroke as [`stroke`] tells it.
pub fn state(stroke_there: Option<&Stroke>, role: Role, groove: &Groove) -> String {
    stroke_there.map_or_else(|| "rest".to_owned(), |there| stroke(there, role, groove))
}

/// A stroke of `role` in a few words: "accent", "ghost, nudged early", "stroke, roll of 3, rising", "stroke, E♭2, held 1.5
/// quarters, slides to C2". A loudness that no strength stands for is given as a number.
pub fn stroke(stroke: &Stroke, role: Role, groove: &Groove) -> String {
    let nearest = groove.dynamics.strength(stroke.loudness);
    let mut words = vec![strength(nearest).to_owned()];
    if groove.dynamics.loudness(nearest) != stroke.loudness {
        words.push(format!("loudness {}", stroke.loudness.get()));
    }
    if let Some(roll) = stroke.roll {
        words.push(format!("roll of {}", roll.strokes));
        words.extend((roll.shape != RollShape::Even).then(|| shape(roll.shape).to_owned()));
        match roll.bend {
            0 => {}
            up @ 1.. => words.push(format!("bending up {up}")),
            down => words.push(format!("bending down {}", -i32::from(down))),
        }
    }
    words.extend(stroke.flam.map(|_| "flam".to_owned()));
    words.extend(nudge(stroke.nudge).map(str::to_owned));
    let names: Vec<String> = stroke.pitches.iter().map(|&pitch| notes::pitch(pitch, role, groove.tonic)).collect();
    words.extend((!names.is_empty()).then(|| names.join(" ")));
    if let Some(length) = stroke.length {
        let quarters = format(length.as_f64() / Tick::QUARTER.as_f64(), 2);
        let noun = if quarters == "1" { "quarter" } else { "quarters" };
        words.push(format!("held {quarters} {noun}"));
    }
    words.extend(stroke.glide.map(|glide| format!("slides to {}", notes::pitch(glide.to, role, groove.tonic))));
    words.join(", ")
}

/// "nudged early", "nudged late", or nothing.
pub const fn nudge(nudge: Tick) -> Option<&'static str> {
    match nudge.0 {
        0 => None,
        1.. => Some("nudged late"),
        _ => Some("nudged early"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rhythm::{Bpm, Dynamics, Feel, Flam, Glide, Loudness, Metre, Pattern, Roll, Sound, Tempo, Tonic};

    fn groove() -> Groove {
        let kit: crate::rhythm::Id = "plain".parse().unwrap();
        Groove {
            pattern: Pattern::empty(Metre::four_four(), 1).unwrap(),
            tempo: Tempo::quarters(Bpm::MIN),
            feel: Feel::straight(),
            dynamics: Dynamics::DEFAULT,
            tonic: Tonic::DEFAULT,
            sound: Sound::of(kit),
        }
    }

    #[track_caller]
    fn check(role: Role, loudness: u8, change: impl FnOnce(&mut Stroke), want: &str) {
        let mut stroke = Stroke::new(Tick::ZERO, Loudness::new(loudness).unwrap());
        change(&mut stroke);
        assert_eq!(stroke.fault(), None);
        assert_eq!(state(Some(&stroke), role, &groove()), want);
    }

    #[test]
    fn told_in_a_few_words() {
        let roll = |strokes, shape, bend| Some(Roll { strokes, span: Tick(240), shape, bend });
        check(Role::Snare, 112, |_| (), "accent");
        check(Role::Snare, 88, |_| (), "stroke");
        check(Role::Snare, 40, |_| (), "ghost");
        check(Role::Snare, 127, |_| (), "accent, loudness 127");
        check(Role::Snare, 40, |s| s.nudge = Tick(-20), "ghost, nudged early");
        check(Role::Snare, 88, |s| s.flam = Some(Flam::DEFAULT), "stroke, flam");
        check(Role::HatClosed, 88, |s| s.roll = roll(3, RollShape::Even, 0), "stroke, roll of 3");
        check(
            Role::HatClosed,
            88,
            |s| s.roll = roll(6, RollShape::Rising, -5),
            "stroke, roll of 6, rising, bending down 5",
        );
        let slide = |s: &mut Stroke| {
            s.pitches = vec![3];
            s.length = Some(Tick(1440));
            s.glide = Some(Glide { to: 0, ms: 60 });
            s.nudge = Tick(9);
        };
        check(Role::SubBass, 88, slide, "stroke, nudged late, E♭2, held 1.5 quarters, slides to C2");
        check(Role::Chord, 40, |s| s.pitches = vec![0, 3, 7], "ghost, C4 E♭4 G4");
        assert_eq!(state(None, Role::Snare, &groove()), "rest");
    }
}
