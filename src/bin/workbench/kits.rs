//! The kits of a style: that of its reference groove, and those a variant brings.

use serde_json::Value;
use std::sync::Arc;
use stickleback::audio::levels;
use stickleback::lesson::Style;
use stickleback::lesson::kit_facts::kit_from_facts;
use stickleback::lesson::reader::Fault;
use stickleback::rhythm::Groove;
use stickleback::synth::Kit;

/// Makes the kits of `style` from the facts of its `sound` and what the `corrections` of the style say of other kits:
/// under `kits`, by variant, a name and the facts that differ.
pub fn of(style: &Style, sound: &Value, corrections: Option<&Value>) -> Result<Vec<Kit>, Vec<Fault>> {
    let id = style.id.as_str();
    let mut kits = vec![levelled(kit_from_facts(id, sound)?, &style.groove)];
    for variant in &style.variants {
        let Some(other) = corrections.and_then(|own| own.get("kits")?.get(variant.id.as_str())) else { continue };
        let mut facts = sound.clone();
        for (role, changes) in other.get("sound").and_then(Value::as_object).into_iter().flatten() {
            if let (Some(own), Some(changes)) =
                (facts.get_mut(role).and_then(Value::as_object_mut), changes.as_object())
            {
                own.extend(changes.clone());
            }
        }
        let mut kit = kit_from_facts(id, &facts)?;
        kit.id = format!("{id}-{}", variant.id);
        kit.name = other.get("name").and_then(Value::as_str).unwrap_or(&kit.name).to_owned();
        let groove = variant.change.over(&style.groove).unwrap_or_else(|_| style.groove.clone());
        kits.push(levelled(kit, &groove));
    }
    Ok(kits)
}

fn levelled(mut kit: Kit, groove: &Groove) -> Kit {
    levels::set(&Arc::new(groove.clone()), &mut kit);
    kit
}
