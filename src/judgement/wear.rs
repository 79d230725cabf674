//! Wear: how far the surface is from its unworn size.
//!
//! The unworn size is best read on a band that never wore. Where none was read, the new limit that makes
//! the wear largest stands in and is named: the upper for a shaft, the lower for a bore, at the size in hand. It may have
//! been made anywhere between both, so inside is proven of the most that it can have worn, beyond of the least.

use crate::judgement::deciding::Deciding;
use crate::judgement::errors::{Weighed, difference_error};
use crate::judgement::judged::{Band, Judged, Note, Proof, proof};
use crate::judgement::plain::{Counts, Plain};
use crate::judgement::rivals::{self, Chosen};
use crate::judgement::rules::{Bench, gauges_used, readings_used, shown};
use crate::judgement::values::{PlaceValue, Values, end};
use crate::metrology::Exact;
use crate::metrology::normal::phi;
use crate::sheets::Side;

pub(super) const PLAIN: Plain = Plain {
    counts: Counts::Largest,
    below: "",
    above: "worn",
    rule: "unworn size less smallest of a shaft, largest of a bore less unworn size",
    source: "common practice: the size it was first made at less the size now",
};

pub(super) fn judge(
    bench: &Bench<'_>,
    values: &Values,
    unworn: &Values,
    deciding: Option<Deciding>,
) -> Option<Judged> {
    let bore = bench.feature.shape.worn() == Some(Side::Above);
    let worn = end(values.values(), bore)?.clone();
    let band_read = end(unworn.values(), !bore).cloned();
    let new = bench.feature.new_limits(bench.basis.and_then(crate::facts::SizeWord::step));
    let assumed = new.and_then(|limits| if bore { limits.min } else { limits.max });
    let original = band_read.as_ref().map(|v| v.mean).or(assumed)?;
    let value = if bore { worn.mean - original } else { original - worn.mean };
    let used: Vec<&PlaceValue> = std::iter::once(&worn).chain(band_read.as_ref()).collect();
    // Against a band read with the same gauge only the repeats are left; against a limit all of it.
    let u = match (&worn.error, band_read.as_ref().map(|v| &v.error)) {
        (Some(worn), Some(Some(band))) => Some(difference_error(worn, band)),
        (Some(worn), None) => Some(worn.combined()),
        (None, _) | (Some(_), Some(None)) => None,
    };
    let band = deciding.map_or(Band::New, |d| d.band(value));
    // What is called beyond has to be so from the other end of what a new one may be as well.
    let open = new.filter(|_| band_read.is_none() && matches!(band, Band::Beyond(_)));
    let least = value - open.and_then(|new| new.width()).unwrap_or(Exact::ZERO);
    let margin = deciding.and_then(|d| d.limits.max).map(|max| (max - least).to_mm());
    let probability = u.zip(margin).map(|(u, margin)| phi(margin / u));
    // The worst of all its places, against the least worn of the band: both were chosen.
    let shows = || {
        let band = band_read.as_ref().map(|band| chosen(-1.0, band, unworn));
        let of: Vec<Chosen<'_>> = std::iter::once(chosen(1.0, &worn, values)).chain(band).collect();
        rivals::shows(-margin?, &of)
    };
    let judged = Judged {
        value,
        other: None,
        deciding,
        band,
        probability,
        proof: if deciding.is_some() { proof(band, probability, bench.level) } else { Proof::NoFigure },
        u,
        rests: rests(&worn, band_read.as_ref(), bore).unwrap_or_default(),
        places: shown(bench.feature, values).chain(shown(bench.feature, unworn)).collect(),
        readings: readings_used(used.iter().copied()),
        gauges: gauges_used(used.iter().copied()),
        corrected: used.iter().any(|v| v.corrected),
        rule: PLAIN.rule,
        source: PLAIN.source,
        notes: match band_read {
            None => vec![Note::AssumedUnworn(original)],
            Some(_) => Vec::<Note>::new(),
        },
    };
    Some(judged.unless_noise(bench.level, shows))
        .filter(|judged| judged.deciding.is_some() || judged.value > Exact::ZERO)
}

/// A place of a surface that was chosen among all of them.
fn chosen<'a>(weight: f64, place: &'a PlaceValue, of: &'a Values) -> Chosen<'a> {
    Chosen { weight, place, among: of.values().collect() }
}

/// The worn place and, where it was read, the band it is held against.
fn rests(worn: &PlaceValue, band: Option<&PlaceValue>, bore: bool) -> Option<Vec<Weighed>> {
    let sign = if bore { 1.0 } else { -1.0 };
    let worn = (sign, worn.error.clone()?);
    Some(match band {
        None => vec![worn],
        Some(band) => vec![worn, (-sign, band.error.clone()?)],
    })
}
