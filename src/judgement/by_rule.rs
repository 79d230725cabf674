//! Which file judges a row: one arm a characteristic.

use crate::judgement::beside::Beside;
use crate::judgement::deciding::Deciding;
use crate::judgement::judged::{Judged, Note};
use crate::judgement::rules::Bench;
use crate::judgement::values::Values;
use crate::judgement::worked::{
    advance, base_circle, bell_mouth, centreline, duration, judge_two, ratio, top_dead_centre, unevenness,
};
use crate::judgement::{heights, out_of_round, plain, taper, wear};
use crate::sheets::Characteristic;

/// What the rule of the row's characteristic makes of the values of one surface.
pub(super) fn by_rule(
    bench: &Bench<'_>,
    values: &Values,
    unworn: &Values,
    deciding: Option<Deciding>,
) -> Option<Judged> {
    let plain = plain::of(bench.row.characteristic);
    let mut judged = of_its_own(bench, plain, (values, unworn), deciding)?;
    let by_points = matches!(bench.row.characteristic, Characteristic::Size | Characteristic::OutOfRound);
    if bench.feature.lobed && bench.feature.vee.is_none() && by_points {
        judged.notes.push(Note::Beside(Beside::UnseenLobes));
    }
    Some(judged)
}

fn of_its_own(
    bench: &Bench<'_>,
    plain: &plain::Plain,
    (values, unworn): (&Values, &Values),
    deciding: Option<Deciding>,
) -> Option<Judged> {
    let of_heights = !bench.feature.points.is_empty();
    match bench.row.characteristic {
        Characteristic::OutOfRound => out_of_round::judge(bench, values, deciding),
        Characteristic::Taper => taper::judge(bench, values, deciding),
        Characteristic::Wear => wear::judge(bench, values, unworn, deciding),
        Characteristic::Lift => plain::judge(bench, plain, &plain::lifts(bench.feature, values), deciding),
        Characteristic::Bend => plain::judge(bench, plain, &plain::bends(bench.feature, values), deciding),
        Characteristic::EndGap => {
            let mut judged = plain::judge(bench, plain, values, deciding)?;
            plain::end_gap::note(&mut judged, values);
            Some(judged)
        }
        Characteristic::FlatnessPerLength => heights::judge(bench, plain, values, deciding),
        Characteristic::Flatness if of_heights => {
            heights::judge(bench, &plain::flatness::OF_HEIGHTS, values, deciding)
        }
        Characteristic::Alignment if of_heights => {
            heights::judge(bench, &plain::alignment::OF_HEIGHTS, values, deciding)
        }
        Characteristic::Flatness => {
            let mut judged = plain::judge(bench, plain, values, deciding)?;
            plain::flatness::note(&mut judged);
            Some(judged)
        }
        Characteristic::CrossHatch => {
            let mut judged = plain::judge(bench, plain, values, deciding)?;
            plain::cross_hatch::note(&mut judged);
            Some(judged)
        }
        Characteristic::Wobble => {
            let mut judged = plain::judge(bench, plain, values, deciding)?;
            plain::wobble::note(&mut judged);
            Some(judged)
        }
        Characteristic::Ratio => judge_two(bench, values, deciding, &ratio::of),
        Characteristic::Duration => judge_two(bench, values, deciding, &duration::of),
        Characteristic::TopDeadCentre => judge_two(bench, values, deciding, &top_dead_centre::of),
        Characteristic::Centreline => {
            let timing = bench.feature.worked.timing?;
            judge_two(bench, values, deciding, &|one, other| centreline::of(timing, one, other))
        }
        Characteristic::Advance => {
            let (timing, intended) = bench.feature.worked.timing.zip(bench.row.nominal)?;
            judge_two(bench, values, deciding, &|one, other| advance::of(timing, intended, (one, other)))
        }
        Characteristic::BaseCircle => base_circle::judge(bench, values, deciding),
        Characteristic::Unevenness => unevenness::judge(bench, values, deciding),
        Characteristic::BellMouth => bell_mouth::judge(bench, values, deciding),
        // Of a pair, of the whole engine, of what was done: judged where those are known.
        Characteristic::Clearance
        | Characteristic::Interference
        | Characteristic::Rate
        | Characteristic::Spread
        | Characteristic::SpreadPercent
        | Characteristic::LowestOfHighest
        | Characteristic::Step
        | Characteristic::NeighbourRunOut
        | Characteristic::Removed => None,
        Characteristic::Size
        | Characteristic::EndPlay
        | Characteristic::SideClearance
        | Characteristic::RunOut
        | Characteristic::Alignment
        | Characteristic::Crush
        | Characteristic::Squareness
        | Characteristic::Lash
        | Characteristic::Length
        | Characteristic::Width
        | Characteristic::Height
        | Characteristic::Thickness
        | Characteristic::Depth
        | Characteristic::Protrusion
        | Characteristic::Margin
        | Characteristic::Load
        | Characteristic::Volume
        | Characteristic::Deflection
        | Characteristic::Pressure
        | Characteristic::Weight
        | Characteristic::Backlash
        | Characteristic::Roughness
        | Characteristic::Radius
        | Characteristic::Twist
        | Characteristic::Leakage => plain::judge(bench, plain, values, deciding),
    }
}
