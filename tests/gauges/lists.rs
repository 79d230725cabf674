//! "A bad gauge lists every verdict that rests on it": job page, record, page of the gauges, summary, letter.

use super::*;
use benchdrop::facts::Role;
use benchdrop::notices::{Letter, Told, standing_alerts};
use benchdrop::pages::{
    BoardRow, Gauges, gauges as gauges_page, gauges_json, gauges_text, job_page, job_text,
};
use benchdrop::respond::respond;
use jiff::Timestamp;
use std::sync::Arc;

const SINCE: &str = "2026-03-02T08:00:00Z";

fn now() -> Timestamp {
    "2026-03-06T12:00:00Z".parse().unwrap()
}

fn listed(drops: &[Value]) -> Gauges {
    let (_, shop) = sets(drops);
    let row = BoardRow::of(&look(drops), 0);
    Gauges {
        gauges: shop.gauges(),
        studies: shop.studies(),
        rows: vec![Arc::new(row)],
        today: now().strftime("%Y-%m-%d").to_string().parse().unwrap(),
    }
}

#[test]
fn every_engine_reading_and_verdict() {
    let drops = with(&read(), &[bad("MIC", SINCE)]);
    let all = gauges_json(&listed(&drops));
    let mic = all["gauges"].as_array().unwrap().iter().find(|gauge| gauge["gauge"] == "MIC").unwrap();
    assert_eq!((&mic["bad"], &mic["overdue"]), (&json!(SINCE), &json!(false)));
    let doubts = mic["in-doubt"].as_array().unwrap();
    assert_eq!(doubts.len(), 1);
    let drop = fact(&journal_3("MIC")).id.short();
    let read = format!(
        "main journal 3, as received: front X 2.2488 in, front Y 2.2487 in, rear X 2.2488 in, rear Y 2.2487 in (drop {drop})"
    );
    assert_eq!((&doubts[0]["job"], &doubts[0]["readings"]), (&json!("MAIN/24-17"), &json!([read])));
    // Every verdict that programs see to rest on that drop, and no other.
    let view = look(&drops);
    let rests: Vec<String> = job_json(&view)["verdicts"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|v| {
            v["readings"]
                .as_array()
                .is_some_and(|r| r.iter().any(|r| r["drop"] == fact(&journal_3("MIC")).id.hex()))
        })
        .map(|v| format!("{} {}", v["name"].as_str().unwrap(), v["characteristic"].as_str().unwrap()))
        .collect();
    assert!(rests.len() >= 3, "{rests:?}");
    let verdicts: Vec<&str> =
        doubts[0]["verdicts"].as_array().unwrap().iter().map(|v| v.as_str().unwrap()).collect();
    assert_eq!(verdicts.len(), rests.len(), "{verdicts:?}\n{rests:?}");
    for text in
        [gauges_text(&listed(&drops)), gauges_page(&listed(&drops)), job_page(&view), job_text(&view, true)]
    {
        assert!(text.contains("found bad since 2026-03-02 08:00: dropped"), "{text}");
        assert!(text.contains("front X 2.2488 in"), "{text}");
    }
    let row = json!(BoardRow::of(&view, 0));
    assert_eq!(row["doubts"][0]["flag"], "found-bad");
    // None of that without the bad gauge.
    assert!(gauges_json(&listed(&super::read()))["gauges"][2]["in-doubt"].as_array().unwrap().is_empty());
    assert!(!job_page(&look(&super::read())).contains("Gauges in doubt"));
}

/// Digits that are asked about are as current as any reading: no verdict rests on them now, but they are no history. What is
/// read of a set that is not whole has its verdicts already.
#[test]
fn what_waits_is_listed_and_is_no_history() {
    let mut three = journal("main journal", "2", ["2.2489", "2.2488", "2.2488", "2.2488"]);
    three.pop();
    let waits = measured(21, "as received", "MIC", three);
    let asked = measured(22, "as received", "MIC", journal("main journal", "4", ["2.4288"; 4]));
    let drops = with(&read(), &[waits, asked, bad("MIC", SINCE)]);
    let text = gauges_text(&listed(&drops));
    for (name, idle) in [("3", ""), ("2", ""), ("4", " (no verdict rests on it now)")] {
        let words = format!("main journal {name}, as received{idle}: front X");
        assert!(text.contains(&words), "{words} is not in {text}");
    }
}

#[test]
fn overdue_is_on_the_list_as_well() {
    let drops = with(&read(), &[calibrated("MIC", "2025-03-01T10:00:00Z", "2026-03-01", None)]);
    let all = gauges_json(&listed(&drops));
    let mic = all["gauges"].as_array().unwrap().iter().find(|gauge| gauge["gauge"] == "MIC").unwrap();
    assert_eq!(
        (&mic["overdue"], &mic["in-doubt"][0]["why"]),
        (&json!(true), &json!("calibration was due 2026-03-01"))
    );
}

/// The owner's shop with an owner and a bench person who can be reached.
fn people() -> Value {
    shop_drop(
        "people",
        0,
        json!({"revision": 1, "people": [
        {"name": "Rowan Holt", "initials": "RH", "roles": ["owner"], "mail": "owner@shop.example"},
        {"name": "Lin Marr", "initials": "LM", "roles": ["bench"], "mail": "bench@shop.example"}]}),
    )
}

#[test]
fn a_letter_once_and_cleared_when_mended() {
    let mut drops = with(&read(), &[people()]);
    let (mut told, mut now) = (Told::default(), now());
    let mut letters = |drops: &[Value]| -> Vec<Letter> {
        let (job, shop) = sets(drops);
        now = Timestamp::from_second(now.as_second() + 3600).unwrap();
        let response = respond(&JobKey::of(JOB, SITE).unwrap(), job, &told, &shop, [], now);
        told = response.told;
        response.letters
    };
    assert!(letters(&drops).is_empty());
    drops.push(bad("MIC", SINCE));
    let found = letters(&drops);
    assert_eq!(found.len(), 1);
    let text = found[0].text();
    assert!(text.contains("GAUGE FOUND BAD") && text.contains("read with it: main journal 3"), "{text}");
    assert!(text.contains("MIC: found bad since 2026-03-02 08:00: dropped"), "{text}");
    assert!(letters(&drops).is_empty(), "told once");
    drops.push(calibrated("MIC", "2026-03-09T10:00:00Z", "2027-03-09", Some("good")));
    let cleared = letters(&drops);
    assert_eq!(cleared.len(), 1);
    assert!(cleared[0].text().contains("cleared"), "{}", cleared[0].text());
    assert!(letters(&drops).is_empty());
}

/// The bench measures again; where nothing is open it is the owner's.
#[test]
fn whose_business_it_is() {
    let items = standing_alerts(&look(&with(&read(), &[bad("MIC", SINCE)])), now());
    let roles: Vec<Role> =
        items.iter().filter(|item| item.key == "gauge/MIC").map(|item| item.role).collect();
    assert_eq!(roles, [Role::Bench]);
    assert!(items.iter().all(|item| item.key != "gauge/MIC" || item.waits));
}

/// Three more readings with a gauge that was dropped would say the same once more.
#[test]
fn a_value_in_doubt_asks_for_a_good_gauge() {
    let worn = measured(20, "as received", "MIC", journal("main journal", "3", ["2.2476"; 4]));
    let mut drops = with(&shop_with_engine(), &[worn]);
    let next = |drops: &[Value]| {
        let items = standing_alerts(&look(drops), now());
        let size = items.iter().find(|item| item.heading == "Out of limits").unwrap();
        size.lines.iter().find(|line| line.starts_with("next: ")).unwrap().clone()
    };
    let sound = next(&drops);
    drops.push(bad("MIC", SINCE));
    let doubtful = next(&drops);
    assert!(
        !sound.contains("good gauge") && doubtful.contains("again with a good gauge"),
        "{sound}\n{doubtful}"
    );
    assert!(!doubtful.contains("three times"), "{doubtful}");
}

/// Microns are the unit of roughness: who meant a length is told that such a study counts for none.
#[test]
fn a_study_in_microns_says_that_it_is_of_no_length() {
    let of = |unit: &str, values: [&str; 2]| {
        let rows: Vec<Value> = ["1", "1", "2", "2"]
            .iter()
            .zip(values.iter().cycle())
            .map(|(pin, value)| json!({"feature": "pin", "position": pin, "value": value}))
            .collect();
        let study = shop_drop(
            "measurements",
            30,
            json!({"study": "pins", "condition": "cleaned", "gauge": "MIC-23", "unit": unit, "readings": rows}),
        );
        let listed = listed(&with(&shop_with_engine(), &[study]));
        let said = gauges_json(&listed)["studies"][0]["gauges"][0]["of-finish"].clone();
        (said, gauges_text(&listed))
    };
    let (said, text) = of("um", ["2.1", "2.4"]);
    assert!(said.as_str().unwrap().contains("roughness here and says nothing of lengths"), "{said}");
    assert!(text.contains("write them in mm or in"), "{text}");
    let (said, text) = of("mm", ["50.001", "50.002"]);
    assert!(said.is_null() && !text.contains("roughness"), "{text}");
}
