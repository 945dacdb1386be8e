//! placeholder
use crate::lesson::exercise::TaskVerdict;
use crate::rhythm::Groove;
/// x
pub fn verdict(v: &TaskVerdict, _g: &Groove) -> String { format!("{v:?}") }
