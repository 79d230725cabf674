//! `reckon`: small questions of the trade, each answered with formula, steps and source.

use super::Done;
use super::speak::{complain, say, say_json};
use crate::workbench::{Answer, Faults, Given, bolts, compression, convert, film, fits};
use clap::{Args, Subcommand};
use serde_json::{Value, json};
use std::ffi::OsString;
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
        #[arg(allow_hyphen_values = true)]
        size: Option<String>,
        /// H7/g6, H7 or g6.
        class: Option<String>,
    },
    /// Stress area, proof load, torque from preload and back, stretch.
    Bolt(Bolt),
    /// Compression ratio of each cylinder. Every option takes one value, or one a cylinder.
    Compression(Compression),
    /// Oil film of a bearing at one clearance or several.
    Film(Film),
    /// An amount in another unit, exactly.
    Convert {
        /// Number and unit: 2.2488in, 1-5/8in, "38 lbf ft".
        #[arg(allow_hyphen_values = true)]
        amount: Option<String>,
        /// The unit wanted; without it the usual other one.
        to: Option<String>,
    },
}

#[derive(Args)]
struct Bolt {
    /// M10x1.25, M12 (coarse), 3/8-24.
    #[arg(long)]
    thread: Option<String>,
    /// 8.8, 10.9, 12.9; 2, 5, 8 of inch bolts.
    #[arg(long)]
    grade: Option<String>,
    /// Torque, for the preload it leaves: "38 lbf ft".
    #[arg(long)]
    torque: Option<String>,
    /// Preload, for its torque: 30kN, 6700lbf.
    #[arg(long)]
    preload: Option<String>,
    /// The same as a percentage of the proof load: 75.
    #[arg(long)]
    percent: Option<String>,
    /// dry, oil, anti-seize, moly, rusty.
    #[arg(long)]
    lubricant: Option<String>,
    /// The maker's nut factor instead: 0.15.
    #[arg(long)]
    k: Option<String>,
    /// Length of plain shank that stretches: 1.6in.
    #[arg(long)]
    shank: Option<String>,
    /// Its diameter, where it is not that of the thread.
    #[arg(long)]
    shank_diameter: Option<String>,
    /// Length of free thread that stretches: 0.4in.
    #[arg(long)]
    threads: Option<String>,
    /// Modulus of elasticity, where it is not steel: 16500ksi.
    #[arg(long)]
    modulus: Option<String>,
}

#[derive(Args)]
struct Compression {
    /// Bore: 3.6825in.
    #[arg(long, num_args = 1..)]
    bore: Vec<String>,
    /// Stroke: 3.480in.
    #[arg(long, num_args = 1..)]
    stroke: Vec<String>,
    /// Chamber in the head: 58.0cc.
    #[arg(long, num_args = 1..)]
    chamber: Vec<String>,
    /// Hole of the gasket: 3.690in.
    #[arg(long, num_args = 1..)]
    gasket_bore: Vec<String>,
    /// Thickness of the gasket when tightened: 0.040in.
    #[arg(long, num_args = 1..)]
    gasket: Vec<String>,
    /// Crown below the deck at top dead centre; where it stands above, --proud.
    #[arg(long, num_args = 1..)]
    deck: Vec<String>,
    /// Crown above the deck: 0.60mm.
    #[arg(long, num_args = 1..)]
    proud: Vec<String>,
    /// Dish and valve pockets of the piston: 4.0cc.
    #[arg(long, num_args = 1..)]
    dish: Vec<String>,
    /// Dome of the piston.
    #[arg(long, num_args = 1..)]
    dome: Vec<String>,
    /// Beside the crown, above the top ring.
    #[arg(long, num_args = 1..)]
    crevice: Vec<String>,
    /// How many cylinders, where all are alike.
    #[arg(long)]
    cylinders: Option<String>,
    /// Speed, for the mean piston speed: 3000rpm.
    #[arg(long)]
    speed: Option<String>,
}

#[derive(Args)]
struct Film {
    /// Journal diameter: 2.2488in.
    #[arg(long)]
    diameter: Option<String>,
    /// Length of the bearing: 0.85in.
    #[arg(long)]
    length: Option<String>,
    /// Clearance across, as it is measured; several to compare: 0.0010in 0.0025in.
    #[arg(long, num_args = 1..)]
    clearance: Vec<String>,
    /// Steady load: 1500lbf.
    #[arg(long)]
    load: Option<String>,
    /// 3000rpm.
    #[arg(long)]
    speed: Option<String>,
    /// Of the oil at its temperature: 12cP, "0.0000017 reyn".
    #[arg(long)]
    viscosity: Option<String>,
}

/// Arguments in which a number below zero stays with the option before it, so that what is wrong with it is said by who
/// knows (and not that `-9` is no option). No option of ours begins with a digit.
pub(super) fn values_kept(arguments: impl Iterator<Item = OsString>) -> Vec<OsString> {
    let mut kept: Vec<OsString> = Vec::new();
    for argument in arguments {
        let is_number = argument
            .to_str()
            .and_then(|text| text.strip_prefix('-'))
            .is_some_and(|rest| rest.starts_with(|first: char| first.is_ascii_digit() || first == '.'));
        let is_option = |before: &&mut OsString| {
            before.to_str().is_some_and(|text| text.starts_with("--") && !text.contains('='))
        };
        match kept.last_mut().filter(|_| is_number).filter(is_option) {
            Some(option) => {
                option.push("=");
                option.push(argument);
            }
            None => kept.push(argument),
        }
    }
    kept
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
            Self::Bolt(bolt) => bolt.answer(),
            Self::Compression(compression) => compression.answer(),
            Self::Film(film) => film.answer(),
            Self::Convert { amount, to } => {
                convert::answer(&mut Given::new(&[("AMOUNT", amount.as_slice()), ("TO", to.as_slice())]))
            }
        }
    }
}

impl Bolt {
    fn answer(&self) -> Result<Answer, Faults> {
        bolts::answer(&mut Given::new(&[
            ("--thread", self.thread.as_slice()),
            ("--grade", self.grade.as_slice()),
            ("--torque", self.torque.as_slice()),
            ("--preload", self.preload.as_slice()),
            ("--percent", self.percent.as_slice()),
            ("--lubricant", self.lubricant.as_slice()),
            ("--k", self.k.as_slice()),
            ("--shank", self.shank.as_slice()),
            ("--shank-diameter", self.shank_diameter.as_slice()),
            ("--threads", self.threads.as_slice()),
            ("--modulus", self.modulus.as_slice()),
        ]))
    }
}

impl Compression {
    fn answer(&self) -> Result<Answer, Faults> {
        compression::answer(&mut Given::new(&[
            ("--bore", self.bore.as_slice()),
            ("--stroke", self.stroke.as_slice()),
            ("--chamber", self.chamber.as_slice()),
            ("--gasket-bore", self.gasket_bore.as_slice()),
            ("--gasket", self.gasket.as_slice()),
            ("--deck", self.deck.as_slice()),
            ("--proud", self.proud.as_slice()),
            ("--dish", self.dish.as_slice()),
            ("--dome", self.dome.as_slice()),
            ("--crevice", self.crevice.as_slice()),
            ("--cylinders", self.cylinders.as_slice()),
            ("--speed", self.speed.as_slice()),
        ]))
    }
}

impl Film {
    fn answer(&self) -> Result<Answer, Faults> {
        film::answer(&mut Given::new(&[
            ("--diameter", self.diameter.as_slice()),
            ("--length", self.length.as_slice()),
            ("--clearance", self.clearance.as_slice()),
            ("--load", self.load.as_slice()),
            ("--speed", self.speed.as_slice()),
            ("--viscosity", self.viscosity.as_slice()),
        ]))
    }
}

fn faults_json(faults: &Faults) -> Value {
    let fault = |fault: &crate::workbench::Fault| json!({"where": fault.name, "what": fault.words});
    json!({"faults": faults.0.iter().map(fault).collect::<Vec<_>>()})
}
