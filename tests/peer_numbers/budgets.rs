//! Budgets against GTC, the uncertainty calculator of a national laboratory.

use crate::ask;
use crate::chance::Chance;
use benchdrop::metrology::budget::{Budget, Component};
use serde_json::{Value, json};

fn component(u: f64, sensitivity: f64, freedom: f64, cause: Option<String>) -> Component {
    let words = ["component", "drop", "mm"].map(str::to_owned);
    let [name, rests_on, unit] = words;
    Component { name, rests_on, u, unit, sensitivity, freedom, cause }
}

/// A number of three digits over several powers of ten.
fn number(chance: &mut Chance) -> f64 {
    let size = 10_f64.powi(i32::try_from(chance.between(0, 5)).unwrap() - 5);
    f64::from(u32::try_from(chance.between(100, 1_000)).unwrap()) / 100.0 * size
}

/// Up to nine components, of up to three causes and of their own, known or not, of either sign.
fn budget(chance: &mut Chance) -> Budget {
    let freedom: Vec<f64> = (0..3).map(|_| freedom(chance)).collect();
    let mut budget = Budget { unit: "mm".into(), components: Vec::new() };
    for _ in 0..chance.between(1, 10) {
        let sign = if chance.between(0, 2) == 0 { 1.0 } else { -1.0 };
        let (u, sensitivity) = (number(chance), sign * number(chance) * 1e3);
        let cause = usize::try_from(chance.between(0, 6)).unwrap();
        let own = self::freedom(chance);
        let shared = freedom.get(cause).copied();
        let name = shared.map(|_| format!("cause {cause}"));
        budget = budget.with(component(u, sensitivity, shared.unwrap_or(own), name));
    }
    budget
}

fn freedom(chance: &mut Chance) -> f64 {
    let whole = chance.between(0, 60);
    if whole == 0 { f64::INFINITY } else { f64::from(u32::try_from(whole).unwrap()) }
}

/// Each cause is one uncertain number of standard uncertainty one; a component of it is a multiple.
const GTC: &str = "
from GTC import ureal, uncertainty, dof
answers = []
for components in cases:
    causes, y = {}, 0
    for u, sensitivity, freedom, cause in components:
        freedom = freedom or float('inf')
        if cause is None:
            y += sensitivity * ureal(0, u, freedom)
        else:
            y += sensitivity * u * causes.setdefault(cause, ureal(0, 1, freedom))
    answers.append([uncertainty(y), min(dof(y), 1e300)])
";

#[test]
#[ignore = "needs Python with GTC"]
fn budgets_agree_with_gtc() {
    let mut chance = Chance(1_103);
    let budgets: Vec<Budget> = (0..3_000).map(|_| budget(&mut chance)).collect();
    let asked = |component: &Component| {
        let freedom = Some(component.freedom).filter(|freedom| freedom.is_finite());
        json!([component.u, component.sensitivity, freedom, component.cause])
    };
    let asked: Vec<Value> =
        budgets.iter().map(|budget| budget.components.iter().map(asked).collect()).collect();
    let answers = ask(GTC, &json!(asked));
    for (budget, theirs) in budgets.iter().zip(answers.as_array().unwrap()) {
        let ours = budget.combined();
        let [u, freedom] = [0, 1].map(|index| theirs[index].as_f64().unwrap());
        assert!((ours.u / u - 1.0).abs() < 1e-12, "{budget:?}: {} and {u}", ours.u);
        let is_same =
            if freedom < 1e299 { (ours.freedom / freedom - 1.0).abs() < 1e-9 } else { ours.freedom > 1e8 };
        assert!(is_same, "{budget:?}: {} and {freedom} degrees of freedom", ours.freedom);
    }
}

/// Two quantities of any correlation, as a shared part and two own ones.
#[test]
#[ignore = "needs Python with GTC"]
fn a_partial_correlation_is_two_components_each() {
    let mut chance = Chance(1_104);
    let mut cases = Vec::new();
    for _ in 0..1_000 {
        let r = f64::from(u32::try_from(chance.between(0, 2_000)).unwrap()) / 1e3 - 1.0;
        cases.push([number(&mut chance), number(&mut chance), number(&mut chance), -number(&mut chance), r]);
    }
    let answers = ask(
        "from GTC import ureal, uncertainty, set_correlation\n\
         answers = []\n\
         for u, v, a, b, r in cases:\n    \
             x, y = ureal(1, u, independent=False), ureal(2, v, independent=False)\n    \
             set_correlation(r, x, y)\n    \
             answers.append(uncertainty(a * x + b * y))",
        &json!(cases),
    );
    for ([u, v, a, b, r], theirs) in cases.into_iter().zip(answers.as_array().unwrap()) {
        let (shared, own) = (r.abs().sqrt(), (1.0 - r.abs()).sqrt());
        let both = Some("both".to_owned());
        let budget = Budget::default()
            .with(component(u * shared, a, f64::INFINITY, both.clone()))
            .with(component(v * shared, b * r.signum(), f64::INFINITY, both))
            .with(component(u * own, a, f64::INFINITY, None))
            .with(component(v * own, b, f64::INFINITY, None));
        let (ours, theirs) = (budget.combined().u, theirs.as_f64().unwrap());
        assert!((ours - theirs).abs() < 1e-9 * (a * u).hypot(b * v), "{u} {v} {a} {b} {r}: {ours}, {theirs}");
    }
}
