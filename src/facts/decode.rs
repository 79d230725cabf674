//! From the bytes of a paper to a fact, or every fault at once.

use crate::facts::body::{
    Body, CheckIn, Decision, HouseRules, Measurements, Operation, PartBody, People, thousandths,
};
use crate::facts::head::{Head, Recorded};
use crate::facts::json::{self, Unreadable};
use crate::facts::{Digest, Digits, Fact, JobKey, SizeWord, schema, unit_of};
use crate::metrology::{DigitsFault, Length, Unit};
use crate::sheets::written::SheetWritten;
use crate::sheets::{Fault, Faults, Sheet};
use serde::de::DeserializeOwned;
use serde_json::Value;
use std::sync::Arc;

/// Why a paper is not a fact.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Refusal {
    /// Not JSON, or not all there yet.
    Unreadable(Unreadable),
    /// JSON, but not a drop of ours; never empty.
    Faults(Faults),
}

/// Kinds that are about the shop and carry no job.
const SHOP_KINDS: [&str; 4] = ["gauge", "sheet", "house-rules", "people"];

/// Reads one drop. `own_site` is stamped on a bare job number.
///
/// # Errors
/// [`Refusal`]: the first break of unreadable bytes, or every fault of a readable document.
pub fn decode(bytes: &[u8], own_site: &str) -> Result<Fact, Refusal> {
    let document = json::parse(bytes).map_err(Refusal::Unreadable)?;
    let kind = kind_of(&document).map_err(|fault| Refusal::Faults(vec![fault]))?;
    let mut faults = schema::faults(kind, &document).unwrap_or_default();
    if !faults.is_empty() {
        return Err(Refusal::Faults(faults));
    }
    let head = head(&document, &mut faults);
    let job = job(kind, &head.job_written, own_site, &mut faults);
    let mut content = Vec::with_capacity(bytes.len());
    json::canonical(&document, &mut content);
    let body = body(kind, document, &mut faults);
    match body {
        Some(body) if faults.is_empty() => {
            Ok(Fact { id: Digest::of(&content), bytes: Digest::of(bytes), job, head, body })
        }
        Some(_) | None => Err(Refusal::Faults(faults)),
    }
}

/// The schema names the kinds, but which schema applies must be known first.
fn kind_of(document: &Value) -> Result<&'static str, Fault> {
    let kinds: Vec<&str> = schema::KINDS.iter().map(|(name, _, _)| *name).collect();
    let expected = format!("a JSON object with \"kind\": one of {}", kinds.join(", "));
    let found = match document.get("kind") {
        Some(Value::String(kind)) => match kinds.iter().find(|k| *k == kind) {
            Some(kind) => return Ok(kind),
            None => format!("\"kind\": {kind:?}"),
        },
        Some(other) => format!("\"kind\": {other}"),
        None => "no \"kind\"".to_owned(),
    };
    Err(Fault::new("/kind", found, expected).with_example("\"kind\": \"measurements\", \"version\": 1"))
}

fn text(document: &Value, key: &str) -> String {
    document.get(key).and_then(Value::as_str).unwrap_or_default().to_owned()
}

fn head(document: &Value, faults: &mut Faults) -> Head {
    let written = text(document, "recorded");
    let recorded = Recorded::parse(&written).unwrap_or_else(|| {
        let expected = "date and time with the offset from UTC, as in RFC 3339";
        faults.push(Fault::new("/recorded", written, expected).with_example("\"2026-03-02T09:15:00+01:00\""));
        Recorded::parse("2000-01-01T00:00:00Z").expect("a fixed time")
    });
    Head {
        job_written: text(document, "job"),
        who: text(document, "who"),
        recorded,
        device: text(document, "device"),
    }
}

fn job(kind: &str, written: &str, own_site: &str, faults: &mut Faults) -> Option<JobKey> {
    if written.is_empty() {
        let shop = SHOP_KINDS.contains(&kind) || kind == "withdrawal";
        if !shop {
            faults.push(Fault::new("/job", "no job", "the job's number").with_example("\"job\": \"24-017\""));
        }
        return None;
    }
    let key = JobKey::of(written, own_site);
    if key.is_none() {
        faults.push(Fault::new("/job", written, "a job number, NO or SITE/NO").with_example("\"24-017\""));
    }
    key
}

fn body(kind: &str, mut document: Value, faults: &mut Faults) -> Option<Body> {
    let value = document.get_mut("body").map(Value::take)?;
    match kind {
        "check-in" => shape(value, faults).map(|b: CheckIn| Body::CheckIn(Box::new(b))),
        "measurements" => {
            let mut set: Measurements = shape(value, faults)?;
            lengths(&mut set, faults);
            temperatures(&set, faults);
            Some(Body::Measurements(Box::new(set)))
        }
        "part" => {
            let mut part: PartBody = shape(value, faults)?;
            let unit = unit_of(&part.unit_symbol);
            for (index, stamp) in part.stamps.iter_mut().enumerate() {
                stamp.size = size(&stamp.written, unit, &format!("/body/stamps/{index}/size"), faults);
            }
            Some(Body::Part(part))
        }
        "operation" => {
            let mut operation: Operation = shape(value, faults)?;
            let unit = unit_of(&operation.unit_symbol);
            operation.finished =
                operation.written.as_deref().and_then(|w| size(w, unit, "/body/finished", faults));
            Some(Body::Operation(operation))
        }
        "decision" => decision(shape(value, faults)?, faults).map(Body::Decision),
        "withdrawal" => shape(value, faults).map(Body::Withdrawal),
        "sign-off" => shape(value, faults).map(Body::SignOff),
        "gauge" => shape(value, faults).map(Body::Gauge),
        "sheet" => sheet(shape(value, faults)?, faults),
        "house-rules" => house_rules(shape(value, faults)?, faults),
        "people" => Some(people(shape(value, faults)?, faults)),
        other => {
            faults.push(Fault::new("/kind", other, "a kind with a body of ours"));
            None
        }
    }
}

/// The schema has checked the shape; a difference between schema and type is still only a fault, not a panic.
fn shape<T: DeserializeOwned>(value: Value, faults: &mut Faults) -> Option<T> {
    serde_json::from_value(value)
        .map_err(|error| faults.push(Fault::new("/body", error.to_string(), "a body as the schema says")))
        .ok()
}

fn size(written: &str, unit: Unit, at: &str, faults: &mut Faults) -> Option<SizeWord> {
    let read = SizeWord::parse(written, unit);
    if read.is_none() {
        let expected = format!("standard, or a step in {} with under or over", unit.symbol());
        faults.push(Fault::new(at, written, expected).with_example("\"0.010 under\""));
    }
    read
}

fn decision(mut decision: Decision, faults: &mut Faults) -> Option<Decision> {
    if let Decision::AgreedWork(agreed) = &mut decision {
        let unit = unit_of(&agreed.unit_symbol);
        for (index, work) in agreed.work.iter_mut().enumerate() {
            let at = format!("/body/agreed-work/work/{index}/finished");
            work.finished = work.written.as_deref().and_then(|w| size(w, unit, &at, faults));
        }
    }
    Some(decision)
}

fn sheet(written: SheetWritten, faults: &mut Faults) -> Option<Body> {
    Sheet::read(&written)
        .map(|sheet| Body::Sheet(Arc::new(sheet)))
        .map_err(|mut found| faults.append(&mut found))
        .ok()
}

fn house_rules(rules: HouseRules, faults: &mut Faults) -> Option<Body> {
    for (index, instrument) in rules.instruments.iter().enumerate() {
        if instrument.figure().is_none() {
            let found = format!(
                "expanded {}, setting {}, transfer {}",
                instrument.expanded, instrument.setting, instrument.transfer
            );
            let expected =
                "half of expanded, squared, larger than setting and transfer squared: something repeats";
            faults.push(Fault::new(format!("/body/instruments/{index}"), found, expected));
        }
    }
    if !(0.5..1.0).contains(&rules.level()) {
        faults.push(
            Fault::new("/body/probability", &rules.probability.0, "at least 0.5 and less than 1")
                .with_example("\"0.95\""),
        );
    }
    Some(Body::HouseRules(Arc::new(rules)))
}

/// An address that the schema takes but no letter can be written to would leave its person untold.
fn people(people: People, faults: &mut Faults) -> Body {
    for (index, person) in people.people.iter().enumerate() {
        let Some(mail) =
            person.mail.as_deref().filter(|mail| mail.contains(['"', '[', '<', '(', ',', ';', '\\']))
        else {
            continue;
        };
        let expected = "a plain mail address, without quotes, brackets or a list";
        faults.push(
            Fault::new(format!("/body/people/{index}/mail"), mail, expected)
                .with_example("\"owner@shop.example\""),
        );
    }
    Body::People(Arc::new(people))
}

/// What cannot be used is said: a set must not pass for one brought to 20 degrees when it is not.
fn temperatures(set: &Measurements, faults: &mut Faults) {
    let Some(given) = &set.temperatures else { return };
    for (key, digits) in [("part", Some(&given.part)), ("gauge", given.gauge.as_ref())] {
        if let Some(digits) = digits.filter(|digits| thousandths(digits).is_none()) {
            let expected = "degrees Celsius, -50 to 200, at most 3 decimals";
            faults.push(
                Fault::new(format!("/body/temperatures/{key}"), &digits.0, expected).with_example("\"21.5\""),
            );
        }
    }
}

fn lengths(set: &mut Measurements, faults: &mut Faults) {
    let unit = set.unit();
    let setting = set.setting.as_ref().and_then(|digits| length(digits, unit, "/body/setting", faults));
    for (index, reading) in set.readings.iter_mut().enumerate() {
        let at = |key: &str| format!("/body/readings/{index}/{key}");
        let read = match (&reading.value, &reading.deviation) {
            (Some(value), None) => length(value, unit, &at("value"), faults),
            (None, Some(deviation)) => {
                if set.setting.is_none() {
                    let expected = "\"setting\" in the body: the size the gauge was set to";
                    faults.push(
                        Fault::new(at("deviation"), "a deviation without its setting", expected)
                            .with_example("\"setting\": \"3.6100\""),
                    );
                }
                length(deviation, unit, &at("deviation"), faults).zip(setting).map(|(d, s)| d + s)
            }
            (Some(_), Some(_)) => {
                faults.push(Fault::new(at("value"), "a value and a deviation", "one of them"));
                None
            }
            (None, None) => {
                faults.push(
                    Fault::new(at("value"), "no value", "a value or a deviation")
                        .with_example("\"value\": \"2.2488\""),
                );
                None
            }
        };
        reading.length = read.unwrap_or_default();
    }
}

fn length(digits: &Digits, unit: Unit, at: &str, faults: &mut Faults) -> Option<Length> {
    let why = match Length::parse(&digits.0, unit) {
        Ok(length) => return Some(length),
        Err(DigitsFault::NotANumber) => "digits with one decimal point".to_owned(),
        Err(DigitsFault::TooFine) => {
            format!("at most {} decimals in {}", unit.most_decimals(), unit.symbol())
        }
        Err(DigitsFault::TooLarge) => "at most five digits before the point".to_owned(),
    };
    faults.push(Fault::new(at, &digits.0, why).with_example("\"2.2488\""));
    None
}

/// How far ahead of our clock a recorded time may lie; later would win over everything for ever.
const MOST_AHEAD_HOURS: i64 = 24;

impl Fact {
    /// The fault of a drop recorded more than 24 hours ahead of `now`, if it is.
    #[must_use]
    pub fn too_far_ahead(&self, now: jiff::Timestamp) -> Option<Fault> {
        let ahead = self.head.recorded.instant().duration_since(now);
        (ahead > jiff::SignedDuration::from_hours(MOST_AHEAD_HOURS)).then(|| {
            let expected = "a time not more than 24 hours ahead of the shop's clock; set the device's clock and record again";
            Fault::new("/recorded", self.head.recorded.written(), expected)
        })
    }
}
