//! Metrical complexity: how far a pattern is from the most regular one with as many onsets.
//!
//! G. Toussaint, "A mathematical analysis of African, Brazilian and Cuban clave rhythms", Proc. BRIDGES (2002): the sum of
//! the k largest metrical weights less the sum of the weights of the k onsets. The paper's weights (5 1 2 1 3 1 2 1 4 ...)
//! are those of [`Hierarchy`] raised by a constant, which the difference does not see. On the six best known timelines it
//! equals the sum of [`super::longuet_higgins_lee`]; in general it does not.

use super::cycle::Cycle;
use super::metrical_hierarchy::Hierarchy;

/// The metrical complexity, from 0, over all bars.
pub fn metrical_complexity(cycle: &Cycle) -> u32 {
    let hierarchy = Hierarchy::of(cycle.metre());
    let mut depths: Vec<u32> = cycle.places().into_iter().map(|at| hierarchy.depth(at)).collect();
    depths.sort_unstable();
    let least: u32 = depths.iter().take(cycle.onsets().len()).sum();
    let depth: u32 = cycle.onsets().iter().map(|&at| hierarchy.depth(at)).sum();
    depth.saturating_sub(least)
}
