//! What was signed and set aside, with what became of it, and the codes to quote by who signs next.

use crate::facts::Checked;
use crate::judgement::Confirmation;
use crate::pages::JobView;
use crate::stages::{Quote, Signable, WaiverNow, signables};
use serde_json::{Value, json};

/// Everything of a job that can be signed, with the code to quote: what the job page shows and the bench form fills in.
#[must_use]
pub fn to_sign(view: &JobView) -> &[Signable] {
    view.signable.get_or_init(|| signables(&view.job, &view.judgement, &view.standing))
}

/// What a drop says to be about this thing: the key of its decision or its kind, with what stands below it.
pub(super) fn quote_as(quote: &Quote) -> (&'static str, Value) {
    match quote {
        Quote::SignOff(step) => ("sign-off", json!({"step": step.word()})),
        Quote::Waiver { gate, rule, about } => {
            ("waiver", json!({"gate": gate, "rule": rule, "about": about}))
        }
        Quote::Approval { estimate } => ("approval", json!({"estimate": estimate.hex()})),
        Quote::Accept { feature, position, characteristic } => {
            ("accept", json!({"feature": feature, "positions": [position], "characteristic": characteristic}))
        }
        Quote::Confirm { drop, feature, position, station, direction } => {
            let place = json!({
                "drop": drop.hex(), "feature": feature, "position": position, "station": station, "direction": direction,
            });
            ("confirm-reading", place)
        }
    }
}

pub(super) fn signable_json(view: &JobView) -> Vec<Value> {
    let line = |signable: &Signable| {
        let (key, says) = quote_as(&signable.quote);
        json!({"what": signable.what, "code": signable.code.to_string(), "quote-as": {key: says}})
    };
    to_sign(view).iter().map(line).collect()
}

pub(super) fn statements_json(view: &JobView) -> Vec<Value> {
    let statements = view.standing.statements.iter().map(|s| {
        json!({"what": s.what, "by": s.by, "at": s.written, "drop": s.fact.hex(), "stands": s.stands(), "words": s.words(),
            "checked": s.checked.as_ref().map(checked)})
    });
    let confirmed = |c: &Confirmation| {
        json!({"what": format!("{} {} confirmed", c.name, c.digits), "by": c.said.who, "at": c.said.written,
            "drop": c.said.fact.hex(), "stands": c.checked.stands(), "words": c.checked.words(),
            "checked": checked(&c.checked)})
    };
    statements.chain(view.judgement.confirmations.iter().map(confirmed)).collect()
}

pub(super) fn waivers_json(view: &JobView) -> Vec<Value> {
    let waiver = |now: &WaiverNow| {
        let w = &now.waiver;
        json!({
            "gate": w.gate, "rule": w.rule, "about": w.about, "why": w.why, "by": w.by, "evidence": w.evidence,
            "said": {"who": now.said.who, "at": now.said.written, "drop": now.said.fact.hex()},
            "state": now.state.word(), "words": now.words(), "checked": checked(&now.checked),
            "blockers": now.blockers.iter().map(|b| json!({"about": b.about, "what": b.what})).collect::<Vec<_>>(),
        })
    };
    view.standing.waived.iter().map(waiver).collect()
}

fn checked(checked: &Checked) -> Value {
    json!({"quoted": checked.quoted, "now": checked.now.to_string(), "evidence": match checked.evidence {
        crate::facts::Evidence::Same => "same",
        crate::facts::Evidence::OtherOutcome => "other outcome",
        crate::facts::Evidence::OtherFacts => "other facts",
        crate::facts::Evidence::Other => "other",
    }})
}
