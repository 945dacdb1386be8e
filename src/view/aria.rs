//! States as ARIA writes them.

/// The word for a state that is on or off: `aria-pressed`, `aria-disabled`, `aria-expanded`, `aria-current`.
pub const fn state(on: bool) -> &'static str {
    if on { "true" } else { "false" }
}
