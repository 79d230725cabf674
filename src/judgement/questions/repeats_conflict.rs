//! Repeats of one place that differ by more than the gauge explains.
//!
//! The range of n repeats is compared with the 95 percent point of the range of n normal readings times what one of
//! them is apart from another by as a standard deviation: its repeat, and where gauges, hands or temperatures are
//! not the same, what each of them alone is off by. Without a figure nothing is known to compare with, and nothing
//! is asked. Once a named person has confirmed every reading of the place, they count together.

use super::QuestionWhy;
use crate::judgement::errors::{PlaceError, difference_error};
use crate::metrology::repeats::range_factor;
use crate::metrology::{Exact, Unit};
use crate::shop::Reading;
use std::sync::Arc;

pub(super) fn why(unit: Unit, readings: &[&Reading]) -> Option<QuestionWhy> {
    if readings.len() < 2 {
        return None;
    }
    let sigma = apart_by(readings)?;
    let usual = range_factor(readings.len()) * sigma;
    let range = range(readings)?;
    // A range that equals the usual one on the decimal grid is not larger than it.
    (range.to_mm() > usual * (1.0 + 1e-9)).then(|| QuestionWhy::Repeats {
        range: shown(range.show(unit), unit),
        usual: shown(rounded(usual, unit), unit),
    })
}

/// What one is apart from another by, as a standard deviation over all pairs; `None` where nothing is known of a gauge.
/// A hundred repeats are of few kinds, and pairs of the same two kinds are apart alike.
fn apart_by(readings: &[&Reading]) -> Option<f64> {
    let mut kinds: Vec<(f64, &Reading)> = Vec::new();
    for &reading in readings {
        match kinds.iter_mut().find(|(_, known)| errs_like(known, reading)) {
            Some((count, _)) => *count += 1.0,
            None => kinds.push((1.0, reading)),
        }
    }
    let errors: Vec<(f64, PlaceError)> =
        kinds.into_iter().map(|(count, of)| Some((count, PlaceError::of_one(of)?))).collect::<Option<_>>()?;
    let (mut pairs, mut sum) = (0.0, 0.0);
    for (index, (count, one)) in errors.iter().enumerate() {
        let among = (count * (count - 1.0) / 2.0, one);
        let others = errors.iter().skip(index + 1).map(|(more, other)| (count * more, other));
        for (many, other) in std::iter::once(among).chain(others) {
            pairs += many;
            sum += many * half(one, other);
        }
    }
    Some((sum / pairs).sqrt())
}

/// Against any other reading of the place both err alike: by one gauge in one person's hands, at one temperature, and of one
/// drop where something was taken once for a drop.
fn errs_like(one: &Reading, other: &Reading) -> bool {
    let of_drop = one.warmth.of_drop() != 0.0;
    let gauges = one.gauge.as_ref().zip(other.gauge.as_ref());
    gauges.is_some_and(|(gauge, of_other)| Arc::ptr_eq(gauge, of_other) || gauge == of_other)
        && one.between == other.between
        && one.warmth == other.warmth
        && (!of_drop || one.fact == other.fact)
}

/// Half of the square of a difference is the variance of one of the two.
fn half(one: &PlaceError, other: &PlaceError) -> f64 {
    difference_error(one, other).powi(2) / 2.0 - alike(one, other).powi(2)
}

/// What both have of this place's own: how one person takes it, which repeats of theirs have alike.
fn alike(one: &PlaceError, other: &PlaceError) -> f64 {
    let hands = one.gauge.one_reading().filter(|_| one.gauge.is_in_hands_of(&other.gauge));
    hands.map_or(0.0, |hands| hands.by_part)
}

fn range(readings: &[&Reading]) -> Option<Exact> {
    let values = || readings.iter().map(|reading| reading.value);
    Some(values().max()? - values().min()?)
}

fn rounded(mm: f64, unit: Unit) -> String {
    let decimals = if unit == Unit::Inch { 5 } else { 4 };
    format!("{:.decimals$}", mm / unit.scale())
}

fn shown(digits: String, unit: Unit) -> String {
    format!("{digits} {}", unit.symbol())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::facts::{JobKey, decode};
    use crate::shop::{FactSet, Job, Shop};
    use serde_json::{Value, json};

    const SHEET: &str = include_str!("../../../schemas/examples/sheet.v1/pass/ov-24.json");

    fn drop(minute: u32, who: &str, kind: &str, body: &Value) -> Value {
        let recorded = format!("2026-03-02T09:{minute:02}:00Z");
        json!({"kind": kind, "version": 1, "who": who, "recorded": recorded, "body": body})
    }

    /// A shop that knows one person of two by a study, two gauges set from one another, and what temperatures leave open.
    fn shop() -> Vec<Value> {
        let figure = json!({"instrument": "micrometer", "unit": "in", "expanded": "0.00025", "setting": "0.000075",
            "transfer": "0.00003"});
        let rules = json!({"revision": 1, "probability": "0.95", "instruments": [figure], "stock": [],
            "temperatures": {"unsaid": "5", "thermometer": "1"}});
        let pin =
            |part: u32, value: &str| json!({"feature": "pin", "position": part.to_string(), "value": value});
        let pins = [
            pin(1, "2.2488"),
            pin(1, "2.2489"),
            pin(2, "2.2491"),
            pin(2, "2.2493"),
            pin(3, "2.2490"),
            pin(3, "2.2491"),
        ];
        let study =
            json!({"study": "pins", "condition": "cleaned", "gauge": "A", "unit": "in", "readings": pins});
        let other = json!({"study": "pins", "condition": "cleaned", "gauge": "A", "unit": "in", "readings":
            pins.iter().map(|pin| { let mut pin = pin.clone(); pin["value"] = "2.2495".into(); pin }).collect::<Vec<_>>()});
        vec![
            drop(0, "LM", "house-rules", &rules),
            drop(1, "LM", "gauge", &json!({"gauge": "A", "instrument": "micrometer"})),
            drop(1, "LM", "gauge", &json!({"gauge": "B", "instrument": "micrometer", "set-by": "A"})),
            drop(2, "LM", "measurements", &study),
            drop(2, "RH", "measurements", &other),
        ]
    }

    fn read(minute: u32, who: &str, gauge: &str, warm: Option<(&str, &str)>, values: &[&str]) -> Value {
        let one = |value: &&str| {
            json!({"feature": "bore", "position": "1", "station": "top",
            "direction": "X", "value": value})
        };
        let mut body = json!({"condition": "as received", "gauge": gauge, "unit": "in",
            "readings": values.iter().map(one).collect::<Vec<_>>()});
        if let Some((part, gauge)) = warm {
            body["temperatures"] = json!({"part": part, "gauge": gauge});
        }
        let mut drop = drop(minute, who, "measurements", &body);
        drop["job"] = "24-017".into();
        drop
    }

    fn of_one_place(drops: &[Value]) -> Vec<Reading> {
        let all = drops.iter().map(Value::to_string).chain([SHEET.to_owned()]);
        let (mut state, mut shop) = (FactSet::default(), FactSet::default());
        for text in all {
            let fact = Arc::new(decode(text.as_bytes(), "main").expect("a drop"));
            if fact.job.is_some() {
                state.insert(fact)
            } else {
                shop.insert(fact)
            };
        }
        let key = JobKey::of("24-017", "main").expect("a job");
        let job = Job::fold(&key, &state, &Shop::fold(&shop));
        assert_eq!(job.held.len(), 0, "{:?}", job.held);
        let sets = job.surfaces.into_values().flat_map(|surface| surface.sets.into_values());
        sets.flat_map(|set| set.readings.into_values().flatten()).collect()
    }

    /// Every pair by itself, as the sum is defined.
    fn by_pairs(readings: &[&Reading]) -> f64 {
        let errors: Vec<PlaceError> =
            readings.iter().map(|reading| PlaceError::of_one(reading).expect("a figure")).collect();
        let pairs = errors.iter().enumerate();
        let halves: Vec<f64> =
            pairs.flat_map(|(n, one)| errors.iter().skip(n + 1).map(|other| half(one, other))).collect();
        #[expect(clippy::cast_precision_loss, reason = "few pairs")]
        let count = halves.len() as f64;
        (halves.iter().sum::<f64>() / count).sqrt()
    }

    #[test]
    fn pairs_of_two_kinds_are_apart_alike() {
        let check_in = json!({"sheet": "OV-24", "customer": {"name": "Ferrowmere Mill"}, "engine": {"serial": "1"},
            "scope": ["complete"]});
        let mut came = drop(5, "LM", "check-in", &check_in);
        came["job"] = "24-017".into();
        let mut drops = shop();
        drops.extend([
            came,
            read(10, "LM", "A", None, &["3.6110", "3.6110", "3.6112"]),
            read(11, "LM", "A", None, &["3.6110"]),
            read(12, "LM", "A", Some(("31", "24")), &["3.6112", "3.6114"]),
            read(13, "LM", "A", Some(("31", "24")), &["3.6112"]),
            read(14, "RH", "A", Some(("31", "24")), &["3.6116"]),
            read(15, "LM", "B", None, &["3.6109", "3.6112"]),
            read(16, "Nobody Studied", "B", Some(("20", "20")), &["3.6113"]),
        ]);
        let readings = of_one_place(&drops);
        assert_eq!(readings.len(), 11);
        // All of them, and every one left out in turn.
        for left_out in 0..=readings.len() {
            let some: Vec<&Reading> = readings
                .iter()
                .enumerate()
                .filter(|(n, _)| *n != left_out)
                .map(|(_, reading)| reading)
                .collect();
            let (kinds, pairs) = (apart_by(&some).expect("figures"), by_pairs(&some));
            assert!(pairs > 0.0 && (kinds - pairs).abs() < 1e-12 * pairs, "{kinds} and {pairs}");
        }
        let kinds = readings.iter().filter(|one| errs_like(one, &readings[0])).count();
        assert_eq!(
            kinds, 2,
            "one value in one drop: where nobody took a temperature, another drop errs otherwise"
        );
    }
}
