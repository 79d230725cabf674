//! `sheet FILE`: checks a spec sheet by computing it.

use super::Done;
use super::speak::say;
use crate::facts::{Body, Refusal, decode, slip};
use crate::judgement::words;
use crate::sheets::{Sheet, agreements};
use clap::Args;
use std::path::PathBuf;
use std::process::ExitCode;

#[derive(Args)]
pub(super) struct SheetCommand {
    /// A sheet drop.
    file: PathBuf,
}

impl SheetCommand {
    pub(super) fn execute(&self) -> Done {
        let bytes =
            std::fs::read(&self.file).map_err(|error| format!("reading {}: {error}", self.file.display()))?;
        let name = self.file.display().to_string();
        match decode(&bytes, "check").map(|fact| fact.body) {
            Ok(Body::Sheet(sheet)) => {
                say(&report(&sheet));
                Ok(ExitCode::SUCCESS)
            }
            Ok(other) => Err(format!("{name} is a drop of kind {}, not a sheet", other.kind()).into()),
            Err(refusal @ (Refusal::Unreadable(_) | Refusal::Faults(_))) => {
                say(&slip(&name, &refusal));
                Ok(ExitCode::from(20))
            }
        }
    }
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
