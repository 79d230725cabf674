//! Size: the worst of all places against the limit that decides.
//!
//! Wear of a shaft or wall is asked of its smallest reading, of a bore of its largest; after machining both
//! ends of the tolerance count.

use crate::judgement::plain::{Counts, Plain};

pub(super) const PLAIN: Plain = Plain {
    counts: Counts::AsWorn,
    below: "too small",
    above: "too large",
    rule: "smallest of a shaft or wall, largest of a bore, over all places of the position",
    source: "common practice: all places conform, shared and repeat errors apart; JCGM 106 decision at the house level",
};
