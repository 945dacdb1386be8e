//! A binary arithmetic coder with learning odds, walked alike in both directions.
//!
//! Every yes-or-no question of a link is coded with the odds its contexts have shown so far (I. Witten, R. Neal and
//! J. Cleary, "Arithmetic coding for data compression", Communications of the ACM 30, 1987). The odds of a specific
//! context lean on those of the more general one before it, as Bayesian smoothing does, so that even the first bar of a
//! short groove is cheap.
//!
//! A [`Coder`] either writes or reads. Whoever describes a format asks it `bit(value, ...)` and goes on with the answer:
//! a writer answers with the value it was given, a reader with what the link says. One description thus serves both.
//! All arithmetic is in integers, hence the same in every engine. **Any change of a number here or of a question in the
//! format makes old links unreadable**: it needs a new link version.

/// Certainty: chances are told in 65,536ths.
const WHOLE: u32 = 1 << 16;
/// Even odds.
pub(super) const EVEN: u16 = 1 << 15;
/// How many contexts have a place of their own; beyond that some share one, which costs size, never exactness.
const SLOTS: usize = 1 << 14;
/// How much the more general odds count, in observations.
const TRUST: u32 = 2;
/// Observations a context remembers before it begins to forget.
const MEMORY: u16 = 250;

/// How often a context has seen no and yes.
type Seen = [u16; 2];

enum Side {
    Write { low: u64, high: u64, bytes: Vec<u8> },
    Read { low: u64, high: u64, window: u64, bytes: std::vec::IntoIter<u8> },
}

/// Writes a link's questions or reads them.
pub(super) struct Coder {
    side: Side,
    seen: Vec<Seen>,
}

/// Where the odds of a question are kept: a number made from what the question is and what is known around it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Context(u32);

impl Context {
    /// The context of a question `parts[0]` with what is known around it. Different lists give, as good as always,
    /// different contexts.
    pub(super) fn of(parts: &[u32]) -> Context {
        Context(0).with(parts.len() as u32).and(parts)
    }

    /// This context with one more thing known.
    pub(super) fn with(self, part: u32) -> Context {
        // The multipliers are the usual 32-bit golden ratio and one of T. Mueller's mixing constants.
        let mixed = (self.0 ^ part.wrapping_mul(0x9E37_79B1)).rotate_left(13).wrapping_mul(0x045D_9F3B);
        Context(mixed ^ (mixed >> 15))
    }

    /// This context with several more things known.
    pub(super) fn and(self, parts: &[u32]) -> Context {
        parts.iter().fold(self, |context, &part| context.with(part))
    }

    fn slot(self) -> usize {
        (self.0.wrapping_mul(0x9E37_79B1) >> 18) as usize % SLOTS
    }
}

impl Coder {
    /// A coder that writes.
    pub(super) fn writer() -> Coder {
        Coder { side: Side::Write { low: 0, high: u64::MAX, bytes: Vec::new() }, seen: vec![[0; 2]; SLOTS] }
    }

    /// A coder that reads; past the end of `bytes` it reads zeros for ever.
    pub(super) fn reader(bytes: Vec<u8>) -> Coder {
        let mut bytes = bytes.into_iter();
        let window = (0..8).fold(0, |window, _| window << 8 | u64::from(bytes.next().unwrap_or(0)));
        Coder { side: Side::Read { low: 0, high: u64::MAX, window, bytes }, seen: vec![[0; 2]; SLOTS] }
    }

    /// One question: `value` if writing, what was written if reading. `prior` is the chance of yes (in 65,536ths) where
    /// nothing is known; the contexts go from the general to the specific.
    pub(super) fn bit(&mut self, value: bool, prior: u16, contexts: &[Context]) -> bool {
        let mut chance = u32::from(prior);
        for context in contexts {
            let [no, yes] = self.seen[context.slot()].map(u32::from);
            chance = (yes * WHOLE + TRUST * chance) / (no + yes + TRUST);
        }
        let answer = self.side.code(value, chance.clamp(64, WHOLE - 64));
        for context in contexts {
            learn(&mut self.seen[context.slot()], answer);
        }
        answer
    }

    /// What was written, as short as it can be read back from.
    pub(super) fn finish(self) -> Vec<u8> {
        match self.side {
            Side::Write { low, high, mut bytes } => {
                let mut spare = 64;
                let mut tail = low;
                // The fewest leading bytes whose zero-filled number still lies between the two ends.
                while spare > 0 {
                    spare -= 8;
                    let ones = if spare == 0 { 0 } else { u64::MAX >> (64 - spare) };
                    let Some(raised) = low.checked_add(ones) else { continue };
                    tail = raised & !ones;
                    if tail <= high {
                        break;
                    }
                }
                bytes.extend(tail.to_be_bytes());
                while bytes.last() == Some(&0) {
                    bytes.pop();
                }
                bytes
            }
            Side::Read { .. } => Vec::new(),
        }
    }
}

fn learn(seen: &mut Seen, answer: bool) {
    let [no, yes] = seen;
    let (hit, miss) = if answer { (yes, no) } else { (no, yes) };
    *hit += 1;
    // What was true long ago weighs less than what just happened.
    if *miss > 2 {
        *miss = (*miss + 2) / 2;
    }
    if *hit >= MEMORY {
        *hit /= 2;
    }
}

impl Side {
    fn code(&mut self, value: bool, chance: u32) -> bool {
        match self {
            Side::Write { low, high, bytes } => {
                let split = split(*low, *high, chance);
                if value {
                    *high = split
                } else {
                    *low = split + 1
                }
                while (*low ^ *high) >> 56 == 0 {
                    bytes.push((*high >> 56) as u8);
                    (*low, *high) = (*low << 8, *high << 8 | 0xFF);
                }
                value
            }
            Side::Read { low, high, window, bytes } => {
                let split = split(*low, *high, chance);
                let answer = *window <= split;
                if answer {
                    *high = split
                } else {
                    *low = split + 1
                }
                while (*low ^ *high) >> 56 == 0 {
                    (*low, *high) = (*low << 8, *high << 8 | 0xFF);
                    *window = *window << 8 | u64::from(bytes.next().unwrap_or(0));
                }
                answer
            }
        }
    }
}

/// The last number that means yes; always below `high`, so that no has room too.
fn split(low: u64, high: u64, chance: u32) -> u64 {
    low + ((high - low) >> 16) * u64::from(chance)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use proptest::test_runner::RngSeed;

    fn questions(coder: &mut Coder, values: &[(bool, u8)]) -> Vec<bool> {
        let mut answers = Vec::new();
        for &(value, context) in values {
            let general = Context::of(&[1]);
            let context = general.with(u32::from(context));
            answers.push(coder.bit(value, EVEN, &[general, context]));
        }
        answers
    }

    proptest! {
        #![proptest_config(ProptestConfig {
            rng_seed: RngSeed::Fixed(2),
            failure_persistence: None,
            ..ProptestConfig::default()
        })]

        #[test]
        fn what_is_written_is_read(values in prop::collection::vec((any::<bool>(), 0..4_u8), 0..2000)) {
            let mut writer = Coder::writer();
            questions(&mut writer, &values);
            let mut reader = Coder::reader(writer.finish());
            let asked: Vec<_> = values.iter().map(|&(_, context)| (false, context)).collect();
            prop_assert_eq!(questions(&mut reader, &asked), values.iter().map(|v| v.0).collect::<Vec<_>>());
        }
    }

    #[test]
    fn what_is_expected_is_cheap() {
        let mut writer = Coder::writer();
        questions(&mut writer, &[(true, 0); 4000]);
        assert!(writer.finish().len() < 10);
        let alternating: Vec<_> = (0..4000).map(|n| (n % 2 == 0, 2 + (n % 2) as u8)).collect();
        let mut writer = Coder::writer();
        questions(&mut writer, &alternating);
        assert!(writer.finish().len() < 20);
    }
}
