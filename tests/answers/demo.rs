//! The demonstration played once: its pages as a person reads them, and what the program says.
#![allow(
    unreachable_pub,
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a test that cannot go on should panic"
)]

use crate::support::text_of;
use benchdrop::facts::JobKey;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

/// The demonstration's shop at its end.
pub struct Demo {
    dir: tempfile::TempDir,
}

impl Demo {
    pub fn run() -> Self {
        let demo = Self { dir: tempfile::tempdir().unwrap() };
        demo.program(&["demo", demo.path("demo").to_str().unwrap()]);
        demo
    }

    fn path(&self, below: &str) -> PathBuf {
        self.dir.path().join(below)
    }

    fn program(&self, arguments: &[&str]) -> String {
        let output = Command::new(env!("CARGO_BIN_EXE_benchdrop")).args(arguments).output().unwrap();
        assert!(output.status.success(), "{arguments:?}: {}", String::from_utf8_lossy(&output.stderr));
        String::from_utf8(output.stdout).unwrap()
    }

    pub fn command(&self, arguments: &[&str]) -> String {
        let config = self.path("demo/benchdrop.toml");
        self.program(&[&["--config", config.to_str().unwrap()], arguments].concat())
    }

    /// A page as a person reads it.
    pub fn page(&self, name: &str) -> String {
        let path = self.path("demo/watch-folder/board").join(name);
        text_of(&fs::read_to_string(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display())))
    }

    pub fn of_job(&self, folder: &str, number: &str) -> String {
        self.page(&format!("{folder}/{}.html", JobKey::of(number, "main").unwrap().slug()))
    }

    /// The page of the order whose number, as it stands in file names, is this.
    pub fn order(&self, job: &str, number: &str) -> String {
        let slug = JobKey::of(job, "main").unwrap().slug();
        let folder = self.path("demo/watch-folder/board/orders").join(&slug);
        let named = |path: &Path| path.file_name().unwrap().to_string_lossy().contains(number);
        let mut pages = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path());
        text_of(&fs::read_to_string(pages.find(|path| named(path)).unwrap()).unwrap())
    }
}
