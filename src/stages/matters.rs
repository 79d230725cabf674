//! The first gate a statement matters to. A signature rests on the statements of its gate and of those before it.
//!
//! The gate is chosen by what is said, so that a statement of a later step (a grind, a part fitted) leaves the
//! signatures of earlier steps alone. Where one kind serves several gates (a finding, an accepted value) it belongs to
//! machining once the thing it is about has been worked on, else to inspection.

use crate::facts::{
    Account, Assembly, Body, ConditionWord, Decision, Fact, Finding, Hardware, Measurements, PartBody,
    PartEvent, PartState, PieceState, SupplyState,
};
use crate::sheets::CheckStage;
use crate::shop::{Condition, Job};
use crate::stages::blocker::Stage;

/// The gate; `None` for what no signature rests on: signatures themselves, waivers, hours, where a part lies.
pub(super) fn gate_of(job: &Job, fact: &Fact) -> Option<Stage> {
    match &fact.body {
        Body::CheckIn(_) => Some(Stage::CheckedIn),
        Body::Part(body) => part(body),
        Body::Finding(Finding { findings, .. }) if findings.is_empty() => Some(Stage::Reassembly),
        Body::Finding(_) => Some(inspected_or_worked(job, fact)),
        Body::Measurements(set) => Some(measured(job, fact, set)),
        Body::Hardware(hardware) => Some(counted(job, hardware)),
        Body::Operation(_) | Body::WorkOrder(_) => Some(Stage::Machining),
        Body::Supply(supply) => Some(match supply.state {
            SupplyState::Available
            | SupplyState::NotAvailable
            | SupplyState::Ordered
            | SupplyState::BackOrdered
            | SupplyState::Late => Stage::Inspection,
            SupplyState::Received | SupplyState::Wrong | SupplyState::Returned => Stage::Machining,
        }),
        Body::Assembly(assembly) => put_together(job, assembly),
        Body::Decision(decision) => decided(job, fact, decision),
        Body::Account(Account::Estimate(_)) => Some(Stage::Inspection),
        Body::Account(Account::Deposit(_) | Account::Price(_) | Account::Paid(_)) => Some(Stage::Released),
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

fn part(body: &PartBody) -> Option<Stage> {
    match body.event {
        // Where it lies is nobody's evidence, unless something is said of it.
        PartEvent::Moved => (body.trouble.is_some() || !body.stamps.is_empty()).then_some(Stage::Teardown),
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

/// The earliest gate that one of its readings serves; by the word of the drop where none counts.
fn measured(job: &Job, fact: &Fact, set: &Measurements) -> Stage {
    let bought = |surface: &crate::shop::Surface, instance: usize| {
        instance > 1 && instance == surface.instance && surface.state == Some(PartState::New)
    };
    let mut first: Option<Stage> = None;
    for surface in job.surfaces.values() {
        for (key, readings) in &surface.sets {
            if !readings.readings.values().flatten().any(|reading| reading.fact == fact.id) {
                continue;
            }
            let stage = match key.condition {
                Condition::AsReceived | Condition::Cleaned if bought(surface, key.instance) => {
                    Stage::Machining
                }
                Condition::AsReceived | Condition::Cleaned => Stage::Inspection,
                Condition::AfterWork(_) => Stage::Machining,
                Condition::AtAssembly(_) => Stage::Reassembly,
            };
            first = Some(first.map_or(stage, |known| known.min(stage)));
        }
    }
    first.unwrap_or(match set.condition {
        ConditionWord::AsReceived | ConditionWord::Cleaned => Stage::Inspection,
        ConditionWord::AfterWork => Stage::Machining,
        ConditionWord::AtAssembly => Stage::Reassembly,
    })
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

fn decided(job: &Job, fact: &Fact, decision: &Decision) -> Option<Stage> {
    match decision {
        Decision::Revision(_) | Decision::Authority(_) => Some(Stage::CheckedIn),
        Decision::AgreedWork(_) | Decision::Disposition(_) | Decision::Approval(_) => Some(Stage::Inspection),
        Decision::Accept(_) => Some(inspected_or_worked(job, fact)),
        // With the reading it is about.
        Decision::ConfirmReading(confirm) => {
            let named = confirm.drop.to_ascii_lowercase();
            let is_named = |known: &&std::sync::Arc<Fact>| {
                known.id.hex().starts_with(&named) || known.bytes.hex().starts_with(&named)
            };
            let target = job.statements().iter().find(is_named)?;
            let Body::Measurements(set) = &target.body else { return None };
            Some(measured(job, target, set))
        }
        Decision::Waiver(_) => None,
    }
}

/// Machining when work on the same thing was recorded before, else inspection.
fn inspected_or_worked(job: &Job, fact: &Fact) -> Stage {
    let about = job.touched_by(fact);
    let done = |other: &Fact| match &other.body {
        Body::Operation(_) => true,
        Body::WorkOrder(order) => order.back.is_some(),
        Body::CheckIn(_)
        | Body::Part(_)
        | Body::Finding(_)
        | Body::Measurements(_)
        | Body::Hardware(_)
        | Body::Supply(_)
        | Body::Assembly(_)
        | Body::Decision(_)
        | Body::Withdrawal(_)
        | Body::Account(_)
        | Body::SignOff(_)
        | Body::Gauge(_)
        | Body::Sheet(_)
        | Body::HouseRules(_)
        | Body::People(_)
        | Body::PriceList(_) => false,
    };
    let before = job.statements().iter().take_while(|other| other.order() < fact.order());
    let mut worked = before.filter(|other| done(other));
    if worked.any(|other| job.meet(&about, &job.touched_by(other))) {
        Stage::Machining
    } else {
        Stage::Inspection
    }
}
