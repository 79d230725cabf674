//! Additions to what was approved: what was approved stands, and what is added needs a word of its own.

use super::values::estimate;
use super::*;

fn added(minute: u32, amount: &str) -> Value {
    let mut drop = estimate(minute, amount, "the crank as well");
    drop["body"]["estimate"]["addition"] = true.into();
    drop["body"]["estimate"]["option"] = "the crank".into();
    drop
}

fn approve(minute: u32, amount: &str) -> Value {
    let word = json!({"granted": true, "by": "Ferrowmere Mill", "how": "mail", "amount": amount});
    drop_at("decision", minute, json!({"approval": word}))
}

fn agree(minute: u32, feature: &str) -> Value {
    let work =
        json!([{"operation": "grind", "feature": feature, "positions": ["all"], "finished": "0.010 under"}]);
    drop_at(
        "decision",
        minute,
        json!({"agreed-work": {"unit": "in", "agreed-by": "Rowan Holt", "work": work}}),
    )
}

fn money(view: &JobView) -> Vec<String> {
    let blockers = view.standing.blockers.iter().filter(|b| b.rule == BlockerRule::Approved);
    blockers.map(|b| b.what.clone()).collect()
}

#[test]
fn an_addition_leaves_what_was_approved() {
    let base =
        with(&inspected(), &[agree(23, "crankpin"), estimate(24, "1250.00", ""), approve(25, "1250.00")]);
    assert!(money(&look(&base)).is_empty(), "{:?}", money(&look(&base)));
    // More work is agreed: it waits for its own money, and the first approval stands.
    let more = with(&base, &[agree(30, "main journal")]);
    let waits = money(&look(&more));
    assert!(waits.len() == 1 && waits[0].contains("estimate it as an addition"), "{waits:?}");
    let asked = with(&more, &[added(31, "300.00")]);
    let waits = money(&look(&asked));
    assert!(waits.iter().any(|what| what.contains("no answer to the estimate of 300.00")), "{waits:?}");
    assert!(!waits.iter().any(|what| what.contains("1250.00")), "{waits:?}");
    assert_eq!(look(&asked).job.books.estimate().unwrap().estimate.sum().to_string(), "1250.00");
    let too_little = money(&look(&with(&asked, &[approve(32, "200.00")])));
    assert!(
        too_little.iter().any(|what| what.contains("approved up to 200.00, the estimate comes to 300.00")),
        "{too_little:?}"
    );
    let view = look(&with(&asked, &[approve(32, "300.00")]));
    assert!(money(&view).is_empty(), "{:?}", money(&view));
    // 1250 and 300: what may be charged, and what spending is held against.
    assert_eq!(view.job.books.last_approval().unwrap().1.unwrap().to_string(), "1550.00");
    let spent = benchdrop::planning::spent(&view.job, None);
    assert_eq!(spent.estimated.unwrap().to_string(), "1550.00");
}

/// Declined, the addition is not done; what was approved before goes on.
#[test]
fn a_declined_addition_stops_nothing_else() {
    let base = with(
        &inspected(),
        &[agree(23, "crankpin"), estimate(24, "1250.00", ""), approve(25, "1250.00"), added(31, "300.00")],
    );
    let no = json!({"granted": false, "by": "Ferrowmere Mill", "how": "mail", "why": "too dear"});
    let view = look(&with(&base, &[drop_at("decision", 32, json!({"approval": no}))]));
    assert!(money(&view).is_empty(), "{:?}", money(&view));
    assert_eq!(view.job.books.last_approval().unwrap().1.unwrap().to_string(), "1250.00");
}
