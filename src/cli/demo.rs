//! `demo`: a shop in a fresh folder, the real service running on it, and the story of one engine dropped into it.
//!
//! Nothing is faked: this command only writes files into the drop folder of another process, reads the ledger
//! to see how far that process is, and prints what the ledger says at the end.

use super::Done;
use super::init::{configuration, make};
use super::scenario::{
    BORE, BORES, JOB, JOURNAL, MAIN_4, MAIN_4_SWAPPED, MAINS, MAINS_GROUND, PINS, Scribe, demo_shop, readings,
};
use super::speak::say;
use crate::clock::{Clock as _, SystemClock};
use crate::config::Config;
use crate::daemon::{board_of, shop_of, view_of};
use crate::facts::JobKey;
use crate::intake;
use crate::ledger::{ArrivalInfo, Ledger};
use crate::pages::{board_text, job_text};
use clap::Args;
use jiff::ToSpan as _;
use serde_json::{Value, json};
use std::fs;
use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, ExitCode, Stdio};
use std::time::Duration;

#[derive(Args)]
pub(super) struct Demo {
    /// The folder to make it in; must not exist or be empty.
    #[arg(default_value = "benchdrop-demo")]
    dir: PathBuf,
}

type Result<T> = std::result::Result<T, Box<dyn std::error::Error>>;

impl Demo {
    pub(super) fn execute(&self) -> Done {
        let dir = fresh(&self.dir)?;
        let text = configuration("main", "Etc/UTC")
            .replace("settle-seconds = 1.0 ", "settle-seconds = 0.3 ")
            .replace("grace-seconds = 60.0", "grace-seconds = 3.0");
        make(&dir, &text)?;
        let config = dir.join("benchdrop.toml");
        let stage = Stage {
            dir: dir.clone(),
            config: Config::read(&config)?,
            service: Service::start(&dir, &config)?,
        };
        let told = stage.play();
        let Stage { config, service, .. } = stage;
        service.stop()?;
        told?;
        report(&dir, &config)
    }
}

/// The folder itself, or the next free name beside it.
fn fresh(wanted: &Path) -> Result<PathBuf> {
    let is_free =
        |path: &Path| fs::read_dir(path).map_or(!path.exists(), |mut entries| entries.next().is_none());
    let numbered = (2..1000).map(|n| PathBuf::from(format!("{}-{n}", wanted.display())));
    let found = std::iter::once(wanted.to_owned()).chain(numbered).find(|path| is_free(path));
    let dir = found.ok_or("no free name for the demonstration's folder")?;
    fs::create_dir_all(&dir)?;
    Ok(dir)
}

/// The service as a process of its own.
struct Service {
    child: Child,
    log: PathBuf,
}

impl Service {
    fn start(dir: &Path, config: &Path) -> Result<Self> {
        let log = dir.join("service.log");
        let child = Command::new(std::env::current_exe()?)
            .arg("--config")
            .arg(config)
            .arg("run")
            .stdin(Stdio::null())
            .stdout(Stdio::null())
            .stderr(fs::File::create(&log)?)
            .spawn()?;
        Ok(Self { child, log })
    }

    /// SIGTERM, then a few seconds to end cleanly.
    fn stop(mut self) -> Result<()> {
        if let Some(pid) = i32::try_from(self.child.id()).ok().and_then(rustix::process::Pid::from_raw) {
            // It may have ended by itself; then waiting says so.
            rustix::process::kill_process(pid, rustix::process::Signal::TERM).unwrap_or_default();
        }
        let ended = self.child.wait()?;
        if ended.success() {
            Ok(())
        } else {
            Err(format!("the service ended with {ended}; see {}", self.log.display()).into())
        }
    }
}

struct Stage {
    dir: PathBuf,
    config: Config,
    service: Service,
}

impl Stage {
    /// Drops the story, chapter by chapter, each when the one before is taken in.
    fn play(&self) -> Result<()> {
        let begin = SystemClock::new().now().checked_sub((5 * 24).hours())?;
        let scribe = Scribe::from(begin);
        self.chapter("the shop: sheet, house rules, people, gauges", &demo_shop(&scribe))?;
        self.chapter(
            "an engine is checked in",
            &[("check-in.json", scribe.job(60, "check-in", "RH", &check_in()))],
        )?;
        let bores = scribe.job(
            180,
            "measurements",
            "LM",
            &set("as received", "BORE-1", readings("bore", &BORE, &BORES)),
        );
        self.chapter("24 bore readings and the unworn band of each", &[("bores.json", bores.clone())])?;
        let mains = set("as received", "MIC-23", readings("main journal", &JOURNAL, &MAINS));
        let swapped = set("as received", "MIC-23", readings("main journal", &JOURNAL, &MAIN_4_SWAPPED));
        let main_4 = scribe.job(250, "measurements", "LM", &swapped);
        let broken = "{\"kind\": \"measurements\", \"version\": 1, \"job\": \"24-017\", \"body\": {\"readings\": [,]}}\n".to_owned();
        self.chapter(
            "the main journals, one set with swapped digits, and a broken file",
            &[
                ("mains.json", scribe.job(240, "measurements", "LM", &mains)),
                ("main-4.json", main_4.clone()),
                ("broken.json", broken),
            ],
        )?;
        let pins = scribe.job(
            300,
            "measurements",
            "LM",
            &set("as received", "MIC-12", readings("crankpin", &JOURNAL, &PINS)),
        );
        self.half_written("the crankpins: half a file, completed a moment later", "pins.json", &pins)?;
        self.chapter("the bore readings once more, under another name", &[("bores (1).json", bores)])?;
        let correction = json!({
            "condition": "as received", "gauge": "MIC-23", "unit": "in",
            "corrects": { "drop": crate::facts::Digest::of(main_4.as_bytes()).short(), "why": "digits swapped while typing" },
            "readings": readings("main journal", &JOURNAL, &MAIN_4),
        });
        self.chapter(
            "a late correction of main journal 4",
            &[("main-4-again.json", scribe.job(290, "measurements", "LM", &correction))],
        )?;
        self.chapter(
            "the owner agrees the work and signs the inspection",
            &[
                ("agreed.json", scribe.job(1_500, "decision", "RH", &agreed_work())),
                (
                    "signed.json",
                    scribe.job(
                        1_510,
                        "sign-off",
                        "RH",
                        &json!({ "step": "inspection", "name": "Rowan Holt" }),
                    ),
                ),
            ],
        )?;
        let ground = json!({ "operation": "grind", "unit": "in", "finished": "0.010 under", "with": "crank grinder",
            "places": [{ "feature": "main journal", "positions": ["all"] }] });
        self.chapter(
            "the main journals are ground",
            &[("ground.json", scribe.job(2_900, "operation", "OS", &ground))],
        )?;
        let again = set("after work", "MIC-23", readings("main journal", &JOURNAL, &MAINS_GROUND));
        self.chapter(
            "and measured again",
            &[("mains-ground.json", scribe.job(3_000, "measurements", "LM", &again))],
        )
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
        if !self.config.ledger.exists() {
            return Ok(Vec::new());
        }
        Ok(Ledger::read_only(&self.config.ledger)
            .and_then(|ledger| ledger.arrivals(1_000))
            .unwrap_or_default())
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
        Err(format!("the service did not take the papers in within 30 s; see {}", self.service.log.display())
            .into())
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

/// What the shop knows now, from its ledger, and where everything lies.
fn report(dir: &Path, config: &Config) -> Done {
    let ledger = Ledger::read_only(&config.ledger)?;
    let board = board_of(&ledger, &shop_of(&ledger)?, &config.zone, SystemClock::new().now())?;
    let key = JobKey::of(JOB, ledger.site()).ok_or("the job's key")?;
    let view = view_of(&ledger, &key)?.ok_or("the ledger has no drop of the job")?;
    let letters = ledger.letters()?;
    let mut text =
        format!("\nWHAT THE SHOP KNOWS NOW\n\n{}\n{}\n", board_text(&board), job_text(&view, false));
    text.push_str("\nWhat arrived\n");
    for arrival in ledger.arrivals(1_000)?.iter().rev() {
        text.push_str(&format!("  {:8} {}\n", arrival.outcome.word(), arrival.name));
    }
    text.push_str(&format!(
        "\n{} letters, each an .eml file in {}\n",
        letters.len(),
        dir.join("letters").display()
    ));
    let board = dir.join("watch-folder").join(intake::BOARD);
    text.push_str(&format!("Board:    {}\n", board.join("board.html").display()));
    text.push_str(&format!("Arrivals: {}\n", board.join("arrivals.html").display()));
    text.push_str(&format!(
        "Engine:   {}\n",
        board.join("jobs").join(format!("{}.html", key.slug())).display()
    ));
    let config = dir.join("benchdrop.toml");
    text.push_str(&format!("Reasons:  benchdrop --config {} job {JOB} --json\n", config.display()));
    text.push_str(&format!(
        "Go on:    benchdrop --config {} run, and drop files into {}\n",
        config.display(),
        dir.join("watch-folder").join(intake::DROP).display()
    ));
    say(&text);
    Ok(ExitCode::SUCCESS)
}
