//! `form NO`: what a person fills in comes back as the drop that a program would have written.

use super::made_shop::MadeShop;
use super::support::*;
use benchdrop::facts::decode;
use serde_json::{Value, json};
use std::fs;

/// Fills every place of the first `most` rows as a spreadsheet with a decimal comma would, and gives the readings.
fn fill(form: &str, most: usize) -> (String, Vec<Value>) {
    let (mut text, mut readings, mut columns) = (String::new(), Vec::new(), Vec::new());
    for line in form.lines() {
        let mut cells: Vec<String> = line.split(';').map(str::to_owned).collect();
        if cells[0] == "feature" {
            columns = cells.clone();
        } else if !columns.is_empty() && cells[0] != "end" && readings.len() < most {
            let value = format!("2,{:04}", 2480 + readings.len());
            cells[4] = value.clone();
            let named = columns.iter().zip(&cells).take(4).filter(|(_, cell)| !cell.is_empty());
            let mut reading: serde_json::Map<String, Value> =
                named.map(|(column, cell)| (column.clone(), cell.as_str().into())).collect();
            reading.insert("value".into(), value.replace(',', ".").into());
            readings.push(Value::Object(reading));
        } else if cells[0] == "who" {
            cells[1] = "LM".into();
        } else if cells[0] == "gauge" {
            cells[1] = "MIC-23".into();
        }
        // A spreadsheet writes as many cells in every row.
        cells.resize(cells.len().max(9), String::new());
        text.push_str(&cells.join(";"));
        text.push_str("\r\n");
    }
    (text, readings)
}

#[test]
fn a_filled_form_is_the_drop_a_program_would_write() {
    let shop = MadeShop::with_engine();
    let form = shop.run(&["form", JOB, "--csv", "--feature", "main journal"]).ended(0).out;
    let (filled, readings) = fill(&form, 20);
    assert_eq!(readings.len(), 20, "five journals, two planes, two directions: {form}");
    let recorded =
        form.lines().find_map(|line| line.strip_prefix("recorded;")).unwrap().split(';').next().unwrap();
    assert!(recorded.ends_with("+00:00"), "{recorded}");
    let drop = json!({
        "kind": "measurements", "version": 1, "job": JOB, "who": "LM", "recorded": recorded,
        "body": {"condition": "as received", "unit": "in", "gauge": "MIC-23", "readings": readings}
    });
    let of_form = decode(filled.as_bytes(), SITE).unwrap();
    assert_eq!(of_form.id, decode(drop.to_string().as_bytes(), SITE).unwrap().id);
    assert_ne!(of_form.bytes.hex(), of_form.id.hex());

    // The real door takes it: by its content, whatever its name.
    shop.put_text("filled.tab", &filled);
    let once = shop.run(&["once"]).ended(0);
    assert!(once.out.starts_with("1 filed"), "{}", once.out);
    let verdict = |job: &Value| {
        let all = job["verdicts"].as_array().unwrap().clone();
        all.into_iter().find(|v| v["name"] == "main journal 1" && v["characteristic"] == "size").unwrap()
    };
    assert_eq!(verdict(&shop.job_json())["state"], "inside, not proven");
    // What was measured is no longer called missing.
    let again = shop.run(&["form", JOB, "--csv", "--feature", "main journal"]).ended(0).out;
    assert!(form.contains("main journal;1;front;X;;;;missing"), "{form}");
    assert!(again.contains("main journal;1;front;X;;;;2.2480 as received"), "{again}");
}

/// The whole engine on one form, half filled; what is left empty says nothing.
#[test]
fn a_form_of_the_whole_engine_may_be_handed_in_half_filled() {
    let shop = MadeShop::with_engine();
    let form = shop.run(&["form", "main/24-17", "--csv"]).ended(0).out;
    for place in ["bore;1;top;X;", "main journal;5;rear;Y;", "crankpin;1;"] {
        assert!(form.contains(&format!("\n{place}")), "{place} is missing:\n{form}");
    }
    let (filled, readings) = fill(&form, 3);
    let fact = decode(filled.as_bytes(), SITE).unwrap();
    let benchdrop::facts::Body::Measurements(set) = &fact.body else { panic!("measurements") };
    assert_eq!(set.readings.len(), readings.len());
    // As it came, it says nothing at all, and whoever dropped it is told so.
    let unfilled = decode(form.as_bytes(), SITE).unwrap_err();
    let slip = benchdrop::facts::slip("form.csv", &unfilled);
    assert!(slip.contains("no row filled in"), "{slip}");
}

/// Whoever has only the head in hand is not led through the block.
#[test]
fn a_form_asks_for_what_came() {
    let shop = MadeShop::with_engine();
    shop.put_text(
        "head.json",
        r#"{"kind": "check-in", "version": 1, "job": "24-030", "who": "RH", "recorded": "2026-03-02T08:00:00Z",
            "body": {"sheet": "OV-24", "customer": {"name": "Harl Farm"}, "engine": {}, "scope": ["head"]}}"#,
    );
    shop.run(&["once"]).ended(0);
    let form = shop.run(&["form", "24-030", "--csv"]).ended(0).out;
    assert!(form.contains("\nintake guide;1;top;along;;;;;;missing"), "{form}");
    assert!(!form.contains("\nbore;") && !form.contains("\ncrankpin;"), "{form}");
    // What is asked for by name is there all the same.
    assert!(
        shop.run(&["form", "24-030", "--csv", "--feature", "bore"]).ended(0).out.contains("\nbore;1;top;X")
    );
    // The band that never wore may be read; nothing waits for it.
    let page =
        fs::read_dir(shop.path("shop/watch-folder/board/forms")).unwrap().map(|entry| entry.unwrap().path());
    let page = page
        .filter(|path| path.to_string_lossy().contains("main-24-17"))
        .map(|path| fs::read_to_string(path).unwrap());
    let page: Vec<String> = page.collect();
    assert!(
        page[0].contains("0 measured, 24 missing, 0 questioned"),
        "three levels, two directions, four bores"
    );
}

#[test]
fn every_kind_has_its_form() {
    let shop = MadeShop::with_engine();
    for (kind, _, _) in benchdrop::facts::KINDS {
        let form = shop.run(&["form", JOB, "--csv", "--kind", kind]).ended(0).out;
        assert!(form.starts_with("last-row;end\n") && form.ends_with("\nend\n"), "{form}");
        let fields: Value =
            serde_json::from_str(&shop.run(&["form", JOB, "--json", "--kind", kind]).ended(0).out).unwrap();
        assert_eq!(fields["kind"], kind);
        assert!(fields["heads"].as_array().unwrap().iter().any(|head| head["key"] == "who"), "{fields:#}");
    }
    let sign_off = shop.run(&["form", JOB, "--csv", "--kind", "sign-off"]).ended(0).out;
    let filled = sign_off
        .replace("\nwho;", "\nwho;RH")
        .replace("\nname;", "\nname;Rowan Holt")
        .replace("\nstep;", "\nstep;inspection");
    decode(filled.as_bytes(), SITE).unwrap_or_else(|refusal| panic!("{refusal:?}\n{filled}"));
}

#[test]
fn what_a_form_cannot_be_made_of_is_said() {
    let shop = MadeShop::with_engine();
    let no = |arguments: &[&str], why: &str| {
        let refused = shop.run(arguments).ended(1);
        assert!(refused.err.contains(why) && refused.out.is_empty(), "{arguments:?}: {}", refused.err);
    };
    no(&["form", "99-1", "--csv"], "99-1");
    no(&["form", JOB, "--csv", "--feature", "wing"], "main journal");
    no(&["form", JOB, "--csv", "--kind", "picture"], "picture");
    shop.run(&["form", JOB]).ended(2);
}
