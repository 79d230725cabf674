//! Plain values: one number a place against its limits, whatever it is called.
//!
//! The mechanism is shared and stands in `judge`; each characteristic has a file that says what is its own:
//! which reading counts, its words, its rule and where that comes from. Between places nothing is averaged.
//! Where the limits that decide name both sides, both ends are judged: the largest reading against the
//! maximum and the smallest against the minimum.

pub(super) mod alignment;
mod backlash;
mod bend;
pub(super) mod cross_hatch;
mod crush;
mod deflection;
mod depth;
pub(super) mod end_gap;
mod end_play;
pub(super) mod flatness;
mod flatness_per_length;
mod height;
mod judge;
mod lash;
mod leakage;
mod length;
mod lift;
mod load;
mod margin;
mod pressure;
mod protrusion;
mod radius;
pub(super) mod removed;
mod roughness;
mod roundness;
mod run_out;
mod side_clearance;
pub(super) mod spread;
mod squareness;
mod strip;
mod thickness;
mod together;
mod twist;
mod volume;
mod weight;
mod width;
pub(super) mod wobble;

pub(super) use bend::{bends, note_bends};
pub(super) use judge::judge;
pub(super) use lift::{answered_otherwise, lifts};
pub(super) use together::is_one_set;

use crate::judgement::{clearance, interference, out_of_round, size, taper, wear, worked};
use crate::sheets::{Characteristic, Shape, Side};

/// What is a characteristic's own.
pub(super) struct Plain {
    /// Which reading the question is about.
    pub(super) counts: Counts,
    /// What it is when it lies below its minimum.
    pub(super) below: &'static str,
    /// What it is when it lies above its maximum.
    pub(super) above: &'static str,
    /// The rule, in words.
    pub(super) rule: &'static str,
    /// Where rule and figures come from.
    pub(super) source: &'static str,
}

/// Which of several places the question is about; the other end is judged too where the limits name it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Counts {
    /// The largest: gaps, plays, run-outs.
    Largest,
    /// The smallest: lengths, lifts, margins.
    Smallest,
    /// The end that wear goes to, by the feature's shape; of no such end, the one nearer to its limit.
    AsWorn,
}

impl Counts {
    /// The end the question is about; `None` where either may be.
    pub(super) fn end(self, shape: Shape) -> Option<Side> {
        match self {
            Self::Largest => Some(Side::Above),
            Self::Smallest => Some(Side::Below),
            Self::AsWorn => shape.worn(),
        }
    }
}

/// What is this characteristic's own.
pub(super) fn of(characteristic: Characteristic) -> &'static Plain {
    match characteristic {
        Characteristic::Size => &size::PLAIN,
        Characteristic::OutOfRound => &out_of_round::PLAIN,
        Characteristic::Taper => &taper::PLAIN,
        Characteristic::Wear => &wear::PLAIN,
        Characteristic::Clearance => &clearance::PLAIN,
        Characteristic::Interference => &interference::PLAIN,
        Characteristic::EndPlay => &end_play::PLAIN,
        Characteristic::SideClearance => &side_clearance::PLAIN,
        Characteristic::EndGap => &end_gap::PLAIN,
        Characteristic::RunOut => &run_out::PLAIN,
        Characteristic::Crush => &crush::PLAIN,
        Characteristic::Flatness => &flatness::PLAIN,
        Characteristic::FlatnessPerLength => &flatness_per_length::PLAIN,
        Characteristic::Alignment => &alignment::PLAIN,
        Characteristic::Bend => &bend::PLAIN,
        Characteristic::Squareness => &squareness::PLAIN,
        Characteristic::Lift => &lift::PLAIN,
        Characteristic::Lash => &lash::PLAIN,
        Characteristic::Length => &length::PLAIN,
        Characteristic::Width => &width::PLAIN,
        Characteristic::Height => &height::PLAIN,
        Characteristic::Thickness => &thickness::PLAIN,
        Characteristic::Depth => &depth::PLAIN,
        Characteristic::Protrusion => &protrusion::PLAIN,
        Characteristic::Margin => &margin::PLAIN,
        Characteristic::Load => &load::PLAIN,
        Characteristic::Volume => &volume::PLAIN,
        Characteristic::Deflection => &deflection::PLAIN,
        Characteristic::Pressure => &pressure::PLAIN,
        Characteristic::Weight => &weight::PLAIN,
        Characteristic::Spread => &spread::PLAIN,
        Characteristic::Backlash => &backlash::PLAIN,
        Characteristic::Roughness => &roughness::PLAIN,
        Characteristic::Radius => &radius::PLAIN,
        Characteristic::Twist => &twist::PLAIN,
        Characteristic::Wobble => &wobble::PLAIN,
        Characteristic::Leakage => &leakage::PLAIN,
        Characteristic::CrossHatch => &cross_hatch::PLAIN,
        Characteristic::Ratio => &worked::ratio::PLAIN,
        Characteristic::Rate => &worked::rate::PLAIN,
        Characteristic::BaseCircle => &worked::base_circle::PLAIN,
        Characteristic::Duration => &worked::duration::PLAIN,
        Characteristic::Centreline => &worked::centreline::PLAIN,
        Characteristic::Advance => &worked::advance::PLAIN,
        Characteristic::TopDeadCentre => &worked::top_dead_centre::PLAIN,
        Characteristic::Unevenness => &worked::unevenness::PLAIN,
        Characteristic::BellMouth => &worked::bell_mouth::PLAIN,
        Characteristic::SpreadPercent => &worked::spread_percent::PLAIN,
        Characteristic::LowestOfHighest => &worked::lowest_of_highest::PLAIN,
        Characteristic::Step => &worked::step::PLAIN,
        Characteristic::NeighbourRunOut => &worked::neighbours::PLAIN,
        Characteristic::StripClearance => &strip::PLAIN,
        Characteristic::Removed => &removed::PLAIN,
        Characteristic::Roundness => &roundness::PLAIN,
    }
}
