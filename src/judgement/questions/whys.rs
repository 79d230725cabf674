//! Why each reading of a set is asked about when nobody has confirmed any: all rules, in their order.

use super::reach::Reach;
use super::{
    Asking, QuestionWhy, decimal_slip, far_off, far_worn, lift_parts, no_setting, other_condition, past_new,
    plates, swapped_digits, two_gaps, two_places, unit_slip, unlike_neighbours, unlike_others, unlike_values,
    unworn, whole_number, worn_evenly,
};
use crate::judgement::values::ReadingRef;
use crate::metrology::Exact;
use crate::shop::{Place, Reading, ReadingSet};
use std::collections::BTreeMap;

/// What is asked about in one set, repeats of one place aside.
pub(super) struct Whys {
    whys: BTreeMap<ReadingRef, QuestionWhy>,
    /// The set is asked about, not one reading of it.
    whole: bool,
}

impl Whys {
    pub(super) fn of(asking: &Asking<'_>, reach: &Reach, set: &ReadingSet) -> Self {
        let mut whys = BTreeMap::new();
        for reading in set.readings.values().flatten() {
            if let Some(why) = one(asking, reach, reading) {
                whys.insert(name(reading), why);
            }
        }
        let readings = set.readings.values().map(Vec::len).sum::<usize>();
        let mut found = Self { whys, whole: false };
        // A set of another size has a question at every reading.
        let all =
            found.whys.len() == readings && !set.readings.values().flatten().any(|r| r.stated_as_received);
        if let Some(why) = all.then(|| other_condition::why(asking, set)).flatten() {
            found.whole = true;
            found.whys.values_mut().for_each(|of| of.clone_from(&why));
        } else {
            unlike_neighbours::add(asking, set, &mut found);
            two_places::add(asking, set, &mut found);
            two_gaps::add(asking, reach, set, &mut found);
            unlike_values::add(asking, reach, set, &mut found);
            lift_parts::add(asking, reach, set, &mut found);
            plates::add(set, &mut found);
            unlike_others::add(asking, reach, set, &mut found);
            if found.whys.is_empty()
                && let Some(why) = worn_evenly::why(asking, set, &found)
            {
                found.whole = true;
                let all = set.readings.values().flatten().map(|reading| (name(reading), why.clone()));
                found.whys.extend(all);
            }
        }
        found
    }

    pub(super) fn get(&self, reading: &Reading) -> Option<&QuestionWhy> {
        self.whys.get(&name(reading))
    }

    pub(super) fn asks(&self, reading: &Reading) -> bool {
        !self.whys.is_empty() && self.get(reading).is_some()
    }

    /// Is the set asked about as one?
    pub(super) const fn is_whole(&self) -> bool {
        self.whole
    }

    /// Asks about a reading that is not asked about yet.
    pub(super) fn add(&mut self, reading: &Reading, why: QuestionWhy) {
        self.whys.entry(name(reading)).or_insert(why);
    }

    /// Asks about all readings of a place that are not asked about yet.
    pub(super) fn add_place(
        &mut self,
        set: &ReadingSet,
        place: Place,
        why: impl Fn(&Reading) -> QuestionWhy,
    ) {
        for reading in set.readings.get(&place).into_iter().flatten() {
            self.whys.entry(name(reading)).or_insert_with(|| why(reading));
        }
    }
}

const fn name(reading: &Reading) -> ReadingRef {
    ReadingRef { fact: reading.fact, row: reading.row }
}

/// The first rule that asks about one reading; a slip with a likely meaning before one without.
pub(super) fn one(asking: &Asking<'_>, reach: &Reach, reading: &Reading) -> Option<QuestionWhy> {
    if reading.stated_as_received {
        return Some(QuestionWhy::StatedAsReceived);
    }
    if lift_parts::is_part(reach, reading) {
        return None;
    }
    if let Some(why) = unit_slip::too_fine(reach, reading) {
        return Some(why);
    }
    if !reach.holds(reading.value) {
        return out_of_reach(reach, reading).or_else(|| far_off::why(asking, reach, reading));
    }
    if let Some(why) = unworn::why(asking, reading) {
        return Some(why);
    }
    let Some(past) = past_new::why(asking, reading) else {
        // Of what is no diameter, worn past its limits or badly set is still true, but seldom by exchanged digits.
        let stray = || {
            reach
                .strays(reading.value)
                .then(|| swapped_in(reach, reading, |meant| !swapped_digits::is_tenfold(meant, reading)))
                .flatten()
        };
        let far = far_worn::why(asking, reading).or_else(stray);
        return far.or_else(|| far_off::why(asking, reach, reading));
    };
    // Past new by no more than a hot part can be (a thousandth of its size is some 90 degrees in steel):
    // ask about warmth. By more: exchanged digits explain it if they lead close to the size in hand.
    let near = |value: Exact| past_new::is_near(asking, value, 2);
    let swapped = past_new::is_past(asking, reading, reading.value.part(1, 1000))
        .then(|| swapped_digits::why(reading, near));
    Some(swapped.flatten().unwrap_or(past))
}

fn out_of_reach(reach: &Reach, reading: &Reading) -> Option<QuestionWhy> {
    unit_slip::why(reach, reading)
        .or_else(|| no_setting::why(reach, reading))
        .or_else(|| whole_number::why(reach, reading))
        .or_else(|| decimal_slip::why(reach, reading))
        .or_else(|| swapped_in(reach, reading, |_| true))
        // A worn-out gap or a spring gone flat is far from any limit and still true; a diameter is not.
        .or_else(|| reach.is_sure(reading.value).then_some(QuestionWhy::OutOfReach))
}

/// Exchanged digits that lead inside the limits.
fn swapped_in(reach: &Reach, reading: &Reading, may_be: impl Fn(Exact) -> bool) -> Option<QuestionWhy> {
    swapped_digits::why(reading, |value| {
        let brought = reach.brought(value, reading.unit);
        brought.is_some_and(|value| reach.is_likely(value) && may_be(value))
    })
}
