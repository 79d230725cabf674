//! Text in every field of every kind that wants to be a tag, a header, a path or a command of a terminal.

use super::support::*;
use super::tags;
use super::temp_shop::TempShop;
use benchdrop::facts::decode;
use benchdrop::outbox::{Draft, render};
use serde_json::{Value, json};
use std::collections::{BTreeMap, BTreeSet};

/// A shop with an engine that has something of everything: values out of limits, a question, work, a signature.
fn story() -> Vec<Value> {
    let person = |name: &str, initials: &str, role: &str| json!({"name": name, "initials": initials, "roles": [role], "mail": format!("{role}@shop.example")});
    let mut drops = shop_with_engine();
    drops.iter_mut().filter(|drop| drop["kind"] == "sheet").for_each(shortened);
    drops.extend([
        shop_drop("people", 0, json!({"revision": 1, "people": [person("Rowan Holt", "RH", "owner"), person("Lin Marr", "LM", "bench")]})),
        drop_at("check-in", 9, json!({
            "sheet": "OV-24", "customer": {"name": "Ferrowmere Mill", "reach": "by bell"},
            "engine": {"serial": "OV24-00317", "castings": ["7714-B"]}, "scope": ["block and crankshaft", "gearbox"],
            "complaint": "low oil pressure", "remarks": "fan is missing", "approver": "Ines Ferrow", "promised": "2026-04-30",
            "wishes": {"aim": "least cost", "ceiling": "4,000"},
        })),
        measured(20, "as received", "MIC", journal("main journal", "3", ["2.2479", "2.2471", "2.2480", "2.2472"])),
        measured(21, "as received", "MIC", journal("main journal", "4", ["2.4288", "2.4288", "2.4288", "2.4288"])),
        measured(22, "as received", "LOAN", journal("crankpin", "1", ["1.9987", "1.9986", "1.9986", "1.9985"])),
        measured(23, "as received", "MIC", vec![reading("cam lobe", "9", "nose", "up", "1.5000")]),
        drop_at("withdrawal", 24, json!({"drop": "00000000", "why": "wrong engine"})),
        drop_at("part", 25, json!({"part": "rod", "position": "2", "event": "replaced", "state": "used", "why": "bent"})),
        drop_at("decision", 30, json!({"agreed-work": {"unit": "in", "agreed-by": "Ines Ferrow", "work": [
            {"operation": "grind", "feature": "main journal", "positions": ["all"], "finished": "0.010 under"}]}})),
        drop_at("decision", 31, json!({"accept": {"feature": "bore", "positions": ["1"], "characteristic": "size", "accepted-by": "Rowan Holt", "why": "it will do"}})),
        drop_at("sign-off", 32, json!({"step": "inspection", "name": "Rowan Holt", "note": "seen"})),
        drop_at("operation", 40, json!({"operation": "grind", "unit": "in", "finished": "0.010 under", "with": "grinder", "note": "slow",
            "places": [{"feature": "main journal", "positions": ["1", "2", "3"]}]})),
    ]);
    drops
}

/// The sheet with something of everything: each of its texts is poisoned and the whole read again, which the
/// complete sheet makes a matter of minutes.
fn shortened(sheet: &mut Value) {
    const FEATURES: [&str; 11] = [
        "bore",
        "piston skirt",
        "main journal",
        "main housing",
        "main shell",
        "crankpin",
        "rod housing",
        "rod shell",
        "deck height",
        "rod centre distance",
        "piston below deck",
    ];
    const PAIRS: [&str; 3] = ["piston clearance", "main clearance", "rod clearance"];
    let body = &mut sheet["body"];
    let among = |value: &Value, names: &[&str]| names.iter().any(|name| value == name);
    let list = |body: &mut Value, name: &str, keep: &dyn Fn(&Value) -> bool| {
        body[name].as_array_mut().unwrap().retain(keep);
    };
    list(body, "features", &|feature| among(&feature["feature"], &FEATURES));
    list(body, "pairs", &|pair| among(&pair["pair"], &PAIRS));
    let parts: Vec<Value> =
        body["features"].as_array().unwrap().iter().map(|feature| feature["part"].clone()).collect();
    list(body, "parts", &|part| parts.contains(&part["part"]));
    list(body, "fasteners", &|group| among(&group["group"], &["G02", "G03", "G04"]));
    // What names parts names only those that are on the sheet.
    let kept: Vec<Value> =
        body["parts"].as_array().unwrap().iter().map(|part| part["part"].clone()).collect();
    for (list, names) in [("fasteners", "holds"), ("parts", "sits-on"), ("features", "made-with")] {
        for row in body[list].as_array_mut().unwrap().iter_mut().filter_map(Value::as_object_mut) {
            row.retain(|key, value| {
                let named = value.as_array_mut().filter(|_| key == names);
                named.is_none_or(|named| {
                    named.retain(|part| kept.contains(part));
                    !named.is_empty()
                })
            });
        }
    }
    // What ties features together names those that are left out here.
    body.as_object_mut().unwrap().remove("geometry");
    for name in ["data", "checks"] {
        body[name].as_array_mut().unwrap().truncate(3);
    }
}

/// Every text of these drops with `harm` behind it, wherever the drop is still accepted with it. Equal texts stay
/// equal, so that names still lead to what they name. Says in how many places it stands.
fn poisoned(drops: &[Value], harm: &str) -> (Vec<Value>, usize) {
    let mut places = 0;
    let poison = |drop: &Value| {
        let mut drop = drop.clone();
        for (text, paths) in texts(&drop) {
            let mut tried = drop.clone();
            for path in &paths {
                *tried.pointer_mut(path).unwrap() = format!("{text}{harm}").into();
            }
            if decode(tried.to_string().as_bytes(), SITE).is_ok() {
                places += paths.len();
                drop = tried;
            }
        }
        drop
    };
    (drops.iter().map(poison).collect(), places)
}

/// All strings with the JSON pointers of the places where they stand.
fn texts(drop: &Value) -> BTreeMap<String, Vec<String>> {
    let mut found: BTreeMap<String, Vec<String>> = BTreeMap::new();
    let mut open = vec![(String::new(), drop)];
    while let Some((at, value)) = open.pop() {
        match value {
            Value::String(text) => found.entry(text.clone()).or_default().push(at),
            Value::Array(items) => {
                open.extend(items.iter().enumerate().map(|(index, item)| (format!("{at}/{index}"), item)));
            }
            Value::Object(entries) => {
                open.extend(entries.iter().map(|(key, item)| (format!("{at}/{key}"), item)));
            }
            Value::Null | Value::Bool(_) | Value::Number(_) => {}
        }
    }
    found
}

/// Takes the poisoned story in, and the plain one with its sheet and poison elsewhere. Gives both shops.
fn taken(harm: &str) -> [TempShop; 2] {
    let story = story();
    let (all, places) = poisoned(&story, harm);
    assert!(places > 200, "{harm:?} stands in {places} places only");
    // A sheet whose names do not fit its readings holds everything; with a plain sheet verdicts are shown too.
    let (_, rest): (Vec<_>, Vec<_>) = all.iter().cloned().partition(|drop| drop["kind"] == "sheet");
    let mut plain_names = vec![serde_json::from_str::<Value>(OV24).unwrap()];
    plain_names.extend(rest.into_iter().zip(story.iter().filter(|drop| drop["kind"] != "sheet")).map(
        |(bad, good)| {
            let mut drop = bad;
            if matches!(
                good["kind"].as_str(),
                Some("measurements" | "operation" | "part" | "check-in" | "gauge")
            ) {
                drop["body"] = good["body"].clone();
            }
            if good["kind"] == "check-in" {
                drop["body"]["customer"]["name"] = format!("Ferrowmere{harm}").into();
                drop["body"]["complaint"] = harm.into();
            }
            drop
        },
    ));
    [all, plain_names].map(|drops| {
        let mut shop = TempShop::new();
        shop.take(&drops);
        assert_eq!(shop.left().len(), 0);
        let refused: Vec<_> =
            shop.arrivals().into_iter().filter(|arrival| arrival.outcome.word() != "filed").collect();
        assert!(refused.is_empty(), "{harm:?}: {refused:#?}");
        shop
    })
}

#[test]
fn tags_in_every_text_stay_text() {
    for harm in ["<script>alert(1)</script>", "\"><img src=x onerror=y>", "'><b>&lt;", "]]><!--"] {
        let shops = taken(harm);
        for shop in &shops {
            tags::only_ours(shop);
            assert!(shop.pages().len() >= 3);
        }
        // The harm is there, in its harmless form.
        let escaped =
            harm.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;");
        let [all, plain] = shops;
        for shop in [&all, &plain] {
            assert!(shop.page("board.html").contains(&escaped), "{harm}");
            assert!(shop.pages().values().any(|page| page.contains("beyond")), "{harm}: verdicts are shown");
        }
        assert!(plain.alerts().iter().any(|mail| mail.html.contains(&escaped)), "{harm}");
    }
}

const HEADERS: [&str; 11] = [
    "From",
    "To",
    "Subject",
    "Date",
    "Message-ID",
    "Auto-Submitted",
    "MIME-Version",
    "Content-Type",
    "Content-Transfer-Encoding",
    "In-Reply-To",
    "References",
];

/// What stands on one line is refused when it holds a line end of ASCII; the others must do no harm.
#[test]
fn line_ends_in_every_text_make_no_header() {
    let harms = ["\u{85}\u{85}Dear all,", "\u{85}Bcc: x\u{2028}Cc: x", " =?utf-8?q?x=0D=0ABcc:_x?="];
    for harm in harms {
        for shop in taken(harm) {
            let letters = shop.letters();
            assert!(letters.len() >= 2, "{harm:?}: {} letters", letters.len());
            for mail in letters {
                let names: Vec<&str> = mail.headers.iter().map(|(name, _)| name.as_str()).collect();
                let once: BTreeSet<&str> = names.iter().copied().collect();
                assert_eq!(names.len(), once.len(), "{harm:?}: {names:?}");
                assert!(once.iter().all(|name| HEADERS.contains(name)), "{harm:?}: {names:?}");
                assert!(
                    ["owner@shop.example", "bench@shop.example"]
                        .iter()
                        .any(|to| mail.header("To").contains(to))
                );
                assert_eq!(mail.header("To").matches('@').count(), 1, "{}", mail.header("To"));
                assert!(!mail.subject.chars().any(char::is_control), "{:?}", mail.subject);
            }
            tags::only_ours(&shop);
        }
    }
}

#[test]
fn job_numbers_are_never_a_path() {
    let marks = format!("1{}", "\u{301}".repeat(39));
    let numbers = [
        "../../x",
        "..",
        "<script>",
        "a/../../b",
        "/etc/passwd",
        &marks,
        "A\r\nBcc: x@y",
        "\u{202e}1",
        "con",
        "%2e%2e",
        "\u{1f980}",
        "-rf",
        ".",
    ];
    let mut shop = TempShop::new();
    let mut drops = shop_with_engine();
    drops.pop();
    drops.push(shop_drop("people", 0, json!({"revision": 1, "people": [{"name": "RH", "initials": "RH", "roles": ["owner"], "mail": "owner@shop.example"}]})));
    for number in numbers {
        for mut drop in
            [check_in(10), measured(20, "as received", "MIC", journal("main journal", "3", ["2.2471"; 4]))]
        {
            drop["job"] = number.into();
            drops.push(drop);
        }
    }
    shop.take(&drops);
    let refused: Vec<_> = shop.arrivals().into_iter().filter(|a| a.outcome.word() == "returned").collect();
    assert!(refused.iter().all(|arrival| arrival.slip.contains("/job")), "{refused:?}");
    let jobs = shop.ledger().job_rows().unwrap().len();
    assert_eq!(jobs, numbers.len() - refused.len() / 2, "every number is a job of its own");
    // Ten letters within the hour; what is over comes when the hour has passed.
    assert_eq!(shop.alerts().len(), 10);
    shop.turn_after(std::time::Duration::from_secs(3_600));
    shop.settle();
    assert_eq!(shop.alerts().len(), jobs);
    let pages = shop.pages();
    assert_eq!(
        pages.len(),
        4 * jobs + 5,
        "a page, a plan, labels and a form each; board, today, gauges, arrivals and check-in"
    );
    for path in pages.keys() {
        let name = path.file_name().unwrap().to_str().unwrap();
        assert!(name.is_ascii() && name.len() < 60 && !name.starts_with(['.', '-']), "{name}");
    }
    tags::only_ours(&shop);
    assert!(!shop.path("x").exists() && !shop.path("watch-folder/x").exists());
}

/// Addresses, good ones among them, and what might be taken for one.
const ADDRESSES: [&str; 32] = [
    "owner@shop.example",
    "o.holt+bench@shop.example",
    "x@y.example\r\nBcc: z@y.example",
    "x@y.example,z@y.example",
    "x@y.example;z@y.example",
    "<x@y.example>",
    "RH<x@y.example>",
    "x@y.example>",
    "\"x y\"@y.example",
    "\"x\"@y.example",
    "x(hi)@y.example",
    "x@[127.0.0.1]",
    "x@[IPv6:::1]",
    "x@localhost",
    "x@",
    "@y",
    "x",
    "x@@y",
    "x@y@z",
    "x..y@z.example",
    "x\\@y.example",
    "o'brine@y.example",
    "x#1@y.example",
    "x@y_z.example",
    "x@-y.example",
    "\u{f6}@y.example",
    "x@\u{f6}.example",
    "x@xn--nda.example",
    "x%y@z.example",
    "x!y@z.example",
    "x:y@z.example",
    "-rf@y.example",
];

/// An address that the door takes is one that a letter can be written to: nobody is told nothing.
#[test]
fn mail_addresses_carry_nothing() {
    let owner = |mail: &str| {
        shop_drop(
            "people",
            0,
            json!({"revision": 1, "people": [{"name": "RH", "initials": "RH", "roles": ["owner"], "mail": mail}]}),
        )
    };
    let draft = |to| Draft {
        from: "a@b.example",
        from_name: "",
        to,
        to_name: "RH",
        subject: "s",
        text: "t",
        html: "h",
        message_id: "<1@b.example>",
        date: "2026-03-02T08:00:00Z".parse().unwrap(),
        in_reply_to: None,
    };
    let (mut taken, mut unreachable) = (Vec::new(), Vec::new());
    for mail in ADDRESSES {
        if decode(owner(mail).to_string().as_bytes(), SITE).is_ok() {
            taken.push(mail);
            if render(&draft(mail)).is_err() {
                unreachable.push(mail);
            }
        }
    }
    assert!(
        unreachable.is_empty(),
        "the door takes these, but no letter can be written to them: {unreachable:?}"
    );
    for good in ["owner@shop.example", "o.holt+bench@shop.example", "o'brine@y.example"] {
        assert!(taken.contains(&good), "{good}: {taken:?}");
    }
    for bad in ["x@y.example,z@y.example", "<x@y.example>", "x@", "x\\@y.example"] {
        assert!(!taken.contains(&bad), "{bad}");
    }
}
