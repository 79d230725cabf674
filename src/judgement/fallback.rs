//! The general wear rules, beside a value whose engine has no service limit for it.
//!
//! They are nobody's limit for this engine: they change no band, no proof, no stage, and nobody is told. They say what a
//! rebuilder without the maker's book would hold the value against, and how it was come by. Only a part that is used, as
//! it came, is held against wear. (That rings disturbed after 50 hours are renewed is a rule of the same table, and no
//! value.)

use crate::facts::{PartState, SizeWord};
use crate::judgement::words::{length, rough};
use crate::judgement::{Judgement, Verdict};
use crate::metrology::{Exact, Unit};
use crate::sheets::{Characteristic, Feature, Limits, Row, Sheet, Side, WearsAs};
use crate::shop::{Condition, Job};

/// Where the rules stand.
const SOURCE: &str = "general wear rules per inch, TM 10-3930-647-14&P; no engine data";

/// What the rules allow a value.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fallback {
    /// The value the rules would let it come to.
    pub bound: Exact,
    /// The side wear goes to.
    pub side: Side,
    /// The value lies outside.
    pub past: bool,
    /// How the bound came about: `0.0005 in for each inch of 2.2490 in over the high limit, 0.0025 in`.
    pub formula: String,
}

/// How much a rule allows.
#[derive(Clone, Copy)]
enum Allows {
    /// So many ten-thousandths of the size.
    OfSize(i128),
    /// So many ten-thousandths of the piston's travel.
    OfTravel(i128),
    /// So many ten-thousandths of an inch.
    Inch(i32),
    /// So many hundredths of what a new one may have.
    OfNew(i128),
}

/// What it is counted from.
#[derive(Clone, Copy, PartialEq, Eq)]
enum From {
    /// The unworn size, or a perfect shape.
    Nothing,
    /// The smallest new one.
    LowLimit,
    /// The largest new one.
    HighLimit,
}

/// Trade notes, end of section B3.
const RULES: [(WearsAs, Characteristic, Allows, From); 21] = [
    (WearsAs::CylinderBore, Characteristic::Wear, Allows::OfSize(10), From::Nothing),
    (WearsAs::CylinderBore, Characteristic::Size, Allows::OfSize(10), From::HighLimit),
    (WearsAs::CylinderBore, Characteristic::Taper, Allows::OfTravel(5), From::Nothing),
    (WearsAs::PistonSkirt, Characteristic::Wear, Allows::OfSize(5), From::Nothing),
    (WearsAs::PistonSkirt, Characteristic::Size, Allows::OfSize(5), From::LowLimit),
    (WearsAs::PistonPin, Characteristic::Wear, Allows::Inch(10), From::Nothing),
    (WearsAs::PistonPin, Characteristic::Size, Allows::Inch(10), From::LowLimit),
    (WearsAs::PinBore, Characteristic::Wear, Allows::OfSize(5), From::Nothing),
    (WearsAs::PinBore, Characteristic::Size, Allows::OfSize(5), From::HighLimit),
    (WearsAs::Journal, Characteristic::OutOfRound, Allows::OfSize(4), From::Nothing),
    (WearsAs::Journal, Characteristic::Taper, Allows::OfNew(200), From::Nothing),
    (WearsAs::Journal, Characteristic::Clearance, Allows::OfSize(5), From::HighLimit),
    (WearsAs::CrankEndPlay, Characteristic::EndPlay, Allows::Inch(50), From::HighLimit),
    (WearsAs::CamJournal, Characteristic::Size, Allows::OfSize(5), From::LowLimit),
    (WearsAs::CamBush, Characteristic::Size, Allows::OfSize(5), From::HighLimit),
    (WearsAs::CamEndPlay, Characteristic::EndPlay, Allows::Inch(100), From::HighLimit),
    (WearsAs::ValveStem, Characteristic::Wear, Allows::Inch(10), From::Nothing),
    (WearsAs::ValveStem, Characteristic::Size, Allows::Inch(10), From::LowLimit),
    (WearsAs::ValveGuide, Characteristic::Wear, Allows::Inch(15), From::Nothing),
    (WearsAs::ValveGuide, Characteristic::Size, Allows::Inch(15), From::HighLimit),
    (WearsAs::ValveSeat, Characteristic::Width, Allows::OfNew(115), From::Nothing),
];

impl Fallback {
    /// As a sentence.
    #[must_use]
    pub fn words(&self, unit: Unit) -> String {
        let sense = if self.side == Side::Below { "min" } else { "max" };
        let lies = if self.past { "past it" } else { "within it" };
        format!(
            "no engine data: generic wear rule, {sense} {} {} ({}); this is {lies}, which decides nothing",
            rough(self.bound, unit),
            unit.symbol(),
            self.formula
        )
    }

    /// Where the rule comes from.
    #[must_use]
    pub const fn source(&self) -> &'static str {
        SOURCE
    }
}

/// Puts the general rules beside every value that they cover and the sheet has no service limit for.
pub(super) fn offer(job: &Job, sheet: &Sheet, judgement: &mut Judgement) {
    for verdict in &mut judgement.verdicts {
        verdict.fallback = of(job, sheet, verdict);
    }
}

fn of(job: &Job, sheet: &Sheet, verdict: &Verdict) -> Option<Fallback> {
    let key = &verdict.key;
    let (judged, surface) = (verdict.judged.as_ref()?, job.surfaces.get(&key.surface)?);
    let as_it_came = matches!(key.condition, Condition::AsReceived | Condition::Cleaned);
    let new = surface.state == Some(PartState::New) && key.instance == surface.instance;
    let feature = sheet.features.get(key.surface.feature)?;
    let row = row_of(sheet, feature, verdict)?;
    if !as_it_came || new || row.service.is_some() || is_known_otherwise(feature, key.characteristic) {
        return None;
    }
    let size = feature.new_limits(key.basis.and_then(SizeWord::step));
    let rule =
        RULES.iter().find(|(wears, of, ..)| Some(*wears) == feature.wears_as && *of == key.characteristic)?;
    let counted = Counted { sheet, row, size, unit: verdict.unit };
    let (bound, formula) = counted.bound(rule.2, rule.3)?;
    let side = if rule.3 == From::LowLimit { Side::Below } else { Side::Above };
    let ends = [Some(judged.value), judged.other];
    let past = ends.into_iter().flatten().any(|end| match side {
        Side::Below => end < bound,
        Side::Above => end > bound,
    });
    Some(Fallback { bound, side, past, formula })
}

/// The row a verdict answers: of a pair, or of the feature.
fn row_of<'a>(sheet: &'a Sheet, feature: &'a Feature, verdict: &Verdict) -> Option<&'a Row> {
    let characteristic = verdict.key.characteristic;
    sheet.pair(&verdict.feature).map(|pair| &pair.row).or_else(|| feature.row(characteristic))
}

/// Wear and size are two ways to say one thing: a service limit of either is engine data for both.
fn is_known_otherwise(feature: &Feature, characteristic: Characteristic) -> bool {
    let either = [Characteristic::Wear, Characteristic::Size];
    let has_service = |of: Characteristic| feature.row(of).is_some_and(|row| row.service.is_some());
    either.contains(&characteristic) && either.into_iter().any(has_service)
}

/// What a rule is counted with.
struct Counted<'a> {
    sheet: &'a Sheet,
    row: &'a Row,
    /// New limits at the size in hand.
    size: Option<Limits>,
    unit: Unit,
}

impl Counted<'_> {
    /// The bound, and how it came about; `None` where the sheet lacks what it is counted from.
    fn bound(&self, allows: Allows, from: From) -> Option<(Exact, String)> {
        let (allowed, how) = self.allowed(allows)?;
        let new = if self.row.characteristic == Characteristic::Size { self.size } else { self.row.new };
        let high = || new.and_then(|new| new.max);
        Some(match from {
            From::Nothing => (allowed, how),
            From::LowLimit => {
                let low = new.and_then(|new| new.min)?;
                (low - allowed, format!("{how}, under the low limit, {}", length(low, self.unit)))
            }
            From::HighLimit => {
                let high = high()?;
                (high + allowed, format!("{how}, over the high limit, {}", length(high, self.unit)))
            }
        })
    }

    fn allowed(&self, allows: Allows) -> Option<(Exact, String)> {
        // 0.0005 in for each inch is 0.0005 mm for each millimetre.
        let share = |of: Exact, count: i128, what: &str| {
            let each =
                format!("0.{count:04} {} for each of {}{what}", self.unit.symbol(), length(of, self.unit));
            (of.part(count, 10_000), each)
        };
        Some(match allows {
            Allows::OfSize(count) => share(self.size.and_then(|size| size.min)?, count, ""),
            Allows::OfTravel(count) => share(self.sheet.geometry.as_ref()?.stroke, count, " of travel"),
            Allows::Inch(count) => {
                // 0.0001 in is 0.00254 mm.
                let allowed = Exact::nearest(0.00254) * count;
                (allowed, format!("{} in", allowed.show(Unit::Inch)))
            }
            Allows::OfNew(percent) => {
                let most = self.row.new.and_then(|new| new.max)?;
                let new = length(most, self.unit);
                (most.part(percent, 100), format!("{percent} percent of the most a new one may have, {new}"))
            }
        })
    }
}
