//! Crossing: the cheapest row of single edits from one groove to another.

pub mod costs;
