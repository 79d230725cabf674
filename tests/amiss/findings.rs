//! What is found is answered by a word that knows of it, or by work that takes it away.

use super::*;

fn disposed(drops: &[Named]) -> Vec<String> {
    let standing = stand(drops);
    let open = standing.blockers.iter().filter(|blocker| blocker.rule == BlockerRule::Disposed);
    open.map(|b| format!("{} {}: {}", b.actor.word(), b.about, b.what)).collect()
}

fn seen(recorded: &str, part: &str, defect: &str, severity: u8, at: &str) -> Named {
    let mut seen = json!({"part": part, "defect": defect, "severity": severity});
    if !at.is_empty() {
        seen["where"] = at.into();
    }
    drop("finding", recorded, json!({"findings": [seen]}))
}

fn word(recorded: &str, part: &str, what: &str, by: &str) -> Named {
    let word = json!({"disposition": {"part": part, "what": what, "why": "as it looked then", "by": by}});
    drop("decision", recorded, word)
}

fn people() -> Named {
    let people = json!({"revision": 1, "people": [
        {"name": "Rowan Holt", "initials": "RH", "roles": ["owner"]},
        {"name": "Lin Marr", "initials": "LM", "roles": ["bench"]}]});
    let mut named = drop("people", "2026-03-01T07:00:00Z", people);
    named.1.as_object_mut().unwrap().remove("job");
    named
}

/// The camshaft may go back, said the owner; the day after a crack is seen in it.
#[test]
fn a_word_answers_what_was_seen_before_it() {
    let mut drops = rebuild(&OV24_REBUILD);
    drops.push(people());
    drops.push(word("2026-03-25T10:00:00Z", "camshaft", "reuse same position", "Rowan Holt"));
    for (severity, actor) in [(5, "owner"), (4, "bench"), (3, "bench")] {
        let mut drops = drops.clone();
        drops.push(seen("2026-03-26T10:00:00Z", "camshaft", "crack", severity, "lobe 3"));
        let open = disposed(&drops);
        assert!(open.len() == 1 && open[0].starts_with(&format!("{actor} camshaft: crack")), "{open:?}");
        assert!(open[0].contains("\"reuse same position\" by Rowan Holt was said before"), "{open:?}");
        drops.push(word("2026-03-26T11:00:00Z", "camshaft", "replace", "Rowan Holt"));
        assert_eq!(disposed(&drops), Vec::<String>::new());
    }
}

/// What stops the job is the owner's, or that of who decides for the customer.
#[test]
fn what_stops_the_job_is_decided_by_an_owner() {
    let mut drops = rebuild(&OV24_REBUILD);
    drops.extend([people(), seen("2026-03-26T10:00:00Z", "camshaft", "crack", 5, "")]);
    let by = |name: &str| {
        let word = word("2026-03-26T11:00:00Z", "camshaft", "replace", name);
        disposed(&[drops.clone(), vec![word]].concat())
    };
    for name in ["Lin Marr", "LM", "nobody in particular"] {
        let open = by(name);
        assert!(open.len() == 1 && open[0].contains(&format!("by {name}, who is not an owner")), "{open:?}");
    }
    for name in ["Rowan Holt", "RH", "Ines Ferrow"] {
        assert_eq!(by(name), Vec::<String>::new(), "{name}");
    }
}

/// Boring takes a score out of a bore; it takes no crack out of a water jacket, and no score off another surface.
#[test]
fn agreed_work_answers_what_it_takes_away() {
    let drops = rebuild(&OV24_REBUILD);
    let agreed = after(&drops, "agree main journal", -1);
    let open = |recorded: &str, part: &str, defect: &str, at: &str| {
        disposed(&[drops.clone(), vec![seen(recorded, part, defect, 4, at)]].concat()).len()
    };
    for (part, defect, at, left) in [
        ("block", "scoring", "bore 2, thrust side", 0),
        ("block", "worn", "", 0),
        ("block", "pitting", "bore 3", 0),
        ("block", "crack", "water jacket", 1),
        ("block", "crack", "bore 2", 1),
        ("block", "leaking", "bore 2", 1),
        ("block", "damaged thread", "", 1),
        ("block", "scoring", "cam bearing bore 2", 1),
        ("block", "fretting", "main housing 3", 1),
        ("crankshaft", "scoring", "crankpin 2", 0),
        ("crankshaft", "bent", "", 1),
        ("crankshaft", "break", "", 1),
    ] {
        assert_eq!(open(&agreed, part, defect, at), left, "{part} {defect} {at}");
        // What was agreed before it was seen knows nothing of it.
        assert_eq!(open("2026-03-26T10:00:00Z", part, defect, at), 1, "{part} {defect} {at}, later");
    }
}
