//! What was agreed holds the plan; its versions are kept; a code agrees to one plan only.

use super::*;
use benchdrop::facts::Evidence;

fn work(bores: &str, mains: &str, pins: &str) -> Value {
    let one = |operation: &str, feature: &str, size: &str| {
        json!({"operation": operation, "feature": feature, "positions": ["all"],
            "finished": format!("{size} {}", if feature == "bore" { "over" } else { "under" })})
    };
    json!([
        one("bore and hone", "bore", bores),
        one("grind", "main journal", mains),
        one("grind", "crankpin", pins)
    ])
}

fn agree(minute: u32, work: &Value, code: Option<&str>) -> Value {
    let mut agreed = json!({"unit": "in", "agreed-by": "Rowan Holt", "option": "A", "work": work});
    if let Some(code) = code {
        agreed["evidence"] = code.into();
    }
    drop_at("decision", minute, json!({"agreed-work": agreed}))
}

/// The pistons came dearer than the list says: another size would be cheaper now, and the plan stays what was agreed.
#[test]
fn what_was_agreed_stays_the_plan() {
    let here = |minute, size: &str| {
        drop_at(
            "supply",
            minute,
            json!({"item": "piston", "unit": "in", "size": size, "count": 4, "state": "received",
                "stamped": size, "price": "900.00"}),
        )
    };
    let base = with(&engine(&json!({"aim": "least cost"})), &[prices("95.00"), here(51, "0.030 over")]);
    assert!(short(&plan(&base), 0).contains("every bore to 0.040 over"), "{}", short(&plan(&base), 0));
    let held = plan(&with(&base, &[agree(50, &work("0.030", "0.010", "0.020"), None)]));
    assert_eq!(
        short(&held, 0),
        "Bore and hone every bore to 0.030 over; grind every main journal to 0.010 under; grind every crankpin to 0.020 under."
    );
    assert_eq!(held["alternatives"].as_array().unwrap().len(), 1);
}

/// A bore that needs a sleeve got one by agreement, and one that was agreed to be bored is not sleeved instead.
#[test]
fn an_agreed_sleeve_stays_a_sleeve() {
    let mut pieces = work("0.020", "0.010", "0.020");
    pieces[0]["positions"] = json!(["1", "3", "4"]);
    pieces.as_array_mut().unwrap().push(
        json!({"operation": "sleeve", "feature": "bore", "positions": ["2"], "finished": "0.020 over"}),
    );
    let held = plan(&with(&engine(&json!({})), &[prices("95.00"), agree(50, &pieces, None)]));
    assert!(
        short(&held, 0).starts_with("Bore and hone bore 1, 3, 4 to 0.020 over; sleeve bore 2"),
        "{}",
        short(&held, 0)
    );
    let bored = plan(&with(
        &engine(&json!({})),
        &[prices("95.00"), agree(50, &work("0.020", "0.010", "0.020"), None)],
    ));
    let said: Vec<Value> = lines_of(&bored, 0).into_iter().filter(|line| line["does"] == "nothing").collect();
    assert_eq!(said.len(), 1, "{said:?}");
    assert!(said[0]["on"].as_str().unwrap().starts_with("bore 2 at 0.020 over"), "{said:?}");
}

/// The code beside plan A agrees to A. Quoted for other sizes it agrees to nothing.
#[test]
fn a_code_agrees_to_one_plan() {
    let base = with(&engine(&json!({"aim": "least metal"})), &[prices("95.00")]);
    let found = plan(&base);
    let code = |index: usize| {
        let drop = &found["alternatives"][index]["drops"]["agreed-work"]["agreed-work"];
        (drop["work"].clone(), drop["evidence"].as_str().unwrap().to_owned())
    };
    let ((first, of_first), (second, of_second)) = (code(0), code(1));
    assert_ne!(of_first, of_second);
    let evidence = |work: &Value, code: &str| {
        let view = look(&with(&base, &[agree(50, work, Some(code))]));
        let said = view.standing.statements.iter().find(|now| now.what.starts_with("work agreed")).unwrap();
        said.checked.as_ref().unwrap().evidence
    };
    assert_eq!(evidence(&first, &of_first), Evidence::Same);
    assert_eq!(evidence(&second, &of_second), Evidence::Same);
    assert_eq!(evidence(&second, &of_first), Evidence::Other);
}

/// Each version is kept, and what a later one changed is said.
#[test]
fn versions_are_kept() {
    let mut later = work("0.030", "0.010", "0.020");
    later.as_array_mut().unwrap().remove(0);
    later[0]["finished"] = "0.020 under".into();
    let drops = [prices("95.00"), agree(50, &work("0.030", "0.010", "0.020"), None), agree(55, &later, None)];
    let found = plan(&with(&engine(&json!({})), &drops));
    let versions = found["agreed"].as_array().unwrap();
    assert_eq!(versions.len(), 2);
    assert_eq!(versions[0]["changed"], json!([]));
    assert_eq!(
        versions[1]["changed"],
        json!(["every main journal: was grind to 0.010 under, now grind to 0.020 under"])
    );
    assert_eq!((&versions[0]["now"], &versions[1]["now"]), (&json!("stands"), &json!("stands")));
    assert!(short(&found, 0).contains("every main journal to 0.020 under"), "{}", short(&found, 0));
    // A reading that changes what it rests on opens it again, and the plan says what would be done now.
    let deep = json!({"findings": [{"part": "block", "defect": "scoring", "severity": 3, "score": {"feature": "bore",
        "position": "1", "station": "middle", "direction": "X", "unit": "in", "depth": "0.0145"}}]});
    let view = look(&with(&with(&engine(&json!({})), &drops), &[drop_at("finding", 56, deep)]));
    let text = plan_text(&view);
    assert!(text.contains("open again: what it rests on has changed"), "{text}");
    assert!(
        text.contains("Every bore: was bore and hone to 0.030 over, now bore and hone to 0.040 over"),
        "{text}"
    );
}
