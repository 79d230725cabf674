//! Studies of the shop's gauges: how each repeats in whose hands, and how people and gauges differ.

use crate::metrology::budget::digits;
use crate::metrology::study::Spreads;
use crate::metrology::{Quantity, Unit};
use crate::pages::section::{Section, Table};
use crate::shop::StudyNow;
use serde_json::{Value, json};

/// Lengths are shown in both units, since a study knows no engine.
fn shown(value: f64, unit: Unit) -> String {
    if unit.is_length() {
        format!("{} mm ({} in)", digits(value), digits(value / Unit::Inch.scale()))
    } else {
        format!("{} {}", digits(value / unit.scale()), unit.symbol())
    }
}

/// Every study: how people differ, how each repeats, and what the spread is made of; nothing where there is no study.
pub(super) fn studies(studies: &[StudyNow]) -> Section {
    let mut section = Section::new("studies", "Studies of gauges");
    for study in studies {
        section.table(hands(study));
        section.table(spreads(study));
        section.table(between_gauges(study));
        for gauge in &study.gauges {
            if let Some(words) = of_finish(gauge.unit) {
                section.line(format!("{}, {}: {words}", study.study, gauge.gauge));
            }
            if let Err(why) = &gauge.variance {
                section.line(format!(
                    "{}, {}: people and parts are not told apart: {why}",
                    study.study, gauge.gauge
                ));
            }
        }
    }
    section
}

/// Microns are what finish is read in: who means a length by them is told, since such a study counts for none.
fn of_finish(unit: Unit) -> Option<String> {
    (unit.quantity() == Quantity::Roughness).then(|| {
        format!(
            "read in {}, which is roughness here and says nothing of lengths; where lengths were meant, withdraw it and \
             write them in mm or in",
            unit.symbol()
        )
    })
}

/// Who reads more or less than all, and how each repeats.
fn hands(study: &StudyNow) -> Table {
    let head = ["Hands", "Bias between people", "Repeat", "Degrees of freedom"];
    let mut table = Table::of(format!("{}: people", study.study), &head);
    for gauge in &study.gauges {
        let bias = gauge.variance.as_ref().map_or(&[][..], |found| found.bias.as_slice());
        for (who, spread) in &gauge.hands {
            let by = bias.iter().find(|bias| bias.person == *who).filter(|_| bias.len() > 1);
            let repeat =
                spread.deviation().map_or_else(|| "no reading twice".to_owned(), |s| shown(s, gauge.unit));
            table.row(vec![
                format!("{who} with {}", gauge.gauge).into(),
                by.map_or_else(|| "nobody else read it".to_owned(), |bias| reads(bias.by, gauge.unit)).into(),
                repeat.into(),
                format!("{:.0}", spread.freedom).into(),
            ]);
        }
    }
    table
}

fn reads(by: f64, unit: Unit) -> String {
    let more = if by < 0.0 { "less" } else { "more" };
    format!("reads {} {more} than all", shown(by.abs(), unit))
}

/// What readings of one part, of several people and of several parts differ by.
fn spreads(study: &StudyNow) -> Table {
    let head = ["Gauge", "How", "Repeat", "Between people", "People from part to part", "Part spread"];
    let mut table = Table::of(format!("{}: what the spread is made of", study.study), &head);
    for gauge in &study.gauges {
        let by_variance = gauge.variance.as_ref().ok().map(|found| ("analysis of variance", &found.spreads));
        let by_range = gauge.ranges.as_ref().map(|found| ("average and range", &found.spreads));
        for (how, found) in by_variance.into_iter().chain(by_range) {
            let cell =
                |value: Option<f64>| value.map_or_else(String::new, |value| shown(value, gauge.unit)).into();
            table.row(vec![
                gauge.gauge.clone().into(),
                how.into(),
                cell(Some(found.repeat)),
                cell(found.people),
                cell(found.person_by_part),
                cell(found.parts),
            ]);
        }
    }
    table
}

fn between_gauges(study: &StudyNow) -> Table {
    let mut table = Table::of(format!("{}: between gauges", study.study), &["Gauge", "Bias between gauges"]);
    let unit = study.gauges.first().map_or(Unit::Millimetre, |gauge| gauge.unit);
    for (who, gauge, by) in &study.between_gauges {
        table.row(vec![format!("{gauge} in the hands of {who}").into(), reads(*by, unit).into()]);
    }
    table
}

/// For programs; numbers are decimal text in `unit`.
pub(super) fn studies_json(studies: &[StudyNow]) -> Value {
    studies.iter().map(study_json).collect()
}

fn study_json(study: &StudyNow) -> Value {
    let gauges = study.gauges.iter().map(|gauge| {
        let number = |value: f64| digits(value / gauge.unit.scale());
        let of = |found: &Spreads| {
            json!({"repeat": number(found.repeat), "people": found.people.map(number),
            "people-by-part": found.person_by_part.map(number), "parts": found.parts.map(number)})
        };
        let variance = gauge.variance.as_ref();
        json!({
            "gauge": gauge.gauge, "unit": gauge.unit.symbol(),
            "hands": gauge.hands.iter().map(|(who, spread)| json!({
                "who": who, "repeat": spread.deviation().map(number), "freedom": spread.freedom,
            })).collect::<Vec<_>>(),
            "variance": variance.ok().map(|found| of(&found.spreads)),
            "ranges": gauge.ranges.as_ref().map(|found| of(&found.spreads)),
            "bias": variance.map_or_else(|_| Vec::new(), |found| found.bias.iter().map(|bias| json!({
                "who": bias.person, "by": number(bias.by),
            })).collect()),
            "why-not": variance.err(), "of-finish": of_finish(gauge.unit),
        })
    });
    let unit = study.gauges.first().map_or(Unit::Millimetre, |gauge| gauge.unit);
    json!({
        "study": study.study, "gauges": gauges.collect::<Vec<_>>(),
        "between-gauges": study.between_gauges.iter().map(|(who, gauge, by)| json!({
            "who": who, "gauge": gauge, "by": digits(by / unit.scale()),
        })).collect::<Vec<_>>(),
    })
}
