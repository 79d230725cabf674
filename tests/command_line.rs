//! The program as a person at a terminal meets it: every command, what it answers and the code it ends with.
//!
//! Guards promise 5 (no verdict without its reasons) where programs read it: `job NO --json`.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test that cannot go on should panic")]

#[path = "command_line/copies.rs"]
mod copies;
#[path = "command_line/foresight.rs"]
mod foresight;
#[path = "command_line/forms.rs"]
mod forms;
#[path = "command_line/made_shop.rs"]
mod made_shop;
#[path = "command_line/reckon.rs"]
mod reckon;
mod support;

use made_shop::{Answer, MadeShop, run};
use serde_json::{Value, json};
use std::fs;
use std::io::{BufRead as _, BufReader};
use std::process::Stdio;
use support::*;

#[test]
fn init_makes_a_shop_that_works_as_it_is() {
    let shop = MadeShop::new();
    for made in ["benchdrop.toml", "watch-folder/drop", "watch-folder/README.txt", "ledger", "letters"] {
        assert!(shop.path("shop").join(made).exists(), "{made}");
    }
    let first = shop.run(&["once"]).ended(0);
    assert!(first.out.starts_with("5 filed, 0 copies, 0 returned, 0 waiting\n"), "{}", first.out);
    for page in ["board.html", "arrivals.html"] {
        assert!(shop.path("shop/watch-folder/board").join(page).exists());
    }
    // A job nobody checked in is not called checked in, and the way out of a mistyped number is said.
    shop.put_text(
        "wrong.json",
        r#"{"kind": "account", "version": 1, "job": "24-071", "who": "RH",
        "recorded": "2026-03-02T09:00:00Z", "body": {"deposit": {"amount": "10.00"}}}"#,
    );
    shop.run(&["once"]).ended(0);
    let unknown = shop.run(&["job", "24-071"]).ended(0).out;
    assert!(unknown.contains("Stage: not checked in\n"), "{unknown}");
    assert!(unknown.contains("withdraw this drop and drop it again under the right one"), "{unknown}");
    let second = shop.run(&["once"]).ended(0);
    assert!(second.out.starts_with("0 filed"), "{}", second.out);
}

#[test]
fn init_refuses_what_it_would_spoil_or_cannot_use() {
    let shop = MadeShop::new();
    let before = fs::read(shop.path("shop/benchdrop.toml")).unwrap();
    let again = shop.init(&[]).ended(1);
    assert!(again.err.contains("this folder holds a shop") && again.out.is_empty(), "{}", again.err);
    assert_eq!(fs::read(shop.path("shop/benchdrop.toml")).unwrap(), before);

    let elsewhere = shop.path("elsewhere");
    let make = |more: &[&str]| run(&[&["init", elsewhere.to_str().unwrap()], more].concat());
    for (arguments, why) in [
        (["--timezone", "Mars/Olympus"], "not a zone"),
        (["--site", "a b"], "letters, digits and hyphens"),
        (["--site", "main\" #"], "letters, digits and hyphens"),
        (["--site", "x\"\nledger = \"y"], "letters, digits and hyphens"),
    ] {
        let refused = make(&arguments).ended(1);
        assert!(refused.err.contains(why), "{arguments:?}: {}", refused.err);
        assert!(!elsewhere.exists(), "nothing is made");
    }
    // A file in the way is not written over.
    fs::write(&elsewhere, "mine").unwrap();
    make(&[]).ended(1);
    assert_eq!(fs::read_to_string(&elsewhere).unwrap(), "mine");
}

/// What `init` is told about the owner ends up in a drop that its own door must take.
#[test]
fn init_drops_are_taken_whatever_the_owner_is_called() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("shop");
    let made =
        ["init", path.to_str().unwrap(), "--owner", "R. \"O'Neil\" <Holt> \\", "--timezone", "Europe/Berlin"];
    run(&made).ended(0);
    let config = path.join("benchdrop.toml");
    let once = run(&["--config", config.to_str().unwrap(), "once"]).ended(0);
    assert!(once.out.starts_with("5 filed"), "{}", once.out);
    let initials = |owner: &str| {
        let path = dir.path().join(owner);
        run(&["init", path.to_str().unwrap(), "--owner", owner]).ended(0);
        let people = fs::read(path.join("watch-folder/drop/people.json")).unwrap();
        let people: Value = serde_json::from_slice(&people).unwrap();
        assert_eq!(people["who"], people["body"]["people"][0]["initials"]);
        people["who"].as_str().unwrap().to_owned()
    };
    assert_eq!([initials("Rowan Holt"), initials("ines")], ["RH", "IN"]);
    // An address that no letter can be sent to is said at once, not found in a returned people file.
    let other = dir.path().join("other");
    for mail in ["nobody", "a@b,c@d", "\"x y\"@z.example"] {
        let refused = run(&["init", other.to_str().unwrap(), "--owner-mail", mail]).ended(1);
        assert!(refused.err.contains("owner@shop.example") && !other.exists(), "{mail}: {}", refused.err);
    }
}

/// Whatever the first sheet has read, the first house rules have a figure for an instrument that reads it, and the budget says
/// that it is nobody's own. Figures of a careful shop: spring tester 3 percent, burette 0.3 cc (trade notes F3); ultrasonic
/// gauge 0.005 in and scale 1 g (common practice), of which 0.6 cancels between two weights: 2 root(2) 0.4 g.
#[test]
fn what_init_makes_knows_how_sure_loads_volumes_and_weights_are() {
    let shop = MadeShop::new();
    shop.run(&["once"]).ended(0);
    shop.put("check-in.json", &check_in(10));
    let sets = [
        ("spring tester", "lbf", "spring load closed", "1 intake", "85", "U 6.00 lbf"),
        ("spring tester up to 100 lbf", "lbf", "spring load closed", "2 intake", "85", "U 3.00 lbf"),
        ("burette", "cc", "chamber volume", "1", "58.0", "U 0.30 cc"),
        ("ultrasonic thickness gauge", "in", "wall on the thrust side", "1", "0.205", "U 0.00500 in"),
        ("scale", "g", "rod weight", "1 2 3 4", "680", "U 1.13 g"),
    ];
    for (at, (instrument, unit, feature, positions, value, _)) in (0..).zip(sets) {
        let (mark, all) = (format!("G{at}"), feature == "rod weight");
        let mut gauge = drop_at("gauge", 5, json!({"gauge": mark, "instrument": instrument}));
        gauge.as_object_mut().unwrap().remove("job");
        let positions = if all { positions.split(' ').collect() } else { vec![positions] };
        let one = |position| json!({"feature": feature, "position": position, "value": value});
        let read: Vec<Value> = positions.into_iter().map(one).collect();
        let mut set = measured(20, "as received", &mark, read);
        set["body"]["unit"] = unit.into();
        shop.put(&format!("gauge-{at}.json"), &gauge);
        shop.put(&format!("set-{at}.json"), &set);
    }
    shop.run(&["once"]).ended(0);
    let job = shop.job_json();
    for (instrument, unit, feature, positions, _, u) in sets {
        let name =
            if feature == "rod weight" { feature.to_owned() } else { format!("{feature} {positions}") };
        let verdict =
            job["verdicts"].as_array().unwrap().iter().find(|v| v["name"] == name.as_str()).unwrap();
        assert_eq!((&verdict["uncertainty"], &verdict["unit"]), (&json!(u), &json!(unit)), "{instrument}");
        let lines = verdict["budget"]["lines"].as_array().unwrap();
        let says = |line: &Value| line["from"][0]["words"].as_str().unwrap().contains("common practice");
        assert!(!lines.is_empty() && lines.iter().all(says), "{instrument}: {lines:?}");
    }
}

#[test]
fn once_says_by_its_code_what_is_left() {
    let shop = MadeShop::new();
    shop.run(&["once"]).ended(0);
    shop.put_text("broken.json", "{\"kind\": [,]}");
    let returned = shop.run(&["once"]).ended(10);
    assert!(returned.out.starts_with("0 filed, 0 copies, 1 returned, 0 waiting"), "{}", returned.out);
    shop.put_text("half.json", "{\"kind\": \"gau");
    let waiting = shop.run(&["once"]).ended(11);
    assert!(waiting.out.contains("waiting: half.json: stops in the middle"), "{}", waiting.out);
    shop.put_text("wrong.json", "{\"kind\": \"picture\"}");
    let both = shop.run(&["once"]).ended(12);
    assert!(both.out.starts_with("0 filed, 0 copies, 1 returned, 1 waiting"), "{}", both.out);
}

#[test]
fn sheet_computes_a_sheet_and_names_its_faults() {
    let dir = tempfile::tempdir().unwrap();
    let file = |text: &str| {
        let path = dir.path().join("sheet.json");
        fs::write(&path, text).unwrap();
        path.to_str().unwrap().to_owned()
    };
    let good = run(&["sheet", &file(OV24)]).ended(0);
    assert!(good.out.contains("every stack agrees") && good.out.contains("main clearance"), "{}", good.out);

    let crossed = OV24.replacen("\"max\": \"3.6150\"", "\"max\": \"3.6050\"", 1);
    let lost = OV24.replacen("\"material\": \"grey iron\"", "\"material\": \"green iron\"", 1);
    let unknown = OV24.replacen("\"notice\"", "\"notise\"", 1);
    for (text, parts) in [
        (&crossed, ["row 1", "3.6050"]),
        (&lost, ["part block", "grey iron"]),
        (&unknown, ["/body", "notise"]),
    ] {
        assert_ne!(text, OV24);
        let broken = run(&["sheet", &file(text)]).ended(20);
        assert!(broken.out.starts_with("Returned: "), "{}", broken.out);
        for part in ["found:", "expected:"].iter().chain(&parts) {
            assert!(broken.out.contains(part), "{part}: {}", broken.out);
        }
    }
    let cut = run(&["sheet", &file(&OV24[..500])]).ended(20);
    assert!(cut.out.contains("stops in the middle"), "{}", cut.out);
    let other = run(&["sheet", &file(&gauges()[0].to_string())]).ended(1);
    assert!(other.err.contains("a drop of kind gauge, not a sheet"), "{}", other.err);
    assert!(run(&["sheet", "not-here.json"]).ended(1).err.contains("not-here.json"));
}

#[test]
fn board_job_and_summary_answer_people() {
    let shop = MadeShop::with_engine();
    let board = shop.run(&["board"]).ended(0).out;
    assert!(board.contains("24-017") && board.contains("2 beyond; 4 questioned"), "{board}");
    let short = shop.run(&["job", " main / 24-17"]).ended(0).out;
    assert!(
        short.contains("Stage:") && short.contains("main journal 3, size (row 13): 2.2471 in"),
        "{short}"
    );
    assert!(short.contains("two digits swapped?") && !short.contains("crankpin 1, size"), "{short}");
    let all = shop.run(&["job", JOB, "--all"]).ended(0).out;
    assert!(
        all.contains("crankpin 1, size (row 21): 1.9985 in") && all.contains("not proven, no gauge"),
        "{all}"
    );
    let summary = shop.run(&["summary"]).ended(0).out;
    assert!(summary.contains("OUT OF LIMITS") && summary.contains("main journal 3, size"), "{summary}");
    let unknown = shop.run(&["job", "99-999"]).ended(1);
    assert!(unknown.err.contains("99-999") && unknown.err.contains("benchdrop board"), "{}", unknown.err);
    shop.run(&["job", " / "]).ended(1);

    let board: Value = serde_json::from_str(&shop.run(&["board", "--json"]).ended(0).out).unwrap();
    let engine = &board["engines"][0];
    assert_eq!((&engine["job"], &engine["written"]), (&json!("MAIN/24-17"), &json!(JOB)));
    assert_eq!(
        (engine["beyond"].as_array().unwrap().len(), engine["questioned"].as_array().unwrap().len()),
        (2, 4)
    );
}

/// Every verdict carries value, limit and which one, band and side, probability, readings used, rule and source;
/// one without a reading says which places are missing.
#[test]
fn job_json_explains_every_verdict() {
    let shop = MadeShop::with_engine();
    let job = shop.job_json();
    let (mut judged, mut missing, mut sides) = (0, 0, 0);
    for verdict in job["verdicts"].as_array().unwrap() {
        let texts = ["feature", "name", "characteristic", "condition", "basis", "state"];
        assert!(texts.iter().all(|key| !verdict[key].as_str().unwrap().is_empty()), "{verdict:#}");
        assert!(verdict["row"].is_u64() && verdict["instance"].is_u64() && verdict["stands"].is_boolean());
        if verdict.get("value").is_none_or(Value::is_null) {
            assert_eq!(verdict["state"], "incomplete", "{verdict:#}");
            assert!(!verdict["missing"].as_array().unwrap().is_empty(), "{verdict:#}");
            missing += 1;
            continue;
        }
        judged += 1;
        let text = |key: &str| verdict[key].as_str().unwrap_or_else(|| panic!("no {key}: {verdict:#}"));
        assert!(text("value").parse::<f64>().is_ok() && text("value-exact").contains('/'), "{verdict:#}");
        assert!(!text("rule").is_empty() && !text("source").is_empty(), "{verdict:#}");
        let readings = verdict["readings"].as_array().unwrap();
        assert!(!readings.is_empty());
        assert!(
            readings
                .iter()
                .all(|r| r["drop"].as_str().unwrap().len() == 64 && r["row"].as_u64().unwrap() >= 1)
        );
        // These keys are there even where their value is "none".
        for key in ["limit", "band", "side", "probability"] {
            assert!(verdict.get(key).is_some(), "no {key}: {verdict:#}");
        }
        if verdict["limit"].is_null() {
            assert_eq!(text("judged-state"), "no limit on the sheet");
            continue;
        }
        assert!(
            ["new", "service", "after work"].contains(&verdict["limit"]["column"].as_str().unwrap()),
            "{verdict:#}"
        );
        assert!(!(verdict["limit"]["min"].is_null() && verdict["limit"]["max"].is_null()), "{verdict:#}");
        match text("band") {
            "beyond" => assert!(["below", "above"].contains(&text("side")), "{verdict:#}"),
            "new" | "service" => assert!(verdict["side"].is_null(), "{verdict:#}"),
            other => panic!("band {other}"),
        }
        sides += usize::from(text("band") == "beyond");
        let named = !verdict["gauges"].as_array().unwrap().is_empty();
        assert_eq!(verdict["probability"].is_string(), named, "{verdict:#}");
        if named {
            let p: f64 = text("probability").parse().unwrap();
            assert!((0.0..=1.0).contains(&p), "{verdict:#}");
        }
    }
    assert!(judged >= 8 && missing > 20 && sides == 2, "{judged} judged, {missing} missing, {sides} beyond");
    assert_eq!(job["questions"].as_array().unwrap().len(), 4);
}

#[test]
fn ledger_verify_finds_one_flipped_byte() {
    let shop = MadeShop::with_engine();
    let sound = shop.run(&["ledger", "verify"]).ended(0);
    assert!(sound.out.contains("The ledger is sound."), "{}", sound.out);
    assert!(!sound.err.contains('%'), "progress is silent in a pipe: {}", sound.err);
    let path = shop.path("shop/ledger/benchdrop.db");
    let good = fs::read(&path).unwrap();
    let at = good.windows(16).position(|bytes| bytes == b"\"value\":\"2.2471\"").unwrap();
    let mut flipped = good.clone();
    flipped[at + 14] ^= 1;
    fs::write(&path, &flipped).unwrap();
    let damaged = shop.run(&["ledger", "verify"]).ended(20);
    assert!(damaged.out.contains("fault:") && damaged.out.contains("restore a backup"), "{}", damaged.out);
    fs::write(&path, &good).unwrap();
    shop.run(&["ledger", "verify"]).ended(0);
}

#[test]
fn a_wrong_configuration_is_answered_with_the_right_one() {
    let shop = MadeShop::new();
    let path = shop.path("shop/benchdrop.toml");
    let good = fs::read_to_string(&path).unwrap();
    fs::write(&path, good.replace("summary-at", "sumary-at").replace("settle-seconds", "settle-secs"))
        .unwrap();
    for command in [&["once"][..], &["run"], &["board"], &["job", JOB], &["summary"], &["ledger", "verify"]] {
        let refused = shop.run(command).ended(1);
        assert!(refused.err.contains("sumary-at: did you mean summary-at?"), "{command:?}: {}", refused.err);
        assert!(refused.err.contains("did you mean intake.settle-seconds?"), "{command:?}: {}", refused.err);
    }
    fs::write(&path, good).unwrap();
    // Before the first round there is no ledger to read.
    let early = shop.run(&["board"]).ended(1);
    assert!(early.err.contains("ledger"), "{}", early.err);
    let nowhere = run(&["--config", "no-such-file.toml", "board"]).ended(1);
    assert!(nowhere.err.contains("no-such-file.toml"), "{}", nowhere.err);
}

#[test]
fn arguments_are_explained_and_wrong_ones_refused() {
    let help = run(&["--help"]).ended(0).out;
    for command in [
        "init", "run", "once", "sheet", "check", "board", "job", "form", "gauges", "summary", "demo",
        "reckon", "ledger",
    ] {
        assert!(help.contains(&format!("\n  {command} ")), "{command}: {help}");
        let own = run(&[command, "--help"]).ended(0).out;
        assert!(own.contains("Usage: benchdrop"), "{own}");
    }
    assert!(run(&["--version"]).ended(0).out.starts_with("benchdrop "));
    assert!(run(&["bord"]).ended(2).err.contains("'board'"));
    run(&["job"]).ended(2);
    run(&[]).ended(2);
}

#[test]
fn a_reader_that_goes_away_is_no_trouble() {
    let shop = MadeShop::with_engine();
    let mut child =
        shop.command(&["job", JOB, "--json"]).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
    let mut first = String::new();
    BufReader::with_capacity(16, child.stdout.take().unwrap()).read_line(&mut first).unwrap();
    assert_eq!(first, "{\n");
    let ended = Answer::of(child.wait_with_output().unwrap()).ended(0);
    assert!(ended.err.is_empty(), "{}", ended.err);
}

#[test]
fn json_logs_are_one_object_a_line() {
    let shop = MadeShop::new();
    shop.put_text("two\nlines.json", "{\"kind\": \"no\\nne\"}");
    let once = shop.run(&["--log-json", "once"]).ended(10);
    let lines: Vec<Value> = once.err.lines().map(|line| serde_json::from_str(line).expect(line)).collect();
    assert!(lines.len() >= 2 && lines.iter().all(|line| line["level"].is_string()), "{}", once.err);
    let plain = shop.run(&["once"]).ended(0);
    assert!(!plain.err.contains('{') && !plain.err.contains('\u{1b}'), "{}", plain.err);
}

/// A stranger's text must not steer the terminal of whoever asks.
#[test]
fn answers_carry_no_command_of_a_terminal() {
    let shop = MadeShop::new();
    let mut engine = check_in(10);
    engine["body"]["customer"]["name"] = "Mill\u{9b}2J\u{9b}31m\u{90}\u{202e}llim END".into();
    engine["who"] = "L\u{9d}0;x\u{9c}M".into();
    shop.put("check-in.json", &engine);
    let mut strange =
        measured(20, "as received", "MIC\u{9b}31m", vec![reading("cam\u{9b}31m", "1", "a", "b", "1.0")]);
    strange["device"] = "\u{9b}31m".into();
    shop.put("strange.json", &strange);
    shop.run(&["once"]).ended(0);
    let is_command = |c: char| {
        (c.is_control() && c != '\n') || matches!(c, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
    };
    for command in
        [&["board"][..], &["board", "--json"], &["job", JOB, "--all"], &["job", JOB, "--json"], &["summary"]]
    {
        let answer = shop.run(command).ended(0).out;
        assert!(answer.contains("Mill"), "{command:?}: {answer}");
        assert!(!answer.chars().any(is_command), "{command:?}: {answer:?}");
    }
    // What a program reads is what was dropped.
    assert_eq!(shop.job_json()["check-in"]["customer"], engine["body"]["customer"]["name"]);
}
