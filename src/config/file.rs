//! The configuration file as written.

use serde::Deserialize;
use std::path::PathBuf;

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(super) struct File {
    pub(super) site: String,
    pub(super) timezone: String,
    pub(super) summary_at: String,
    pub(super) watch_folder: PathBuf,
    pub(super) ledger: PathBuf,
    #[serde(default)]
    pub(super) intake: Intake,
    pub(super) letters: Letters,
    pub(super) drop_point: Option<DropPoint>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(super) struct DropPoint {
    #[serde(default = "loopback")]
    pub(super) listen: String,
    pub(super) address: Option<String>,
    pub(super) certificate: Option<PathBuf>,
    pub(super) private_key: Option<PathBuf>,
    #[serde(default)]
    pub(super) unencrypted_on_the_network: bool,
}

fn loopback() -> String {
    "127.0.0.1:8437".to_owned()
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case", default)]
pub(super) struct Intake {
    pub(super) settle_seconds: f64,
    pub(super) grace_seconds: f64,
    pub(super) watch: bool,
}

impl Default for Intake {
    fn default() -> Self {
        Self { settle_seconds: 1.0, grace_seconds: 60.0, watch: true }
    }
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(super) struct Letters {
    pub(super) from: String,
    #[serde(default)]
    pub(super) from_name: String,
    pub(super) to: String,
    #[serde(default = "letters_folder")]
    pub(super) folder: PathBuf,
    pub(super) smtp: Option<Smtp>,
}

fn letters_folder() -> PathBuf {
    PathBuf::from("letters")
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(super) struct Smtp {
    pub(super) host: String,
    pub(super) port: u16,
    pub(super) security: String,
    pub(super) user: Option<String>,
    pub(super) password_file: Option<PathBuf>,
    pub(super) extra_root: Option<PathBuf>,
}
