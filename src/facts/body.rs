//! What each kind of drop says, as it was written. Shapes and exact lengths only; no history.

use crate::facts::{Digits, SizeWord};
use crate::metrology::{Figure, Length, Temperatures, Unit};
use crate::sheets::{Shape, Sheet};
use serde::Deserialize;
use std::sync::Arc;

/// The body of a drop, one variant a kind.
#[derive(Clone, Debug)]
pub enum Body {
    /// An engine was received.
    CheckIn(Box<CheckIn>),
    /// Readings.
    Measurements(Box<Measurements>),
    /// A part was replaced, or its stamp was read.
    Part(PartBody),
    /// Work was done.
    Operation(Operation),
    /// A person's word.
    Decision(Decision),
    /// An earlier drop is void.
    Withdrawal(Withdrawal),
    /// A step is signed.
    SignOff(SignOff),
    /// A gauge.
    Gauge(GaugeBody),
    /// A spec sheet, read and checked.
    Sheet(Arc<Sheet>),
    /// The shop's rules for judging.
    HouseRules(Arc<HouseRules>),
    /// Who is who.
    People(Arc<People>),
}

impl Body {
    /// The kind as written in the head.
    #[must_use]
    pub const fn kind(&self) -> &'static str {
        match self {
            Self::CheckIn(_) => "check-in",
            Self::Measurements(_) => "measurements",
            Self::Part(_) => "part",
            Self::Operation(_) => "operation",
            Self::Decision(_) => "decision",
            Self::Withdrawal(_) => "withdrawal",
            Self::SignOff(_) => "sign-off",
            Self::Gauge(_) => "gauge",
            Self::Sheet(_) => "sheet",
            Self::HouseRules(_) => "house-rules",
            Self::People(_) => "people",
        }
    }
}

/// An engine was received.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct CheckIn {
    /// Key of the sheet.
    pub sheet: String,
    /// Whose engine it is.
    pub customer: Customer,
    /// Which engine it is.
    pub engine: Engine,
    /// What came: scopes of the sheet.
    pub scope: Vec<String>,
    /// The complaint in the customer's words.
    #[serde(default)]
    pub complaint: String,
    /// What is missing or broken on arrival.
    #[serde(default)]
    pub remarks: String,
    /// What the customer wants.
    #[serde(default)]
    pub wishes: Wishes,
    /// Who may approve money.
    #[serde(default)]
    pub approver: String,
    /// Promised date, as written.
    #[serde(default)]
    pub promised: Option<String>,
}

/// Whose engine it is.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Customer {
    /// Name.
    pub name: String,
    /// Telephone, mail, or where to find them.
    #[serde(default)]
    pub reach: String,
}

/// Which engine it is.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Engine {
    /// Serial number.
    #[serde(default)]
    pub serial: String,
    /// Casting numbers.
    #[serde(default)]
    pub castings: Vec<String>,
}

/// What the customer wants.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Wishes {
    /// Keep the standard bore if it can be kept.
    #[serde(default)]
    pub keep_standard_bore: bool,
    /// `least metal`, `least cost` or `soonest`.
    #[serde(default)]
    pub aim: Option<String>,
    /// The most it may cost, as written.
    #[serde(default)]
    pub ceiling: Option<String>,
}

/// Condition of the surface when it was measured, as people state it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
pub enum ConditionWord {
    /// As it came in.
    #[serde(rename = "as received")]
    AsReceived,
    /// After cleaning.
    #[serde(rename = "cleaned")]
    Cleaned,
    /// After the last operation on it.
    #[serde(rename = "after work")]
    AfterWork,
    /// In the assembled engine.
    #[serde(rename = "at assembly")]
    AtAssembly,
}

/// A set of readings.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Measurements {
    /// Condition of all readings of the drop.
    pub condition: ConditionWord,
    /// The gauge; absent when none is named.
    #[serde(default)]
    pub gauge: Option<String>,
    /// `in` or `mm`.
    #[serde(rename = "unit")]
    pub unit_symbol: String,
    /// Temperatures of part and gauge.
    #[serde(default)]
    pub temperatures: Option<TemperaturesBody>,
    /// State of the bolts that clamp what is measured.
    #[serde(default)]
    pub bolts: Option<String>,
    /// Torque plate on or off.
    #[serde(default)]
    pub plate: Option<bool>,
    /// The value a comparator was set to, for deviations.
    #[serde(default)]
    pub setting: Option<Digits>,
    /// The drop these readings correct.
    #[serde(default)]
    pub corrects: Option<CorrectionOf>,
    /// The readings.
    pub readings: Vec<ReadingBody>,
}

impl Measurements {
    /// The unit the readings are written in.
    #[must_use]
    pub fn unit(&self) -> Unit {
        super::unit_of(&self.unit_symbol)
    }

    /// Temperatures in thousandths of a degree, when both were given.
    #[must_use]
    pub fn both_temperatures(&self) -> Option<Temperatures> {
        let given = self.temperatures.as_ref()?;
        Some(Temperatures { part: thousandths(&given.part)?, gauge: thousandths(given.gauge.as_ref()?)? })
    }
}

/// Thousandths of a degree from digits the schema has checked.
fn thousandths(digits: &Digits) -> Option<i64> {
    let (negative, bare) = digits.0.strip_prefix('-').map_or((false, digits.0.as_str()), |rest| (true, rest));
    let (whole, decimals) = bare.split_once('.').unwrap_or((bare, ""));
    let value: i64 = format!("{whole}{decimals:0<3}").parse().ok()?;
    (decimals.len() <= 3).then_some(if negative { -value } else { value })
}

/// Temperatures in degrees Celsius.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct TemperaturesBody {
    /// Of the part.
    pub part: Digits,
    /// Of the gauge, or of the standard when the gauge was set.
    #[serde(default)]
    pub gauge: Option<Digits>,
}

/// Names the drop a correction replaces readings of.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct CorrectionOf {
    /// Digest, full or short.
    pub drop: String,
    /// Why.
    pub why: String,
}

/// One reading.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct ReadingBody {
    /// The feature, as typed.
    pub feature: String,
    /// The position, as typed; may be left out where there is one.
    #[serde(default)]
    pub position: Option<Digits>,
    /// The station, as typed; may be left out where there is one.
    #[serde(default)]
    pub station: Option<String>,
    /// The direction, as typed; may be left out where there is one.
    #[serde(default)]
    pub direction: Option<String>,
    /// The value as read.
    #[serde(default)]
    pub value: Option<Digits>,
    /// Deviation from the setting, with its sign.
    #[serde(default)]
    pub deviation: Option<Digits>,
    /// The exact length: the value, or setting plus deviation. Filled in by decoding.
    #[serde(skip)]
    pub length: Length,
}

/// Names a surface: a feature and positions of it.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct PlaceRef {
    /// The feature, as typed.
    pub feature: String,
    /// Positions, as typed; `all` for every one.
    pub positions: Vec<Digits>,
}

/// A part was replaced, or its stamp was read.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct PartBody {
    /// The part kind, as typed.
    pub part: String,
    /// Its position, as typed.
    #[serde(default)]
    pub position: Option<Digits>,
    /// What happened.
    pub event: PartEvent,
    /// A replacing part is new or used.
    #[serde(default)]
    pub state: Option<PartState>,
    /// Unit of the stamps.
    #[serde(rename = "unit", default)]
    pub unit_symbol: String,
    /// What is stamped on it.
    #[serde(default)]
    pub stamps: Vec<Stamp>,
    /// Why.
    #[serde(default)]
    pub why: String,
}

/// What happened to a part.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
pub enum PartEvent {
    /// Another one takes its place.
    #[serde(rename = "replaced")]
    Replaced,
    /// Its stamp was read.
    #[serde(rename = "stamp read")]
    StampRead,
}

/// New or used.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum PartState {
    /// Never run.
    New,
    /// Has run.
    Used,
}

/// A size stamped on a part.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Stamp {
    /// The size-class group it is about.
    pub group: String,
    /// The size as stamped.
    #[serde(rename = "size")]
    pub written: String,
    /// The same, exact. Filled in by decoding.
    #[serde(skip)]
    pub size: Option<SizeWord>,
}

/// Work done in the house.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Operation {
    /// What was done.
    pub operation: String,
    /// On which surfaces.
    pub places: Vec<PlaceRef>,
    /// `in` or `mm`.
    #[serde(rename = "unit", default)]
    pub unit_symbol: String,
    /// Size class it was finished to; absent for work that leaves the size class.
    #[serde(rename = "finished", default)]
    pub written: Option<String>,
    /// The same, exact. Filled in by decoding.
    #[serde(skip)]
    pub finished: Option<SizeWord>,
    /// Machine, tool, stone.
    #[serde(default)]
    pub with: String,
    /// A remark.
    #[serde(default)]
    pub note: String,
}

/// A person's word; exactly one of the three.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub enum Decision {
    /// A questioned reading is right.
    ConfirmReading(Confirm),
    /// What is to be done.
    AgreedWork(AgreedWork),
    /// A value that is not proven is accepted.
    Accept(Accept),
}

/// A questioned reading is right as written.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Confirm {
    /// The drop it stands in.
    pub drop: String,
    /// The feature, as typed.
    pub feature: String,
    /// The position; every one of the drop where absent.
    #[serde(default)]
    pub position: Option<Digits>,
    /// The station; every one where absent.
    #[serde(default)]
    pub station: Option<String>,
    /// The direction; every one where absent.
    #[serde(default)]
    pub direction: Option<String>,
    /// Why it is right.
    pub why: String,
    /// Evidence code shown beside it.
    #[serde(default)]
    pub evidence: Option<String>,
}

/// What is to be done.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct AgreedWork {
    /// `in` or `mm`.
    #[serde(rename = "unit")]
    pub unit_symbol: String,
    /// The pieces of work.
    pub work: Vec<Work>,
    /// Who agreed.
    pub agreed_by: String,
    /// Evidence code shown beside the plan.
    #[serde(default)]
    pub evidence: Option<String>,
}

/// One piece of work.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Work {
    /// What is done.
    pub operation: String,
    /// The feature, as typed.
    pub feature: String,
    /// Positions, as typed; `all` for every one.
    pub positions: Vec<Digits>,
    /// Size class it is finished to; absent for work that leaves the size class.
    #[serde(rename = "finished", default)]
    pub written: Option<String>,
    /// The same, exact. Filled in by decoding.
    #[serde(skip)]
    pub finished: Option<SizeWord>,
}

/// A value that is beyond by number but not proven is accepted as it is.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Accept {
    /// The feature or pair, as typed.
    pub feature: String,
    /// Positions, as typed; `all` for every one.
    pub positions: Vec<Digits>,
    /// The characteristic; all of them where absent.
    #[serde(default)]
    pub characteristic: Option<String>,
    /// Why.
    pub why: String,
    /// Who accepts.
    pub accepted_by: String,
    /// Evidence code shown beside it.
    #[serde(default)]
    pub evidence: Option<String>,
}

/// An earlier drop is void.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Withdrawal {
    /// Its digest, full or short.
    pub drop: String,
    /// Why.
    pub why: String,
}

/// A step is signed.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct SignOff {
    /// What is signed.
    pub step: Step,
    /// Who signs.
    pub name: String,
    /// Evidence code shown beside what is signed.
    #[serde(default)]
    pub evidence: Option<String>,
    /// A remark.
    #[serde(default)]
    pub note: String,
}

/// A step that can be signed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Step {
    /// Everything was looked at and measured.
    Inspection,
    /// The agreed work is done and measured again.
    Machining,
    /// The engine is together.
    Reassembly,
    /// The engine may leave.
    Engine,
}

impl Step {
    /// As written in a drop.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Inspection => "inspection",
            Self::Machining => "machining",
            Self::Reassembly => "reassembly",
            Self::Engine => "engine",
        }
    }
}

/// A gauge.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct GaugeBody {
    /// Its mark.
    pub gauge: String,
    /// Kind of instrument, as the house rules name it.
    pub instrument: String,
    /// Mark of the gauge it is set from.
    #[serde(default)]
    pub set_by: Option<String>,
    /// A remark.
    #[serde(default)]
    pub note: String,
}

/// The shop's rules for judging.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct HouseRules {
    /// Revision, 1 and up.
    pub revision: u32,
    /// Probability that proves.
    pub probability: Digits,
    /// Figures by kind of instrument.
    pub instruments: Vec<Instrument>,
    /// Clean-up stock by shape.
    #[serde(default)]
    pub stock: Vec<Stock>,
}

impl HouseRules {
    /// The probability that proves; the schema keeps it between 0.5 and 1.
    #[must_use]
    pub fn level(&self) -> f64 {
        self.probability.0.parse().unwrap_or(0.95)
    }

    /// The figure for a kind of instrument.
    #[must_use]
    pub fn figure(&self, instrument: &str) -> Option<Figure> {
        let wanted = crate::sheets::fold_name(instrument);
        self.instruments.iter().find(|i| crate::sheets::fold_name(&i.instrument) == wanted)?.figure()
    }

    /// The least stock that machining takes off the diameter of such a surface.
    #[must_use]
    pub fn stock_for(&self, shape: Shape) -> Option<Length> {
        let word = match shape {
            Shape::Shaft => "shaft",
            Shape::Bore => "bore",
            Shape::Wall => return None,
        };
        let stock = self.stock.iter().find(|s| s.shape == word)?;
        Length::parse(&stock.stock.0, super::unit_of(&stock.unit_symbol)).ok()
    }
}

/// The shop's figure for one kind of instrument.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Instrument {
    /// The kind.
    pub instrument: String,
    /// `in` or `mm`.
    #[serde(rename = "unit")]
    pub unit_symbol: String,
    /// Expanded uncertainty of one reading, k = 2.
    pub expanded: Digits,
    /// Standard uncertainty shared with whatever it is set from.
    pub setting: Digits,
    /// Standard uncertainty of carrying the setting over.
    pub transfer: Digits,
}

impl Instrument {
    /// In millimetres; `None` when the parts leave nothing that repeats.
    #[must_use]
    pub fn figure(&self) -> Option<Figure> {
        let scale = match super::unit_of(&self.unit_symbol) {
            Unit::Inch => 25.4,
            Unit::Millimetre => 1.0,
        };
        let mm = |digits: &Digits| digits.0.parse::<f64>().ok().map(|value| value * scale);
        Figure::from_expanded(mm(&self.expanded)?, mm(&self.setting)?, mm(&self.transfer)?)
    }
}

/// Clean-up stock.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Stock {
    /// `bore` or `shaft`.
    pub shape: String,
    /// `in` or `mm`.
    #[serde(rename = "unit")]
    pub unit_symbol: String,
    /// On the diameter.
    pub stock: Digits,
}

/// Who is who.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct People {
    /// Revision, 1 and up.
    pub revision: u32,
    /// The people.
    pub people: Vec<Person>,
}

/// One person.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Person {
    /// Name.
    pub name: String,
    /// Initials, as used in drops.
    pub initials: String,
    /// What they answer for.
    pub roles: Vec<Role>,
    /// Where letters go; none for a person who gets none.
    #[serde(default)]
    pub mail: Option<String>,
}

/// What a person answers for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Role {
    /// Money, customers, the last word.
    Owner,
    /// Teardown, measuring, assembly.
    Bench,
    /// Machine work.
    Machinist,
    /// Second pair of eyes.
    Checker,
    /// Ordering.
    Parts,
}
