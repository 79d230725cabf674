//! Choices that fill several fields: what can be signed, with its code; open problems; drops that can be withdrawn or
//! corrected; gauges of the shop.

use crate::facts::{Body, Digits, Fact};
use crate::pages::JobView;
use crate::pages::bench_form::knows::{Fill, with};
use crate::pages::signing::{quote_as, to_sign};
use crate::shop::{FactSet, GaugeNow, Job, Problem};
use crate::stages::{Quote, Signable};
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::sync::Arc;

/// By the group of fields they fill, or by the kind where they fill its body.
pub(super) fn of(view: &JobView, set: &FactSet) -> BTreeMap<&'static str, Vec<Fill>> {
    let mut fills = BTreeMap::from([
        ("closes", problems(&view.job)),
        ("tries", problems(&view.job)),
        ("corrects", drops(&view.job, set, "measurements")),
        ("withdrawal", drops(&view.job, set, "")),
    ]);
    for signable in to_sign(view) {
        let (group, fill) = to_quote(view, signable);
        fills.entry(group).or_default().push(fill);
    }
    fills
}

/// A gauge of the shop, and what it is set from.
pub(super) fn of_gauge(gauge: &GaugeNow) -> Value {
    let values = json!({ "gauge": gauge.mark, "instrument": gauge.instrument });
    match &gauge.set_by {
        Some(from) => with(values, "set-by", from.clone()),
        None => values,
    }
}

/// What a person signs, with the code of what they see: they need not copy it.
fn to_quote(view: &JobView, signable: &Signable) -> (&'static str, Fill) {
    let (group, values) = quote_as(&signable.quote);
    let values = with(values, "evidence", signable.code.to_string());
    let words = match &signable.quote {
        Quote::Waiver { gate, rule, about } => blocker_words(view, signable, (gate, rule, about)),
        Quote::SignOff(_) | Quote::Approval { .. } | Quote::Accept { .. } | Quote::Confirm { .. } => {
            signable.what.clone()
        }
    };
    (group, Fill { words, values })
}

/// A blocker in its own words; one that is set aside already by its name.
fn blocker_words(view: &JobView, signable: &Signable, name: (&str, &str, &str)) -> String {
    let mut blockers = view.standing.blockers.iter();
    let named = blockers.find(|b| (b.stage.word(), b.rule.word(), b.about.as_str()) == name);
    named.map_or_else(
        || format!("{} (set aside already)", signable.what),
        |blocker| {
            let about = if blocker.about.is_empty() { "the whole engine" } else { &blocker.about };
            format!("{}, {about}: {}", blocker.stage.word(), blocker.what)
        },
    )
}

fn problems(job: &Job) -> Vec<Fill> {
    let fill = |problem: &Problem| Fill {
        words: format!("{}: {} ({})", problem.about, problem.what, problem.said.words()),
        values: json!({ "drop": problem.said.fact.hex(), "item": problem.item }),
    };
    job.open_problems().map(fill).collect()
}

/// Longer lists nobody reads to the end; what is older is named by its digits, from the page of arrivals.
const MOST_DROPS: usize = 80;

/// The job's drops that are not void, newest first; of one kind, or of any where it is empty.
fn drops(job: &Job, set: &FactSet, kind: &str) -> Vec<Fill> {
    let facts = set.in_order().into_iter().rev();
    let wanted = facts
        .filter(|fact| !job.withdrawn.contains(&fact.id) && (kind.is_empty() || fact.body.kind() == kind));
    let fill = |fact: &Arc<Fact>| {
        let (head, about) = (&fact.head, about(&fact.body));
        let about = if about.is_empty() { String::new() } else { format!(", {about}") };
        let (kind, id) = (fact.body.kind(), fact.id.short());
        let words = format!("{kind}{about}: {} by {} ({id})", head.recorded.short(), head.who);
        let values: Value = json!({ "drop": fact.id.hex() });
        Fill { words, values }
    };
    wanted.take(MOST_DROPS).map(fill).collect()
}

/// In a few words what a drop says, for who looks for it in a list; empty where its kind says enough.
fn about(body: &Body) -> String {
    let and_more = |first: String, count: usize| {
        if count > 1 { format!("{first} and {} more", count - 1) } else { first }
    };
    let at = |positions: &mut dyn Iterator<Item = &Digits>| {
        positions.map(|p| p.0.as_str()).collect::<Vec<_>>().join(", ")
    };
    match body {
        Body::Measurements(set) => {
            let mut places: Vec<String> = Vec::new();
            for reading in &set.readings {
                let place =
                    format!("{} {}", reading.feature, at(&mut reading.position.iter())).trim_end().to_owned();
                if places.last() != Some(&place) {
                    places.push(place);
                }
            }
            let first = and_more(places.first().cloned().unwrap_or_default(), places.len());
            format!("{first}, readings: {}", set.readings.len())
        }
        Body::Finding(found) => {
            let first = found.findings.first();
            first.map_or_else(String::new, |one| {
                and_more(format!("{} {}", one.part, one.defect.word()), found.findings.len())
            })
        }
        Body::Part(part) => {
            let which = at(&mut part.position.iter().chain(&part.positions));
            format!("{} {which} {}", part.part, part.event.word()).replace("  ", " ")
        }
        Body::Hardware(bag) => format!("{} {}", bag.group, bag.state.word()),
        Body::WorkOrder(order) => {
            format!("{} {}", order.order, if order.out.is_some() { "out" } else { "back" })
        }
        Body::Supply(supply) => format!("{} {}", supply.item, supply.state.word()),
        Body::Operation(operation) => operation.operation.clone(),
        Body::SignOff(signed) => signed.step.word().to_owned(),
        Body::Assembly(fit) => {
            let torque = fit.torque.iter().map(|torque| torque.group.clone());
            let checks = fit.checks.iter().map(|check| check.check.clone());
            let all: Vec<String> =
                fit.fitted.iter().map(|fitted| fitted.part.clone()).chain(torque).chain(checks).collect();
            and_more(all.first().cloned().unwrap_or_default(), all.len())
        }
        Body::CheckIn(_) | Body::Decision(_) | Body::Account(_) | Body::Withdrawal(_) | Body::Gauge(_) => {
            String::new()
        }
        Body::Sheet(_) | Body::HouseRules(_) | Body::People(_) | Body::PriceList(_) => String::new(),
    }
}
