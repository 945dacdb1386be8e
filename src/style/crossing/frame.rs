//! What a groove stands on, changed one thing at a time: bars, metre, tempo, feel, sound.

use super::costs::{COUNTING, KNOB, METRE};
use super::{Change, Row};
use crate::rhythm::{Dynamics, Edit, EditError, Feel, Groove, Sound, Stroke, Tempo};

/// The edit that makes `groove` as many bars long: played round until they are full, or its first ones.
pub fn bars(groove: &Groove, bars: u8) -> Edit {
    let (length, end) = (groove.pattern.length(), groove.pattern.metre().bar().times(i64::from(bars)));
    let mut edits = vec![Edit::SetBars(bars)];
    let mut longer = groove.clone();
    // The pulse of a lane may give way to another length, and nudges with it: repeated strokes are those that result.
    if longer.apply(&Edit::SetBars(bars)).is_ok() {
        for lane in longer.pattern.lanes() {
            for stroke in lane.strokes() {
                let turns = (1..).map(|turn| stroke.at + length.times(turn)).take_while(|&at| at < end);
                edits.extend(
                    turns.map(|at| Edit::Put(lane.id, Stroke { at, id: Default::default(), ..stroke.clone() })),
                );
            }
        }
    }
    if edits.len() == 1 { Edit::SetBars(bars) } else { Edit::Several(edits) }
}

/// The edits that make the accents, plain strokes and ghost notes of `groove` those of `to`; strokes of other loudness stay.
fn dynamics(groove: &Groove, to: Dynamics) -> Vec<Edit> {
    let own = groove.dynamics;
    let mut edits = vec![Edit::SetDynamics(to)];
    for lane in groove.pattern.lanes() {
        for stroke in lane.strokes() {
            let strength = own.strength(stroke.loudness);
            let (was, is) = (own.loudness(strength), to.loudness(strength));
            if stroke.loudness == was && was != is {
                edits.push(Edit::Put(lane.id, stroke.clone().with_loudness(is)));
            }
        }
    }
    edits
}

impl Row {
    /// Bars, metre and how signs are read: what strokes are compared over.
    pub(super) fn ground(&mut self, to: &Groove) -> Result<(), EditError> {
        let (from, until) = (self.groove.pattern.bars(), to.pattern.bars());
        if from != until {
            self.push(Change::Bars { from, to: until }, bars(&self.groove, until), KNOB)?;
        }
        let (from, until) = (self.groove.pattern.metre().clone(), to.pattern.metre().clone());
        if from != until {
            self.push(Change::Metre { from, to: until.clone() }, Edit::SetMetre(until), METRE)?;
        }
        if self.groove.dynamics != to.dynamics {
            let edits = dynamics(&self.groove, to.dynamics);
            let cost = if edits.len() > 1 { KNOB } else { 0 };
            self.push(Change::Dynamics, Edit::Several(edits), cost)?;
        }
        Ok(())
    }

    /// Tempo and count.
    pub(super) fn tempo(&mut self, to: Tempo) -> Result<(), EditError> {
        let from = self.groove.tempo;
        let count = (from.unit(), from.felt()) != (to.unit(), to.felt());
        let in_own = to.counted_in(from.unit()).and_then(|tempo| Tempo::new(tempo.bpm, from.unit(), from.felt()).ok());
        let faster = in_own.is_none_or(|tempo| tempo.bpm != from.bpm);
        match (faster, count, in_own) {
            (false, false, _) => {}
            (true, false, _) => self.push(Change::Tempo { from, to }, Edit::SetTempo(to), KNOB)?,
            (false, true, _) => self.push(Change::Count { from, to }, Edit::SetTempo(to), COUNTING)?,
            (true, true, Some(between)) => {
                self.push(Change::Tempo { from, to: between }, Edit::SetTempo(between), KNOB)?;
                self.push(Change::Count { from: between, to }, Edit::SetTempo(to), COUNTING)?;
            }
            // Its speed is no tempo in the first count, so both change at once.
            (true, true, None) => self.push(Change::Tempo { from, to }, Edit::SetTempo(to), KNOB + COUNTING)?,
        }
        Ok(())
    }

    /// Swing, then shifts by position.
    pub(super) fn feel(&mut self, to: &Feel) -> Result<(), EditError> {
        let from = self.groove.feel.clone();
        let swing = |feel: &Feel| (feel.pair(), feel.written(), feel.swing());
        if swing(&from) != swing(to) {
            // Only shifts are checked against one another, and these stay.
            let between = Feel::new(to.pair(), to.written(), to.swing(), from.shifts().to_vec());
            let between = between.unwrap_or_else(|_| to.clone());
            self.push(Change::Swing { from: from.clone(), to: between.clone() }, Edit::SetFeel(between), KNOB)?;
        }
        if from.shifts() != to.shifts() {
            self.push(Change::Shifts, Edit::SetFeel(to.clone()), KNOB)?;
        }
        Ok(())
    }

    /// Tonic, kit, tone and tape speed.
    pub(super) fn sound(&mut self, to: &Groove) -> Result<(), EditError> {
        if self.groove.tonic != to.tonic {
            self.push(Change::Tonic { from: self.groove.tonic, to: to.tonic }, Edit::SetTonic(to.tonic), COUNTING)?;
        }
        let own = self.groove.sound.clone();
        if own.kit != to.sound.kit {
            let sound = Sound { kit: to.sound.kit.clone(), ..own };
            self.push(Change::Kit(to.sound.kit.clone()), Edit::SetSound(sound), KNOB)?;
        }
        let own = self.groove.sound.clone();
        if own.tone != to.sound.tone {
            let sound = Sound { tone: to.sound.tone.clone(), ..own };
            self.push(Change::Tone(to.sound.tone.clone()), Edit::SetSound(sound), KNOB)?;
        }
        if self.groove.sound.speed != to.sound.speed {
            self.push(Change::TapeSpeed(to.sound.speed), Edit::SetSound(to.sound.clone()), KNOB)?;
        }
        Ok(())
    }
}
