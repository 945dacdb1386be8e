//! How long likeness takes, and how that grows with the number of styles.

use super::{Row, least_ms, styles};
use crate::Trouble;
use stickleback::lesson::likeness::model;
use stickleback::style::licence::licensed;
use stickleback::style::likeness::{StyleModel, likeness};

/// The mean time among the styles there are, sound withheld, and among synthetic ones: variations within the licence.
pub fn rows() -> Result<Vec<Row>, Trouble> {
    let styles = styles("lessons")?;
    let models: Vec<StyleModel> = styles.iter().map(model).collect();
    let mean = |among: &[StyleModel]| {
        let all = || styles.iter().for_each(|style| drop(core::hint::black_box(likeness(&style.groove, among, None))));
        least_ms(all) / styles.len() as f64
    };
    let mut rows = vec![Row::bound(format!("likeness among {}", models.len()), 5.0, mean(&models), "ms")];
    let synthetic = |number: usize| {
        let style = styles.get(number % styles.len().max(1))?;
        let (slowest, fastest) = (style.tempo_range.slowest, style.tempo_range.fastest);
        let groove = licensed(&style.groove, &style.hallmarks, (slowest, fastest), None, number as u64);
        Some(StyleModel::new(style.id.clone(), style.hallmarks.clone(), &[groove], slowest, fastest))
    };
    let many: Vec<StyleModel> = (0..10_000).filter_map(synthetic).collect();
    for count in [100, 1_000, 10_000] {
        let among = many.get(..count).unwrap_or(&many);
        rows.push(Row::told(format!("likeness among {count} synthetic styles"), mean(among), "ms"));
    }
    Ok(rows)
}
