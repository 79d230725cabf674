//! Of several options the customer picks one; what was approved counts once; a day ends where it was written.

use super::*;
use benchdrop::facts::Money;
use benchdrop::planning::spent;

/// An estimate of an option, or of the whole job where none is named.
fn estimate(recorded: &str, amount: &str, option: &str) -> Named {
    let mut estimate = json!({"estimate": {"lines": [{"what": "all of it", "amount": amount}],
        "not-to-exceed": amount, "expires": "2026-12-31"}});
    if !option.is_empty() {
        estimate["estimate"]["option"] = option.into();
    }
    drop("account", recorded, estimate)
}

fn answer(drops: &[Named], to: &Named, recorded: &str, granted: bool) -> Named {
    assert!(drops.iter().any(|(_, drop)| *drop == to.1));
    let id = fact(&to.1).id.hex();
    let approval = json!({"approval": {"granted": granted, "by": "Ines Ferrow", "how": "mail", "estimate": id,
        "why": "too dear"}});
    drop("decision", recorded, approval)
}

/// A rebuild with two options side by side, and no answer yet.
fn with_options() -> (Vec<Named>, Named, Named) {
    let mut drops = rebuild(&OV24_REBUILD);
    let at = |minutes| after(&drops, "estimate", minutes);
    let (repair, renew) = (estimate(&at(0), "1800.00", "repair"), estimate(&at(1), "3000.00", "renew"));
    drops.retain(|(name, _)| name != "estimate" && name != "approval");
    drops.extend([repair.clone(), renew.clone()]);
    (drops, repair, renew)
}

#[test]
fn the_option_that_was_picked_is_approved() {
    let (drops, repair, renew) = with_options();
    let said = after(&drops, "sign inspection", -1);
    let unanswered = "inspection approved customer";
    assert!(open(&drops).iter().any(|line| line == unanswered));
    for (picked, other) in [(&repair, &renew), (&renew, &repair)] {
        let mut drops = drops.clone();
        drops.push(answer(&drops, picked, &said, true));
        assert_eq!(open(&drops), Vec::<String>::new());
        // What was not picked may be declined in so many words.
        drops.push(answer(&drops, other, AFTER_ALL, false));
        assert_eq!(open(&drops), Vec::<String>::new());
        // The pick itself taken back, or estimated anew, asks again.
        let mut back = drops.clone();
        back.push(answer(&drops, picked, "2026-04-02T10:00:00Z", false));
        assert!(open(&back).iter().any(|line| line.starts_with("inspection approved")), "{:?}", open(&back));
        drops.push(estimate("2026-04-03T10:00:00Z", "3100.00", ""));
        assert!(open(&drops).iter().any(|line| line == unanswered), "{:?}", open(&drops));
    }
}

/// An estimate that was made anew for the whole job takes the place of the one before, also in the books.
#[test]
fn an_estimate_of_the_whole_counts_once() {
    let mut drops = rebuild(&OV24_REBUILD);
    let anew = estimate("2026-03-20T10:00:00Z", "2100.00", "");
    drops.push(anew.clone());
    let estimated = |drops: &[Named]| spent(&folded(drops).0, None).estimated;
    assert_eq!(estimated(&drops), Money::parse("1600.00"), "what was approved holds until the new one is");
    drops.push(answer(&drops, &anew, "2026-03-20T11:00:00Z", true));
    assert_eq!(estimated(&drops), Money::parse("2100.00"));
}

/// Half past nine in the evening is still that day, though it is the next one elsewhere.
#[test]
fn a_day_ends_where_it_was_written() {
    let mut drops = rebuild(&OV24_REBUILD);
    drops.retain(|(name, _)| name != "approval");
    let written: jiff::Timestamp = after(&drops, "estimate", 0).parse().unwrap();
    let estimate = find(&mut drops, "estimate");
    estimate["recorded"] = written.display_with_offset(jiff::tz::offset(-5)).to_string().into();
    estimate["body"]["estimate"]["expires"] = "2026-03-12".into();
    let asked = |recorded: &str| {
        let mut drops = drops.clone();
        drops.push(drop("account", recorded, json!({"hours": {"hours": "1", "what": "assembly"}})));
        open(&drops).into_iter().find(|line| line.starts_with("inspection approved")).unwrap()
    };
    assert_eq!(asked("2026-03-12T21:30:00-05:00"), "inspection approved customer");
    assert_eq!(asked("2026-03-13T00:00:00-05:00"), "inspection approved owner");
}
