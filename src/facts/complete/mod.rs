//! The body of a drop, completed: exact sizes and lengths beside the digits, and what a schema cannot ask for.
//!
//! A schema says what one place may hold. What one place asks of another (a loss without why, a part named twice, an
//! estimate whose lines come to more than its most) is asked here, of the drop alone.
//!
//! Nothing is looked up here: whatever needs another drop is asked in `shop`.

mod readings;
mod said;
mod shop_wide;
mod work;

use crate::facts::body::{Body, CheckIn, Measurements, Operation, PartBody};
use crate::facts::{SizeWord, unit_of};
use crate::metrology::Unit;
use crate::sheets::{Fault, Faults};
use serde::de::DeserializeOwned;
use serde_json::Value;

/// The body of a document that its schema has passed.
pub(super) fn body(kind: &str, mut document: Value, faults: &mut Faults) -> Option<Body> {
    let value = document.get_mut("body").map(Value::take)?;
    match kind {
        "check-in" => shape(value, faults).map(|b: CheckIn| Body::CheckIn(Box::new(b))),
        "measurements" => {
            let mut set: Measurements = shape(value, faults)?;
            readings::lengths(&mut set, faults);
            readings::temperatures(&set, faults);
            readings::study(&set, faults);
            Some(Body::Measurements(Box::new(set)))
        }
        "part" => {
            let mut part: PartBody = shape(value, faults)?;
            work::part(&mut part, faults);
            Some(Body::Part(Box::new(part)))
        }
        "operation" => {
            let mut operation: Operation = shape(value, faults)?;
            work::operation(&mut operation, faults);
            Some(Body::Operation(operation))
        }
        "finding" => said::finding(shape(value, faults)?, faults),
        "hardware" => said::hardware(shape(value, faults)?, faults),
        "work-order" => work::work_order(shape(value, faults)?, faults),
        "supply" => work::supply(shape(value, faults)?, faults),
        "assembly" => work::assembly(shape(value, faults)?, faults),
        "decision" => said::decision(shape(value, faults)?, faults).map(Body::Decision),
        "account" => said::account(shape(value, faults)?, faults),
        "withdrawal" => shape(value, faults).map(Body::Withdrawal),
        "sign-off" => said::sign_off(shape(value, faults)?, faults),
        "gauge" => shop_wide::gauge(shape(value, faults)?, faults),
        "price-list" => shop_wide::price_list(shape(value, faults)?, faults),
        "sheet" => shop_wide::sheet(shape(value, faults)?, faults),
        "house-rules" => shop_wide::house_rules(shape(value, faults)?, faults),
        "people" => Some(shop_wide::people(shape(value, faults)?, faults)),
        other => {
            faults.push(Fault::new("/kind", other, "a kind with a body of ours"));
            None
        }
    }
}

/// The schema has checked the shape; a difference between schema and type is still only a fault, not a panic.
fn shape<T: DeserializeOwned>(value: Value, faults: &mut Faults) -> Option<T> {
    serde_json::from_value(value)
        .map_err(|error| faults.push(Fault::new("/body", error.to_string(), "a body as the schema says")))
        .ok()
}

fn size(written: &str, unit: Unit, at: &str, faults: &mut Faults) -> Option<SizeWord> {
    let read = SizeWord::parse(written, unit);
    if read.is_none() {
        let expected = format!("standard, or a step in {} with under or over", unit.symbol());
        faults.push(Fault::new(at, written, expected).with_example("\"0.010 under\""));
    }
    read
}

/// The exact size of an optional size word.
fn size_of(written: Option<&str>, unit_symbol: &str, at: &str, faults: &mut Faults) -> Option<SizeWord> {
    size(written?, unit_of(unit_symbol), at, faults)
}
