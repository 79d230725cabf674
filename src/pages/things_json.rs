//! Parts, findings, bags, orders, joints and money of a job for programs.

use crate::facts::{Money, SizeWord};
use crate::metrology::Unit;
use crate::pages::JobView;
use crate::pages::sections::usual_of;
use crate::sheets::Fasteners;
use crate::shop::{Bag, Books, FindingNow, Job, Joint, Order, Problem, Said};
use serde_json::{Map, Value, json};

/// Everything about the job that is no reading and no verdict, as members of its object.
pub(super) fn things(view: &JobView, unit: Unit) -> Map<String, Value> {
    let job = &view.job;
    let value = json!({
        "parts": parts(job, unit),
        "findings": job.findings.iter().map(|f| finding(job, f)).collect::<Vec<_>>(),
        "pictures": job.pictures.iter().map(|now| json!({
            "name": now.picture.name, "hash": now.picture.hash.hex(), "kind": now.picture.media.word(),
            "width": now.picture.width, "height": now.picture.height, "bytes": now.picture.bytes, "said": said(&now.said),
        })).collect::<Vec<_>>(),
        "problems": job.problems.iter().map(problem).collect::<Vec<_>>(),
        "bags": job.bags.values().map(|bag| bag_json(job, bag)).collect::<Vec<_>>(),
        "orders": job.orders.values().map(|order| order_json(view, order, unit)).collect::<Vec<_>>(),
        "joints": job.joints.values().map(joint).collect::<Vec<_>>(),
        "bolt-orders": bolt_orders(job),
        "checks": checks(job),
        "money": money(&job.books, unit),
        "dispositions": job.disposed.iter().map(|d| json!({
            "about": d.about, "what": d.what.word(), "why": d.why, "by": d.by, "said": said(&d.said), "evidence": d.evidence,
        })).collect::<Vec<_>>(),
        "authority": job.authority.as_ref().map(|(by, a)| json!({
            "granted": a.granted, "by": a.by, "how": a.how.word(), "price": a.price.map(show), "if-declined": a.if_declined,
            "said": said(by),
        })),
    });
    match value {
        Value::Object(members) => members,
        Value::Null | Value::Bool(_) | Value::Number(_) | Value::String(_) | Value::Array(_) => Map::new(),
    }
}

fn said(said: &Said) -> Value {
    json!({ "who": said.who, "at": said.written, "drop": said.fact.hex() })
}

fn show(amount: Money) -> String {
    amount.to_string()
}

fn size(size: Option<SizeWord>, unit: Unit) -> Option<String> {
    size.map(|size| size.show(unit))
}

/// Parts of which something is known.
fn parts(job: &Job, unit: Unit) -> Vec<Value> {
    let known = job.parts.iter().filter(|(_, life)| life.is_known());
    known
        .map(|(place, life)| {
            json!({
                "part": job.parts_name(&[*place]), "instance": life.instance, "where": life.where_words(),
                "off": life.off.as_ref().map(said), "missing": life.missing.as_ref().map(said),
                "in-bath": life.in_bath.as_ref().map(|(by, bath)| json!({ "bath": bath, "said": said(by) })),
                "unplaced": life.nobody_knows_where().map(said),
                "cleaned": life.cleaned.as_ref().map(|(by, how)| json!({ "how": how, "said": said(by) })),
                "scrapped": life.scrapped.as_ref().map(said), "looked": life.looked.as_ref().map(said),
                "fitted": life.fitted.as_ref().map(|f| json!({
                    "state": f.state.map(|s| match s { crate::facts::PartState::New => "new", crate::facts::PartState::Used => "used" }),
                    "size": size(f.size, unit), "way-round": f.way_round, "said": said(&f.said),
                })),
                "way-round": life.way_round, "marks": life.marks,
                "stamps": life.stamps.iter().map(|(group, s)| json!({ "group": group, "size": s.show(unit) })).collect::<Vec<_>>(),
                "worked": life.worked.iter().map(|w| json!({ "operation": w.operation, "said": said(&w.said) })).collect::<Vec<_>>(),
                "tests": life.tests.iter().map(|t| json!({
                    "test": t.kind.word(), "result": t.result.word(), "how": t.how, "said": said(&t.said),
                })).collect::<Vec<_>>(),
            })
        })
        .collect()
}

fn finding(job: &Job, finding: &FindingNow) -> Value {
    json!({
        "about": finding.about, "where": finding.r#where, "defect": finding.defect.word(), "severity": finding.severity,
        "note": finding.note, "pictures": finding.pictures, "suggested": finding.suggested.map(|d| d.word()),
        "usual": usual_of(job, finding).map(|usual| json!({ "what": usual.what.word(), "how": usual.how })),
        "stands": finding.stands, "item": finding.item, "said": said(&finding.said),
    })
}

fn problem(problem: &Problem) -> Value {
    json!({
        "about": problem.about, "what": problem.what, "item": problem.item, "said": said(&problem.said),
        "tries": problem.tries.iter().map(|t| json!({ "what": t.what, "said": said(&t.said) })).collect::<Vec<_>>(),
        "waits-on": problem.waits_on,
        "closed": problem.closed.as_ref().map(|(by, how)| json!({ "how": how, "said": said(by) })),
    })
}

fn bag_json(job: &Job, bag: &Bag) -> Value {
    let sizes: Vec<String> = job.sheet.as_ref().map_or_else(Vec::new, |sheet| {
        let bolts =
            sheet.fasteners(&bag.group).map(|f| f.counted().map(|(s, _)| s.to_owned()).collect::<Vec<_>>());
        let plugs =
            sheet.plugs(&bag.group).map(|p| p.sizes.iter().map(|s| s.size.clone()).collect::<Vec<_>>());
        bolts.or(plugs).unwrap_or_default()
    });
    let counts = bag.counts.iter().map(|((index, state), count)| {
        json!({
            "size": sizes.get(*index), "state": state.word(), "count": count.count, "why": count.why,
            "label": count.label, "place": count.place,
            "thread": count.thread, "grade": count.grade, "trouble": count.trouble.map(|(what, _)| what.word()),
            "troubled": count.trouble.map(|(_, many)| many), "said": said(&count.said),
        })
    });
    json!({
        "group": bag.group, "label": bag.label, "place": bag.place, "thread": bag.thread, "grade": bag.grade,
        "counts": counts.collect::<Vec<_>>(),
    })
}

fn order_json(view: &JobView, order: &Order, unit: Unit) -> Value {
    json!({
        "order": order.number, "to": order.out.to, "operation": order.out.operation, "due": order.out.due.to_string(),
        "were-due": order.were_due.iter().map(ToString::to_string).collect::<Vec<_>>(),
        "size": size(order.out.finished, unit), "out": order.is_out(),
        "held": view.standing.holds(order), "rest": order.rest_out(), "said": said(&order.said),
        "price": order.out.price.map(show),
        "parts": order.out.parts.iter().map(|p| json!({ "part": p.part, "count": p.count })).collect::<Vec<_>>(),
        "backs": order.backs.iter().map(|back| json!({
            "result": back.back.result.word(), "size": size(back.back.finished, unit), "note": back.back.note,
            "parts": back.back.parts.iter().map(|p| json!({ "part": p.part, "count": p.count })).collect::<Vec<_>>(),
            "said": said(&back.said),
        })).collect::<Vec<_>>(),
    })
}

fn joint(joint: &Joint) -> Value {
    let entries = joint.entries.iter().map(|entry| {
        json!({
            "places": entry.places, "stages": entry.stages, "lubricant": entry.lubricant, "wrench": entry.wrench,
            "wrench-faults": entry.wrench_now.faults(None),
            "new-bolts": entry.bolts == crate::facts::PartState::New, "final": entry.final_reading,
            "slackened": entry.slackened, "said": said(&entry.said),
        })
    });
    json!({ "group": joint.group, "entries": entries.collect::<Vec<_>>() })
}

/// The order of each joint in scope that has one; `own` is false of a general one.
fn bolt_orders(job: &Job) -> Vec<Value> {
    let groups = job.sheet.as_deref().map_or(&[][..], |sheet| sheet.fasteners.as_slice());
    let ordered = groups.iter().filter(|group| job.concerns(&group.scopes) && group.has_order());
    let order = |group: &Fasteners| {
        let (tighten, loosen) = (group.tightening(), group.loosening());
        json!({
            "group": group.group, "own": tighten.own, "tighten": tighten.places, "tighten-words": tighten.words,
            "loosen": loosen.places, "loosen-words": loosen.words,
        })
    };
    ordered.map(order).collect()
}

fn checks(job: &Job) -> Vec<Value> {
    let answers =
        job.checks.iter().flat_map(|(check, answers)| answers.iter().map(move |answer| (check, answer)));
    answers
        .map(|(check, a)| {
            let reads = job.sheet.as_deref().and_then(|sheet| sheet.check(check)?.reads.as_ref());
            json!({
                "check": check, "result": a.result.word(), "value": a.value, "why": a.why, "said": said(&a.said),
                "asked": reads.map(crate::sheets::Reads::words),
            })
        })
        .collect()
}

fn money(books: &Books, unit: Unit) -> Value {
    json!({
        "estimates": books.estimates.iter().map(|e| json!({
            "lines": e.estimate.lines.iter().map(|l| json!({ "what": l.what, "amount": show(l.amount) })).collect::<Vec<_>>(),
            "not-to-exceed": show(e.estimate.not_to_exceed), "expires": e.estimate.expires.to_string(),
            "option": e.estimate.option, "said": said(&e.said),
        })).collect::<Vec<_>>(),
        "approvals": books.approvals.iter().map(|a| json!({
            "granted": a.approval.granted, "by": a.approval.by, "how": a.approval.how.word(), "amount": a.amount.map(show),
            "estimate": a.estimate.map(|e| e.hex()), "why": a.approval.why, "evidence": a.approval.evidence, "said": said(&a.said),
        })).collect::<Vec<_>>(),
        "hours": books.hours.iter().map(|(by, hundredths, what)| json!({
            "hundredths": hundredths, "what": what, "said": said(by),
        })).collect::<Vec<_>>(),
        "received": show(books.received()),
        "price": books.price.as_ref().map(|(by, amount)| json!({ "amount": show(amount.amount), "said": said(by) })),
        "supplies": books.supplies.iter().map(|s| json!({
            "item": s.supply.item, "size": size(s.supply.size, unit), "count": s.supply.count, "state": s.supply.state.word(),
            "supplier": s.supply.supplier, "due": s.supply.due.map(|d| d.to_string()), "stamped": size(s.supply.stamped, unit),
            "why": s.supply.why, "said": said(&s.said),
        })).collect::<Vec<_>>(),
    })
}
