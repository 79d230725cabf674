//! What the daily page says on which day, by rows made by hand.

use super::*;
use crate::facts::Day;
use crate::pages::{RowBeyond, RowLying, RowNeed, RowOrder, RowProblem, RowSigned, Wait};
use jiff::civil::date;
use std::sync::Arc;

/// 2026-03-04 in Berlin; the summary looks back on the 3rd.
fn on_the_fourth() -> Due {
    Due { from: date(2026, 3, 4), date: date(2026, 3, 4) }
}

fn berlin() -> TimeZone {
    TimeZone::get("Europe/Berlin").expect("bundled")
}

fn at(text: &str) -> i64 {
    text.parse::<Timestamp>().expect("time").as_millisecond()
}

fn row(job: &str) -> BoardRow {
    BoardRow {
        written: job.to_owned(),
        customer: "Ferrowmere Mill".to_owned(),
        stage: "inspection".to_owned(),
        ..BoardRow::default()
    }
}

fn page(rows: Vec<BoardRow>) -> String {
    let rows = rows.into_iter().map(Arc::new).collect();
    summary_text(&SummaryInput { rows, ..SummaryInput::default() }, &on_the_fourth(), &berlin())
}

/// A day is the shop's day: 23:30 UTC on the 3rd is the 4th in Berlin, and is told on the 5th.
#[test]
fn finished_is_told_once_by_the_local_date() {
    let signed = |when: &str| {
        let mut row = row("24-1");
        row.signed = vec![RowSigned { step: "inspection".into(), name: "Rowan Holt".into(), at: at(when) }];
        page(vec![row])
    };
    for (when, told) in [
        ("2026-03-02T22:30:00Z", false),
        ("2026-03-02T23:30:00Z", true),
        ("2026-03-03T22:30:00Z", true),
        ("2026-03-03T23:30:00Z", false),
    ] {
        assert_eq!(signed(when).contains("inspection signed by Rowan Holt"), told, "{when}");
    }
}

/// An engine that is handed over while something is open is not finished, whoever signs.
#[test]
fn a_hand_over_over_open_work_is_not_finished() {
    let signed = |released: bool| {
        let mut row = row("24-1");
        row.signed = vec![RowSigned {
            step: "delivered".into(),
            name: "Rowan Holt".into(),
            at: at("2026-03-03T12:00:00Z"),
        }];
        (row.released, row.waits_in_all) = (released, if released { 0 } else { 2 });
        page(vec![row])
    };
    assert!(
        signed(false).contains("delivered signed by Rowan Holt, AND NOT FINISHED: 2 things are open"),
        "{}",
        signed(false)
    );
    assert!(!signed(true).contains("NOT FINISHED"));
}

#[test]
fn late_is_late_the_day_after() {
    let with = |due: Date| {
        let mut row = row("24-1");
        row.orders = vec![RowOrder {
            number: "W-1".into(),
            to: "Stenning".into(),
            operation: "grind".into(),
            sent: at("2026-02-20T12:00:00Z"),
            due: Day(due),
            rest: String::new(),
            held: Vec::new(),
        }];
        page(vec![row])
    };
    assert!(
        with(date(2026, 3, 2))
            .contains("order W-1 with Stenning (grind): due 2026-03-02, 2 days late, out for 12 days")
    );
    assert!(!with(date(2026, 3, 4)).contains("LATE OUTSIDE WORK"), "due today is not late");
}

/// Of what is back in part the rest is chased, late or not; what is held is not with anybody.
#[test]
fn what_is_partly_back_or_held_is_said() {
    let with = |due: Date, rest: &str, held: &[&str]| {
        let mut row = row("24-1");
        row.orders = vec![RowOrder {
            number: "W-31".into(),
            to: "Stenning".into(),
            operation: "line hone".into(),
            sent: at("2026-02-20T12:00:00Z"),
            due: Day(due),
            rest: rest.into(),
            held: held.iter().map(|why| (*why).to_owned()).collect(),
        }];
        page(vec![row])
    };
    let late = with(date(2026, 2, 28), "3 of 5 main cap", &[]);
    assert!(late.contains("(line hone): 3 of 5 main cap still out, due 2026-02-28, 4 days late"), "{late}");
    let early = with(date(2026, 3, 9), "3 of 5 main cap", &[]);
    assert!(early.contains("PARTLY BACK") && early.contains("3 of 5 main cap still out, due 2026-03-09"));
    let held = with(date(2026, 2, 28), "", &["no answer to the estimate", "block: crack test it"]);
    assert!(held.contains("HELD WORK ORDERS") && !held.contains("LATE OUTSIDE WORK"), "{held}");
    let why = "wanted by 2026-02-28, late: nothing of it may be cut yet\n  because no answer to the estimate\n  because block: crack test it";
    assert!(held.contains(why), "{held}");
}

#[test]
fn what_to_order_is_summed_by_size_over_engines() {
    let needing = |job: &str, count: u32, size: &str, approved: bool| {
        let mut row = row(job);
        let need =
            RowNeed { item: "piston".into(), size: size.into(), count, known: "available".into(), approved };
        row.needs = vec![need];
        row
    };
    let page_of = page;
    let page = page_of(vec![
        needing("24-1", 4, "0.030 over", true),
        needing("24-2", 3, "0.030 over", false),
        needing("24-3", 4, "0.020 over", true),
    ]);
    let thirty =
        "7 piston 0.030 over: 4 for 24-1 (available); 3 for 24-2 (available, not before money is approved)";
    assert!(page.contains(thirty), "{page}");
    assert!(page.contains("4 piston 0.020 over: 4 for 24-3 (available)"), "{page}");
    let alike = page_of(vec![needing("24-1", 4, "0.030 over", true), needing("24-3", 4, "0.020 over", true)]);
    assert!(
        alike.contains("By item and size; of all: available\n  4 piston 0.020 over: 4 for 24-3\n"),
        "{alike}"
    );
}

#[test]
fn a_decision_says_what_waits_for_it() {
    let mut row = row("24-1");
    row.waits =
        vec![Wait { actor: "owner".into(), about: "bore 2".into(), what: "decide what is done".into() }];
    (row.owner, row.waits_in_all, row.promised) = (1, 1, Some("2026-03-10".into()));
    let page = page(vec![row]);
    assert!(page.contains("bore 2: decide what is done\n  Until then it stays at inspection; promised 2026-03-10, in 6 days."), "{page}");
}

#[test]
fn problems_stand_by_age_and_old_verdicts_are_counted() {
    let (mut young, mut old) = (row("24-1"), row("24-2"));
    let problem = |what: &str, when: &str| RowProblem {
        about: "block".into(),
        what: what.into(),
        at: at(when),
        tries: vec![],
        waits_on: String::new(),
    };
    young.problems = vec![problem("broken stud", "2026-03-03T12:00:00Z")];
    old.problems = vec![problem("seized plug", "2026-02-01T12:00:00Z")];
    old.problems[0].tries = vec!["heat (LM, 2026-02-02 09:00)".into()];
    old.problems[0].waits_on = "a bigger wrench".into();
    let beyond =
        |line: &str, when: &str, decided: bool| RowBeyond { line: line.into(), at: at(when), decided };
    young.beyond = vec![
        beyond("bore 1 too large", "2026-03-03T12:00:00Z", false),
        beyond("bore 2 too large", "2026-02-03T12:00:00Z", false),
        beyond("bore 3 too large", "2026-02-03T12:00:00Z", true),
    ];
    let page = page(vec![young, old]);
    let place = |words: &str| page.find(words).unwrap_or_else(|| panic!("{words:?} is missing from {page}"));
    assert!(
        place(
            "24-2, block: seized plug\n  open for 31 days, waits on a bigger wrench\n  tried: heat (LM, 2026-02-02 09:00)"
        ) < place("24-1, block: broken stud\n  open for 1 day")
    );
    assert!(
        page.contains(
            "bore 1 too large\n  bore 2 too large; not decided for 29 days\n  1 from before, decided"
        ),
        "{page}"
    );
    assert!(!page.contains("bore 3 too large"));
}

/// Asked once the hours of the house are over, and a day on which they run out is no quiet day.
#[test]
fn what_lies_too_long_is_asked_about() {
    let lying = |bath: &str, when: &str, hours: u32| RowLying {
        about: "piston 2".into(),
        bath: bath.into(),
        at: at(when),
        hours,
    };
    let said = |lying: RowLying| {
        let mut row = row("24-1");
        row.lying = vec![lying];
        let days = on_the_fourth();
        let input = SummaryInput { rows: vec![Arc::new(row.clone())], ..SummaryInput::default() };
        let turned = section::something_turned(&input, &Days { due: &days, zone: &berlin() });
        (page(vec![row]).contains("piston 2"), turned)
    };
    assert_eq!(said(lying("hot tank", "2026-03-03T12:00:00Z", 24)), (false, false), "since yesterday noon");
    assert_eq!(
        said(lying("hot tank", "2026-03-02T12:00:00Z", 24)),
        (true, true),
        "over since yesterday noon"
    );
    assert_eq!(
        said(lying("hot tank", "2026-03-02T12:00:00Z", 72)),
        (false, false),
        "the house allows three days"
    );
    assert_eq!(said(lying("", "2026-02-10T12:00:00Z", 24)), (true, false), "asked every day, and news once");
    let mut row = row("24-1");
    row.lying = vec![lying("hot tank", "2026-02-28T12:00:00Z", 24), lying("", "2026-02-27T12:00:00Z", 24)];
    let page = page(vec![row]);
    for words in [
        "piston 2: in hot tank for 4 days; take it out",
        "piston 2: off, and nobody has said for 5 days where it lies",
    ] {
        assert!(page.contains(words), "{words:?} is missing from {page}");
    }
}

#[test]
fn gauges_name_the_engines_that_rest_on_them() {
    let mut used = row("24-1");
    used.gauges = vec!["MIC-23".into()];
    let gauge = |mark: &str, due: Option<Date>, bad: Option<(String, String)>| GaugeNow {
        mark: mark.into(),
        instrument: "micrometer".into(),
        set_by: None,
        due: due.map(Day),
        bad,
    };
    let input = SummaryInput {
        rows: vec![Arc::new(used)],
        gauges: vec![
            gauge("MIC-23", Some(date(2026, 3, 1)), None),
            gauge("MIC-12", Some(date(2026, 4, 1)), None),
            gauge("BORE-1", None, Some(("2026-02-28T08:00:00+01:00".into(), "dropped".into()))),
        ],
        ..SummaryInput::default()
    };
    let page = summary_text(&input, &on_the_fourth(), &berlin());
    assert!(
        page.contains("MIC-23, micrometer: calibration was due 2026-03-01\n  readings that rest on it: 24-1"),
        "{page}"
    );
    assert!(page.contains("BORE-1, micrometer: bad since 2026-02-28T08:00:00+01:00: dropped\n  readings that rest on it: no reading"), "{page}");
    assert!(!page.contains("MIC-12"), "due in four weeks");
}

/// A day on which nothing is dropped but something falls due is no quiet day.
#[test]
fn a_quiet_day_is_one_line_unless_a_day_has_passed() {
    let said = |due: Date| {
        let mut row = row("24-1");
        row.orders = vec![RowOrder {
            number: "W-1".into(),
            to: "Stenning".into(),
            operation: "grind".into(),
            sent: at("2026-02-20T12:00:00Z"),
            due: Day(due),
            rest: String::new(),
            held: Vec::new(),
        }];
        let input = SummaryInput { rows: vec![Arc::new(row)], ..SummaryInput::default() };
        let days = on_the_fourth();
        section::something_turned(&input, &Days { due: &days, zone: &berlin() })
    };
    assert!(said(date(2026, 3, 3)), "late since today");
    assert!(
        !said(date(2026, 3, 2)) && !said(date(2026, 3, 4)),
        "late since yesterday was told, today is not late"
    );
}
