//! Cautions: everything that can hurt says so where it is done, on the engine it can hurt on, and nothing else does. What can
//! hurt is written here from section G of the trade notes, not from the house's own table. Guards promise 9.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test that cannot go on should panic")]

#[path = "support/digits.rs"]
mod digits;
#[path = "cautions/kinds.rs"]
mod kinds;
#[path = "cautions/notes.rs"]
mod notes;
#[path = "support/rebuild.rs"]
mod rebuild;
mod support;

use benchdrop::facts::{PartEvent, TestKind, Trouble};
use benchdrop::pages::{
    JobView, bench_form, job_json, job_page, job_text, order_words, plan_json, plan_page, work_order,
};
use benchdrop::sheets::{Characteristic, RemedyKind, Sheet, written::SheetWritten};
use benchdrop::shop::{FactSet, Shop};
use benchdrop::stages::Stage;
use benchdrop::stages::cautions::{Doing, Handled, Hazard, Look, REMINDER, Work, at_hand, cautions};
use notes::{CANNOT_HURT, handled, look, rows, work};
use rebuild::{Cut, Named, OV24_REBUILD, Plan, rebuild};
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use support::{OV24, fact};

const KD3: &str = include_str!("../schemas/examples/sheet.v1/pass/kd-3.json");

const KD3_REBUILD: Plan = Plan {
    sheet: KD3,
    scope: "complete",
    cuts: &[Cut { feature: "main journal", operation: "grind", size: "0.25 under", order: None }],
};

fn sheet(text: &str) -> Sheet {
    let mut drop: Value = serde_json::from_str(text).unwrap();
    let written: SheetWritten = serde_json::from_value(drop["body"].take()).unwrap();
    Sheet::read(&written).unwrap()
}

/// What is said of one thing that is done to a part of a sheet; to the whole engine where no part is named.
fn said(sheet: &Sheet, doing: &[Doing], part: &str) -> String {
    let parts: Vec<usize> = sheet.part(part).map(|(index, _)| index).into_iter().collect();
    let done: Vec<(Doing, Vec<usize>)> = doing.iter().map(|doing| (*doing, parts.clone())).collect();
    lines(sheet, &done)
}

fn lines(sheet: &Sheet, done: &[(Doing, Vec<usize>)]) -> String {
    cautions(Some(sheet), done)
        .iter()
        .map(|caution| format!("{}\n", caution.line()))
        .collect::<String>()
        .to_lowercase()
}

#[test]
fn every_row_of_the_trade_notes_is_said_where_it_hurts() {
    let sheet = sheet(KD3);
    for (row, doing, part, words) in rows() {
        let said = said(&sheet, &doing, part);
        for word in words {
            assert!(said.contains(word), "{row}: {word:?} is not in\n{said}");
        }
    }
}

#[test]
fn what_hurts_has_a_caution_and_what_cannot_is_named() {
    let mut all: Vec<(String, Doing)> = Vec::new();
    all.extend(PartEvent::ALL.iter().map(|e| (format!("event {}", e.word()), Doing::Event(*e))));
    all.extend(TestKind::ALL.iter().map(|t| (format!("test {}", t.word()), Doing::Test(*t))));
    all.extend(Trouble::ALL.iter().map(|t| (format!("trouble {}", t.word()), Doing::Trouble(*t))));
    all.extend(Characteristic::ALL.iter().map(|c| (format!("reading {}", c.word()), Doing::Reading(*c))));
    all.extend(Look::ALL.iter().map(|l| (format!("look {l:?}").to_lowercase(), Doing::Look(*l))));
    all.extend(Handled::ALL.iter().map(|h| (format!("handled {h:?}").to_lowercase(), Doing::Part(*h))));
    all.extend(Work::ALL.iter().map(|w| (format!("work {w:?}").to_lowercase(), Doing::Work(*w))));
    let remedies = [
        RemedyKind::ToSize,
        RemedyKind::Sleeve,
        RemedyKind::BuildUp,
        RemedyKind::Restore,
        RemedyKind::Cut,
        RemedyKind::Straighten,
        RemedyKind::Dress,
    ];
    all.extend(remedies.iter().map(|r| (format!("remedy {r:?}").to_lowercase(), Doing::Remedy(*r))));
    let bare: BTreeSet<&str> =
        all.iter().filter(|(_, doing)| doing.hazards().is_empty()).map(|(name, _)| name.as_str()).collect();
    let listed: BTreeSet<&str> = CANNOT_HURT.iter().map(|(name, _)| *name).collect();
    assert_eq!(bare, listed);
    let shown: BTreeSet<Hazard> = all
        .iter()
        .map(|(_, doing)| *doing)
        .chain([Doing::Carrying, Doing::Mounting, Doing::Turning, Doing::Tightening])
        .flat_map(|doing| doing.hazards().iter().copied())
        .collect();
    let every: BTreeSet<Hazard> = Hazard::ALL.iter().copied().collect();
    assert_eq!(shown, every, "a caution that nothing leads to is never seen");
}

/// Section C3 and G: aluminium, diesel, interference, sodium, overhead cams.
#[test]
fn it_knows_the_engine() {
    let (petrol, diesel) = (sheet(OV24), sheet(KD3));
    let start = look("first start");
    assert!(said(&diesel, &start, "").contains("runaway"));
    assert!(!said(&petrol, &start, "").contains("runaway"), "{}", said(&petrol, &start, ""));
    assert!(said(&petrol, &look("compression"), "").contains("ignition"));
    assert!(!said(&diesel, &look("compression"), "").contains("ignition"));
    let turns = look("two turns");
    assert!(said(&diesel, &turns, "").contains("cam drive off"));
    assert!(!said(&petrol, &turns, "").contains("cam drive off"));
    let tank = [Doing::Event(PartEvent::IntoBath)];
    let alloy = said(&diesel, &tank, "head");
    assert!(alloy.contains("never in the hot caustic tank: head: it dissolves"), "{alloy}");
    let iron = said(&petrol, &tank, "head");
    assert!(!iron.contains("never in the hot caustic tank"), "an iron head is boiled out: {iron}");
    assert!(iron.contains("face shield"));
    let whole = said(&petrol, &tank, "");
    assert!(whole.contains("never in the hot caustic tank: piston: "), "{whole}");
    let particles = [Doing::Test(TestKind::MagneticParticle)];
    let alloy = said(&diesel, &particles, "head");
    assert!(alloy.contains("no magnetic particle test: head: they show nothing"), "{alloy}");
    assert!(!alloy.contains("pacemaker"), "it is not made: {alloy}");
    assert!(!said(&diesel, &particles, "crankshaft").contains("they show nothing"));
    let cam = handled("cam cap");
    assert!(said(&diesel, &cam, "cam cap").contains("evenly"));
    assert!(!said(&petrol, &cam, "camshaft").contains("evenly"));
    assert!(
        !said(&diesel, &handled("exhaust valve"), "exhaust valve").contains("sodium"),
        "the sheet says it has none"
    );
}

/// A sheet that does not say hears of it with an "if"; one that says so hears its parts by name.
#[test]
fn what_the_sheet_does_not_say_is_said_with_an_if() {
    let mut drop: Value = serde_json::from_str(KD3).unwrap();
    for key in ["fuel", "cams"] {
        drop["body"]["engine"].as_object_mut().unwrap().remove(key);
    }
    for material in drop["body"]["materials"].as_array_mut().unwrap() {
        material.as_object_mut().unwrap().remove("metal");
    }
    for part in drop["body"]["parts"].as_array_mut().unwrap() {
        part.as_object_mut().unwrap().remove("sodium-filled");
    }
    let silent = sheet(&drop.to_string());
    assert!(said(&silent, &look("first start"), "").contains("runaway: if it is a diesel, "));
    assert!(said(&silent, &handled("cam cap"), "cam cap").contains("if its cams lie in the head"));
    let tank = said(&silent, &[Doing::Event(PartEvent::IntoBath)], "exhaust valve");
    assert!(tank.contains("what is aluminium, magnesium or zinc: "), "{tank}");
    assert!(tank.contains("a valve that is sodium-filled: never cut"), "{tank}");
    assert!(
        !said(&silent, &[Doing::Event(PartEvent::IntoBath)], "rod").contains("sodium"),
        "a rod holds none"
    );
    let mut drop: Value = serde_json::from_str(KD3).unwrap();
    for part in drop["body"]["parts"].as_array_mut().unwrap() {
        if part["part"] == "exhaust valve" {
            part["sodium-filled"] = true.into();
        }
    }
    let filled = sheet(&drop.to_string());
    let weld = said(&filled, &work("weld the tips"), "exhaust valve");
    assert!(weld.contains("exhaust valve: never cut, ground into, welded, heated"), "{weld}");
    assert!(
        said(&filled, &[Doing::Event(PartEvent::Scrapped)], "exhaust valve")
            .contains("not into the scrap bin")
    );
}

fn seen(drops: &[Named]) -> (JobView, FactSet, Shop) {
    let (mut shop, mut job) = (FactSet::default(), FactSet::default());
    for (_, drop) in drops {
        let fact = fact(drop);
        let set = if fact.job.is_some() { &mut job } else { &mut shop };
        set.insert(fact);
    }
    let shop = Shop::fold(&shop);
    let key = benchdrop::facts::JobKey::of(support::JOB, support::SITE).unwrap();
    (benchdrop::respond::view(&key, &job, &shop), job, shop)
}

/// Titles of what is at hand, gate by gate, over a whole rebuild.
fn by_gate(drops: &[Named]) -> BTreeMap<Stage, BTreeSet<&'static str>> {
    let mut found: BTreeMap<Stage, BTreeSet<&'static str>> = BTreeMap::new();
    let verb = |drop: &Named| drop.0.split(' ').next().unwrap().to_owned();
    // Before the first of each kind of drop everything it will say is still open.
    for end in (1..drops.len()).filter(|end| verb(&drops[*end]) != verb(&drops[end - 1])) {
        let (view, ..) = seen(&drops[..end]);
        let steps = at_hand(&view.job, &view.standing);
        let done: Vec<_> = steps.into_iter().map(|step| (step.doing, step.parts)).collect();
        let titles =
            cautions(view.job.sheet.as_deref(), &done).into_iter().map(|caution| caution.hazard.title());
        found.entry(view.standing.stage).or_default().extend(titles);
    }
    found
}

/// What a careful foreman would want said at each gate of this diesel; more may be said.
#[test]
fn each_gate_of_a_rebuild_says_what_can_hurt_at_it() {
    let found = by_gate(&rebuild(&KD3_REBUILD));
    let wanted: [(Stage, &[&str]); 6] = [
        (Stage::CheckedIn, &["Air in a cylinder", "Injection off", "Running engine"]),
        (
            Stage::Teardown,
            &[
                "Stand bolts",
                "Lifting",
                "Turning it over",
                "Compressed springs",
                "Valves meet pistons",
                "Overhead cam",
                "Injection spray",
                "Old gaskets and linings",
                "Burnt seals",
                "Never in the hot caustic tank",
                "Heavy parts",
                "Hot caustic",
                "Compressed air",
            ],
        ),
        (Stage::Inspection, &["Magnetic particle test", "Dye penetrant", "Pressure test"]),
        (
            Stage::Machining,
            &["Machine tools", "Eyes, ears, hands", "Magnetic particle test", "Compressed air"],
        ),
        (Stage::Reassembly, &["Wrench", "Compressed springs", "Tensioner and clips", "Turning by hand"]),
        (
            Stage::Released,
            &["Runaway", "Starting spray", "Running engine", "Exhaust", "Fuel", "Priming", "Waste"],
        ),
    ];
    for (stage, titles) in wanted {
        for title in titles {
            assert!(
                found[&stage].contains(title),
                "{title} is not said at {}: {:?}",
                stage.word(),
                found[&stage]
            );
        }
    }
    assert!(!found[&Stage::Inspection].contains("Runaway"), "only what the steps at hand need");
    let petrol = by_gate(&rebuild(&OV24_REBUILD));
    assert!(petrol[&Stage::Inspection].contains("Compressed springs"), "its spring loads are read");
    assert!(
        petrol.values().all(|titles| !titles.contains("Runaway") && !titles.contains("Valves meet pistons"))
    );
}

fn until(drops: &[Named], name: &str) -> usize {
    drops.iter().position(|(known, _)| known.starts_with(name)).unwrap()
}

/// On the form beside its section, on the job page, for programs; each once, the reminder with it.
#[test]
fn it_stands_where_the_step_is_taken() {
    let drops = rebuild(&KD3_REBUILD);
    let (view, job, shop) = seen(&drops[..until(&drops, "crack test")]);
    let form = bench_form(&view, &job, &shop, "main");
    let section = |id: &str| {
        let from = form.find(&format!("<details class=\"section\" id=\"{id}\"")).unwrap();
        let rest = &form[from + 10..];
        rest.split("<details class=\"section\"").next().unwrap().to_owned()
    };
    assert!(section("finding").contains("pacemaker"), "beside the tests");
    assert!(!section("account").contains("pacemaker"));
    let plain = REMINDER.replace('\'', "&#39;");
    let reminded = |html: &str| html.contains(REMINDER) || html.contains(&plain);
    assert!(reminded(&section("finding")));
    let page = job_page(&view);
    assert_eq!(page.matches("pacemaker").count(), 1, "each once");
    assert!(reminded(&page));
    assert!(job_text(&view, false).contains("pacemaker"));
    let json = job_json(&view);
    let now = json["cautions"]["now"].as_array().unwrap();
    assert!(now.iter().any(|caution| caution["title"] == "Magnetic particle test"), "{now:?}");
    assert_eq!(json["cautions"]["reminder"], REMINDER);
}

/// The machinist's page and letter, and the plan.
#[test]
fn the_machinist_and_the_plan_hear_it_too() {
    let drops = rebuild(&OV24_REBUILD);
    let out = drops.iter().position(|(_, drop)| !drop["body"]["out"].is_null()).unwrap();
    let (view, ..) = seen(&drops[..=out]);
    let order = view.job.orders.values().next().unwrap();
    let page = work_order(&view, order);
    assert!(page.contains("Machine tools") && page.contains("licensed or qualified"), "{page}");
    let words = order_words(&view, order);
    let care = words.iter().find(|(heading, _)| heading == "Take care").unwrap();
    assert!(care.1.iter().any(|line| line.contains("guards on")), "{care:?}");
    // Worn bores, so that there is something to plan.
    let mut worn = drops[..until(&drops, "agree")].to_vec();
    let at = until(&worn, "read bore");
    for reading in worn[at].1["body"]["readings"].as_array_mut().unwrap() {
        // As bores wear: most at the top of ring travel.
        let worn = [("top", "3.6158"), ("middle", "3.6140"), ("bottom", "3.6120")];
        if let Some((_, value)) = worn.iter().find(|(station, _)| reading["station"] == *station) {
            reading["value"] = (*value).into();
        }
    }
    let (view, ..) = seen(&worn);
    let plan = plan_json(&view);
    let work = plan["cautions"]["work"].as_array().unwrap();
    assert!(work.iter().any(|caution| caution["title"] == "Machine tools"), "{plan:#}");
    let page = plan_page(&view);
    assert!(page.contains("Take care") && page.contains("guards on"), "{page}");
}

/// A crack test of aluminium by magnetic particles is none, and the blocker says why and what to do instead.
#[test]
fn particles_on_aluminium_are_no_crack_test() {
    let mut drops = rebuild(&KD3_REBUILD);
    let at = until(&drops, "crack test head");
    assert_eq!(drops[at].1["body"]["findings"][0]["test"]["kind"], "dye penetrant");
    let (view, ..) = seen(&drops);
    assert_eq!(view.standing.blockers, [], "with dye penetrant it is released");
    drops[at].1["body"]["findings"][0]["test"]["kind"] = "magnetic particle".into();
    let (view, ..) = seen(&drops);
    let about_head: Vec<String> =
        view.standing.blockers.iter().filter(|b| b.about == "head").map(|b| b.what.clone()).collect();
    let why = about_head.iter().find(|what| what.contains("crack test it with dye penetrant"));
    let why = why.unwrap_or_else(|| panic!("{about_head:?}"));
    assert!(why.contains("aluminium is not magnetic") && why.contains("LM"), "{why}");
    assert!(job_page(&view).contains("counts for nothing: aluminium is not magnetic"));
    // What is magnetic is tested by them as ever.
    assert!(!about_head.iter().any(|what| what.contains("crankshaft")));
    let asked = seen(&rebuild(&KD3_REBUILD)[..at]).0;
    let asked = asked
        .standing
        .blockers
        .iter()
        .find(|b| b.about == "head" && b.what.contains("crack test"))
        .unwrap()
        .clone();
    assert_eq!(asked.what, "crack test it with dye penetrant, before anything is paid for or cut");
}
