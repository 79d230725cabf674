//! Agreed work: on which readings it was agreed, and what becomes of it when they change.

use super::*;
use benchdrop::pages::{job_text, plan_json};

const WHAT: &str = "work agreed on main journal";

/// The third main journal is worn; grinding to 0.010 under cleans it up.
fn worn_main(minute: u32, value: &str) -> Value {
    measured(minute, "as received", "MIC", journal("main journal", "3", [value; 4]))
}

fn engine() -> Vec<Value> {
    let fine: Vec<Value> =
        ["1", "2", "4", "5"].iter().flat_map(|p| journal("main journal", p, ["2.2488"; 4])).collect();
    with(&shop_with_engine(), &[measured(20, "as received", "MIC", fine), worn_main(21, "2.2470")])
}

fn agree(minute: u32, evidence: Option<&str>) -> Value {
    let mut agreed = json!({"unit": "in", "agreed-by": "Rowan Holt", "work": [
        {"operation": "grind", "feature": "main journal", "positions": ["all"], "finished": "0.010 under"}]});
    if let Some(code) = evidence {
        agreed["evidence"] = code.into();
    }
    drop_at("decision", minute, json!({"agreed-work": agreed}))
}

fn corrected(minute: u32, value: &str) -> Value {
    let mut again = worn_main(minute, value);
    again["body"]["corrects"] = json!({"drop": fact(&worn_main(21, "2.2470")).id.hex(), "why": "wrong zero"});
    again
}

fn decide(view: &JobView) -> Vec<String> {
    let blockers = view.standing.blockers.iter();
    blockers.filter(|b| b.rule == BlockerRule::Decided).map(|b| format!("{}: {}", b.about, b.what)).collect()
}

#[test]
fn agreed_work_on_each_of_the_four() {
    let plan = plan_json(&look(&engine()));
    let drop = &plan["alternatives"][0]["drops"]["agreed-work"]["agreed-work"];
    let quoted = drop["evidence"].as_str().unwrap();
    assert_eq!(drop["work"][0]["finished"], "0.010 under");
    // Worn so far past the others, it is asked about first.
    let worse = corrected(40, "2.2445");
    let worse = [worse.clone(), confirmed(41, &worse, "main journal")];
    for code in [Some(quoted), None] {
        let agreed = with(&engine(), &[agree(30, code)]);
        assert_eq!(evidence(&look(&agreed), WHAT), Evidence::Same);
        assert!(decide(&look(&agreed)).is_empty());
        // Read again, and the same size still cleans it up: it stands, and that is said.
        let same = look(&with(&agreed, &[corrected(40, "2.2472")]));
        assert_eq!(evidence(&same, WHAT), Evidence::OtherFacts);
        assert!(decide(&same).is_empty());
        // Read again, and it needs the next size: the agreement does not stand, and who agreed is named.
        let other = look(&with(&agreed, &worse));
        assert_eq!(evidence(&other, WHAT), Evidence::Other);
        let blockers = decide(&other);
        assert!(
            blockers[0].contains("was agreed by Rowan Holt") && blockers[0].contains("on other evidence"),
            "{blockers:?}"
        );
        // Nothing was worn after all: nobody grinds an engine for a wrong zero.
        assert_eq!(evidence(&look(&with(&agreed, &[corrected(40, "2.2489")])), WHAT), Evidence::Other);
    }
    let rejudged = rejudged(quoted);
    assert_eq!(
        evidence(&look(&with(&engine(), &[agree(30, Some(&rejudged))])), WHAT),
        Evidence::OtherOutcome
    );
}

/// The page does not go on saying that work is agreed when a late reading has opened it again: it says so, and why.
#[test]
fn the_page_says_that_work_is_open_again() {
    let agreed = with(&engine(), &[agree(30, None)]);
    let page = |drops: &[Value]| {
        let text = job_text(&look(drops), false);
        text.lines().find(|line| line.trim_start().starts_with("grind: 0.010 under")).unwrap().to_owned()
    };
    assert!(page(&agreed).contains("state: agreed by Rowan Holt;"), "{}", page(&agreed));
    let late = corrected(40, "2.2489");
    let line = page(&with(&agreed, std::slice::from_ref(&late)));
    let drop = fact(&late).id.short();
    for words in ["open again: was agreed by Rowan Holt", "main journal 3 read by LM", &drop] {
        assert!(line.contains(words), "{words}: {line}");
    }
    assert!(!line.contains("state: agreed by"), "{line}");
    // Nor do the board and the letters take it for decided.
    let again = corrected(40, "2.2445");
    let decided = |drops: &[Value]| -> Vec<bool> {
        let row = benchdrop::pages::BoardRow::of(&look(drops), 0);
        row.beyond.iter().filter(|b| b.line.starts_with("main journal 3, size")).map(|b| b.decided).collect()
    };
    assert_eq!(decided(&agreed), [true]);
    assert_eq!(decided(&with(&agreed, &[again.clone(), confirmed(41, &again, "main journal")])), [false]);
}

/// Work that was done, and readings after it, are not what the agreement was made on.
#[test]
fn the_work_itself_changes_no_agreement() {
    let ground = drop_at(
        "operation",
        50,
        json!({"operation": "grind", "unit": "in", "finished": "0.010 under",
        "places": [{"feature": "main journal", "positions": ["all"]}]}),
    );
    let again: Vec<Value> =
        ["1", "2", "3", "4", "5"].iter().flat_map(|p| journal("main journal", p, ["2.2393"; 4])).collect();
    let done = with(&engine(), &[agree(30, None), ground, measured(55, "after work", "MIC", again)]);
    assert_eq!(evidence(&look(&done), WHAT), Evidence::Same);
    // A file of the first readings that comes late changes it even then.
    assert_eq!(evidence(&look(&with(&done, &[corrected(40, "2.2445")])), WHAT), Evidence::Other);
}

/// A score found after the agreement asks for more metal.
#[test]
fn a_score_found_late_reopens_it() {
    let score = |depth: &str| {
        drop_at(
            "finding",
            40,
            json!({"findings": [{"part": "crankshaft", "defect": "scoring",
        "severity": 3, "score": {"feature": "main journal", "position": "1", "station": "front", "unit": "in", "depth": depth}}]}),
        )
    };
    let agreed = with(&engine(), &[agree(30, None)]);
    assert_eq!(evidence(&look(&with(&agreed, &[score("0.0005")])), WHAT), Evidence::OtherFacts);
    assert_eq!(evidence(&look(&with(&agreed, &[score("0.006")])), WHAT), Evidence::Other);
}

/// A later word on one of its surfaces leaves what was agreed on the others.
#[test]
fn a_named_exception_leaves_the_rest_agreed() {
    let plan = plan_json(&look(&engine()));
    let quoted = plan["alternatives"][0]["drops"]["agreed-work"]["agreed-work"]["evidence"].as_str().unwrap();
    let exception = json!({"agreed-work": {"unit": "in", "agreed-by": "Lin Marr", "work": [
        {"operation": "grind", "feature": "main journal", "positions": ["1"], "finished": "0.020 under"}]}});
    for code in [Some(quoted), None] {
        let view = look(&with(&engine(), &[agree(30, code), drop_at("decision", 35, exception.clone())]));
        let by_owner = view.standing.statements.iter().find(|now| now.by == "Rowan Holt").unwrap();
        assert_eq!(by_owner.checked.as_ref().unwrap().evidence, Evidence::Same);
        assert!(decide(&view).is_empty());
    }
}

/// Who agreed to one thing is not named at another.
#[test]
fn only_its_own_blockers_name_who_agreed() {
    let worn_pin = measured(22, "as received", "MIC", journal("crankpin", "2", ["1.9975"; 4]));
    let drops = with(&engine(), &[worn_pin, agree(30, None), corrected(40, "2.2489")]);
    let blockers = decide(&look(&drops));
    assert!(blockers.iter().any(|words| words.starts_with("crankpin 2")), "{blockers:?}");
    assert!(blockers.iter().all(|words| !words.contains("was agreed by")), "{blockers:?}");
}
