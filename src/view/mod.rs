//! What is seen: components without rules. The geometry is pure and compiles without the browser.

pub mod ribbon;
