//! What to fit, for programs: the section "What to fit" with every number it rests on.

use crate::judgement::Judged;
use crate::metrology::{Exact, Unit};
use crate::pages::JobView;
use crate::pages::sections::{label, ring_label, shells_words, why};
use crate::planning::{HalfSteps, RingSet, ShellChoice, ShellPlace, ShellSet, SingleSet, WeightSet, Why};
use crate::sheets::Limits;
use serde_json::{Value, json};

/// Shells, single parts, rings and weights.
pub(super) fn fitting_json(view: &JobView, unit: Unit) -> Value {
    let fitting = view.fitting();
    json!({
        "shells": fitting.shells.iter().map(|set| shells(set, unit)).collect::<Vec<_>>(),
        "singles": fitting.singles.iter().map(|set| singles(view, set, unit)).collect::<Vec<_>>(),
        "rings": fitting.rings.iter().map(|set| rings(view, set, unit)).collect::<Vec<_>>(),
        "weights": fitting.weights.iter().map(weights).collect::<Vec<_>>(),
    })
}

fn two((low, high): (Exact, Exact), unit: Unit) -> Value {
    json!([low.show(unit), high.show(unit)])
}

fn limits(limits: &Limits, unit: Unit) -> Value {
    json!([limits.min.map(|min| min.show(unit)), limits.max.map(|max| max.show(unit))])
}

fn expected(judged: &Judged, ends: (Exact, Exact), unit: Unit) -> Value {
    json!({
        "clearance": two(ends, unit), "band": judged.band.word(), "state": judged.state(),
        // Six places, as of verdicts.
        "probability": judged.probability.map(|p| format!("{p:.6}")),
        "uncertainty": judged.uncertainty_words(unit), "limit": judged.limit_words(unit),
        "readings": judged.readings.iter().map(|r| json!({"drop": r.fact.hex(), "row": r.row + 1})).collect::<Vec<_>>(),
        "gauges": judged.gauges, "rule": judged.rule, "source": judged.source,
    })
}

fn shells(set: &ShellSet, unit: Unit) -> Value {
    json!({
        "pair": set.pair, "part": set.part, "window": limits(&set.window, unit), "stations": set.stations,
        "graded": set.graded.iter().map(|shell| json!({"name": shell.name, "housing": shell.outer, "journal": shell.inner,
            "shell": shell.shell, "clearance": shell.clearance.map(|ends| two(ends, unit))})).collect::<Vec<_>>(),
        "common": set.common.map(|size| size.show(unit)), "unmeasured": set.unmeasured,
        "half-steps": match &set.half_steps {
            HalfSteps::NotAsked => "not asked for".to_owned(),
            HalfSteps::Allowed { by, .. } => format!("allowed by {}", by.join(", ")),
            HalfSteps::Barred(why) => why.clone(),
        },
        "places": set.worst_first().into_iter().map(|place| shell_place(set, place, unit)).collect::<Vec<_>>(),
    })
}

fn shell_place(set: &ShellSet, place: &ShellPlace, unit: Unit) -> Value {
    let choice = |choice: &ShellChoice| {
        json!({
            "shells": shells_words(set, choice, unit), "measured": choice.measured,
            "sizes": choice.sizes.iter().map(|size| size.show(unit)).collect::<Vec<_>>(),
            "expected": expected(&choice.expected, choice.ends(), unit),
        })
    };
    let grind_to = match &place.why {
        Why::NothingFits { grind_to } => grind_to.map(|size| size.show(unit)),
        Why::Uniform | Why::BringsInside => None,
    };
    json!({
        "name": place.name, "housing": two(place.outer, unit), "journal": two(place.inner, unit),
        "to-be-ground": place.to_be_ground, "fit": choice(&place.chosen), "why": why(&place.why), "grind-to": grind_to,
        "others": place.others.iter().map(choice).collect::<Vec<_>>(),
    })
}

fn singles(view: &JobView, set: &SingleSet, unit: Unit) -> Value {
    json!({
        "pair": set.pair, "part": set.part, "window": limits(&set.window, unit),
        "left-over": set.left_over, "unmeasured": set.unmeasured,
        "places": set.places.iter().map(|place| json!({
            "name": place.name, "labelled": label(view, &set.part, place.label), "kept": place.kept,
            "by-grade": place.by_grade, "expected": expected(&place.expected, place.ends(), unit),
            "hone-to": place.hone_to.map(|to| to.show(unit)),
        })).collect::<Vec<_>>(),
    })
}

fn rings(view: &JobView, set: &RingSet, unit: Unit) -> Value {
    json!({
        "feature": set.feature, "left-over": set.left_over, "unmeasured": set.unmeasured,
        "places": set.places.iter().map(|place| json!({
            "name": place.name, "limits": limits(&place.limits, unit), "wider": place.wider.show(unit),
            "file-to": place.file_to.map(|to| two(to, unit)),
            "ring": place.ring.map(|ring| json!({
                "labelled": ring_label(view, set, ring.label), "gap": two(ring.gap, unit), "file-off": ring.file_off.show(unit),
            })),
        })).collect::<Vec<_>>(),
    })
}

fn weights(set: &WeightSet) -> Value {
    let unit = set.unit;
    json!({
        "feature": set.feature, "unit": unit.symbol(), "allowed": set.allowed.show(unit), "spread": set.spread.show(unit),
        "unmeasured": set.unmeasured,
        "places": set.places.iter().map(|place| json!({
            "name": place.name, "weight": place.weight.show(unit), "to-lightest": place.to_lightest.show(unit),
            "at-least": place.at_least.show(unit),
        })).collect::<Vec<_>>(),
    })
}
