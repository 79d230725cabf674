//! Whether one journal may get two shells that differ by a step.
//!
//! Not every bearing maker allows it, so it takes two words: the shop's (house rules, `half-steps`), and for the
//! engine that of a named person (decision `half-steps`: which pair, which positions, why). And the sheet must say which
//! half is loaded, since the thicker shell lies there.

use crate::facts::SizeWord;
use crate::sheets::Pair;
use crate::shop::Job;
use std::collections::BTreeSet;

/// Half steps of one pair.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum HalfSteps {
    /// Nobody asked for any.
    NotAsked,
    /// A named person allows them at some positions (indices).
    Allowed {
        /// Who.
        by: Vec<String>,
        /// Where.
        positions: BTreeSet<usize>,
        /// Which of the pair's walls lies in the loaded half: its thicker shell.
        loaded: usize,
    },
    /// Somebody did, and it does not hold: why.
    Barred(String),
}

impl HalfSteps {
    pub(super) fn of(job: &Job, index: usize, pair: &Pair) -> Self {
        let words: Vec<_> = job.half_steps.iter().filter(|((at, _), _)| *at == index).collect();
        let by: BTreeSet<&str> = words.iter().map(|(_, now)| now.by.as_str()).collect();
        let by: Vec<String> = by.into_iter().map(str::to_owned).collect();
        if words.is_empty() {
            return Self::NotAsked;
        }
        let allowed = job.rules.as_ref().is_some_and(|rules| rules.half_steps);
        match pair.loaded {
            _ if !allowed => Self::Barred(format!(
                "{} allows half steps, the house rules this engine uses do not: drop house rules with half-steps true, \
                 and a decision that moves the engine to them",
                by.join(", ")
            )),
            None => Self::Barred(format!(
                "{} allows half steps, but the sheet does not say which half of {} is loaded",
                by.join(", "),
                pair.key
            )),
            Some(loaded) => {
                let positions = words.iter().map(|((_, position), _)| *position).collect();
                Self::Allowed { by, positions, loaded }
            }
        }
    }

    /// Pairs of shells that differ by one step, the thicker in the loaded half, of these sizes (thinnest first).
    pub(super) fn between(&self, position: usize, sizes: &[SizeWord]) -> Vec<Vec<SizeWord>> {
        let Self::Allowed { loaded, positions, .. } = self else { return Vec::new() };
        let pair = |step: &[SizeWord]| match step {
            [thinner, thicker] if *loaded == 0 => Some(vec![*thicker, *thinner]),
            [thinner, thicker] => Some(vec![*thinner, *thicker]),
            _ => None,
        };
        if positions.contains(&position) { sizes.windows(2).filter_map(pair).collect() } else { Vec::new() }
    }
}
