//! The story of one engine, chapter by chapter.

use super::Result;
use super::scenario::{
    BORE, BORES, JOURNAL, MAIN_4, MAIN_4_SWAPPED, MAINS, MAINS_GROUND, PINS, Scribe, demo_shop, readings,
};
use crate::cli::speak::say;
use crate::clock::{Clock as _, SystemClock};
use crate::intake;
use crate::ledger::{ArrivalInfo, Ledger};
use jiff::ToSpan as _;
use serde_json::{Value, json};
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
    /// Drops the story, chapter by chapter, each when the one before is taken in.
    pub(super) fn play(&self) -> Result<()> {
        let begin = SystemClock::new().now().checked_sub((5 * 24).hours())?;
        let scribe = Scribe::from(begin);
        self.chapter("the shop: sheet, house rules, people, gauges", &demo_shop(&scribe))?;
        self.chapter(
            "an engine is checked in",
            &[("check-in.json", scribe.job(60, "check-in", "RH", &check_in()))],
        )?;
        self.inspection(&scribe)?;
        self.machining(&scribe)
    }

    fn inspection(&self, scribe: &Scribe) -> Result<()> {
        let received = |minute, gauge, readings| {
            scribe.job(minute, "measurements", "LM", &set("as received", gauge, readings))
        };
        let bores = received(180, "BORE-1", readings("bore", &BORE, &BORES));
        self.chapter("24 bore readings and the unworn band of each", &[("bores.json", bores.clone())])?;
        let mains = received(240, "MIC-23", readings("main journal", &JOURNAL, &MAINS));
        let main_4 = received(250, "MIC-23", readings("main journal", &JOURNAL, &MAIN_4_SWAPPED));
        let broken = "{\"kind\": \"measurements\", \"version\": 1, \"job\": \"24-017\", \"body\": {\"readings\": [,]}}\n".to_owned();
        self.chapter(
            "the main journals, one set with swapped digits, and a broken file",
            &[("mains.json", mains), ("main-4.json", main_4.clone()), ("broken.json", broken)],
        )?;
        let pins = received(300, "MIC-12", readings("crankpin", &JOURNAL, &PINS));
        self.half_written("the crankpins: half a file, completed a moment later", "pins.json", &pins)?;
        self.chapter("the bore readings once more, under another name", &[("bores (1).json", bores)])?;
        let mut correction = set("as received", "MIC-23", readings("main journal", &JOURNAL, &MAIN_4));
        let wrong = crate::facts::Digest::of(main_4.as_bytes()).short();
        if let Some(body) = correction.as_object_mut() {
            body.insert(
                "corrects".to_owned(),
                json!({ "drop": wrong, "why": "digits swapped while typing" }),
            );
        }
        let correction = scribe.job(290, "measurements", "LM", &correction);
        self.chapter("a late correction of main journal 4", &[("main-4-again.json", correction)])
    }

    fn machining(&self, scribe: &Scribe) -> Result<()> {
        let signed = json!({ "step": "inspection", "name": "Rowan Holt" });
        self.chapter(
            "the owner agrees the work and signs the inspection",
            &[
                ("agreed.json", scribe.job(1_500, "decision", "RH", &agreed_work())),
                ("signed.json", scribe.job(1_510, "sign-off", "RH", &signed)),
            ],
        )?;
        let ground = json!({ "operation": "grind", "unit": "in", "finished": "0.010 under", "with": "crank grinder",
            "places": [{ "feature": "main journal", "positions": ["all"] }] });
        let ground = scribe.job(2_900, "operation", "OS", &ground);
        self.chapter("the main journals are ground", &[("ground.json", ground)])?;
        let again = set("after work", "MIC-23", readings("main journal", &JOURNAL, &MAINS_GROUND));
        let again = scribe.job(3_000, "measurements", "LM", &again);
        self.chapter("and measured again", &[("mains-ground.json", again)])
    }

    fn chapter(&self, title: &str, papers: &[(&str, String)]) -> Result<()> {
        say(&format!("- {title}\n"));
        let before = self.arrivals()?.len();
        for (name, text) in papers {
            fs::write(self.drop_folder().join(name), text)?;
        }
        self.wait_until_taken(before + papers.len())
    }

    fn half_written(&self, title: &str, name: &str, text: &str) -> Result<()> {
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

    fn drop_folder(&self) -> PathBuf {
        self.dir.join("watch-folder").join(intake::DROP)
    }

    fn arrivals(&self) -> Result<Vec<ArrivalInfo>> {
        if !self.ledger.exists() {
            return Ok(Vec::new());
        }
        Ok(Ledger::read_only(self.ledger).and_then(|ledger| ledger.arrivals(1_000)).unwrap_or_default())
    }

    /// Until so many papers have arrived in the ledger and none lies in the drop folder any more.
    fn wait_until_taken(&self, arrivals: usize) -> Result<()> {
        const STEP: Duration = Duration::from_millis(100);
        for _ in 0..300 {
            let left = fs::read_dir(self.drop_folder())?.filter_map(std::result::Result::ok);
            let left = left.filter(|entry| !entry.file_name().to_string_lossy().starts_with('.')).count();
            if left == 0 && self.arrivals()?.len() >= arrivals {
                return Ok(());
            }
            std::thread::sleep(STEP);
        }
        Err(format!("the service did not take the papers in within 30 s; see {}", self.log.display()).into())
    }
}

fn check_in() -> Value {
    json!({
        "sheet": "OV-24",
        "customer": { "name": "Ferrowmere Mill", "reach": "mill@ferrowmere.example" },
        "engine": { "serial": "OV24-00317", "castings": ["7714-B"] },
        "scope": ["block and crankshaft"],
        "complaint": "low oil pressure when hot, smokes on the way down",
        "remarks": "bore 2 and crankpin 2 are scored",
        "wishes": { "aim": "least cost" },
        "approver": "Ines Ferrow",
    })
}

fn set(condition: &str, gauge: &str, readings: Vec<Value>) -> Value {
    json!({ "condition": condition, "gauge": gauge, "unit": "in", "readings": readings })
}

fn agreed_work() -> Value {
    let work = |operation: &str, feature: &str, finished: &str| json!({ "operation": operation, "feature": feature, "positions": ["all"], "finished": finished });
    json!({ "agreed-work": { "unit": "in", "agreed-by": "Ines Ferrow", "work": [
        work("bore and hone", "bore", "0.030 over"),
        work("grind", "main journal", "0.010 under"),
        work("grind", "crankpin", "0.020 under"),
    ] } })
}
