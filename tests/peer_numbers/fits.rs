//! Limits and fits of ISO 286 against the library pressfit.

use crate::ask;
use crate::chance::Chance;
use benchdrop::workbench::fits::{Class, apart};
use num_rational::Ratio;
use serde_json::json;

const SHAFTS: [&str; 13] = ["c", "d", "e", "f", "g", "h", "js", "k", "m", "n", "p", "s", "u"];

/// Every end of a step of size and its neighbours, with every shaft and grade, and as many sizes by chance.
#[test]
#[ignore = "needs Python with pressfit"]
fn fits_agree_with_pressfit() {
    let mut chance = Chance(286);
    let ends = [
        3, 6, 10, 14, 18, 24, 30, 40, 50, 65, 80, 100, 120, 140, 160, 180, 200, 225, 250, 280, 315, 355, 400,
        450,
    ];
    // Thousandths of a millimetre.
    let mut sizes: Vec<i128> =
        ends.iter().flat_map(|end| [end * 1_000 - 1, end * 1_000, end * 1_000 + 1]).collect();
    sizes.extend([1, 499_999, 500_000]);
    sizes.extend((0..72).map(|_| i128::from(chance.between(1, 500_001))));
    let mut cases = Vec::new();
    for size in sizes {
        for shaft in SHAFTS {
            for grade in 5..=11 {
                cases.push((size, chance.between(5, 12), shaft, grade));
            }
        }
    }
    let asked: Vec<_> = cases
        .iter()
        .map(|(size, hole, shaft, grade)| json!([format!("H{hole}/{shaft}{grade}"), *size as f64 / 1_000.0]))
        .collect();
    // Half micrometres come doubled, so that they are whole.
    let answers = ask(
        "from pressfit import fit\n\
         answers = []\n\
         for spec, size in cases:\n    \
             f = fit(spec, size)\n    \
             answers.append([2 * x for x in (f.hole_ei_um, f.hole_es_um, f.shaft_ei_um, f.shaft_es_um, *f.clearance_um)])",
        &json!(asked),
    );
    assert!(cases.len() > 10_000 && answers.as_array().unwrap().len() == cases.len());
    for ((size, hole, shaft, grade), theirs) in cases.iter().zip(answers.as_array().unwrap()) {
        let size = Ratio::new(*size, 1_000);
        let zone = |class: String| Class::read(&class).unwrap().zone(size).unwrap();
        let (hole, shaft) = (zone(format!("H{hole}")), zone(format!("{shaft}{grade}")));
        let at = |nanometres: i64| Ratio::from_integer(i128::from(nanometres));
        let (least, most) = apart((at(hole.lower), at(hole.upper)), (at(shaft.lower), at(shaft.upper)));
        let ours = [at(hole.lower), at(hole.upper), at(shaft.lower), at(shaft.upper), least, most];
        let theirs: Vec<f64> =
            theirs.as_array().unwrap().iter().map(|value| value.as_f64().unwrap()).collect();
        let ours: Vec<f64> = ours.iter().map(|value| value.to_integer() as f64 / 500.0).collect();
        assert_eq!(ours, theirs, "{size} mm, hole {hole:?}, shaft {shaft:?}");
    }
}
