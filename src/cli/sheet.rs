//! `sheet FILE`: checks a spec sheet by computing it.

use super::Done;
use super::speak::{say, say_json};
use crate::facts::{Body, Fault, Refusal, decode, faults_of, slip};
use crate::judgement::words;
use crate::sheets::{
    Agreement, BoltOrder, Engagement, Fasteners, ProofLoad, Sheet, agreements, conversions, engagements,
    proof_loads, questions,
};
use clap::Args;
use serde_json::{Value, json};
use std::path::PathBuf;
use std::process::ExitCode;

#[derive(Args)]
pub(super) struct SheetCommand {
    /// A sheet drop.
    file: PathBuf,
    /// For programs; the shape is in DEVELOPERS.md.
    #[arg(long)]
    json: bool,
}

impl SheetCommand {
    pub(super) fn execute(&self) -> Done {
        let bytes =
            std::fs::read(&self.file).map_err(|error| format!("reading {}: {error}", self.file.display()))?;
        let name = self.file.display().to_string();
        match decode(&bytes, "check").map(|fact| fact.body) {
            Ok(Body::Sheet(sheet)) => {
                if self.json {
                    say_json(&report_json(&sheet));
                } else {
                    say(&report(&sheet));
                }
                Ok(ExitCode::SUCCESS)
            }
            Ok(other) => Err(format!("{name} is a drop of kind {}, not a sheet", other.kind()).into()),
            Err(refusal @ (Refusal::Unreadable(_) | Refusal::Faults(_))) => {
                if self.json {
                    say_json(
                        &json!({"faults": faults_of(&refusal).iter().map(fault_json).collect::<Vec<_>>()}),
                    );
                } else {
                    say(&slip(&name, &refusal));
                }
                Ok(ExitCode::from(20))
            }
        }
    }
}

fn report_json(sheet: &Sheet) -> Value {
    let agreements = agreements(sheet);
    let agreement =
        |a: &Agreement| json!({"of": a.of, "at": a.at, "limits": words::limits(&a.computed, a.unit)});
    let engagement = |e: &Engagement| json!({"group": e.group, "size": e.size, "engaged": e.engaged.show(sheet.unit), "least": e.least.show(sheet.unit)});
    let load = |l: &ProofLoad| json!({"group": l.group, "size": l.size, "percent-of-proof-load": format!("{:.0}", l.percent)});
    json!({
        "sheet": sheet.key, "revision": sheet.revision, "name": sheet.name, "unit": sheet.unit.symbol(),
        "features": sheet.features.iter().map(|feature| &feature.key).collect::<Vec<_>>(),
        "pairs": sheet.pairs.len(), "agreements": agreements.iter().map(agreement).collect::<Vec<_>>(),
        "engagements": engagements(sheet).iter().map(engagement).collect::<Vec<_>>(),
        "tension": proof_loads(sheet).iter().map(load).collect::<Vec<_>>(),
        "orders": ordered(sheet).map(order_json).collect::<Vec<_>>(),
        "conversions": conversions(sheet).len(),
        "questions": questions(sheet).iter().map(fault_json).collect::<Vec<_>>(), "faults": [],
    })
}

/// Joints whose bolts have an order.
fn ordered(sheet: &Sheet) -> impl Iterator<Item = &Fasteners> {
    sheet.fasteners.iter().filter(|group| group.has_order())
}

fn order_json(group: &Fasteners) -> Value {
    let (tighten, loosen) = (group.tightening(), group.loosening());
    json!({
        "group": group.group, "tighten": tighten.places, "tighten-words": tighten.words, "loosen": loosen.places,
        "loosen-words": loosen.words, "loosening-rounds": group.loosening_rounds(), "own": tighten.own,
    })
}

/// Each joint's order of tightening and of letting go.
fn orders(sheet: &Sheet) -> String {
    let words = |order: &BoltOrder<'_>| {
        if order.places.is_empty() { order.words.clone() } else { order.places.join(", ") }
    };
    let mut text = String::new();
    for group in ordered(sheet) {
        let (tighten, loosen) = (group.tightening(), group.loosening());
        let source = if tighten.own { "" } else { "; a general order, not the maker's" };
        text.push_str(&format!(
            "  {} {}: tighten {}{source}\n    loosen cold, in {} rounds: {}\n",
            group.group,
            group.name,
            words(&tighten),
            group.loosening_rounds(),
            words(&loosen)
        ));
    }
    text
}

fn fault_json(fault: &Fault) -> Value {
    json!({"at": fault.at, "found": fault.found, "expected": fault.expected, "example": fault.example})
}

fn report(sheet: &Sheet) -> String {
    let rows = sheet.features.iter().map(|f| f.rows.len()).sum::<usize>() + sheet.pairs.len();
    let mut text = format!(
        "{} ({} revision {}): {} features, {rows} rows, {} pairs, {} fastener groups, {} plug groups, {} checks, judged in {}\n",
        sheet.name,
        sheet.key,
        sheet.revision,
        sheet.features.len(),
        sheet.pairs.len(),
        sheet.fasteners.len(),
        sheet.plugs.len(),
        sheet.checks.len(),
        sheet.unit.symbol()
    );
    for agreement in agreements(sheet) {
        let computed = words::limits(&agreement.computed, agreement.unit);
        let (of, at) = (&agreement.of, &agreement.at);
        text.push_str(&format!("  {of} at {at}: {computed} from its members, as stated\n"));
    }
    text.push_str(&hardware(sheet));
    let conversions = conversions(sheet).len();
    text.push_str(&format!(
        "Limits are ordered, steps ascend, every stack agrees, {conversions} figures in the other unit are as \
         converted, every pattern goes to each place once.\n"
    ));
    for question in questions(sheet) {
        text.push_str(&format!("To ask: {question}\n"));
    }
    text
}

fn hardware(sheet: &Sheet) -> String {
    let mut text = orders(sheet);
    for held in engagements(sheet) {
        let (engaged, diameters) =
            (held.engaged.show(sheet.unit), held.engaged.to_mm() / held.diameter.to_mm());
        text.push_str(&format!(
            "  {} {}: {engaged} {} of thread engaged, {diameters:.1} diameters; at least {}\n",
            held.group,
            held.size,
            sheet.unit.symbol(),
            held.least.show(sheet.unit)
        ));
    }
    for load in proof_loads(sheet) {
        let (group, size) = (&load.group, &load.size);
        text.push_str(&format!("  {group} {size}: {:.0} percent of proof load\n", load.percent));
    }
    text
}
