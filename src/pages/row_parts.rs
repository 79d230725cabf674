//! Parts of a board row: what an engine has out, open, promised and spent, each as small as the summary needs it.
//! Days and instants stand in them as they were recorded; how long or how late is asked when a page is written.

use crate::facts::{Day, Money};
use crate::judgement::{Doubt, Verdict};
use crate::pages::JobView;
use crate::pages::sections;
use crate::pages::sections::unit_of;
use crate::planning::{spent, to_order};
use crate::shop::{GaugeFlag, Job, WrenchNow};
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet};

/// A standing verdict beyond its limit.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct RowBeyond {
    /// What, reading and limit in a line.
    pub line: String,
    /// When its latest reading was recorded, Unix milliseconds.
    pub at: i64,
    /// Work is agreed on it, or somebody accepted it.
    pub decided: bool,
}

/// Readings that a gauge puts in doubt.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct RowDoubt {
    /// Its mark.
    pub gauge: String,
    /// What weighs most, as programs name it.
    pub flag: String,
    /// Why, in words.
    pub why: String,
    /// `main journal 3, as received: front X 2.2481 in (drop 1a2b3c4d)`.
    pub readings: Vec<String>,
    /// The standing verdicts that rest on it, with their states.
    pub verdicts: Vec<String>,
}

/// A work order whose parts are not all here.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct RowOrder {
    /// Its number.
    pub number: String,
    /// Who has it.
    pub to: String,
    /// What is done.
    pub operation: String,
    /// When it went out, Unix milliseconds.
    pub sent: i64,
    /// The day it is due.
    pub due: Day,
    /// What of it is still out where the rest is back: `3 of 5 main cap`; empty while all of it is.
    #[serde(default)]
    pub rest: String,
    /// Why nothing of it may be cut yet, in a line each; empty where something may.
    #[serde(default)]
    pub held: Vec<String>,
}

/// A problem that nobody has closed.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct RowProblem {
    /// The part; may be empty.
    pub about: String,
    /// What is the matter.
    pub what: String,
    /// When it was opened, Unix milliseconds.
    pub at: i64,
    /// What was tried, a line each with who and when.
    #[serde(default)]
    pub tries: Vec<String>,
    /// What or whom it waits on; empty where nobody said.
    #[serde(default)]
    pub waits_on: String,
}

/// Parts in a bath, or of which nobody says where they lie.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct RowLying {
    /// `piston 2, 3`.
    pub about: String,
    /// The bath; empty where nobody says where they lie.
    pub bath: String,
    /// Since when, Unix milliseconds.
    pub at: i64,
    /// Hours after which it is asked.
    pub hours: u32,
}

/// Something to order.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct RowNeed {
    /// The item.
    pub item: String,
    /// Its size; empty where it has one only.
    pub size: String,
    /// How many.
    pub count: u32,
    /// What is known of it.
    pub known: String,
    /// Money is approved, so it may be ordered.
    pub approved: bool,
}

/// Something that is on its way, or came and is wrong.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct RowSupply {
    /// Item and size.
    pub item: String,
    /// `ordered`, `back-ordered`, `late`, `wrong`, `not available`.
    pub state: String,
    /// From whom; may be empty.
    pub supplier: String,
    /// The day it is expected.
    pub due: Option<Day>,
}

/// An estimate and its answer.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct RowEstimate {
    /// Which option; may be empty.
    pub option: String,
    /// Its sum.
    pub sum: Money,
    /// The most it may cost.
    pub most: Money,
    /// Until when it holds.
    pub expires: Day,
    /// When it was made, Unix milliseconds.
    pub at: i64,
    /// `approved by ... up to ...`, `declined by ...`; empty while there is no answer.
    pub answer: String,
}

/// Hours and money of an engine.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct RowMoney {
    /// What was spent, in a sentence; empty while nothing was.
    pub words: String,
    /// More than was estimated.
    pub over: bool,
    /// What is still to pay of the final price.
    pub owed: Option<Money>,
}

/// A signature.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct RowSigned {
    /// The step.
    pub step: String,
    /// Who signed.
    pub name: String,
    /// When, Unix milliseconds.
    pub at: i64,
}

/// By gauge and why, in that order.
pub(super) fn doubts(view: &JobView) -> Vec<RowDoubt> {
    let mut found: BTreeMap<(&str, String), RowDoubt> = BTreeMap::new();
    for doubt in &view.judgement.doubts {
        let mark = doubt.gauge.mark.as_str();
        let entry = found.entry((mark, doubt.why())).or_insert_with(|| RowDoubt {
            gauge: mark.to_owned(),
            flag: doubt.flags.first().map_or("", |flag| flag.kind.key()).to_owned(),
            why: doubt.why(),
            readings: Vec::new(),
            verdicts: rests_on(view, doubt),
        });
        let place = sections::place(&view.job, doubt);
        let read = doubt.readings.join(", ");
        entry.readings.push(format!("{place}: {read} (drop {})", doubt.fact.short()));
    }
    for joint in view.job.joints.values() {
        for entry in &joint.entries {
            let (WrenchNow::Known(wrench), why) = (&entry.wrench_now, entry.wrench_now.faults(None)) else {
                continue;
            };
            let Some(flag) = wrench.flags.iter().find(|flag| flag.kind.is_doubt()) else { continue };
            let why = why.join("; ");
            let row = found.entry((&wrench.mark, why.clone())).or_insert_with(|| RowDoubt {
                gauge: wrench.mark.clone(),
                flag: flag.kind.key().to_owned(),
                why,
                readings: Vec::new(),
                verdicts: Vec::new(),
            });
            row.readings.push(format!("{} tightened (drop {})", joint.group, entry.said.fact.short()));
        }
    }
    found.into_values().collect()
}

/// Standing verdicts with this gauge in this state.
fn rests_on(view: &JobView, doubt: &Doubt) -> Vec<String> {
    let rests = |verdict: &&Verdict| {
        verdict.gauges.iter().any(|used| {
            let flags: BTreeSet<&GaugeFlag> = used.flags().filter(|flag| flag.kind.is_doubt()).collect();
            used.state.mark == doubt.gauge.mark && flags.into_iter().eq(&doubt.flags)
        })
    };
    let line = |verdict: &Verdict| {
        let state = verdict.judged.as_ref().map_or("", |judged| judged.state());
        format!("{}: {state}", verdict.title())
    };
    view.judgement.standing().filter(rests).map(line).collect()
}

pub(super) fn orders(view: &JobView) -> Vec<RowOrder> {
    let out = view.job.orders.values().filter(|order| order.is_out() || !order.rest_out().is_empty());
    out.map(|order| RowOrder {
        number: order.number.clone(),
        to: order.out.to.clone(),
        operation: order.out.operation.clone(),
        sent: order.said.at.as_millisecond(),
        due: order.out.due,
        rest: order.rest_out(),
        held: view.standing.holds(order),
    })
    .collect()
}

pub(super) fn problems(job: &Job) -> Vec<RowProblem> {
    let open = job.open_problems();
    open.map(|problem| RowProblem {
        about: problem.about.clone(),
        what: problem.what.clone(),
        at: problem.said.at.as_millisecond(),
        tries: problem.tries.iter().map(|t| format!("{} ({})", t.what, t.said.words())).collect(),
        waits_on: problem.waits_on.clone().unwrap_or_default(),
    })
    .collect()
}

pub(super) fn lying(job: &Job) -> Vec<RowLying> {
    let all = sections::lying(job).into_iter();
    all.map(|l| RowLying { about: l.about, bath: l.bath, at: l.said.at.as_millisecond(), hours: l.hours })
        .collect()
}

pub(super) fn needs(job: &Job) -> Vec<RowNeed> {
    let approved = job.books.approvals.last().is_some_and(|now| now.approval.granted);
    let need = |need: crate::planning::ToOrder| RowNeed {
        known: need.known(),
        size: need.size.map_or_else(String::new, |size| size.show(unit_of(job))),
        item: need.item,
        count: need.count,
        approved,
    };
    to_order(job).into_iter().map(need).collect()
}

/// Everything that is not simply here or to be had.
pub(super) fn supplies(job: &Job) -> Vec<RowSupply> {
    use crate::facts::SupplyState as State;
    let pending = job.books.supplies.iter().filter(|now| match now.supply.state {
        State::Ordered | State::BackOrdered | State::Late | State::Wrong | State::NotAvailable => true,
        State::Received => !now.is_here() || now.is_unread(),
        State::Available | State::Returned => false,
    });
    pending
        .map(|now| {
            let size =
                now.supply.size.map_or_else(String::new, |size| format!(" {}", size.show(unit_of(job))));
            let state = if now.is_unread() {
                "received, stamp not read"
            } else if now.supply.state == State::Received {
                "wrong size"
            } else {
                now.supply.state.word()
            };
            RowSupply {
                item: format!("{} {}{size}", now.supply.count, now.supply.item),
                state: state.to_owned(),
                supplier: now.supply.supplier.clone(),
                due: now.supply.due,
            }
        })
        .collect()
}

pub(super) fn estimates(job: &Job) -> Vec<RowEstimate> {
    let books = &job.books;
    let one = |now: &crate::shop::EstimateNow| {
        let about = books.approvals.iter().rfind(|said| said.estimate == Some(now.said.fact));
        let answer = about.map_or_else(String::new, |said| {
            let amount = said.amount.map_or_else(String::new, |amount| format!(" up to {amount}"));
            match said.approval.granted {
                true => format!("approved by {}{amount}, {}", said.approval.by, said.said.written),
                false => format!("declined by {}, {}", said.approval.by, said.said.written),
            }
        });
        RowEstimate {
            option: now.estimate.option.clone(),
            sum: now.estimate.sum(),
            most: now.estimate.not_to_exceed,
            expires: now.estimate.expires,
            at: now.said.at.as_millisecond(),
            answer,
        }
    };
    books.estimates.iter().map(one).collect()
}

pub(super) fn money(view: &JobView) -> RowMoney {
    let books = &view.job.books;
    let spent = spent(&view.job, view.prices.as_deref());
    let owed = books.price.as_ref().map(|(_, price)| price.amount.less(books.received()));
    RowMoney {
        words: spent.words(|amount| view.money(amount)).unwrap_or_default(),
        over: spent.is_over(),
        owed: owed.filter(|owed| !owed.is_zero()),
    }
}

pub(super) fn signed(job: &Job) -> Vec<RowSigned> {
    let all = job.signed.iter();
    all.map(|(step, signed)| RowSigned {
        step: step.word().to_owned(),
        name: signed.name.clone(),
        at: signed.recorded.as_millisecond(),
    })
    .collect()
}
