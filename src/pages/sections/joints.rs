//! Tightening, group by group: how it is done, where it was left off; and the checks of the sheet.

use crate::facts::{CheckResult, PartState};
use crate::pages::JobView;
use crate::pages::bolt_drawing::{order_of_bolts, tightening};
use crate::pages::section::{Block, Cell, Section, Table};
use crate::pages::sections::{headed, joined};
use crate::sheets::{CheckBy, Fasteners, fold_name, same_name};
use crate::shop::{Job, Joint, Tightened, WrenchNow};
use crate::stages::Stage;

/// Torque, stages, order and lubricant of each group, and what is done of it.
pub(in crate::pages) fn joints(view: &JobView) -> Section {
    let job = &view.job;
    let mut section = Section::new("joints", "Tightening");
    let Some(sheet) = &job.sheet else { return section };
    let (mut drawn, mut later) = (Vec::new(), Vec::new());
    let mut begun = Table::of("", &["Group", "State", "How", "Done"]);
    let mut waiting = Table::of("Not begun", &["Group", "How"]);
    for fasteners in &sheet.fasteners {
        let name: Cell = format!("{}, {}", fasteners.group, fasteners.name).into();
        match job.joints.get(&fold_name(&fasteners.group)) {
            Some(joint) => {
                begun.row(vec![name, state(joint, fasteners), how(fasteners).into(), done(joint).into()]);
                if !joint.missing(fasteners).is_empty() {
                    drawn.extend(tightening(fasteners, &stages_words(fasteners), Some(joint)));
                }
            }
            None if job.concerns(&fasteners.scopes) && fasteners.stage_count() > 0 => {
                waiting.row(vec![name, how(fasteners).into()]);
                later.extend(tightening(fasteners, &stages_words(fasteners), None));
            }
            None => {}
        }
    }
    section.table(begun);
    section.blocks.extend(drawn.into_iter().map(Block::Drawing));
    section.more_table(waiting);
    // Before it goes together only the table stands there.
    if view.standing.stage == Stage::Reassembly {
        section.more.extend(later.into_iter().map(Block::Drawing));
    }
    section
}

/// Where it was left off.
fn state(joint: &Joint, fasteners: &Fasteners) -> Cell {
    match joint.missing(fasteners).into_iter().next() {
        None => "all stages done".into(),
        Some((stage, places)) => {
            Cell::strong(format!("next: stage {stage}{}", next_bolts(fasteners, &places)))
        }
    }
}

/// ` at C4, then C2, P2`: bolts that lack a stage, in the order they are tightened in.
fn next_bolts(fasteners: &Fasteners, places: &[String]) -> String {
    let order = fasteners.tightening().places;
    let turn = |place: &String| order.iter().position(|known| same_name(known, place)).unwrap_or(usize::MAX);
    let mut places: Vec<&String> = places.iter().collect();
    places.sort_by_key(|place| turn(place));
    match places.split_first() {
        None => String::new(),
        Some((first, [])) => format!(" at {first}"),
        Some((first, rest)) => {
            let rest: Vec<&str> = rest.iter().map(|place| place.as_str()).collect();
            format!(" at {first}, then {}", rest.join(", "))
        }
    }
}

/// How a group is tightened, as the sheet says.
fn how(f: &Fasteners) -> String {
    let kind = if f.single_use { "single use: new ones" } else { "" };
    let order = if f.has_order() { order_of_bolts(&f.tightening()) } else { String::new() };
    joined(
        &[
            &stages_words(f),
            &f.lubricant,
            kind,
            &headed("always new: ", &always_new(f)),
            &headed("order: ", &order),
            &f.note,
        ],
        "\n",
    )
}

/// `8 nuts`.
fn always_new(f: &Fasteners) -> String {
    let counted = f.always_new.iter().map(|new| format!("{} {}", new.count, new.what));
    joined(&[&counted.collect::<Vec<_>>().join(", "), &f.renewed], ", ")
}

/// `20, 45, 70 lbf ft, then 90 deg`.
pub(in crate::pages) fn stages_words(f: &Fasteners) -> String {
    let unit = f.torque_unit.symbol();
    let torques = |stages: &[String]| {
        if stages.is_empty() { String::new() } else { format!("{} {unit}", stages.join(", then ")) }
    };
    let own: Vec<String> = f
        .sizes
        .iter()
        .filter(|size| !size.stages.is_empty())
        .map(|size| format!("{}: {}", size.size, torques(&size.stages)))
        .collect();
    let angles: Vec<String> = f.angles.iter().map(|angle| format!("{angle} deg")).collect();
    joined(&[&torques(&f.stages), &own.join("; "), &angles.join(", then ")], ", then ")
}

fn done(joint: &Joint) -> String {
    joint.entries.iter().map(entry).collect::<Vec<_>>().join("\n")
}

fn entry(entry: &Tightened) -> String {
    let stages = if entry.stages.is_empty() {
        "all stages".to_owned()
    } else {
        let numbers: Vec<String> = entry.stages.iter().map(usize::to_string).collect();
        format!("stage {}", numbers.join(", "))
    };
    joined(
        &[
            &stages,
            &headed("at ", &entry.places.join(", ")),
            bolts(entry.bolts),
            &entry.lubricant,
            &headed("wrench ", &wrench(entry)),
            &headed("final ", &entry.final_reading),
            &entry.said.words(),
            &headed("let go before, and seen then: ", &entry.slackened),
            loosened(entry),
        ],
        ", ",
    )
}

/// `TW-1, in calibration, certificate C-131, due 2027-01-10`, and whatever is the matter with it.
fn wrench(entry: &Tightened) -> String {
    let state = match &entry.wrench_now {
        WrenchNow::Known(state) => {
            let due = state.due.map_or_else(String::new, |due| due.to_string());
            joined(&[state.word(), &headed("certificate ", &state.certificate), &headed("due ", &due)], ", ")
        }
        WrenchNow::Unknown | WrenchNow::NotNamed => String::new(),
    };
    let faults = entry.wrench_now.faults(None).join("; ");
    let all = joined(&[&state, &faults], "; ");
    if all.is_empty() { entry.wrench.clone() } else { format!("{} ({all})", entry.wrench) }
}

fn loosened(entry: &Tightened) -> &'static str {
    if entry.loosened.is_empty() {
        ""
    } else {
        "loosened since: it was let go, or what it holds came off or was fitted anew"
    }
}

const fn bolts(state: PartState) -> &'static str {
    match state {
        PartState::New => "new bolts",
        PartState::Used => "used bolts",
    }
}

/// Every tightening, for the record.
pub(in crate::pages) fn tightened(job: &Job) -> Table {
    let mut table = Table::of("Tightened", &["Group", "As the sheet says", "Done"]);
    for joint in job.joints.values() {
        let fasteners = job.sheet.as_ref().and_then(|sheet| sheet.fasteners(&joint.group));
        let name = fasteners.map_or_else(String::new, |f| f.name.clone());
        let how = fasteners.map_or_else(String::new, stages_words);
        table.row(vec![joined(&[&joint.group, &name], ", ").into(), how.into(), done(joint).into()]);
    }
    table
}

/// Checks of the sheet with their answers; those that were answered no come first.
pub(in crate::pages) fn checks(view: &JobView) -> Section {
    let job = &view.job;
    let mut section = Section::new("checks", "Checks");
    let Some(sheet) = &job.sheet else { return section };
    let concerned: Vec<_> = sheet.checks.iter().filter(|check| job.concerns(&check.scopes)).collect();
    let answered = |check: &&&crate::sheets::Check| {
        job.checks.get(&fold_name(&check.key)).is_some_and(|a| !a.is_empty())
    };
    let count = concerned.iter().filter(answered).count();
    if count > 0 {
        section.line(format!("{count} of {} checks are answered.", concerned.len()));
    }
    let mut refused = Table::of("", &["Check", "Answer", "By"]);
    let mut all = Table::of("", &["Check", "Stage", "Who looks", "Answer", "By"]);
    for check in concerned {
        let answers = job.checks.get(&fold_name(&check.key));
        let latest = answers.and_then(|answers| answers.last());
        let by = latest.map_or_else(String::new, |now| now.said.words());
        let answer =
            latest.map_or_else(String::new, |now| joined(&[now.result.word(), &now.value, &now.why], ", "));
        let mut shown: Cell = answer.clone().into();
        if latest.is_some_and(|now| now.result == CheckResult::No) {
            shown = Cell::strong(answer);
            refused.row(vec![check.words.as_str().into(), shown.clone(), by.clone().into()]);
        }
        let who = match (check.by, check.second) {
            (CheckBy::Bench, true) => "another person",
            (by, _) => by.word(),
        };
        all.row(vec![check.words.as_str().into(), check.stage.word().into(), who.into(), shown, by.into()]);
    }
    section.table(refused);
    section.more_table(all);
    section
}
