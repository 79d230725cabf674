//! The sections of a bench form: one for each kind a person at the bench drops, in the order of a job's life.

use crate::facts::schema_text;
use crate::pages::JobView;
use crate::pages::bench_form::fields::{Fields, any_of, hint, most_one_of};
use crate::pages::bench_form::knows::Knows;
use crate::pages::bench_form::offers::{ASIDE, OF_SHOP};
use crate::pages::bench_form::places::places;
use crate::pages::bolt_drawing::{self, Drawing, still_tight};
use crate::pages::sections::care_beside;
use crate::pages::sections::stages_words;
use crate::sheets::{Fasteners, fold_name};
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
    ("assembly", "Checks, and going together: fitted, torque"),
    ("decision", "Decisions"),
    ("account", "Estimate, hours and money"),
    ("sign-off", "Sign"),
    ("gauge", "Gauges: zero check, calibration, found bad"),
    ("withdrawal", "Withdraw an earlier drop"),
];

/// Kinds about something that has a label on it.
const HAS_LABELS: [&str; 2] = ["part", "hardware"];

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
                @if let Some(view) = view { (care_beside(view, kind, &knows.steps)) }
                div data-holder="yes" data-body="yes" data-any-of=[any_of(kind)]
                    data-most-one-of=[most_one_of(kind)] {
                    (knows.fill(kind, ""))
                    @if view.is_some() && HAS_LABELS.contains(&kind) { (label_field()) }
                    @match (kind, view) {
                        ("measurements", Some(view)) => (readings(&fields, schema, view)),
                        ("finding", _) => {
                            (looked_at(knows))
                            (fields.object("", schema, &["embedded"]))
                            (embedded())
                        }
                        ("part", _) => {
                            @if !knows.still_on.is_empty() { p { "Not off yet: " (knows.still_on) "." } }
                            (drawn("Loosening order", view.map_or_else(Vec::new, loosening)))
                            (fields.object("", schema, &["position"]))
                        }
                        ("assembly", _) => {
                            (drawn("Tightening order", view.map_or_else(Vec::new, tightening)))
                            (fields.object("", schema, &[]))
                        }
                        _ => (fields.object("", schema, &[])),
                    }
                }
                label.field data-when="yes" {
                    span { "done at" }
                    input type="datetime-local";
                    small { "left empty: now; write it where it is typed later than it was done, from paper for instance" }
                    em.bad {}
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

/// A label instead of choosing: scanned, typed, or read from a picture where the browser can.
fn label_field() -> Markup {
    html! {
        label.field data-label="yes" {
            span { "label" }
            input type="text" maxlength="80" autocomplete="off" aria-label="label";
            small { "scan it or type its short text; what it is about is filled in below" }
            em.bad {}
        }
        label.field data-label-picture="yes" hidden="hidden" {
            span { "label in a picture" }
            input type="file" accept="image/*";
            small { "the code is read from it; the picture goes nowhere" }
            em.bad {}
        }
    }
}

fn readings(fields: &Fields<'_>, schema: &Value, view: &JobView) -> Markup {
    let readings = schema.pointer("/properties/readings").unwrap_or(&Value::Null);
    let aside: Vec<&str> = ASIDE.into_iter().chain(["readings", "corrects", "study"]).collect();
    html! {
        (fields.object("", schema, &aside))
        details.aside {
            summary { "Temperatures, bolts, torque plate, setting of a comparator, blades of a feeler" }
            (fields.object("", &only(schema, &ASIDE), &[]))
            label.field data-key="entry" data-shape="entry" {
                span { "typed are" }
                select {
                    option value="value" { "sizes" }
                    option value="deviation" { "deviations from the setting, with their sign" }
                    option value="blades" { "feeler blades: the one that goes in, the next that does not" }
                }
                small { "deviations of a gauge that was set to a size; of blades both in one place, 0.003 0.004" }
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

/// Orders of bolts, folded: they are looked at beside the work.
fn drawn(title: &str, drawings: Vec<Drawing>) -> Markup {
    html! { @if !drawings.is_empty() {
        details.aside { summary { (title) } @for drawing in drawings { (drawing.html()) } }
    } }
}

/// How joints that still hold something are let go.
fn loosening(view: &JobView) -> Vec<Drawing> {
    let Some(sheet) = view.job.sheet.as_deref() else { return Vec::new() };
    still_tight(view).into_iter().filter_map(|group| bolt_drawing::loosening(sheet, group)).collect()
}

/// How joints are tightened that are not done.
fn tightening(view: &JobView) -> Vec<Drawing> {
    let job = &view.job;
    let groups = job.sheet.as_deref().map_or(&[][..], |sheet| sheet.fasteners.as_slice());
    let joint = |group: &Fasteners| job.joints.get(&fold_name(&group.group));
    let open = groups.iter().filter(|group| {
        job.concerns(&group.scopes) && joint(group).is_none_or(|joint| !joint.missing(group).is_empty())
    });
    open.filter_map(|group| bolt_drawing::tightening(group, &stages_words(group), joint(group))).collect()
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

/// Pictures to choose, which the script makes small and puts into the drop.
fn embedded() -> Markup {
    html! {
        fieldset data-key="embedded" data-shape="embedded" {
            legend { "pictures" }
            p.quiet { "Made small here and kept in the drop; each is named in the finding that it shows." }
            label.field { "shows finding" select {} }
            input type="file" accept="image/*" multiple="multiple" aria-label="pictures";
            ul {}
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
