//! Limits and fits of ISO 286-1 and -2:2010.

use crate::desk::{asked, digits, words};
use benchdrop::workbench::fits::{Class, answer, apart};
use num_rational::Ratio;

fn mm(digits: &str) -> Ratio<i128> {
    let (whole, part) = digits.split_once('.').unwrap_or((digits, ""));
    Ratio::new(format!("{whole}{part}").parse().unwrap(), 10_i128.pow(u32::try_from(part.len()).unwrap()))
}

/// Lower and upper deviation in micrometres, times ten.
fn deviations(class: &str, size: &str) -> (i64, i64) {
    let zone = Class::read(class).unwrap().zone(mm(size)).unwrap();
    assert_eq!((zone.lower % 100, zone.upper % 100), (0, 0), "{class} {size}");
    (zone.lower / 100, zone.upper / 100)
}

/// P6, table of grades: IT5 to IT8, READ in a public copy of ISO 286-1.
#[test]
fn tolerances_of_the_grades() {
    for (size, grades) in [
        ("4", [5, 8, 12, 18]),
        ("12", [8, 11, 18, 27]),
        ("40", [11, 16, 25, 39]),
        ("65", [13, 19, 30, 46]),
        ("100", [15, 22, 35, 54]),
    ] {
        for (grade, tolerance) in (5..=8).zip(grades) {
            let class = Class::read(&format!("H{grade}")).unwrap();
            assert_eq!(class.tolerance(mm(size)), Some(tolerance), "IT{grade} at {size}");
            assert_eq!(deviations(&format!("H{grade}"), size), (0, tolerance * 10));
        }
    }
}

/// P6, formulae of ISO 286-1 (READ): i = 0.45 D^(1/3) + 0.001 D micrometres, D the geometric mean of the step; IT5 to
/// IT11 are 7, 10, 16, 25, 40, 64 and 100 i. The table rounds them, by up to 0.7 um in the small grades and steps of
/// 5 or 10 um in the large ones.
#[test]
fn grades_follow_their_formula() {
    let ends = [3_i32, 6, 10, 18, 30, 50, 80, 120, 180, 250, 315, 400, 500];
    let factors = [7.0, 10.0, 16.0, 25.0, 40.0, 64.0, 100.0];
    for pair in ends.windows(2) {
        let mean = f64::from(pair[0] * pair[1]).sqrt();
        let unit = 0.45 * mean.cbrt() + 0.001 * mean;
        for (grade, factor) in (5_u8..).zip(factors) {
            let class = Class::read(&format!("h{grade}")).unwrap();
            let held = class.tolerance(Ratio::from_integer(i128::from(pair[1]))).unwrap() as f64;
            let formula = factor * unit;
            assert!(
                (held - formula).abs() <= (0.03 * formula).max(0.7),
                "IT{grade} to {}: {held}, {formula}",
                pair[1]
            );
        }
    }
}

/// P6, fundamental deviations in um: f, g, k, p READ in a public table, s RECALLED.
#[test]
fn fundamental_deviations_of_shafts() {
    for (size, f, g, k, p, s) in [
        ("4", -10, -4, 1, 12, 19),
        ("12", -16, -6, 1, 18, 28),
        ("40", -25, -9, 2, 26, 43),
        ("60", -30, -10, 2, 32, 53),
        ("70", -30, -10, 2, 32, 59),
        ("90", -36, -12, 3, 37, 71),
        ("110", -36, -12, 3, 37, 79),
    ] {
        assert_eq!(deviations("f7", size).1, f * 10, "f at {size}");
        assert_eq!(deviations("g6", size).1, g * 10, "g at {size}");
        assert_eq!(deviations("h6", size).1, 0, "h at {size}");
        assert_eq!(deviations("k6", size).0, k * 10, "k at {size}");
        assert_eq!(deviations("p6", size).0, p * 10, "p at {size}");
        assert_eq!(deviations("s6", size).0, s * 10, "s at {size}");
    }
}

/// Holes of ISO 286-2:2010, ES and EI in um. RECALLED.
#[test]
fn holes_of_the_tables() {
    for (class, size, lower, upper) in [
        ("K7", "25", -15, 6),
        ("M7", "25", -21, 0),
        ("N7", "25", -28, -7),
        ("P7", "25", -35, -14),
        ("P7", "50", -42, -17),
        ("R7", "50", -50, -25),
        ("S7", "50", -59, -34),
        ("N9", "25", -52, 0),
        ("M8", "25", -29, 4),
        ("F8", "25", 20, 53),
        ("G7", "50", 9, 34),
        ("D10", "40", 80, 180),
        ("K7", "2", -10, 0),
        ("P7", "2", -16, -6),
        ("M6", "300", -41, -9),
        ("P8", "25", -55, -22),
        ("U8", "25", -81, -48),
        ("M9", "25", -60, -8),
        ("N11", "2", -64, -4),
    ] {
        assert_eq!(deviations(class, size), (lower * 10, upper * 10), "{class} at {size}");
    }
    assert_eq!(deviations("JS7", "25"), (-105, 105));
}

/// Shafts k: on the nominal size outside the grades 4 to 7, ISO 286-2:2010, es and ei in um. RECALLED.
#[test]
fn shafts_k_of_coarse_grades() {
    assert_eq!(deviations("k7", "25"), (20, 230));
    assert_eq!(deviations("k8", "25"), (0, 330));
    assert_eq!(deviations("k11", "25"), (0, 1_300));
}

/// ISO 286-1, formulae of the deviations in um for the geometric mean D of a step in mm: d 16 D^0.44, e 11 D^0.41, f 5.5
/// D^0.41, g 2.5 D^0.34, k 0.6 D^(1/3), n 5 D^0.34, r the geometric mean of p and s. RECALLED; the table rounds
/// them, by up to 1.5 um in the small figures and 3 percent in the large.
#[test]
fn deviations_follow_their_formulae() {
    let ends = [3_i32, 6, 10, 18, 30, 50, 80, 120, 180, 250, 315, 400, 500];
    let close = |what: &str, held: i64, formula: f64| {
        let held = f64::from(i32::try_from(held).unwrap()) / 10.0;
        assert!((held - formula).abs() <= (0.03 * formula).max(1.5), "{what}: {held}, {formula}");
    };
    for pair in ends.windows(2) {
        let mean = f64::from(pair[0] * pair[1]).sqrt();
        let (size, name) = (pair[1].to_string(), |letter: &str| format!("{letter} up to {}", pair[1]));
        for (letter, times, power) in
            [("d", 16.0, 0.44), ("e", 11.0, 0.41), ("f", 5.5, 0.41), ("g", 2.5, 0.34)]
        {
            close(&name(letter), -deviations(&format!("{letter}9"), &size).1, times * mean.powf(power));
        }
        for (letter, times, power) in [("k", 0.6, 1.0 / 3.0), ("n", 5.0, 0.34)] {
            close(&name(letter), deviations(&format!("{letter}6"), &size).0, times * mean.powf(power));
        }
    }
    for size in
        [3, 6, 10, 18, 30, 50, 65, 80, 100, 120, 140, 160, 180, 200, 225, 250, 280, 315, 355, 400, 450, 500]
    {
        let at = |class: &str| deviations(class, &i32::to_string(&size)).0;
        let product = f64::from(i32::try_from(at("p6") * at("s6")).unwrap());
        close(&format!("r up to {size}"), at("r6"), product.sqrt() / 10.0);
    }
}

/// ISO 286-1, 4.3: a hole and its shaft change places without changing the fit, where the grade of the hole is one
/// coarser (K, M, N to grade 8, P and beyond to grade 7). RECALLED; holds at every size above 3 mm but for M6 to 315 mm.
#[test]
fn holes_mirror_their_shafts() {
    for (letter, coarsest) in [("k", 8), ("m", 8), ("n", 8), ("p", 7), ("r", 7), ("s", 7), ("u", 7)] {
        for grade in 6..=coarsest {
            for size in (4..=500).map(|size| size.to_string()) {
                if letter == "m" && grade == 6 && (251..=315).contains(&size.parse::<i32>().unwrap()) {
                    continue;
                }
                let hole = deviations(&format!("H{grade}"), &size);
                let shaft = deviations(&format!("{letter}{}", grade - 1), &size);
                let turned = deviations(&format!("{}{grade}", letter.to_uppercase()), &size);
                let plain = deviations(&format!("h{}", grade - 1), &size);
                assert_eq!(hole.0 - shaft.1, turned.0 - plain.1, "tightest {letter}{grade} {size}");
                assert_eq!(hole.1 - shaft.0, turned.1 - plain.0, "loosest {letter}{grade} {size}");
            }
        }
    }
}

/// P6a to P6j: fits of ISO 286-2, mm. READ for f, g, h, k and p, RECALLED for s.
#[test]
fn fits_of_the_table() {
    for (row, size, class, hole, shaft, clearance) in [
        ("P6a", "50mm", "H7/g6", ("50.000", "50.025"), ("49.975", "49.991"), (9, 50)),
        ("P6b", "25mm", "H7/f7", ("25.000", "25.021"), ("24.959", "24.980"), (20, 62)),
        ("P6c", "60mm", "H7/f7", ("60.000", "60.030"), ("59.940", "59.970"), (30, 90)),
        ("P6d", "22mm", "H6/g5", ("22.000", "22.013"), ("21.984", "21.993"), (7, 29)),
        ("P6e", "20mm", "H7/k6", ("20.000", "20.021"), ("20.002", "20.015"), (-15, 19)),
        ("P6f", "40mm", "H7/p6", ("40.000", "40.025"), ("40.026", "40.042"), (-42, -1)),
        ("P6g", "63mm", "H7/s6", ("63.000", "63.030"), ("63.053", "63.072"), (-72, -23)),
        ("P6h", "100mm", "H7/s6", ("100.000", "100.035"), ("100.071", "100.093"), (-93, -36)),
        ("P6i", "36mm", "H7/h6", ("36.000", "36.025"), ("35.984", "36.000"), (0, 41)),
        ("P6j", "55mm", "H6/f6", ("55.000", "55.019"), ("54.951", "54.970"), (30, 68)),
    ] {
        let answer = asked(answer, &[("SIZE", size), ("CLASS", class)]).unwrap();
        let (first, second) = class.split_once('/').unwrap();
        for (name, expected) in [
            (format!("hole {first}, smallest"), hole.0),
            (format!("hole {first}, largest"), hole.1),
            (format!("shaft {second}, smallest"), shaft.0),
            (format!("shaft {second}, largest"), shaft.1),
        ] {
            assert_eq!(digits(&answer, &name, "mm"), expected, "{row} {name}");
        }
        let said = |um: i32, most: &str| match (um < 0, most) {
            (false, end) => (format!("clearance, {end}"), um),
            (true, "least") => ("interference, most".to_owned(), -um),
            (true, _) => ("interference, least".to_owned(), -um),
        };
        for (um, end) in [(clearance.0, "least"), (clearance.1, "most")] {
            let (name, um) = said(um, end);
            assert_eq!(digits(&answer, &name, "mm"), format!("0.{um:03}"), "{row} {name}");
        }
        assert_eq!(
            answer.cautions.is_empty(),
            clearance.0 >= 0,
            "{row}: what is pressed carries its caution"
        );
    }
}

/// P6k: a size on the end of a step belongs to the step below (READ).
#[test]
fn ends_of_steps() {
    let class = Class::read("H7").unwrap();
    assert_eq!(class.tolerance(mm("50")), Some(25));
    assert_eq!(class.tolerance(mm("50.001")), Some(30));
    assert_eq!(class.tolerance(mm("500")), Some(63));
    assert_eq!(class.tolerance(mm("500.001")), None);
    assert_eq!(class.tolerance(mm("0")), None);
    // The letter s changes inside the step of the grade.
    assert_eq!(deviations("s6", "65").0, 530);
    assert_eq!(deviations("s6", "65.001").0, 590);
}

/// P6l, P6m, P6n: worked fits of P. C. Sharma, A Textbook of Production Engineering, chapter 9, examples 9.1, 9.5 and 9.8
/// (READ), mm; tightest is the book's allowance or least clearance.
#[test]
fn worked_fits_of_a_textbook() {
    let between = |low, high| (mm(low), mm(high));
    let (hole, shaft) = (between("37.50", "37.52"), between("37.45", "37.47"));
    assert_eq!((hole.1 - hole.0, shaft.1 - shaft.0), (mm("0.02"), mm("0.02")), "P6l");
    assert_eq!(apart(hole, shaft).0, mm("0.03"), "P6l");
    let (hole, shaft) = (between("30.000", "30.020"), between("29.982", "29.995"));
    assert_eq!(apart(hole, shaft), (mm("0.005"), mm("0.038")), "P6m");
    assert_eq!((hole.1 - hole.0, shaft.1 - shaft.0), (mm("0.020"), mm("0.013")), "P6m");
    let (bearing, journal) = (between("100.000", "100.005"), between("99.994", "99.998"));
    assert_eq!(apart(bearing, journal).0, mm("0.002"), "P6n");
    assert_eq!((bearing.1 - bearing.0, journal.1 - journal.0), (mm("0.005"), mm("0.004")), "P6n");
}

/// A size in inches is taken exactly: 1.9685 in = 49.9999 mm stands in the step up to 50 mm, 1.96851 in does not.
#[test]
fn sizes_in_inches() {
    let answer_of = |size| asked(answer, &[("SIZE", size), ("CLASS", "H7")]).unwrap();
    let below = answer_of("1.9685in");
    assert_eq!(digits(&below, "hole H7, smallest", "mm"), "49.9999");
    assert_eq!(digits(&below, "hole H7, largest", "mm"), "50.0249");
    assert_eq!(digits(&below, "hole H7, smallest", "in"), "1.968500");
    assert_eq!(digits(&answer_of("1.96851in"), "hole H7, largest", "mm"), "50.030154");
}

/// Every fault at once, each with a good one.
#[test]
fn faults_are_said_at_once() {
    let faults = asked(answer, &[("SIZE", "50"), ("CLASS", "H47/q")]).unwrap_err();
    assert_eq!(faults.0.len(), 3, "{faults}");
    assert!(
        faults.to_string().contains("50mm or 1.9685in") && faults.to_string().contains("H7/g6"),
        "{faults}"
    );
    for (size, class, word) in [
        ("600mm", "H7", "500 mm"),
        ("50 lbf", "H7", "wrong unit"),
        ("-50mm", "H7", "not above zero"),
        ("50,5mm", "H7", "with a point"),
        ("50mm", "g6/H7", "hole's class first"),
        ("50mm", "H7/g6/h6", "hole's class first"),
        ("50mm", "Hs7", "no letter"),
        ("50mm", "K9", "up to 8"),
        ("50mm", "H7g6", "no grade"),
    ] {
        let faults = words(&asked(answer, &[("SIZE", size), ("CLASS", class)]).unwrap_err());
        assert!(faults.contains(word), "{size} {class}: {faults}");
    }
}
