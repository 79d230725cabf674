//! One job for programs, and the canonical dump.
//!
//! The shape is documented in DEVELOPERS.md. Lengths are decimal strings in the sheet's unit; the exact
//! fraction stands beside them where they are rounded for show. Lists are in the sheet's order or sorted.

use crate::facts::show_step;
use crate::judgement::{Doubt, Fallback, GaugeUsed, Judged, Lines, Question, Verdict, words};
use crate::metrology::budget::digits;
use crate::metrology::{Exact, Unit};
use crate::pages::drawings::days_json;
use crate::pages::fitting_json::fitting_json;
use crate::pages::labels::labels_json;
use crate::pages::sections::care_json;
use crate::pages::signing::{signable_json, statements_json, waivers_json};
use crate::pages::things_json::things;
use crate::pages::{Issued, JobView};
use crate::planning::GroupPlan;
use crate::shop::{GaugeFlag, Held, Job, RULE_SET};
use serde_json::{Value, json};

/// Everything that is known of a job, and the papers that were issued of it.
#[must_use]
pub fn job_json(view: &JobView) -> Value {
    let mut whole = state_json(view);
    if let Some(members) = whole.as_object_mut() {
        members
            .insert("issued".to_owned(), view.issued.iter().map(|paper| issued_json(view, paper)).collect());
    }
    whole
}

fn issued_json(view: &JobView, paper: &Issued) -> Value {
    json!({
        "paper": paper.paper.word(), "version": paper.version, "known-up-to": paper.known_at(),
        "rule-set": paper.rule_set, "signature": paper.signature.hex(), "sha256": paper.hash.hex(),
        "file": format!("board/issued/{}/{}", view.job.key.slug(), paper.file()),
    })
}

/// Everything that follows from the statements alone.
fn state_json(view: &JobView) -> Value {
    let job = &view.job;
    let unit = job.sheet.as_ref().map_or(Unit::Inch, |sheet| sheet.unit);
    let mut whole = json!({
        "rule-set": RULE_SET,
        "job": job.key.to_string(),
        "written": job.written,
        "stage": view.standing.words(),
        "sheet": job.sheet.as_ref().map(|s| json!({"sheet": s.key, "revision": s.revision, "name": s.name, "unit": s.unit.symbol()})),
        "house-rules": job.rules.as_ref().map(|rules| rules.revision),
        "check-in": job.check_in.as_ref().map(|c| json!({
            "customer": c.customer.name, "serial": c.engine.serial, "castings": c.engine.castings, "scope": c.scope,
            "complaint": c.complaint, "approver": c.approver, "promised": c.promised, "at": job.checked_in,
            "missing": c.missing, "hours": c.hours, "turns": c.turns, "place": c.place,
        })),
        "blockers": view.standing.blockers.iter().map(|b| json!({
            "gate": b.stage.word(), "rule": b.rule.word(), "actor": b.actor.word(), "about": b.about, "what": b.what,
        })).collect::<Vec<_>>(),
        "verdicts": view.judgement.verdicts.iter().map(|v| verdict(v, unit, job)).collect::<Vec<_>>(),
        "questions": view.judgement.questions.iter().map(question).collect::<Vec<_>>(),
        "doubts": view.judgement.doubts.iter().map(|d| doubt(job, d)).collect::<Vec<_>>(),
        "proposals": view.plans.iter().map(|p| proposal(p, unit)).collect::<Vec<_>>(),
        "fitting": fitting_json(view, unit),
        "surfaces": surfaces(view, unit),
        "signed": job.signed.iter().map(|(step, s)| json!({
            "step": step.word(), "name": s.name, "at": s.written, "drop": s.fact.hex(), "evidence": s.evidence,
        })).collect::<Vec<_>>(),
        "accepted": job.accepted.iter().map(|a| json!({
            "what": a.name, "position": a.position + 1, "characteristic": a.characteristic.map(|c| c.word()),
            "by": a.by, "why": a.why, "drop": a.fact.hex(),
        })).collect::<Vec<_>>(),
        "statements": statements_json(view),
        "waivers": waivers_json(view),
        "signable": signable_json(view),
        "cautions": care_json(view),
        "labels": labels_json(view),
        "days": days_json(view),
        "held": job.held.iter().map(held).collect::<Vec<_>>(),
        "withdrawn": job.withdrawn.iter().map(|id| id.hex()).collect::<Vec<_>>(),
        "facts": job.facts,
    });
    if let Some(members) = whole.as_object_mut() {
        members.append(&mut things(view, unit));
    }
    whole
}

/// The canonical dump: a text that is equal, byte for byte, for equal sets of statements. No clock, no
/// arrivals, no letters (promise 3).
#[must_use]
pub fn canonical_dump(view: &JobView) -> String {
    // serde_json keeps object keys sorted, and every list above has its own fixed order.
    let mut dump = format!("{:#}\n", state_json(view));
    for verdict in &view.judgement.verdicts {
        let evidence = verdict.evidence().map_or_else(String::new, |evidence| evidence.hex());
        dump.push_str(&format!("{} {evidence}\n", verdict.told_key()));
    }
    dump
}

fn verdict(verdict: &Verdict, unit: Unit, job: &Job) -> Value {
    let state = match (&verdict.judged, verdict.is_incomplete()) {
        (None, _) | (Some(_), true) => "incomplete",
        (Some(judged), false) => judged.state(),
    };
    let mut value = json!({
        "feature": verdict.feature, "name": verdict.name, "row": verdict.key.row,
        "characteristic": verdict.key.characteristic.word(), "instance": verdict.key.instance,
        "condition": verdict.key.condition.word(),
        "basis": verdict.key.basis.map_or_else(|| "standard".to_owned(), |size| size.show(unit)),
        "stands": verdict.stands, "asked": verdict.asked, "missing": verdict.missing, "state": state,
    });
    let judged = verdict.judged.as_ref().map(|judged| judged_json(judged, verdict.unit, job));
    if let (Some(Value::Object(more)), Some(object)) = (judged, value.as_object_mut()) {
        object.extend(more);
        object.insert(
            "fallback".to_owned(),
            verdict.fallback.as_ref().map_or(Value::Null, |f| fallback(f, verdict.unit)),
        );
        object.insert("gauges".to_owned(), verdict.gauges.iter().map(gauge).collect());
    }
    value
}

/// What the general wear rules would allow; nobody's limit.
fn fallback(fallback: &Fallback, unit: Unit) -> Value {
    json!({
        "label": "no engine data: generic wear rule", "bound": fallback.bound.show(unit), "past": fallback.past,
        "side": if fallback.side == crate::sheets::Side::Below { "min" } else { "max" },
        "formula": fallback.formula, "source": fallback.source(), "words": fallback.words(unit),
    })
}

fn gauge(used: &GaugeUsed) -> Value {
    let flag = |flag: &GaugeFlag| json!({ "flag": flag.kind.key(), "words": flag.words });
    json!({
        "mark": used.state.mark, "state": used.state.word(), "certificate": used.state.certificate,
        "due": used.state.due, "flags": used.flags().map(flag).collect::<Vec<_>>(),
    })
}

fn doubt(job: &Job, doubt: &Doubt) -> Value {
    json!({
        "name": job.surface_name(doubt.surface), "condition": doubt.set.condition.word(),
        "instance": doubt.set.instance, "gauge": doubt.gauge.mark, "why": doubt.why(),
        "flags": doubt.flags.iter().map(|flag| flag.kind.key()).collect::<Vec<_>>(),
        "readings": doubt.readings, "drop": doubt.fact.hex(), "stands": doubt.stands,
    })
}

fn judged_json(judged: &Judged, unit: Unit, job: &Job) -> Value {
    let show = |value: Exact| Value::String(value.show(unit));
    let bound = |value: Option<Exact>| value.map_or(Value::Null, show);
    json!({
        "value": judged.value.show(unit), "value-exact": judged.value.canonical(), "other-end": bound(judged.other),
        "unit": unit.symbol(),
        "band": judged.deciding.map(|_| judged.band.word()),
        "side": match judged.band {
            crate::judgement::Band::Beyond(crate::sheets::Side::Below) => Value::from("below"),
            crate::judgement::Band::Beyond(crate::sheets::Side::Above) => Value::from("above"),
            crate::judgement::Band::New | crate::judgement::Band::Serviceable => Value::Null,
        },
        "judged-state": judged.state(),
        "limit": judged.deciding.map(|d| json!({
            "column": d.column.word(), "min": bound(d.limits.min), "max": bound(d.limits.max),
            "proof-min": bound(d.proof.min), "proof-max": bound(d.proof.max),
            "new-min": bound(d.new.and_then(|n| n.min)), "new-max": bound(d.new.and_then(|n| n.max)),
            "words": judged.limit_words(unit),
        })),
        "margin": judged.margin_words(unit),
        // Six places: the error bound of the integration.
        "probability": judged.probability.map(|p| format!("{p:.6}")),
        "uncertainty": judged.uncertainty_words(unit),
        "budget": judged.budget(Some(job)).map(|budget| budget_json(&budget, unit)),
        "places": judged.places.iter().map(|p| json!({"place": p.name, "value": p.value.show(unit)})).collect::<Vec<_>>(),
        "readings": judged.readings.iter().map(|r| json!({"drop": r.fact.hex(), "row": r.row + 1})).collect::<Vec<_>>(),
        "corrected": judged.corrected, "rule": judged.rule, "source": judged.source,
        "notes": judged.notes.iter().map(|n| n.words(unit)).collect::<Vec<_>>(),
    })
}

/// Uncertainties with three significant digits, in the verdict's unit; freedom `null` where it is taken as known.
fn budget_json(budget: &Lines, unit: Unit) -> Value {
    let shown = |value: f64| digits(value / unit.scale());
    let freedom = |freedom: f64| freedom.is_finite().then(|| format!("{freedom:.1}"));
    let lines = budget.lines.iter().map(|line| {
        json!({
            "what": line.what, "u": shown(line.u), "shared": line.shared, "enters": line.enters,
            "effect": shown(line.effect), "freedom": freedom(line.freedom),
            "from": line.from.iter().map(|source| json!({
                "words": source.words, "drop": source.drop.map(|drop| drop.hex()),
            })).collect::<Vec<_>>(),
        })
    });
    json!({
        "lines": lines.collect::<Vec<_>>(), "u": shown(budget.u), "freedom": freedom(budget.freedom),
        "expanded": shown(2.0 * budget.u),
    })
}

fn question(question: &Question) -> Value {
    json!({
        "name": question.name, "instance": question.set.instance, "condition": question.set.condition.word(),
        "digits": question.digits, "who": question.who, "why": question.why.to_string(), "stands": question.stands,
        "was": question.was,
        "drop": question.reading.fact.hex(), "row": question.reading.row + 1,
    })
}

fn proposal(plan: &GroupPlan, unit: Unit) -> Value {
    let size = |size: Option<crate::facts::SizeWord>| size.map(|size| size.show(unit));
    json!({
        "group": plan.group, "size": size(plan.step), "optimistic": size(plan.optimistic), "because": plan.because,
        "unmeasured": plan.unmeasured,
        "needs": plan.needs.iter().map(|n| json!({
            "name": n.name, "unworn": n.original.show(unit), "unworn-read": n.original_read,
            "safe": n.clean_up.safe.show(unit), "optimistic": n.clean_up.optimistic.show(unit),
            "safe-step": n.safe_step.map(|s| show_step(s, unit)), "optimistic-step": n.optimistic_step.map(|s| show_step(s, unit)),
        })).collect::<Vec<_>>(),
    })
}

/// Surfaces with a history: readings, work, a size other than standard, a replaced part.
fn surfaces(view: &JobView, unit: Unit) -> Vec<Value> {
    let job = &view.job;
    let known = job.surfaces.iter().filter(|(key, surface)| {
        !surface.sets.is_empty()
            || !surface.done.is_empty()
            || surface.instance > 1
            || surface.basis.is_some()
            || job.agreed.contains_key(key)
    });
    known
        .map(|(key, surface)| {
            let sets: Vec<Value> = surface
                .sets
                .iter()
                .map(|(set_key, set)| {
                    let readings = set.readings.iter().flat_map(|(place, readings)| {
                        let name = job.feature(*key).map_or_else(String::new, |feature| place.name(feature));
                        readings.iter().map(move |r| json!({
                            "place": name, "digits": r.digits, "unit": r.unit.symbol(), "value": words::length(r.value, unit),
                            "gauge": r.gauge.as_ref().map(|g| g.mark.clone()), "who": r.who.as_ref(), "at": r.recorded.to_string(),
                            "confirmed": r.confirmed.is_some(), "correction": r.is_correction, "drop": r.fact.hex(), "row": r.row + 1,
                        }))
                    });
                    json!({
                        "instance": set_key.instance, "condition": set_key.condition.word(),
                        "basis": set.basis.map_or_else(|| "standard".to_owned(), |size| size.show(unit)),
                        "readings": readings.collect::<Vec<_>>(),
                    })
                })
                .collect();
            json!({
                "name": job.surface_name(*key), "instance": surface.instance,
                "basis": surface.basis.map_or_else(|| "standard".to_owned(), |size| size.show(unit)),
                "agreed": job.agreed.get(key).map(|a| json!({
                    "operation": a.operation, "size": a.finished.map(|s| s.show(unit)), "by": a.by, "drop": a.fact.hex(),
                    "open-again": !view.standing.is_agreed(job, *key),
                })),
                "done": surface.done.iter().map(|d| json!({
                    "operation": d.operation, "size": d.finished.map(|s| s.show(unit)), "by": d.who, "at": d.recorded,
                    "instance": d.instance, "drop": d.fact.hex(),
                })).collect::<Vec<_>>(),
                "sets": sets,
            })
        })
        .collect()
}

fn held(held: &Held) -> Value {
    json!({ "drop": held.fact.hex(), "kind": held.kind, "part": held.part, "why": held.why.to_string() })
}
