//! What likeness knows of a style, made from its file.

use super::style::Style;
use crate::style::likeness::StyleModel;

/// The model of `style`: its reference first, then those of its variants that fit it.
pub fn model(style: &Style) -> StyleModel {
    let variants = style.variants.iter().filter_map(|variant| variant.change.over(&style.groove).ok());
    let forms: Vec<_> = core::iter::once(style.groove.clone()).chain(variants).collect();
    let range = style.tempo_range;
    StyleModel::new(style.id.clone(), style.hallmarks.clone(), &forms, range.slowest, range.fastest)
}
