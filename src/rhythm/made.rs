//! Voices a learner has made: how a groove carries them without knowing what they sound like.

use std::collections::BTreeMap;
use std::sync::Arc;

use crate::role::Role;

/// A voice of one's own as a code that only the sound's side reads; here it is so many bytes.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct MadeVoice(Box<[u8]>);

impl MadeVoice {
    /// The longest code, in bytes.
    pub const LONGEST: usize = 200;

    /// A code of 1 to [`MadeVoice::LONGEST`] bytes; `None` if it is of another length.
    pub fn new(code: Vec<u8>) -> Option<MadeVoice> {
        (1..=MadeVoice::LONGEST).contains(&code.len()).then(|| MadeVoice(code.into_boxed_slice()))
    }

    /// The code.
    pub fn code(&self) -> &[u8] {
        &self.0
    }
}

/// The own voices of a groove's sound, one a role, at most [`MadeVoices::MOST`].
///
/// Most grooves have none, and those take no room; copies share them until one is changed.
#[derive(Clone, Debug, Default, PartialEq, Eq, Hash)]
pub struct MadeVoices(Option<Arc<BTreeMap<Role, MadeVoice>>>);

/// A sound has all the own voices it can have.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct TooManyVoices;

impl MadeVoices {
    /// The most own voices of one sound.
    pub const MOST: usize = 16;

    /// None: the kit plays every role.
    pub const NONE: MadeVoices = MadeVoices(None);

    /// These with `voice` for `role`, in place of the one it had.
    ///
    /// # Errors
    /// It had none, and there are [`MadeVoices::MOST`] others.
    pub fn with(mut self, role: Role, voice: MadeVoice) -> Result<MadeVoices, TooManyVoices> {
        let voices = Arc::make_mut(self.0.get_or_insert_default());
        if voices.len() >= MadeVoices::MOST && !voices.contains_key(&role) {
            return Err(TooManyVoices);
        }
        voices.insert(role, voice);
        Ok(self)
    }

    /// These without the one for `role`: the kit plays it again.
    pub fn without(mut self, role: Role) -> MadeVoices {
        if let Some(voices) = &mut self.0 {
            Arc::make_mut(voices).remove(&role);
        }
        // One form for none, so that equal sounds are equal.
        MadeVoices(self.0.filter(|voices| !voices.is_empty()))
    }

    /// The one for `role`.
    pub fn get(&self, role: Role) -> Option<&MadeVoice> {
        self.0.as_ref()?.get(&role)
    }

    /// All of them, in the order of [`Role::ALL`].
    pub fn iter(&self) -> impl ExactSizeIterator<Item = (Role, &MadeVoice)> {
        self.0.as_deref().map(BTreeMap::iter).unwrap_or_default().map(|(&role, voice)| (role, voice))
    }

    /// Whether there are none.
    pub fn is_empty(&self) -> bool {
        self.0.is_none()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn voice(byte: u8) -> MadeVoice {
        MadeVoice::new(vec![byte]).unwrap()
    }

    #[test]
    fn codes_are_bounded() {
        let check = |length: usize, fits: bool| assert_eq!(MadeVoice::new(vec![7; length]).is_some(), fits, "{length}");
        check(0, false);
        check(1, true);
        check(200, true);
        check(201, false);
    }

    #[test]
    fn sixteen_roles_have_voices_of_their_own_and_no_more() {
        let (most, rest) = Role::ALL.split_at(MadeVoices::MOST);
        let full = most.iter().try_fold(MadeVoices::NONE, |voices, &role| voices.with(role, voice(1))).unwrap();
        assert_eq!(full.iter().len(), 16);
        assert_eq!(full.clone().with(rest[0], voice(2)), Err(TooManyVoices));
        let changed = full.with(most[3], voice(3)).unwrap();
        assert_eq!(changed.get(most[3]), Some(&voice(3)));
        let fewer = changed.without(most[3]);
        assert_eq!((fewer.get(most[3]), fewer.iter().len()), (None, 15));
        assert!(fewer.with(rest[0], voice(2)).is_ok());
        let one = MadeVoices::NONE.with(rest[0], voice(1)).unwrap();
        assert_eq!(one.without(rest[0]), MadeVoices::NONE);
    }
}
