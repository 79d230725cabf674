//! Everything that can be signed now, with the code to quote: for the job page, for programs, for the bench form.

use crate::facts::{Code, Digest, Step};
use crate::judgement::{Judgement, Proof};
use crate::shop::Job;
use crate::stages::Standing;
use crate::stages::seen::{Seen, latest_of};
use crate::stages::statements::{by_name, gate_of_step};
use crate::stages::waived::{Named, can_be_waived};
use std::collections::BTreeSet;

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
    let mut all = Vec::new();
    for step in [Step::Teardown, Step::Inspection, Step::Machining, Step::Reassembly, Step::Engine] {
        if let Some(gate) = gate_of_step(step) {
            let (what, quote) = (format!("sign {}", step.word()), Quote::SignOff(step));
            all.push(Signable { what, quote, code: seen.gate(gate, None) });
        }
    }
    let set_aside: Vec<_> = standing.waived.iter().flat_map(|waiver| waiver.blockers.clone()).collect();
    let all_blockers = [standing.blockers.clone(), set_aside].concat();
    for blocker in by_name(&all_blockers).into_values().filter(|blocker| can_be_waived(blocker.rule)) {
        let (gate, rule) = (blocker.stage.word(), blocker.rule.word());
        let of = if blocker.about.is_empty() { String::new() } else { format!(" of {}", blocker.about) };
        let what = format!("waive {rule}{of} at {gate}");
        let code = seen.blocker(&Named::by(blocker), None);
        all.push(Signable { what, quote: Quote::Waiver { gate, rule, about: blocker.about.clone() }, code });
    }
    let options: BTreeSet<&str> =
        job.books.estimates.iter().map(|now| now.estimate.option.as_str()).collect();
    for option in options {
        let Some(latest) = latest_of(job, Some(option)) else { continue };
        let named = if option.is_empty() { String::new() } else { format!(", option {option}") };
        let what = format!("approve at most {}{named}", latest.estimate.not_to_exceed);
        let quote = Quote::Approval { estimate: latest.said.fact };
        all.push(Signable { what, quote, code: seen.estimate(Some(option), None) });
    }
    for verdict in judgement.standing().filter(|v| v.is_beyond() && !v.is_proven_beyond()) {
        let judged = verdict.judged.as_ref().map(|judged| judged.proof);
        if judged.is_none_or(|proof| proof == Proof::Proven) {
            continue;
        }
        let feature = job.feature(verdict.key.surface);
        let position = feature.and_then(|f| f.positions.get(verdict.key.surface.position)).cloned();
        let quote = Quote::Accept {
            feature: verdict.feature.clone(),
            position: position.unwrap_or_default(),
            characteristic: verdict.key.characteristic.word(),
        };
        let own = |other: &crate::judgement::Verdict| {
            other.feature == verdict.feature
                && other.key.surface.position == verdict.key.surface.position
                && other.key.characteristic == verdict.key.characteristic
        };
        all.push(Signable {
            what: format!("accept {}", verdict.title()),
            quote,
            code: seen.verdicts(own, None),
        });
    }
    for question in judgement.questions.iter().filter(|question| question.stands) {
        let Some(feature) = sheet.features.get(question.surface.feature) else { continue };
        let named = |list: &[String], index: usize| list.get(index).cloned().unwrap_or_default();
        let quote = Quote::Confirm {
            drop: question.reading.fact,
            feature: feature.key.clone(),
            position: named(&feature.positions, question.surface.position),
            station: feature.station_name(question.place.station).to_owned(),
            direction: named(&feature.directions, question.place.direction),
        };
        let what = format!("confirm {} {}", question.name, question.digits);
        all.push(Signable { what, quote, code: question.code.clone() });
    }
    all
}
