//! Variation: a groove told by what is changed in another one. Foils and a style's variants are written so.

use crate::rhythm::{Dynamics, Edit, Feel, Groove, Lane, Sound, Tempo};
use crate::role::Role;

/// What changes against a reference groove; what is not named stays.
///
/// Lanes go by role: a lane of a role the groove has replaces it, another is added at its place in score order
/// ([`Role::score_rank`]); `without` takes lanes out. A
/// change of metre or grid is a whole groove of its own (`instead`), beside which nothing else is given.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Variation {
    /// Another tempo, count unit or felt pulse.
    pub tempo: Option<Tempo>,
    /// Another feel.
    pub feel: Option<Feel>,
    /// Other loudnesses for accent, plain stroke and ghost note. Strokes keep their own; it tells how `lanes` are read.
    pub dynamics: Option<Dynamics>,
    /// Another kit, tone or tape speed.
    pub sound: Option<Sound>,
    /// Lanes added or played otherwise.
    pub lanes: Vec<Lane>,
    /// Roles that fall silent.
    pub without: Vec<Role>,
    /// A groove of its own.
    pub instead: Option<Box<Groove>>,
}

impl Variation {
    /// Whether nothing changes at all.
    pub fn is_empty(&self) -> bool {
        *self == Variation::default()
    }

    /// The edits that make `groove` the varied one, stroke by stroke, so that what stays the same keeps its identity and
    /// playing goes on.
    pub fn edits(&self, groove: &Groove) -> Vec<Edit> {
        if let Some(instead) = &self.instead {
            return vec![Edit::Restore(instead.clone())];
        }
        let mut edits = Vec::new();
        edits.extend(self.tempo.map(Edit::SetTempo));
        edits.extend(self.feel.clone().map(Edit::SetFeel));
        edits.extend(self.dynamics.map(Edit::SetDynamics));
        edits.extend(self.sound.clone().map(Edit::SetSound));
        let of_role = |role: Role| groove.pattern.lanes().iter().find(|lane| lane.head.role == role);
        edits.extend(self.without.iter().filter_map(|&role| of_role(role)).map(|lane| Edit::RemoveLane(lane.id)));
        let mut roles: Vec<Role> = groove.pattern.lanes().iter().map(|lane| lane.head.role).collect();
        roles.retain(|role| !self.without.contains(role));
        for lane in &self.lanes {
            let Some(old) = of_role(lane.head.role) else {
                let rank = lane.head.role.score_rank();
                let place = roles.iter().position(|role| role.score_rank() > rank).unwrap_or(roles.len());
                roles.insert(place, lane.head.role);
                edits.push(Edit::AddLane(place, lane.clone()));
                continue;
            };
            let gone = old.strokes().iter().filter(|stroke| lane.at(stroke.at).is_none());
            edits.extend(gone.map(|stroke| Edit::Clear(old.id, stroke.at)));
            if old.head != lane.head {
                edits.push(Edit::SetHead(old.id, lane.head));
            }
            let new = lane.strokes().iter().filter(|stroke| old.at(stroke.at) != Some(stroke));
            edits.extend(new.map(|stroke| {
                let id = old.at(stroke.at).map_or_else(Default::default, |old| old.id);
                Edit::Put(old.id, crate::rhythm::Stroke { id, ..stroke.clone() })
            }));
        }
        edits
    }

    /// The varied groove.
    ///
    /// # Errors
    /// A lane does not fit the groove's pattern.
    pub fn over(&self, groove: &Groove) -> Result<Groove, crate::rhythm::EditError> {
        let mut varied = groove.clone();
        varied.apply(&Edit::Several(self.edits(groove)))?;
        Ok(varied)
    }
}
