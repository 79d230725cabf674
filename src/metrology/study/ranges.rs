//! A study by average and range: with a pencil.

use crate::metrology::statistics::{count, mean};
use crate::metrology::study::anova::bias;
use crate::metrology::study::{Bias, Spreads, StudyFault, Table};

/// What a mean range of many samples of 2, 3, .. 10 is multiplied by to give the standard deviation: 1 / d2, the mean
/// of the range distribution, to four decimals as the tables print it (the tests integrate it).
const OF_MANY: [f64; 9] = [0.8862, 0.5908, 0.4857, 0.4299, 0.3946, 0.3698, 0.3512, 0.3367, 0.3249];

/// The same for the range of one sample: 1 / d2*, the root of the mean of its square.
#[expect(clippy::approx_constant, reason = "a printed table has four decimals")]
const OF_ONE: [f64; 9] = [0.7071, 0.5231, 0.4467, 0.4030, 0.3742, 0.3534, 0.3375, 0.3249, 0.3146];

/// The largest sample there is a factor for.
const MOST: usize = 10;

fn factor(factors: &[f64; 9], size: usize) -> Option<f64> {
    factors.get(size.checked_sub(2)?).copied()
}

/// What the mean range of many samples of `size` is multiplied by to give a standard deviation; `None` outside 2 to 10.
#[must_use]
pub fn average_factor(size: usize) -> Option<f64> {
    factor(&OF_MANY, size)
}

/// What the range of one sample of `size` is multiplied by; `None` outside 2 to 10.
#[must_use]
pub fn range_factor(size: usize) -> Option<f64> {
    factor(&OF_ONE, size)
}

/// A study by average and range. Millimetres, or the unit of the readings.
#[derive(Clone, Debug, PartialEq)]
pub struct Ranges {
    /// Mean range of each person's trials on a part, in the order of `bias`.
    pub of_people: Vec<f64>,
    /// Mean of these.
    pub mean_range: f64,
    /// Largest less smallest mean of a person; zero of one person.
    pub people_differ: f64,
    /// Largest less smallest mean of a part; zero of one part.
    pub parts_differ: f64,
    /// What all this comes to; interaction is not asked.
    pub spreads: Spreads,
    /// Each person against all.
    pub bias: Vec<Bias>,
}

/// Average and range of a balanced table.
///
/// # Errors
/// [`StudyFault::NoFactor`] of more than ten parts, people or trials; one part or person is fine.
pub fn ranges(table: &Table) -> Result<Ranges, StudyFault> {
    let sizes = [("parts", table.parts.len()), ("people", table.people.len()), ("trials", table.trials)];
    if let Some((of, are)) = sizes.into_iter().find(|(_, are)| *are > MOST) {
        return Err(StudyFault::NoFactor { of, are, most: MOST });
    }
    let cell_ranges: Vec<Vec<f64>> =
        table.parts.iter().map(|row| row.iter().map(|cell| range(cell)).collect()).collect();
    let of_person = |person: usize| {
        let ranges: Vec<f64> = cell_ranges.iter().filter_map(|row| row.get(person).copied()).collect();
        mean(&ranges)
    };
    let of_people: Vec<f64> = (0..table.people.len()).filter_map(of_person).collect();
    let mean_range = mean(&of_people).unwrap_or(0.0);
    let means = |lists: Vec<Vec<f64>>| lists.iter().filter_map(|list| mean(list)).collect::<Vec<f64>>();
    let people_differ = range(&means(table.by_person()));
    let parts_differ = range(&means(table.by_part()));
    let repeat = mean_range * average_factor(table.trials).unwrap_or(0.0);
    let shared = repeat * repeat / count(table.parts.len() * table.trials);
    let people = range_factor(table.people.len());
    let parts = range_factor(table.parts.len());
    let spreads = Spreads {
        repeat,
        people: people.map(|factor| ((people_differ * factor).powi(2) - shared).max(0.0).sqrt()),
        person_by_part: None,
        parts: parts.map(|factor| parts_differ * factor),
    };
    Ok(Ranges { of_people, mean_range, people_differ, parts_differ, spreads, bias: bias(table) })
}

/// Largest less smallest; zero of none.
fn range(values: &[f64]) -> f64 {
    let ends = values
        .iter()
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), value| (low.min(*value), high.max(*value)));
    (ends.1 - ends.0).max(0.0)
}
