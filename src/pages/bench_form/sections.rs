//! The sections of a bench form: one for each kind a person at the bench drops, in the order of a job's life.

use crate::facts::schema_text;
use crate::pages::JobView;
use crate::pages::bench_form::fields::{Fields, any_of, hint, most_one_of};
use crate::pages::bench_form::knows::Knows;
use crate::pages::bench_form::offers::{ASIDE, OF_SHOP};
use crate::pages::bench_form::places::places;
use maud::{Markup, html};
use serde_json::{Map, Value, json};
use std::sync::OnceLock;

/// Kinds of an engine that is checked in, with their headings.
pub(super) const AT_WORK: [(&str, &str); 13] = [
    ("measurements", "Readings"),
    ("finding", "What was seen, tests, problems"),
    ("part", "Parts: off, moved, cleaned"),
    ("hardware", "Bags: bolts, plugs and pins counted"),
    ("operation", "Work done in the house"),
    ("work-order", "Work order, out and back"),
    ("supply", "Parts to buy"),
    ("assembly", "Going together: fitted, torque, checks"),
    ("decision", "Decisions"),
    ("account", "Estimate, hours and money"),
    ("sign-off", "Sign"),
    ("gauge", "Gauges: zero check, calibration, found bad"),
    ("withdrawal", "Withdraw an earlier drop"),
];

/// The heading a kind stands under on the bench form.
pub(in crate::pages) fn heading(kind: &str) -> Option<&'static str> {
    AT_WORK.iter().find(|(key, _)| *key == kind).map(|(_, heading)| *heading)
}

/// One section with its own save button: one section saved is one drop.
pub(super) fn section(kind: &str, heading: &str, knows: &Knows, view: Option<&JobView>) -> Markup {
    let fields = Fields { kind, knows };
    html! { @if let Some(schema) = body(kind) {
        details.section id=(kind) {
            summary { h2 { (heading) } }
            form data-kind=(kind) data-shop=[OF_SHOP.contains(&kind).then_some("yes")] autocomplete="off" novalidate="novalidate" {
                p.quiet { (hint(schema)) }
                div data-holder="yes" data-body="yes" data-any-of=[any_of(kind)]
                    data-most-one-of=[most_one_of(kind)] {
                    (knows.fill(kind, ""))
                    @match (kind, view) {
                        ("measurements", Some(view)) => (readings(&fields, schema, view)),
                        ("finding", _) => { (looked_at(knows)) (fields.object("", schema, &[])) }
                        ("part", _) => {
                            @if !knows.still_on.is_empty() { p { "Not off yet: " (knows.still_on) "." } }
                            (fields.object("", schema, &["position"]))
                        }
                        _ => (fields.object("", schema, &[])),
                    }
                }
                p { em.bad data-whole="yes" {} }
                p.buttons {
                    button type="button" data-finish="save" { "Save" }
                    button type="button" data-finish="copy" { "Copy as text" }
                }
            }
        }
    } }
}

fn readings(fields: &Fields<'_>, schema: &Value, view: &JobView) -> Markup {
    let readings = schema.pointer("/properties/readings").unwrap_or(&Value::Null);
    let aside: Vec<&str> = ASIDE.into_iter().chain(["readings", "corrects", "study"]).collect();
    html! {
        (fields.object("", schema, &aside))
        details.aside {
            summary { "Temperatures, bolts, torque plate, setting of a comparator" }
            (fields.object("", &only(schema, &ASIDE), &[]))
            label.field data-key="entry" data-shape="entry" {
                span { "typed are" }
                select {
                    option value="value" { "sizes" }
                    option value="deviation" { "deviations from the setting, with their sign" }
                }
                small { "of a gauge that was set to a size and shows the difference" }
                em.bad {}
            }
        }
        (places(view, readings))
        details.aside {
            summary { "These readings correct an earlier drop" }
            (fields.object("", &only(schema, &["corrects"]), &[]))
        }
    }
}

/// The schema with some of its properties alone, none of them needed.
fn only(schema: &Value, keys: &[&str]) -> Value {
    let of = |key: &&str| Some(((*key).to_owned(), schema.pointer(&format!("/properties/{key}"))?.clone()));
    json!({ "properties": keys.iter().filter_map(of).collect::<Map<String, Value>>() })
}

/// Parts to tick that were looked at and are good.
fn looked_at(knows: &Knows) -> Markup {
    html! {
        fieldset.ticks data-key="findings" data-shape="looked" {
            legend { "looked at, nothing found" }
            div.boxes { @for part in knows.list("looked") {
                label { input type="checkbox" value=(part.value); (part.words) }
            } }
            small { "every position of it; a defect is written below instead" }
            em.bad {}
        }
    }
}

/// The schema of a kind's body.
pub(super) fn body(kind: &str) -> Option<&'static Value> {
    static BODIES: OnceLock<Vec<(&'static str, Value)>> = OnceLock::new();
    let bodies = BODIES.get_or_init(|| {
        let read = |kind: &'static str| {
            let schema: Value = serde_json::from_str(schema_text(kind)?).ok()?;
            schema.pointer("/properties/body").cloned().map(|body| (kind, body))
        };
        AT_WORK.iter().map(|(kind, _)| *kind).chain(["check-in"]).filter_map(read).collect()
    });
    bodies.iter().find(|(known, _)| *known == kind).map(|(_, body)| body)
}
