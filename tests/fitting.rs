//! What to fit where, against the trade notes (B5, E1 to E5, H1) and against trying everything.
//!
//! The tries share nothing with the planner: they work in tenths of a thousandth of an inch, on the numbers the readings
//! were made from, and go through every combination.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test that cannot go on should panic")]

#[path = "fitting/assigned.rs"]
mod assigned;
#[path = "support/chance.rs"]
mod chance;
#[path = "fitting/graded.rs"]
mod graded;
#[path = "fitting/rings.rs"]
mod rings;
#[path = "fitting/shells.rs"]
mod shells;
#[path = "fitting/singles.rs"]
mod singles;
mod support;

use benchdrop::planning::{Fitting, fitting};
use serde_json::{Value, json};
use support::*;

/// The shop with a short block whose inspection is signed.
fn short_block(half_steps: bool) -> Vec<Value> {
    let mut drops: Vec<Value> = gauges();
    drops.push(gauge(4, "FEELER", "feeler", None));
    drops.push(gauge(5, "SCALE", "scale", None));
    drops.push(serde_json::from_str(OV24).unwrap());
    let mut rules = house_rules(0);
    rules["body"]["half-steps"] = half_steps.into();
    drops.push(rules);
    let mut checked_in = check_in(10);
    checked_in["body"]["scope"] = json!(["short block"]);
    drops.push(checked_in);
    drops.push(drop_at("sign-off", 100, json!({"step": "inspection", "name": "LM"})));
    drops
}

/// `2.2486` of 22486.
fn inches(tenths: i64) -> String {
    let sign = if tenths < 0 { "-" } else { "" };
    format!("{sign}{}.{:04}", tenths.abs() / 10_000, tenths.abs() % 10_000)
}

fn fit(drops: &[Value]) -> Fitting {
    let (_, job, judgement) = folded(drops);
    fitting(&job, &judgement)
}
