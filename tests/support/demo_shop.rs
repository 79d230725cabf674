//! The shop of the demonstration as it stands at its end: two engines, one handed over, one half way.
#![allow(dead_code, unreachable_pub, reason = "each test file uses its own part of this")]
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test that cannot go on should panic")]

use serde_json::Value;
use std::path::PathBuf;
use std::process::Command;
use tempfile::TempDir;

pub struct DemoShop {
    folder: TempDir,
}

impl DemoShop {
    pub fn new() -> Self {
        let shop = Self { folder: TempDir::new().unwrap() };
        let made = program().arg("demo").arg(shop.path("")).output().unwrap();
        assert!(made.status.success(), "{}", String::from_utf8_lossy(&made.stderr));
        shop
    }

    pub fn path(&self, below: &str) -> PathBuf {
        self.folder.path().join("shop").join(below)
    }

    pub fn board(&self, below: &str) -> PathBuf {
        self.path("watch-folder/board").join(below)
    }

    pub fn job(&self, number: &str) -> Value {
        let config = self.path("benchdrop.toml");
        let out = program().arg("--config").arg(config).args(["job", number, "--json"]).output().unwrap();
        serde_json::from_slice(&out.stdout).unwrap()
    }
}

fn program() -> Command {
    Command::new(env!("CARGO_BIN_EXE_benchdrop"))
}
