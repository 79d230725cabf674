//! The slow, obvious way to an uncertainty: every cause is moved by its standard uncertainty, the readings are worked out
//! anew, and the changes of the result are squared and added.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test that cannot go on should panic")]

use super::support::{folded, measured, reading};
use super::{INCH, budget, by, certificate, small_engine, study, warm};
use serde_json::Value;
use std::collections::BTreeMap;

/// One reading as the slow way sees it; inches.
#[derive(Clone)]
struct Seen {
    weight: f64,
    value: f64,
    gauge: &'static str,
    set_from: &'static str,
    who: &'static str,
    repeats: f64,
    drop: u32,
    /// Part, its coefficient, temperature of part and gauge.
    part: (&'static str, f64),
    warm: (&'static str, &'static str),
}

/// What is known in one combination.
#[derive(Clone, Copy)]
struct Known {
    certified: bool,
    studied: bool,
}

impl Known {
    fn repeat(self, gauge: &str) -> f64 {
        match gauge {
            "BORE" => 0.0001,
            "BALL" => (0.000_075_f64.powi(2) - 0.000_055_f64.powi(2)).sqrt(),
            "MIC" if self.studied => 0.000_05 * 1.25_f64.sqrt(),
            _ => 0.0001,
        }
    }

    fn setting(self, gauge: &Seen) -> f64 {
        match (gauge.gauge, gauge.set_from) {
            (_, "MIC") if self.certified => 0.000_05,
            ("BALL", _) => 0.000_055,
            _ => 0.000_075,
        }
    }

    /// People who differ by two tenths: variance of their means 2 x 0.0001^2 less repeat^2 / 20 readings. The repeat
    /// that is pooled with what people see differently from part to part, which is nothing here: 20 + 9 degrees.
    fn hands(self, gauge: &str) -> f64 {
        let repeat_square = 20.0 * 0.000_05_f64.powi(2) / 29.0;
        if self.studied && gauge == "MIC" {
            (2.0 * 0.0001_f64.powi(2) - repeat_square / 20.0).sqrt()
        } else {
            0.0
        }
    }

    /// The result with one cause moved by its standard uncertainty, or none.
    fn result(self, seen: &[Seen], moved: &str) -> f64 {
        let on = |name: String, size: f64| if name == moved { size } else { 0.0 };
        let result = seen.iter().enumerate().map(|(index, one)| {
            let (part, coefficient) = one.part;
            let read = one.value
                + on(format!("own {index}"), self.repeat(one.gauge) / one.repeats.sqrt())
                + on(format!("setting {}", one.set_from), self.setting(one))
                + on(
                    format!("transfer {}", one.gauge),
                    if one.gauge == "BORE" { 0.000_122_474 } else { 0.0 },
                )
                + on(format!("hands {} {}", one.gauge, one.who), self.hands(one.gauge));
            let rectangle = 1e-6 / 3_f64.sqrt();
            let steel = 11.5e-6 + on(format!("steel {}", one.set_from), rectangle);
            let own = coefficient + on(format!("part {part}"), rectangle);
            let value = match one.warm {
                ("", _) => read,
                (of_part, "") => {
                    let over: f64 = of_part.parse::<f64>().unwrap() - 20.0;
                    let half = one.value * over * coefficient.max(11.5e-6 - coefficient);
                    read - on(format!("unsaid {} {}", one.set_from, one.drop), half / 3_f64.sqrt())
                }
                (of_part, of_gauge) => {
                    let over = |text: &str| text.parse::<f64>().unwrap() - 20.0;
                    read * (1.0 + steel * over(of_gauge)) / (1.0 + own * over(of_part))
                }
            };
            one.weight * value
        });
        result.sum()
    }

    fn u(self, seen: &[Seen]) -> f64 {
        let mut causes = BTreeMap::new();
        for (index, one) in seen.iter().enumerate() {
            let Seen { gauge, set_from, who, drop, part: (part, _), .. } = one;
            for name in [
                format!("own {index}"),
                format!("setting {set_from}"),
                format!("transfer {gauge}"),
                format!("hands {gauge} {who}"),
                format!("steel {set_from}"),
                format!("part {part}"),
                // The temperature that nobody took is another in each drop.
                format!("unsaid {set_from} {drop}"),
            ] {
                causes.insert(name, ());
            }
        }
        let still = self.result(seen, "");
        causes.keys().map(|name| (self.result(seen, name) - still).powi(2)).sum::<f64>().sqrt()
    }
}

const WARM: [(&str, &str); 4] = [("", ""), ("32", "23.5"), ("14", "20"), ("29", "")];

/// Every combination of certificate, study, temperatures, gauge and person of the second direction, and repeats.
#[test]
fn all_budgets_agree_with_moving_one_cause_after_another() {
    let mut compared = 0;
    for combination in 0..128_usize {
        let bit = |index: usize| combination >> index & 1 == 1;
        let known = Known { certified: bit(0), studied: bit(1) };
        let (warm_x, warm_y) = (WARM[combination >> 2 & 3], WARM[combination >> 4 & 3]);
        let (gauge_y, who_y) =
            (if bit(6) { "MIC2" } else { "MIC" }, if combination % 3 == 0 { "AK" } else { "LM" });
        let repeats = 1 + combination % 2 * 2;
        compared += one_combination(known, [warm_x, warm_y], gauge_y, who_y, repeats);
    }
    assert_eq!(compared, 128 * 3);
}

fn combination_drops(
    known: Known,
    [warm_x, warm_y]: [(&str, &str); 2],
    gauge_y: &str,
    who_y: &str,
    repeats: usize,
) -> Vec<Value> {
    let mut drops = small_engine();
    if known.certified {
        drops.push(certificate(100, "MIC", "micrometer", "0.0001", "2027-01-10"));
    }
    if known.studied {
        drops.extend([study(101, "LM", "MIC", 0), study(102, "AK", "MIC", 2)]);
    }
    let places = |direction: &str, values: [&str; 2]| {
        let each = ["front", "rear"].into_iter().zip(values);
        let once: Vec<Value> = each.map(|(s, value)| reading("journal", "1", s, direction, value)).collect();
        (0..repeats).flat_map(|_| once.clone()).collect::<Vec<_>>()
    };
    let shells = ["upper", "lower"].map(|s| reading("shell", "1", s, "crown", "0.0756")).to_vec();
    let set = |minute, gauge, readings| measured(minute, "as received", gauge, readings);
    drops.extend([
        warm(set(300, "MIC", places("X", ["2.2480", "2.2481"])), warm_x.0, warm_x.1),
        by(warm(set(301, gauge_y, places("Y", ["2.2480", "2.2477"])), warm_y.0, warm_y.1), who_y),
        warm(set(302, "BORE", vec![reading("housing", "1", "read", "read", "2.4018")]), warm_x.0, warm_x.1),
        set(303, "BALL", shells),
    ]);
    drops
}

fn one_combination(
    known: Known,
    [warm_x, warm_y]: [(&'static str, &'static str); 2],
    gauge_y: &'static str,
    who_y: &'static str,
    repeats: usize,
) -> usize {
    let drops = combination_drops(known, [warm_x, warm_y], gauge_y, who_y, repeats);
    let (_, job, judgement) = folded(&drops);
    assert!(judgement.questions.is_empty(), "{:#?}", judgement.questions);
    let place = |weight: f64, value: f64, is_x: bool| Seen {
        weight,
        value,
        gauge: if is_x { "MIC" } else { gauge_y },
        set_from: if is_x { "MIC" } else { gauge_y },
        who: if is_x { "LM" } else { who_y },
        drop: if is_x { 300 } else { 301 },
        repeats: if repeats == 1 { 1.0 } else { 3.0 },
        part: ("crank", 11.5e-6),
        warm: if is_x { warm_x } else { warm_y },
    };
    let housing =
        Seen { gauge: "BORE", part: ("block", 10.5e-6), repeats: 1.0, drop: 302, ..place(1.0, 2.4018, true) };
    let shell = Seen {
        gauge: "BALL",
        set_from: "BALL",
        part: ("shells", 11.5e-6),
        repeats: 1.0,
        warm: ("", ""),
        ..place(-1.0, 0.0756, true)
    };
    // By the size as corrected: the smallest and the largest of the four.
    let all = [(2.2480, true), (2.2481, true), (2.2480, false), (2.2477, false)];
    let corrected = |(value, is_x): &(f64, bool)| known.result(&[place(1.0, *value, *is_x)], "");
    let by_size = |a: &&(f64, bool), b: &&(f64, bool)| corrected(a).total_cmp(&corrected(b));
    let (smallest, largest) = (*all.iter().min_by(by_size).unwrap(), *all.iter().max_by(by_size).unwrap());
    let size = known.u(&[place(1.0, smallest.0, smallest.1)]);
    let plane = |x: f64, y: f64| known.u(&[place(1.0, x, true), place(-1.0, y, false)]);
    let round = plane(2.2480, 2.2480).max(plane(2.2481, 2.2477));
    let end = |(value, is_x): (f64, bool)| {
        known.u(&[housing.clone(), shell.clone(), shell.clone(), place(-1.0, value, is_x)])
    };
    let clearance = end(smallest).max(end(largest));
    let expected = [
        ("journal", "size", size),
        ("journal", "out-of-round", round),
        ("clearance 1", "clearance", clearance),
    ];
    for (name, characteristic, expected) in expected {
        let (_, found) = budget(&job, &judgement, name, characteristic);
        let off = (found.u / INCH / expected - 1.0).abs();
        assert!(off < 1e-3, "{name} {characteristic}: {} against {expected}\n{found:#?}", found.u / INCH);
    }
    expected.len()
}
