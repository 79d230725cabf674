//! People's words against each other and against time: a decision, an agreement, a finding, a piece of work, which came when.

use super::*;

fn agree(minute: u32) -> Value {
    let work = json!([
        {"operation": "grind", "feature": "main journal", "positions": ["all"], "finished": "0.010 under"},
        {"operation": "grind", "feature": "crankpin", "positions": ["all"], "finished": "0.020 under"}]);
    drop_at(
        "decision",
        minute,
        json!({"agreed-work": {"unit": "in", "agreed-by": "Rowan Holt", "work": work}}),
    )
}

fn dispose(minute: u32, part: &str, what: &str) -> Value {
    let body = json!({"part": part, "what": what, "why": "so it is", "by": "Rowan Holt"});
    drop_at("decision", minute, json!({"disposition": body}))
}

fn crack(minute: u32) -> Value {
    drop_at("finding", minute, json!({"findings": [{"part": "block", "defect": "crack", "severity": 5}]}))
}

fn stitching() -> Value {
    let mut list = prices("95.00");
    let stitch = json!({"operation": "stitch", "feature": "block", "price": "300.00", "days": 9});
    list["body"]["operations"].as_array_mut().unwrap().push(stitch);
    list
}

fn worked(minute: u32, operation: &str) -> Value {
    let mut body = json!({"operation": operation, "places": [{"feature": "bore", "positions": ["all"]}]});
    if operation == "bore and hone" {
        body["unit"] = "in".into();
        body["finished"] = "0.030 over".into();
    }
    if operation == "stitch" {
        body = json!({"operation": "stitch", "parts": [{"part": "block"}]});
    }
    drop_at("operation", minute, body)
}

/// A crank for next to nothing: it stays all the same, agreed on and decided to be repaired.
#[test]
fn a_named_word_keeps_a_part() {
    let mut list = prices("95.00");
    list["body"]["parts"][5]["price"] = "100.00".into();
    let base = with(&engine(&json!({"aim": "least cost"})), &[list]);
    assert!(short(&plan(&base), 0).contains("another crankshaft"));
    for words in [
        vec![agree(50)],
        vec![dispose(51, "crankshaft", "repair")],
        vec![agree(50), dispose(51, "crankshaft", "repair")],
    ] {
        let found = plan(&with(&base, &words));
        assert!(!short(&found, 0).contains("another crankshaft"), "{}", short(&found, 0));
    }
}

/// Only mending mends: boring a cracked block does not, and a crack found after the stitch is another crack.
#[test]
fn only_mending_mends_and_only_what_was_there() {
    let base = with(&engine(&json!({})), &[stitching(), crack(50), dispose(51, "block", "repair")]);
    assert!(short(&plan(&base), 0).contains("stitch block"));
    let bored = plan(&with(&base, &[worked(52, "bore and hone")]));
    assert!(short(&bored, 0).contains("stitch block"), "{}", short(&bored, 0));
    let stitched = with(&base, &[worked(53, "stitch")]);
    assert!(!short(&plan(&stitched), 0).contains("stitch"), "{}", short(&plan(&stitched), 0));
    let again = plan(&with(&stitched, &[crack(54)]));
    assert!(short(&again, 0).contains("stitch block"), "{}", short(&again, 0));
    let why =
        lines_of(&again, 0).into_iter().find(|line| line["does"] == "stitch").unwrap()["why"].to_string();
    assert!(why.contains("the owner decides"), "nobody has decided about this one: {why}");
}

/// Bored to 0.030 and not measured yet: the pistons are those of 0.030, four of them, and no others.
#[test]
fn what_is_bored_keeps_its_pistons() {
    let found = plan(&with(&engine(&json!({})), &[prices("95.00"), worked(52, "bore and hone")]));
    assert!(!short(&found, 0).contains("another piston"), "{}", short(&found, 0));
    let pistons: Vec<Value> = lines_of(&found, 0).into_iter().filter(|line| line["on"] == "piston").collect();
    assert_eq!(pistons.len(), 1, "{pistons:#?}");
    assert_eq!((&pistons[0]["size"], &pistons[0]["count"]), (&json!("0.030 over"), &json!(4)));
}

/// Once work has begun a ceiling is held against what was spent and what is to come.
#[test]
fn a_ceiling_counts_what_was_spent() {
    let hours = drop_at("account", 51, json!({"hours": {"hours": "30.00", "what": "everything so far"}}));
    let drops = [prices("95.00"), hours, worked(52, "bore and hone")];
    let found = plan(&with(&engine(&json!({"ceiling": "1800.00"})), &drops));
    let wish = &found["wishes"][0];
    assert_eq!(wish["kept"], false);
    assert!(wish["words"].as_str().unwrap().contains("1950.00 is spent"), "{wish}");
}

/// Pins at their last size and worn again: nothing that was agreed for them is open, so another crank is.
#[test]
fn a_finished_agreement_holds_nothing() {
    let pins = json!([{"operation": "grind", "feature": "crankpin", "positions": ["all"], "finished": "0.030 under"}]);
    let agreed = json!({"agreed-work": {"unit": "in", "agreed-by": "Rowan Holt", "work": pins}});
    let ground = json!({"operation": "grind", "unit": "in", "finished": "0.030 under",
        "places": [{"feature": "crankpin", "positions": ["all"]}]});
    let readings: Vec<Value> =
        ["1", "2", "3", "4"].iter().flat_map(|p| journal("crankpin", p, ["1.9670"; 4])).collect();
    let after = measured(61, "after work", "MIC", readings);
    let drops = [
        prices("95.00"),
        drop_at("decision", 50, agreed),
        drop_at("operation", 60, ground),
        after.clone(),
        confirmed(62, &after, "crankpin"),
    ];
    let found = plan(&with(&engine(&json!({})), &drops));
    let short = short(&found, 0);
    assert!(short.contains("weld") || short.contains("another crankshaft"), "{short}");
}

/// One bore apart at 0.030: the standard bore is not kept.
#[test]
fn a_bore_apart_is_not_standard() {
    let apart = json!({"apart": {"unit": "in", "feature": "bore", "positions": ["1"], "size": "0.030 over", "why": "so", "by": "Rowan Holt"}});
    let found = plan(&with(
        &engine(&json!({"keep-standard-bore": true})),
        &[prices("95.00"), drop_at("decision", 50, apart)],
    ));
    assert_eq!(found["wishes"][0]["kept"], false);
}

/// Two rods resized are set up for once; the list's once of a crack test is counted too.
#[test]
fn setting_up_is_paid_once() {
    let mut list = prices("95.00");
    let operations = list["body"]["operations"].as_array_mut().unwrap();
    operations.push(json!({"operation": "resize", "price": "18.00", "once": "40.00", "days": 3}));
    let test = operations.iter_mut().find(|work| work["operation"] == "crack test").unwrap();
    test["once"] = "75.00".into();
    let worn =
        [sizes::housing(47, "rod housing", "2", "2.1265"), sizes::housing(48, "rod housing", "3", "2.1265")];
    let words = [confirmed(49, &worn[0], "rod housing"), confirmed(50, &worn[1], "rod housing")];
    let found = plan(&with(&with(&engine(&json!({})), &[list]), &[worn.to_vec(), words.to_vec()].concat()));
    let lines = lines_of(&found, 0);
    let set_up: Vec<&Value> = lines.iter().filter(|line| line["does"] == "resize, setting up").collect();
    assert_eq!(set_up.len(), 1, "{}", short(&found, 0));
    let test = lines.iter().find(|line| line["does"] == "crack test").unwrap();
    assert_eq!(test["price"], "87.00", "12 and 75");
    // The pins are ground to housings that will be new again, not to those that are worn.
    assert!(short(&found, 0).contains("grind every crankpin to 0.020 under"), "{}", short(&found, 0));
}

/// A joint group's pieces under the name of the group cannot be had.
#[test]
fn what_cannot_be_had_by_its_groups_name_is_said() {
    let gone = drop_at("supply", 50, json!({"item": "G21", "count": 4, "state": "not available"}));
    let found = plan(&with(&engine(&json!({})), &[prices("95.00"), gone]));
    let said: Vec<Value> = lines_of(&found, 0).into_iter().filter(|line| line["does"] == "nothing").collect();
    assert_eq!(said.len(), 1, "{said:?}");
    assert!(said[0]["on"].as_str().unwrap().contains("ore plugs"), "{said:?}");
}

/// Ground and not tested yet: the test is still to come, and still to be paid.
#[test]
fn a_test_that_is_owed_is_planned() {
    let ground = json!({"operation": "grind", "unit": "in", "finished": "0.010 under",
        "places": [{"feature": "main journal", "positions": ["all"]}]});
    let pins = json!({"operation": "grind", "unit": "in", "finished": "0.020 under",
        "places": [{"feature": "crankpin", "positions": ["all"]}]});
    let drops = [prices("95.00"), drop_at("operation", 60, ground), drop_at("operation", 61, pins)];
    let found = plan(&with(&engine(&json!({})), &drops));
    assert_eq!(lines_of(&found, 0).iter().filter(|line| line["does"] == "crack test").count(), 1);
}

/// The days of the plan against the day that was promised: until when it must be approved, and what the approval made of it.
#[test]
fn a_plan_is_held_against_the_promise() {
    let mut base = with(&engine(&json!({})), &[prices("95.00")]);
    let check_in = base.iter_mut().find(|drop| drop["kind"] == "check-in").unwrap();
    check_in["body"]["promised"] = "2026-03-20".into();
    let days = plan(&base)["alternatives"][0]["total"]["days"].as_i64().unwrap();
    assert!(days > 0);
    let day = |n: i64| jiff::civil::date(2026, 3, 1).checked_add(jiff::Span::new().days(n - 1)).unwrap();
    let text = |drops: &[Value]| text_of(&plan_text(&look(drops)));
    let open = text(&base);
    let by = format!("promised for 2026-03-20, so approved after {} it is late", day(20 - days));
    assert!(open.contains(&by), "{by}: {open}");
    let approved = |at: &str| {
        let mut word = drop_at(
            "decision",
            40,
            json!({"approval": {"granted": true, "by": "Ferrowmere Mill", "how": "mail"}}),
        );
        word["recorded"] = at.into();
        text(&with(&base, &[word]))
    };
    let on_time = approved("2026-03-03T10:00:00+01:00");
    let ready = format!("; ready for assembly on {}, promised for 2026-03-20", day(3 + days));
    assert!(on_time.contains(&ready), "{ready}: {on_time}");
    let late = approved("2026-03-19T23:30:00+01:00");
    let ready = format!("TOO LATE: ready for assembly on {}, promised for 2026-03-20", day(19 + days));
    assert!(late.contains(&ready), "{ready}: {late}");
}
