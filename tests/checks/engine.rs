//! Engine geometry and conversions.

use crate::desk::{asked, digits};
use benchdrop::metrology;
use benchdrop::workbench::{Unit, convert};
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
    assert_eq!(units.len(), 24);
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
    let apart = asked(convert::answer, &[("AMOUNT", "38 lbf"), ("TO", "mm")]).unwrap_err().to_string();
    assert!(apart.contains("never becomes mm"), "{apart}");
}
