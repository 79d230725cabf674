//! The readers, and what must hold of whatever they are given.

use benchdrop::config::Config;
use benchdrop::daemon::view_of;
use benchdrop::facts::{Digest, Fact, JobKey, decode, faults_of, slip};
use benchdrop::intake::{safe_name, shown_name};
use benchdrop::ledger::Ledger;
use benchdrop::notices::Told;
use benchdrop::pages::{
    Board, bench_form, board, board_json, board_text, build_record, canonical_dump, check_in_form, job_json,
    job_page, job_text, to_sign, work_order,
};
use benchdrop::respond::respond;
use benchdrop::shop::{FactSet, Shop};
use std::ffi::OsStr;
use std::fs;
use std::os::unix::ffi::OsStrExt as _;
use std::path::Path;
use std::sync::Arc;
use tempfile::TempDir;

pub(super) const SITE: &str = "main";

/// One reader: true when it took the bytes.
pub(super) struct Reader {
    pub(super) name: &'static str,
    /// Its part of all inputs.
    pub(super) part: u64,
    pub(super) corpus: &'static [&'static str],
    pub(super) is_for: fn(&str, &[u8]) -> bool,
    pub(super) as_utf16: bool,
    pub(super) read: fn(&World, &[u8]) -> bool,
}

const DROPS: &[&str] = &["schemas/examples", "tests/data/fuzz/drops"];

pub(super) const READERS: [Reader; 9] = [
    Reader {
        name: "json",
        part: 40,
        corpus: DROPS,
        is_for: |name, _| !name.ends_with(".csv") && !name.contains("sheet.v1"),
        as_utf16: false,
        read: drop_of,
    },
    Reader {
        name: "sheet",
        part: 3,
        corpus: &["schemas/examples/sheet.v1", "tests/data"],
        is_for: |name, _| name.contains("sheet.v1") || name.ends_with("small_sheet.json"),
        as_utf16: false,
        read: drop_of,
    },
    Reader {
        name: "table",
        part: 20,
        corpus: DROPS,
        is_for: |name, _| name.ends_with(".csv"),
        as_utf16: false,
        read: drop_of,
    },
    Reader {
        name: "table-utf16",
        part: 10,
        corpus: DROPS,
        is_for: |name, _| name.ends_with(".csv"),
        as_utf16: true,
        read: drop_of,
    },
    Reader {
        name: "picture",
        part: 4,
        corpus: &["tests/data/pictures", "tests/data/fuzz/pictures", "tests/data/fuzz/drops"],
        is_for: |_, _| true,
        as_utf16: false,
        read: super::pictures::picture_of,
    },
    Reader {
        name: "configuration",
        part: 10,
        corpus: &["tests/data/fuzz/configuration"],
        is_for: |_, _| true,
        as_utf16: false,
        read: configuration,
    },
    Reader {
        name: "name",
        part: 5,
        corpus: &["tests/data/fuzz/names"],
        is_for: |_, _| true,
        as_utf16: false,
        read: name,
    },
    Reader {
        name: "job-number",
        part: 4,
        corpus: &["tests/data/fuzz/numbers"],
        is_for: |_, _| true,
        as_utf16: false,
        read: number,
    },
    Reader {
        name: "ledger",
        part: 1,
        corpus: &["tests/data/ledgers"],
        is_for: |name, _| name.ends_with(".db"),
        as_utf16: false,
        read: ledger,
    },
];

/// A shop in which a taken drop means something.
pub(super) struct World {
    shop: FactSet,
    job: FactSet,
    dir: TempDir,
}

impl World {
    /// Every example of the schemas that is a statement, of one job.
    pub(super) fn new() -> Self {
        let (mut shop, mut job) = (FactSet::default(), FactSet::default());
        for (_, _, example) in benchdrop::facts::KINDS {
            let fact = Arc::new(decode(example.as_bytes(), SITE).unwrap());
            if fact.job.is_some() {
                job.insert(fact)
            } else {
                shop.insert(fact)
            };
        }
        Self { shop, job, dir: TempDir::new().unwrap() }
    }

    /// Folds a taken statement into the shop or its job and prints everything.
    fn follow(&self, fact: Fact) {
        let now: jiff::Timestamp = "2026-11-26T12:00:00Z".parse().unwrap();
        let (mut shop_set, mut job) = (self.shop.clone(), self.job.clone());
        let key = fact.job.clone().unwrap_or_else(|| JobKey::of("24-017", SITE).unwrap());
        let fact = Arc::new(fact);
        if fact.job.is_some() {
            job.insert(fact)
        } else {
            shop_set.insert(fact)
        };
        let shop = Shop::fold(&shop_set);
        let answer = respond(&key, job, &Told::default(), &shop, [], now);
        for letter in &answer.letters {
            assert!(!letter.text().is_empty() && !letter.html().is_empty());
        }
        let view = &answer.view;
        let pages = [
            job_page(view),
            job_text(view, true),
            job_json(view).to_string(),
            canonical_dump(view),
            build_record(view),
            bench_form(view, &answer.state, &shop, SITE),
            check_in_form(&shop, SITE),
        ];
        assert!(pages.iter().all(|page| !page.is_empty()));
        assert!(view.job.orders.values().all(|order| !work_order(view, order).is_empty()));
        let _signable = to_sign(view);
        let rows = Board {
            site: SITE.to_owned(),
            written: "now".to_owned(),
            now: now.as_millisecond(),
            today: jiff::tz::TimeZone::UTC.to_datetime(now).date(),
            rows: vec![answer.row.into()],
            warnings: Vec::new(),
        };
        assert!(!board(&rows).is_empty() && !board_text(&rows).is_empty() && board_json(&rows).is_object());
    }
}

/// The one door of drops.
pub(super) fn drop_of(world: &World, bytes: &[u8]) -> bool {
    match decode(bytes, SITE) {
        Ok(fact) => {
            let again = decode(bytes, SITE).unwrap();
            assert_eq!((fact.id, fact.bytes, &fact.job), (again.id, again.bytes, &again.job));
            assert_eq!(fact.bytes, Digest::of(bytes));
            world.follow(fact);
            true
        }
        Err(refusal) => {
            let faults = faults_of(&refusal);
            assert!(!faults.is_empty(), "refused without a reason");
            let slip = slip("paper.json", &refusal);
            assert!(slip.contains("expected:") && slip.len() < 20_000, "{slip}");
            false
        }
    }
}

fn configuration(_: &World, bytes: &[u8]) -> bool {
    let text = String::from_utf8_lossy(bytes);
    match Config::parse(&text, Path::new("shop")) {
        Ok(config) => {
            assert!(!config.site.is_empty());
            true
        }
        Err(reasons) => {
            assert!(!reasons.is_empty() && reasons.iter().all(|reason| !reason.is_empty()));
            false
        }
    }
}

/// True when the name may stand as it is.
fn name(_: &World, bytes: &[u8]) -> bool {
    let name = OsStr::from_bytes(bytes);
    let shown = shown_name(name);
    assert!(shown.chars().count() <= 120 && !shown.chars().any(char::is_control), "{shown:?}");
    let safe = safe_name(&shown);
    assert!(!safe.is_empty() && safe.len() <= 80 && !safe.starts_with('.'), "{safe:?}");
    assert!(safe.bytes().all(|b| b.is_ascii_alphanumeric() || b"._-".contains(&b)), "{safe:?}");
    assert_eq!(safe_name(&safe), safe, "made safe twice");
    safe.as_bytes() == bytes
}

/// A number that is taken names one engine: written out it is taken as the same.
fn number(_: &World, bytes: &[u8]) -> bool {
    let text = String::from_utf8_lossy(bytes);
    let Some(key) = JobKey::of(&text, SITE) else { return false };
    let written = key.to_string();
    assert_eq!(JobKey::of(&written, "other").unwrap(), key, "{text:?}");
    assert!(key.slug().bytes().all(|b| b.is_ascii_alphanumeric() || b"._-".contains(&b)), "{}", key.slug());
    true
}

/// A damaged ledger is refused, or says what it can; it never brings a command down.
fn ledger(world: &World, bytes: &[u8]) -> bool {
    let path = world.dir.path().join("damaged.db");
    fs::write(&path, bytes).unwrap();
    let Ok(ledger) = Ledger::read_only(&path) else { return false };
    let is_sound = ledger.verify(&mut |_, _| {}).is_ok_and(|report| report.is_sound());
    drop((ledger.letters(), ledger.arrivals(1_000), ledger.letter_counts(), ledger.undelivered(100)));
    for row in ledger.job_rows().unwrap_or_default() {
        let Some(key) = JobKey::of(&row.job, SITE) else { continue };
        drop(view_of(&ledger, &key));
    }
    is_sound
}
