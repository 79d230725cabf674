//! Everything said of the shop's gauges, and what of it holds at a time: what a gauge was set from, its calibration in
//! force, whether it was overdue, off at zero or bad, to which step it is read.
//!
//! The one place that is asked: [`GaugeState`](crate::shop::GaugeState) makes flags of it,
//! [`GaugeInUse`](crate::shop::GaugeInUse) figures, [`GaugeNow`](crate::shop::GaugeNow) the list of the shop's gauges.

use crate::facts::{AsFound, Calibration, Digest, Fact, GaugeBody, HouseRules, Recorded, WrenchRange};
use crate::metrology::Unit;
use crate::sheets::fold_name;
use jiff::civil::Date;
use jiff::{Timestamp, ToSpan as _};
use std::collections::{BTreeMap, BTreeSet};

/// What happened to a gauge.
#[derive(Clone, Debug)]
pub(super) enum Event {
    /// It was described.
    Described,
    /// Its zero was checked: the error, millimetres, and as written.
    Zero((f64, Unit), String),
    /// It was calibrated; until when that holds.
    Calibrated(Calibration, Option<Timestamp>),
    /// It was found bad, since when and why.
    Bad(Recorded, String),
}

/// One statement about a gauge.
#[derive(Clone, Debug)]
pub(super) struct Entry {
    pub(super) at: Timestamp,
    /// The day where it was recorded.
    day: Date,
    pub(super) fact: Digest,
    /// Its mark, as written here.
    pub(super) mark: String,
    /// Kind of instrument.
    pub(super) instrument: String,
    pub(super) set_by: Option<String>,
    /// The step it is read to: of lengths in millimetres, else in the unit beside it.
    step: Option<(f64, Unit)>,
    /// The torques it is used for.
    range: Option<WrenchRange>,
    pub(super) event: Event,
}

impl Entry {
    fn of(fact: &Fact, said: &GaugeBody) -> Self {
        let recorded = &fact.head.recorded;
        let event = match (&said.zero, &said.calibrated, &said.bad_since) {
            (Some(zero), _, _) => {
                let found = zero.found().unwrap_or((0.0, Unit::Millimetre));
                Event::Zero(found, format!("{} {}", zero.error.0, found.1.symbol()))
            }
            (None, Some(calibrated), _) => {
                let next = calibrated.due.0.checked_add(1.day()).ok();
                let over = next.and_then(|day| recorded.offset().to_timestamp(day.at(0, 0, 0, 0)).ok());
                Event::Calibrated(calibrated.clone(), over)
            }
            (None, None, Some(since)) => Event::Bad(since.clone(), said.why.clone()),
            (None, None, None) => Event::Described,
        };
        Self {
            at: recorded.instant(),
            day: local_day(recorded),
            fact: fact.id,
            mark: said.gauge.clone(),
            instrument: said.instrument.clone(),
            set_by: said.set_by.clone(),
            step: said.resolution.as_ref().and_then(|resolution| resolution.step()),
            range: said.range.clone(),
            event,
        }
    }
}

/// The day on which something was recorded, where it was recorded.
fn local_day(recorded: &Recorded) -> Date {
    recorded.offset().to_datetime(recorded.instant()).date()
}

/// Everything that happened to one gauge, in recorded order.
#[derive(Clone, Debug, Default)]
pub(super) struct Life {
    pub(super) entries: Vec<Entry>,
}

impl Life {
    /// Entries as they had been recorded by `heard`; descriptions hold whenever they were recorded.
    fn heard(&self, heard: Option<Timestamp>) -> impl DoubleEndedIterator<Item = &Entry> {
        let is_heard = move |entry: &&Entry| heard.is_none_or(|heard| entry.at <= heard);
        self.entries.iter().filter(is_heard)
    }

    /// As it was described at a time: as last said before, else as first said after.
    pub(super) fn described(&self, at: Timestamp) -> Option<&Entry> {
        let before = self.entries.iter().rev().find(|entry| entry.at <= at);
        before.or_else(|| self.entries.first())
    }

    /// The step it is read to and its unit (lengths are in millimetres), with its statement; by the same choice.
    pub(super) fn step(&self, at: Timestamp) -> Option<((f64, Unit), Digest)> {
        let step = |entry: &Entry| entry.step.map(|step| (step, entry.fact));
        let before = self.entries.iter().rev().filter(|entry| entry.at <= at).find_map(step);
        before.or_else(|| self.entries.iter().find_map(step))
    }

    /// The torques it is used for, by the same choice.
    pub(super) fn range(&self, at: Timestamp) -> Option<&WrenchRange> {
        let before =
            self.entries.iter().rev().filter(|entry| entry.at <= at).find_map(|entry| entry.range.as_ref());
        before.or_else(|| self.entries.iter().find_map(|entry| entry.range.as_ref()))
    }

    /// The last calibration before a time.
    pub(super) fn calibrated(&self, ask: &Asked<'_>) -> Option<Calibrated<'_>> {
        self.heard(ask.heard).rev().filter(|entry| entry.at <= ask.at).find_map(|entry| match &entry.event {
            Event::Calibrated(said, over) => Some(Calibrated { said, over: *over, of: entry }),
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
    pub(super) fn bad(&self, ask: &Asked<'_>) -> Option<String> {
        let mut stated: Vec<(&Recorded, &str)> = Vec::new();
        let mut before: Option<(Timestamp, Date)> = None;
        for entry in self.heard(ask.heard) {
            match &entry.event {
                Event::Bad(since, why) => stated.push((since, why)),
                Event::Calibrated(calibrated, _) => {
                    let open = ask.at < entry.at;
                    let said = stated_by(&stated, ask.at);
                    if open && calibrated.as_found != Some(AsFound::Good) {
                        if said.is_some() {
                            return said;
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
        stated_by(&stated, ask.at)
    }

    pub(super) fn overdue(&self, ask: &Asked<'_>) -> Option<String> {
        let Calibrated { said, over, .. } = self.calibrated(ask)?;
        let past = over.is_some_and(|over| over <= ask.at);
        // What a later calibration found good was good all along.
        (past && self.found_next(ask) != Some(AsFound::Good))
            .then(|| format!("calibration was due {}", said.due))
    }

    /// The last zero check before, unless it was calibrated since.
    pub(super) fn zero_off(&self, ask: &Asked<'_>) -> Option<String> {
        let before = self.heard(ask.heard).rev().filter(|entry| entry.at <= ask.at);
        let mut checks =
            before.filter(|entry| matches!(entry.event, Event::Zero(..) | Event::Calibrated(..)));
        let Event::Zero((error, unit), written) = &checks.next()?.event else { return None };
        let allowed = ask.rules?.zero_allowed(&self.described(ask.at)?.instrument)?;
        let error = error * unit.factor_to(allowed.unit)?;
        // Decimal errors and figures meet on the decimal grid, not on that of doubles.
        (error.abs() > allowed.most * (1.0 + 1e-9)).then(|| {
            format!("zero check before found {written}, more than the {} its figure holds", allowed.words)
        })
    }

    /// Its zero had been checked before, so this shop does that, and was not on this day.
    pub(super) fn unchecked(&self, ask: &Asked<'_>) -> bool {
        let is_zero = |entry: &&Entry| matches!(entry.event, Event::Zero(..));
        let mut zeros = self.heard(ask.heard).filter(is_zero).peekable();
        let does = zeros.peek().is_some_and(|first| first.at <= ask.at);
        does && !zeros.any(|zero| zero.day == ask.day)
    }
}

/// The first of these statements that reaches back to a time, in words.
fn stated_by(stated: &[(&Recorded, &str)], at: Timestamp) -> Option<String> {
    let (since, why) = stated.iter().find(|(since, _)| since.instant() <= at)?;
    let why = if why.is_empty() { String::new() } else { format!(": {why}") };
    Some(format!("found bad since {}{why}", since.short()))
}

/// A calibration with the statement it stands in.
pub(super) struct Calibrated<'a> {
    pub(super) said: &'a Calibration,
    /// When its due day is over.
    over: Option<Timestamp>,
    pub(super) of: &'a Entry,
}

/// What is asked: what holds at a time and day, by which rules, as heard until when.
pub(super) struct Asked<'a> {
    pub(super) at: Timestamp,
    day: Date,
    pub(super) rules: Option<&'a HouseRules>,
    heard: Option<Timestamp>,
}

impl<'a> Asked<'a> {
    pub(super) fn of(recorded: &Recorded, rules: Option<&'a HouseRules>, heard: Option<Timestamp>) -> Self {
        Self { at: recorded.instant(), day: local_day(recorded), rules, heard }
    }
}

/// What happened to the shop's gauges, by folded mark.
#[derive(Clone, Debug, Default)]
pub(super) struct Lives(BTreeMap<String, Life>);

impl Lives {
    /// Takes a statement in; they come in recorded order.
    pub(super) fn add(&mut self, fact: &Fact, said: &GaugeBody) {
        let life = self.0.entry(fold_name(&said.gauge)).or_default();
        life.entries.push(Entry::of(fact, said));
    }

    pub(super) fn get(&self, folded: &str) -> Option<&Life> {
        self.0.get(folded)
    }

    /// Everything said of each gauge.
    pub(super) fn all(&self) -> impl Iterator<Item = &Life> {
        self.0.values()
    }

    /// The gauge, what it was set from at that time, what that was set from, to what stands by itself; each once.
    pub(super) fn chain(&self, mark: &str, at: Timestamp) -> Vec<String> {
        let mut chain = vec![fold_name(mark)];
        while let Some(next) =
            chain.last().and_then(|last| self.0.get(last)?.described(at)?.set_by.as_deref()).map(fold_name)
        {
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
