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
        .filter(|verdict| {
            ["bore", "main journal", "crankpin"].contains(&verdict["feature"].as_str().unwrap())
        })
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

    // All the way to the hand-over, and what went wrong was caught on the way.
    assert_eq!(
        (job["stage"].as_str(), job["blockers"].as_array().map(Vec::len)),
        (Some("released"), Some(0))
    );
    assert_eq!(job["questions"].as_array().unwrap().len(), 0, "the swapped digits are corrected");
    for words in [
        "plan A, ",
        "Bore and hone every bore to 0.030 over; grind every main journal to 0.010 under; grind every crankpin to 0.020 under.",
        "Bore and hone bore 1, 3, 4 to 0.020 over; sleeve bore 2 to 0.020 over",
        "caught at machining: crankpin 3: taper 0.0004 in",
        "caught at machining: G20 Oil gallery plugs: 2 of 3 1/8-27 NPT counted in",
        "caught at reassembly: G03 Cylinder head: used bolts at C1, C2, C3, C4, C5, P1, P2, P3, P4, P5",
        "returned broken.json",
        "copy     24-017 bores (1).json",
        "board.html",
    ] {
        assert!(said.contains(words), "{words:?} is missing from {said}");
    }
    ends_with_its_papers(&shop, &job, &said);
    let second: Value =
        serde_json::from_str(&program(&["--config", config.to_str().unwrap(), "job", "24-018", "--json"]))
            .unwrap();
    assert_eq!(second["stage"], "inspection", "the second engine stands half way");
    for verdict in [&job, &second].into_iter().flat_map(|job| job["verdicts"].as_array().unwrap()) {
        let judged = verdict["state"] != "incomplete";
        assert!(!judged || verdict["uncertainty"].as_str().unwrap().starts_with("U "), "how sure: {verdict}");
    }
    papers_lie_where_they_belong(&shop);
}

/// The engine has its build record and the customer's page, issued once, with the hash that `sha256sum` prints of them.
fn ends_with_its_papers(shop: &Path, job: &Value, said: &str) {
    let issued = job["issued"].as_array().unwrap();
    let papers: Vec<(&str, u64)> = issued
        .iter()
        .map(|paper| (paper["paper"].as_str().unwrap(), paper["version"].as_u64().unwrap()))
        .collect();
    assert_eq!(papers, [("build record", 1), ("customer page", 1)]);
    for paper in issued {
        let file = shop.join("watch-folder").join(paper["file"].as_str().unwrap());
        let output = Command::new("sha256sum").arg(&file).output().unwrap();
        let hash = String::from_utf8(output.stdout).unwrap().split(' ').next().unwrap().to_owned();
        assert_eq!(paper["sha256"], hash.as_str());
        assert!(said.contains(&hash), "the demonstration names {hash}");
        let text = std::fs::read_to_string(&file).unwrap();
        for words in ["OV24-00317", "0.010 under", "22 psi", "at least 10 psi"] {
            assert!(text.contains(words), "{words} is missing on {}", file.display());
        }
    }
}

fn papers_lie_where_they_belong(shop: &Path) {
    let count = |below: &str| {
        let days =
            std::fs::read_dir(shop.join("watch-folder").join(below)).unwrap().map(|day| day.unwrap().path());
        days.map(|day| std::fs::read_dir(day).unwrap().count()).sum::<usize>()
    };
    // One paper is refused: it lies with its slip. The copy is filed too.
    assert_eq!(count("returned"), 2);
    assert!(count("filed") > 300, "{}", count("filed"));
    assert!(std::fs::read_dir(shop.join("letters")).unwrap().count() >= 2);
}
