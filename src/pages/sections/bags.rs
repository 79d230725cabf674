//! Bags of bolts, plugs and pins: how many the engine has, came out, are back in, and what is not explained.

use crate::facts::PieceState;
use crate::pages::JobView;
use crate::pages::section::{Block, Cell, Section, Table};
use crate::pages::sections::{headed, joined};
use crate::sheets::{Sheet, fold_name};
use crate::shop::{Bag, Job};

const ALWAYS_NEW: &str = "always new";

/// One size of a group of the sheet.
struct Pieces<'s> {
    group: &'s str,
    name: &'s str,
    size: &'s str,
    index: usize,
    count: u32,
    /// What the sheet says of new ones.
    new: &'static str,
    /// It goes with the pieces of the group: nobody counts old ones out.
    beside: bool,
}

/// Where the bags are and how they stand.
pub(in crate::pages) fn bags(view: &JobView) -> Section {
    let job = &view.job;
    let mut section = Section::new("bags", "Bags, plugs and pins");
    let Some(sheet) = &job.sheet else { return section };
    let all = pieces(job, sheet);
    let groups: std::collections::BTreeSet<&str> = all.iter().map(|p| p.group).collect();
    let counted = groups.iter().filter(|group| job.bags.contains_key(&fold_name(group))).count();
    if counted > 0 {
        section.line(format!(
            "{counted} of {} groups of bolts, plugs and pins are counted: {}.",
            groups.len(),
            in_pieces(job, &all)
        ));
    }
    let mut odd = Table::of("Not accounted for", &["Group", "Size", "What"]);
    for p in &all {
        if let Some(what) = job.bags.get(&fold_name(p.group)).and_then(|bag| short(bag, p)) {
            odd.row(vec![Cell::strong(format!("{}, {}", p.group, p.name)), p.size.into(), what.into()]);
        }
    }
    section.table(odd);
    section.more_table(table(job, &all));
    if counted == 0 {
        // Before anything is counted the sheet's own list is no news.
        section.more.clear();
    }
    section
}

/// The bags that were counted, for the record.
pub(in crate::pages) fn accounted(job: &Job) -> Vec<Block> {
    let Some(sheet) = &job.sheet else { return Vec::new() };
    let all = pieces(job, sheet);
    let counted: Vec<Pieces<'_>> =
        all.into_iter().filter(|p| job.bags.contains_key(&fold_name(p.group))).collect();
    let table = table(job, &counted);
    if table.rows.is_empty() { Vec::new() } else { vec![Block::Table(table)] }
}

/// `118 of 240 pieces came out, 20 are back in`.
fn in_pieces(job: &Job, all: &[Pieces<'_>]) -> String {
    let (mut has, mut out, mut back) = (0, 0, 0);
    for p in all.iter().filter(|p| !p.beside) {
        let bag = job.bags.get(&fold_name(p.group));
        has += p.count;
        out += bag.map_or(0, |bag| bag.out(p.index));
        back += bag.map_or(0, |bag| bag.back_in(p.index));
    }
    format!("{out} of {has} pieces came out, {back} are back in")
}

fn table(job: &Job, all: &[Pieces<'_>]) -> Table {
    let mut table =
        Table::of("", &["Group", "Size", "On the sheet", "Out", "Back in", "Else", "Bag and place"]);
    for p in all {
        let bag = job.bags.get(&fold_name(p.group));
        let group = joined(&[&format!("{}, {}", p.group, p.name), p.new], "\n");
        let mut row: Vec<Cell> = vec![group.into(), p.size.into(), p.count.to_string().into()];
        row.extend(bag.map_or_else(Vec::new, |bag| counts(bag, p)));
        row.resize_with(7, Cell::default);
        table.row(row);
    }
    table
}

fn counts(bag: &Bag, p: &Pieces<'_>) -> Vec<Cell> {
    let said = |state: PieceState| {
        bag.counts.get(&(p.index, state)).filter(|count| count.count > 0).map(|count| {
            let why = headed(": ", &count.why);
            let new = state == PieceState::Replaced && p.new == ALWAYS_NEW;
            let word = if new { "new" } else { state.word() };
            let trouble = count.trouble.map(|(what, many)| format!("{many} of them {}", what.word()));
            let of_size = joined(
                &[
                    &headed("threads ", &count.thread),
                    &headed("grade ", &count.grade),
                    &trouble.unwrap_or_default(),
                ],
                ", ",
            );
            format!("{} {word}{why}{} ({})", count.count, headed(", ", &of_size), count.said.words())
        })
    };
    let all =
        |states: &[PieceState]| states.iter().filter_map(|state| said(*state)).collect::<Vec<_>>().join("\n");
    let (label, place) = bag.lies(p.index);
    let place =
        joined(&[label, place, &headed("threads ", &bag.thread), &headed("grade ", &bag.grade)], ", ");
    vec![
        all(&[PieceState::Bagged]).into(),
        all(&[PieceState::Used, PieceState::Replaced]).into(),
        all(&[PieceState::Scrapped, PieceState::Spare, PieceState::Lost, PieceState::Broken]).into(),
        place.into(),
    ]
}

/// What does not add up once something is back in.
fn short(bag: &Bag, p: &Pieces<'_>) -> Option<String> {
    let (out, back) = (bag.out(p.index), bag.back_in(p.index));
    let went_back = bag.counts.keys().any(|(_, s)| matches!(s, PieceState::Used | PieceState::Replaced));
    if bag.is_counted_out() && out != p.count && !p.beside {
        return Some(format!("{out} came out, the sheet has {}", p.count));
    }
    (went_back && back != p.count).then(|| format!("{back} of {} are back in", p.count))
}

fn pieces<'s>(job: &Job, sheet: &'s Sheet) -> Vec<Pieces<'s>> {
    let mut all = Vec::new();
    let wanted =
        |scopes: &[String], group: &str| job.concerns(scopes) || job.bags.contains_key(&fold_name(group));
    for f in sheet.fasteners.iter().filter(|f| wanted(&f.scopes, &f.group)) {
        let new = match (f.single_use, f.renewed.is_empty()) {
            (true, _) => "single use: always new",
            (false, false) => "partly renewed",
            (false, true) => "",
        };
        all.extend(f.counted().enumerate().map(|(index, (size, count))| Pieces {
            group: &f.group,
            name: &f.name,
            size,
            index,
            count,
            new: if !f.single_use && f.is_always_new(size) { ALWAYS_NEW } else { new },
            beside: index >= f.sizes.len(),
        }));
    }
    for p in sheet.plugs.iter().chain(&sheet.pins).filter(|p| wanted(&p.scopes, &p.group)) {
        let new = if p.renewed { ALWAYS_NEW } else { "" };
        all.extend(p.sizes.iter().enumerate().map(|(index, s)| Pieces {
            group: &p.group,
            name: &p.name,
            size: &s.size,
            index,
            count: s.count,
            new,
            beside: false,
        }));
    }
    all
}
