//! Bend: half of what an indicator swings over a turn of a round journal.
//!
//! Where the sheet limits the run-out of a feature and its bend, the readings are swings (TIR) and the bend is
//! half of the largest. Where it limits the bend alone (a rod in an alignment fixture) the readings are the
//! bend itself. An oval journal adds up to half of its out-of-round to the swing, so the bend of one is between
//! half the swing and half of what the swing is without that.

use crate::judgement::plain::{Counts, Plain};
use crate::judgement::values::Values;
use crate::sheets::{Characteristic, Feature};

pub(in crate::judgement) const PLAIN: Plain = Plain {
    counts: Counts::Largest,
    below: "too small",
    above: "bent",
    rule: "half of the largest full swing where run-out is read, else the largest bend read",
    source: "common practice: TIR is twice the bend of a round journal; JCGM 106 decision at the house level",
};

/// The bends that the readings give.
pub(in crate::judgement) fn bends(feature: &Feature, values: &Values) -> Values {
    if feature.row(Characteristic::RunOut).is_none() {
        return values.clone();
    }
    values.iter().map(|(place, swing)| (*place, swing.part(1, 2))).collect()
}
