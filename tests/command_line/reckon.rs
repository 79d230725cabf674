//! `reckon`: what the owner asks at the desk. The numbers are checked in `tests/checks`; here is how they are said.

use super::made_shop::run;
use serde_json::Value;

/// One good question of each sort, and what its answer says first.
const QUESTIONS: [(&[&str], &str); 5] = [
    (&["fit", "50mm", "H7/g6"], "50 mm H7/g6: clearance of 0.009 to 0.050 mm\n"),
    (
        &[
            "bolt",
            "--thread",
            "3/8-24",
            "--grade",
            "8",
            "--torque",
            "38 lbf ft",
            "--lubricant",
            "oil",
            "--shank",
            "1.6in",
        ],
        "3/8-24 grade 8, K 0.15: 36060 N (8107 lbf) of preload at 51.5 N m (38.0 lbf ft)\n",
    ),
    (
        &[
            "compression",
            "--bore",
            "3.6100in",
            "--stroke",
            "3.5800in",
            "--chamber",
            "58.0cc",
            "57.6cc",
            "58.2cc",
            "58.0cc",
            "--gasket-bore",
            "3.690in",
            "--gasket",
            "0.040in",
            "--deck",
            "0.0200in",
            "--dish",
            "4.0cc",
        ],
        "Compression ratio 9.27:1 to 9.34:1\n",
    ),
    (
        &[
            "film",
            "--diameter",
            "2.2488in",
            "--length",
            "0.85in",
            "--clearance",
            "0.0015in",
            "0.0025in",
            "--load",
            "1500lbf",
            "--speed",
            "3000rpm",
            "--viscosity",
            "12cP",
        ],
        "Least oil film 0.000195 in at 0.0015 in, 0.000188 in at 0.0025 in\n",
    ),
    (&["convert", "2.2488in"], "2.2488 in = 57.11952 mm\n"),
];

fn asked(question: &[&str], more: &[&str]) -> Vec<String> {
    [&["reckon"], question, more].concat().into_iter().map(str::to_owned).collect()
}

fn ask(question: &[&str], more: &[&str]) -> super::Answer {
    let words = asked(question, more);
    run(&words.iter().map(String::as_str).collect::<Vec<_>>())
}

#[test]
fn every_answer_has_its_formula_steps_and_source() {
    for (question, first) in QUESTIONS {
        let out = ask(question, &[]).ended(0).out;
        assert!(out.starts_with(first), "{out}");
        for heading in ["\nFormula\n  ", "\nSteps\n  1. ", "\nSource\n  "] {
            assert!(out.contains(heading), "{heading:?} of {question:?}: {out}");
        }
        let wide = out.lines().find(|line| line.chars().count() > 79);
        assert_eq!(wide, None, "{question:?} is wider than a terminal");

        let json: Value = serde_json::from_str(&ask(question, &["--json"]).ended(0).out).unwrap();
        let lines = |key: &str| json[key].as_array().unwrap().len();
        assert!(["results", "formula", "steps", "source"].iter().all(|key| lines(key) > 0), "{json:#}");
        for result in json["results"].as_array().unwrap() {
            for value in result["values"].as_array().unwrap() {
                // The same digits stand in the text, and none is left out of either.
                assert!(out.contains(value["value"].as_str().unwrap()), "{result} is not in {out}");
            }
        }
    }
}

/// Where work can hurt somebody the answer says so, and defers.
#[test]
fn bolts_carry_their_cautions() {
    let out = ask(QUESTIONS[1].0, &[]).ended(0).out;
    let cautions: String =
        out.split("\nTake care\n").nth(1).unwrap().split_whitespace().collect::<Vec<_>>().join(" ");
    for said in [
        "breaks or comes loose",
        "engine's own sheet decides",
        "Local codes",
        "licensed or qualified practice govern",
    ] {
        assert!(cautions.contains(said), "{said:?} is not in {cautions}");
    }
}

/// All faults at once on standard error, with 2; in JSON for programs.
#[test]
fn faults_are_said_at_once() {
    let wrong = ["bolt", "--thread", "3/8", "--torque", "38", "--grade", "8"];
    let refused = ask(&wrong, &[]).ended(2);
    assert!(
        refused.out.is_empty() && refused.err.starts_with("benchdrop: 3 things to put right\n"),
        "{}",
        refused.err
    );
    for good in ["3/8-24", "\"38 lbf ft\"", "dry, oil"] {
        assert!(refused.err.contains(good), "{good:?} is not in {}", refused.err);
    }
    let json: Value = serde_json::from_str(&ask(&wrong, &["--json"]).ended(2).out).unwrap();
    let names: Vec<&str> =
        json["faults"].as_array().unwrap().iter().map(|f| f["where"].as_str().unwrap()).collect();
    assert_eq!(names, ["--thread", "--lubricant", "--torque"]);
    // A temperature below zero is no option.
    assert!(ask(&["convert", "-40degF"], &[]).ended(0).out.starts_with("-40 degF = -40 degC\n"));
}

/// A number below zero is no option either: what is wrong with it is said in our words, by name.
#[test]
fn what_is_below_zero_is_said_of_its_option() {
    for (question, name) in [
        (&["bolt", "--thread", "M10", "--lubricant", "dry", "--torque", "-90 N m"] as &[&str], "--torque"),
        (&["bolt", "--thread", "M10", "--k", "-.2", "--torque", "90 N m"], "--k"),
        (
            &[
                "compression",
                "--bore",
                "81mm",
                "--stroke",
                "87mm",
                "--chamber",
                "20cc",
                "--gasket-bore",
                "82mm",
                "--gasket",
                "1.3mm",
                "--deck",
                "-0.1mm",
            ],
            "--deck",
        ),
        (&["fit", "-50mm", "H7"], "SIZE"),
    ] {
        let json: Value = serde_json::from_str(&ask(question, &["--json"]).ended(2).out).unwrap();
        let faults = json["faults"].as_array().unwrap();
        assert_eq!(faults.len(), 1, "{faults:?}");
        assert_eq!(faults[0]["where"], name);
        let text = ask(question, &[]).ended(2).err;
        assert!(text.starts_with("benchdrop: 1 thing to put right\n") && text.contains("zero"), "{text}");
    }
}

/// The manual and the completions know the questions by themselves.
#[test]
fn manual_and_completions_know_it() {
    let manual = run(&["manual"]).ended(0).out;
    let bash = run(&["completions", "bash"]).ended(0).out;
    for (question, _) in QUESTIONS {
        assert!(manual.contains(&format!("benchdrop reckon {}", question[0])), "{}", question[0]);
        assert!(bash.contains(&format!("reckon__subcmd__{}", question[0])), "{}", question[0]);
    }
}

/// What README shows is what the program prints.
#[test]
fn readme_shows_a_real_answer() {
    let out = ask(&["fit", "24mm", "H7/s6"], &[]).ended(0).out;
    let shown: String = out
        .lines()
        .map(|line| if line.is_empty() { "\n".to_owned() } else { format!("    {line}\n") })
        .collect();
    assert!(include_str!("../../README.md").contains(&shown), "README.md should show\n{shown}");
}
