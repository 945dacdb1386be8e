//! Wiring of the page.
fn main() {}
