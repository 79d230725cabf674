//! Size: the worst of all places against the limit that decides.
//!
//! Wear of a shaft or wall is asked of its smallest reading, of a bore of its largest; after machining both
//! ends of the tolerance count. The probability is that of *all* places conforming at once: they share the
//! error of the gauge's setting and each has its own repeat error.

use crate::judgement::deciding::Deciding;
use crate::judgement::judged::{Band, Judged, Note, PlaceShown, proof};
use crate::judgement::rules::{Bench, gauges_used, readings_used, shown};
use crate::judgement::values::{PlaceError, PlaceValue, Values};
use crate::metrology::Exact;
use crate::metrology::normal::phi;
use crate::metrology::proof::{PlaceMargin, all_places_conform};
use crate::sheets::{Limits, Shape};
use std::collections::BTreeMap;

pub(super) const RULE: &str =
    "smallest of a shaft or wall, largest of a bore, over all places of the position";
pub(super) const SOURCE: &str = "trade notes 0.3 and F1: all places conform, shared and repeat errors apart; JCGM 106 decision at the house level";

pub(super) fn judge(bench: &Bench<'_>, values: &Values, deciding: Option<Deciding>) -> Option<Judged> {
    let smallest = values.values().map(|v| v.mean).min()?;
    let largest = values.values().map(|v| v.mean).max()?;
    let worn = match bench.feature.shape {
        Shape::Bore => largest,
        Shape::Shaft | Shape::Wall => smallest,
    };
    let unworn = if worn == largest { smallest } else { largest };
    let band_of = |value: Exact| deciding.map_or(Band::New, |d| d.band(value));
    // The worn side is the question; the other end is the value only where it alone is out.
    let (value, band) = match (band_of(worn), band_of(unworn)) {
        (band @ Band::Beyond(_), _) => (worn, band),
        (_, band @ Band::Beyond(_)) => (unworn, band),
        (a, b) => (worn, a.max(b)),
    };
    let probability = deciding.and_then(|d| conformity(values, &d.proof));
    let u =
        values.values().find(|v| v.mean == value).and_then(|v| v.error.as_ref()).map(PlaceError::combined);
    let mut notes = Vec::new();
    if let Some(deciding) = deciding {
        if deciding.proof.touches(value) {
            notes.push(Note::OnLimit);
        }
        if u.is_some_and(|u| cannot_judge(&deciding, u, bench.level)) {
            notes.push(Note::CannotJudge);
        }
    }
    Some(Judged {
        value,
        other: None,
        deciding,
        band,
        probability,
        proof: proof(band, probability, bench.level),
        u,
        places: shown(bench.feature, values).collect::<Vec<PlaceShown>>(),
        readings: readings_used(values.values()),
        gauges: gauges_used(values.values()),
        corrected: values.values().any(|v| v.corrected),
        rule: RULE,
        source: SOURCE,
        notes,
    })
}

/// Probability that every place lies inside the sides that need proof. Places of different gauges share
/// nothing, so their products are independent.
fn conformity(values: &Values, limits: &Limits) -> Option<f64> {
    let mut by_gauge: BTreeMap<&str, (f64, Vec<PlaceMargin>)> = BTreeMap::new();
    for value in values.values() {
        let error = value.error.as_ref()?;
        let entry = by_gauge.entry(&error.gauge.mark).or_insert_with(|| (error.shared(), Vec::new()));
        entry.0 = entry.0.max(error.shared());
        entry.1.push(margin(value, error.repeat, limits));
    }
    Some(by_gauge.values().map(|(shared, places)| all_places_conform(places, *shared)).product())
}

fn margin(value: &PlaceValue, repeat: f64, limits: &Limits) -> PlaceMargin {
    PlaceMargin {
        low: limits.min.map(|min| (value.mean - min).to_mm()),
        high: limits.max.map(|max| (max - value.mean).to_mm()),
        repeat,
    }
}

/// Nothing could be proven: even the best value of the tolerance has less than the asked probability. For a
/// one-sided service limit the tolerance is the distance from new to service.
fn cannot_judge(deciding: &Deciding, u: f64, level: f64) -> bool {
    if let Some(width) = deciding.proof.width() {
        return 2.0 * phi(width.to_mm() / (2.0 * u)) - 1.0 < level;
    }
    let from_new =
        |bound: Option<Exact>, new: Option<Exact>| bound.zip(new).map(|(b, n)| (b - n).abs().to_mm());
    let new = deciding.new;
    let distance = from_new(deciding.proof.min, new.and_then(|n| n.min))
        .or_else(|| from_new(deciding.proof.max, new.and_then(|n| n.max)));
    distance.is_some_and(|distance| phi(distance / u) < level)
}
