//! The parts of the daily page, in the order an owner acts on them.

use crate::facts::Step;
use crate::notices::letter::Sections;
use crate::notices::summary::{Days, SummaryInput, counted, days_between};
use crate::pages::{BoardRow, RowLying, RowNeed, RowOrder};
use crate::shop::GaugeNow;
use std::collections::{BTreeMap, BTreeSet};

/// Estimates that run out within so many days are named beforehand.
const SOON: i32 = 7;

/// Every part; those without a paragraph are left out by the caller.
pub(super) fn all(input: &SummaryInput, open: &[&BoardRow], days: &Days<'_>) -> Sections {
    let of = |f: &dyn Fn(&BoardRow) -> Vec<String>| open.iter().flat_map(|row| f(row)).collect::<Vec<_>>();
    let part = |title: &str, paragraphs: Vec<String>| (title.to_owned(), paragraphs);
    vec![
        part("Decisions waiting", of(&|row| decisions(row, days))),
        part("Out of limits", of(&|row| beyond(row, days))),
        part("Asked again", of(&|row| row.said("", &row.questioned))),
        part("Held work orders", of(&|row| held_orders(row, days))),
        part("Late outside work", of(&|row| late_orders(row, days))),
        part("Partly back", of(&|row| partly_back(row, days))),
        part("To order", to_order(open)),
        part("Late or wrong from suppliers", of(&|row| late_supplies(row, days))),
        part("Estimates and approvals", of(&|row| estimates(row, days))),
        part("Open problems, the oldest first", problems(open, days)),
        part("Where is it?", of(&|row| where_is(row, days))),
        part("Money", input.rows.iter().flat_map(|row| money(row)).collect()),
        part("Returned", input.returned.iter().map(|(name, fault)| format!("{name}\n  {fault}")).collect()),
        part("Gauges", gauges(input, days)),
        part("Finished", input.rows.iter().flat_map(|row| finished(row, days)).collect()),
        part("Where every engine stands", open.iter().map(|row| stands(row, days)).collect()),
        part("Waiting for an answer", held(input, open)),
        part("Letters", dead(input)),
    ]
}

/// Did a day pass since the last summary that something was due on?
pub(super) fn something_turned(input: &SummaryInput, days: &Days<'_>) -> bool {
    let open = input.rows.iter().filter(|row| !row.released);
    let in_a_row = |row: &BoardRow| {
        let orders = row.orders.iter().map(|order| order.due.0);
        let supplies = row.supplies.iter().filter_map(|supply| supply.due).map(|day| day.0);
        let estimates = row.estimates.iter().map(|estimate| estimate.expires.0);
        let preserved = row.preserve.iter().map(|day| day.0);
        let promised = row.promised.iter().filter_map(|date| date.parse().ok());
        let asked = row.lying.iter().any(|lying| days.has_newly_lasted(lying.at, lying.hours));
        let mut all = orders.chain(supplies).chain(estimates).chain(preserved).chain(promised);
        asked || all.any(|day| days.is_newly_past(day))
    };
    let gauges = input.gauges.iter().filter_map(|gauge| gauge.due).any(|day| days.is_newly_past(day.0));
    open.into_iter().any(|row| in_a_row(row)) || gauges
}

/// What waits for the owner, and what happens while it waits.
fn decisions(row: &BoardRow, days: &Days<'_>) -> Vec<String> {
    let mine: Vec<String> =
        row.waits.iter().filter(|wait| wait.actor == "owner").map(|wait| wait.line()).collect();
    let mut said = row.said("", &mine);
    if let Some(text) = said.first_mut() {
        let hidden = row.owner.saturating_sub(mine.len());
        if hidden > 0 {
            text.push_str(&format!("\n  and {hidden} more"));
        }
        let promised = promised(row, days).map_or_else(String::new, |words| format!("; {words}"));
        text.push_str(&format!("\n  Until then it stays at {}{promised}.", row.stage));
    }
    said
}

fn promised(row: &BoardRow, days: &Days<'_>) -> Option<String> {
    let date = row.promised.as_ref()?;
    let Ok(day) = date.parse() else { return Some(format!("promised {date}")) };
    let left = days_between(days.due.date, day);
    Some(match left {
        0 => format!("promised for today, {date}"),
        1.. => format!("promised {date}, in {}", counted(left.unsigned_abs() as usize, "day", "days")),
        _ => format!("promised {date}, {} ago", counted(left.unsigned_abs() as usize, "day", "days")),
    })
}

/// What came out of limits since yesterday, and what nobody has decided yet with its age; the rest is counted.
fn beyond(row: &BoardRow, days: &Days<'_>) -> Vec<String> {
    let mut lines = Vec::new();
    let mut decided = 0;
    for beyond in &row.beyond {
        let new = days.is_news(beyond.at) || days.age(beyond.at) <= 0;
        match (new, beyond.decided) {
            (true, _) => lines.push(beyond.line.clone()),
            (false, false) => {
                let age = counted(days.age(beyond.at).unsigned_abs() as usize, "day", "days");
                lines.push(format!("{}; not decided for {age}", beyond.line));
            }
            (false, true) => decided += 1,
        }
    }
    if decided > 0 && !lines.is_empty() {
        lines.push(format!("{decided} from before, decided"));
    }
    row.said("", &lines)
}

/// What must not be cut yet, and why.
fn held_orders(row: &BoardRow, days: &Days<'_>) -> Vec<String> {
    let held = row.orders.iter().filter(|order| !order.held.is_empty());
    let lines = held.flat_map(|order| {
        let late = if days.is_past(order.due.0) { ", late" } else { "" };
        let named = format!("order {} for {} ({})", order.number, order.to, order.operation);
        let first = format!("{named}, wanted by {}{late}: nothing of it may be cut yet", order.due);
        std::iter::once(first).chain(order.held.iter().map(|why| format!("because {why}")))
    });
    row.said("", &lines.collect::<Vec<_>>())
}

fn late_orders(row: &BoardRow, days: &Days<'_>) -> Vec<String> {
    let late = row.orders.iter().filter(|order| days.is_past(order.due.0) && order.held.is_empty());
    let lines: Vec<String> = late
        .map(|order| {
            let by = days_between(order.due.0, days.due.date).unsigned_abs() as usize;
            let rest =
                if order.rest.is_empty() { String::new() } else { format!("{} still out, ", order.rest) };
            format!(
                "order {} with {} ({}): {rest}due {}, {} late, out for {}",
                order.number,
                order.to,
                order.operation,
                order.due,
                counted(by, "day", "days"),
                counted(days.age(order.sent).unsigned_abs() as usize, "day", "days"),
            )
        })
        .collect();
    row.said("", &lines)
}

/// What is not late, and of which some is back and the rest is not.
fn partly_back(row: &BoardRow, days: &Days<'_>) -> Vec<String> {
    let own = row.orders.iter().filter(|order| !days.is_past(order.due.0) && !order.rest.is_empty());
    let line = |order: &RowOrder| {
        format!("order {} with {}: {} still out, due {}", order.number, order.to, order.rest, order.due)
    };
    row.said("", &own.map(line).collect::<Vec<_>>())
}

/// In quantity by size over all engines, with the engines it is for. What is known of all of it is said once.
fn to_order(open: &[&BoardRow]) -> Vec<String> {
    let known = |need: &RowNeed| {
        let wait = if need.approved { "" } else { ", not before money is approved" };
        format!("{}{wait}", need.known)
    };
    let all: BTreeSet<String> = open.iter().flat_map(|row| row.needs.iter().map(known)).collect();
    let mut items: BTreeMap<(&str, &str), (u32, Vec<String>)> = BTreeMap::new();
    for row in open {
        for need in &row.needs {
            let (count, jobs) = items.entry((&need.item, &need.size)).or_default();
            *count += need.count;
            let own = if all.len() > 1 { format!(" ({})", known(need)) } else { String::new() };
            jobs.push(format!("{} for {}{own}", need.count, row.written));
        }
    }
    let one = |((item, size), (count, jobs)): (&(&str, &str), &(u32, Vec<String>))| {
        let size = if size.is_empty() { String::new() } else { format!(" {size}") };
        format!("\n  {count} {item}{size}: {}", jobs.join("; "))
    };
    let lines: String = items.iter().map(one).collect();
    let shared =
        all.first().filter(|_| all.len() == 1).map_or_else(String::new, |all| format!("; of all: {all}"));
    if lines.is_empty() { Vec::new() } else { vec![format!("By item and size{shared}{lines}")] }
}

fn late_supplies(row: &BoardRow, days: &Days<'_>) -> Vec<String> {
    let bad =
        |state: &str| matches!(state, "late" | "wrong" | "wrong size" | "back-ordered" | "not available");
    let shown = row
        .supplies
        .iter()
        .filter(|supply| bad(&supply.state) || supply.due.is_some_and(|due| days.is_past(due.0)));
    let lines: Vec<String> = shown
        .map(|supply| {
            let from =
                if supply.supplier.is_empty() { String::new() } else { format!(", {}", supply.supplier) };
            let due = supply.due.map_or_else(String::new, |due| format!(", due {due}"));
            format!("{}: {}{from}{due}", supply.item, supply.state)
        })
        .collect();
    row.said("", &lines)
}

/// Those without an answer, and those that run out.
fn estimates(row: &BoardRow, days: &Days<'_>) -> Vec<String> {
    let mut lines = Vec::new();
    for estimate in &row.estimates {
        let left = days_between(days.due.date, estimate.expires.0);
        let expiry = match left {
            ..0 => format!("expired {}", estimate.expires),
            0..=SOON => format!("expires {}", estimate.expires),
            _ => String::new(),
        };
        let out = estimate.answer.is_empty();
        let asked = if out {
            format!("no answer for {}", counted(days.age(estimate.at).unsigned_abs() as usize, "day", "days"))
        } else {
            estimate.answer.clone()
        };
        let declined = estimate.answer.starts_with("declined");
        if (out || !expiry.is_empty()) && !declined {
            let option = if estimate.option.is_empty() { "estimate" } else { &estimate.option };
            let expiry = if expiry.is_empty() { expiry } else { format!("; {expiry}") };
            lines.push(format!("{option}, {} and at most {}: {asked}{expiry}", estimate.sum, estimate.most));
        }
    }
    row.said("", &lines)
}

fn problems(open: &[&BoardRow], days: &Days<'_>) -> Vec<String> {
    let mut all: Vec<(i64, String)> = Vec::new();
    for row in open {
        for problem in &row.problems {
            let about = if problem.about.is_empty() { String::new() } else { format!("{}: ", problem.about) };
            let age = counted(days.age(problem.at).max(0).unsigned_abs() as usize, "day", "days");
            let tries: String = problem.tries.iter().map(|tried| format!("\n  tried: {tried}")).collect();
            let waits = match problem.waits_on.as_str() {
                "" => String::new(),
                on => format!(", waits on {on}"),
            };
            let text = format!("{}, {about}{}\n  open for {age}{waits}{tries}", row.written, problem.what);
            all.push((problem.at, text));
        }
    }
    all.sort();
    all.into_iter().map(|(_, text)| text).collect()
}

/// Parts that lie in a bath too long, and parts of which nobody has said for long where they lie: asked of the bench.
fn where_is(row: &BoardRow, days: &Days<'_>) -> Vec<String> {
    let long = row.lying.iter().filter(|lying| days.has_lasted(lying.at, lying.hours));
    let line = |lying: &RowLying| {
        let age = match days.age(lying.at) {
            ..=1 => format!("for more than {} hours", lying.hours),
            age => format!("for {age} days"),
        };
        match lying.bath.as_str() {
            "" => format!("{}: off, and nobody has said {age} where it lies", lying.about),
            bath => format!("{}: in {bath} {age}; take it out, or say that it stays", lying.about),
        }
    };
    row.said("", &long.map(line).collect::<Vec<_>>())
}

/// Engines that cost more than was estimated, and those that can be billed.
fn money(row: &BoardRow) -> Vec<String> {
    let mut lines = Vec::new();
    if row.money.over {
        lines.push(row.money.words.clone());
    }
    if let Some(owed) = row.money.owed {
        lines.push(format!("{owed} still to be paid"));
    }
    row.said("", &lines)
}

/// Gauges found bad, past their day or near it, with the engines whose readings rest on them.
fn gauges(input: &SummaryInput, days: &Days<'_>) -> Vec<String> {
    let mut lines = Vec::new();
    for gauge in &input.gauges {
        let due = gauge.due.filter(|due| days_between(days.due.date, due.0) <= SOON);
        let mut what = Vec::new();
        if let Some((since, why)) = &gauge.bad {
            what.push(format!("bad since {since}: {why}"));
        }
        if let Some(due) = due {
            let past = if days.is_past(due.0) { "was due" } else { "is due" };
            what.push(format!("calibration {past} {due}"));
        }
        let used: Vec<&str> = input
            .rows
            .iter()
            .filter(|row| row.gauges.contains(&gauge.mark))
            .map(|row| row.written.as_str())
            .collect();
        let doubts = in_doubt(input, gauge);
        if what.is_empty() && !doubts.is_empty() {
            what.push("what it read is in doubt".to_owned());
        }
        if !what.is_empty() {
            let used = if used.is_empty() { "no reading" } else { &used.join(", ") };
            lines.push(format!(
                "{}, {}: {}\n  readings that rest on it: {used}{doubts}",
                gauge.mark,
                gauge.instrument,
                what.join("; ")
            ));
        }
    }
    lines
}

/// What is in doubt because of a gauge, a line an engine and reason; of engines that were released only while the gauge
/// is bad.
fn in_doubt(input: &SummaryInput, gauge: &GaugeNow) -> String {
    let open = input.rows.iter().filter(|row| !row.released || gauge.bad.is_some());
    let all = open.flat_map(|row| row.doubts.iter().map(move |doubt| (row, doubt)));
    let own = all.filter(|(_, doubt)| doubt.gauge == gauge.mark && !doubt.verdicts.is_empty());
    own.map(|(row, doubt)| {
        let verdicts = doubt.verdicts.join("; ");
        format!("\n  in doubt, {}: {}; on it rest {verdicts}", row.written, doubt.why)
    })
    .collect()
}

/// Steps signed on the days before.
fn finished(row: &BoardRow, days: &Days<'_>) -> Vec<String> {
    let new = row.signed.iter().filter(|signed| days.is_news(signed.at));
    let lines = new.map(|signed| {
        let goes_out = [Step::Engine, Step::Delivered].iter().any(|step| step.word() == signed.step);
        // A hand-over over open work is no end of it.
        let open = if goes_out && !row.released {
            format!(", AND NOT FINISHED: {} open", counted(row.waits_in_all, "thing is", "things are"))
        } else {
            String::new()
        };
        format!("{} signed by {}{open}", signed.step, signed.name)
    });
    let lines: Vec<String> = lines.collect();
    row.said("", &lines)
}

/// Job, stage, how long there, and its first wait.
fn stands(row: &BoardRow, days: &Days<'_>) -> String {
    let age = days.age(row.since).max(0).unsigned_abs() as usize;
    let since = match (row.since, age) {
        (0, _) => String::new(),
        (_, 0) => " since today".to_owned(),
        (_, age) => format!(" for {}", counted(age, "day", "days")),
    };
    let promised = promised(row, days).map_or_else(String::new, |words| format!(", {words}"));
    let more = row.waits_in_all.saturating_sub(1);
    let waits = row.waits.first().map_or_else(
        || "waits for nothing".to_owned(),
        |wait| {
            let more = if more == 0 { String::new() } else { format!(" (and {more} more)") };
            format!("waits for {}: {}{more}", wait.actor, wait.line())
        },
    );
    let preserve = row.preserve.map_or_else(String::new, |day| format!("\n  preserve it again {day}"));
    format!("{}, {}\n  {}{since}{promised}\n  {waits}{preserve}", row.written, row.customer, row.stage)
}

fn held(input: &SummaryInput, open: &[&BoardRow]) -> Vec<String> {
    let mut held: Vec<String> = open.iter().flat_map(|row| row.said("held: ", &row.held)).collect();
    held.extend(input.shop_held.iter().map(|why| format!("shop\n  {why}")));
    held
}

fn dead(input: &SummaryInput) -> Vec<String> {
    if input.dead_letters == 0 {
        return Vec::new();
    }
    vec![format!(
        "{} letters could not be delivered and were given up; see the arrivals page",
        input.dead_letters
    )]
}
