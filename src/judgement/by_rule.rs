//! Which file judges a row: one arm a characteristic.

use crate::judgement::beside::Beside;
use crate::judgement::deciding::Deciding;
use crate::judgement::judged::{Judged, Note};
use crate::judgement::rules::Bench;
use crate::judgement::values::Values;
use crate::judgement::worked::{
    advance, base_circle, bell_mouth, by_themselves, centreline, judge_two, unevenness,
};
use crate::judgement::{heights, out_of_round, plain, taper, wear};
use crate::sheets::Characteristic;

type Rule = fn(&Bench<'_>, &Values, Option<Deciding>) -> Option<Judged>;

/// What is worked out from several readings of one position.
const WORKED: [(Characteristic, Rule); 5] = [
    (Characteristic::Centreline, centreline::judge),
    (Characteristic::Advance, advance::judge),
    (Characteristic::BaseCircle, base_circle::judge),
    (Characteristic::Unevenness, unevenness::judge),
    (Characteristic::BellMouth, bell_mouth::judge),
];

/// What the rule of the row's characteristic makes of the values of one surface.
pub(super) fn by_rule(
    bench: &Bench<'_>,
    values: &Values,
    unworn: &Values,
    deciding: Option<Deciding>,
) -> Option<Judged> {
    let plain = plain::of(bench.row.characteristic);
    let of = bench.row.characteristic;
    let worked = WORKED.iter().find(|(known, _)| *known == of);
    let mut judged = match (worked, by_themselves(of)) {
        (Some((_, judge)), _) => judge(bench, values, deciding)?,
        (None, Some(two)) => judge_two(bench, values, deciding, &two)?,
        (None, None) => of_its_own(bench, plain, (values, unworn), deciding)?,
    };
    if of == Characteristic::CrossHatch {
        plain::cross_hatch::note(&mut judged);
    }
    if of == Characteristic::Wobble {
        plain::wobble::note(&mut judged);
    }
    if of == Characteristic::EndGap {
        plain::end_gap::note(&mut judged, values);
    }
    if of == Characteristic::Flatness && bench.feature.points.is_empty() {
        plain::flatness::note(&mut judged);
    }
    let by_points = matches!(of, Characteristic::Size | Characteristic::OutOfRound);
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
    if let Some(plain) = of_heights(bench, plain) {
        return heights::judge(bench, plain, values, deciding);
    }
    match bench.row.characteristic {
        Characteristic::OutOfRound => out_of_round::judge(bench, values, deciding),
        Characteristic::Taper => taper::judge(bench, values, deciding),
        Characteristic::Wear => wear::judge(bench, values, unworn, deciding),
        Characteristic::Lift => plain::judge(bench, plain, &plain::lifts(bench.feature, values), deciding),
        Characteristic::Bend => plain::judge(bench, plain, &plain::bends(bench.feature, values), deciding),
        // Of a pair, of the whole engine, of what was done: judged where those are known. The last have their table.
        Characteristic::Clearance
        | Characteristic::Interference
        | Characteristic::Rate
        | Characteristic::Spread
        | Characteristic::SpreadPercent
        | Characteristic::LowestOfHighest
        | Characteristic::Step
        | Characteristic::NeighbourRunOut
        | Characteristic::Removed
        | Characteristic::Ratio
        | Characteristic::Duration
        | Characteristic::Centreline
        | Characteristic::Advance
        | Characteristic::TopDeadCentre
        | Characteristic::BaseCircle
        | Characteristic::Unevenness
        | Characteristic::BellMouth
        | Characteristic::Roundness
        | Characteristic::FlatnessPerLength => None,
        Characteristic::Size
        | Characteristic::EndPlay
        | Characteristic::StripClearance
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
        | Characteristic::Leakage
        | Characteristic::CrossHatch
        | Characteristic::Wobble
        | Characteristic::EndGap
        | Characteristic::Flatness => plain::judge(bench, plain, values, deciding),
    }
}

/// How heights at places are judged; `None` where the feature has none, or the row is of something else.
fn of_heights<'a>(bench: &Bench<'_>, plain: &'a plain::Plain) -> Option<&'a plain::Plain> {
    let of = bench.row.characteristic;
    let all = [
        (Characteristic::FlatnessPerLength, plain),
        (Characteristic::Flatness, &plain::flatness::OF_HEIGHTS),
        (Characteristic::Alignment, &plain::alignment::OF_HEIGHTS),
    ];
    let turned = of == Characteristic::Roundness && !bench.feature.angles.is_empty();
    let found = all.into_iter().find(|(judged, _)| *judged == of && !bench.feature.points.is_empty());
    found.map(|(_, plain)| plain).or(turned.then_some(plain))
}
