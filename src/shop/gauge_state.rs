//! The state of a gauge when a reading was recorded: in calibration, overdue, off at zero, or found bad.
//!
//! It is asked of everything the shop says of the gauge, whenever that was recorded, so that a gauge found bad today
//! puts a flag on what it read last week. A gauge set from another takes over what is wrong with that one. Which flag
//! costs a reading its proof is said here ([`FlagKind::proves_nothing`]); what follows is decided further down.

use crate::facts::{Body, Day, Digest, Fact, HouseRules, WrenchRange};
use crate::metrology::Unit;
use crate::sheets::{Shape, fold_name};
use crate::shop::gauge_life::{Asked, Lives};
use crate::shop::shop_wide::Shop;
use std::collections::BTreeMap;
use std::sync::Arc;

/// What can be the matter with a gauge that read something; what weighs most first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum FlagKind {
    /// It was bad when it was read with, as found out at any time.
    FoundBad,
    /// Its last zero check before found an error beyond what its figure holds.
    ZeroOff,
    /// Never to be used for such a feature.
    WrongKind,
    /// Its calibration was overdue.
    Overdue,
    /// Nothing could be proven with it against this limit.
    TooCoarse,
    /// The house rules do not know its kind of instrument.
    UnknownKind,
    /// Its zero is checked in this shop, and was not that day.
    NoZeroCheck,
}

impl FlagKind {
    /// Its key for programs.
    #[must_use]
    pub const fn key(self) -> &'static str {
        match self {
            Self::FoundBad => "found-bad",
            Self::ZeroOff => "zero-off",
            Self::WrongKind => "wrong-kind",
            Self::Overdue => "overdue",
            Self::TooCoarse => "too-coarse",
            Self::UnknownKind => "unknown-kind",
            Self::NoZeroCheck => "no-zero-check",
        }
    }

    /// A verdict that rests on such a reading is not proven, whatever its number, and the reading is asked for again.
    #[must_use]
    pub const fn proves_nothing(self) -> bool {
        matches!(self, Self::FoundBad | Self::ZeroOff | Self::WrongKind)
    }

    /// It puts a reading in doubt: it is on the list of such readings, and what was signed on it is asked again.
    #[must_use]
    pub const fn is_doubt(self) -> bool {
        matches!(self, Self::FoundBad | Self::ZeroOff | Self::WrongKind | Self::Overdue)
    }
}

/// One thing that is the matter with a gauge.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct GaugeFlag {
    /// What.
    pub kind: FlagKind,
    /// The same for people, with since when, why and through which gauge.
    pub words: String,
}

/// A gauge as it was when it was read with.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct GaugeState {
    /// Its mark, as the shop writes it.
    pub mark: String,
    /// Kind of instrument.
    pub instrument: String,
    /// Number of the certificate that was in force; empty where none is known.
    pub certificate: String,
    /// Until when it was calibrated; `None` where nobody said.
    pub due: Option<Day>,
    /// What is the matter, what weighs most first.
    pub flags: Vec<GaugeFlag>,
    /// The torques it is used for; `None` of what is no torque wrench, or where nobody said.
    pub range: Option<WrenchRange>,
    /// Shapes it is never to be used for.
    pub never_for: Vec<Shape>,
    /// The unit its kind reads in, by its figure in the house rules.
    pub reads: Option<Unit>,
}

impl GaugeState {
    /// `in calibration`, `overdue`, `zero off`, `found bad`, or `no certificate` where nobody said when it is due.
    #[must_use]
    pub fn word(&self) -> &'static str {
        let has = |kind: FlagKind| self.flags.iter().any(|flag| flag.kind == kind);
        if has(FlagKind::FoundBad) {
            "found bad"
        } else if has(FlagKind::ZeroOff) {
            "zero off"
        } else if has(FlagKind::Overdue) {
            "overdue"
        } else if self.due.is_some() {
            "in calibration"
        } else {
            "no certificate"
        }
    }

    /// It is never to be used for such a surface, or reads no such thing: a micrometer no force. A tester of
    /// springs gives their rate too, so what is no length is not told apart.
    #[must_use]
    pub fn misused(&self, shape: Shape, unit: Unit) -> Option<GaugeFlag> {
        let instrument = &self.instrument;
        let never = self.never_for.contains(&shape).then(|| "is never for journals or bores".to_owned());
        let other = self.reads.filter(|reads| reads.is_length() != unit.is_length());
        let words = never.or_else(|| Some(format!("reads {}, not {}", other?.symbol(), unit.symbol())))?;
        Some(GaugeFlag { kind: FlagKind::WrongKind, words: format!("a {instrument} {words}") })
    }
}

impl Lives {
    /// The state of a gauge for a reading; `None` of a gauge nobody described.
    pub(super) fn state(&self, mark: &str, ask: &Asked<'_>) -> Option<GaugeState> {
        let life = self.get(&fold_name(mark))?;
        let described = life.described(ask.at)?;
        let mut flags = Vec::new();
        for (steps, from) in self.chain(mark, ask.at).iter().enumerate() {
            let Some(own) = self.get(from) else { continue };
            let name = own.described(ask.at).map_or(from.as_str(), |described| &described.mark);
            let through = if steps == 0 { String::new() } else { format!("set from {name}, ") };
            let mut flag = |kind, words: Option<String>| {
                flags.extend(words.map(|words| GaugeFlag { kind, words: format!("{through}{words}") }));
            };
            flag(FlagKind::FoundBad, own.bad(ask));
            flag(FlagKind::ZeroOff, own.zero_off(ask));
            flag(FlagKind::Overdue, own.overdue(ask));
        }
        let instrument = &described.instrument;
        let mut own = |kind, words: &str| flags.push(GaugeFlag { kind, words: words.to_owned() });
        if ask.rules.is_some_and(|rules| !rules.knows(instrument)) {
            own(FlagKind::UnknownKind, &format!("the house rules do not know a {instrument}"));
        }
        if life.unchecked(ask) {
            own(FlagKind::NoZeroCheck, "no zero check that day");
        }
        flags.sort();
        let calibrated = life.calibrated(ask).map(|calibrated| calibrated.said);
        Some(GaugeState {
            mark: described.mark.clone(),
            instrument: instrument.clone(),
            certificate: calibrated.map_or_else(String::new, |c| c.certificate.clone()),
            due: calibrated.map(|c| c.due),
            flags,
            range: life.range(ask.at).cloned(),
            never_for: HouseRules::never_for(ask.rules, instrument),
            reads: ask.rules.and_then(|rules| rules.figure(instrument)).map(|(_, unit)| unit),
        })
    }
}

/// The one among those that are known already which is the same, else this, which then is known: a gauge seldom changes
/// between two drops, and what is one thing is quickly found to be so.
pub(super) fn one_of<T: PartialEq>(known: &mut Vec<Arc<T>>, new: T) -> Arc<T> {
    if let Some(same) = known.iter().find(|known| ***known == new) {
        return Arc::clone(same);
    }
    let new = Arc::new(new);
    known.push(Arc::clone(&new));
    new
}

/// The gauge of each drop of readings, as it was when they were recorded.
pub(super) fn gauge_states(
    facts: &[&Arc<Fact>],
    shop: &Shop,
    rules: Option<&HouseRules>,
) -> BTreeMap<Digest, Arc<GaugeState>> {
    let mut known = Vec::new();
    let state = |fact: &&Arc<Fact>| {
        let Body::Measurements(set) = &fact.body else { return None };
        let state = shop.gauge_state(set.gauge.as_ref()?, &fact.head.recorded, rules)?;
        Some((fact.id, one_of(&mut known, state)))
    };
    facts.iter().filter_map(state).collect()
}
