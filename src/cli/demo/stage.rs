//! Where the story plays: papers go into the drop folder, and the next chapter waits until they are taken in.

use super::Result;
use crate::cli::speak::say;
use crate::daemon::{owes_no_page, view_of};
use crate::facts::JobKey;
use crate::intake;
use crate::ledger::{ArrivalInfo, Ledger};
use crate::pages::plan_json;
use serde_json::Value;
use std::fs;
use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::time::Duration;

/// Where the story plays.
pub(super) struct Stage<'a> {
    pub(super) dir: &'a Path,
    pub(super) ledger: &'a Path,
    pub(super) log: &'a Path,
}

impl Stage<'_> {
    pub(super) fn chapter(&self, title: &str, papers: &[(String, String)]) -> Result<()> {
        say(&format!("- {title}\n"));
        let before = self.arrivals()?.len();
        for (name, text) in papers {
            fs::write(self.drop_folder().join(name.replace('/', "-")), text)?;
        }
        self.wait_until_taken(before + papers.len())
    }

    pub(super) fn half_written(&self, title: &str, name: &str, text: &str) -> Result<()> {
        say(&format!("- {title}\n"));
        let before = self.arrivals()?.len();
        let path = self.drop_folder().join(name);
        let (first, rest) = text.split_at(text.len() / 2);
        let mut file = fs::File::create(&path)?;
        file.write_all(first.as_bytes())?;
        file.sync_all()?;
        std::thread::sleep(Duration::from_millis(1_500));
        file.write_all(rest.as_bytes())?;
        drop(file);
        self.wait_until_taken(before + 1)
    }

    /// What the gates say of one thing now.
    pub(super) fn say_what_waits(&self, job: &str, about: &str) -> Result<()> {
        let ledger = Ledger::read_only(self.ledger)?;
        let key = JobKey::of(job, ledger.site()).ok_or("the job's key")?;
        let view = view_of(&ledger, &key)?.ok_or("the ledger has no drop of the job")?;
        let caught =
            view.standing.blockers.iter().filter(|b| b.about.contains(about) || b.what.contains(about));
        for blocker in caught {
            say(&format!("    caught at {}: {}: {}\n", blocker.stage.word(), blocker.about, blocker.what));
        }
        Ok(())
    }

    /// What is proposed for an engine now, as programs read it.
    pub(super) fn plan(&self, job: &str) -> Result<Value> {
        let ledger = Ledger::read_only(self.ledger)?;
        let key = JobKey::of(job, ledger.site()).ok_or("the job's key")?;
        let plan = plan_json(&view_of(&ledger, &key)?.ok_or("the ledger has no drop of the job")?);
        for alternative in plan.get("alternatives").and_then(Value::as_array).into_iter().flatten() {
            let text = |key: &str| alternative.get(key).and_then(Value::as_str).unwrap_or_default();
            let money = alternative.pointer("/total/money").and_then(Value::as_str).unwrap_or_default();
            say(&format!("    plan {}, {money} EUR: {}\n", text("plan"), text("in-short")));
        }
        Ok(plan)
    }

    fn drop_folder(&self) -> PathBuf {
        self.dir.join("watch-folder").join(intake::DROP)
    }

    fn arrivals(&self) -> Result<Vec<ArrivalInfo>> {
        if !self.ledger.exists() {
            return Ok(Vec::new());
        }
        Ok(Ledger::read_only(self.ledger).and_then(|ledger| ledger.arrivals(10_000)).unwrap_or_default())
    }

    /// Until so many papers have arrived in the ledger and none lies in the drop folder any more.
    fn wait_until_taken(&self, arrivals: usize) -> Result<()> {
        self.wait("did not take the papers in", || {
            let left = fs::read_dir(self.drop_folder())?.filter_map(std::result::Result::ok);
            let left = left.filter(|entry| !entry.file_name().to_string_lossy().starts_with('.')).count();
            Ok(left == 0 && self.arrivals()?.len() >= arrivals)
        })
    }

    /// Until the board shows all that arrived.
    pub(super) fn wait_for_pages(&self) -> Result<()> {
        let board = self.dir.join("watch-folder").join(intake::BOARD);
        let ledger = Ledger::read_only(self.ledger)?;
        self.wait("did not write its pages", || Ok(owes_no_page(&board, &ledger)?))
    }

    fn wait(&self, what: &str, mut done: impl FnMut() -> Result<bool>) -> Result<()> {
        const STEP: Duration = Duration::from_millis(100);
        for _ in 0..600 {
            if done()? {
                return Ok(());
            }
            std::thread::sleep(STEP);
        }
        Err(format!("the service {what} within 60 s; see {}", self.log.display()).into())
    }
}
