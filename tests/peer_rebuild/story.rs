//! The rebuild of the first engine as papers in the order of the work: the readings are those of the table of computed
//! answers, and three things go wrong on the way: swapped digits, a gallery plug left out, single-use bolts used again.

use crate::rebuild::{Cut, Named, OV24_REBUILD, rebuild};
use benchdrop::clock::{Clock as _, SystemClock};
use jiff::ToSpan as _;
use serde_json::{Value, json};
use std::thread::sleep;
use std::time::Duration;

/// What becomes too large or too small is cut to.
pub(super) const CUTS: &[Cut] = OV24_REBUILD.cuts;

const SCOPE: &str = OV24_REBUILD.scope;

/// Papers that begin a chapter: before each the shop takes in what lies there, and all that is open is looked at.
const CHAPTERS: [&str; 22] = [
    "check compression",
    "off crankshaft",
    "clean block",
    "sign teardown",
    "read bore",
    "decide piston",
    "accept",
    "agree main journal",
    "approval",
    "sign inspection",
    "order WO-1 out",
    "order WO-2 back",
    "crack test again crankshaft",
    "check oil holes chamfered",
    "plugs in G20",
    "as fitted top ring gap",
    "fit main cap",
    "withdraw G03",
    "sign reassembly",
    "deposit",
    "sign engine",
    "sign delivered",
];

/// One paper: what it says, by the names of its facts.
#[derive(Clone, Debug)]
pub(super) struct Paper {
    pub(super) names: Vec<String>,
    pub(super) kind: String,
    pub(super) who: String,
    pub(super) body: Value,
}

impl Paper {
    fn of((name, drop): Named) -> Self {
        let text = |key: &str| drop[key].as_str().unwrap().to_owned();
        Self { kind: text("kind"), who: text("who"), body: drop["body"].clone(), names: vec![name] }
    }
}

pub(super) fn list<'a>(value: &'a Value, key: &str) -> &'a [Value] {
    value[key].as_array().map_or(&[], Vec::as_slice)
}

pub(super) fn text<'a>(value: &'a Value, key: &str) -> &'a str {
    value[key].as_str().unwrap_or("")
}

/// Is a row of the sheet for what came?
pub(super) fn fits(row: &Value) -> bool {
    list(row, "scopes").is_empty() || list(row, "scopes").iter().any(|scope| scope == SCOPE)
}

/// The row of a list of the sheet whose key is this.
pub(super) fn row<'a>(sheet: &'a Value, of: &str, key: &str, name: &str) -> &'a Value {
    list(sheet, of).iter().find(|row| row[key] == name).unwrap_or_else(|| panic!("no {name} in {of}"))
}

/// A feature with its positions, as a person would write them.
pub(super) fn positions(sheet: &Value, feature: &str) -> String {
    let all: Vec<&str> = list(row(sheet, "features", "feature", feature), "positions")
        .iter()
        .filter_map(Value::as_str)
        .collect();
    if all.len() == 1 { feature.to_owned() } else { format!("{feature} {}", all.join(", ")) }
}

/// The cut that gives a part its size: of the group it is sized by.
pub(super) fn cut_of_group(sheet: &Value, group: &str) -> Option<Cut> {
    let of = |cut: &&Cut| text(row(sheet, "features", "feature", cut.feature), "group") == group;
    CUTS.iter().filter(|_| !group.is_empty()).find(of).copied()
}

/// The computed answers: readings of three features, and what they come to.
pub(super) fn computed() -> Value {
    serde_json::from_str(include_str!("../data/ov24_truth.json")).unwrap()
}

/// The tables of the computed answers, the features of the sheet they are of, and what they were read with.
pub(super) const TABLES: [(&str, &str, &str); 3] =
    [("bores", "bore", "BORE"), ("mains", "main journal", "MIC"), ("pins", "crankpin", "MIC")];

/// This moment, as a paper says when it was recorded. No two are of one: which of them came first nobody could say, and a new
/// part is measured after it came.
pub(super) fn now() -> String {
    sleep(Duration::from_millis(2));
    SystemClock::new().now().strftime("%Y-%m-%dT%H:%M:%S%.3fZ").to_string()
}

/// The date so many days from now.
pub(super) fn day(days: i64) -> String {
    SystemClock::new().now().checked_add((24 * days).hours()).unwrap().strftime("%Y-%m-%d").to_string()
}

/// The chapters of the rebuild, `day` giving the date so many days from now.
pub(super) fn chapters(day: impl Fn(i64) -> String) -> Vec<Vec<Paper>> {
    let drops = rebuild(&OV24_REBUILD);
    let mut papers: Vec<Paper> =
        drops.into_iter().filter(|(_, drop)| drop.get("job").is_some()).map(Paper::of).collect();
    for paper in &mut papers {
        for (pointer, days) in [("/estimate/expires", 30), ("/out/due", 10)] {
            if let Some(date) = paper.body.pointer_mut(pointer) {
                *date = day(days).into();
            }
        }
    }
    received(&mut papers, &day(12));
    as_computed(&mut papers);
    gone_wrong(&mut papers);
    let mut chapters: Vec<Vec<Paper>> = vec![Vec::new()];
    for paper in papers {
        if CHAPTERS.contains(&paper.names[0].as_str()) {
            chapters.push(Vec::new());
        }
        let chapter = chapters.last_mut().unwrap();
        match chapter.last_mut().filter(|last| can_hold(last, &paper)) {
            Some(last) => hold(last, paper),
            None => chapter.push(paper),
        }
    }
    assert_eq!(chapters.len(), CHAPTERS.len() + 1);
    chapters
}

fn find(papers: &[Paper], name: &str) -> usize {
    papers.iter().position(|paper| paper.names[0] == name).unwrap_or_else(|| panic!("no paper {name}"))
}

fn paper(name: &str, kind: &str, who: &str, body: Value) -> Paper {
    Paper { names: vec![name.to_owned()], kind: kind.to_owned(), who: who.to_owned(), body }
}

/// What the owner writes when the engine comes.
fn received(papers: &mut [Paper], promised: &str) {
    let at = find(papers, "check-in");
    papers[at].body = json!({
        "sheet": "OV-24", "customer": {"name": "Ferrowmere Mill", "reach": "mill@ferrowmere.example"},
        "engine": {"serial": "OV24-00317", "castings": ["7714-B"]}, "scope": [SCOPE],
        "complaint": "low oil pressure when hot, smokes on the way down",
        "hours": "6,200 hours", "fluids": "oil, coolant drained", "place": "stand 2", "missing": ["dipstick"],
        "wishes": {"aim": "least cost", "ceiling": "3500.00"}, "approver": "Ines Ferrow", "promised": promised,
    });
}

/// The readings of bores, mains and pins are those that were computed with; the fourth main has its digits swapped first.
fn as_computed(papers: &mut Vec<Paper>) {
    let computed = computed();
    for (table, feature, gauge) in TABLES {
        let mut readings = Vec::new();
        for (position, row) in computed[table].as_object().unwrap() {
            for (place, value) in row["readings"].as_object().unwrap() {
                let (station, direction) = place.split_once(' ').unwrap();
                let station = if station == "mid" { "middle" } else { station };
                readings.push(json!({"feature": feature, "position": position, "station": station,
                    "direction": direction, "value": value}));
            }
        }
        let at = find(papers, &format!("read {feature}"));
        papers[at].body["gauge"] = gauge.into();
        papers[at].body["readings"] = readings.into();
    }
    let at = find(papers, "read main journal");
    let all = papers[at].body["readings"].as_array().unwrap().clone();
    let (fourth, others): (Vec<Value>, Vec<Value>) = all.into_iter().partition(|one| one["position"] == "4");
    papers[at].body["readings"] = others.into();
    let swapped = |one: &Value| {
        let mut one = one.clone();
        one["value"] = text(&one, "value").replacen("2.24", "2.42", 1).into();
        one
    };
    let mut wrong = papers[at].clone();
    wrong.names = vec!["swapped main journal 4".to_owned()];
    wrong.body["readings"] = fourth.iter().map(swapped).collect();
    let mut right = papers[at].clone();
    right.names = vec!["correct main journal 4".to_owned()];
    right.body["readings"] = fourth.into();
    right.body["corrects"] = json!({"drop": "@swapped main journal 4", "why": "digits swapped while typing"});
    papers.insert(at + 1, wrong);
    let accepted = json!({"accept": {"feature": "bore", "positions": ["3"], "characteristic": "out-of-round",
        "why": "it is bored in any case", "accepted-by": "Rowan Holt"}});
    let at = find(papers, "agree main journal");
    papers.insert(at, paper("accept", "decision", "RH", accepted));
    papers.insert(at + 1, right);
}

/// A piston is scored; a plug is left out; the head goes on with its old bolts.
fn gone_wrong(papers: &mut Vec<Paper>) {
    let found = json!({"findings": [{"part": "piston", "positions": ["2"], "where": "skirt", "defect": "scoring",
        "severity": 3, "note": "felt with a nail", "disposition": "replace as a set"}]});
    let decided = json!({"disposition": {"part": "piston", "positions": ["all"], "what": "replace as a set",
        "why": "bored to the next size", "by": "Rowan Holt"}});
    let at = find(papers, "accept");
    papers.insert(at, paper("found piston", "finding", "LM", found));
    papers.insert(at + 1, paper("decide piston", "decision", "RH", decided));

    let at = find(papers, "plugs in G20");
    let mut short = papers[at].clone();
    short.names = vec!["short G20".to_owned()];
    for piece in short.body["pieces"].as_array_mut().unwrap() {
        if piece["size"] == "1/8-27 NPT" {
            piece["count"] = 2.into();
        }
    }
    let full = papers.remove(at);
    papers.insert(at, short);
    papers.insert(find(papers, "sign machining"), full);

    let at = find(papers, "torque G03");
    let new = papers.remove(at);
    let mut used = new.clone();
    used.names = vec!["used G03".to_owned()];
    used.body["torque"][0]["bolts"] = "used".into();
    papers.insert(at, used);
    let at = find(papers, "check rings right");
    let void = json!({"drop": "@used G03", "why": "the head came off again: its bolts are used once"});
    papers.insert(at, paper("withdraw G03", "withdrawal", "LM", void));
    papers.insert(at + 1, new);
}

/// The one list of a paper that can hold more than one thing.
fn held(paper: &Paper) -> Option<(&str, &Vec<Value>)> {
    let mut keys = paper.body.as_object()?.iter().filter(|(key, _)| *key != "unit");
    let (key, items) = keys.next().filter(|_| keys.next().is_none())?;
    ["findings", "fitted", "torque", "checks"].contains(&key.as_str()).then_some(())?;
    Some((key, items.as_array()?))
}

/// Nobody writes a paper for each of forty things that were done together.
fn can_hold(last: &Paper, next: &Paper) -> bool {
    const MOST: usize = 5;
    const ALONE: [&str; 3] = ["used G03", "torque G03", "found piston"];
    let is_alone = |paper: &Paper| ALONE.contains(&paper.names[0].as_str());
    let Some(((key, items), (other, _))) = held(last).zip(held(next)) else { return false };
    let has_room = key == other && items.len() < MOST;
    has_room && last.who == next.who && !is_alone(last) && !is_alone(next)
}

fn hold(last: &mut Paper, next: Paper) {
    let (key, items) = held(&next).map(|(key, items)| (key.to_owned(), items.clone())).unwrap();
    last.body[key].as_array_mut().unwrap().extend(items);
    last.names.extend(next.names);
}
