//! The state a gauge was in when a reading was recorded, and the proof it leaves.

use super::*;

const PROVEN: &str = "inside, proven";
const DOUBT: &str = "inside, not proven, gauge in doubt";

fn is(found: (String, Vec<String>, String), state: &str, flags: &[&str], proof: &str) {
    assert_eq!(found, (state.to_owned(), flags.iter().map(ToString::to_string).collect(), proof.to_owned()));
}

#[test]
fn in_calibration_with_its_certificate() {
    is(state_with(&[]), "no certificate", &[], PROVEN);
    let told = calibrated("MIC", "2026-01-10T10:00:00Z", "2027-01-10", None);
    is(state_with(std::slice::from_ref(&told)), "in calibration", &[], PROVEN);
    let size = verdict(&look(&with(&read(), &[told])), "main journal 3", "size");
    assert_eq!(size["gauges"][0]["mark"], "MIC");
    assert_eq!(
        (&size["gauges"][0]["certificate"], &size["gauges"][0]["due"]),
        (&json!("C-118"), &json!("2027-01-10"))
    );
    // One that came after the reading is not the one it was read under.
    let later = calibrated("MIC", "2026-03-09T10:00:00Z", "2027-03-09", None);
    is(state_with(&[later]), "no certificate", &[], PROVEN);
}

/// The day it is due is still good, to midnight where the certificate was recorded; readings are of 2026-03-02.
#[test]
fn overdue_from_the_day_after() {
    let due = |day: &str| calibrated("MIC", "2025-03-01T10:00:00Z", day, None);
    is(state_with(&[due("2026-03-02")]), "in calibration", &[], PROVEN);
    is(state_with(&[due("2026-03-01")]), "overdue", &["overdue"], PROVEN);
    // By clocks ten hours ahead the first of March ended at 14:00 UTC on that day; by clocks ten hours behind, at ten
    // o'clock on the second, after the reading of 8:20.
    let mut behind = due("2026-03-01");
    behind["recorded"] = "2025-03-01T00:00:00-10:00".into();
    is(state_with(&[behind]), "in calibration", &[], PROVEN);
}

#[test]
fn found_good_when_it_was_calibrated_at_last_it_was_good_all_along() {
    let due = calibrated("MIC", "2025-03-01T10:00:00Z", "2026-03-01", None);
    let next = |found| calibrated("MIC", "2026-03-09T10:00:00Z", "2027-03-09", found);
    is(state_with(&[due.clone(), next(None)]), "overdue", &["overdue"], PROVEN);
    is(state_with(&[due.clone(), next(Some("good"))]), "in calibration", &[], PROVEN);
    is(state_with(&[due, next(Some("off"))]), "found bad", &["found-bad", "overdue"], DOUBT);
}

#[test]
fn found_bad_since_before_the_reading() {
    is(state_with(&[bad("MIC", "2026-03-02T08:00:00Z")]), "found bad", &["found-bad"], DOUBT);
    is(state_with(&[bad("MIC", "2026-03-02T08:20:00Z")]), "found bad", &["found-bad"], DOUBT);
    is(state_with(&[bad("MIC", "2026-03-02T08:21:00Z")]), "no certificate", &[], PROVEN);
    let size =
        verdict(&look(&with(&read(), &[bad("MIC", "2026-03-02T08:00:00Z")])), "main journal 3", "size");
    assert_eq!(size["value"], "2.2487", "its value stands as read");
    assert_eq!((&size["band"], &size["probability"]), (&json!("service"), &Value::Null));
    assert_eq!(size["gauges"][0]["flags"][0]["words"], "found bad since 2026-03-02 08:00: dropped");
}

/// A calibration mends a gauge for what is read after it. What it read before stays in doubt, unless it was found good.
#[test]
fn a_calibration_after_that() {
    let since = bad("MIC", "2026-03-02T08:00:00Z");
    let next = |found| calibrated("MIC", "2026-03-09T10:00:00Z", "2027-03-09", found);
    is(state_with(&[since.clone(), next(None)]), "found bad", &["found-bad"], DOUBT);
    is(state_with(&[since.clone(), next(Some("off"))]), "found bad", &["found-bad"], DOUBT);
    is(state_with(&[since.clone(), next(Some("good"))]), "no certificate", &[], PROVEN);
    // Read again after it was mended.
    let mut again = journal_3("MIC");
    again["recorded"] = "2026-03-10T09:00:00Z".into();
    again["body"]["corrects"] = json!({"drop": fact(&journal_3("MIC")).id.hex(), "why": "gauge found bad"});
    is(state_with(&[since, next(None), again]), "in calibration", &[], PROVEN);
}

/// "List the readings taken since the last good check if it is found bad": a calibration that finds it off, with nobody
/// having said since when, reaches back to the calibration before, whatever zero checks there were.
#[test]
fn found_off_reaches_back_to_the_calibration_before() {
    let off = calibrated("MIC", "2026-03-09T10:00:00Z", "2027-03-09", Some("off"));
    let zero = zeroed("MIC", "2026-03-02T08:05:00Z", "0");
    let before = |recorded: &str| calibrated("MIC", recorded, "2027-01-10", None);
    is(state_with(std::slice::from_ref(&off)), "found bad", &["found-bad"], DOUBT);
    is(state_with(&[before("2026-01-10T10:00:00Z"), zero, off.clone()]), "found bad", &["found-bad"], DOUBT);
    is(state_with(&[before("2026-03-02T12:00:00Z"), off]), "no certificate", &[], PROVEN);
}

/// The house figure of the micrometer holds 2 x 0.000075 in of setting; more at zero is not in it.
#[test]
fn a_zero_off_by_more_than_the_figure_holds() {
    let zero = |minute: &str, error: &str| zeroed("MIC", &format!("2026-03-02T{minute}:00Z"), error);
    is(state_with(&[zero("08:05", "+0.00015")]), "no certificate", &[], PROVEN);
    is(state_with(&[zero("08:05", "+0.000151")]), "zero off", &["zero-off"], DOUBT);
    is(state_with(&[zero("08:05", "-0.0002")]), "zero off", &["zero-off"], DOUBT);
    // Set right and checked again before the reading; and out again only after it.
    is(state_with(&[zero("08:05", "-0.0002"), zero("08:06", "0")]), "no certificate", &[], PROVEN);
    is(state_with(&[zero("08:05", "0"), zero("09:00", "0.0004")]), "no certificate", &[], PROVEN);
    // 0.004 mm is 0.000157 in.
    let mut metric = zero("08:05", "0.004");
    metric["body"]["zero"]["unit"] = "mm".into();
    is(state_with(&[metric]), "zero off", &["zero-off"], DOUBT);
}

#[test]
fn the_house_rules_may_allow_another_zero() {
    let mut rules = house_rules(4);
    rules["body"]["revision"] = 2.into();
    rules["body"]["instruments"][0]["zero-allowed"] = "0.0003".into();
    let zero = |error| zeroed("MIC", "2026-03-02T08:05:00Z", error);
    is(state_with(&[rules.clone(), zero("0.0003")]), "no certificate", &[], PROVEN);
    is(state_with(&[rules, zero("0.00031")]), "zero off", &["zero-off"], DOUBT);
}

/// Asked only where the zero of the gauge is checked at all.
#[test]
fn no_zero_check_that_day() {
    let zero = |recorded| zeroed("MIC", recorded, "0");
    is(state_with(&[zero("2026-03-01T08:00:00Z")]), "no certificate", &["no-zero-check"], PROVEN);
    is(
        state_with(&[zero("2026-03-01T08:00:00Z"), zero("2026-03-02T07:55:00Z")]),
        "no certificate",
        &[],
        PROVEN,
    );
    is(state_with(&[zero("2026-03-03T08:00:00Z")]), "no certificate", &[], PROVEN);
}

/// A gauge set from another takes over its error, and says so: the bore gauge is set from the micrometer.
#[test]
fn set_from_a_bad_gauge() {
    let bores = measured(
        20,
        "as received",
        "BORE",
        [("top", "3.6112"), ("middle", "3.6111"), ("bottom", "3.6110")]
            .iter()
            .flat_map(|(station, value)| ["X", "Y"].map(|d| reading("bore", "1", station, d, value)))
            .collect(),
    );
    let drops = with(&shop_with_engine(), &[bores]);
    let good = verdict(&look(&drops), "bore 1", "size");
    assert_eq!((&good["judged-state"], &good["gauges"][0]["flags"]), (&json!(PROVEN), &json!([])));
    let found = verdict(&look(&with(&drops, &[bad("MIC", "2026-03-02T08:00:00Z")])), "bore 1", "size");
    assert_eq!(found["judged-state"], DOUBT);
    let flags =
        json!([{"flag": "found-bad", "words": "set from MIC, found bad since 2026-03-02 08:00: dropped"}]);
    assert_eq!((&found["gauges"][0]["mark"], &found["gauges"][0]["flags"]), (&json!("BORE"), &flags));
    // Two gauges that are set from each other are two gauges.
    let round = gauge(5, "MIC", "micrometer", Some("BORE"));
    assert_eq!(verdict(&look(&with(&drops, &[round])), "bore 1", "size")["judged-state"], PROVEN);
}

/// A micrometer reads no force: named beside a spring load by habit, it proves nothing, whatever the number.
#[test]
fn a_micrometer_on_a_spring() {
    let load = |gauge: &str| {
        let readings = json!([{"feature": "spring load closed", "position": "1 intake", "value": "75"}]);
        drop_at(
            "measurements",
            30,
            json!({"condition": "as received", "gauge": gauge, "unit": "lbf", "readings": readings}),
        )
    };
    let found = verdict(&look(&with(&read(), &[load("MIC")])), "spring load closed 1 intake", "load");
    let flags = &found["gauges"][0]["flags"];
    assert_eq!(flags[0]["flag"], "wrong-kind", "{found}");
    assert_eq!(flags[0]["words"], "a micrometer reads in, not lbf");
    assert!(found["state"].as_str().unwrap().ends_with("gauge in doubt"), "{found}");
}

/// F3: "never for journals or bores".
#[test]
fn a_calliper_on_a_journal() {
    for name in ["vernier calliper", "digital caliper 0-6 in"] {
        let mut rules = house_rules(4);
        rules["body"]["revision"] = 2.into();
        let figure = json!({"instrument": name, "unit": "in", "expanded": "0.00025", "setting": "0.000075", "transfer": "0"});
        rules["body"]["instruments"].as_array_mut().unwrap().push(figure);
        let more = [rules.clone(), gauge(4, "CAL", name, None), journal_3("CAL")];
        is(state(&look(&with(&shop_with_engine(), &more))), "no certificate", &["wrong-kind"], DOUBT);
        rules["body"]["instruments"][3]["never-for"] = json!(["bore"]);
        let more = [rules, gauge(4, "CAL", name, None), journal_3("CAL")];
        is(state(&look(&with(&shop_with_engine(), &more))), "no certificate", &[], PROVEN);
    }
}

/// F2: with T under 3.92 u of the two-sided new limits, or under 1.645 u of the way from new to service, nothing is
/// proven. Main journal: 2.2490 new, 2.2480 service, T 0.0010, so U over 0.0010 / 1.645 x 2 = 0.001216.
#[test]
fn too_coarse_for_the_limit() {
    let with_u = |expanded: &str| {
        let mut rules = house_rules(4);
        rules["body"]["revision"] = 2.into();
        rules["body"]["instruments"][0]["expanded"] = expanded.into();
        state_with(&[rules])
    };
    assert_eq!(with_u("0.00121").1, Vec::<String>::new());
    is(with_u("0.00122"), "no certificate", &["too-coarse"], "inside, not proven");
}

#[test]
fn a_kind_that_the_house_rules_do_not_know() {
    let more = [gauge(4, "OLD", "inside micrometer", None), journal_3("OLD")];
    let found = state(&look(&with(&shop_with_engine(), &more)));
    is(found, "no certificate", &["unknown-kind"], "inside, not proven, no gauge");
}

/// Whether it is said before or after, the answer is the same: the fold sees a set.
#[test]
fn a_mixed_place_rests_on_both() {
    let second =
        measured(22, "as received", "BALL", vec![reading("main journal", "3", "front", "X", "2.2488")]);
    let drops = with(&read(), &[second, bad("MIC", "2026-03-02T08:00:00Z")]);
    let size = verdict(&look(&drops), "main journal 3", "size");
    let marks: Vec<&str> =
        size["gauges"].as_array().unwrap().iter().map(|g| g["mark"].as_str().unwrap()).collect();
    assert_eq!((marks, &size["judged-state"]), (vec!["BALL", "MIC"], &json!(DOUBT)));
}
