//! Everything that can be signed now, with the code to quote: for the job page, for programs, for the bench form.

use crate::facts::{Code, Digest, Step};
use crate::judgement::{Judgement, Question, Verdict};
use crate::sheets::Sheet;
use crate::shop::Job;
use crate::stages::Standing;
use crate::stages::blocker::Blocker;
use crate::stages::seen::{Seen, latest_of};
use crate::stages::statements::gate_of_step;
use crate::stages::waived::{Named, can_be_waived};
use std::collections::{BTreeMap, BTreeSet};

/// Something that can be signed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Signable {
    /// In words.
    pub what: String,
    /// Where the code is quoted.
    pub quote: Quote,
    /// The code.
    pub code: Code,
}

/// The statement that quotes a code, with what it must say to be about this thing.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Quote {
    /// A sign-off of this step.
    SignOff(Step),
    /// A decision: waiver of the blocker of this name.
    Waiver {
        /// The gate, as printed.
        gate: &'static str,
        /// The rule, as printed.
        rule: &'static str,
        /// What it is about, as printed.
        about: String,
    },
    /// A decision: approval of this estimate.
    Approval {
        /// The drop of the estimate.
        estimate: Digest,
    },
    /// A decision: accept this value.
    Accept {
        /// The feature or pair.
        feature: String,
        /// The position, as the sheet writes it.
        position: String,
        /// The characteristic, as printed.
        characteristic: &'static str,
    },
    /// A decision: confirm the reading of this drop at this place.
    Confirm {
        /// The drop.
        drop: Digest,
        /// The feature.
        feature: String,
        /// The position.
        position: String,
        /// The station.
        station: String,
        /// The direction.
        direction: String,
    },
}

/// Everything of a job that can be signed, with its code. A pure function of the job and what follows from it.
#[must_use]
pub fn signables(job: &Job, judgement: &Judgement, standing: &Standing) -> Vec<Signable> {
    let Some(sheet) = job.sheet.as_deref() else { return Vec::new() };
    let seen = Seen::of(job, judgement);
    let mut all = steps(&seen);
    all.extend(blockers(&seen, standing));
    all.extend(estimates(&seen));
    let doubtful = |verdict: &&Verdict| verdict.is_beyond() && !verdict.is_proven_beyond();
    all.extend(judgement.standing().filter(doubtful).map(|verdict| value(&seen, verdict)));
    let questions = judgement.questions.iter().filter(|question| question.stands);
    all.extend(questions.filter_map(|question| reading(sheet, question)));
    all
}

fn steps(seen: &Seen<'_>) -> Vec<Signable> {
    let steps = [Step::Teardown, Step::Inspection, Step::Machining, Step::Reassembly, Step::Engine];
    let signable = |step: Step| {
        let code = seen.gate(gate_of_step(step)?);
        Some(Signable { what: format!("sign {}", step.word()), quote: Quote::SignOff(step), code })
    };
    steps.into_iter().filter_map(signable).collect()
}

/// Blockers, those that are set aside too: another person may put a name to the same.
fn blockers(seen: &Seen<'_>, standing: &Standing) -> Vec<Signable> {
    let set_aside = standing.waived.iter().flat_map(|waiver| &waiver.blockers);
    let all = standing.blockers.iter().chain(set_aside).filter(|blocker| can_be_waived(blocker.rule));
    let by_name: BTreeMap<_, &Blocker> =
        all.map(|blocker| ((blocker.stage, blocker.rule, blocker.about.as_str()), blocker)).collect();
    let signable = |blocker: &Blocker| {
        let (gate, rule) = (blocker.stage.word(), blocker.rule.word());
        let of = if blocker.about.is_empty() { String::new() } else { format!(" of {}", blocker.about) };
        Signable {
            what: format!("waive {rule}{of} at {gate}"),
            quote: Quote::Waiver { gate, rule, about: blocker.about.clone() },
            code: seen.blocker(&Named::by(blocker)),
        }
    };
    by_name.into_values().map(signable).collect()
}

/// The latest estimate of each option.
fn estimates(seen: &Seen<'_>) -> Vec<Signable> {
    let estimates = seen.job.books.estimates.iter();
    let options: BTreeSet<&str> = estimates.map(|now| now.estimate.option.as_str()).collect();
    let signable = |option: &str| {
        let latest = latest_of(seen.job, Some(option))?;
        let named = if option.is_empty() { String::new() } else { format!(", option {option}") };
        Some(Signable {
            what: format!("approve at most {}{named}", latest.estimate.not_to_exceed),
            quote: Quote::Approval { estimate: latest.said.fact },
            code: seen.estimate(Some(option)),
        })
    };
    options.into_iter().filter_map(signable).collect()
}

fn value(seen: &Seen<'_>, verdict: &Verdict) -> Signable {
    let surface = verdict.key.surface;
    let own = |other: &Verdict| {
        other.feature == verdict.feature
            && other.key.surface.position == surface.position
            && other.key.characteristic == verdict.key.characteristic
    };
    let position = seen.job.feature(surface).and_then(|feature| feature.positions.get(surface.position));
    Signable {
        what: format!("accept {}", verdict.title()),
        quote: Quote::Accept {
            feature: verdict.feature.clone(),
            position: position.cloned().unwrap_or_default(),
            characteristic: verdict.key.characteristic.word(),
        },
        code: seen.verdicts(own),
    }
}

fn reading(sheet: &Sheet, question: &Question) -> Option<Signable> {
    let feature = sheet.features.get(question.surface.feature)?;
    let named = |list: &[String], index: usize| list.get(index).cloned().unwrap_or_default();
    let quote = Quote::Confirm {
        drop: question.reading.fact,
        feature: feature.key.clone(),
        position: named(&feature.positions, question.surface.position),
        station: feature.station_name(question.place.station).to_owned(),
        direction: named(&feature.directions, question.place.direction),
    };
    let what = format!("confirm {} {}", question.name, question.digits);
    Some(Signable { what, quote, code: question.code.clone() })
}
