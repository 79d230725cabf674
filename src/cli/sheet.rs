//! `sheet FILE`: checks a spec sheet by computing it.

use super::Done;
use super::speak::{say, say_json};
use crate::facts::{Body, Fault, Refusal, decode, faults_of, slip};
use crate::judgement::words;
use crate::sheets::{Agreement, Sheet, agreements};
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
        |a: &Agreement| json!({"pair": a.pair, "at": a.at, "limits": words::limits(&a.computed, sheet.unit)});
    json!({
        "sheet": sheet.key, "revision": sheet.revision, "name": sheet.name, "unit": sheet.unit.symbol(),
        "features": sheet.features.iter().map(|feature| &feature.key).collect::<Vec<_>>(),
        "pairs": sheet.pairs.len(), "agreements": agreements.iter().map(agreement).collect::<Vec<_>>(), "faults": [],
    })
}

fn fault_json(fault: &Fault) -> Value {
    json!({"at": fault.at, "found": fault.found, "expected": fault.expected, "example": fault.example})
}

fn report(sheet: &Sheet) -> String {
    let rows = sheet.features.iter().map(|f| f.rows.len()).sum::<usize>() + sheet.pairs.len();
    let mut text = format!(
        "{} ({} revision {}): {} features, {rows} rows, {} pairs, judged in {}\n",
        sheet.name,
        sheet.key,
        sheet.revision,
        sheet.features.len(),
        sheet.pairs.len(),
        sheet.unit.symbol()
    );
    for agreement in agreements(sheet) {
        let computed = words::limits(&agreement.computed, sheet.unit);
        text.push_str(&format!(
            "  {} at {}: {computed} from its members, as stated\n",
            agreement.pair, agreement.at
        ));
    }
    text.push_str("Limits are ordered, steps ascend, every stack agrees.\n");
    text
}
