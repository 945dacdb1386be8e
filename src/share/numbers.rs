//! Numbers as rows of questions.

use super::coder::{Coder, Context, EVEN};

/// The largest number [`Coder::number`] can tell, so that a reader never counts without end.
pub(super) const MAX_NUMBER: u32 = (1 << 24) - 2;

/// Distances in ticks are told in the first of these units that divides them: a lane's own pulse comes before them all.
const UNITS: [u32; 8] = [240, 160, 120, 60, 40, 30, 10, 1];

impl Coder {
    /// A question that has no known odds.
    pub(super) fn even(&mut self, value: bool) -> bool {
        self.bit(value, EVEN, &[])
    }

    /// A number of `bits` bits (at most 32) whose values are all as likely.
    pub(super) fn plain(&mut self, value: u32, bits: u32) -> u32 {
        (0..bits).rev().fold(0, |read, place| read << 1 | u32::from(self.even(value >> place & 1 == 1)))
    }

    /// One of `1 << bits` choices, learnt.
    pub(super) fn choice(&mut self, value: u32, bits: u32, contexts: &[Context]) -> u32 {
        (0..bits).rev().fold(1, |node, place| {
            let contexts: Vec<Context> = contexts.iter().map(|context| context.and(&[7, node])).collect();
            node << 1 | u32::from(self.bit(value >> place & 1 == 1, EVEN, &contexts))
        }) - (1 << bits)
    }

    /// A number from 0 to [`MAX_NUMBER`], small ones cheap: Elias' gamma code with learning odds. Contexts go from the
    /// general to the specific.
    pub(super) fn number(&mut self, value: u32, contexts: &[Context]) -> u32 {
        let value = value.min(MAX_NUMBER) + 1;
        let size = 31 - value.leading_zeros();
        let mut read = 0;
        while read < 23 {
            let contexts: Vec<Context> = contexts.iter().map(|context| context.and(&[8, read])).collect();
            if !self.bit(read < size, EVEN, &contexts) {
                break;
            }
            read += 1;
        }
        let mut number = 1;
        for place in (0..read).rev() {
            // Only the leading places of a number have odds worth learning.
            let known = if read - place <= 3 { contexts } else { &[] };
            let known: Vec<Context> = known.iter().map(|context| context.and(&[9, read, number])).collect();
            number = number << 1 | u32::from(self.bit(value >> place & 1 == 1, EVEN, &known));
        }
        number - 1
    }

    /// A number that may be negative, those near 0 cheap.
    pub(super) fn signed(&mut self, value: i32, contexts: &[Context]) -> i32 {
        let at = |part: u32| contexts.iter().map(|context| context.and(&[10, part])).collect::<Vec<_>>();
        if self.bit(value == 0, EVEN, &at(0)) {
            return 0;
        }
        let negative = self.bit(value < 0, EVEN, &at(1));
        let magnitude = self.number(value.unsigned_abs().saturating_sub(1), &at(2)) as i32 + 1;
        if negative { -magnitude } else { magnitude }
    }

    /// A distance in ticks from 1 on, told in the coarsest unit that divides it: `pulse` first, then notes and parts of
    /// notes.
    pub(super) fn distance(&mut self, value: u32, pulse: u32, contexts: &[Context]) -> u32 {
        let value = value.max(1);
        let mut unit = 1;
        for (index, candidate) in core::iter::once(pulse.max(1)).chain(UNITS).enumerate() {
            let contexts: Vec<Context> = contexts.iter().map(|context| context.and(&[11, index as u32])).collect();
            if candidate == 1 || self.bit(value.is_multiple_of(candidate), EVEN, &contexts) {
                unit = candidate;
                break;
            }
        }
        let contexts: Vec<Context> =
            contexts.iter().map(|context| context.and(&[12, u32::from(unit == pulse)])).collect();
        (self.number((value / unit).saturating_sub(1), &contexts) + 1).saturating_mul(unit)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use proptest::test_runner::RngSeed;

    proptest! {
        #![proptest_config(ProptestConfig {
            rng_seed: RngSeed::Fixed(3),
            failure_persistence: None,
            ..ProptestConfig::default()
        })]

        #[test]
        fn numbers_read_back(
            values in prop::collection::vec((0..=MAX_NUMBER, -5000..5000_i32, 1..70_000_u32, 0..64_u32), 1..50),
        ) {
            let walk = |coder: &mut Coder, values: &[(u32, i32, u32, u32)]| -> Vec<(u32, i32, u32, u32)> {
                let all = [Context::of(&[1])];
                let one = |&(n, s, d, c): &(u32, i32, u32, u32)| {
                    (coder.number(n, &all), coder.signed(s, &all), coder.distance(d, 240, &all), coder.choice(c, 6, &all))
                };
                values.iter().map(one).collect()
            };
            let mut writer = Coder::writer();
            prop_assert_eq!(&walk(&mut writer, &values), &values);
            let mut reader = Coder::reader(writer.finish());
            prop_assert_eq!(walk(&mut reader, &vec![(0, 0, 1, 0); values.len()]), values);
        }
    }
}
