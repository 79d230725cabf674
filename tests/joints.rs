//! Joints from the first bolt out to the last one in: the order they are let go and tightened in, and where it is drawn.
//! Guards promises 6 (a gap is not a pass) and 7 (ask, never correct).
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test stops at what it did not expect")]

#[path = "joints/checks.rs"]
mod checks;
#[path = "joints/hardware.rs"]
mod hardware;
#[path = "joints/order.rs"]
mod order;
mod support;
#[path = "joints/wrench.rs"]
mod wrench;

use benchdrop::pages::JobView;
use serde_json::{Value, json};
use support::{OV24, drop_at, house_rules, look};

const KD3: &str = include_str!("../schemas/examples/sheet.v1/pass/kd-3.json");

/// A complete engine of a sheet is checked in; then `more`.
fn engine(sheet: &Value, more: &[Value]) -> JobView {
    let key = sheet["body"]["sheet"].clone();
    let check_in = json!({"sheet": key, "customer": {"name": "Ferrowmere Mill"}, "engine": {"serial": "00317"},
        "scope": ["complete"], "approver": "Ines Ferrow"});
    let mut drops = vec![sheet.clone(), house_rules(0), drop_at("check-in", 10, check_in)];
    drops.extend_from_slice(more);
    look(&drops)
}

fn sheet(text: &str) -> Value {
    serde_json::from_str(text).unwrap()
}
