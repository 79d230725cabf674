//! The state of a gauge when a reading was recorded: in calibration, overdue, off at zero, or found bad.
//!
//! It is asked of everything the shop says of the gauge, whenever that was recorded, so that a gauge found bad today
//! puts a flag on what it read last week. A gauge set from another takes over what is wrong with that one. Which flag
//! costs a reading its proof is said here ([`FlagKind::proves_nothing`]); what follows is decided further down.

use crate::facts::{AsFound, Body, Calibration, Day, Digest, Fact, GaugeBody, HouseRules, Recorded, unit_of};
use crate::sheets::{Shape, fold_name};
use crate::shop::shop_wide::Shop;
use jiff::civil::Date;
use jiff::{Timestamp, ToSpan as _};
use std::collections::{BTreeMap, BTreeSet};
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
    /// Shapes it is never to be used for.
    pub never_for: Vec<Shape>,
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

    /// It is never to be used for such a surface.
    #[must_use]
    pub fn misused(&self, shape: Shape) -> Option<GaugeFlag> {
        self.never_for.contains(&shape).then(|| GaugeFlag {
            kind: FlagKind::WrongKind,
            words: format!("a {} is never for journals or bores", self.instrument),
        })
    }
}

/// What happened to a gauge.
#[derive(Clone, Debug)]
enum Event {
    /// It was described.
    Described,
    /// Its zero was checked: the error, millimetres, and as written.
    Zero(f64, String),
    /// It was calibrated; until when that holds.
    Calibrated(Calibration, Option<Timestamp>),
    /// It was found bad, since when, and as written with the reason.
    Bad(Timestamp, String),
}

/// One statement about a gauge.
#[derive(Clone, Debug)]
struct Entry {
    at: Timestamp,
    /// The day where it was recorded.
    day: Date,
    set_by: Option<String>,
    event: Event,
}

impl Entry {
    fn of(recorded: &Recorded, said: &GaugeBody) -> Self {
        let event = match (&said.zero, &said.calibrated, &said.bad_since) {
            (Some(zero), _, _) => {
                let unit = unit_of(&zero.unit_symbol);
                let error = zero.error.0.parse::<f64>().unwrap_or(0.0) * unit.scale();
                Event::Zero(error, format!("{} {}", zero.error.0, unit.symbol()))
            }
            (None, Some(calibrated), _) => {
                let next = calibrated.due.0.checked_add(1.day()).ok();
                let over = next.and_then(|day| recorded.offset().to_timestamp(day.at(0, 0, 0, 0)).ok());
                Event::Calibrated(calibrated.clone(), over)
            }
            (None, None, Some(since)) => {
                let why = if said.why.is_empty() { String::new() } else { format!(": {}", said.why) };
                Event::Bad(since.instant(), format!("{}{why}", since.short()))
            }
            (None, None, None) => Event::Described,
        };
        Self { at: recorded.instant(), day: local_day(recorded), set_by: said.set_by.clone(), event }
    }
}

/// The day on which something was recorded, where it was recorded.
fn local_day(recorded: &Recorded) -> Date {
    recorded.offset().to_datetime(recorded.instant()).date()
}

/// Everything that happened to one gauge, in recorded order.
#[derive(Clone, Debug, Default)]
struct Life {
    mark: String,
    instrument: String,
    entries: Vec<Entry>,
}

impl Life {
    /// Entries as they had been recorded by `heard`; descriptions hold whenever they were recorded.
    fn heard(&self, heard: Option<Timestamp>) -> impl DoubleEndedIterator<Item = &Entry> {
        let is_heard = move |entry: &&Entry| heard.is_none_or(|heard| entry.at <= heard);
        self.entries.iter().filter(is_heard)
    }

    /// What it was set from at a time: as last said before, else as first said after.
    fn set_by(&self, at: Timestamp) -> Option<&str> {
        let before = self.entries.iter().rev().find(|entry| entry.at <= at);
        before.or_else(|| self.entries.first())?.set_by.as_deref()
    }

    /// The calibration in force at a time, and until when.
    fn calibrated(&self, ask: &Asked<'_>) -> Option<(&Calibration, Option<Timestamp>)> {
        self.heard(ask.heard).rev().filter(|entry| entry.at <= ask.at).find_map(|entry| match &entry.event {
            Event::Calibrated(calibrated, over) => Some((calibrated, *over)),
            Event::Described | Event::Zero(..) | Event::Bad(..) => None,
        })
    }

    /// How the next calibration after a time found it.
    fn found_next(&self, ask: &Asked<'_>) -> Option<AsFound> {
        self.heard(ask.heard).filter(|entry| entry.at > ask.at).find_map(|entry| match &entry.event {
            Event::Calibrated(calibrated, _) => Some(calibrated.as_found),
            Event::Described | Event::Zero(..) | Event::Bad(..) => None,
        })?
    }

    /// Since when it was bad at this time, and why. A statement reaches from the time it names to the next calibration,
    /// and falls where that calibration found the gauge good. A calibration that finds it off without such a statement
    /// puts everything since the one before in doubt: a zero check does not see a scale.
    fn bad(&self, ask: &Asked<'_>) -> Option<String> {
        let mut stated: Vec<(Timestamp, &str)> = Vec::new();
        let mut before: Option<(Timestamp, Date)> = None;
        for entry in self.heard(ask.heard) {
            match &entry.event {
                Event::Bad(since, words) => stated.push((*since, words)),
                Event::Calibrated(calibrated, _) => {
                    let open = ask.at < entry.at;
                    let said = stated.iter().find(|(since, _)| *since <= ask.at);
                    if open && calibrated.as_found != Some(AsFound::Good) {
                        if let Some((_, words)) = said {
                            return Some(format!("found bad since {words}"));
                        }
                        let off = calibrated.as_found == Some(AsFound::Off) && stated.is_empty();
                        if off && before.is_none_or(|(last, _)| last <= ask.at) {
                            let since = before.map_or_else(
                                || "and never calibrated before".to_owned(),
                                |(_, day)| format!("last calibrated {day}"),
                            );
                            return Some(format!("calibration of {} found it off, {since}", entry.day));
                        }
                    }
                    stated.clear();
                    before = Some((entry.at, entry.day));
                }
                Event::Described | Event::Zero(..) => {}
            }
        }
        let said = stated.iter().find(|(since, _)| *since <= ask.at);
        said.map(|(_, words)| format!("found bad since {words}"))
    }

    fn overdue(&self, ask: &Asked<'_>) -> Option<String> {
        let (calibrated, over) = self.calibrated(ask)?;
        let past = over.is_some_and(|over| over <= ask.at);
        // What a later calibration found good was good all along.
        (past && self.found_next(ask) != Some(AsFound::Good))
            .then(|| format!("calibration was due {}", calibrated.due))
    }

    /// The last zero check before, unless it was calibrated since.
    fn zero_off(&self, ask: &Asked<'_>) -> Option<String> {
        let before = self.heard(ask.heard).rev().filter(|entry| entry.at <= ask.at);
        let mut checks =
            before.filter(|entry| matches!(entry.event, Event::Zero(..) | Event::Calibrated(..)));
        let Event::Zero(error, written) = &checks.next()?.event else { return None };
        let allowed = ask.rules?.zero_allowed(&self.instrument)?;
        // Decimal errors and figures meet on the decimal grid, not on that of doubles.
        (error.abs() > allowed.mm * (1.0 + 1e-9)).then(|| {
            format!("zero check before found {written}, more than the {} its figure holds", allowed.words)
        })
    }

    /// Its zero had been checked before, so this shop does that, and was not on this day.
    fn unchecked(&self, ask: &Asked<'_>) -> bool {
        let is_zero = |entry: &&Entry| matches!(entry.event, Event::Zero(..));
        let mut zeros = self.heard(ask.heard).filter(is_zero).peekable();
        let does = zeros.peek().is_some_and(|first| first.at <= ask.at);
        does && !zeros.any(|zero| zero.day == ask.day)
    }
}

/// What is asked: the state at a time and day, by which rules, as heard until when.
struct Asked<'a> {
    at: Timestamp,
    day: Date,
    rules: Option<&'a HouseRules>,
    heard: Option<Timestamp>,
}

/// What happened to the shop's gauges, by folded mark.
#[derive(Clone, Debug, Default)]
pub(super) struct Lives(BTreeMap<String, Life>);

impl Lives {
    /// Takes a statement in; they come in recorded order.
    pub(super) fn add(&mut self, fact: &Fact, said: &GaugeBody) {
        let life = self.0.entry(fold_name(&said.gauge)).or_default();
        life.mark.clone_from(&said.gauge);
        life.instrument.clone_from(&said.instrument);
        life.entries.push(Entry::of(&fact.head.recorded, said));
    }

    /// The state of a gauge for a reading recorded then; `None` of a gauge nobody described.
    pub(super) fn state(
        &self,
        mark: &str,
        recorded: &Recorded,
        rules: Option<&HouseRules>,
        heard: Option<Timestamp>,
    ) -> Option<GaugeState> {
        let ask = Asked { at: recorded.instant(), day: local_day(recorded), rules, heard };
        let life = self.0.get(&fold_name(mark))?;
        let mut flags = Vec::new();
        for (steps, from) in self.chain(mark, ask.at).into_iter().enumerate() {
            let Some(own) = self.0.get(&from) else { continue };
            let through = if steps == 0 { String::new() } else { format!("set from {}, ", own.mark) };
            let mut flag = |kind, words: Option<String>| {
                flags.extend(words.map(|words| GaugeFlag { kind, words: format!("{through}{words}") }));
            };
            flag(FlagKind::FoundBad, own.bad(&ask));
            flag(FlagKind::ZeroOff, own.zero_off(&ask));
            flag(FlagKind::Overdue, own.overdue(&ask));
        }
        let mut own = |kind, words: &str| flags.push(GaugeFlag { kind, words: words.to_owned() });
        if rules.is_some_and(|rules| !rules.knows(&life.instrument)) {
            own(FlagKind::UnknownKind, &format!("the house rules do not know a {}", life.instrument));
        }
        if life.unchecked(&ask) {
            own(FlagKind::NoZeroCheck, "no zero check that day");
        }
        flags.sort();
        let calibrated = life.calibrated(&ask).map(|(calibrated, _)| calibrated);
        Some(GaugeState {
            mark: life.mark.clone(),
            instrument: life.instrument.clone(),
            certificate: calibrated.map_or_else(String::new, |c| c.certificate.clone()),
            due: calibrated.map(|c| c.due),
            flags,
            never_for: HouseRules::never_for(rules, &life.instrument),
        })
    }

    /// The gauge, what it was set from at that time, what that was set from, each once.
    fn chain(&self, mark: &str, at: Timestamp) -> Vec<String> {
        let mut chain = vec![fold_name(mark)];
        while let Some(next) = chain.last().and_then(|last| self.0.get(last)?.set_by(at)).map(fold_name) {
            if chain.contains(&next) {
                break;
            }
            chain.push(next);
        }
        chain
    }

    /// These gauges with all that they were ever set from, folded.
    pub(super) fn with_sources(&self, marks: BTreeSet<String>) -> BTreeSet<String> {
        let (mut known, mut open) = (BTreeSet::new(), marks);
        while let Some(mark) = open.pop_first() {
            let sources = self.0.get(&mark).into_iter().flat_map(|life| &life.entries);
            open.extend(sources.filter_map(|entry| entry.set_by.as_deref()).map(fold_name));
            known.insert(mark);
            open.retain(|mark| !known.contains(mark));
        }
        known
    }

    /// Did anything happen to one of these gauges after a time?
    pub(super) fn is_news(&self, marks: &BTreeSet<String>, after: Timestamp) -> bool {
        let happened = |entry: &Entry| entry.at > after && !matches!(entry.event, Event::Described);
        marks.iter().filter_map(|mark| self.0.get(mark)).any(|life| life.entries.iter().any(happened))
    }
}

/// The gauge of each drop of readings, as it was when they were recorded.
pub(super) fn gauge_states(
    facts: &[&Arc<Fact>],
    shop: &Shop,
    rules: Option<&HouseRules>,
) -> BTreeMap<Digest, Arc<GaugeState>> {
    let state = |fact: &&Arc<Fact>| {
        let Body::Measurements(set) = &fact.body else { return None };
        let state = shop.gauge_state(set.gauge.as_ref()?, &fact.head.recorded, rules)?;
        Some((fact.id, Arc::new(state)))
    };
    facts.iter().filter_map(state).collect()
}
