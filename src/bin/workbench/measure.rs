//! `workbench measure --json`: native figures for the table of budgets, as rows of `{name, budget, value, unit}`.
//!
//! A row without a budget is there to be read; one without a value says why there is none.

#[path = "measure/reference.rs"]
mod reference;
#[path = "measure/rendering.rs"]
mod rendering;
#[path = "measure/scheduling.rs"]
mod scheduling;
#[path = "measure/contrasts.rs"]
mod contrasts;
#[path = "measure/likeness.rs"]
mod likeness;
#[path = "measure/links.rs"]
mod links;

use crate::Trouble;
use serde_json::{Value, json};

/// One row of the table.
pub struct Row {
    name: String,
    budget: Option<f64>,
    value: Option<f64>,
    unit: &'static str,
    why: Option<&'static str>,
}

impl Row {
    /// A figure with the most it may be.
    pub fn bound(name: impl Into<String>, budget: f64, value: f64, unit: &'static str) -> Row {
        Row { name: name.into(), budget: Some(budget), value: Some(value), unit, why: None }
    }

    /// The same row with the reason why its budget may be missed.
    pub fn because(self, why: &'static str) -> Row {
        Row { why: Some(why), ..self }
    }

    /// A figure to be read.
    pub fn told(name: impl Into<String>, value: f64, unit: &'static str) -> Row {
        Row { name: name.into(), budget: None, value: Some(value), unit, why: None }
    }

    /// A budget nothing can be measured for yet.
    pub fn absent(name: &str, budget: f64, unit: &'static str, why: &'static str) -> Row {
        Row { name: name.to_owned(), budget: Some(budget), value: None, unit, why: Some(why) }
    }

    fn json(&self) -> Value {
        let mut row = json!({ "name": self.name, "unit": self.unit });
        // Four digits: a table is read, not computed with.
        let rounded = |number: f64| json!((number * 1e4).round() / 1e4);
        row["value"] = self.value.map_or(Value::Null, rounded);
        if let Some(budget) = self.budget {
            row["budget"] = json!(budget);
        }
        if let Some(why) = self.why {
            row["why"] = json!(why);
        }
        row
    }
}

pub use reference::styles;

/// What is promised but not built.
fn absent() -> Vec<Row> {
    const NOT_BUILT: &str = "not built yet";
    vec![
        Row::absent("grade 4 bars x 8 lanes", 2.0, "ms", NOT_BUILT),
        Row::absent("lesson link of 150 words, 6 stages", 1200.0, "characters", NOT_BUILT),
    ]
}

/// Measures and prints the rows.
pub fn run() -> Result<(), Trouble> {
    let references = reference::all("lessons")?;
    let mut rows = rendering::rows(&references);
    rows.extend(scheduling::rows()?);
    rows.extend(links::rows());
    rows.extend(likeness::rows()?);
    rows.extend(contrasts::rows()?);
    rows.extend(absent());
    println!("{}", Value::Array(rows.iter().map(Row::json).collect()));
    Ok(())
}

/// Prints the fragment that leads to a groove of 8 bars x 24 lanes, every sixteenth struck.
pub fn largest() -> Result<(), Trouble> {
    let groove = scheduling::largest().ok_or(Trouble::Faults)?;
    let payload = stickleback::share::encode(&groove, 0, Some("The largest groove"));
    println!("{}", stickleback::route::Route::Received(payload).fragment());
    Ok(())
}

/// The value in the middle and the largest, of at least one.
fn middle_and_most(mut values: Vec<f64>) -> (f64, f64) {
    values.sort_by(f64::total_cmp);
    let at = |index: usize| values.get(index).copied().unwrap_or(f64::NAN);
    (at(values.len() / 2), at(values.len().saturating_sub(1)))
}

/// The least time of three runs of `work`, in ms: what else the machine does only adds.
#[allow(clippy::disallowed_methods, reason = "the workbench measures")]
fn least_ms(mut work: impl FnMut()) -> f64 {
    let once = |_| {
        let begun = std::time::Instant::now();
        work();
        begun.elapsed().as_secs_f64() * 1000.0
    };
    (0..3).map(once).fold(f64::INFINITY, f64::min)
}
