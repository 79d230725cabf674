//! Centreline of a lobe: the middle between two equal lifts, degrees of the crank from top dead centre; of an intake after
//! it, of an exhaust before it.
//!
//! Of two equal lifts on both sides of the nose, in degrees from that dead centre, it is their mean. Of opening (O)
//! and closing (C) at one rise an intake opens O before top and closes 180 + C after it, so the middle lies
//! (180 + C - O) / 2 after; an exhaust opens 180 + O before top and closes C after it, (180 + O - C) / 2 before.
//! A wheel whose zero is off moves the centreline by as much.

use crate::judgement::deciding::Deciding;
use crate::judgement::judged::Judged;
use crate::judgement::plain::{Counts, Plain};
use crate::judgement::rules::Bench;
use crate::judgement::values::{PlaceValue, Values};
use crate::judgement::worked::duration::half_a_turn;
use crate::judgement::worked::{judge_two, weighed};
use crate::sheets::{Events, LobeOf, Timing};

pub(in crate::judgement) const PLAIN: Plain = Plain {
    counts: Counts::AsWorn,
    below: "too near top dead centre",
    above: "too far from top dead centre",
    rule: "halfway between equal lifts, degrees of the crank after top dead centre of an intake, before it of an exhaust",
    source: "common practice: mean of two equal lifts; JCGM 106 decision at the house level",
};

pub(in crate::judgement) fn judge(
    bench: &Bench<'_>,
    values: &Values,
    deciding: Option<Deciding>,
) -> Option<Judged> {
    let timing = bench.feature.worked.timing?;
    judge_two(bench, values, deciding, &|one, other| of(timing, one, other))
}

pub(in crate::judgement) fn of(
    timing: Timing,
    first: &PlaceValue,
    second: &PlaceValue,
) -> Option<PlaceValue> {
    let twice = match (timing.read, timing.valve) {
        (Events::EqualLifts, LobeOf::Intake | LobeOf::Exhaust) => first.mean + second.mean,
        (Events::OpeningAndClosing, LobeOf::Intake) => half_a_turn()? + second.mean - first.mean,
        (Events::OpeningAndClosing, LobeOf::Exhaust) => half_a_turn()? + first.mean - second.mean,
    };
    // An angle before a dead centre grows by what one after it loses when the wheel's zero is off.
    let weight = match (timing.read, timing.valve) {
        (Events::EqualLifts, LobeOf::Intake | LobeOf::Exhaust)
        | (Events::OpeningAndClosing, LobeOf::Exhaust) => 0.5,
        (Events::OpeningAndClosing, LobeOf::Intake) => -0.5,
    };
    Some(weighed(twice.part(1, 2), &[(weight, first), (weight, second)]))
}
