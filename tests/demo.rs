//! The demonstration, run for real: the program as a process that drops files into the folder of another. Its bands
//! and states are those computed apart from this project (`data/ov24_truth.json`). Guards promises 1, 2 and 7.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test that cannot go on should panic")]

use serde_json::Value;
use std::collections::BTreeMap;
use std::path::Path;
use std::process::Command;

fn program(arguments: &[&str]) -> String {
    let output = Command::new(env!("CARGO_BIN_EXE_benchdrop")).args(arguments).output().unwrap();
    let text = String::from_utf8(output.stdout).unwrap();
    assert!(output.status.success(), "{arguments:?}: {text}{}", String::from_utf8_lossy(&output.stderr));
    text
}

/// Band and state of every as-received verdict, history or not, by surface and characteristic.
fn as_received(job: &Value) -> BTreeMap<(String, String), (String, String)> {
    let text = |value: &Value| value.as_str().unwrap_or_default().to_owned();
    let verdicts = job["verdicts"].as_array().unwrap().iter();
    verdicts
        .filter(|verdict| verdict["condition"] == "as received" && verdict["characteristic"] != "wear")
        .map(|v| {
            ((text(&v["name"]), text(&v["characteristic"])), (text(&v["band"]), text(&v["judged-state"])))
        })
        .collect()
}

#[test]
fn the_demonstration_ends_as_computed() {
    let dir = tempfile::tempdir().unwrap();
    let shop = dir.path().join("demo");
    let said = program(&["demo", shop.to_str().unwrap()]);
    let config = shop.join("benchdrop.toml");
    let job: Value =
        serde_json::from_str(&program(&["--config", config.to_str().unwrap(), "job", "24-017", "--json"]))
            .unwrap();

    let truth: Value = serde_json::from_str(include_str!("data/ov24_truth.json")).unwrap();
    let found = as_received(&job);
    let mut compared = 0;
    for (table, feature) in [("bores", "bore"), ("mains", "main journal"), ("pins", "crankpin")] {
        for (position, row) in truth[table].as_object().unwrap() {
            for (what, expected) in row["judged"].as_object().unwrap() {
                let characteristic =
                    if what == "diameter" { "size".to_owned() } else { what.replace('_', "-") };
                let (band, state) = &found[&(format!("{feature} {position}"), characteristic)];
                assert_eq!(*band, expected["band_by_number"], "{feature} {position} {what}");
                assert_eq!(*state, expected["state"], "{feature} {position} {what}");
                compared += 1;
            }
        }
    }
    assert_eq!((compared, found.len()), (39, 39));

    // The mains are ground and pass their re-measure; bores and pins wait for the machinist.
    assert_eq!(job["stage"], "machining");
    let waits: Vec<&str> =
        job["blockers"].as_array().unwrap().iter().map(|b| b["about"].as_str().unwrap()).collect();
    assert_eq!(waits, ["bore 1, 2, 3, 4", "crankpin 1, 2, 3, 4"]);
    assert_eq!(job["questions"].as_array().unwrap().len(), 0, "the swapped digits are corrected");

    for words in
        ["returned broken.json", "copy     bores (1).json", "filed    main-4-again.json", "board.html"]
    {
        assert!(said.contains(words), "{words:?} is missing from {said}");
    }
    papers_lie_where_they_belong(&shop);
}

fn papers_lie_where_they_belong(shop: &Path) {
    let count = |below: &str| {
        let days =
            std::fs::read_dir(shop.join("watch-folder").join(below)).unwrap().map(|day| day.unwrap().path());
        days.map(|day| std::fs::read_dir(day).unwrap().count()).sum::<usize>()
    };
    // 18 papers, one of them refused: it lies with its slip.
    assert_eq!((count("filed"), count("returned")), (17, 2));
    assert!(std::fs::read_dir(shop.join("letters")).unwrap().count() >= 2);
}
