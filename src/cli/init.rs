//! `init DIR`: a new shop.

use super::Done;
use super::demo::first_drops;
use super::speak::say;
use crate::clock::{Clock as _, SystemClock};
use crate::config::Config;
use crate::facts::{decode, first_fault};
use crate::intake;
use clap::Args;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

/// What a bench person finds beside the drop folder.
const BENCH_README: &str = include_str!("../../watch-folder/README.txt");

#[derive(Args)]
pub(super) struct Init {
    /// The folder to make it in; it must not hold a shop already.
    dir: PathBuf,
    /// The site's short name, stamped on bare job numbers.
    #[arg(long, default_value = "main")]
    site: String,
    /// The shop's time zone.
    #[arg(long, default_value = "Etc/UTC", value_name = "ZONE")]
    timezone: String,
    /// Name of the owner.
    #[arg(long, default_value = "Owner", value_name = "NAME")]
    owner: String,
    /// Where the owner's letters go.
    #[arg(long, value_name = "ADDRESS")]
    owner_mail: Option<String>,
}

impl Init {
    pub(super) fn execute(&self) -> Done {
        let text = configuration(&self.site, &self.timezone, &Patience { settle: 1.0, grace: 60.0 });
        Config::parse(&text, &self.dir).map_err(|reasons| reasons.join("\n"))?;
        let drops = first_drops(SystemClock::new().now(), &self.owner, self.owner_mail.as_deref());
        // Said now rather than by a slip after the first round.
        for (name, text) in &drops {
            decode(text.as_bytes(), &self.site)
                .map_err(|refusal| format!("{name}: {}", first_fault(&refusal)))?;
        }
        make(&self.dir, &text)?;
        for (name, text) in drops {
            write(&self.dir.join("watch-folder").join(intake::DROP).join(name), &text)?;
        }
        let dir = self.dir.display();
        say(&format!(
            "A shop is ready in {dir}.\n\
             \n  {dir}/benchdrop.toml     addresses, paths and times of day\
             \n  {dir}/watch-folder/      share this one: people drop files into drop/\
             \n  {dir}/ledger/            the record; keep it on this machine's own disk\
             \n  {dir}/letters/           letters as .eml files until a mail relay is configured\
             \n\nIts first sheet, house rules, people and gauges lie in watch-folder/drop and are taken in by the first\
             \nround. Go on with:\
             \n\n  benchdrop --config {dir}/benchdrop.toml run\n"
        ));
        Ok(ExitCode::SUCCESS)
    }
}

/// Makes the folders and the configuration of a shop; refuses to touch one that is there.
pub(super) fn make(dir: &Path, configuration: &str) -> Result<(), Box<dyn std::error::Error>> {
    let config = dir.join("benchdrop.toml");
    if config.exists() {
        return Err(format!("{} is there already: this folder holds a shop", config.display()).into());
    }
    for folder in ["watch-folder", "ledger", "letters"] {
        let path = dir.join(folder);
        fs::create_dir_all(&path).map_err(|error| format!("making {}: {error}", path.display()))?;
    }
    let watch_folder = dir.join("watch-folder");
    intake::lay_out(&watch_folder)?;
    write(&watch_folder.join("README.txt"), BENCH_README)?;
    // Last, so that a folder with a configuration is a whole shop.
    write(&config, configuration)
}

fn write(path: &Path, text: &str) -> Result<(), Box<dyn std::error::Error>> {
    Ok(fs::write(path, text).map_err(|error| format!("writing {}: {error}", path.display()))?)
}

/// How long papers may lie, in seconds.
pub(super) struct Patience {
    /// A file must lie still for so long.
    pub(super) settle: f64,
    /// An unfinished file may stay so for so long.
    pub(super) grace: f64,
}

/// A configuration that works as it is, with what can be changed beside it.
pub(super) fn configuration(site: &str, timezone: &str, patience: &Patience) -> String {
    let Patience { settle, grace } = patience;
    // As TOML writes a text, so that none can end early and say more than it is.
    let [site, timezone] = [site, timezone].map(toml::Value::from);
    format!(
        r#"# Addresses, paths and times of day. Whatever can change a verdict (sheets, house rules, people, gauges) is
# dropped into the watch folder like anything else. Paths are relative to this file.

site = {site}
timezone = {timezone}
summary-at = "07:00"
watch-folder = "watch-folder"
ledger = "ledger/benchdrop.db"

[intake]
settle-seconds = {settle:.1}    # a file must lie still for so long
grace-seconds = {grace:.1}    # an unfinished file may stay so for so long
watch = true            # listen to the file system; without, only slower

[letters]
from = "benchdrop@shop.example"
from-name = "benchdrop"
to = "folder"           # "folder": .eml files; "smtp": through a relay
folder = "letters"

# [letters.smtp]
# host = "mail.shop.example"
# port = 465
# security = "implicit-tls"     # or "starttls", or "plain-loopback" for a relay on this machine
# user = "shop"
# password-file = "smtp-password"   # or the environment variable BENCHDROP_SMTP_PASSWORD

# [drop-point]                      # the board and the forms for tablets and phones; see the README
# listen = "127.0.0.1:8437"
# address = "https://bench.shop.example"
# certificate = "bench.pem"
# private-key = "bench.key"
"#
    )
}
