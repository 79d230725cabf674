//! Lengths, temperature and uncertainty.

use crate::near;
use benchdrop::metrology::budget::{Budget, Component};
use benchdrop::metrology::quantiles::student;
use benchdrop::metrology::{Exact, Expansion, Figure, Length, Temperatures, Unit, at_reference, rectangles};
use serde_json::Value;
use std::collections::BTreeSet;

/// Our two sheets of invented engines.
const SHEETS: [&str; 2] = [
    include_str!("../../schemas/examples/sheet.v1/pass/ov-24.json"),
    include_str!("../../schemas/examples/sheet.v1/pass/kd-3.json"),
];

fn mm(digits: &str) -> Exact {
    Length::parse(digits, Unit::Millimetre).unwrap().exact()
}

fn component(name: &str, u: f64, unit: &str, sensitivity: f64, freedom: f64) -> Component {
    let (name, rests_on, unit) = (name.into(), "certificate".into(), unit.into());
    Component { name, rests_on, u, unit, sensitivity, freedom, cause: None }
}

/// Components without degrees of freedom, as (u, sensitivity).
fn budget(components: &[(f64, f64)]) -> Budget {
    let known = |(u, sensitivity): &(f64, f64)| component("", *u, "mm", *sensitivity, f64::INFINITY);
    Budget { unit: "mm".into(), components: components.iter().map(known).collect() }
}

/// The end gauge of JCGM 100:2008, annex H.1, in nanometres: `l = lS + d - lS (delta alpha theta + alphaS delta
/// theta)` with 50.000623 mm, 215 nm, 11.5 ppm/K and -0.1 K.
fn end_gauge() -> Budget {
    const LENGTH: f64 = 50_000_623.0;
    let difference = [(5.8, 24.0), (3.9, 5.0), (6.7, 8.0)];
    let mut budget = Budget { unit: "nm".into(), components: Vec::new() };
    budget = budget.with(component("standard", 25.0, "nm", 1.0, 18.0));
    for (u, freedom) in difference {
        budget = budget.with(component("difference", u, "nm", 1.0, freedom));
    }
    budget
        .with(component("expansion", 1.2e-6, "1/K", 0.0, f64::INFINITY))
        .with(component("temperature", 0.41, "K", 0.0, f64::INFINITY))
        .with(component("difference of expansion", 1e-6 / 3_f64.sqrt(), "1/K", LENGTH * 0.1, 50.0))
        .with(component("difference of temperature", 0.05 / 3_f64.sqrt(), "K", -LENGTH * 11.5e-6, 2.0))
}

/// P1.1a to f: JCGM 100:2008, H.1, READ in MSLNZ/GTC (docs, examples) and re-computed with GTC.
#[test]
fn p1_1_end_gauge_components() {
    // a: both corrections are zero, and the length is an exact sum, written in micrometres.
    let micrometres = |digits| mm(digits).part(1, 1000);
    assert_eq!(micrometres("50000.623") + micrometres("0.215"), micrometres("50000.838"));
    let budget = end_gauge();
    let of = |name: &str| {
        let components =
            budget.components.iter().filter(|component| component.name == name).cloned().collect();
        Budget { unit: "nm".into(), components }.combined().u
    };
    near("P1.1b u(d)", of("difference"), 9.7, 0.05);
    near("P1.1c difference of expansion", of("difference of expansion"), 2.9, 0.05);
    near("P1.1d difference of temperature", of("difference of temperature"), 16.6, 0.05);
    near("P1.1e expansion, temperature", of("expansion") + of("temperature"), 0.0, 0.0);
    let combined = budget.combined();
    near("P1.1f u(l)", combined.u, 32.0, 0.5);
    near("P1.1f u(l) squared", combined.u.powi(2), 1002.0, 1.0);
}

/// P1.1g to j: the same source. Degrees of freedom from the unrounded u: from the printed 32 nm they would be 17.
#[test]
fn p1_1_end_gauge_expanded() {
    let budget = end_gauge();
    let combined = budget.combined();
    near("P1.1g freedom", combined.freedom, 16.7, 0.1);
    near("P1.1g freedom, whole", combined.freedom.floor(), 16.0, 0.0);
    near("P1.1h t99(16)", combined.factor(0.99), 2.92, 0.005);
    near("P1.1i U99", combined.expanded(0.99), 93.0, 1.0);
    let curved = budget
        .with(component("expansion times temperature", 11.7, "nm", 1.0, f64::INFINITY))
        .with(component("temperature times expansion", 1.7, "nm", 1.0, f64::INFINITY));
    near("P1.1j u with second-order terms", curved.combined().u, 34.0, 0.5);
}

/// P1.2: JCGM 100:2008, table G.2, RECALLED; COMPUTED with scipy.
#[test]
fn p1_2_student_factors() {
    let infinite = f64::INFINITY;
    let rows: [(f64, &[(f64, f64)]); 3] = [
        (
            0.95,
            &[
                (1.0, 12.71),
                (2.0, 4.30),
                (5.0, 2.57),
                (10.0, 2.23),
                (16.0, 2.12),
                (20.0, 2.09),
                (infinite, 1.960),
            ],
        ),
        (0.9545, &[(10.0, 2.28), (16.0, 2.17), (infinite, 2.000)]),
        (0.99, &[(5.0, 4.03), (10.0, 3.17), (16.0, 2.92), (infinite, 2.576)]),
    ];
    for (p, factors) in rows {
        for (freedom, factor) in factors {
            near(&format!("P1.2 p {p}, {freedom} degrees of freedom"), student(p, *freedom), *factor, 0.005);
        }
    }
}

/// P1.3: ISO 1:2022, formula RECALLED, COMPUTED with mpmath to 30 digits, to 1e-7 mm. Ours is the exact form, rounded once to
/// 0.00001 mm: half a step of that is all it may be off. The formula is in proportion to the length, so one a thousand times as
/// long shows what stands behind the rounding.
#[test]
fn p1_3_lengths_at_twenty_degrees() {
    let cases = [
        ("P1.3a", "50", 11_500, 20_100, 0, 20_000, 49.999_942_500),
        ("P1.3b", "100", 11_500, 30_000, 0, 20_000, 99.988_501_322),
        ("P1.3c", "101.6", 10_800, 29_000, 11_500, 29_000, 101.600_640_018),
        ("P1.3d", "86", 10_800, 32_000, 11_500, 24_000, 85.992_811_332),
        ("P1.3e", "88.9", 21_500, 35_000, 11_500, 21_000, 88.872_361_014),
        ("P1.3f", "57", 11_700, 14_000, 11_500, 14_000, 57.000_068_405),
        ("P1.3g", "92", 19_000, 20_000, 11_500, 20_000, 92.0),
        ("P1.3g", "92", 10_800, 20_000, 23_600, 20_000, 92.0),
    ];
    for (row, read, part, t_part, gauge, t_gauge, expected) in cases {
        let temperatures = Temperatures { part: t_part, gauge: t_gauge };
        let cold = |read: Exact| {
            let (part, gauge) = (Expansion(part), Expansion(gauge));
            at_reference(read, Unit::Millimetre, part, gauge, temperatures).unwrap().to_mm()
        };
        near(row, cold(mm(read)), expected, 5.1e-6);
        let long = cold(mm(read) * 1_000) / 1_000.0;
        near(&format!("{row}, unrounded"), long, expected, 1e-7);
    }
}

/// P1.4: published expansion coefficients, ppm per degree Celsius and as printed per degree Fahrenheit, all READ. a: grey iron,
/// an engineering table; b: grey iron, a table of ranges; c: ductile iron 80-55-06; d: aluminium 356.0; e: aluminium 6061 (these
/// three Callister, Fundamentals of Materials Science and Engineering, 3rd edition, table B.6); f: steel of end gauges, JCGM
/// 100:2008, H.1, with bounds of 2; g: plain carbon steel (Wentzell, Machine Design, appendix 8).
const EXPANSIONS: [(&str, &str, f64, Option<f64>); 7] = [
    ("P1.4a", "grey iron", 10.8, Some(6.0)),
    ("P1.4b", "grey iron", 11.0, Some(6.0)),
    ("P1.4c", "ductile iron", 10.6, Some(5.9)),
    ("P1.4d", "head alloy", 21.5, Some(11.9)),
    ("P1.4e", "6061", 23.6, Some(13.1)),
    ("P1.4f", "steel", 11.5, None),
    ("P1.4g", "steel", 11.7, Some(6.5)),
];

/// A degree Fahrenheit is exactly 5/9 of one Celsius: both printed figures of a row bring a length read warm to the same size,
/// to half of the last digit of each. 1 m, 18 degrees Fahrenheit above 68, so that a ppm per degree Celsius is 0.01 mm.
#[test]
fn p1_4_per_degree_of_either_kind() {
    let read = mm("1000");
    let grown = |thousandths: i64| {
        let temperatures = Temperatures { part: 30_000, gauge: 20_000 };
        let part = Expansion(thousandths);
        (read - at_reference(read, Unit::Millimetre, part, Expansion(0), temperatures).unwrap()).to_mm()
    };
    #[expect(clippy::cast_possible_truncation, reason = "a coefficient of a few digits")]
    let thousandths = |ppm: f64| (ppm * 1_000.0).round() as i64;
    for (row, _, celsius, fahrenheit) in EXPANSIONS {
        let of_celsius = grown(thousandths(celsius));
        near(
            &format!("{row} per degree Celsius"),
            of_celsius,
            celsius / 100.0 / (1.0 + celsius * 1e-5),
            1e-5,
        );
        let Some(fahrenheit) = fahrenheit else { continue };
        // The table of ranges prints whole figures, the others one decimal.
        let digit = if celsius.fract().abs() < 1e-9 { 1.0 } else { 0.1 };
        let of_fahrenheit = grown(thousandths(fahrenheit * 1.8));
        near(&format!("{row} per degree Fahrenheit"), of_fahrenheit, of_celsius, digit * (0.5 + 0.9) / 100.0);
    }
}

/// P1.4a, b, d, f, g: what our own sheets say of a material is a published figure, and what they leave open about it holds every
/// other one of the same material. No sheet of ours has a part of the others (c, e).
#[test]
fn p1_4_expansion_of_the_sheets() {
    let mut met = BTreeSet::new();
    for sheet in SHEETS {
        let sheet: Value = serde_json::from_str(sheet).unwrap();
        for material in sheet["body"]["materials"].as_array().unwrap() {
            let name = material["material"].as_str().unwrap();
            let number = |key: &str| material[key].as_str().unwrap().parse::<f64>().unwrap();
            let published: Vec<_> = EXPANSIONS.iter().filter(|(_, of, ..)| name == *of).collect();
            let said = published.iter().any(|(.., value, _)| (number("expansion") - value).abs() < 1e-12);
            assert!(said || published.is_empty(), "{name}");
            for (row, _, value, _) in published {
                near(&format!("{row} {name}"), number("expansion"), *value, number("uncertainty"));
                met.insert(*row);
            }
        }
    }
    let all: BTreeSet<_> = ["P1.4a", "P1.4b", "P1.4d", "P1.4f", "P1.4g"].into();
    assert_eq!(met, all);
}

/// P1.5a to e: JCGM 100:2008, 4.3.7, F.2.2.1 and 5.2, RECALLED, COMPUTED.
#[test]
fn p1_5_small_pieces() {
    let step = |step: f64| Figure::from_interval(step / 2.0).unwrap().repeat;
    near("P1.5a step 0.001", step(0.001), 0.000_288_675, 1e-9);
    near("P1.5b step 0.01", step(0.01), 0.002_886_751, 1e-9);
    let mut clearance = budget(&[(0.0015, 1.0), (0.0012, -1.0)]);
    near("P1.5c clearance", clearance.combined().u, 0.001_920_937, 1e-9);
    for component in &mut clearance.components {
        component.cause = Some("one micrometer".into());
    }
    near("P1.5d clearance, correlation 1", clearance.combined().u, 0.0003, 1e-12);
    let temperature = budget(&[(0.5, 10.8e-6 * 100.0), (0.5e-6, 100.0 * 9.0)]);
    near("P1.5e temperature, micrometres", temperature.combined().u * 1000.0, 0.702_922, 1e-6);
}

/// P1.5f and g: JCGM 101:2008, 9.2.2 and 9.2.3, READ in open test suites that quote it, COMPUTED exactly.
#[test]
fn p1_5_sums_of_four() {
    let four = budget(&[(1.0, 1.0); 4]).combined();
    near("P1.5f u", four.u, 2.0, 1e-12);
    near("P1.5f interval", four.expanded(0.95), 3.92, 0.005);
    let interval = rectangles::expanded(&[3_f64.sqrt(); 4], 0.95).unwrap();
    near("P1.5g interval", interval, 3.88, 0.005);
    near("P1.5g interval, exact", interval, 3.879_41, 1e-5);
}
