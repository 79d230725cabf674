//! Work on parts: in the house, outside, and going together.

use crate::facts::Digits;
use crate::facts::body::{Assembly, Body, CheckResult, Operation, PartBody, PartEvent, Supply, WorkOrder};
use crate::facts::complete::readings::length;
use crate::facts::complete::{size, size_of};
use crate::facts::unit_of;
use crate::sheets::{Fault, Faults};

pub(super) fn part(part: &mut PartBody, faults: &mut Faults) {
    let unit = unit_of(&part.unit_symbol);
    for (index, stamp) in part.stamps.iter_mut().enumerate() {
        stamp.size = size(&stamp.written, unit, &format!("/body/stamps/{index}/size"), faults);
    }
    if part.position.is_some() && !part.positions.is_empty() {
        faults.push(Fault::new("/body/positions", "position and positions", "one of the two"));
    }
    if part.event == PartEvent::Cleaned && part.method.trim().is_empty() {
        let expected = "how it was cleaned: aluminium in a caustic tank must not go unseen";
        faults.push(
            Fault::new("/body/method", "no method", expected)
                .with_example("\"spray cabinet, galleries brushed\""),
        );
    }
}

pub(super) fn operation(operation: &mut Operation, faults: &mut Faults) {
    operation.finished =
        size_of(operation.written.as_deref(), &operation.unit_symbol, "/body/finished", faults);
    let lengths =
        [("before", &operation.before), ("after", &operation.after), ("removed", &operation.removed)];
    for (key, digits) in lengths {
        is_length(digits.as_ref(), &operation.unit_symbol, &format!("/body/{key}"), faults);
    }
    if operation.places.is_empty() && operation.parts.is_empty() {
        let expected = "at least one surface under places, or one part under parts";
        faults.push(
            Fault::new("/body/places", "work on nothing", expected)
                .with_example("[{\"feature\": \"main journal\", \"positions\": [\"all\"]}]"),
        );
    }
}

fn is_length(digits: Option<&Digits>, unit_symbol: &str, at: &str, faults: &mut Faults) {
    if let Some(digits) = digits {
        length(digits, unit_of(unit_symbol), at, faults);
    }
}

pub(super) fn work_order(mut order: WorkOrder, faults: &mut Faults) -> Option<Body> {
    if let Some(out) = &mut order.out {
        out.finished = size_of(out.written.as_deref(), &out.unit_symbol, "/body/out/finished", faults);
    }
    if let Some(back) = &mut order.back {
        back.finished = size_of(back.written.as_deref(), &back.unit_symbol, "/body/back/finished", faults);
        is_length(back.removed.as_ref(), &back.unit_symbol, "/body/back/removed", faults);
    }
    Some(Body::WorkOrder(order))
}

pub(super) fn supply(mut supply: Supply, faults: &mut Faults) -> Option<Body> {
    supply.size = size_of(supply.written.as_deref(), &supply.unit_symbol, "/body/size", faults);
    supply.stamped = size_of(supply.stamped_written.as_deref(), &supply.unit_symbol, "/body/stamped", faults);
    Some(Body::Supply(Box::new(supply)))
}

pub(super) fn assembly(mut assembly: Assembly, faults: &mut Faults) -> Option<Body> {
    for (index, fitted) in assembly.fitted.iter_mut().enumerate() {
        let at = format!("/body/fitted/{index}/size");
        fitted.size = size_of(fitted.written.as_deref(), &assembly.unit_symbol, &at, faults);
    }
    if assembly.unit_symbol.is_empty() && assembly.fitted.iter().any(|fitted| fitted.written.is_some()) {
        faults.push(Fault::new("/body/unit", "sizes without their unit", "in or mm").with_example("\"in\""));
    }
    for (index, made) in assembly.checks.iter().enumerate() {
        if made.result != CheckResult::Yes && made.why.trim().is_empty() {
            let expected = format!("why the answer is {}", made.result.word());
            faults.push(
                Fault::new(format!("/body/checks/{index}/why"), "no why", expected)
                    .with_example("\"chain drive\""),
            );
        }
    }
    Some(Body::Assembly(assembly))
}
