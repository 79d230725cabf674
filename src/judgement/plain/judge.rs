//! The one mechanism of plain values: the end that counts, its band, and how sure it is.
//!
//! The probability is that of *all* places conforming at once (`together`): places of one gauge share the error of its
//! setting and have each their own repeat error. A feeler or a gauging strip gives an interval, not a value
//! with a normal error: each of its places is a rectangle of its own half-width. So is a gap between two blades, with
//! ends as sure as the blades are.

use crate::judgement::deciding::Deciding;
use crate::judgement::errors::PlaceError;
use crate::judgement::judged::{Band, Judged, Note, PlaceShown, proof};
use crate::judgement::plain::Plain;
use crate::judgement::plain::together::{conformity, shows};
use crate::judgement::rules::{Bench, gauges_used, readings_used, shown};
use crate::judgement::values::{Values, end};
use crate::metrology::Exact;
use crate::metrology::normal::phi;
use crate::sheets::{Column, Side};

/// Judges the places of one surface. `None` where there are none.
pub(in crate::judgement) fn judge(
    bench: &Bench<'_>,
    plain: &Plain,
    values: &Values,
    deciding: Option<Deciding>,
) -> Option<Judged> {
    let (value, band) = which_counts(bench, plain, values, deciding)?;
    let probability = deciding.and_then(|d| conformity(values, &d.proof));
    let error = end(values.values().filter(|v| v.mean == value), true).and_then(|v| v.error.as_ref());
    let mut notes = Vec::new();
    if let Some(half) = error.and_then(PlaceError::blades_apart) {
        notes.push(Note::BetweenBlades { goes_in: value - half, not_in: value + half });
    }
    if let Some(deciding) = deciding {
        if deciding.proof.touches(value) {
            notes.push(Note::OnLimit);
        }
        // Blades closer together would prove more.
        let by_value = error.filter(|error| error.blades_apart().is_none());
        if let Some(error) = by_value.filter(|error| cannot_judge(bench, &deciding, error)) {
            let three = PlaceError { repeat: error.repeat * error.left_by_three(), ..error.clone() };
            notes.push(Note::CannotJudge { three_would_do: !cannot_judge(bench, &deciding, &three) });
        }
    }
    let judged = Judged {
        value,
        other: None,
        deciding,
        band,
        probability,
        proof: proof(band, probability, bench.level),
        u: error.map(PlaceError::combined),
        rests: error.map(|error| (1.0, error.clone())).into_iter().collect(),
        places: shown(bench.feature, values).collect::<Vec<PlaceShown>>(),
        readings: readings_used(values.values()),
        gauges: gauges_used(values.values()),
        corrected: values.values().any(|v| v.corrected),
        rule: plain.rule,
        source: plain.source,
        notes,
    };
    Some(judged.unless_noise(bench.level, || shows(values, &deciding?.proof)))
}

/// The end the question is about, unless only the other end is out.
fn which_counts(
    bench: &Bench<'_>,
    plain: &Plain,
    values: &Values,
    deciding: Option<Deciding>,
) -> Option<(Exact, Band)> {
    let smallest = values.values().map(|v| v.mean).min()?;
    let largest = values.values().map(|v| v.mean).max()?;
    let (asked, other) = match plain.counts.end(bench.feature.shape) {
        Some(Side::Above) => (largest, smallest),
        Some(Side::Below) => (smallest, largest),
        None => nearer_first(deciding, smallest, largest),
    };
    let band_of = |value: Exact| deciding.map_or(Band::New, |d| d.band(value));
    Some(match (band_of(asked), band_of(other)) {
        // Where both are out on one side, the one that is further out.
        (Band::Beyond(Side::Below), band @ Band::Beyond(Side::Below)) => (smallest, band),
        (Band::Beyond(Side::Above), band @ Band::Beyond(Side::Above)) => (largest, band),
        (band @ Band::Beyond(_), _) => (asked, band),
        (_, band @ Band::Beyond(_)) => (other, band),
        (a, b) => (asked, a.max(b)),
    })
}

/// Where neither end is the worn one: the end with less left to its limit.
fn nearer_first(deciding: Option<Deciding>, smallest: Exact, largest: Exact) -> (Exact, Exact) {
    let left = |side: Side, value: Exact| {
        let bound = deciding.and_then(|d| d.bound(side))?;
        Some(if side == Side::Below { value - bound } else { bound - value })
    };
    match (left(Side::Below, smallest), left(Side::Above, largest)) {
        (Some(below), Some(above)) if below < above => (smallest, largest),
        (Some(_), None) => (smallest, largest),
        (Some(_) | None, Some(_) | None) => (largest, smallest),
    }
}

/// Nothing could be proven: even the best value of the tolerance has less than the asked probability. For a
/// one-sided service limit the tolerance is the distance from new to service; for what is best at nought it
/// is the limit itself.
fn cannot_judge(bench: &Bench<'_>, deciding: &Deciding, error: &PlaceError) -> bool {
    let best = |width: f64, one_sided: bool| match (error.interval, one_sided) {
        (Some(interval), true) => interval.conforms(None, Some(width)),
        (Some(interval), false) => interval.conforms(Some(width / 2.0), Some(width / 2.0)),
        (None, true) => phi(width / error.combined()),
        (None, false) => 2.0 * phi(width / (2.0 * error.combined())) - 1.0,
    };
    if let Some(width) = deciding.proof.width() {
        return best(width.to_mm(), false) < bench.level;
    }
    one_sided(bench, deciding).is_some_and(|width| best(width.to_mm(), true) < bench.level)
}

fn one_sided(bench: &Bench<'_>, deciding: &Deciding) -> Option<Exact> {
    if bench.row.characteristic.is_limited_from_above() {
        return deciding.proof.max;
    }
    if deciding.column == Column::New {
        return None;
    }
    let from_new = |bound: Option<Exact>, new: Option<Exact>| bound.zip(new).map(|(b, n)| (b - n).abs());
    let new = deciding.new;
    from_new(deciding.proof.min, new.and_then(|n| n.min))
        .or_else(|| from_new(deciding.proof.max, new.and_then(|n| n.max)))
        .filter(|distance| *distance > Exact::ZERO)
}
