//! Order does not matter: a job's state is a function of the set of its drops and the shop's (promise 3), what
//! is dropped twice counts once (promise 2), and what is withdrawn is as if it had never been said.
//!
//! Histories are grown in `support/histories.rs`. More of them: `BENCHDROP_CASES=20000 cargo test --test order`.
//!
//! That these tests can fail is shown in two ways. `the_generator_is_sensitive_to_order` folds by arrival and
//! counts how many histories notice. And two changes of the source were tried by hand; try them again after
//! changing the generator:
//! - `shop/set.rs`: `in_order` gives the order of insertion. `any_order_any_batches_any_repetition` turns red
//!   (167 of 256 histories differed), and so does the test of rival corrections.
//! - `shop/corrections.rs`: `last` to `first` in `follow`. That is another rule, but still the same in any order:
//!   only `the_latest_recorded_of_rival_corrections_stands` turns red.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test that cannot go on should panic")]
#![allow(clippy::disallowed_methods, reason = "the number of cases may be raised from outside")]

#[path = "support/histories.rs"]
mod histories;
mod support;

use benchdrop::facts::{Digest, Fact, JobKey, Recorded, decode};
use benchdrop::judgement::QuestionWhy;
use benchdrop::notices::Told;
use benchdrop::pages::{JobView, canonical_dump, job_json};
use benchdrop::respond::{respond, view};
use benchdrop::shop::{Condition, FactSet, HeldWhy, Shop};
use histories::{Dice, Move, PLAIN, Paper, at, history, moves_of, withdrawal};
use jiff::Timestamp;
use proptest::prelude::*;
use proptest::test_runner::RngSeed;
use serde_json::{Value, json};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;
use support::{SITE, fact, measured, reading, shop_with_engine};

fn cases() -> u32 {
    std::env::var("BENCHDROP_CASES").ok().and_then(|text| text.parse().ok()).unwrap_or(256)
}

/// The same cases in every run: a red build must be red again.
fn config() -> ProptestConfig {
    ProptestConfig {
        cases: cases(),
        rng_seed: RngSeed::Fixed(24_017),
        failure_persistence: None,
        ..Default::default()
    }
}

fn some_moves() -> impl Strategy<Value = Vec<Move>> {
    proptest::collection::vec((0_usize..1000, any::<u64>()), 1..18)
}

fn key() -> JobKey {
    JobKey::of(PLAIN.job, SITE).unwrap()
}

fn facts_of(papers: &[Paper]) -> Vec<Arc<Fact>> {
    papers.iter().map(|paper| Arc::clone(&paper.fact)).collect()
}

/// All at once, in recorded order, without the door.
fn at_once(facts: &[Arc<Fact>]) -> JobView {
    let mut facts = facts.to_vec();
    facts.sort_by_key(|fact| fact.order());
    let (mut shop, mut job) = (FactSet::default(), FactSet::default());
    for fact in facts {
        if fact.job.is_some() {
            job.insert(fact)
        } else {
            shop.insert(fact)
        };
    }
    view(&key(), &job, &Shop::fold(&shop))
}

/// Shuffled, some of them twice or more, cut into batches.
fn arriving(facts: &[Arc<Fact>], seed: u64) -> Vec<Vec<Arc<Fact>>> {
    let mut dice = Dice(seed);
    let mut left = facts.to_vec();
    for _ in 0..dice.below(4) {
        left.extend(facts.iter().filter(|_| dice.below(8) == 0).cloned());
    }
    let longest = dice.pick(&[1, 5, 5, 9, 9, 15, 15, 40, 60, 60]);
    let mut batches = vec![vec![]];
    while !left.is_empty() {
        let fact = left.swap_remove(dice.below(left.len()));
        batches.last_mut().unwrap().push(fact);
        if dice.below(longest) == 0 {
            batches.push(vec![]);
        }
    }
    batches
}

/// Through the door, batch by batch; what a shop-wide drop touches is folded again without new drops.
fn through_the_door(batches: Vec<Vec<Arc<Fact>>>) -> JobView {
    let (mut shop_facts, mut state, mut told) = (FactSet::default(), FactSet::default(), Told::default());
    let mut seen = None;
    for batch in batches {
        let (of_job, of_shop): (Vec<_>, Vec<_>) = batch.into_iter().partition(|fact| fact.job.is_some());
        let mut take = |state: FactSet, shop: &FactSet, new: Vec<Arc<Fact>>| {
            let response = respond(&key(), state, &told, &Shop::fold(shop), new, Timestamp::UNIX_EPOCH);
            told = response.told;
            seen = Some(response.view);
            response.state
        };
        state = take(state, &shop_facts, of_job);
        if !of_shop.is_empty() {
            for fact in of_shop {
                shop_facts.insert(fact);
            }
            state = take(state, &shop_facts, vec![]);
        }
    }
    seen.unwrap()
}

/// The same words on another paper: keys the other way round, other line endings, a byte-order mark.
fn respaced(value: &Value) -> Arc<Fact> {
    let entries = value.as_object().unwrap().iter().rev();
    let entries: Vec<String> = entries.map(|(key, value)| format!("{key:?} :\r\n{value:#}")).collect();
    Arc::new(decode(format!("\u{feff}{{{}}}\r\n", entries.join(",")).as_bytes(), SITE).unwrap())
}

/// The first line that differs, with the one before it; empty for equal dumps.
fn difference(expected: &str, got: &str) -> String {
    let pairs = expected.lines().zip(got.lines()).enumerate();
    let Some((number, (one, other))) = pairs.clone().find(|(_, (one, other))| one != other) else {
        return if expected.len() == got.len() { String::new() } else { "one dump is longer".to_owned() };
    };
    let before = expected.lines().nth(number.saturating_sub(1)).unwrap_or_default();
    format!("line {}, after {before}\n  at once: {one}\n  arrived: {other}", number + 1)
}

fn apart(expected: &Value, got: &Value) -> String {
    difference(&format!("{expected:#}"), &format!("{got:#}"))
}

/// A history in a line a drop, for a person who must find out why.
fn listed(papers: &[Paper]) -> String {
    let line = |paper: &Paper| format!("{} {:.400}\n", paper.fact.id.short(), paper.value.to_string());
    papers.iter().map(line).collect()
}

/// What a person would notice of a job.
fn noticed(view: &JobView) -> Value {
    let mut json = job_json(view);
    let parts = [
        "stage",
        "blockers",
        "verdicts",
        "questions",
        "proposals",
        "surfaces",
        "accepted",
        "signed",
        "held",
        "parts",
        "findings",
        "problems",
        "bags",
        "orders",
        "joints",
        "checks",
        "money",
        "dispositions",
        "authority",
        "waivers",
    ];
    parts.iter().map(|part| (*part, json[*part].take())).collect()
}

proptest! {
    #![proptest_config(config())]

    #[test]
    fn any_order_any_batches_any_repetition(moves in some_moves(), seed in any::<u64>()) {
        let papers = history(&moves, &PLAIN);
        let facts = facts_of(&papers);
        let expected = canonical_dump(&at_once(&facts));
        let found = canonical_dump(&through_the_door(arriving(&facts, seed)));
        let difference = difference(&expected, &found);
        prop_assert!(difference.is_empty(), "{difference}\n{}", listed(&papers));
    }

    /// Every statement on a second paper, with other bytes, before or after its first.
    #[test]
    fn the_same_words_on_other_paper_are_one_statement(moves in some_moves(), before in any::<bool>()) {
        let papers = history(&moves, &PLAIN);
        let first = facts_of(&papers);
        let second: Vec<Arc<Fact>> = papers.iter().map(|paper| respaced(&paper.value)).collect();
        prop_assert!(first.iter().zip(&second).all(|(one, other)| one.bytes != other.bytes));
        let both = if before { [second, first.clone()] } else { [first.clone(), second] }.concat();
        let difference = difference(&canonical_dump(&at_once(&first)), &canonical_dump(&at_once(&both)));
        prop_assert!(difference.is_empty(), "{difference}\n{}", listed(&papers));
    }

    /// A drop and its withdrawal change nothing; a withdrawal of the withdrawal brings the drop back.
    #[test]
    fn what_is_withdrawn_was_never_said(moves in some_moves(), last in (0_usize..1000, any::<u64>())) {
        let before = history(&moves, &PLAIN);
        let with = history(&[moves.as_slice(), &[last]].concat(), &PLAIN);
        let known: BTreeSet<Digest> = before.iter().map(|paper| paper.fact.id).collect();
        let new = with.iter().filter(|paper| !known.contains(&paper.fact.id));
        let void = |of: &Fact| fact(&withdrawal(of, &of.id.hex(), "never mind"));
        let voids: Vec<Arc<Fact>> = new.map(|paper| void(&paper.fact)).collect();
        let again: Vec<Arc<Fact>> = voids.iter().map(|withdrawal| void(withdrawal)).collect();
        let mut facts = facts_of(&with);
        let said = noticed(&at_once(&facts));
        facts.extend(voids);
        let withdrawn = noticed(&at_once(&facts));
        let never = noticed(&at_once(&facts_of(&before)));
        prop_assert!(never == withdrawn, "withdrawn: {}\n{}", apart(&never, &withdrawn), listed(&with));
        facts.extend(again);
        let restored = noticed(&at_once(&facts));
        prop_assert!(said == restored, "restored: {}\n{}", apart(&said, &restored), listed(&with));
    }
}

/// Any rule that looks only at the set passes the tests above; this one says which rule it is.
#[test]
fn the_latest_recorded_of_rival_corrections_stands() {
    let set = |minute, value| {
        measured(minute, "as received", "MIC", vec![reading("main journal", "1", "front", "X", value)])
    };
    let correction = |minute, value, of: &Value| {
        let mut drop = set(minute, value);
        drop["body"]["corrects"] = json!({"drop": fact(of).id.hex(), "why": "wrong line"});
        drop
    };
    let first = set(20, "2.2490");
    let (early, late) = (correction(30, "2.2491", &first), correction(31, "2.2492", &first));
    let of_early = correction(40, "2.2493", &early);
    let void = withdrawal(&fact(&late), &fact(&late).id.hex(), "that one was right");
    let digits = |more: &[&Value], seed| {
        let facts = shop_with_engine().iter().chain(more.iter().copied()).map(fact).collect::<Vec<_>>();
        let view = through_the_door(arriving(&facts, seed));
        let sets = view.job.surfaces.into_values().flat_map(|surface| surface.sets.into_values());
        sets.flat_map(|set| set.readings.into_values().flatten()).map(|r| r.digits).collect::<Vec<_>>()
    };
    for seed in 0..16 {
        assert_eq!(digits(&[&first, &early, &late], seed), ["2.2492"]);
        assert_eq!(digits(&[&first, &early, &late, &of_early], seed), ["2.2492"], "lost with its rival");
        assert_eq!(digits(&[&first, &early, &late, &of_early, &void], seed), ["2.2493"], "and back with it");
        assert_eq!(digits(&[&first, &early, &late, &void], seed), ["2.2491"]);
    }
}

/// What a fold would see that took arrival for the order: every fact recorded when it arrives.
fn arrival_order_fold(arrivals: Vec<Vec<Arc<Fact>>>) -> Value {
    let stamped = (0..).zip(arrivals.into_iter().flatten()).map(|(number, fact)| {
        let mut fact = Fact::clone(&fact);
        fact.head.recorded = Recorded::parse(&at(number)).unwrap();
        Arc::new(fact)
    });
    let mut view = noticed(&at_once(&stamped.collect::<Vec<_>>()));
    // These print the recorded times themselves.
    let things =
        ["parts", "findings", "problems", "bags", "orders", "joints", "checks", "money", "dispositions"];
    for timed in ["surfaces", "signed", "authority", "waivers"].into_iter().chain(things) {
        view[timed].take();
    }
    view
}

#[test]
fn the_generator_is_sensitive_to_order() {
    let differs = |seed: &u64| {
        let facts = facts_of(&history(&moves_of(*seed), &PLAIN));
        arrival_order_fold(arriving(&facts, seed + 1)) != arrival_order_fold(arriving(&facts, seed + 2))
    };
    let noticed = (0..256).filter(differs).count();
    assert!(noticed > 128, "{noticed} of 256 histories notice their order");
}

const fn held_word(why: &HeldWhy) -> &'static str {
    match why {
        HeldWhy::NotCheckedIn => "not checked in",
        HeldWhy::NoSuchSheet(_) => "no such sheet",
        HeldWhy::NoSuchScope { .. } => "no such scope",
        HeldWhy::NoSuchPlace(_) => "no such place",
        HeldWhy::NoSuchSize(_) => "no such size",
        HeldWhy::NoSuchRules(_) => "no such rules",
        HeldWhy::NoSuchOrder(_) => "no such order",
        HeldWhy::NoSuchProblem(_) => "no such problem",
        HeldWhy::NoSuchGauge(_) => "no such gauge",
        HeldWhy::WrongUnit { .. } => "wrong unit",
        HeldWhy::NothingDoneBefore(_) => "nothing done before",
        HeldWhy::NamesNothing(_) => "names nothing",
        HeldWhy::NamesSeveral(_) => "names several",
        HeldWhy::NamesAnotherKind(_) => "names another kind",
        HeldWhy::Conflict { .. } => "conflict",
    }
}

const fn question_word(why: &QuestionWhy) -> &'static str {
    match why {
        QuestionWhy::UnitSlip { .. } => "unit slip",
        QuestionWhy::DecimalSlip { .. } => "decimal slip",
        QuestionWhy::SwappedDigits { .. } => "swapped digits",
        QuestionWhy::WholeNumber { .. } => "whole number",
        QuestionWhy::Turn { .. } => "turn",
        QuestionWhy::NoSetting => "no setting",
        QuestionWhy::FarWorn { .. } => "far worn",
        QuestionWhy::FarOff { .. } => "far off",
        QuestionWhy::WornEvenly { .. } => "worn evenly",
        QuestionWhy::Unlike { .. } | QuestionWhy::UnlikeOthers { .. } => "unlike",
        QuestionWhy::Plates { .. } => "plates",
        QuestionWhy::OtherCondition { .. } => "other condition",
        QuestionWhy::OutOfReach => "out of reach",
        QuestionWhy::LiftParts { .. } => "lift parts",
        QuestionWhy::PastNew { .. } => "past new",
        QuestionWhy::Repeats { .. } => "repeats",
        QuestionWhy::TooMany => "too many",
        QuestionWhy::StatedAsReceived => "stated as received",
    }
}

const fn condition_word(condition: Condition) -> &'static str {
    match condition {
        Condition::AsReceived => "as received",
        Condition::Cleaned => "cleaned",
        Condition::AfterWork(1) => "after work",
        Condition::AfterWork(_) => "after more work",
        Condition::AtAssembly(0) => "at assembly",
        Condition::AtAssembly(_) => "at assembly after work",
    }
}

/// Everything that the words above can say, and what verdicts can be.
const EXPECTED: &str = "\
    held: not checked in, no such sheet, no such scope, no such place, no such size, no such gauge, wrong unit, nothing done before, names nothing, names several, names another kind, conflict, no such rules, no such order, no such problem; shop held: names nothing, conflict; \
    question: unit slip, decimal slip, swapped digits, whole number, turn, no setting, far worn, far off, worn evenly, unlike, plates, lift parts, other condition, out of reach, past new, repeats, too many, stated as received; \
    condition: as received, cleaned, after work, after more work, at assembly, at assembly after work; \
    blocker: received, leave to take apart, checked, accounted for, bagged, plugs out, pins out, cleaned, looked at, \
    tested, measured, order of bolts, good wrench, final torque, questioned, decided, what becomes of it, can be had, estimated, approved, leave to cut, in hand, \
    good gauge, ordered as agreed, agreed, done, carried out, out, measured again, tested again, plugs in, as fitted, fitted, tightened, lubricant, not again, new bolts, always new, \
    pins in, bags used up, open problem, held, priced, paid, signed; \
    budget: house rules, certificate, study, step; flag: found-bad, zero-off, wrong-kind, overdue, too-coarse, unknown-kind, no-zero-check; \
    verdict: stands, history, corrected, incomplete, beyond, proven beyond";

fn words_of(view: &JobView, shop: &Shop) -> Vec<String> {
    let mut words = Vec::new();
    words.extend(view.job.held.iter().map(|held| format!("held: {}", held_word(&held.why))));
    words.extend(shop.held.iter().map(|held| format!("shop held: {}", held_word(&held.why))));
    words.extend(view.judgement.questions.iter().map(|q| format!("question: {}", question_word(&q.why))));
    words.extend(view.standing.blockers.iter().map(|blocker| format!("blocker: {}", blocker.rule.word())));
    for verdict in &view.judgement.verdicts {
        let flags = verdict.gauges.iter().flat_map(|used| used.flags());
        words.extend(flags.map(|flag| format!("flag: {}", flag.kind.key())));
        let budget = verdict.judged.as_ref().and_then(|judged| judged.budget(Some(&view.job)));
        let from = budget.into_iter().flat_map(|budget| budget.lines).flat_map(|line| line.from);
        let known = ["house rules", "certificate", "study", "step"];
        words.extend(from.filter_map(|source| {
            known
                .iter()
                .find(|known| source.words.starts_with(**known))
                .map(|known| format!("budget: {known}"))
        }));
        words.push(format!("condition: {}", condition_word(verdict.key.condition)));
        let is = [
            (verdict.stands, "stands"),
            (!verdict.stands, "history"),
            (verdict.judged.as_ref().is_some_and(|judged| judged.corrected), "corrected"),
            (verdict.is_incomplete(), "incomplete"),
            (verdict.is_beyond(), "beyond"),
            (verdict.is_proven_beyond(), "proven beyond"),
        ];
        words.extend(is.iter().filter(|(is, _)| *is).map(|(_, word)| format!("verdict: {word}")));
    }
    words
}

/// A generator that never gets somewhere proves nothing about it.
#[test]
fn the_generator_gets_everywhere() {
    let mut found: BTreeMap<String, usize> = BTreeMap::new();
    for seed in 0..256 {
        let (mut job, mut shop) = (FactSet::default(), FactSet::default());
        for fact in facts_of(&history(&moves_of(seed), &PLAIN)) {
            if fact.job.is_some() {
                job.insert(fact)
            } else {
                shop.insert(fact)
            };
        }
        let shop = Shop::fold(&shop);
        let words: BTreeSet<String> = words_of(&view(&key(), &job, &shop), &shop).into_iter().collect();
        words.into_iter().for_each(|word| *found.entry(word).or_default() += 1);
    }
    println!("{found:#?}");
    let expected = EXPECTED
        .split("; ")
        .filter_map(|list| list.split_once(": "))
        .flat_map(|(of, words)| words.split(", ").map(move |word| format!("{of}: {word}")));
    let expected: BTreeSet<String> = expected.collect();
    let found: BTreeSet<String> = found.into_keys().collect();
    assert_eq!(expected, found, "left: all there is, right: what 256 histories come to");
}
