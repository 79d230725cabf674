//! A waiver does not outlive what made its blocker: another cut, another word on money.

use super::*;
use benchdrop::stages::WaiverState;

/// A waiver of a blocker, with the code beside it.
fn waiving(drops: &[Named], gate: &str, rule: &str, about: &str) -> Named {
    let code = code(drops, &format!("waive {rule} of {about} at {gate}"));
    let waiver = json!({"waiver": {"gate": gate, "rule": rule, "about": about, "why": "seen by both of us",
        "by": "Rowan Holt", "evidence": code}});
    drop("decision", AFTER_ALL, waiver)
}

fn states(drops: &[Named]) -> Vec<WaiverState> {
    stand(drops).waived.iter().map(|waiver| waiver.state).collect()
}

/// Set aside that the crankshaft was ground before its crack test: that covers no grind that nobody will pay for.
#[test]
fn a_missing_test_set_aside_is_no_leave_to_spend() {
    let mut drops = rebuild(&OV24_REBUILD);
    drops.retain(|(name, _)| name != "crack test crankshaft");
    drops.push(waiving(&drops, "machining", "leave to cut", "crankshaft"));
    assert_eq!(open(&drops), Vec::<String>::new());
    assert_eq!(states(&drops), [WaiverState::Holds]);
    drops.retain(|(name, _)| name != "approval");
    assert_eq!(states(&drops), [WaiverState::Void]);
    let open = open(&drops);
    assert_eq!(
        open.iter().filter(|line| line.ends_with("leave to cut owner crankshaft")).count(),
        1,
        "{open:?}"
    );
}

/// Pistons that pass in one bore are not waived for the next one.
#[test]
fn a_size_set_aside_is_of_the_bore_that_was_there() {
    let mut drops = rebuild(&OV24_REBUILD);
    find(&mut drops, "fit piston")["body"]["fitted"][0]["size"] = "standard".into();
    drops.push(waiving(&drops, "reassembly", "fitted", "piston"));
    assert_eq!(states(&drops), [WaiverState::Holds]);
    let bored = json!({"operation": "bore", "unit": "in", "finished": "0.040 over",
        "places": [{"feature": "bore", "positions": ["all"]}]});
    drops.push(drop("operation", "2026-04-02T10:00:00Z", bored));
    assert_eq!(states(&drops), [WaiverState::Void]);
}

/// A cloth that was not wiped through after one cut is owed again after the next.
#[test]
fn a_check_set_aside_is_owed_again_after_another_cut() {
    let mut drops = rebuild(&OV24_REBUILD);
    let polished = |recorded: &str| {
        let places = json!([{"feature": "crankpin", "positions": ["all"]}]);
        drop("operation", recorded, json!({"operation": "polish", "places": places}))
    };
    drops.push(polished("2026-03-20T10:00:00Z"));
    drops.push(waiving(&drops, "machining", "checked", "oil holes chamfered"));
    assert_eq!(states(&drops), [WaiverState::Holds]);
    drops.push(polished("2026-04-02T10:00:00Z"));
    assert_eq!(states(&drops), [WaiverState::Void]);
}
