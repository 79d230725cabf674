//! Spread: the largest less the smallest over the positions of the engine, as for weights of a set; of rockers with a ratio, of
//! their ratios.
//!
//! One verdict for the whole feature. A position without a reading is missing: a set is matched when all of it
//! is known.

use crate::judgement::beside::Beside;
use crate::judgement::deciding::Deciding;
use crate::judgement::form::{self, Deviation};
use crate::judgement::judged::{Judged, Note};
use crate::judgement::plain::{Counts, Plain};
use crate::judgement::rules::Bench;
use crate::judgement::scatter::Scatter;
use crate::judgement::set::Set;
use crate::judgement::values::extremes;
use crate::judgement::worked::lowest_of_highest::each;
use crate::metrology::{Exact, Unit};

pub(in crate::judgement) const PLAIN: Plain = Plain {
    counts: Counts::Largest,
    below: "too small",
    above: "too far apart",
    rule: "largest less smallest over all positions of the engine",
    source: "common practice: matched sets; JCGM 106 decision at the house level",
};

/// The largest less the smallest of all.
pub(in crate::judgement) fn judge(
    set: &Set<'_>,
    bench: &Bench<'_>,
    deciding: Option<Deciding>,
) -> Option<Judged> {
    let meant = set.meant();
    let values = || each(&meant);
    let ((at_most, most), (at_least, least)) = extremes(values())?;
    let name = format!("{} less {}", set.position(at_most), set.position(at_least));
    let apart = Deviation::between(name, most, least).among(values().map(|(_, value)| value));
    let scatter = Scatter::Range(values().count());
    let mut judged = form::judge(bench, &[apart], scatter, deciding, &PLAIN)?;
    // Of a balance the total is what the crankshaft feels.
    if bench.feature.unit == Unit::Gram {
        let total = values().fold(Exact::ZERO, |sum, (_, value)| sum + value.mean);
        judged.notes.push(Note::Beside(Beside::Total(total)));
    }
    Some(judged)
}
