//! Lowest of highest: the smallest as a share of the largest over the positions, in percent, as of a compression test.
//!
//! What the gauge's scale is off by makes both larger or smaller in proportion and so cancels as far as it is shared.

use crate::judgement::deciding::Deciding;
use crate::judgement::judged::{Judged, PlaceShown};
use crate::judgement::plain::{self, Counts, Plain};
use crate::judgement::rules::{Bench, gauges_used, readings_used};
use crate::judgement::scatter::Scatter;
use crate::judgement::set::Set;
use crate::judgement::values::{PlaceValue, Values, extremes};
use crate::judgement::worked::weighed;
use crate::metrology::Exact;
use crate::shop::{Place, SurfaceKey};

pub(in crate::judgement) const PLAIN: Plain = Plain {
    counts: Counts::Smallest,
    below: "too far apart",
    above: "",
    rule: "lowest over highest, percent",
    source: "common practice: 75 percent is usual of a compression test; JCGM 106 decision at the house level",
};

pub(in crate::judgement) fn judge(
    set: &Set<'_>,
    bench: &Bench<'_>,
    deciding: Option<Deciding>,
) -> Option<Judged> {
    let meant = set.meant();
    let ends = Ends::of(&meant)?;
    let value = ends.share()?;
    one(set, bench, deciding, &PLAIN, (value, &ends))
}

/// Every value of every position.
pub(in crate::judgement) fn each(
    meant: &[(SurfaceKey, Values)],
) -> impl Iterator<Item = (SurfaceKey, &PlaceValue)> + Clone {
    meant.iter().flat_map(|(key, values)| values.values().map(move |value| (*key, value)))
}

/// The extremes of all positions.
pub(in crate::judgement) struct Ends<'a> {
    lowest: (SurfaceKey, &'a PlaceValue),
    highest: (SurfaceKey, &'a PlaceValue),
    all: Vec<&'a PlaceValue>,
}

impl<'a> Ends<'a> {
    pub(in crate::judgement) fn of(meant: &'a [(SurfaceKey, Values)]) -> Option<Self> {
        let (highest, lowest) = extremes(each(meant))?;
        Some(Self { lowest, highest, all: each(meant).map(|(_, value)| value).collect() })
    }

    /// Lowest of highest in percent.
    pub(in crate::judgement) fn share(&self) -> Option<PlaceValue> {
        let (low, high) = (self.lowest.1, self.highest.1);
        let mean = low.mean.over(high.mean)? * 100;
        let over = 1.0 / high.mean.to_mm();
        Some(weighed(mean, &[(100.0 * over, low), (-mean.to_mm() * over, high)]))
    }

    /// How far apart both ends are and may be, percent.
    fn apart(judged: &Judged) -> Option<(f64, f64)> {
        let limits = judged.deciding?.proof;
        let apart = judged.value.to_mm();
        match (limits.min, limits.max) {
            (_, Some(most)) => Some((apart, most.to_mm())),
            (Some(least), None) => Some((100.0 - apart, 100.0 - least.to_mm())),
            (None, None) => None,
        }
    }

    /// Probability that both are truly no further apart, whichever is the larger.
    fn conforms(&self, judged: &Judged) -> Option<f64> {
        let (apart, tolerance) = Self::apart(judged)?;
        Some(Scatter::Range(self.all.len()).conforms(apart, tolerance, judged.u?))
    }

    /// Both ends were chosen among many: they lie as far apart as the range of so many readings.
    fn shows(&self, judged: &Judged) -> Option<f64> {
        let (apart, tolerance) = Self::apart(judged)?;
        Some(Scatter::Range(self.all.len()).shows(apart, tolerance, judged.u?))
    }
}

/// Judges the one value that all positions give; both ends are shown by name.
pub(in crate::judgement) fn one(
    set: &Set<'_>,
    bench: &Bench<'_>,
    deciding: Option<Deciding>,
    plain: &Plain,
    (value, ends): (PlaceValue, &Ends<'_>),
) -> Option<Judged> {
    let (low, high) = (set.position(ends.lowest.0), set.position(ends.highest.0));
    let name = format!("lowest {low}, highest {high}");
    let shown = PlaceShown { name, value: value.mean };
    let values = Values::from([(Place { station: 0, direction: 0 }, value)]);
    let mut judged = plain::judge(bench, plain, &values, deciding)?;
    judged.places = vec![shown];
    judged.readings = readings_used(ends.all.iter().copied());
    judged.gauges = gauges_used(ends.all.iter().copied());
    let (conforms, shows) = (ends.conforms(&judged), ends.shows(&judged));
    Some(judged.no_surer(conforms, bench.level).unless_noise(bench.level, || shows))
}

/// The whole, in percent.
pub(in crate::judgement) fn all(share: &PlaceValue) -> Option<Exact> {
    share.mean.over(share.mean).map(|one| one * 100)
}
