//! The plan for programs, with reasons for every line, and the drops that would agree to it.

use crate::facts::Money;
use crate::pages::JobView;
use crate::pages::plan::{LETTERS, clearance, every_line, lines, reasons, size_words, versions};
use crate::pages::sections::{care_of_plans_json, unit_of};
use crate::planning::effects::Effect;
use crate::planning::{Alternative, Deed, Need, PlanLine};
use serde_json::{Value, json};

/// The whole plan; the shape is in DEVELOPERS.md.
#[must_use]
pub fn plan_json(view: &JobView) -> Value {
    let unit = unit_of(&view.job);
    let proposal = view.proposal();
    let alternatives = proposal.map_or(&[][..], |proposal| proposal.alternatives.as_slice());
    let alternatives: Vec<Value> = alternatives
        .iter()
        .zip(LETTERS)
        .map(|(alternative, letter)| one(view, alternative, letter))
        .collect();
    let wishes = proposal.map_or(&[][..], |proposal| proposal.wishes.as_slice());
    let wishes: Vec<Value> =
        wishes.iter().map(|w| json!({"what": w.what, "kept": w.kept, "words": w.words})).collect();
    let refused = proposal.map_or(&[][..], |proposal| proposal.refused.as_slice());
    let refused: Vec<Value> = refused
        .iter()
        .map(|refused| json!({"group": lines::group(view, refused), "size": refused.size.show(unit), "why": refused.why}))
        .collect();
    let needs = proposal.iter().flat_map(|proposal| proposal.needs.values());
    json!({
        "job": view.job.key.to_string(), "unit": unit.symbol(),
        "currency": view.prices.as_ref().map(|prices| prices.currency.clone()),
        "wishes": wishes, "alternatives": alternatives,
        "not-measured": proposal.map_or(&[][..], |proposal| proposal.open.as_slice()),
        "weighed": proposal.is_none_or(|proposal| proposal.weighed), "refused": refused, "agreed": versions::json(view),
        "cautions": care_of_plans_json(&view.job, proposal.iter().flat_map(|proposal| every_line(proposal))),
        "needs": needs.map(|need| need_json(view, need)).collect::<Vec<_>>(),
    })
}

fn one(view: &JobView, alternative: &Alternative, letter: &str) -> Value {
    let cost = &alternative.cost;
    let unit = unit_of(&view.job);
    json!({
        "plan": letter, "in-short": lines::in_short(view, alternative), "as-wished": alternative.wished, "keeps-standard-bore": alternative.keeps_bore,
        "serves": alternative.serves.iter().map(|aim| aim.word()).collect::<Vec<_>>(),
        "total": {
            "money": cost.money.to_string(), "unpriced": cost.unpriced, "days": cost.days, "undated": cost.undated,
            "metal": cost.metal.show(unit), "unsolved": cost.unsolved, "parts-given-up": cost.lost, "built-up": cost.patched,
        },
        "effects": alternative.effects.iter().map(effect_json).collect::<Vec<_>>(),
        "lines": alternative.lines.iter().map(|line| line_json(view, line)).collect::<Vec<_>>(),
        "drops": { "agreed-work": agreed(view, alternative, letter), "dispositions": dispositions(view, alternative),
            "estimate": estimate(view, alternative, letter) },
    })
}

fn line_json(view: &JobView, line: &PlanLine) -> Value {
    let unit = unit_of(&view.job);
    let mut what = match &line.deed {
        Deed::Keep(key) => json!({"does": "keep", "on": view.job.surface_name(*key),
            "why": ["nothing on it is beyond its limit"]}),
        Deed::Work { surface, operation, to, how } => {
            let same = lines::same_work_of(view, line);
            json!({"does": operation, "on": view.job.surface_name(*surface),
                "to": to.map(|size| size.show(unit)), "how": lines::how_word(how),
                "finish": same.as_ref().map(|same| lines::finish(same, unit)),
                "why": same.map_or_else(Vec::new, |same| reasons::of_work(view, &same))})
        }
        Deed::Once { feature, operation } => {
            let on = view.job.sheet.as_ref().and_then(|sheet| sheet.features.get(*feature));
            json!({"does": format!("{operation}, setting up"), "on": on.map(|feature| feature.key.clone()),
                "why": ["priced once, however many places"]})
        }
        Deed::Afterwards { part, operation } => {
            let why = reasons::of_afterwards(view, *part, operation);
            json!({"does": operation, "on": view.job.parts_name(&[*part]), "why": [why]})
        }
        Deed::Mend { part, operation } => {
            json!({"does": operation, "on": view.job.parts_name(&[*part]), "finish": reasons::MENDED,
                "why": reasons::of_mended(view, line, *part)})
        }
        Deed::Replace(place) => {
            json!({"does": "replace", "on": view.job.parts_name(&[*place]), "known": lines::known(line),
                "why": reasons::of_part(view, *place)})
        }
        Deed::Buy { item, size, count } => json!({"does": "buy", "on": item, "count": count,
            "size": size.map(|size| size.show(unit)), "known": lines::known(line), "why": [bought(size.is_some())]}),
        Deed::Hours { what, hundredths } => json!({"does": "hours", "on": what,
            "hours": format!("{}.{:02}", hundredths / 100, hundredths % 100), "why": ["the price list has them"]}),
        Deed::Nothing { about, why } => json!({"does": "nothing", "on": about, "why": [why]}),
    };
    if let Some(object) = what.as_object_mut() {
        object.insert("price".to_owned(), line.price.money.map(|money| money.to_string()).into());
        object.insert("days".to_owned(), line.price.days.into());
        let walls = line.walls.iter().map(|wall| {
            json!({"wall": wall.name, "left": wall.left.map(|left| left.show(unit)), "least": wall.least.show(unit)})
        });
        object.insert("clearance".to_owned(), clearance::foreseen(view, line).into());
        object.insert("walls".to_owned(), walls.collect::<Vec<_>>().into());
        let rests = reasons::readings(view, line);
        let rests: Vec<Value> =
            rests.iter().map(|r| json!({"drop": r.fact.hex(), "row": r.row + 1})).collect();
        object.insert("readings".to_owned(), rests.into());
    }
    what
}

/// A plan as a form can fill it in.
pub(in crate::pages) struct Offered {
    /// `A`.
    pub(in crate::pages) letter: &'static str,
    /// What is done, in a sentence.
    pub(in crate::pages) in_short: String,
    /// The body of the decision that agrees to its work, where there is any.
    pub(in crate::pages) agreed: Option<Value>,
    /// The body of the account that estimates it.
    pub(in crate::pages) estimate: Value,
}

/// Every plan that is open to be agreed on.
pub(in crate::pages) fn offered(view: &JobView) -> Vec<Offered> {
    let plans = view.proposal().map_or(&[][..], |proposal| proposal.alternatives.as_slice());
    let one = |(plan, letter): (&Alternative, &'static str)| Offered {
        letter,
        in_short: lines::in_short(view, plan),
        agreed: Some(agreed(view, plan, letter)).filter(|body| !body.is_null()),
        estimate: estimate(view, plan, letter),
    };
    plans.iter().zip(LETTERS).filter(|(plan, _)| plan.changes_anything()).map(one).collect()
}

fn effect_json(effect: &Effect) -> Value {
    json!({"what": effect.what.word(), "where": effect.position, "now": effect.now, "then": effect.then,
        "value": effect.value.map(|value| value.words()), "limit": effect.limit, "inside": effect.inside,
        "margin": effect.margin.map(|margin| margin.words()), "rule": effect.rule, "source": effect.source, "steps": effect.steps})
}

const fn bought(sized: bool) -> &'static str {
    if sized { "it comes in the size of its group" } else { "always renewed, or decided to be replaced" }
}

fn need_json(view: &JobView, need: &Need) -> Value {
    let unit = unit_of(&view.job);
    let step = |step: Option<crate::metrology::Exact>| step.map(|step| crate::facts::show_step(step, unit));
    json!({
        "surface": need.name, "size-now": size_words(need.in_hand, unit), "worst": need.worst.show(unit),
        "original": need.original.show(unit), "original-read": need.original_read, "questioned": need.questioned,
        "score": need.score.map(|depth| depth.show(unit)), "run-out": need.run_out.map(|tir| tir.show(unit)),
        "safe": need.clean_up.safe.show(unit), "optimistic": need.clean_up.optimistic.show(unit),
        "safe-uncertainty": need.expanded.map(|(safe, _)| lines::small(safe, unit)),
        "optimistic-uncertainty": need.expanded.map(|(_, optimistic)| lines::small(optimistic, unit)),
        "size": step(need.safe_step), "optimistic-size": step(need.optimistic_step),
        "readings": need.readings.iter().map(|r| json!({"drop": r.fact.hex(), "row": r.row + 1})).collect::<Vec<_>>(),
    })
}

/// The body of the decision that agrees to the work; null where there is none.
fn agreed(view: &JobView, alternative: &Alternative, letter: &str) -> Value {
    if !alternative.has_work() {
        return Value::Null;
    }
    let unit = unit_of(&view.job);
    let work: Vec<Value> = lines::same_deeds(view, alternative)
        .iter()
        .map(|work| {
            let mut piece = json!({"operation": work.operation, "feature": work.feature.key,
                "positions": work.positions().collect::<Vec<_>>()});
            if let (Some(size), Some(piece)) = (work.to, piece.as_object_mut()) {
                piece.insert("finished".to_owned(), size.show(unit).into());
            }
            piece
        })
        .collect();
    let evidence = lines::agreement_code(view, alternative).to_string();
    json!({"agreed-work": {"unit": unit.symbol(), "option": letter, "work": work, "evidence": evidence}})
}

/// The bodies of the decisions that give parts up for others, or have them mended. Why is the owner's to say.
fn dispositions(view: &JobView, alternative: &Alternative) -> Vec<Value> {
    let sheet = view.job.sheet.as_deref();
    let decided = alternative.lines.iter().filter_map(|line| {
        let ((kind, position), what) = match &line.deed {
            Deed::Replace(place) => (place, "replace"),
            Deed::Mend { part, .. } => (part, "repair"),
            Deed::Keep(_) | Deed::Work { .. } | Deed::Once { .. } | Deed::Afterwards { .. } => return None,
            Deed::Buy { .. } | Deed::Hours { .. } | Deed::Nothing { .. } => return None,
        };
        let part = sheet?.parts.get(*kind)?;
        let mut body = json!({"part": part.key, "what": what});
        if let (Some(position), Some(body)) = (part.positions.get(*position), body.as_object_mut()) {
            body.insert("positions".to_owned(), json!([position]));
        }
        Some(json!({"disposition": body}))
    });
    decided.collect()
}

/// The body of the account that estimates it. What it may cost at most is the owner's to say.
fn estimate(view: &JobView, alternative: &Alternative, letter: &str) -> Value {
    let sum = |of: &dyn Fn(&Deed) -> bool| -> Money {
        alternative.lines.iter().filter(|line| of(&line.deed)).filter_map(|line| line.price.money).sum()
    };
    let kinds: [(&str, Money); 3] = [
        ("labour", sum(&|deed| matches!(deed, Deed::Hours { .. }))),
        (
            "machining",
            sum(&|deed| {
                matches!(
                    deed,
                    Deed::Work { .. } | Deed::Once { .. } | Deed::Afterwards { .. } | Deed::Mend { .. }
                )
            }),
        ),
        ("parts", sum(&|deed| matches!(deed, Deed::Buy { .. } | Deed::Replace(_)))),
    ];
    let lines: Vec<Value> = kinds
        .into_iter()
        .filter(|(_, amount)| !amount.is_zero())
        .map(|(what, amount)| json!({"what": what, "amount": amount.to_string()}))
        .collect();
    let open = match alternative.cost.unpriced {
        0 => String::new(),
        some => format!(" Not in it: {}.", lines::things(some, "price")),
    };
    json!({"estimate": {"option": letter, "lines": lines, "not-to-exceed": alternative.cost.money.to_string(),
        "note": format!("{}{open}", lines::in_short(view, alternative))}})
}
