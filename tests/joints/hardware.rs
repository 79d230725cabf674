//! Pieces by size: what came out unfit does not go back in, what has no place is asked about, and what is always new is
//! ordered until it is here.

use super::{OV24, engine, sheet};
use crate::support::drop_at;
use benchdrop::facts::Step;
use benchdrop::pages::{JobView, job_json, job_page};
use benchdrop::planning::to_order;
use serde_json::{Value, json};
use std::collections::BTreeMap;

fn count(minute: u32, group: &str, state: &str, pieces: &Value) -> Value {
    drop_at("hardware", minute, json!({"group": group, "state": state, "pieces": [pieces]}))
}

/// What a rule says of a group, else nothing.
fn says(view: &JobView, rule: &str, group: &str) -> String {
    let found = view.standing.blockers.iter().find(|b| b.rule.word() == rule && b.about.starts_with(group));
    found.map_or_else(String::new, |blocker| blocker.what.clone())
}

#[test]
fn what_came_out_stretched_does_not_go_back_in() {
    let bagged =
        json!({"count": 10, "trouble": "stretched", "troubled": 2, "thread": "clean", "grade": "grade 8"});
    let bag = count(20, "G01", "bagged", &bagged);
    let view = |used: u32, new: u32| {
        let back = [
            count(60, "G01", "used", &json!({"count": used})),
            count(61, "G01", "replaced", &json!({"count": new})),
        ];
        engine(&sheet(OV24), &[vec![bag.clone()], back.to_vec()].concat())
    };
    let all_old = says(&view(10, 0), "bags used up", "G01");
    assert!(
        all_old.contains("2 of 10 came out stretched") && all_old.contains("put new ones in"),
        "{all_old}"
    );
    assert!(says(&view(9, 1), "bags used up", "G01").contains("stretched"));
    assert_eq!(says(&view(8, 2), "bags used up", "G01"), "");
    let page = job_page(&view(8, 2));
    assert!(page.contains("threads clean, grade grade 8, 2 of them stretched"));
    assert!(job_json(&view(8, 2)).to_string().contains("\"troubled\":2"));
}

/// Five bolts of two lengths: the sheet says where each goes, a bag that holds another mix is asked about.
#[test]
fn another_mix_of_lengths_than_the_places_take_is_asked_about() {
    let mut ov24 = sheet(OV24);
    let pump =
        ov24["body"]["fasteners"].as_array_mut().unwrap().iter_mut().find(|g| g["group"] == "G12").unwrap();
    pump["sizes"][0]["places"] = json!(["1", "2", "3"]);
    pump["sizes"][1]["places"] = json!(["4", "5"]);
    pump["layout"] = json!({"rows": [{"places": ["1", "", "2"]}, {"places": ["4", "3", "5"]}]});
    let bag = |long: u32, short: u32| {
        let pieces =
            json!([{"size": "5/16-18 x 3.00", "count": long}, {"size": "5/16-18 x 1.25", "count": short}]);
        let bag = drop_at("hardware", 20, json!({"group": "G12", "state": "bagged", "pieces": pieces}));
        says(&engine(&ov24, &[bag]), "bagged", "G12")
    };
    assert_eq!(bag(3, 2), "");
    let odd = bag(2, 3);
    assert!(
        odd.contains("2 of 3 5/16-18 x 3.00") && odd.contains("3 of 2 5/16-18 x 1.25 (places 4, 5)"),
        "{odd}"
    );
    // Which length goes where is drawn as letters.
    let page = job_page(&engine(&ov24, &[]));
    let figure = page.split("<figure").skip(1).find(|figure| figure.contains("G12 Water pump")).unwrap();
    for words in ["A is 5/16-18 x 3.00", "B is 5/16-18 x 1.25", ">1 A<", ">3 A<", ">4 B<", ">5 B<"] {
        assert!(figure.contains(words), "{words}");
    }
}

/// The sheet's own lists: single-use bolts, what is always new of a joint, plugs that are renewed.
#[test]
fn what_is_always_new_is_ordered_until_it_is_here() {
    let ov24 = sheet(OV24);
    let signed = drop_at("sign-off", 50, json!({"step": "inspection", "name": "Rowan Holt"}));
    let order = |more: &[Value]| -> BTreeMap<String, u32> {
        let view = engine(&ov24, &[vec![signed.clone()], more.to_vec()].concat());
        assert!(view.job.signed.contains_key(&Step::Inspection));
        to_order(&view.job).into_iter().map(|one| (one.item, one.count)).collect()
    };
    let mut expected = Vec::new();
    for group in ov24["body"]["fasteners"].as_array().unwrap() {
        let name = format!("{} {}", group["group"].as_str().unwrap(), group["name"].as_str().unwrap());
        for new in group["always-new"].as_array().into_iter().flatten() {
            expected
                .push((format!("{name} {}", new["what"].as_str().unwrap()), new["count"].as_u64().unwrap()));
        }
    }
    assert_eq!(expected.len(), 5, "rod nuts, lock washer, manifold nuts, spark plugs, drain washer");
    let all = order(&[]);
    for (item, count) in &expected {
        assert_eq!(all.get(item).map(|count| u64::from(*count)), Some(*count), "{item} in {all:?}");
    }
    let here = json!({"item": "G02 Connecting rods nuts", "count": 8, "state": "received"});
    assert!(!order(&[drop_at("supply", 60, here)]).contains_key("G02 Connecting rods nuts"));
    let in_now = count(60, "G02", "replaced", &json!({"size": "nuts", "count": 6}));
    assert_eq!(order(&[in_now]).get("G02 Connecting rods nuts"), Some(&2));
}

/// Two lengths of one joint lie in two bags; the page says of each where it is.
#[test]
fn each_size_can_lie_elsewhere() {
    let pieces = json!([{"size": "5/16-18 x 3.00", "count": 3, "bag": "B-12 long", "place": "tray 5"},
        {"size": "5/16-18 x 1.25", "count": 2}]);
    let bag = json!({"group": "G12", "state": "bagged", "bag": "B-12", "place": "tray 4", "pieces": pieces});
    let view = engine(&sheet(OV24), &[drop_at("hardware", 20, bag)]);
    let page = job_page(&view);
    let row = |size: &str| {
        page.split("<tr").find(|row| row.contains(size) && row.contains("B-12")).unwrap().to_owned()
    };
    assert!(row("5/16-18 x 3.00").contains("B-12 long, tray 5"), "{}", row("5/16-18 x 3.00"));
    assert!(row("5/16-18 x 1.25").contains("B-12, tray 4"), "{}", row("5/16-18 x 1.25"));
    let json = job_json(&view);
    let counts = json["bags"][0]["counts"].as_array().unwrap();
    assert!(counts.iter().any(|c| c["label"] == "B-12 long" && c["place"] == "tray 5"), "{counts:?}");
    let body = &sheet(OV24)["body"];
    let of = |list: &str| body[list].as_array().cloned().unwrap_or_default();
    let here = |group: &Value| {
        let scopes = group["scopes"].as_array().cloned().unwrap_or_default();
        scopes.is_empty() || scopes.contains(&json!("complete"))
    };
    let groups: Vec<Value> =
        ["fasteners", "plugs", "pins"].iter().flat_map(|list| of(list)).filter(here).collect();
    let sizes = groups.iter().flat_map(|group| group["sizes"].as_array().unwrap());
    let all: u64 = sizes.map(|size| size["count"].as_u64().unwrap()).sum();
    let counted = format!(
        "1 of {} groups of bolts, plugs and pins are counted: 5 of {all} pieces came out, 0 are back in.",
        groups.len()
    );
    assert!(page.contains(&counted), "{counted}");
}
