//! From the complete history of a rebuild any one statement inside any drop is taken away, down to a word of a row. Either
//! the drop is returned, or it waits, or the release is blocked, or the statement is one of `OPTIONAL`: a list written from
//! the rules, each with its reason, and compared exactly. Whole drops are taken away in `tests/gates.rs`. Guards promise 6
//! (a gap is not a pass).
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test stops at what it did not expect")]

#[path = "support/digits.rs"]
mod digits;
#[path = "support/optional.rs"]
mod optional;
#[path = "support/rebuild.rs"]
mod rebuild;
mod support;

use benchdrop::facts::{Fact, JobKey, decode};
use benchdrop::judgement::judge;
use benchdrop::shop::{FactSet, Job, Shop};
use benchdrop::stages::{BlockerRule, standing};
use optional::OPTIONAL;
use rebuild::{KD3_REBUILD, OV24_REBUILD, Plan, rebuild};
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;
use support::{JOB, SITE, fact};

/// Of statements of one path in one kind so many are tried in each engine.
const TRIED: usize = 3;

/// A step into a drop.
#[derive(Clone, Debug)]
enum Step {
    Member(String),
    Row(usize),
}

/// Every member and row beneath, by the way to it.
fn ways(value: &Value, here: &[Step], found: &mut Vec<Vec<Step>>) {
    let mut into = |step: Step, inner: &Value| {
        let way: Vec<Step> = here.iter().cloned().chain([step]).collect();
        found.push(way.clone());
        ways(inner, &way, found);
    };
    match value {
        Value::Object(members) => {
            members.iter().for_each(|(name, inner)| into(Step::Member(name.clone()), inner))
        }
        Value::Array(rows) => rows.iter().enumerate().for_each(|(row, inner)| into(Step::Row(row), inner)),
        Value::Null | Value::Bool(_) | Value::Number(_) | Value::String(_) => {}
    }
}

/// `readings[].gauge`.
fn path(way: &[Step]) -> String {
    way.iter().fold(String::new(), |path, step| match step {
        Step::Member(name) if path.is_empty() => name.clone(),
        Step::Member(name) => format!("{path}.{name}"),
        Step::Row(_) => format!("{path}[]"),
    })
}

fn without(value: &Value, way: &[Step]) -> Value {
    let mut changed = value.clone();
    let (last, before) = way.split_last().unwrap();
    let inner = before.iter().fold(&mut changed, |inner, step| match step {
        Step::Member(name) => &mut inner[name.as_str()],
        Step::Row(row) => &mut inner[*row],
    });
    match last {
        Step::Member(name) => drop(inner.as_object_mut().unwrap().remove(name)),
        Step::Row(row) => drop(inner.as_array_mut().unwrap().remove(*row)),
    }
    changed
}

/// The facts of a rebuild, with this one in the place of that.
fn is_noticed(facts: &[Arc<Fact>], at: usize, changed: &Value, signs: &[bool]) -> bool {
    let Ok(changed) = decode(&serde_json::to_vec(changed).unwrap(), SITE) else { return true };
    let (mut shop, mut job) = (FactSet::default(), FactSet::default());
    for (number, fact) in facts.iter().enumerate() {
        // A signature is only asked for where nothing else is open, so the others are left out but where it is the one.
        if signs[number] && number != at && !signs[at] {
            continue;
        }
        let fact = if number == at { Arc::new(changed.clone()) } else { Arc::clone(fact) };
        if fact.job.is_some() {
            job.insert(fact)
        } else {
            shop.insert(fact)
        };
    }
    let job = Job::fold(&JobKey::of(JOB, SITE).unwrap(), &job, &Shop::fold(&shop));
    let standing = standing(&job, &judge(&job));
    let open = |rule: BlockerRule| rule != BlockerRule::Signed || signs[at];
    !job.held.is_empty() || standing.blockers.iter().any(|blocker| open(blocker.rule))
}

/// What nobody misses: kind and path, with a drop it was seen in.
fn unnoticed(plan: &Plan, missed: &mut BTreeMap<(String, String), String>) {
    let drops = rebuild(plan);
    let facts: Vec<Arc<Fact>> = drops.iter().map(|(_, drop)| fact(drop)).collect();
    let signs: Vec<bool> = drops.iter().map(|(name, _)| name.starts_with("sign ")).collect();
    let mut tried: BTreeMap<(String, String), usize> = BTreeMap::new();
    for (at, (name, drop)) in drops.iter().enumerate().filter(|(_, (_, drop))| drop.get("job").is_some()) {
        let kind = drop["kind"].as_str().unwrap();
        let mut all = Vec::new();
        ways(&drop["body"], &[], &mut all);
        // The same path several times in one drop says the same: its first and its last are enough.
        let mut here: BTreeMap<String, Vec<Vec<Step>>> = BTreeMap::new();
        for way in all {
            here.entry(path(&way)).or_default().push(way);
        }
        for (path, ways) in here {
            let key = (kind.to_owned(), path);
            let count = tried.entry(key.clone()).or_default();
            if *count >= TRIED || missed.contains_key(&key) {
                continue;
            }
            *count += 1;
            let ends: BTreeSet<usize> = [0, ways.len() - 1].into();
            for end in ends {
                let mut changed = drop.clone();
                changed["body"] = without(&drop["body"], &ways[end]);
                if !is_noticed(&facts, at, &changed, &signs) {
                    missed.insert(key.clone(), name.clone());
                    break;
                }
            }
        }
    }
}

#[test]
fn what_is_not_optional_is_missed() {
    let mut missed = BTreeMap::new();
    for plan in [OV24_REBUILD, KD3_REBUILD] {
        unnoticed(&plan, &mut missed);
    }
    let known: BTreeMap<(String, String), &str> =
        OPTIONAL.iter().map(|(kind, path, why)| (((*kind).to_owned(), (*path).to_owned()), *why)).collect();
    assert_eq!(known.len(), OPTIONAL.len(), "each once");
    let unlisted: Vec<String> = missed
        .iter()
        .filter(|(key, _)| !known.contains_key(key))
        .map(|((kind, path), name)| format!("(\"{kind}\", \"{path}\", \"\"), // {name}"))
        .collect();
    let listed: Vec<&(String, String)> = known.keys().filter(|key| !missed.contains_key(key)).collect();
    assert!(
        unlisted.is_empty(),
        "nobody misses them, and no rule says that they may be left out:\n{}",
        unlisted.join("\n")
    );
    assert!(listed.is_empty(), "they are missed after all: {listed:?}");
}
