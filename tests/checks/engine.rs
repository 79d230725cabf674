//! Engine geometry and conversions.

use crate::desk::{asked, digits, number, words};
use crate::near;
use benchdrop::metrology;
use benchdrop::workbench::{Unit, compression, convert};
use num_rational::Ratio;

/// P9, exact conversions: yard and pound agreement of 1959 and the SI brochure. COMPUTED.
#[test]
fn conversions_are_exact() {
    for (amount, to, expected) in [
        ("1in", "mm", "25.4"),
        ("1 lbf", "N", "4.4482216152605"),
        ("1 lbf ft", "N m", "1.3558179483314004"),
        ("1 lbf in", "N m", "0.1129848290276167"),
        ("1 cu in", "cc", "16.387064"),
        ("68 degF", "degC", "20"),
        ("20 degC", "degF", "68"),
        ("-40 degF", "degC", "-40"),
        ("12 lbf in", "lbf ft", "1"),
        ("25.4mm", "in", "1"),
        ("0.1 MPa", "kPa", "100"),
        ("1 kgf m", "N m", "9.80665"),
        ("2.2488in", "mm", "57.11952"),
        ("3/8in", "mm", "9.525"),
        ("1 5/8 in", "mm", "41.275"),
        ("1-5/8in", "mm", "41.275"),
        ("1 ft", "in", "12"),
        ("3000 rpm", "rev/s", "50"),
        // 15 microinches Ra of a journal, B1; a pound-force on an inch is 4.4482216152605 / 25.4 N/mm.
        ("15 uin", "um", "0.381"),
        ("0.4um", "uin", "2000/127"),
        ("254 lbf/in", "N/mm", "44.482216152605"),
        ("1 N/mm", "lbf/in", "50800000000000/8896443230521"),
    ] {
        let answer = asked(convert::answer, &[("AMOUNT", amount), ("TO", to)]).unwrap();
        let exactly = answer.results.iter().any(|line| line.name == "exactly");
        let found = digits(&answer, if exactly { "exactly" } else { "result" }, to);
        assert_eq!(found, expected, "{amount} in {to}");
    }
    // 1 psi = 6894.757293168 Pa to ten digits; its decimal has no end, the fraction is exact.
    let psi = asked(convert::answer, &[("AMOUNT", "1 psi"), ("TO", "kPa")]).unwrap();
    assert_eq!(digits(&psi, "result", "kPa"), "6.894757");
    assert_eq!(digits(&psi, "exactly", "kPa"), "8896443230521/1290320000000");
}

/// Over and back is where one started, for every pair of units and the longest amount that can be typed.
#[test]
fn over_and_back() {
    let symbols = Unit::all();
    let units: Vec<&Unit> = symbols.split(", ").map(|symbol| Unit::named(symbol).unwrap()).collect();
    let longest = Ratio::new(99_999_999_999_999, 10_000_000);
    for from in &units {
        for to in units.iter().filter(|to| to.quantity == from.quantity) {
            let over = from.bring(longest, to);
            assert_eq!(to.bring(over, from), longest, "{} to {}", from.symbol, to.symbol);
        }
        assert_eq!(from.counterpart().quantity, from.quantity);
    }
    assert_eq!(units.len(), 29);
}

/// The workbench and the verdicts bring units over by the same fractions.
#[test]
fn as_the_verdicts_do() {
    for (from, to) in [("lbf", "N"), ("N", "lbf"), ("psi", "kPa"), ("kPa", "psi"), ("in", "mm")] {
        let of = |symbol| metrology::Unit::from_symbol(symbol).unwrap();
        let value = metrology::Length::parse("86.25", of(from)).unwrap().exact();
        let verdicts = of(from).bring(value, of(to)).unwrap().to_mm();
        let verdicts = if to == "mm" { verdicts } else { verdicts / of(to).scale() };
        let ours = Unit::named(from).unwrap().bring(Ratio::new(8625, 100), Unit::named(to).unwrap());
        let ours = *ours.numer() as f64 / *ours.denom() as f64;
        assert!((ours / verdicts - 1.0).abs() < 1e-15, "{from} {to}: {ours} {verdicts}");
    }
}

/// People write units in many ways; what is none, or another quantity, is said with what would do.
#[test]
fn units_as_people_write_them() {
    for (written, symbol) in [
        ("Nm", "N m"),
        ("N-m", "N m"),
        ("N\u{b7}m", "N m"),
        ("ft-lb", "lbf ft"),
        ("ft.lbs", "lbf ft"),
        ("LBF FT", "lbf ft"),
        ("in-lb", "lbf in"),
        ("\"", "in"),
        ("cu.in", "cu in"),
        ("mPa s", "cP"),
        ("mpa", "MPa"),
    ] {
        assert_eq!(Unit::named(written).map(|unit| unit.symbol), Some(symbol), "{written}");
    }
    let faults = asked(convert::answer, &[("AMOUNT", "38"), ("TO", "furlong")]).unwrap_err();
    assert_eq!(faults.0.len(), 2, "{faults}");
    let apart = words(&asked(convert::answer, &[("AMOUNT", "38 lbf"), ("TO", "mm")]).unwrap_err());
    assert!(apart.contains("never becomes mm"), "{apart}");
}

const CUBIC_INCH: f64 = 16.387_064; // cc
const INCH: f64 = 25.4; // mm

/// P9a: question of the FAA's airframe and powerplant test bank, READ: 4 cylinders, bore 3.78 in, stroke 4.5 in, "about
/// 200 cubic inches"; 201.9975 exactly. P9c: L. W. Kates, Diesel and High Compression Gas Engines, chapter 4, example 2
/// (READ): 3 in x 4 in.
#[test]
fn displacement() {
    let one = compression::round(3.78 * INCH, 4.5 * INCH) / CUBIC_INCH;
    near("P9a", one, 50.4994, 1e-4);
    near("P9a", 4.0 * one, 201.9975, 1e-3);
    near("P9c", compression::round(3.0 * INCH, 4.0 * INCH) / CUBIC_INCH, 28.26, 0.02);
    near("P9c", compression::round(3.0 * INCH, 4.0 * INCH) / CUBIC_INCH, 28.274_334, 1e-6);
}

/// P9b: R. K. Rajput, Internal Combustion Engines, example 3.8 (p. 96), READ. P9e: FAA-H-8083-32, chapter 1, RECALLED.
#[test]
fn compression_ratios_of_textbooks() {
    let swept = compression::round(250.0, 375.0);
    near("P9b", swept / 1e6, 0.018_407_77, 1e-8);
    near("P9b", compression::ratio(swept, 2_630.0), 8.0, 1e-3);
    near("P9b, computed", compression::ratio(swept, 2_630.0), 7.999_15, 5e-6);
    near("P9e", compression::ratio(140.0 - 20.0, 20.0), 7.0, 0.0);
}

/// P9d: Kates, chapter 4, example 3 (READ): 9 in of travel a turn at 1600 rpm is 1200 ft/min.
#[test]
fn mean_piston_speed() {
    near("P9d", compression::piston_speed(4.5 * INCH, 1600.0 / 60.0) * 60.0 / 304.8, 1200.0, 1e-9);
}

/// The first invented engine's sheet, COMPUTED apart: bore 3.6100, stroke 3.5800 in, chamber 58.0 cc, gasket 0.040 in of
/// 3.690 in hole, crown 0.0200 in below the deck, dish 4.0 cc: ratio 9.298; 2402 cc or 146.6 cu in.
#[test]
fn compression_of_the_first_invented_engine() {
    let typed = |chamber: &'static str| {
        [
            ("--bore", "3.6100in"),
            ("--stroke", "3.5800in"),
            ("--chamber", chamber),
            ("--gasket-bore", "3.690in"),
            ("--gasket", "0.040in"),
            ("--deck", "0.0200in"),
            ("--dish", "4.0cc"),
            ("--speed", "3000rpm"),
        ]
    };
    let answer = asked(compression::answer, &typed("58.0cc")).unwrap();
    near("one", number(&answer, "compression ratio", "to 1"), 9.298, 0.005);
    near("speed", number(&answer, "mean piston speed", "ft/min"), 2.0 * 3.58 / 12.0 * 3000.0, 1.0);
    let four = asked(compression::answer, &typed("58.0cc|57.0cc|59.0cc|58.0cc")).unwrap();
    // What is left is (2402 / 4) / 8.298 cc; a cc of chamber moves it by just that.
    let left = 2402.0 / 4.0 / 8.298;
    let other = |chamber: f64| 1.0 + 2402.0 / 4.0 / (left - 58.0 + chamber);
    near("second", number(&four, "cylinder 2", "to 1"), other(57.0), 0.006);
    near("most", number(&four, "most", "to 1"), other(57.0), 0.006);
    near("least", number(&four, "least", "to 1"), other(59.0), 0.006);
    near("displacement", number(&four, "displacement", "cc"), 2402.0, 0.5);
    near("displacement", number(&four, "displacement", "cu in"), 146.6, 0.05);
}

/// The second invented engine, a diesel whose pistons stand proud, COMPUTED apart: 21.0 cc bowl, 1.30 mm gasket of 82.0 mm
/// hole 6.865 cc, 0.60 mm protrusion -3.092 cc, 1.2 cc recess; 25.974 cc left, ratio 18.26, 1345 cc of three cylinders.
#[test]
fn compression_of_the_second_invented_engine() {
    near("gasket", compression::round(82.0, 1.30), 6.865, 5e-4);
    let typed = [
        ("--bore", "81.00mm"),
        ("--stroke", "87.00mm"),
        ("--chamber", "1.2cc"),
        ("--gasket-bore", "82.0mm"),
        ("--gasket", "1.30mm"),
        ("--proud", "0.60mm"),
        ("--dish", "21.0cc"),
        ("--cylinders", "3"),
    ];
    let answer = asked(compression::answer, &typed).unwrap();
    near("ratio", number(&answer, "cylinder 3", "to 1"), 18.26, 0.005);
    near("left", number(&answer, "cylinder 1", "cc left"), 25.974, 0.006);
    near("displacement", number(&answer, "displacement", "cc"), 1345.0, 0.5);
}

/// Every fault at once; counts that do not agree, and a piston that fills its chamber.
#[test]
fn faults_of_a_compression_are_said_at_once() {
    assert_eq!(asked(compression::answer, &[]).unwrap_err().0.len(), 5);
    let with = |name: &'static str, text: &'static str| {
        let typed = [
            ("--bore", "81mm"),
            ("--stroke", "87mm"),
            ("--chamber", "20cc|21cc"),
            ("--gasket-bore", "82mm"),
            ("--gasket", "1.3mm"),
            (name, text),
        ];
        asked(compression::answer, &typed).map(|_| ()).map_err(|faults| words(&faults))
    };
    assert_eq!(with("--deck", "0.1mm"), Ok(()));
    for (name, text, word) in [
        ("--dish", "1cc|1cc|1cc", "2 values for 3 cylinders"),
        ("--cylinders", "0", "no number from 1"),
        ("--proud", "9mm", "look at --proud"),
        ("--deck", "-0.1mm", "below zero"),
        ("--dome", "3in", "wrong unit"),
    ] {
        let faults = with(name, text).unwrap_err();
        assert!(faults.contains(word), "{name}: {faults}");
    }
}
