//! A shop with so many drops behind it: made once, kept between runs, copied for each measurement.
//!
//! Every ledger has the same kind of engines, so that only its size differs: an engine that is done with has 200 drops,
//! one that is open 100. Drops and arrivals go straight through [`Ledger::commit`] in large batches. Job rows, letters
//! and pages are then made by the real service, which finds every row stale and no page written.

use super::drops::{SHEET, check_in, drop, measurements, scatter, shop};
use super::service::{Service, at_rest};
use benchdrop::facts::{Digest, Fact, JobKey, decode};
use benchdrop::intake;
use benchdrop::ledger::{Batch, JobRow, Ledger, NewArrival, NewDrop, Outcome, SummaryMark};
use jiff::{Timestamp, ToSpan as _};
use serde_json::{Value, json};
use std::fs;
use std::path::{Path, PathBuf};
use std::time::Duration;

/// Statements of an engine that is open: half of what one has in the end.
const OPEN_HAS: usize = 100;

/// Statements of an engine that is done with.
const DONE_HAS: usize = 200;

/// At most so many engines are open.
const MOST_OPEN: usize = 200;

/// Statements recorded in one transaction.
const AT_ONCE: usize = 10_000;

/// The feature that open engines have not had measured yet, by its place in the list of features.
const LATE: usize = 4;

const SITE: &str = "main";

/// Changes what is made: a shop kept by another version is not used.
const VERSION: u32 = 1;

/// A shop of a certain size, at rest.
pub(super) struct Shop {
    pub(super) folder: PathBuf,
    /// Engines that are open; they have the numbers from 0.
    pub(super) open: usize,
    /// All engines.
    pub(super) engines: usize,
}

/// How many engines are open and how many there are for this many drops; half of a small ledger's are open at least.
fn engines(drops: usize) -> (usize, usize) {
    let open = (drops / OPEN_HAS).clamp(1, MOST_OPEN);
    (open, open + (drops - open * OPEN_HAS).div_ceil(DONE_HAS))
}

impl Shop {
    /// The kept shop of this size; made first where there is none.
    pub(super) fn of(kept: &Path, drops: usize) -> Self {
        let (open, engines) = engines(drops);
        let folder = kept.join(format!("shop-{VERSION}-{drops}"));
        let shop = Self { folder, open, engines };
        if !shop.folder.exists() {
            let making = shop.folder.with_extension("making");
            if making.exists() {
                fs::remove_dir_all(&making).unwrap();
            }
            println!("making a shop with {drops} drops of {engines} engines, {open} open ...");
            lay_out(&making);
            append(&making, drops, (open, engines));
            let life = Service::start(&making, None);
            life.wait_until(|| at_rest(&making), Duration::from_secs(7_200));
            println!("  its first life, all rows and pages: {}", life.memory());
            life.end();
            fs::rename(&making, &shop.folder).unwrap();
        }
        shop
    }

    /// A copy to work in: the ledger is copied, pages are linked, since the service replaces them and never writes in
    /// place.
    pub(super) fn copy(&self, to: &Path) {
        if to.exists() {
            fs::remove_dir_all(to).unwrap();
        }
        lay_out(to);
        link(&self.folder.join("watch-folder/board"), &to.join("watch-folder/board"));
        for file in fs::read_dir(self.folder.join("ledger")).unwrap() {
            let file = file.unwrap();
            fs::copy(file.path(), to.join("ledger").join(file.file_name())).unwrap();
        }
        rustix::fs::sync();
    }

    /// The next drop of an open engine, one that brings no news; `turn` counts them from 0.
    pub(super) fn next(engine: usize, turn: usize) -> String {
        open_drop(engine, OPEN_HAS + turn).to_string()
    }

    /// A drop that is news: a feature that was not measured yet, out of its limits.
    pub(super) fn news(engine: usize) -> String {
        measurements(engine, OPEN_HAS, LATE, &|_| true).to_string()
    }
}

/// The configuration of every shop here; letters go to a relay on this port, or into a folder.
pub(super) fn configuration(port: Option<u16>) -> String {
    let text = "site = \"main\"\ntimezone = \"Etc/UTC\"\nsummary-at = \"00:00\"\nwatch-folder = \"watch-folder\"\n\
                ledger = \"ledger/benchdrop.db\"\n[intake]\nsettle-seconds = 0.05\n[letters]\n\
                from = \"benchdrop@shop.example\"\n";
    match port {
        None => format!("{text}to = \"folder\"\n"),
        Some(port) => format!(
            "{text}to = \"smtp\"\n[letters.smtp]\nhost = \"127.0.0.1\"\nport = {port}\nsecurity = \"plain-loopback\"\n"
        ),
    }
}

fn lay_out(folder: &Path) {
    for name in ["ledger", "letters", "watch-folder"] {
        fs::create_dir_all(folder.join(name)).unwrap();
    }
    intake::lay_out(&folder.join("watch-folder")).unwrap();
    fs::write(folder.join("benchdrop.toml"), configuration(None)).unwrap();
}

fn link(from: &Path, to: &Path) {
    fs::create_dir_all(to).unwrap();
    for entry in fs::read_dir(from).unwrap() {
        let entry = entry.unwrap();
        let target = to.join(entry.file_name());
        if entry.file_type().unwrap().is_dir() {
            link(&entry.path(), &target);
        } else {
            fs::hard_link(entry.path(), &target).unwrap();
        }
    }
}

/// The statement of an open engine with this number.
fn open_drop(engine: usize, turn: usize) -> Value {
    if turn == 0 {
        return check_in(engine, "complete");
    }
    let feature = turn % LATE;
    measurements(engine, turn, feature, &|position| scatter(&[engine, position, feature]).is_multiple_of(20))
}

/// The statement of a closed engine with this number: it came, everything was measured and sound, it was signed.
fn done_drop(engine: usize, turn: usize) -> Value {
    const SIGNED: [&str; 3] = ["inspection", "reassembly", "engine"];
    if turn == 0 {
        return check_in(engine, "block and crankshaft");
    }
    match (DONE_HAS - turn).checked_sub(1).filter(|left| *left < SIGNED.len()) {
        Some(left) => {
            let step = SIGNED[SIGNED.len() - 1 - left];
            drop(
                500 + i64::try_from(turn).unwrap(),
                "sign-off",
                Some(engine),
                json!({"step": step, "name": "Rowan Holt"}),
            )
        }
        None => measurements(engine, turn, turn % LATE, &|_| false),
    }
}

/// Every statement, as people would drop them: engines come one after another and many are under way at once.
fn append(folder: &Path, drops: usize, (open, engines): (usize, usize)) {
    let mut ledger = Ledger::create_or_open(&folder.join("ledger/benchdrop.db"), SITE).unwrap();
    let end = benchdrop::clock::Clock::now(&benchdrop::clock::SystemClock::new());
    let first: Vec<String> = shop().iter().map(Value::to_string).chain([SHEET.to_owned()]).collect();
    let begin = end.checked_sub((24 * 250).hours()).unwrap();
    let step = (24 * 250 * 3_600_000) / i64::try_from(drops).unwrap();
    let mut writer = Writer { begin, step, written: 0, batch: Batch::default() };
    writer.add(&mut ledger, first);
    // Engines that are done with come first, a hundred under way at once; the open ones come last.
    let order: Vec<usize> = (open..engines).chain(0..open).collect();
    let mut left = drops;
    for under_way in order.chunks(100) {
        for turn in 0..DONE_HAS {
            let texts: Vec<String> = under_way
                .iter()
                .filter(|engine| open <= **engine || turn < OPEN_HAS)
                .take(left)
                .map(|engine| {
                    if *engine < open { open_drop(*engine, turn) } else { done_drop(*engine, turn) }
                        .to_string()
                })
                .collect();
            left -= texts.len();
            writer.add(&mut ledger, texts);
        }
    }
    writer.flush(&mut ledger);
    // Rows that are stale are folded by the service; that the days before had their summaries is said here.
    let rows = (0..engines).map(|engine| format!("26-{engine:03}")).map(|written| JobRow {
        job: JobKey::of(&written, SITE).unwrap().to_string(),
        written,
        row: "{}".to_owned(),
        told: "{}".to_owned(),
        next_look: None,
        stale: true,
    });
    let summary = SummaryMark {
        date: end.strftime("%Y-%m-%d").to_string(),
        to_seq: ledger.last_arrival_seq().unwrap(),
    };
    ledger.commit(&Batch { rows: rows.collect(), summary: Some(summary), ..Batch::default() }).unwrap();
    ledger.checkpoint().unwrap();
}

/// Statements on their way into a ledger.
struct Writer {
    begin: Timestamp,
    /// Milliseconds between two arrivals.
    step: i64,
    written: i64,
    batch: Batch,
}

impl Writer {
    fn add(&mut self, ledger: &mut Ledger, texts: Vec<String>) {
        let facts: Vec<Fact> = texts
            .iter()
            .map(|text| decode(text.as_bytes(), SITE).unwrap_or_else(|why| panic!("{why:?}\n{text}")))
            .collect();
        for (fact, text) in facts.into_iter().zip(texts) {
            self.one(&fact, text.into_bytes());
        }
        if self.batch.drops.len() >= AT_ONCE {
            self.flush(ledger);
        }
    }

    fn one(&mut self, fact: &Fact, bytes: Vec<u8>) {
        self.written += 1;
        let at = self.begin.as_millisecond() + self.step * self.written;
        let hash = Digest::of(&bytes);
        let (job, kind) =
            (fact.job.as_ref().map_or_else(String::new, ToString::to_string), fact.body.kind().to_owned());
        let name = format!("{:07}.json", self.written);
        let day = Timestamp::from_millisecond(at).unwrap().strftime("%Y-%m-%d/%H%M%S").to_string();
        self.batch.arrivals.push(NewArrival {
            at,
            stamp: format!("{}-{}-{}", 1_000_000 + self.written, at, bytes.len()),
            size: bytes.len() as u64,
            outcome: Outcome::Filed,
            hash: Some(hash),
            job: Some(job.clone()),
            kind: Some(kind.clone()),
            place: format!("filed/{day}-{}-{name}", hash.short()),
            slip: String::new(),
            bytes: None,
            remark: String::new(),
            name,
        });
        let recorded = fact.head.recorded.instant().as_millisecond();
        self.batch.drops.push(NewDrop { hash, content: fact.id, job, kind, recorded, bytes });
    }

    fn flush(&mut self, ledger: &mut Ledger) {
        ledger.commit(&std::mem::take(&mut self.batch)).unwrap();
    }
}
