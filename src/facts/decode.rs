//! From the bytes of a paper to a fact, or every fault at once.

use crate::facts::complete::body;
use crate::facts::head::{Head, Recorded};
use crate::facts::json::{self, Unreadable};
use crate::facts::{Digest, Fact, JobKey, picture, schema, table};
use crate::sheets::{Fault, Faults};
use serde_json::Value;

/// Why a paper is not a fact.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Refusal {
    /// Not JSON, or not all there yet.
    Unreadable(Unreadable),
    /// JSON, but not a drop of ours; never empty.
    Faults(Faults),
}

/// Kinds that are about the shop and carry no job.
const SHOP_KINDS: [&str; 5] = ["gauge", "sheet", "house-rules", "people", "price-list"];

/// Reads one drop. `own_site` is stamped on a bare job number.
///
/// # Errors
/// [`Refusal`]: the first break of unreadable bytes, or every fault of a readable document.
pub fn decode(bytes: &[u8], own_site: &str) -> Result<Fact, Refusal> {
    let Some(table) = table::read(bytes) else {
        let document = json::parse(bytes).map_err(Refusal::Unreadable)?;
        return statement(document, bytes, own_site).map_err(Refusal::Faults);
    };
    let mut table = table.map_err(Refusal::Unreadable)?;
    let document = table.document.take();
    let read = if table.is_faulty() {
        // Not to be taken, but all its faults are said at once.
        Err(kind_of(&document)
            .map_or_else(|fault| vec![fault], |kind| schema::faults(kind, &document).unwrap_or_default()))
    } else {
        statement(document, bytes, own_site)
    };
    read.map_err(|faults| Refusal::Faults(table.all_faults(faults)))
}

/// A drop that was accepted before, as the ledger or the folder of filed papers has it. What today's door refuses and an
/// earlier one took is taken as it was: a leap second in a minute that has none ([`Recorded::never_was`]).
///
/// # Errors
/// As [`decode`].
pub fn decode_kept(bytes: &[u8], own_site: &str) -> Result<Fact, Refusal> {
    let refusal = match decode(bytes, own_site) {
        Ok(fact) => return Ok(fact),
        Err(refusal) => refusal,
    };
    let read = match table::read(bytes) {
        Some(table) => table.ok().map(|table| table.document),
        None => json::parse(bytes).ok(),
    };
    read.and_then(|document| kept(document, bytes, own_site)).ok_or(refusal)
}

/// The statement of a document with such times; `None` where that is not what is wrong with it.
fn kept(document: Value, bytes: &[u8], own_site: &str) -> Option<Fact> {
    let mut content = Vec::with_capacity(bytes.len());
    json::canonical(&document, &mut content);
    let recorded = Recorded::kept(text(&document, "recorded"))?;
    let mut mended = document;
    for at in ["/recorded", "/body/bad-since"] {
        let Some(Value::String(written)) = mended.pointer_mut(at) else { continue };
        if Recorded::kept(written).is_some_and(|time| time.never_was()) {
            written.replace_range(17..19, "59");
        }
    }
    let fact = statement(mended, bytes, own_site).ok()?;
    Some(Fact { id: Digest::of(&content), head: Head { recorded, ..fact.head }, ..fact })
}

/// The bytes of an embedded picture, from the bytes of the drop that holds it; `None` where it holds none of this hash.
#[must_use]
pub fn picture_in(drop: &[u8], hash: &Digest) -> Option<Vec<u8>> {
    let document = match table::read(drop) {
        Some(table) => table.ok()?.document,
        None => json::parse(drop).ok()?,
    };
    picture::bytes_in(&document, hash)
}

/// A document as a fact. `bytes` are those it came in.
fn statement(document: Value, bytes: &[u8], own_site: &str) -> Result<Fact, Faults> {
    let kind = kind_of(&document).map_err(|fault| vec![fault])?;
    let mut faults = schema::faults(kind, &document).unwrap_or_default();
    if !faults.is_empty() {
        return Err(faults);
    }
    let head = head(&document, &mut faults);
    let is_study = document.pointer("/body/study").is_some();
    let job = job(kind, is_study, &head.job_written, own_site, &mut faults);
    let mut content = Vec::with_capacity(bytes.len());
    json::canonical(&document, &mut content);
    let body = body(kind, document, &mut faults);
    match body {
        Some(body) if faults.is_empty() => {
            Ok(Fact { id: Digest::of(&content), bytes: Digest::of(bytes), job, head, body })
        }
        Some(_) | None => Err(faults),
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

fn text<'d>(document: &'d Value, key: &str) -> &'d str {
    document.get(key).and_then(Value::as_str).unwrap_or_default()
}

fn head(document: &Value, faults: &mut Faults) -> Head {
    let written = text(document, "recorded");
    let recorded = Recorded::parse(written).unwrap_or_else(|| {
        let expected = "date and time with the offset from UTC, as in RFC 3339";
        faults.push(Fault::new("/recorded", written, expected).with_example("\"2026-03-02T09:15:00+01:00\""));
        Recorded::parse("2000-01-01T00:00:00Z").expect("a fixed time")
    });
    Head {
        job_written: text(document, "job").into(),
        who: text(document, "who").into(),
        recorded,
        device: text(document, "device").into(),
    }
}

fn job(kind: &str, is_study: bool, written: &str, own_site: &str, faults: &mut Faults) -> Option<JobKey> {
    if written.is_empty() {
        let shop = SHOP_KINDS.contains(&kind) || kind == "withdrawal" || is_study;
        if !shop {
            faults.push(Fault::new("/job", "no job", "the job's number").with_example("\"job\": \"24-017\""));
        }
        return None;
    }
    if is_study {
        faults.push(Fault::new("/job", written, "no job: a study is of the shop's gauges, not of an engine"));
        return None;
    }
    let key = JobKey::of(written, own_site);
    if key.is_none() {
        faults.push(Fault::new("/job", written, "a job number, NO or SITE/NO").with_example("\"24-017\""));
    }
    key
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
