//! What the other positions of a feature read in the same condition.

use super::reach::Reach;
use super::{Asking, whys};
use crate::metrology::{Exact, Unit};
use crate::sheets::Limits;
use crate::shop::{Place, ReadingSet};

/// One other position of the feature.
pub(in crate::judgement) struct Peer {
    /// New limits at its size.
    pub(in crate::judgement) new: Option<Limits>,
    /// As of what is asked about.
    pub(in crate::judgement) fresh: bool,
    /// What was read of it.
    pub(in crate::judgement) set: ReadingSet,
}

/// What the others read at one place, brought to the size of the one that is asked about.
pub(super) struct Others {
    pub(super) least: Exact,
    pub(super) most: Exact,
    pub(super) count: usize,
    /// All are of that size.
    alike: bool,
}

impl Others {
    /// One more of them.
    pub(super) fn widen(&mut self, value: Exact) {
        (self.least, self.most) = (self.least.min(value), self.most.max(value));
    }

    /// `read 2.017 to 2.019 in`.
    pub(super) fn words(&self, unit: Unit) -> String {
        let (least, most, symbol) = (self.least.show(unit), self.most.show(unit), unit.symbol());
        if self.alike {
            format!("read {least} to {most} {symbol}")
        } else {
            format!("would read {least} to {most} {symbol} at its size")
        }
    }
}

/// Two others or more that nothing else is odd about.
pub(super) fn others(asking: &Asking<'_>, reach: &Reach, place: Place) -> Option<Others> {
    let size = |new: Option<Limits>| new.and_then(|new| new.min.or(new.max));
    let (mut values, mut alike) = (Vec::new(), true);
    for peer in (asking.peers)().into_iter().filter(|peer| peer.fresh == asking.fresh) {
        let its = Asking { new: peer.new, peers: &Vec::new, ..asking.clone() };
        let sound = |reading: &&crate::shop::Reading| whys::one(&its, reach, reading).is_none();
        let Some(reading) = peer.set.readings.get(&place).and_then(|all| all.iter().find(sound)) else {
            continue;
        };
        let moved = size(asking.new).zip(size(peer.new)).map_or(Exact::ZERO, |(own, its)| own - its);
        alike &= moved == Exact::ZERO;
        values.push(reading.value + moved);
    }
    let (least, most) = (values.iter().min().copied()?, values.iter().max().copied()?);
    (values.len() >= 2).then_some(Others { least, most, count: values.len(), alike })
}
