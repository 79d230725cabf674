//! Codes of money, of readings and of values: an approval, a confirmation, an accepted value.

use super::*;

pub(super) fn estimate(minute: u32, amount: &str, note: &str) -> Value {
    drop_at(
        "account",
        minute,
        json!({"estimate": {"lines": [{"what": "machining", "amount": amount}],
        "not-to-exceed": amount, "expires": "2026-06-30", "note": note}}),
    )
}

#[test]
fn an_approval_on_each_of_the_four() {
    let drops = with(&inspected(), &[estimate(24, "1250.00", "")]);
    let quoted = code(&look(&drops), "approve at most 1250.00");
    let approve = |code: &str| {
        drop_at(
            "decision",
            30,
            json!({"approval": {"granted": true, "by": "Ferrowmere Mill", "how": "mail",
            "evidence": code}}),
        )
    };
    let approved = with(&drops, &[approve(&quoted)]);
    let of = |drops: &[Value]| evidence(&look(drops), "money approved");
    assert_eq!(of(&approved), Evidence::Same);
    assert_eq!(of(&with(&drops, &[approve(&rejudged(&quoted))])), Evidence::OtherOutcome);
    assert_eq!(of(&with(&approved, &[estimate(40, "1250.00", "typed again")])), Evidence::OtherFacts);
    assert_eq!(of(&with(&approved, &[estimate(40, "1900.00", "")])), Evidence::Other);
    // Work agreed later on other places is not what was approved: the approval stands for what it was of, and the rest waits
    // for its own (codes/added.rs). Other work on a place that it was of is not what was approved.
    let agree = |minute, operation: &str| {
        let work = json!([{"operation": operation, "feature": "bore", "positions": ["all"]}]);
        let agreed = json!({"agreed-work": {"unit": "in", "agreed-by": "Rowan Holt", "work": work}});
        drop_at("decision", minute, agreed)
    };
    let more = look(&with(&approved, &[agree(41, "hone")]));
    assert_eq!(evidence(&more, "money approved"), Evidence::Same);
    let waits = |b: &benchdrop::stages::Blocker| b.rule == BlockerRule::Approved && b.about.contains("bore");
    assert!(more.standing.blockers.iter().any(waits));
    let with_bores = with(&drops, &[agree(25, "hone")]);
    let quoted = code(&look(&with_bores), "approve at most 1250.00");
    let approved_bores = with(&with_bores, &[approve(&quoted)]);
    assert_eq!(of(&approved_bores), Evidence::Same);
    assert_eq!(of(&with(&approved_bores, &[agree(41, "polish")])), Evidence::Other);
    // What is measured is not what money rests on.
    assert_eq!(of(&with(&approved, &[agreeing(42)])), Evidence::Same);
}

pub(super) fn confirm(minute: u32, of: &Value, evidence: Option<&str>) -> Value {
    let mut word = json!({"drop": fact(of).id.hex(), "feature": "main journal", "position": "3",
        "station": "front", "direction": "X", "why": "read twice"});
    if let Some(code) = evidence {
        word["evidence"] = code.into();
    }
    drop_at("decision", minute, json!({"confirm-reading": word}))
}

/// Two readings of one place that cannot both be right: both are asked about until both are confirmed.
#[test]
fn a_confirmation_on_each_of_the_four() {
    let one = |minute, value| {
        measured(minute, "as received", "MIC", vec![reading("main journal", "3", "front", "X", value)])
    };
    let pair = [one(20, "2.2488"), one(21, "2.2470")];
    let drops = with(&shop_with_engine(), &pair);
    let open = look(&drops);
    assert_eq!(open.judgement.questions.len(), 2);
    let codes: Vec<String> = pair
        .iter()
        .map(|drop| {
            let asked = open.judgement.questions.iter().find(|q| q.reading.fact == fact(drop).id).unwrap();
            asked.code.to_string()
        })
        .collect();
    let confirmed = |codes: [&str; 2]| {
        with(&drops, &[confirm(30, &pair[0], Some(codes[0])), confirm(31, &pair[1], Some(codes[1]))])
    };
    let of = |view: &JobView| -> Vec<Evidence> {
        view.judgement.confirmations.iter().map(|word| word.checked.evidence).collect()
    };
    let same = confirmed([&codes[0], &codes[1]]);
    let view = look(&same);
    assert_eq!((of(&view), view.judgement.questions.len()), (vec![Evidence::Same; 2], 0));

    let view = look(&confirmed([&rejudged(&codes[0]), &rejudged(&codes[1])]));
    assert_eq!((of(&view), view.judgement.questions.len()), (vec![Evidence::OtherOutcome; 2], 0));

    // Another reading of the place: the usual range is another now, and both are asked about again.
    let view = look(&with(&same, &[one(40, "2.2489")]));
    assert_eq!((of(&view), view.judgement.questions.len()), (vec![Evidence::Other; 2], 3));
    let again =
        view.judgement.questions.iter().filter(|question| question.was.contains("was confirmed by LM"));
    assert_eq!(again.count(), 2);

    // A slip is asked about for the same reason whatever stands beside it.
    let slip = one(20, "2.2884");
    let drops = with(&shop_with_engine(), std::slice::from_ref(&slip));
    let code = look(&drops).judgement.questions[0].code.to_string();
    let said = with(&drops, &[confirm(30, &slip, Some(&code))]);
    assert_eq!(of(&look(&said)), [Evidence::Same]);
    assert_eq!(of(&look(&with(&said, &[one(40, "2.2488")]))), [Evidence::OtherFacts]);
    // Without a code: what was recorded up to then.
    let codeless = with(&drops, &[confirm(30, &slip, None)]);
    assert_eq!(of(&look(&codeless)), [Evidence::Same]);
    assert_eq!(of(&look(&with(&codeless, &[one(25, "2.2488")]))), [Evidence::Same]);
    assert_eq!(of(&look(&with(&codeless, &[one(40, "2.2488")]))), [Evidence::OtherFacts]);
}

#[test]
fn an_accepted_value_rests_on_its_readings() {
    let mut drops = without_pins();
    drops.push(measured(23, "as received", "MIC", pins(&["1", "2", "3", "4"])));
    let doubtful = ["2.2479", "2.2479", "2.2480", "2.2480"];
    let third = measured(22, "as received", "MIC", journal("main journal", "3", doubtful));
    drops[7] = {
        let values = ["2.2488", "2.2487", "2.2488", "2.2487"];
        measured(
            21,
            "as received",
            "MIC",
            ["1", "2", "4", "5"].iter().flat_map(|p| journal("main journal", p, values)).collect(),
        )
    };
    drops.push(third.clone());
    let quoted = code(&look(&drops), "accept main journal 3");
    let accept = |code: &str| {
        drop_at(
            "decision",
            30,
            json!({"accept": {"feature": "main journal", "positions": ["3"],
            "characteristic": "size", "why": "half a tenth", "accepted-by": "Rowan Holt", "evidence": code}}),
        )
    };
    let what = "main journal 3 size accepted";
    let accepted = with(&drops, &[accept(&quoted)]);
    assert_eq!(evidence(&look(&accepted), what), Evidence::Same);
    assert!(look(&accepted).standing.blockers.iter().all(|b| b.rule != BlockerRule::Decided));
    assert_eq!(evidence(&look(&with(&drops, &[accept(&rejudged(&quoted))])), what), Evidence::OtherOutcome);
    // Read again, and proven beyond now.
    let mut again = measured(40, "as received", "MIC", journal("main journal", "3", ["2.2470"; 4]));
    again["body"]["corrects"] = json!({"drop": fact(&third).id.hex(), "why": "dirty anvil"});
    assert_eq!(evidence(&look(&with(&accepted, &[again])), what), Evidence::Other);
    // Read again, still not proven: it stands.
    let mut same = measured(40, "as received", "MIC", journal("main journal", "3", doubtful));
    same["body"]["corrects"] = json!({"drop": fact(&third).id.hex(), "why": "dirty anvil"});
    assert_eq!(evidence(&look(&with(&accepted, &[same])), what), Evidence::OtherFacts);
}
