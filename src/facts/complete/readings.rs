//! Exact lengths of readings; temperatures that can be used.

use crate::facts::Digits;
use crate::facts::body::{Blades, Measurements, thousandths};
use crate::metrology::{DigitsFault, Length, Unit};
use crate::sheets::{Fault, Faults};

/// What cannot be used is said: a set must not pass for one brought to 20 degrees when it is not.
pub(super) fn temperatures(set: &Measurements, faults: &mut Faults) {
    let Some(given) = &set.temperatures else { return };
    for (key, digits) in [("part", Some(&given.part)), ("gauge", given.gauge.as_ref())] {
        if let Some(digits) = digits.filter(|digits| thousandths(digits).is_none()) {
            let expected = "degrees Celsius, -50 to 200, at most 3 decimals";
            faults.push(
                Fault::new(format!("/body/temperatures/{key}"), digits.0.as_str(), expected)
                    .with_example("\"21.5\""),
            );
        }
    }
}

/// A study is of one gauge, and is withdrawn whole where it is wrong.
pub(super) fn study(set: &Measurements, faults: &mut Faults) {
    if set.study.is_none() {
        return;
    }
    if set.gauge.is_none() {
        let expected = "the gauge that is studied";
        faults
            .push(Fault::new("/body/gauge", "a study without a gauge", expected).with_example("\"MIC-23\""));
    }
    if set.corrects.is_some() {
        let expected = "no correction in a study: withdraw the other drop and say all of it again";
        faults.push(Fault::new("/body/corrects", "a correction", expected));
    }
}

pub(super) fn lengths(set: &mut Measurements, faults: &mut Faults) {
    let unit = set.unit();
    let setting = set.setting.as_ref().and_then(|digits| length(digits, unit, "/body/setting", faults));
    let is_study = set.study.is_some();
    for (index, reading) in set.readings.iter_mut().enumerate() {
        let at = |key: &str| format!("/body/readings/{index}/{key}");
        let read = match (&reading.value, &reading.deviation, &mut reading.blades) {
            (Some(value), None, None) => length(value, unit, &at("value"), faults),
            (None, None, Some(between)) if is_study => {
                let expected = "a value: between two blades nothing scatters, so a study learns nothing";
                faults.push(Fault::new(at("blades"), between.not_in.0.as_str(), expected));
                None
            }
            (None, None, Some(between)) => blades(between, unit, &at("blades"), faults),
            (None, Some(deviation), None) => {
                if set.setting.is_none() {
                    let expected = "\"setting\" in the body: the size the gauge was set to";
                    faults.push(
                        Fault::new(at("deviation"), "a deviation without its setting", expected)
                            .with_example("\"setting\": \"3.6100\""),
                    );
                }
                length(deviation, unit, &at("deviation"), faults).zip(setting).map(|(d, s)| d + s)
            }
            (Some(_), Some(_), None) => {
                faults.push(Fault::new(at("value"), "a value and a deviation", "one of them"));
                None
            }
            (Some(_), _, Some(_)) | (None, Some(_), Some(_)) => {
                let expected = "only one of value, deviation and blades";
                faults.push(Fault::new(at("blades"), "blades beside a value", expected));
                None
            }
            (None, None, None) => {
                faults.push(
                    Fault::new(at("value"), "no value", "a value, a deviation or blades")
                        .with_example("\"value\": \"2.2488\""),
                );
                None
            }
        };
        reading.length = read.unwrap_or_default();
    }
    // Statements are kept in memory by the thousand; a list grown while it was read has room for half as many again.
    set.readings.shrink_to_fit();
}

/// The blade that goes in, with what lies between it and the next.
fn blades(blades: &mut Blades, unit: Unit, at: &str, faults: &mut Faults) -> Option<Length> {
    if !unit.is_length() {
        faults.push(Fault::new(at, "blades", "a value: blades are lengths, in or mm"));
        return None;
    }
    let goes_in = length(&blades.goes_in, unit, &format!("{at}/goes-in"), faults)?;
    let not_in = length(&blades.not_in, unit, &format!("{at}/not-in"), faults)?;
    if not_in <= goes_in {
        let found = format!("{} does not go in and {} does", blades.not_in, blades.goes_in);
        let expected = "a blade thicker than the one that goes in";
        faults.push(Fault::new(format!("{at}/not-in"), found, expected));
        return None;
    }
    blades.apart = not_in - goes_in;
    Some(goes_in)
}

pub(super) fn length(digits: &Digits, unit: Unit, at: &str, faults: &mut Faults) -> Option<Length> {
    let why = match Length::parse(&digits.0, unit) {
        Ok(length) => return Some(length),
        Err(DigitsFault::NotANumber) => "digits with one decimal point".to_owned(),
        Err(DigitsFault::TooFine) => {
            format!("at most {} decimals in {}", unit.most_decimals(), unit.symbol())
        }
        Err(DigitsFault::TooLarge) => "at most five digits before the point".to_owned(),
    };
    faults.push(Fault::new(at, digits.0.as_str(), why).with_example("\"2.2488\""));
    None
}
