//! Choices that fill several fields: what can be signed, with its code; open problems; drops that can be withdrawn or
//! corrected; gauges of the shop.

use crate::pages::JobView;
use crate::pages::bench_form::knows::{Fill, with};
use crate::pages::signing::{quote_as, to_sign};
use crate::shop::{FactSet, GaugeNow, Job, Problem};
use crate::stages::{Quote, Signable};
use serde_json::{Value, json};
use std::collections::BTreeMap;

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

/// The job's drops that are not void, newest first; of one kind, or of any where it is empty.
fn drops(job: &Job, set: &FactSet, kind: &str) -> Vec<Fill> {
    let facts = set.in_order().into_iter().rev();
    let wanted = facts
        .filter(|fact| !job.withdrawn.contains(&fact.id) && (kind.is_empty() || fact.body.kind() == kind));
    let fill = |fact: &std::sync::Arc<crate::facts::Fact>| {
        let head = &fact.head;
        let words =
            format!("{} {} by {} ({})", fact.body.kind(), head.recorded.short(), head.who, fact.id.short());
        let values: Value = json!({ "drop": fact.id.hex() });
        Fill { words, values }
    };
    wanted.map(fill).collect()
}
