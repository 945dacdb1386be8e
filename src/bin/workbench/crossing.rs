//! `workbench crossing A B [--json]`: the cheapest row of single edits from one groove to another, and which style leads on
//! the way. A and B are style ids, files or links.
//!
//! ```text
//! { "cost": N,                             in hundredths of a stroke
//!   "edits": [{ "told": TEXT, "cost": N }],
//!   "tips": [{ "after": N, "leader": ID or null }] }    who leads at the start, and wherever that changes
//! ```

use crate::contrast::source;
use crate::{Trouble, asks_for_json, likeness};
use serde_json::{Value, json};
use stickleback::rhythm::Groove;
use stickleback::style::crossing::{crossing, tips};
use stickleback::style::likeness::likeness as judged;
use stickleback::words;

/// Prints the crossing from `a` to `b`.
pub fn run(a: &str, b: &str, options: &[&str]) -> Result<(), Trouble> {
    let json = asks_for_json(options)?;
    let (a, b) = (source(a)?, source(b)?);
    let row = crossing(&a.groove, &b.groove).map_err(|error| {
        println!("there is no crossing: {error}");
        Trouble::Faults
    })?;
    let models = likeness::models()?;
    let mut leader = |groove: &Groove| judged(groove, &models, None).leader().map(|leader| leader.style.clone());
    let tips = tips(&row, &a.groove, &mut leader);
    let grooves = row.grooves(&a.groove);
    let style = |kit: &str| kit.to_owned();
    let told: Vec<String> = row
        .edits
        .iter()
        .zip(&grooves)
        .map(|(crossed, before)| words::crossing::change(&crossed.change, before, &style))
        .collect();
    if json {
        let edits: Vec<Value> =
            row.edits.iter().zip(&told).map(|(crossed, told)| json!({ "told": told, "cost": crossed.cost })).collect();
        let tips: Vec<Value> = tips
            .iter()
            .map(|tip| json!({ "after": tip.after, "leader": tip.leader.as_ref().map(|leader| leader.as_str()) }))
            .collect();
        println!("{}", json!({ "cost": row.cost, "edits": edits, "tips": tips }));
        return Ok(());
    }
    println!("{} to {}: {} edits, {:.2} strokes", a.name, b.name, row.edits.len(), row.cost as f64 / 100.0);
    for after in 0..=row.edits.len() {
        if let Some(tip) = tips.iter().find(|tip| tip.after == after) {
            println!("  -- {}", tip.leader.as_ref().map_or("like no style", |leader| leader.as_str()));
        }
        if let Some(told) = told.get(after) {
            println!("  {told}");
        }
    }
    Ok(())
}
