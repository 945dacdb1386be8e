//! The sound of a groove in a link: kit, tone and tape speed; and the own voices, roles in order and a code each.

use super::coder::{Coder, Context, EVEN};
use super::link::{LinkFault, Unfit};
use super::names;
use crate::rhythm::{MadeVoice, MadeVoices, Sound, TapeSpeed};
use crate::role::Role;

/// Kit, tone and tape speed.
pub(super) fn sound(coder: &mut Coder, given: Option<&Sound>) -> Result<Sound, LinkFault> {
    let kit = names::id(coder, given.map(|sound| &sound.kit))?;
    let own_tone = coder.bit(given.is_some_and(|sound| sound.tone != sound.kit), EVEN / 4, &[]);
    let tone = if own_tone { names::id(coder, given.map(|sound| &sound.tone))? } else { kit.clone() };
    let speed = given.map_or(TapeSpeed::NEUTRAL, |sound| sound.speed);
    let speed = if coder.bit(speed == TapeSpeed::NEUTRAL, EVEN + EVEN / 4 * 3, &[]) {
        TapeSpeed::NEUTRAL
    } else {
        let thousandths = coder.plain(u32::from(speed.thousandths()), 12);
        TapeSpeed::from_thousandths(thousandths).ok_or(LinkFault::Unfit(Unfit::Sound))?
    };
    Ok(Sound { tone, speed, ..Sound::of(kit) })
}

/// At least one own voice. What their codes mean is for whoever plays them: a code that nobody can read yet is kept.
pub(super) fn voices(coder: &mut Coder, given: Option<&MadeVoices>) -> Result<MadeVoices, LinkFault> {
    let unfit = LinkFault::Unfit(Unfit::Sound);
    let given: Vec<(Role, &MadeVoice)> = given.into_iter().flat_map(MadeVoices::iter).collect();
    let count = coder.number((given.len() as u32).saturating_sub(1), &[Context::of(&[70])]) as usize + 1;
    if count > MadeVoices::MOST {
        return Err(unfit);
    }
    let mut voices = MadeVoices::NONE;
    let mut next = 0;
    for place in 0..count {
        let own = given.get(place);
        let skipped = own.map_or(0, |(role, _)| role.index() as u32 - next);
        let index = next + coder.number(skipped, &[Context::of(&[71])]);
        let role = Role::from_index(index as usize).ok_or(unfit)?;
        next = index + 1;
        let code = code(coder, own.map_or(&[], |(_, voice)| voice.code())).ok_or(unfit)?;
        voices = voices.with(role, code).map_err(|_| unfit)?;
    }
    Ok(voices)
}

/// A code: its length, then each byte as likely as the bytes before it have shown. Most end a number or are a zero.
fn code(coder: &mut Coder, given: &[u8]) -> Option<MadeVoice> {
    let length = coder.number((given.len() as u32).saturating_sub(1), &[Context::of(&[72])]) as usize + 1;
    if length > MadeVoice::LONGEST {
        return None;
    }
    let mut code = Vec::with_capacity(length);
    for place in 0..length {
        let before = code.last().map_or(0, |byte: &u8| u32::from(*byte >> 7) + 1);
        let byte = given.get(place).copied().unwrap_or_default();
        code.push(coder.choice(u32::from(byte), 8, &[Context::of(&[73]), Context::of(&[74, before])]) as u8);
    }
    MadeVoice::new(code)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use proptest::test_runner::RngSeed;

    fn written(tell: impl FnOnce(&mut Coder)) -> Vec<u8> {
        let mut coder = Coder::writer();
        tell(&mut coder);
        coder.finish()
    }

    #[test]
    fn claims_beyond_measure_are_refused_before_anything_is_built() {
        let check = |count: u32, role: u32, length: u32, fits: bool| {
            let bytes = written(|coder| {
                coder.number(count - 1, &[Context::of(&[70])]);
                coder.number(role, &[Context::of(&[71])]);
                coder.number(length - 1, &[Context::of(&[72])]);
            });
            let read = voices(&mut Coder::reader(bytes), None);
            assert_eq!(read.is_ok(), fits, "{count} voices, role {role}, {length} bytes: {read:?}");
            assert!(fits || read == Err(LinkFault::Unfit(Unfit::Sound)));
        };
        let last = Role::ALL.len() as u32 - 1;
        check(1, 0, 1, true);
        check(1, last, 200, true);
        check(17, 0, 1, false);
        check(1_000_000, 0, 1, false);
        check(1, last + 1, 1, false);
        check(2, last, 1, false);
        check(1, 0, 201, false);
        check(1, 0, 1_000_000, false);
    }

    proptest! {
        #![proptest_config(ProptestConfig { rng_seed: RngSeed::Fixed(12), failure_persistence: None, ..ProptestConfig::default() })]

        #[test]
        fn any_voices_come_back(
            all in prop::collection::btree_map(0..Role::ALL.len(), prop::collection::vec(any::<u8>(), 1..=200), 1..=16),
        ) {
            let all = all.into_iter().try_fold(MadeVoices::NONE, |all, (role, code)| {
                all.with(Role::from_index(role).unwrap(), MadeVoice::new(code).unwrap())
            });
            let all = all.unwrap();
            let bytes = written(|coder| drop(voices(coder, Some(&all))));
            prop_assert_eq!(voices(&mut Coder::reader(bytes), None), Ok(all));
        }
    }
}
