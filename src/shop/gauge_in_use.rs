//! What is known of a gauge at a time, in a person's hands, part by part, each with what says so.
//!
//! The shop's figure for its kind of instrument holds everything: repeat, setting, transfer. What is known better
//! takes the place of its part, never beside it: a study of this gauge in this person's hands that of the repeat, a
//! certificate in force that of the setting. A gauge set from another has the setting of the one at the end of that
//! chain, certificate included. Without either the figure stands as it is.

use crate::facts::{Digest, Measurements};
use crate::metrology::{Figure, Unit};
use crate::sheets::fold_name;
use crate::shop::gauge_life::{Asked, Life, Lives};
use crate::shop::one_reading::OneReading;
use crate::shop::studies::{Differ, Hand, Studies};
use std::sync::Arc;

/// What says so.
#[derive(Clone, Debug, PartialEq)]
pub enum Origin {
    /// The figure for this kind of instrument in the house rules.
    House(Option<Digest>),
    /// The certificate of a gauge.
    Certificate {
        /// The statement.
        drop: Digest,
        /// Mark of the gauge that was calibrated.
        of: String,
        /// Number of the certificate, as far as it was said.
        number: String,
    },
    /// A study.
    Study {
        /// Its latest statement.
        drop: Digest,
        /// Degrees of freedom.
        freedom: f64,
    },
}

/// A gauge as it was when a reading was recorded.
#[derive(Clone, Debug, PartialEq)]
pub struct GaugeInUse {
    /// Its mark, as the shop writes it.
    pub mark: String,
    /// Kind of instrument.
    pub instrument: String,
    /// Its folded mark.
    name: String,
    /// Folded mark of the gauge whose setting error it carries: at the end of what it was set from, or itself.
    pub setting_of: String,
    /// That mark as the shop writes it.
    pub standard: String,
    /// What is known of its errors; `None` when nothing is.
    figure: Option<Figure>,
    /// The unit the figure is in.
    pub unit: Unit,
    /// Whose figure it is, in words; no evidence, since it moves no value.
    pub figure_source: String,
    /// Whose hands, where a study speaks of them, as its latest drop writes them.
    pub hands: Option<String>,
    /// That person's folded name.
    hands_name: Option<String>,
    /// What people differ by, of which one draw is in all of these hands' readings and one in those of each part.
    people: Differ,
    /// One blade of it, where it has blades.
    blade: Option<Blade>,
    /// Standard uncertainty of rounding to its step, where the scatter of a study is too small to hold it.
    rounding: Option<(f64, Digest)>,
    /// What says how it repeats.
    pub repeat_from: Origin,
    /// What says how it was set.
    pub setting_from: Origin,
    /// The house rules that say how the setting is carried over.
    pub transfer_from: Origin,
}

/// What the thickness of one blade, or of one pin, is known to.
#[derive(Clone, Debug, PartialEq)]
pub struct Blade {
    /// Standard uncertainty, in the unit of the gauge.
    pub u: f64,
    /// What says so; nobody but common practice where nothing does.
    pub from: Option<Origin>,
}

/// Blades are within so much of what stands on them, millimetres: 0.0004 in, the upper end of what makers say (trade
/// notes F3).
const BLADE_WITHIN: f64 = 0.0004 * 25.4;

impl Lives {
    /// The gauge for a reading, in the hands of `who` where studies know them, by house rules with their statement;
    /// `None` of a gauge nobody described.
    pub(super) fn in_use(
        &self,
        (mark, who): (&str, &str),
        ask: &Asked<'_>,
        studies: &Studies,
        rules_from: Option<Digest>,
    ) -> Option<GaugeInUse> {
        let name = fold_name(mark);
        let life = self.get(&name)?;
        let described = life.described(ask.at)?;
        let house = ask.rules.and_then(|rules| rules.figure(&described.instrument));
        let origin = Origin::House(rules_from);
        // Never empty: it begins with the gauge itself.
        let setting_of = self.chain(mark, ask.at).pop().unwrap_or_default();
        let certificate = self.get(&setting_of).and_then(|life| Certified::of(life, ask));
        let standard = self.get(&setting_of).and_then(|life| life.described(ask.at));
        let standard = standard.map_or_else(|| setting_of.clone(), |described| described.mark.clone());
        let mut in_use = GaugeInUse {
            mark: described.mark.clone(),
            instrument: described.instrument.clone(),
            figure: house.map(|(figure, _)| figure),
            unit: house.map_or(Unit::Millimetre, |(_, unit)| unit),
            figure_source: ask.rules.map_or("", |rules| rules.source(&described.instrument)).to_owned(),
            hands: None,
            hands_name: None,
            people: Differ::default(),
            blade: None,
            rounding: None,
            repeat_from: origin.clone(),
            setting_from: origin.clone(),
            transfer_from: origin,
            setting_of,
            standard,
            name,
        };
        let said = ask.rules.and_then(|rules| rules.of_a_blade(&in_use.instrument));
        in_use.blade = in_use.one_blade(certificate.as_ref(), said);
        // The width of an interval is neither scatter nor setting: nothing takes its place.
        if in_use.figure.is_none_or(|figure| figure.interval.is_none()) {
            let hand = studies.hand(&in_use.name, who, ask.at);
            in_use.refine(certificate, hand.and_then(|hand| Studied::of(hand, life.step(ask.at))));
        }
        Some(in_use)
    }
}

/// A calibration that states its uncertainty.
struct Certified {
    /// Standard uncertainty, of lengths in millimetres, else in `unit`.
    u: f64,
    unit: Unit,
    /// Neither run out nor the gauge bad.
    in_force: bool,
    origin: Origin,
}

impl Certified {
    fn of(life: &Life, ask: &Asked<'_>) -> Option<Self> {
        let calibrated = life.calibrated(ask)?;
        let (u, unit) = calibrated.said.standard()?;
        let in_force = life.overdue(ask).is_none() && life.bad(ask).is_none();
        let (drop, of) = (calibrated.of.fact, calibrated.of.mark.clone());
        let number = calibrated.said.certificate.clone();
        Some(Self { u, unit, in_force, origin: Origin::Certificate { drop, of, number } })
    }
}

impl Certified {
    /// The same in another unit; `None` where that measures something else.
    fn brought(self, unit: Unit) -> Option<Self> {
        let factor = self.unit.factor_to(unit)?;
        Some(Self { u: self.u * factor, unit, ..self })
    }
}

/// What a study puts in the place of the figure's repeat.
struct Studied {
    repeat: f64,
    people: Differ,
    rounding: Option<(f64, Digest)>,
    hands: String,
    unit: Unit,
    origin: Origin,
}

impl Studied {
    /// `None` of a study too small to say anything, or one whose readings never differed and whose gauge has no
    /// known step: no gauge repeats perfectly.
    fn of(hand: &Hand, step: Option<((f64, Unit), Digest)>) -> Option<Self> {
        let repeat = hand.repeat()?;
        // Rounding to a step is a rectangle of half of it to either side (JCGM 100, F.2.2.1); where the scatter is
        // wider than that, the rounding is in it.
        let rounding = step
            .and_then(|((step, unit), drop)| Some((step * unit.factor_to(hand.unit)? / 12_f64.sqrt(), drop)));
        let rounding = rounding.filter(|(rounding, _)| *rounding > repeat);
        let origin = Origin::Study { drop: hand.drop, freedom: hand.spread.freedom };
        let (people, hands) = (hand.people, hand.who.clone());
        let found = Self { repeat, people, rounding, hands, unit: hand.unit, origin };
        (repeat > 1e-9 || found.rounding.is_some()).then_some(found)
    }

    /// The same in another unit; `None` where that measures something else.
    fn brought(self, unit: Unit) -> Option<Self> {
        let factor = self.unit.factor_to(unit)?;
        let rounding = self.rounding.map(|(rounding, drop)| (rounding * factor, drop));
        Some(Self {
            repeat: self.repeat * factor,
            people: self.people.scaled(factor),
            rounding,
            unit,
            ..self
        })
    }
}

impl GaugeInUse {
    /// No gauge: of a size that nobody read.
    #[must_use]
    pub const fn nobody() -> Self {
        Self {
            mark: String::new(),
            instrument: String::new(),
            name: String::new(),
            setting_of: String::new(),
            standard: String::new(),
            figure: None,
            unit: Unit::Millimetre,
            figure_source: String::new(),
            hands: None,
            hands_name: None,
            people: Differ { between: 0.0, by_part: 0.0, freedom: [f64::INFINITY; 2] },
            blade: None,
            rounding: None,
            repeat_from: Origin::House(None),
            setting_from: Origin::House(None),
            transfer_from: Origin::House(None),
        }
    }

    /// A blade is as sure as its certificate says, else as the house does, else as blades are. Pins and the like are read
    /// with the figure of their kind; of what nobody knows a figure, nothing is known of a blade either.
    fn one_blade(&self, certificate: Option<&Certified>, said: Option<f64>) -> Option<Blade> {
        if let Some(certified) = certificate.filter(|c| c.in_force)
            && let Some(factor) = certified.unit.factor_to(self.unit)
        {
            return Some(Blade { u: certified.u * factor, from: Some(certified.origin.clone()) });
        }
        let figure = self.figure?;
        let house = || Some(self.repeat_from.clone());
        Some(match (figure.interval, said) {
            (None, _) => Blade { u: figure.combined(), from: house() },
            (Some(_), Some(u)) => Blade { u, from: house() },
            (Some(_), None) => Blade { u: BLADE_WITHIN / 3_f64.sqrt(), from: None },
        })
    }

    /// Puts what is known better in the place of its part. Without a figure of the house it takes both to know all.
    fn refine(&mut self, certificate: Option<Certified>, studied: Option<Studied>) {
        let is_known = self.figure.is_some();
        // One that ran out makes a gauge no better than the house says, but it is no better than it was either.
        let setting = self.figure.map_or(0.0, |figure| figure.setting);
        let holds = |certified: &Certified| certified.in_force || (is_known && certified.u > setting);
        let certificate = certificate.and_then(|c| c.brought(self.unit)).filter(holds);
        let studied = studied.and_then(|studied| studied.brought(self.unit));
        if !is_known && (certificate.is_none() || studied.is_none()) {
            return;
        }
        let mut figure =
            self.figure.unwrap_or(Figure { repeat: 0.0, setting: 0.0, transfer: 0.0, interval: None });
        if let Some(certified) = certificate {
            figure.setting = certified.u;
            self.setting_from = certified.origin;
        }
        if let Some(studied) = studied {
            figure.repeat = studied.repeat;
            self.people = studied.people;
            self.rounding = studied.rounding;
            self.hands_name = Some(fold_name(&studied.hands));
            self.hands = Some(studied.hands);
            self.repeat_from = studied.origin;
        }
        self.figure = Some(figure);
    }

    /// The same gauge with its figure for readings judged in this unit; without one where it measures
    /// something else.
    #[must_use]
    pub fn judged_in(self: &Arc<Self>, unit: Unit) -> Arc<Self> {
        // Lengths share one grid and one scale, which is nearly every reading.
        if self.unit == unit || (self.unit.is_length() && unit.is_length()) {
            return Arc::clone(self);
        }
        let factor = self.unit.factor_to(unit);
        let figure = self.figure.zip(factor).map(|(figure, factor)| figure.scaled(factor));
        let by = factor.unwrap_or(0.0);
        let (people, rounding) = (self.people.scaled(by), self.rounding.map(|(u, drop)| (u * by, drop)));
        // Blades are lengths, and a length is never brought to anything else.
        Arc::new(Self { figure, people, rounding, unit, ..(**self).clone() })
    }

    /// Are these one gauge, however its mark is written?
    #[must_use]
    pub fn is(&self, other: &Self) -> bool {
        self.name == other.name
    }

    /// Are these one gauge in the hands of one person, where hands are told apart?
    #[must_use]
    pub fn is_in_hands_of(&self, other: &Self) -> bool {
        self.is(other) && self.hands_name == other.hands_name
    }

    /// How one reading by it errs; `None` where nothing is known.
    #[must_use]
    pub fn one_reading(&self) -> Option<OneReading> {
        let Figure { repeat, setting, transfer, interval } = self.figure?;
        let rounding = self.rounding.map_or(0.0, |(rounding, _)| rounding);
        let Differ { between: hands, by_part, .. } = self.people;
        Some(OneReading { repeat, rounding, by_part, setting, transfer, hands, interval })
    }

    /// What one blade of it is known to.
    #[must_use]
    pub const fn blade(&self) -> Option<&Blade> {
        self.blade.as_ref()
    }

    /// What says how fine its step is, where rounding to it counts.
    #[must_use]
    pub fn rounding_from(&self) -> Option<Digest> {
        self.rounding.map(|(_, drop)| drop)
    }

    /// Degrees of freedom of the repeat; infinite where it is taken as known.
    #[must_use]
    pub const fn freedom(&self) -> f64 {
        match self.repeat_from {
            Origin::Study { freedom, .. } => freedom,
            Origin::House(_) | Origin::Certificate { .. } => f64::INFINITY,
        }
    }

    /// The same of what people differ by, on the whole and from part to part.
    #[must_use]
    pub const fn people_freedom(&self) -> [f64; 2] {
        self.people.freedom
    }

    /// All that a signature on these readings by it rests on.
    #[must_use]
    pub fn evidence_for(&self, set: &Measurements) -> String {
        if set.has_blades() { self.evidence_of_blades() } else { self.evidence() }
    }

    /// All that a signature on a gap between its blades rests on.
    #[must_use]
    pub fn evidence_of_blades(&self) -> String {
        format!("{} {:?}", self.evidence(), self.blade)
    }

    /// All that a signature rests on. Where the figure of the house stands alone these are the words of rule set 1, so
    /// that what was signed by them stands; what is known better adds its own.
    #[must_use]
    pub fn evidence(&self) -> String {
        let Self { mark, instrument, setting_of, figure, unit, .. } = self;
        let house = format!(
            "Some(GaugeInUse {{ mark: {mark:?}, instrument: {instrument:?}, setting_of: {setting_of:?}, \
             figure: {figure:?}, unit: {unit:?} }})"
        );
        let better = |origin: &Origin| !matches!(origin, Origin::House(_));
        if better(&self.repeat_from) || better(&self.setting_from) {
            let Self {
                hands,
                people: Differ { between, by_part, .. },
                rounding,
                repeat_from,
                setting_from,
                ..
            } = self;
            let by_part = if *by_part > 0.0 { format!(" by part {by_part}") } else { String::new() };
            format!("{house} {hands:?} {between} {rounding:?} {repeat_from:?} {setting_from:?}{by_part}")
        } else {
            house
        }
    }
}
