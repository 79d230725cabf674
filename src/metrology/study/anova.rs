//! A study by analysis of variance: two factors and their interaction, all by chance (random effects), balanced.

use crate::metrology::quantiles::fisher_beyond;
use crate::metrology::statistics::{Spread, count, mean};
use crate::metrology::study::{Bias, Spreads, Table};

/// The interaction is taken for repeat unless as large a one comes by chance in fewer than this share of studies
/// (the usual rule of the reference manual, recalled).
pub const POOL_ABOVE: f64 = 0.25;

/// A variance held against another.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FTest {
    /// The one over the other.
    pub f: f64,
    /// How often chance alone makes it as large.
    pub p: f64,
}

/// The analysis of a study. Squares are in millimetres squared (or the unit of the readings).
#[derive(Clone, Debug, PartialEq)]
pub struct Anova {
    /// Between parts.
    pub parts: Spread,
    /// Between people.
    pub people: Spread,
    /// Interaction: what people see differently from part to part.
    pub person_by_part: Spread,
    /// Within one person and part.
    pub repeat: Spread,
    /// All readings about their mean.
    pub total: Spread,
    /// Parts against interaction; `None` where either has no degree of freedom or there is nothing to hold against.
    pub parts_test: Option<FTest>,
    /// People against interaction.
    pub people_test: Option<FTest>,
    /// Interaction against repeat.
    pub interaction_test: Option<FTest>,
    /// The repeat that counts: with the interaction in it where that is no more than chance ([`POOL_ABOVE`]).
    pub pooled_repeat: Spread,
    /// Was the interaction taken for repeat?
    pub is_pooled: bool,
    /// What all this comes to.
    pub spreads: Spreads,
    /// Degrees of freedom of [`Spreads::gauge`], by Satterthwaite's formula.
    pub gauge_freedom: f64,
    /// The same of [`Spreads::people`] and of [`Spreads::person_by_part`]; they mean something where those are over nought.
    pub people_freedom: [f64; 2],
    /// Each person against all.
    pub bias: Vec<Bias>,
}

/// The analysis of a balanced table. Variances that come out below zero are zero.
#[must_use]
pub fn anova(table: &Table) -> Anova {
    let sums = sums(table);
    let test = |one: &Spread, other: &Spread| {
        let (one_square, other_square) = (mean_square(one)?, mean_square(other)?);
        let f = one_square / other_square;
        f.is_finite().then(|| FTest { f, p: fisher_beyond(f, one.freedom, other.freedom) })
    };
    let interaction_test = test(&sums.person_by_part, &sums.repeat);
    // Where nothing repeats badly at all, any interaction is more than chance.
    let is_chance = interaction_test.map_or(sums.person_by_part.squares <= 0.0, |test| test.p > POOL_ABOVE);
    let pooled_repeat =
        if is_chance { Spread::pooled(&[sums.repeat, sums.person_by_part]) } else { sums.repeat };
    let (spreads, gauge_freedom) = components(table, &sums, pooled_repeat, is_chance);
    let base =
        if is_chance || sums.person_by_part.freedom <= 0.0 { pooled_repeat } else { sums.person_by_part };
    // A variance is one mean square less another, over the same number.
    let less = |one: Spread, other: Spread| satterthwaite(&[(one, 1.0), (other, -1.0)]);
    let people_freedom = [less(sums.people, base), less(sums.person_by_part, pooled_repeat)];
    Anova {
        parts_test: test(&sums.parts, &sums.person_by_part),
        people_test: test(&sums.people, &sums.person_by_part),
        interaction_test,
        pooled_repeat,
        is_pooled: is_chance,
        spreads,
        gauge_freedom,
        people_freedom,
        bias: bias(table),
        parts: sums.parts,
        people: sums.people,
        person_by_part: sums.person_by_part,
        repeat: sums.repeat,
        total: sums.total,
    }
}

/// Squares and degrees of freedom of each source.
struct Sums {
    parts: Spread,
    people: Spread,
    person_by_part: Spread,
    repeat: Spread,
    total: Spread,
}

/// Each from its definition, none as the rest of the others, so that small ones keep their digits.
fn sums(table: &Table) -> Sums {
    let (parts, people, trials) = sizes(table);
    let means = |lists: &[Vec<f64>]| lists.iter().filter_map(|list| mean(list)).collect::<Vec<f64>>();
    let all: Vec<f64> = table.cells().flatten().copied().collect();
    let grand = mean(&all).unwrap_or(0.0);
    let (of_parts, of_people) = (means(&table.by_part()), means(&table.by_person()));
    let times = |spread: Spread, times: f64| Spread { squares: spread.squares * times, ..spread };
    let mut between = 0.0;
    for (row, part) in table.parts.iter().zip(&of_parts) {
        for (cell, person) in means(row).iter().zip(&of_people) {
            between += (cell - part - person + grand).powi(2);
        }
    }
    Sums {
        parts: times(Spread::of(&of_parts), people * trials),
        people: times(Spread::of(&of_people), parts * trials),
        person_by_part: Spread { squares: between * trials, freedom: (parts - 1.0) * (people - 1.0) },
        repeat: Spread::pooled(&table.cells().map(|cell| Spread::of(cell)).collect::<Vec<_>>()),
        total: Spread::of(&all),
    }
}

/// Parts, people, trials.
fn sizes(table: &Table) -> (f64, f64, f64) {
    (count(table.parts.len()), count(table.people.len()), count(table.trials))
}

/// Squares over degrees of freedom.
fn mean_square(spread: &Spread) -> Option<f64> {
    (spread.freedom > 0.0).then(|| spread.squares / spread.freedom)
}

/// The spreads, from what each mean square is expected to be; and the degrees of freedom of the gauge's.
fn components(table: &Table, sums: &Sums, repeat: Spread, is_pooled: bool) -> (Spreads, f64) {
    let (parts, people, trials) = sizes(table);
    let own = mean_square(&repeat).unwrap_or(0.0);
    let interaction = mean_square(&sums.person_by_part).filter(|_| !is_pooled);
    // What parts and people are held against: the interaction where there is one.
    let base = interaction.unwrap_or(own);
    let excess = |square: Option<f64>, over: f64, times: f64| Some(((square? - over) / times).max(0.0));
    let by_people = excess(mean_square(&sums.people), base, parts * trials);
    let by_both = excess(interaction, own, trials);
    let by_parts = excess(mean_square(&sums.parts), base, people * trials);
    let spreads = Spreads {
        repeat: own.sqrt(),
        people: by_people.map(f64::sqrt),
        person_by_part: by_both.map(f64::sqrt),
        parts: by_parts.map(f64::sqrt),
    };
    // The gauge's variance as a sum of mean squares, each with its share.
    let (mut own_share, mut both_share, mut people_share) = (1.0, 0.0, 0.0);
    if by_both.is_some_and(|variance| variance > 0.0) {
        own_share -= 1.0 / trials;
        both_share += 1.0 / trials;
    }
    if by_people.is_some_and(|variance| variance > 0.0) {
        people_share += 1.0 / (parts * trials);
        *(if is_pooled { &mut own_share } else { &mut both_share }) -= 1.0 / (parts * trials);
    }
    let shares = [(repeat, own_share), (sums.person_by_part, both_share), (sums.people, people_share)];
    (spreads, satterthwaite(&shares))
}

/// Degrees of freedom of a sum of mean squares with these shares; infinite where all are zero.
fn satterthwaite(shares: &[(Spread, f64)]) -> f64 {
    let terms =
        shares.iter().filter_map(|(spread, share)| Some((share * mean_square(spread)?, spread.freedom)));
    let terms: Vec<_> = terms.collect();
    let sum: f64 = terms.iter().map(|(term, _)| term).sum();
    let unsure: f64 = terms.iter().map(|(term, freedom)| term * term / freedom).sum();
    if unsure > 0.0 { sum * sum / unsure } else { f64::INFINITY }
}

/// Each person's mean against that of all.
pub(super) fn bias(table: &Table) -> Vec<Bias> {
    let by_person = table.by_person();
    let grand = mean(&by_person.concat()).unwrap_or(0.0);
    let of = |(person, values): (&String, &Vec<f64>)| {
        Some(Bias { person: person.clone(), by: mean(values)? - grand })
    };
    table.people.iter().zip(&by_person).filter_map(of).collect()
}
