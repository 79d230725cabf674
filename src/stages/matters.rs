//! The first gate a statement matters to. A signature rests on the statements of its gate and of those before it.
//!
//! The gate is chosen by what is said, so that a statement of a later step (a grind, a part fitted) leaves the
//! signatures of earlier steps alone. Where one kind serves several gates (a finding, an accepted value) it belongs to
//! machining once the thing it is about has been worked on, else to inspection.

use crate::facts::{
    Account, Assembly, Body, ConditionWord, Decision, Digest, Fact, Finding, Hardware, Measurements,
    PartBody, PartEvent, PartState, PieceState, SupplyState,
};
use crate::sheets::{CheckStage, fold_name};
use crate::shop::{Condition, Job, Surface, Touched};
use crate::stages::blocker::Stage;
use std::collections::{BTreeMap, BTreeSet};

/// A job, looked at once for what the gates of its statements depend on.
pub(super) struct Matters<'j> {
    job: &'j Job,
    /// Of each drop with readings that count, the earliest gate that one of them serves.
    read: BTreeMap<Digest, Stage>,
    /// Work in recorded order, and what it was done on.
    worked: Vec<(&'j Fact, Touched)>,
    /// Parts that lay in a bath, folded.
    bathed: BTreeSet<String>,
}

impl<'j> Matters<'j> {
    pub(super) fn of(job: &'j Job) -> Self {
        let facts = || job.statements().iter().map(|fact| &**fact);
        let worked = facts().filter(|fact| is_work(&fact.body)).map(|fact| (fact, job.touched_by(fact)));
        let bathed = facts().filter_map(|fact| {
            let Body::Part(body) = &fact.body else { return None };
            (body.event == PartEvent::IntoBath).then(|| fold_name(&body.part))
        });
        Self { job, read: read(job), worked: worked.collect(), bathed: bathed.collect() }
    }

    /// Does a reading of this drop count?
    pub(super) fn is_read(&self, fact: &Fact) -> bool {
        self.read.contains_key(&fact.id)
    }

    /// The gate; `None` for what no signature rests on: signatures themselves, waivers, hours, where a part lies.
    pub(super) fn gate_of(&self, fact: &Fact) -> Option<Stage> {
        match &fact.body {
            Body::CheckIn(_) => Some(Stage::CheckedIn),
            Body::Part(body) => self.part(body),
            // A try that did not help changes nothing of what anybody signed.
            Body::Finding(Finding { findings, closes, .. }) if findings.is_empty() => {
                closes.is_some().then_some(Stage::Reassembly)
            }
            Body::Finding(_) => Some(self.inspected_or_worked(fact)),
            Body::Measurements(set) => Some(self.measured(fact, set)),
            Body::Hardware(hardware) => Some(counted(self.job, hardware)),
            Body::Operation(_) | Body::WorkOrder(_) => Some(Stage::Machining),
            Body::Supply(supply) => Some(match supply.state {
                SupplyState::Available
                | SupplyState::NotAvailable
                | SupplyState::Ordered
                | SupplyState::BackOrdered
                | SupplyState::Late => Stage::Inspection,
                SupplyState::Received | SupplyState::Wrong | SupplyState::Returned => Stage::Machining,
            }),
            Body::Assembly(assembly) => put_together(self.job, assembly),
            Body::Decision(decision) => self.decided(fact, decision),
            Body::Account(Account::Estimate(_)) => Some(Stage::Inspection),
            Body::Account(Account::Deposit(_) | Account::Price(_) | Account::Paid(_)) => {
                Some(Stage::Released)
            }
            Body::Account(Account::Hours(_))
            | Body::SignOff(_)
            | Body::Withdrawal(_)
            | Body::Gauge(_)
            | Body::Sheet(_)
            | Body::HouseRules(_)
            | Body::People(_)
            | Body::PriceList(_) => None,
        }
    }

    fn part(&self, body: &PartBody) -> Option<Stage> {
        match body.event {
            // Where it lies is nobody's evidence, unless it was in a bath or something is said of it.
            PartEvent::Moved => {
                let said = body.trouble.is_some() || !body.stamps.is_empty();
                (said || self.bathed.contains(&fold_name(&body.part))).then_some(Stage::Teardown)
            }
            PartEvent::Off
            | PartEvent::IntoBath
            | PartEvent::OutOfBath
            | PartEvent::Cleaned
            | PartEvent::Missing
            | PartEvent::StampRead => Some(Stage::Teardown),
            // A used one is looked at and measured like what came; a new one is bought for what was decided.
            PartEvent::Replaced if body.state == Some(PartState::New) => Some(Stage::Machining),
            PartEvent::Replaced | PartEvent::Scrapped => Some(Stage::Inspection),
            PartEvent::Fitted => Some(Stage::Reassembly),
        }
    }

    /// The earliest gate that one of its readings serves; by the word of the drop where none counts.
    fn measured(&self, fact: &Fact, set: &Measurements) -> Stage {
        self.read.get(&fact.id).copied().unwrap_or(match set.condition {
            ConditionWord::AsReceived | ConditionWord::Cleaned => Stage::Inspection,
            ConditionWord::AfterWork => Stage::Machining,
            ConditionWord::AtAssembly => Stage::Reassembly,
        })
    }

    fn decided(&self, fact: &Fact, decision: &Decision) -> Option<Stage> {
        match decision {
            Decision::Revision(_) | Decision::Authority(_) => Some(Stage::CheckedIn),
            Decision::AgreedWork(_)
            | Decision::Disposition(_)
            | Decision::Approval(_)
            | Decision::Apart(_) => Some(Stage::Inspection),
            // Which shells go together is known before the crankshaft is final, and fitted later.
            Decision::HalfSteps(_) => Some(Stage::Machining),
            Decision::Accept(_) => Some(self.inspected_or_worked(fact)),
            // With the reading it is about.
            Decision::ConfirmReading(confirm) => {
                let target = self.job.named(&confirm.drop)?;
                let Body::Measurements(set) = &target.body else { return None };
                Some(self.measured(target, set))
            }
            Decision::Waiver(_) => None,
        }
    }

    /// Machining when work on the same thing was recorded before, else inspection.
    fn inspected_or_worked(&self, fact: &Fact) -> Stage {
        let about = self.job.touched_by(fact);
        let mut before = self.worked.iter().filter(|(work, _)| work.order() < fact.order());
        if before.any(|(_, touched)| self.job.meet(&about, touched)) {
            Stage::Machining
        } else {
            Stage::Inspection
        }
    }
}

fn read(job: &Job) -> BTreeMap<Digest, Stage> {
    let bought = |surface: &Surface, instance: usize| {
        instance > 1 && instance == surface.instance && surface.state == Some(PartState::New)
    };
    let mut read: BTreeMap<Digest, Stage> = BTreeMap::new();
    for surface in job.surfaces.values() {
        for (key, set) in &surface.sets {
            let stage = match key.condition {
                Condition::AsReceived | Condition::Cleaned if bought(surface, key.instance) => {
                    Stage::Machining
                }
                Condition::AsReceived | Condition::Cleaned => Stage::Inspection,
                Condition::AfterWork(_) => Stage::Machining,
                Condition::AtAssembly(_) => Stage::Reassembly,
            };
            for reading in set.readings.values().flatten() {
                let first = read.entry(reading.fact).or_insert(stage);
                *first = stage.min(*first);
            }
        }
    }
    read
}

fn counted(job: &Job, hardware: &Hardware) -> Stage {
    match hardware.state {
        PieceState::Bagged | PieceState::Lost | PieceState::Broken => Stage::Teardown,
        PieceState::Used | PieceState::Replaced | PieceState::Scrapped | PieceState::Spare => {
            let plug = job.sheet.as_ref().is_some_and(|sheet| {
                sheet.plugs.iter().any(|plugs| crate::sheets::same_name(&plugs.group, &hardware.group))
            });
            if plug { Stage::Machining } else { Stage::Reassembly }
        }
    }
}

fn put_together(job: &Job, assembly: &Assembly) -> Option<Stage> {
    let fitted = !assembly.fitted.is_empty() || !assembly.torque.is_empty();
    let sheet = job.sheet.as_deref();
    let checks = assembly.checks.iter().filter_map(|made| sheet?.check(&made.check)).map(|c| match c.stage {
        CheckStage::CheckedIn => Stage::CheckedIn,
        CheckStage::Teardown => Stage::Teardown,
        CheckStage::Inspection => Stage::Inspection,
        CheckStage::Machining => Stage::Machining,
        CheckStage::Reassembly => Stage::Reassembly,
        CheckStage::Released => Stage::Released,
    });
    checks.chain(fitted.then_some(Stage::Reassembly)).min()
}

/// Work in the house, or accepted or refused when it came back.
pub(super) fn is_work(body: &Body) -> bool {
    matches!(body, Body::Operation(_)) || matches!(body, Body::WorkOrder(order) if order.back.is_some())
}
