//! `reckon`: small questions of the trade, each answered with formula, steps and source.

use super::Done;
use super::speak::{complain, say, say_json};
use crate::workbench::{Answer, Faults, Given, convert, fits};
use clap::{Args, Subcommand};
use serde_json::{Value, json};
use std::process::ExitCode;

#[derive(Args)]
pub(super) struct ReckonCommand {
    /// For programs; the shape is in DEVELOPERS.md.
    #[arg(long, global = true)]
    json: bool,
    #[command(subcommand)]
    question: Question,
}

#[derive(Subcommand)]
enum Question {
    /// Limits of an ISO 286 class at a size, or the fit of a pair.
    Fit {
        /// Nominal size with its unit: 50mm, 1.9685in.
        size: Option<String>,
        /// H7/g6, H7 or g6.
        class: Option<String>,
    },
    /// An amount in another unit, exactly.
    Convert {
        /// Number and unit: 2.2488in, "38 lbf ft".
        amount: Option<String>,
        /// The unit wanted; without it the usual other one.
        to: Option<String>,
    },
}

impl ReckonCommand {
    pub(super) fn execute(&self) -> Done {
        let answer = self.question.answer();
        match (answer, self.json) {
            (Ok(answer), false) => say(&answer.text()),
            (Ok(answer), true) => say_json(&answer.json()),
            (Err(faults), false) => {
                complain(&faults);
                return Ok(ExitCode::from(2));
            }
            (Err(faults), true) => {
                say_json(&faults_json(&faults));
                return Ok(ExitCode::from(2));
            }
        }
        Ok(ExitCode::SUCCESS)
    }
}

impl Question {
    fn answer(&self) -> Result<Answer, Faults> {
        match self {
            Self::Fit { size, class } => {
                fits::answer(&mut Given::new(&[("SIZE", size.as_slice()), ("CLASS", class.as_slice())]))
            }
            Self::Convert { amount, to } => {
                convert::answer(&mut Given::new(&[("AMOUNT", amount.as_slice()), ("TO", to.as_slice())]))
            }
        }
    }
}

fn faults_json(faults: &Faults) -> Value {
    let fault = |fault: &crate::workbench::Fault| json!({"where": fault.name, "what": fault.words});
    json!({"faults": faults.0.iter().map(fault).collect::<Vec<_>>()})
}
