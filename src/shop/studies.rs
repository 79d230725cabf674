//! Studies of gauges: how a gauge repeats in one person's hands, and how hands and gauges differ.
//!
//! A study is as many drops as people and gauges took part, under one name. A drop that counts makes the next step
//! of what is known; a reading asks for the step that was reached when it was taken, so that a study changes
//! nothing that was read before it.

use crate::facts::{Digest, Fact, Measurements, ReadingBody};
use crate::metrology::statistics::{Spread, from_first};
use crate::metrology::study::{self, Anova, Ranges, Table, anova, ranges};
use crate::metrology::{Exact, Unit};
use crate::sheets::fold_name;
use jiff::Timestamp;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::{Arc, OnceLock};

/// How a gauge repeats in one person's hands.
#[derive(Clone, Debug, PartialEq)]
pub struct Hand {
    /// Squares and degrees of freedom within the parts, pooled over all studies; millimetres, or the unit.
    pub spread: Spread,
    /// What people differ by with this gauge, where a study tells it from the repeat.
    pub people: Differ,
    /// The unit it is in.
    pub unit: Unit,
    /// Whose hands, as the latest drop writes them.
    pub who: String,
    /// The latest drop it rests on.
    pub drop: Digest,
}

/// Standard deviations between the people of a study; nought where it does not tell them from the repeat.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Differ {
    /// On the whole: one draw for all that a person reads.
    pub between: f64,
    /// From part to part over that: a draw for each part.
    pub by_part: f64,
    /// Degrees of freedom of either, by Satterthwaite's formula.
    pub freedom: [f64; 2],
}

impl Differ {
    /// The same in a unit of which one of the old is `factor`.
    pub(super) fn scaled(self, factor: f64) -> Self {
        Self { between: self.between * factor, by_part: self.by_part * factor, ..self }
    }
}

/// Fewer degrees of freedom have no standard uncertainty (that of Student's distribution is infinite below three).
const LEAST_FREEDOM: f64 = 3.0;

impl Hand {
    /// The standard uncertainty of one reading: the pooled deviation, widened for how few readings it comes from by
    /// the root of `freedom / (freedom - 2)`, the standard deviation of Student's distribution (JCGM 101, 6.4.9).
    /// `None` of too few.
    #[must_use]
    pub fn repeat(&self) -> Option<f64> {
        let freedom = self.spread.freedom;
        let widened = self.spread.deviation()? * (freedom / (freedom - 2.0)).sqrt();
        (freedom >= LEAST_FREEDOM).then_some(widened)
    }
}

/// One reading of a study.
#[derive(Clone, Debug)]
struct Row {
    study: String,
    who: String,
    part: String,
    value: Exact,
    unit: Unit,
    /// Of the statement.
    from: Arc<Statement>,
}

/// What the rows of one statement have in common.
#[derive(Debug)]
struct Statement {
    drop: Digest,
    /// Who read, as written there.
    who: String,
}

/// What is known of a gauge from one drop on.
#[derive(Clone, Debug)]
struct Step {
    recorded: Timestamp,
    /// So many rows were there.
    rows: usize,
    /// Of each person, by folded name; worked out when a reading asks for it, since most steps are asked for by none.
    hands: OnceLock<BTreeMap<String, Arc<Hand>>>,
}

/// Everything studies have said.
#[derive(Clone, Debug, Default)]
pub(super) struct Studies {
    /// By folded mark of the gauge, in recorded order.
    rows: BTreeMap<String, Vec<Row>>,
    steps: BTreeMap<String, Vec<Step>>,
    /// Names as first written, by folded name: of studies, people and gauges.
    written: BTreeMap<String, String>,
}

impl Studies {
    /// Takes a drop in; drops come in recorded order. A drop without study or gauge says nothing here.
    pub(super) fn add(&mut self, fact: &Fact, set: &Measurements) {
        let Some((study, gauge)) = set.study.as_ref().zip(set.gauge.as_ref()) else { return };
        for name in [study.as_str(), gauge.as_str(), fact.head.who.as_str()] {
            self.written.entry(fold_name(name)).or_insert_with(|| name.to_owned());
        }
        let written = set.unit();
        let own = if written.is_length() { Unit::Millimetre } else { written };
        let rows = self.rows.entry(fold_name(gauge)).or_default();
        // All of one quantity in the unit it was first read in: a later study in pounds meets an earlier one in newtons.
        let alike = rows.iter().map(|row| row.unit).find(|unit| unit.quantity() == own.quantity());
        let unit = alike.unwrap_or(own);
        let from = Arc::new(Statement { drop: fact.id, who: fact.head.who.to_string() });
        rows.extend(set.readings.iter().map(|reading| Row {
            study: fold_name(study),
            who: fold_name(&fact.head.who),
            part: part_of(reading),
            value: written.bring(reading.length.exact(), unit).unwrap_or(reading.length.exact()),
            unit,
            from: Arc::clone(&from),
        }));
        let step = Step { recorded: fact.head.recorded.instant(), rows: rows.len(), hands: OnceLock::new() };
        self.steps.entry(fold_name(gauge)).or_default().push(step);
    }

    /// What studies recorded at or before `at` say of a gauge in this person's hands.
    pub(super) fn hand(&self, gauge: &str, who: &str, at: Timestamp) -> Option<&Arc<Hand>> {
        let steps = self.steps.get(gauge)?;
        let reached = steps.partition_point(|step| step.recorded <= at).checked_sub(1)?;
        let step = steps.get(reached)?;
        let rows = self.rows.get(gauge)?.get(..step.rows)?;
        step.hands.get_or_init(|| hands(rows)).get(&fold_name(who))
    }

    /// Every study, by name.
    pub(super) fn all(&self) -> Vec<StudyNow> {
        let names: BTreeSet<&str> = self.rows.values().flatten().map(|row| row.study.as_str()).collect();
        names.into_iter().map(|study| self.study(study)).collect()
    }

    fn study(&self, study: &str) -> StudyNow {
        let shown = |name: &str| self.written.get(name).cloned().unwrap_or_default();
        let of = |rows: &'_ [Row]| rows.iter().filter(|row| row.study == study).cloned().collect::<Vec<_>>();
        let by_gauge: Vec<(String, Vec<Row>)> =
            self.rows.iter().map(|(gauge, rows)| (shown(gauge), of(rows))).collect();
        let by_gauge: Vec<_> = by_gauge.into_iter().filter(|(_, rows)| !rows.is_empty()).collect();
        let gauges = by_gauge.iter().map(|(gauge, rows)| {
            let people: BTreeSet<&str> = rows.iter().map(|row| row.who.as_str()).collect();
            let of = |who: &str| pooled(rows.iter().filter(|row| row.who == who));
            let pooled = people.iter().map(|who| (shown(who), of(who))).collect();
            let table = table(rows.iter().map(|row| (row.who.as_str(), row)));
            GaugeStudied {
                gauge: gauge.clone(),
                unit: rows.first().map_or(Unit::Millimetre, |row| row.unit),
                hands: pooled,
                variance: table.as_ref().map(anova).map_err(ToString::to_string).map(|mut found| {
                    found.bias.iter_mut().for_each(|bias| bias.person = shown(&bias.person));
                    found
                }),
                ranges: table.as_ref().ok().and_then(|table| ranges(table).ok()),
            }
        });
        let gauges = gauges.collect();
        StudyNow { study: shown(study), gauges, between_gauges: between_gauges(&by_gauge, shown) }
    }
}

/// One gauge of a study.
#[derive(Clone, Debug)]
pub struct GaugeStudied {
    /// Its mark.
    pub gauge: String,
    /// The unit of everything here: millimetres, or that of what is no length.
    pub unit: Unit,
    /// Each person with what repeats in their hands.
    pub hands: Vec<(String, Spread)>,
    /// The analysis of variance with the bias of each person; where there is none, why.
    pub variance: Result<Anova, String>,
    /// The same by average and range, where it has factors for so many.
    pub ranges: Option<Ranges>,
}

/// A study as it stands.
#[derive(Clone, Debug)]
pub struct StudyNow {
    /// Its name.
    pub study: String,
    /// Its gauges.
    pub gauges: Vec<GaugeStudied>,
    /// Where one person read the same parts with several gauges: person, gauge, and what it reads more than all.
    pub between_gauges: Vec<(String, String, f64)>,
}

fn between_gauges(
    by_gauge: &[(String, Vec<Row>)],
    shown: impl Fn(&str) -> String,
) -> Vec<(String, String, f64)> {
    let people: BTreeSet<&str> = by_gauge.iter().flat_map(|(_, rows)| rows).map(|r| r.who.as_str()).collect();
    let mut found = Vec::new();
    for who in people {
        let rows = by_gauge.iter().flat_map(|(gauge, rows)| {
            rows.iter().filter(|row| row.who == who).map(move |row| (gauge.as_str(), row))
        });
        let gauges: BTreeSet<&str> = rows.clone().map(|(gauge, _)| gauge).collect();
        let Some(table) = (gauges.len() > 1).then(|| table(rows)).and_then(Result::ok) else { continue };
        found.extend(anova(&table).bias.into_iter().map(|bias| (shown(who), bias.person, bias.by)));
    }
    found
}

fn part_of(reading: &ReadingBody) -> String {
    let position = reading.position.as_ref().map_or("", |digits| digits.0.as_str());
    let name = |text: Option<&str>| text.map_or_else(String::new, fold_name);
    format!(
        "{}/{}/{}/{}",
        fold_name(&reading.feature),
        fold_name(position),
        name(reading.station.as_deref()),
        name(reading.direction.as_deref())
    )
}

/// Within the parts of each study, of one person's readings.
fn pooled<'a>(rows: impl Iterator<Item = &'a Row>) -> Spread {
    let mut cells: BTreeMap<(&str, &str), Vec<Exact>> = BTreeMap::new();
    for row in rows {
        cells.entry((&row.study, &row.part)).or_default().push(row.value);
    }
    Spread::pooled(&cells.values().map(|cell| Spread::of(&from_first(cell))).collect::<Vec<_>>())
}

/// The table of some readings; trials are counted in recorded order.
fn table<'a>(rows: impl Iterator<Item = (&'a str, &'a Row)>) -> Result<Table, study::StudyFault> {
    let mut trials: BTreeMap<(&str, &str), u32> = BTreeMap::new();
    let readings: Vec<_> = rows
        .map(|(person, row)| {
            let trial = trials.entry((person, &row.part)).or_default();
            *trial += 1;
            study::Reading { part: &row.part, person, trial: *trial, value: row.value }
        })
        .collect();
    Table::of(&readings)
}

/// Everyone who has read with this gauge, in the unit of their latest reading.
fn hands(rows: &[Row]) -> BTreeMap<String, Arc<Hand>> {
    let mut latest: BTreeMap<&str, &Row> = BTreeMap::new();
    let mut own: BTreeMap<(&str, Unit), Vec<&Row>> = BTreeMap::new();
    let mut studies: BTreeMap<(&str, Unit), Vec<&Row>> = BTreeMap::new();
    // The studies a person is in, the latest last.
    let mut taken: BTreeMap<(&str, Unit), Vec<&str>> = BTreeMap::new();
    for row in rows {
        let taken = taken.entry((&row.who, row.unit)).or_default();
        taken.retain(|study| *study != row.study);
        taken.push(&row.study);
        latest.insert(&row.who, row);
        own.entry((&row.who, row.unit)).or_default().push(row);
        studies.entry((&row.study, row.unit)).or_default().push(row);
    }
    let people: BTreeMap<(&str, Unit), Option<Differ>> =
        studies.into_iter().map(|(study, rows)| (study, between(&rows))).collect();
    let hand = |(who, row): (&str, &Row)| {
        let readings = own.get(&(who, row.unit)).into_iter().flatten().copied();
        // One person alone says nothing of people: what an earlier study found stands.
        let taken = taken.get(&(who, row.unit)).into_iter().flatten().rev();
        let found = taken.filter_map(|study| people.get(&(*study, row.unit)).copied().flatten()).next();
        let people = found.unwrap_or_default();
        let (who_shown, drop) = (row.from.who.clone(), row.from.drop);
        let hand = Hand { spread: pooled(readings), people, unit: row.unit, who: who_shown, drop };
        (who.to_owned(), Arc::new(hand))
    };
    latest.into_iter().map(hand).collect()
}

/// Between the people of a study; `None` where it has no two of them.
fn between(rows: &[&Row]) -> Option<Differ> {
    let table = table(rows.iter().map(|row| (row.who.as_str(), *row))).ok()?;
    let Anova { spreads, people_freedom: freedom, .. } = anova(&table);
    // What the last digits of the sums leave is no interaction.
    let by_part = spreads.person_by_part.filter(|by_part| *by_part > 1e-9).unwrap_or(0.0);
    Some(Differ { between: spreads.people?, by_part, freedom })
}
