//! How long a contrast takes, and a crossing.

use super::{Row, least_ms, styles};
use crate::Trouble;
use crate::foils::Kits;
use stickleback::lesson::Style;
use stickleback::style::SoundMeasure;
use stickleback::style::contrast::{Compared, contrast};
use stickleback::style::crossing::crossing;

/// The mean time of each among all pairs of styles, with the facts of their kits given; and the worst contrast.
pub fn rows() -> Result<Vec<Row>, Trouble> {
    let styles = styles("lessons")?;
    let kits = Kits::of("lessons/kits");
    let pairs = || styles.iter().flat_map(|a| styles.iter().filter(move |b| b.id != a.id).map(move |b| (a, b)));
    let count = pairs().count().max(1) as f64;
    let contrasted = |a: &Style, b: &Style| {
        let own = |voice, measure: SoundMeasure| kits.measure(&a.groove, voice, measure);
        let other = |voice, measure: SoundMeasure| kits.measure(&b.groove, voice, measure);
        drop(core::hint::black_box(contrast(
            Compared { groove: &a.groove, hallmarks: &a.hallmarks, sound: Some(&own) },
            Compared { groove: &b.groove, hallmarks: &b.hallmarks, sound: Some(&other) },
        )));
    };
    // Kits are read once, before.
    pairs().for_each(|(a, b)| contrasted(a, b));
    let mean = least_ms(|| pairs().for_each(|(a, b)| contrasted(a, b))) / count;
    let worst = pairs().map(|(a, b)| least_ms(|| contrasted(a, b))).fold(0.0, f64::max);
    let crossed = least_ms(|| {
        pairs().for_each(|(a, b)| drop(core::hint::black_box(crossing(&a.groove, &b.groove))));
    }) / count;
    Ok(vec![
        Row::bound("contrast of two styles, mean of all pairs", 5.0, mean, "ms"),
        Row::bound("contrast of two styles, worst pair", 5.0, worst, "ms"),
        Row::told("crossing of two styles, mean of all pairs", crossed, "ms"),
    ])
}
