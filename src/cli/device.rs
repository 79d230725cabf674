//! `device`: who is let in at the drop point.

use super::Done;
use super::speak::{say, say_json};
use crate::clock::{Clock as _, SystemClock};
use crate::config::{Config, Listening};
use crate::drop_point::{Device, Keys};
use crate::pages::code_text;
use clap::{Args, Subcommand};
use serde_json::{Value, json};
use std::process::ExitCode;

#[derive(Args)]
pub(super) struct DeviceCommand {
    #[command(subcommand)]
    what: What,
}

#[derive(Subcommand)]
enum What {
    /// Let a device in: prints the code to scan with it, once.
    Admit {
        /// What people call it: bench-tablet-2.
        name: String,
    },
    /// Withdraw the key of a device; it is refused from its next request on.
    Withdraw {
        /// What people call it.
        name: String,
    },
    /// Every device that is let in.
    List {
        /// For programs: a list of `name` and `admitted`.
        #[arg(long)]
        json: bool,
    },
}

impl DeviceCommand {
    pub(super) fn execute(&self, config: &Config) -> Done {
        let keys = Keys::beside(&config.ledger);
        match &self.what {
            What::Admit { name } => {
                let listening = config.drop_point.as_ref().ok_or(
                    "the configuration has no [drop-point], so nothing listens for devices; see the README, \"From tablets \
                     and phones\"",
                )?;
                let key =
                    keys.admit(name, &SystemClock::new().now().strftime("%Y-%m-%dT%H:%M:%SZ").to_string())?;
                say(&admitted(name, listening, &key));
            }
            What::Withdraw { name } => {
                keys.withdraw(name)?;
                say(&format!("{name} is not let in any more.\n"));
            }
            What::List { json } => {
                let devices = keys.devices()?;
                if *json {
                    say_json(&devices.iter().map(device_json).collect());
                } else {
                    say(&listed(&devices));
                }
            }
        }
        Ok(ExitCode::SUCCESS)
    }
}

fn admitted(name: &str, listening: &Listening, key: &str) -> String {
    let address = format!("{}/enter/{key}", listening.address);
    let code = code_text(&address).unwrap_or_default();
    let alone = if listening.is_for_this_machine_alone() {
        "This address opens on this machine alone. For another device say in [drop-point] how it comes here: address.\n\n"
    } else {
        ""
    };
    format!(
        "{alone}Scan this with {name}, or open the address below it there. Both are its key and are shown this once: whoever has \
         them can read the board and drop in its name.\n\n{code}\n{address}\n"
    )
}

fn listed(devices: &[Device]) -> String {
    if devices.is_empty() {
        return "No device is let in.\n".to_owned();
    }
    devices.iter().map(|device| format!("{}, since {}\n", device.name, device.admitted)).collect()
}

fn device_json(device: &Device) -> Value {
    json!({ "name": device.name, "admitted": device.admitted })
}
