//! How long links are, over the corpus the tests of links use.

use super::Row;
use stickleback::rhythm::Groove;
use stickleback::share;

// The corpus is a test's, whose mistakes end it; the workbench tells the same lengths of the same grooves.
#[path = "../../../../tests/links/corpus.rs"]
#[allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, dead_code, reason = "the tests' own file")]
mod corpus;

/// A content hash like any other.
const KIT: u32 = 0x9E37_79B9;

/// Rows for the grooves as written, and for all of them with those edited for an evening.
pub fn rows() -> Vec<Row> {
    let grooves = corpus::grooves();
    let length = |groove: &Groove| share::encode(groove, KIT, None).len() as f64;
    let mut written: Vec<f64> = grooves.iter().map(|named| length(&named.groove)).collect();
    let edited = grooves.iter().zip(0..).map(|(named, seed)| length(&corpus::edited(&named.groove, seed)));
    let mut all: Vec<f64> = written.iter().copied().chain(edited).collect();
    let hand = grooves.iter().zip(0..).map(|(named, seed)| length(&corpus::by_hand(&named.groove, seed)));
    let mut hand: Vec<f64> = hand.collect();
    vec![
        Row::bound("longest link of 43 grooves as written", 200.0, share_of(&mut written, 1.0), "characters"),
        Row::bound("95 % of them as written and edited", 400.0, share_of(&mut all, 0.95), "characters"),
        Row::told("95 % of them played by hand", share_of(&mut hand, 0.95), "characters"),
    ]
}

/// The value at this share of the sorted values.
fn share_of(values: &mut [f64], share: f64) -> f64 {
    values.sort_by(f64::total_cmp);
    let at = (values.len().saturating_sub(1) as f64 * share).ceil() as usize;
    values.get(at).copied().unwrap_or(f64::NAN)
}
