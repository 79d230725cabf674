//! One surface read partly under a torque plate and partly without: the plate draws a bore out of shape by as much as its
//! whole fitting clearance, so the two are never compared (trade notes B2).
//!
//! Nothing says which of them was meant. The fewer are asked about; of as many, those without, since a plate is bolted on
//! for a reason. What does not say is taken to be as the rest is.

use super::{QuestionWhy, Whys};
use crate::shop::{Reading, ReadingSet};

pub(super) fn add(set: &ReadingSet, whys: &mut Whys) {
    let said = |plate: bool| {
        let all = set.readings.values().flatten();
        all.filter(move |reading| reading.plate == Some(plate))
    };
    let (with, without) = (said(true).count(), said(false).count());
    if with == 0 || without == 0 {
        return;
    }
    let odd = with < without;
    let of: Vec<&Reading> = said(odd).collect();
    for reading in of {
        whys.add(reading, QuestionWhy::Plates { plate: odd });
    }
}
