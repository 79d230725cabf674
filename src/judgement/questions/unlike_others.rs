//! A position unlike all others of its feature: one spring of eight, one piston of four.
//!
//! They were made alike and ran in one engine, so what the others read says more than any limit. Asked only of what is
//! outside of new and of what reuse allows, against two others or more of the same condition, at the same place, each
//! brought to the size in hand. Other places of the surface count among them; a surface of three diameters or more has
//! neighbours of its own, and what is set either way by hand is asked about fresh only.
//!
//! How far it may be from them, with a quarter more against only two, and U on top (common practice):
//!
//! * towards wear: past the worst of them by as much as that is past new, and three quarters of what reuse allows, since one
//!   may have run dry;
//! * the other way: by as much as they are apart, or half the width of new, whichever is more; where exchanged digits or a
//!   missed turn lead among them, by half of what they are apart and a quarter of what reuse allows.

use super::past_new::expanded;
use super::peers::{Others, others};
use super::reach::Reach;
use super::{Asking, QuestionWhy, Whys, lift_parts, past_new, swapped_digits, turn};
use crate::metrology::Exact;
use crate::sheets::Shape;
use crate::shop::{Place, Reading, ReadingSet};

pub(super) fn add(asking: &Asking<'_>, reach: &Reach, set: &ReadingSet, whys: &mut Whys) {
    let Some(kind) = Kind::of(asking, reach) else { return };
    // What was set by hand, each by itself, may be anywhere by now.
    if asking.feature.shape == Shape::Either && !asking.fresh {
        return;
    }
    // Three diameters of one surface say more of each other.
    if set.readings.len() > 2 && past_new::worn(asking, Exact::ZERO).is_some() {
        return;
    }
    let found: Vec<(Place, QuestionWhy)> = set
        .readings
        .iter()
        .filter_map(|(place, readings)| {
            let reading = readings.iter().find(|reading| !whys.asks(reading))?;
            let odd =
                !lift_parts::is_part(reach, reading) && kind.is_outside(reading.value, expanded(reading));
            let mut among = odd.then(|| others(asking, reach, *place)).flatten()?;
            let own = set.readings.iter().filter(|(of, _)| *of != place && of.direction == place.direction);
            own.flat_map(|(_, readings)| readings).for_each(|reading| among.widen(reading.value));
            Some((*place, kind.why(reading, &among)?))
        })
        .collect();
    for (place, why) in found {
        whys.add_place(set, place, |_| why.clone());
    }
}

/// What is new of this feature, and what reuse allows past it, millimetres.
struct Kind<'a> {
    asking: &'a Asking<'a>,
    new: (Exact, Exact),
    limits: (Exact, Exact),
    allowance: f64,
}

impl<'a> Kind<'a> {
    fn of(asking: &'a Asking<'a>, reach: &Reach) -> Option<Self> {
        let diameter = asking.new.and_then(|new| new.min.zip(new.max));
        let new = reach.as_new().or(diameter)?;
        let (low, high) = reach.limits();
        let allowance = match asking.feature.shape {
            Shape::Shaft | Shape::Bore | Shape::Wall => past_new::allowance(asking)?,
            Shape::Grows => high - new.1,
            Shape::Shrinks => new.0 - low,
            Shape::Either => Exact::ZERO,
        };
        let width = new.1 - new.0;
        let allowance = if allowance > Exact::ZERO && !asking.fresh { allowance } else { width };
        let limits = reach.as_new().map_or(new, |_| reach.limits());
        Some(Self { asking, new, limits, allowance: allowance.to_mm() })
    }

    /// Outside of new, and of what reuse allows.
    fn is_outside(&self, value: Exact, expanded: f64) -> bool {
        let (low, high) = if self.asking.fresh { self.new } else { self.limits };
        let past = (low - value).max(value - high).to_mm();
        let worn = past_new::worn(self.asking, value).is_some_and(|worn| worn > Exact::ZERO);
        past > expanded + if worn && !self.asking.fresh { self.allowance } else { 0.0 }
    }

    fn why(&self, reading: &Reading, others: &Others) -> Option<QuestionWhy> {
        let (low, high) = (others.least, others.most);
        let beyond = (low - reading.value).max(reading.value - high).to_mm();
        let apart = (high - low).to_mm();
        let few = if others.count < 3 { 1.25 } else { 1.0 };
        let slack = expanded(reading);
        let width = (self.new.1 - self.new.0).to_mm();
        let worst = self.worn(low).max(self.worn(high)).max(0.0);
        let may_wear = !self.asking.fresh && self.worn(reading.value) > worst;
        let usual = if may_wear {
            // As far past the worst of them as that is past new.
            worst + self.allowance * 0.75
        } else {
            (apart * 2.0).max(apart + width / 2.0)
        };
        // Where wear may lead, a slip has to lead right among them.
        let (little, beside) =
            if may_wear { (usual, 0.0) } else { (apart / 2.0 + self.allowance / 4.0, apart) };
        if beyond > few * little + slack {
            let beside = |by: Exact| by.to_mm() <= beside + slack;
            let among = |value: Exact| beside(low - value) && beside(value - high);
            let meant = swapped_digits::why(reading, among).or_else(|| turn::why(reading, among));
            if meant.is_some() {
                return meant;
            }
        }
        (beyond > few * usual + slack)
            .then(|| QuestionWhy::UnlikeOthers { others: others.words(self.asking.unit) })
    }

    /// How far past new on the side of wear, millimetres.
    fn worn(&self, value: Exact) -> f64 {
        match self.asking.feature.shape {
            Shape::Shaft | Shape::Wall | Shape::Shrinks => (self.new.0 - value).to_mm(),
            Shape::Bore | Shape::Grows | Shape::Either => (value - self.new.1).to_mm(),
        }
    }
}
