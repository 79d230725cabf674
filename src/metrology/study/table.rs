//! The plain table of readings that a study is made of.

use crate::metrology::length::Exact;
use crate::metrology::statistics::from_first;
use crate::metrology::study::StudyFault;
use std::collections::{BTreeMap, BTreeSet};

/// One reading of a study.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Reading<'a> {
    /// Which part.
    pub part: &'a str,
    /// Who read it.
    pub person: &'a str,
    /// Which time.
    pub trial: u32,
    /// What was read.
    pub value: Exact,
}

/// A balanced table: values as differences from one reading (exactly, then to the nearest double), by part, person
/// and trial, each in the order of its name. Nothing depends on the order of the readings.
#[derive(Clone, Debug, PartialEq)]
pub struct Table {
    /// Who measured.
    pub(super) people: Vec<String>,
    /// How many trials each.
    pub(super) trials: usize,
    /// One list of cells a part, in the order of `people`; a cell is the trials of one person on it.
    pub(super) parts: Vec<Vec<Vec<f64>>>,
}

impl Table {
    /// Sorts readings into a table.
    ///
    /// # Errors
    /// [`StudyFault`] of no readings, of two of one trial, of one trial alone, or of people who measured unequally
    /// often.
    pub fn of(readings: &[Reading<'_>]) -> Result<Self, StudyFault> {
        let mut sorted = readings.to_vec();
        sorted.sort_by_key(|reading| (reading.part, reading.person, reading.trial));
        let key = |reading: &Reading<'_>| (reading.part.to_owned(), reading.person.to_owned(), reading.trial);
        let mut met = BTreeSet::new();
        if let Some((part, person, trial)) = sorted.iter().map(key).find(|key| !met.insert(key.clone())) {
            return Err(StudyFault::Twice { part, person, trial });
        }
        let values = from_first(&sorted.iter().map(|reading| reading.value).collect::<Vec<_>>());
        let people: BTreeSet<&str> = sorted.iter().map(|reading| reading.person).collect();
        let mut cells: BTreeMap<&str, BTreeMap<&str, Vec<f64>>> = BTreeMap::new();
        for (reading, value) in sorted.iter().zip(values) {
            cells.entry(reading.part).or_default().entry(reading.person).or_default().push(value);
        }
        let trials = cells.values().flat_map(BTreeMap::values).next().map_or(0, Vec::len);
        let mut parts = Vec::new();
        for (part, of_people) in cells {
            let mut row = Vec::new();
            for person in &people {
                let cell = of_people.get(person).cloned().unwrap_or_default();
                if cell.len() != trials {
                    let (part, person) = (part.to_owned(), (*person).to_owned());
                    return Err(StudyFault::Unbalanced { part, person, are: cell.len(), expected: trials });
                }
                row.push(cell);
            }
            parts.push(row);
        }
        match trials {
            0 => Err(StudyFault::Empty),
            1 => Err(StudyFault::OneTrial),
            _ => Ok(Self { people: people.into_iter().map(ToOwned::to_owned).collect(), trials, parts }),
        }
    }

    /// All cells.
    pub(super) fn cells(&self) -> impl Iterator<Item = &Vec<f64>> {
        self.parts.iter().flatten()
    }

    /// The values of each person, in the order of `people`.
    pub(super) fn by_person(&self) -> Vec<Vec<f64>> {
        let of = |person: usize| self.parts.iter().filter_map(move |row| row.get(person)).flatten().copied();
        (0..self.people.len()).map(|person| of(person).collect()).collect()
    }

    /// The values of each part.
    pub(super) fn by_part(&self) -> Vec<Vec<f64>> {
        self.parts.iter().map(|row| row.concat()).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::metrology::{Length, Unit};

    fn table(cells: &[(&str, &str, u32)]) -> Result<Table, StudyFault> {
        let value = Length::parse("50.001", Unit::Millimetre).expect("digits").exact();
        let readings: Vec<_> = cells
            .iter()
            .map(|(part, person, trial)| Reading { part, person, trial: *trial, value })
            .collect();
        Table::of(&readings)
    }

    #[test]
    fn says_what_an_unbalanced_study_needs() {
        let said = |cells: &[(&str, &str, u32)]| table(cells).map(|_| ()).map_err(|fault| fault.to_string());
        assert_eq!(said(&[]), Err("a study without readings; measure parts, each at least twice".into()));
        assert_eq!(
            said(&[("1", "AK", 1), ("1", "AK", 1)]),
            Err("part 1 has two readings of trial 1 by AK; withdraw one".into())
        );
        assert_eq!(table(&[("1", "AK", 1), ("2", "AK", 1)]), Err(StudyFault::OneTrial));
        // LM never measured part 2.
        let missing =
            [("1", "AK", 1), ("1", "AK", 2), ("1", "LM", 1), ("1", "LM", 2), ("2", "AK", 1), ("2", "AK", 2)];
        assert_eq!(
            said(&missing),
            Err("part 2 was measured 0 times by LM, where 2 times was expected; each person has to measure each part \
                 equally often: measure what is missing, or leave this part or person out"
                .into())
        );
    }
}
