//! Findings, problems and where the parts are: what is usual is only said, problems carry what was tried, and what lies in a
//! bath or nowhere is asked about. What is usual is written here from section C2 of the trade notes. Guards promises 6 and 9.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test that cannot go on should panic")]

#[path = "findings/decided.rs"]
mod decided;
mod support;

use benchdrop::facts::{Defect, Digest, DispositionWord};
use benchdrop::pages::{BoardRow, JobView, bench_form, job_json, job_page, job_text};
use benchdrop::shop::{FactSet, HeldWhy, Shop};
use benchdrop::stages::{BlockerRule, usual};
use serde_json::{Value, json};
use support::{JOB, OV24, SITE, drop_at, fact, house_rules};

fn check_in() -> Value {
    drop_at(
        "check-in",
        1,
        json!({"sheet": "OV-24", "customer": {"name": "Ferrowmere Mill"}, "engine": {"serial": "OV24-00317"},
            "scope": ["complete"]}),
    )
}

fn sets(drops: &[Value]) -> (FactSet, Shop) {
    let (mut shop, mut job) = (FactSet::default(), FactSet::default());
    let sheet: Value = serde_json::from_str(OV24).unwrap();
    for drop in [sheet, house_rules(0), check_in()].iter().chain(drops) {
        let fact = fact(drop);
        if fact.job.is_some() {
            job.insert(fact)
        } else {
            shop.insert(fact)
        };
    }
    (job, Shop::fold(&shop))
}

fn seen(drops: &[Value]) -> JobView {
    let (job, shop) = sets(drops);
    benchdrop::respond::view(&benchdrop::facts::JobKey::of(JOB, SITE).unwrap(), &job, &shop)
}

/// Part, defect, and the disposition a rebuilder would write without thinking long (trade notes C2 and its list of what is
/// always replaced).
const C2: &[(&str, Defect, DispositionWord)] = &[
    ("block", Defect::Crack, DispositionWord::HoldForOwner),
    ("block", Defect::Scoring, DispositionWord::Machine),
    ("block", Defect::DamagedThread, DispositionWord::Repair),
    ("block", Defect::Blocked, DispositionWord::Clean),
    ("main cap", Defect::Fretting, DispositionWord::Machine),
    ("crankshaft", Defect::Scoring, DispositionWord::Machine),
    ("crankshaft", Defect::Crack, DispositionWord::Replace),
    ("crankshaft", Defect::Bent, DispositionWord::Repair),
    ("crankshaft", Defect::MaterialState, DispositionWord::Repair),
    ("main shell", Defect::Scoring, DispositionWord::Replace),
    ("main shell", Defect::NothingFound, DispositionWord::Replace),
    ("thrust bearing", Defect::Worn, DispositionWord::Replace),
    ("rod", Defect::Burning, DispositionWord::Replace),
    ("rod", Defect::Worn, DispositionWord::Machine),
    ("piston", Defect::Crack, DispositionWord::ReplaceAsSet),
    ("piston", Defect::Galling, DispositionWord::ReplaceAsSet),
    ("piston pin", Defect::Worn, DispositionWord::Replace),
    ("pin clip", Defect::NothingFound, DispositionWord::Replace),
    ("ring set", Defect::NothingFound, DispositionWord::ReplaceAsSet),
    ("camshaft", Defect::Pitting, DispositionWord::Replace),
    ("lifter", Defect::Worn, DispositionWord::ReplaceAsSet),
    ("lifter", Defect::NothingFound, DispositionWord::ReuseSamePosition),
    ("pushrod", Defect::Bent, DispositionWord::Replace),
    ("pushrod", Defect::Blocked, DispositionWord::Clean),
    ("rocker", Defect::Worn, DispositionWord::Repair),
    ("head", Defect::Bent, DispositionWord::Machine),
    ("head", Defect::Loose, DispositionWord::Repair),
    ("exhaust valve", Defect::Burning, DispositionWord::Replace),
    ("exhaust valve", Defect::Bent, DispositionWord::Replace),
    ("exhaust valve", Defect::Pitting, DispositionWord::Machine),
    ("valve spring", Defect::Corrosion, DispositionWord::Replace),
    ("valve stem seal", Defect::NothingFound, DispositionWord::Replace),
    ("timing chain", Defect::Worn, DispositionWord::ReplaceAsSet),
    ("oil pump", Defect::Scoring, DispositionWord::Replace),
    ("oil pickup", Defect::Blocked, DispositionWord::Replace),
    ("oil pan", Defect::Bent, DispositionWord::Repair),
    ("intake manifold", Defect::Erosion, DispositionWord::Machine),
    ("damper", Defect::Loose, DispositionWord::Replace),
    // What sits on a shaft is not the shaft.
    ("crank sprocket", Defect::Worn, DispositionWord::ReplaceAsSet),
    ("crankshaft sprocket", Defect::Worn, DispositionWord::ReplaceAsSet),
    ("camshaft sprocket", Defect::Worn, DispositionWord::ReplaceAsSet),
    ("crank pulley", Defect::Bent, DispositionWord::Replace),
    ("front crank seal", Defect::NothingFound, DispositionWord::Replace),
    ("crankcase", Defect::Crack, DispositionWord::HoldForOwner),
    ("crank", Defect::Scoring, DispositionWord::Machine),
    ("flywheel", Defect::Burning, DispositionWord::Machine),
    ("flywheel", Defect::Crack, DispositionWord::Replace),
    ("core plug", Defect::Corrosion, DispositionWord::Replace),
    ("head gasket", Defect::NothingFound, DispositionWord::Replace),
    ("starter", Defect::Missing, DispositionWord::OpenProblem),
    ("rocker stand", Defect::Seized, DispositionWord::OpenProblem),
];

#[test]
fn what_is_usual_is_what_a_rebuilder_would_say() {
    for (part, defect, what) in C2 {
        let found = usual(part)(*defect).map(|usual| usual.what);
        assert_eq!(found, Some(*what), "{part}, {}", defect.word());
    }
    assert_eq!(usual("starter")(Defect::Worn), None, "it hangs on how worn");
    let (starter, stand) = (usual("starter ring")(Defect::Worn), usual("piston ring")(Defect::Worn));
    assert_eq!(starter.unwrap().what, DispositionWord::Repair, "no piston ring");
    assert_eq!(stand.unwrap().what, DispositionWord::ReplaceAsSet);
}

fn scored_piston() -> Value {
    drop_at(
        "finding",
        20,
        json!({"findings": [{"part": "piston", "positions": ["2"], "defect": "galling", "severity": 4}]}),
    )
}

/// It is said beside the finding and on the form, and lifts nothing.
#[test]
fn what_is_usual_decides_nothing() {
    let view = seen(&[scored_piston()]);
    let text = job_text(&view, true);
    assert!(text.contains("usual here: replace as a set (with the bore; weigh them)"), "{text}");
    let finding = &job_json(&view)["findings"][0];
    assert_eq!(finding["usual"]["what"], "replace as a set");
    assert_eq!(finding["suggested"], Value::Null, "nobody suggested it");
    let open = |view: &JobView| {
        let mut all = view.standing.blockers.iter();
        all.any(|b| b.rule == BlockerRule::Disposed && b.about == "piston 2")
    };
    assert!(open(&view), "somebody has to say what becomes of it");
    let word = drop_at(
        "decision",
        30,
        json!({"disposition": {"part": "piston", "positions": ["2"],
        "what": "replace", "why": "galled", "by": "Rowan Holt"}}),
    );
    let decided = seen(&[scored_piston(), word]);
    assert!(!open(&decided));
    assert!(!job_text(&decided, true).contains("usual here"), "a person has said it");
    let (job, shop) = sets(&[scored_piston()]);
    let form = bench_form(&view, &job, &shop, SITE);
    assert!(form.contains("data-usual=\"part defect\""));
    let tables = form.split("id=\"knows\" type=\"application/json\">").nth(1).unwrap();
    let tables: Value = serde_json::from_str(tables.split("</script>").next().unwrap()).unwrap();
    let row = usize::try_from(tables["usual-row"]["piston"].as_u64().unwrap()).unwrap();
    assert_eq!(tables["usual"][row]["galling"][0], "replace as a set");
}

fn stud() -> Value {
    drop_at(
        "finding",
        20,
        json!({"findings": [{"part": "head", "defect": "break", "severity": 3,
        "problem": "exhaust stud 3 broken flush", "waits-on": "left-hand drill"}]}),
    )
}

fn id(drop: &Value) -> Digest {
    fact(drop).id
}

fn tried(minute: u32, what: &str, waits: Option<&str>) -> Value {
    let mut one = json!({"drop": id(&stud()).hex(), "item": 1, "what": what});
    if let Some(waits) = waits {
        one["waits-on"] = waits.into();
    }
    drop_at("finding", minute, json!({"tries": [one]}))
}

#[test]
fn a_problem_carries_what_was_tried_and_what_it_waits_on() {
    let drops = [
        stud(),
        tried(40, "heat, did not move", Some("Stenning Engine Works")),
        tried(60, "nut welded on, broke off", None),
    ];
    let view = seen(&drops);
    let problem = &view.job.problems[0];
    let whats: Vec<&str> = problem.tries.iter().map(|tried| tried.what.as_str()).collect();
    assert_eq!(whats, ["heat, did not move", "nut welded on, broke off"]);
    assert_eq!(problem.tries[0].said.who, "LM");
    assert_eq!(problem.waits_on, None, "the last word says that it waits on nothing");
    assert!(problem.closed.is_none(), "a try closes nothing");
    let first = seen(&drops[..2]);
    assert_eq!(first.job.problems[0].waits_on.as_deref(), Some("Stenning Engine Works"));
    assert_eq!(seen(&drops[..1]).job.problems[0].waits_on.as_deref(), Some("left-hand drill"));
    let page = job_page(&first);
    assert!(page.contains("heat, did not move (") && page.contains("Stenning Engine Works"), "{page}");
    let json = &job_json(&first)["problems"][0];
    assert_eq!(json["tries"][0]["what"], "heat, did not move");
    assert_eq!(json["tries"][0]["said"]["who"], "LM");
    assert_eq!(json["waits-on"], "Stenning Engine Works");
    let row = BoardRow::of(&first, 0);
    assert_eq!(row.problems[0].waits_on, "Stenning Engine Works");
    assert!(row.problems[0].tries[0].starts_with("heat, did not move (LM"), "{:?}", row.problems[0].tries);
    let blocked =
        |view: &JobView| view.standing.blockers.iter().filter(|b| b.rule == BlockerRule::Problems).count();
    assert_eq!(blocked(&view), 1);
    let close = drop_at(
        "finding",
        80,
        json!({"closes": {"drop": id(&stud()).hex(), "item": 1,
        "how": "drilled out, thread insert"}}),
    );
    let closed = seen(&[drops.as_slice(), &[close]].concat());
    assert_eq!(blocked(&closed), 0);
    let (by, how) = closed.job.problems[0].closed.as_ref().unwrap();
    assert_eq!((by.who.as_str(), how.as_str()), ("LM", "drilled out, thread insert"));
    assert_eq!(closed.job.problems[0].tries.len(), 2, "what was tried stays said");
}

/// The order of arrival is nobody's business: a try that came first waits for its problem.
#[test]
fn a_try_waits_for_its_problem() {
    let alone = seen(&[tried(40, "heat", None)]);
    let held = alone.job.held.iter().find(|held| held.kind == "finding").unwrap();
    assert!(matches!(held.why, HeldWhy::NamesNothing(_)), "{:?}", held.why);
    assert_eq!(held.part, "try 1");
    let other = seen(&[scored_piston(), {
        let mut one = tried(40, "heat", None);
        one["body"]["tries"][0]["drop"] = id(&scored_piston()).hex().into();
        one
    }]);
    assert!(
        other.job.held.iter().any(|held| matches!(held.why, HeldWhy::NoSuchProblem(_))),
        "{:?}",
        other.job.held
    );
    let both = seen(&[tried(40, "heat", None), stud()]);
    assert_eq!(both.job.held.len(), 0, "{:?}", both.job.held);
    assert_eq!(both.job.problems[0].tries.len(), 1);
}

fn part(minute: u32, event: &str, place: &str) -> Value {
    let mut body = json!({"part": "piston", "positions": ["2"], "event": event});
    if !place.is_empty() {
        body["where"] = place.into();
    }
    if event == "cleaned" {
        body["method"] = "spray cabinet".into();
    }
    drop_at("part", minute, body)
}

/// What is asked of the bench about piston 2: its bath, or nothing where nobody knows its place.
fn asked(drops: &[Value]) -> Vec<(String, String)> {
    let row = BoardRow::of(&seen(drops), 0);
    row.lying.into_iter().map(|lying| (lying.about, lying.bath)).collect()
}

#[test]
fn where_a_part_lies_is_asked_and_never_refused() {
    let nowhere = vec![("piston 2".to_owned(), String::new())];
    assert_eq!(asked(&[part(10, "off", "")]), nowhere);
    assert_eq!(asked(&[part(10, "off", "tray 2")]), []);
    assert_eq!(asked(&[part(10, "off", ""), part(11, "moved", "tray 2")]), []);
    assert_eq!(asked(&[part(10, "off", ""), part(11, "cleaned", "")]), nowhere);
    assert_eq!(asked(&[part(10, "off", ""), part(11, "scrapped", "")]), []);
    assert_eq!(asked(&[part(10, "off", ""), part(11, "fitted", "")]), []);
    let bath = vec![("piston 2".to_owned(), "solvent bath".to_owned())];
    let into = || part(12, "into bath", "solvent bath");
    assert_eq!(asked(&[part(10, "off", "tray 2"), into()]), bath);
    assert_eq!(asked(&[part(10, "off", "tray 2"), into(), part(13, "out of bath", "rack A")]), []);
    let out = [part(10, "off", "tray 2"), into(), part(13, "out of bath", "")];
    assert_eq!(asked(&out), nowhere, "it went into the bath from the tray, and nobody says it is back there");
    assert_eq!(asked(&[part(10, "off", "tray 2"), into(), part(13, "moved", "rack A")]), []);
    let view = seen(&[part(10, "off", "")]);
    assert!(view.job.held.is_empty(), "asked, not refused");
    let page = job_page(&view);
    assert!(page.contains("Where is it?") && page.contains("say where it lies"), "{page}");
    assert!(job_json(&view)["parts"].as_array().unwrap().iter().any(|part| !part["unplaced"].is_null()));
}

/// Hot caustic dissolves aluminium (trade notes G): that is not asked about after a day.
#[test]
fn what_dissolves_is_taken_out_at_once() {
    for (bath, at_once) in [("hot caustic tank", true), ("solvent bath", false)] {
        let view = seen(&[part(10, "off", "tray 2"), part(12, "into bath", bath)]);
        assert_eq!(job_page(&view).contains("TAKE IT OUT AT ONCE"), at_once, "{bath}");
        let cleaned = view.standing.blockers.iter().filter(|b| b.rule == BlockerRule::Cleaned);
        assert_eq!(cleaned.filter(|b| b.what.contains("TAKE IT OUT AT ONCE")).count(), usize::from(at_once));
    }
}

/// The limits are house rules; 24 hours where they do not say.
#[test]
fn how_long_is_a_house_rule() {
    let hours = |rules: &[(&str, u32)]| {
        let mut drops = vec![part(10, "off", ""), {
            let mut other = part(11, "into bath", "hot tank");
            other["body"]["positions"] = json!(["3"]);
            other
        }];
        if !rules.is_empty() {
            let mut own = house_rules(0);
            own["body"]["revision"] = 2.into();
            for (key, hours) in rules {
                own["body"][*key] = (*hours).into();
            }
            drops.push(own);
        }
        let row = BoardRow::of(&seen(&drops), 0);
        row.lying.iter().map(|lying| (lying.bath.clone(), lying.hours)).collect::<Vec<_>>()
    };
    assert_eq!(hours(&[]), [(String::new(), 24), ("hot tank".to_owned(), 24)]);
    assert_eq!(
        hours(&[("bath-hours", 6), ("unplaced-hours", 48)]),
        [(String::new(), 48), ("hot tank".to_owned(), 6)]
    );
}
