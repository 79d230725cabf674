//! What people saw, counted, decided, paid and signed.

use crate::facts::body::{Account, Body, Decision, Defect, Finding, Hardware, SignOff, Step};
use crate::facts::complete::readings::length;
use crate::facts::complete::size;
use crate::facts::{picture, unit_of};
use crate::sheets::{Fault, Faults, fold_name};
use std::collections::BTreeSet;

pub(super) fn finding(mut finding: Finding, faults: &mut Faults) -> Option<Body> {
    for (index, seen) in finding.findings.iter().enumerate() {
        let at = format!("/body/findings/{index}/severity");
        let nothing = seen.defect == Defect::NothingFound;
        if nothing && seen.severity > 0 {
            faults.push(
                Fault::new(
                    at,
                    seen.severity.to_string(),
                    "0 where nothing was found, or the defect that was",
                )
                .with_example("0"),
            );
        } else if !nothing && seen.severity == 0 {
            faults.push(
                Fault::new(at, "0", "1 to 5 for a defect; 0 says that nothing was found").with_example("2"),
            );
        }
        if let (Some(waits_on), None) = (&seen.waits_on, &seen.problem) {
            let at = format!("/body/findings/{index}/waits-on");
            let expected = "a problem that waits: say under problem what is the matter";
            faults.push(Fault::new(at, waits_on, expected).with_example("\"stud 3 broken flush\""));
        }
        if let Some(score) = &seen.score {
            let unit = unit_of(&score.unit_symbol);
            for (key, digits) in [("depth", Some(&score.depth)), ("within", score.within.as_ref())] {
                let at = format!("/body/findings/{index}/score/{key}");
                digits.map(|digits| length(digits, unit, &at, faults));
            }
        }
    }
    let mut names = BTreeSet::new();
    for (index, embedded) in finding.embedded.iter_mut().enumerate() {
        let at = format!("/body/embedded/{index}");
        let data = std::mem::take(&mut embedded.data);
        embedded.picture = picture::read(&embedded.name, &data, &at, faults);
        if !names.insert(fold_name(&embedded.name)) {
            let expected = "each name once in a drop: a picture is found by it";
            faults.push(Fault::new(format!("{at}/name"), embedded.name.as_str(), expected));
        }
    }
    Some(Body::Finding(finding))
}

pub(super) fn hardware(bag: Hardware, faults: &mut Faults) -> Option<Body> {
    if bag.state.needs_why() && bag.why.trim().is_empty() {
        let expected = format!("why they are {}: a leftover or a loss must be explained", bag.state.word());
        faults.push(
            Fault::new("/body/why", "no why", expected).with_example("\"one too many came with the pan\""),
        );
    }
    let mut seen = BTreeSet::new();
    for (index, pieces) in bag.pieces.iter().enumerate() {
        if pieces.troubled > pieces.count {
            let found = format!("{} of {}", pieces.troubled, pieces.count);
            faults.push(Fault::new(
                format!("/body/pieces/{index}/troubled"),
                found,
                "no more than were counted",
            ));
        }
        if !seen.insert(pieces.size.as_deref().map(fold_name)) {
            let found = pieces.size.as_deref().unwrap_or("no size, twice");
            faults.push(Fault::new(
                format!("/body/pieces/{index}/size"),
                found,
                "each size once, counted in all",
            ));
        }
    }
    Some(Body::Hardware(bag))
}

pub(super) fn decision(mut decision: Decision, faults: &mut Faults) -> Option<Decision> {
    match &mut decision {
        Decision::AgreedWork(agreed) => {
            let unit = unit_of(&agreed.unit_symbol);
            for (index, work) in agreed.work.iter_mut().enumerate() {
                let at = format!("/body/agreed-work/work/{index}/finished");
                work.finished = work.written.as_deref().and_then(|w| size(w, unit, &at, faults));
            }
        }
        Decision::Approval(approval) if !approval.granted && approval.why.trim().is_empty() => {
            let expected = "why it is declined, in the words of who declined";
            faults.push(
                Fault::new("/body/approval/why", "no why", expected).with_example("\"too dear this year\""),
            );
        }
        Decision::Apart(apart) => {
            let unit = unit_of(&apart.unit_symbol);
            apart.size = size(&apart.written, unit, "/body/apart/size", faults);
        }
        Decision::Approval(_)
        | Decision::ConfirmReading(_)
        | Decision::Accept(_)
        | Decision::Disposition(_)
        | Decision::HalfSteps(_)
        | Decision::Authority(_)
        | Decision::Waiver(_)
        | Decision::Revision(_) => {}
    }
    Some(decision)
}

pub(super) fn account(account: Account, faults: &mut Faults) -> Option<Body> {
    if let Account::Estimate(estimate) = &account
        && estimate.sum() > estimate.not_to_exceed
    {
        let expected = format!("at least {}, the sum of the lines", estimate.sum());
        faults.push(Fault::new("/body/estimate/not-to-exceed", estimate.not_to_exceed.to_string(), expected));
    }
    Some(Body::Account(account))
}

pub(super) fn sign_off(sign_off: SignOff, faults: &mut Faults) -> Option<Body> {
    let stored = sign_off.step == Step::Stored;
    if stored && sign_off.preserved.trim().is_empty() {
        let expected = "how the engine is preserved: a bare engine rusts on the shelf";
        faults.push(Fault::new("/body/preserved", "nothing", expected).with_example("\"oiled and bagged\""));
    }
    if stored && sign_off.due_again.is_none() {
        let expected = "when preservation is due again";
        faults.push(Fault::new("/body/due-again", "nothing", expected).with_example("\"2026-09-01\""));
    }
    Some(Body::SignOff(sign_off))
}
