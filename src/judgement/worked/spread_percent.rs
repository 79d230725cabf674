//! Spread in percent: largest less smallest over the positions, as a share of the largest, as of rocker ratios.

use crate::judgement::deciding::Deciding;
use crate::judgement::judged::Judged;
use crate::judgement::plain::{Counts, Plain};
use crate::judgement::rules::Bench;
use crate::judgement::set::Set;
use crate::judgement::values::PlaceValue;
use crate::judgement::worked::lowest_of_highest::{Ends, all, one};

pub(in crate::judgement) const PLAIN: Plain = Plain {
    counts: Counts::Largest,
    below: "",
    above: "too far apart",
    rule: "largest less smallest, percent of the largest",
    source: "common practice: 2 percent is usual of rocker ratios; JCGM 106 decision at the house level",
};

pub(in crate::judgement) fn judge(
    set: &Set<'_>,
    bench: &Bench<'_>,
    deciding: Option<Deciding>,
) -> Option<Judged> {
    let meant = set.meant();
    let ends = Ends::of(&meant)?;
    let share = ends.share()?;
    let rest = all(&share)? - share.mean;
    let value = PlaceValue { mean: rest, ..share.part(-1, 1) };
    one(set, bench, deciding, &PLAIN, (value, &ends))
}
