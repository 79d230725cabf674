//! Sheets, rules, people, gauges and prices.

use crate::facts::Recorded;
use crate::facts::body::{Body, GaugeBody, HouseRules, People, PriceList};
use crate::sheets::written::SheetWritten;
use crate::sheets::{Fault, Faults, Sheet, fold_name};
use std::collections::BTreeSet;
use std::sync::Arc;

pub(super) fn sheet(written: SheetWritten, faults: &mut Faults) -> Option<Body> {
    Sheet::read(&written)
        .map(|sheet| Body::Sheet(Arc::new(sheet)))
        .map_err(|mut found| faults.append(&mut found))
        .ok()
}

pub(super) fn house_rules(rules: HouseRules, faults: &mut Faults) -> Option<Body> {
    for (index, instrument) in rules.instruments.iter().enumerate() {
        if instrument.figure().is_none() {
            let found = format!(
                "expanded {}, setting {}, transfer {}",
                instrument.expanded, instrument.setting, instrument.transfer
            );
            let expected =
                "half of expanded, squared, larger than setting and transfer squared: something repeats";
            faults.push(Fault::new(format!("/body/instruments/{index}"), found, expected));
        }
    }
    if !(0.5..1.0).contains(&rules.level()) {
        faults.push(
            Fault::new("/body/probability", rules.probability.0.as_str(), "at least 0.5 and less than 1")
                .with_example("\"0.95\""),
        );
    }
    Some(Body::HouseRules(Arc::new(rules)))
}

/// An address that the schema takes but no letter can be written to would leave its person untold.
pub(super) fn people(people: People, faults: &mut Faults) -> Body {
    for (index, person) in people.people.iter().enumerate() {
        let Some(mail) =
            person.mail.as_deref().filter(|mail| mail.contains(['"', '[', '<', '(', ',', ';', '\\']))
        else {
            continue;
        };
        let expected = "a plain mail address, without quotes, brackets or a list";
        faults.push(
            Fault::new(format!("/body/people/{index}/mail"), mail, expected)
                .with_example("\"owner@shop.example\""),
        );
    }
    Body::People(Arc::new(people))
}

/// At most one thing happens to a gauge in one drop, so that each has its own recorded time.
pub(super) fn gauge(mut gauge: GaugeBody, faults: &mut Faults) -> Option<Body> {
    let events = [gauge.zero.is_some(), gauge.calibrated.is_some(), gauge.bad_since_written.is_some()];
    if events.iter().filter(|there| **there).count() > 1 {
        faults.push(Fault::new(
            "/body",
            "several of zero, calibrated and bad-since",
            "one of them; drop another file for the other",
        ));
    }
    if let Some(resolution) = gauge.resolution.as_ref().filter(|resolution| resolution.step().is_none()) {
        let fault = Fault::new(
            "/body/resolution/step",
            resolution.step.0.as_str(),
            "the smallest step, more than nothing",
        );
        faults.push(fault.with_example("\"0.0001\""));
    }
    if let Some(range) = gauge.range.as_ref().filter(|range| range.ends().is_none()) {
        let found = format!("{} to {} {}", range.from.0, range.to.0, range.unit_symbol);
        let fault = Fault::new("/body/range", found, "from a lower torque to a higher one");
        faults.push(fault.with_example("{\"from\": \"20\", \"to\": \"150\", \"unit\": \"lbf ft\"}"));
    }
    if let Some(written) = &gauge.bad_since_written {
        gauge.bad_since = Recorded::parse(written);
        if gauge.bad_since.is_none() {
            let expected = "date and time with the offset from UTC, as in RFC 3339";
            faults.push(
                Fault::new("/body/bad-since", written, expected)
                    .with_example("\"2026-03-02T09:15:00+01:00\""),
            );
        }
    }
    Some(Body::Gauge(Box::new(gauge)))
}

/// Two prices of one thing would let the reader choose.
pub(super) fn price_list(list: PriceList, faults: &mut Faults) -> Option<Body> {
    let mut seen = BTreeSet::new();
    for (index, part) in list.parts.iter().enumerate() {
        if !seen.insert((fold_name(&part.part), part.size.clone())) {
            faults.push(Fault::new(
                format!("/body/parts/{index}"),
                format!("{} priced twice", part.part),
                "one price for a part and size",
            ));
        }
    }
    let mut seen = BTreeSet::new();
    for (index, work) in list.operations.iter().enumerate() {
        if !seen.insert((work.operation.clone(), work.feature.as_deref().map(fold_name))) {
            faults.push(Fault::new(
                format!("/body/operations/{index}"),
                format!("{} priced twice", work.operation),
                "one price for an operation and feature",
            ));
        }
    }
    Some(Body::PriceList(Arc::new(list)))
}
