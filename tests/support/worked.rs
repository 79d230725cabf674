//! Values worked out from several readings: what a verdict says of them, and how unsure they are a second, slow way.
#![allow(dead_code, unreachable_pub, reason = "each test file uses its own part of this")]
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test that cannot go on should panic")]

use super::plain::{self, *};
use super::support::{folded, standing};
use benchdrop::judgement::{Judged, Verdict};
use benchdrop::metrology::Unit;
use serde_json::Value;

/// Readings: the unit, the gauge and a line of each feature.
pub type Read<'a> = (&'a str, &'a str, Vec<String>);

pub fn verdict_of(unit: &str, features: &[Value], read: &[Read<'_>], of: (&str, &str)) -> Verdict {
    let mut drops = engine(unit, features.to_vec(), vec![]);
    for (minute, (unit, gauge, lines)) in (20..).zip(read) {
        let lines: Vec<&str> = lines.iter().map(String::as_str).collect();
        drops.push(plain::read(&the_sheet(&drops), minute, "as received", unit, gauge, &lines));
    }
    let (_, job, judgement) = folded(&drops);
    assert!(job.held.is_empty(), "{:?}", job.held);
    assert!(judgement.questions.is_empty(), "{:?}", judgement.questions);
    let verdict = standing(&judgement, of.0, word(of.1)).clone();
    assert!(verdict.asked && !verdict.is_incomplete(), "{:?}", verdict.missing);
    verdict
}

pub fn judged_of(verdict: &Verdict) -> &Judged {
    verdict.judged.as_ref().unwrap()
}

/// Value in the verdict's unit, band, and the side in words.
pub fn says(verdict: &Verdict) -> String {
    let judged = judged_of(verdict);
    let value = format!("{} {}", judged.value.show(verdict.unit), verdict.unit.symbol());
    format!("{value}; {}; {}", judged.band.word(), verdict.side_words(None))
        .trim_end_matches([' ', ';'])
        .to_owned()
}

/// Standard uncertainty by moving each reading on its own by a hundredth of itself or so; `u` is that of one reading, in the
/// unit it is written in.
pub fn moved_one_by_one(
    unit: &str,
    features: &[Value],
    read: &[Read<'_>],
    of: (&str, &str),
    u: &[f64],
) -> f64 {
    let value = |read: &[Read<'_>]| judged_of(&verdict_of(unit, features, read, of)).value.to_mm();
    let at = value(read);
    let mut variance = 0.0;
    for (number, (symbol, gauge, lines)) in read.iter().enumerate() {
        let step = if Unit::from_symbol(symbol).unwrap().is_length() { "0.00001" } else { "0.001" };
        for (place, line) in lines.iter().enumerate() {
            let (surface, digits) = line.split_once(": ").unwrap();
            let digits: Vec<&str> = digits.split(' ').collect();
            for index in 0..digits.len() {
                let more = digits[index].parse::<f64>().unwrap() + step.parse::<f64>().unwrap();
                let written = format!("{more:.5}");
                let mut moved: Vec<&str> = digits.clone();
                moved[index] = &written;
                let mut lines = lines.clone();
                lines[place] = format!("{surface}: {}", moved.join(" "));
                let mut read = read.to_vec();
                read[number] = (symbol, gauge, lines);
                let slope = (value(&read) - at) / step.parse::<f64>().unwrap();
                variance += (slope * u[number]).powi(2);
            }
        }
    }
    variance.sqrt()
}

pub fn lines(lines: &[&str]) -> Vec<String> {
    lines.iter().map(|line| (*line).to_owned()).collect()
}

pub fn near(found: Option<f64>, expected: f64, what: &str) {
    let found = found.unwrap();
    assert!((found - expected).abs() < 2e-3 * expected, "{what}: {found} against {expected}");
}

pub fn with(mut feature: Value, more: Value) -> Value {
    for (key, value) in more.as_object().unwrap() {
        feature[key] = value.clone();
    }
    feature
}
