//! The program as another process, and a shop that its `init` made.

use super::support::*;
use benchdrop::clock::{Clock as _, SystemClock};
use jiff::ToSpan as _;
use serde_json::Value;
use std::fs;
use std::path::PathBuf;
use std::process::{Command, Output, Stdio};
use tempfile::TempDir;

/// What a command answered.
pub(super) struct Answer {
    pub(super) code: i32,
    pub(super) out: String,
    pub(super) err: String,
}

impl Answer {
    pub(super) fn of(output: Output) -> Self {
        let text = |bytes| String::from_utf8(bytes).expect("answers are UTF-8");
        let code = output.status.code().expect("it ended by itself");
        Self { code, out: text(output.stdout), err: text(output.stderr) }
    }

    /// It ended with this code.
    pub(super) fn ended(self, code: i32) -> Self {
        assert_eq!(self.code, code, "standard output:\n{}\nstandard error:\n{}", self.out, self.err);
        self
    }
}

pub(super) fn program() -> Command {
    Command::new(env!("CARGO_BIN_EXE_benchdrop"))
}

pub(super) fn run(arguments: &[&str]) -> Answer {
    Answer::of(program().args(arguments).stdin(Stdio::null()).output().unwrap())
}

/// A shop made by `init`, less patient than a real one.
pub(super) struct MadeShop {
    dir: TempDir,
}

impl MadeShop {
    pub(super) fn new() -> Self {
        let dir = tempfile::tempdir().unwrap();
        let shop = Self { dir };
        shop.init(&["--owner", "Rowan Holt", "--owner-mail", "owner@shop.example"]).ended(0);
        let config = fs::read_to_string(shop.path("shop/benchdrop.toml")).unwrap();
        assert!(config.contains("settle-seconds = 1.0"));
        fs::write(
            shop.path("shop/benchdrop.toml"),
            config.replace("settle-seconds = 1.0", "settle-seconds = 0.05"),
        )
        .unwrap();
        shop
    }

    /// The same after its first round, with an engine that was measured.
    pub(super) fn with_engine() -> Self {
        let shop = Self::new();
        shop.run(&["once"]).ended(0);
        let mic = "MIC-23";
        shop.put("check-in.json", &check_in(10));
        shop.put(
            "mains.json",
            &measured(
                20,
                "as received",
                mic,
                [
                    journal("main journal", "3", ["2.2479", "2.2471", "2.2480", "2.2472"]),
                    journal("main journal", "4", ["2.4288", "2.4288", "2.4288", "2.4288"]),
                    vec![reading("main journal", "5", "front", "X", "2.2490")],
                ]
                .concat(),
            ),
        );
        let unnamed = measured(
            30,
            "as received",
            mic,
            journal("crankpin", "1", ["1.9987", "1.9986", "1.9986", "1.9985"]),
        );
        let mut unnamed = unnamed;
        unnamed["body"].as_object_mut().unwrap().remove("gauge");
        shop.put("pin.json", &unnamed);
        shop.run(&["once"]).ended(0);
        shop
    }

    pub(super) fn init(&self, more: &[&str]) -> Answer {
        let dir = self.path("shop");
        run(&[&["init", dir.to_str().unwrap()], more].concat())
    }

    pub(super) fn path(&self, below: &str) -> PathBuf {
        self.dir.path().join(below)
    }

    pub(super) fn run(&self, arguments: &[&str]) -> Answer {
        Answer::of(self.command(arguments).output().unwrap())
    }

    pub(super) fn command(&self, arguments: &[&str]) -> Command {
        let mut command = program();
        command.arg("--config").arg(self.path("shop/benchdrop.toml")).args(arguments).stdin(Stdio::null());
        command
    }

    /// A drop of the common scenario, moved behind the facts that `init` recorded.
    pub(super) fn put(&self, name: &str, drop: &Value) {
        let mut drop = drop.clone();
        let minute = drop["recorded"].as_str().unwrap()[14..16].parse::<i64>().unwrap();
        let recorded = SystemClock::new().now().checked_sub((60 - minute).minutes()).unwrap();
        drop["recorded"] = recorded.strftime("%Y-%m-%dT%H:%M:00Z").to_string().into();
        self.put_text(name, &drop.to_string());
    }

    pub(super) fn put_text(&self, name: &str, text: &str) {
        fs::write(self.path("shop/watch-folder/drop").join(name), text).unwrap();
    }

    pub(super) fn job_json(&self) -> Value {
        serde_json::from_str(&self.run(&["job", JOB, "--json"]).ended(0).out).unwrap()
    }
}
