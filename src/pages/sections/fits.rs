//! What to fit: shells, pistons and other single parts, rings, weights; worst first.

use crate::facts::SizeWord;
use crate::judgement::{Band, Judged, words};
use crate::metrology::{Exact, Unit};
use crate::pages::JobView;
use crate::pages::section::{Block, Cell, Section, Table};
use crate::pages::sections::unit_of;
use crate::planning::{
    Fitting, HalfSteps, RingPlace, RingSet, ShellChoice, ShellPlace, ShellSet, SinglePlace, SingleSet,
    WeightSet, Why,
};

/// Which part goes where and what it will come to, for an engine that goes together next.
pub(in crate::pages) fn fits(view: &JobView) -> Section {
    let mut section = Section::new("fits", "What to fit");
    let unit = unit_of(&view.job);
    let Fitting { shells, singles, rings, weights } = view.fitting();
    shells.iter().for_each(|set| of_shells(set, unit, &mut section));
    singles.iter().for_each(|set| of_singles(view, set, unit, &mut section));
    rings.iter().for_each(|set| of_rings(view, set, unit, &mut section));
    weights.iter().for_each(|set| of_weights(set, &mut section));
    section
}

/// `0.0012 to 0.0026 in`.
fn between((low, high): (Exact, Exact), unit: Unit) -> String {
    let symbol = unit.symbol();
    if low == high {
        format!("{} {symbol}", low.show(unit))
    } else {
        format!("{} to {} {symbol}", low.show(unit), high.show(unit))
    }
}

fn sure(expected: &Judged) -> Cell {
    let text = format!("{}: {}", expected.state(), expected.probability_words());
    if matches!(expected.band, Band::Beyond(_)) { Cell::strong(text) } else { text.into() }
}

/// Shells by the sheet's table; empty where it has none.
fn by_grades(set: &ShellSet, unit: Unit) -> Table {
    let head = ["Place", "Housing", "Journal", "Shells", "Clearance"];
    let mut table = Table::of(format!("{} by grade", set.part), &head);
    for shell in &set.graded {
        let word = |grade: &Option<String>| grade.clone().unwrap_or_else(|| "between grades".to_owned());
        let chosen =
            shell.shell.clone().unwrap_or_else(|| "none in the table: choose by clearance".to_owned());
        let clearance = shell.clearance.map_or_else(String::new, |ends| between(ends, unit));
        table.row(vec![
            Cell::strong(shell.name.as_str()),
            word(&shell.outer).into(),
            word(&shell.inner).into(),
            chosen.into(),
            clearance.into(),
        ]);
    }
    table
}

fn ask_for(unmeasured: &[String], section: &mut Section) {
    if !unmeasured.is_empty() {
        section.line(format!("Not known yet, measure first: {}.", unmeasured.join(", ")));
    }
}

fn of_shells(set: &ShellSet, unit: Unit, section: &mut Section) {
    let window = format!("{} {}", words::limits(&set.window, unit), unit.symbol());
    if !set.places.is_empty() {
        section.line(shells_line(set, unit, &window));
    }
    for place in &set.places {
        if let Why::NothingFits { grind_to } = &place.why {
            let to = grind_to.map_or_else(
                || "there is no size left to grind to".to_owned(),
                |size| format!("grind to {}", size.show(unit)),
            );
            let text = format!("{}: no shell that may be fitted comes inside {window}: {to}.", place.name);
            section.blocks.push(Block::Strong(text));
        }
    }
    match &set.half_steps {
        HalfSteps::NotAsked => {}
        HalfSteps::Allowed { by, .. } => {
            section.blocks.push(Block::Quiet(format!("Half steps allowed by {}.", by.join(", "))));
        }
        HalfSteps::Barred(why) => section.blocks.push(Block::Strong(format!("{}: {why}.", set.pair))),
    }
    let head = ["Place", "Shells", "Clearance", "Uncertainty", "How sure", "Why"];
    let mut table = Table::of(format!("{}, worst first", set.part), &head);
    for place in set.worst_first() {
        table.row(shell_row(set, place, &place.chosen, why(&place.why), unit));
    }
    section.table(table);
    section.table(by_grades(set, unit));
    ask_for(&set.unmeasured, section);
    let mut others = Table::of(format!("{}, what else could be fitted", set.part), &head);
    for place in &set.places {
        for choice in &place.others {
            others.row(shell_row(set, place, choice, "", unit));
        }
    }
    section.more_table(others);
}

fn shells_line(set: &ShellSet, unit: Unit, window: &str) -> String {
    let common = set.common.map_or_else(String::new, |size| size.show(unit));
    let unlike = set.places.iter().filter(|place| place.chosen.common() != set.common);
    let unlike: Vec<String> =
        unlike.map(|place| format!("{} {}", place.name, shells_words(set, &place.chosen, unit))).collect();
    let but = if unlike.is_empty() { String::new() } else { format!(", but {}", unlike.join(", ")) };
    format!("{}: {} {common} everywhere{but}; new clearance {window}.", set.pair, set.part)
}

/// `standard`, or `upper standard, lower 0.001 under`.
pub(in crate::pages) fn shells_words(set: &ShellSet, choice: &ShellChoice, unit: Unit) -> String {
    if let Some(size) = choice.common() {
        return size.show(unit);
    }
    let each = |(station, size): (&String, &SizeWord)| format!("{station} {}", size.show(unit));
    set.stations.iter().zip(&choice.sizes).map(each).collect::<Vec<_>>().join(", ")
}

pub(in crate::pages) const fn why(why: &Why) -> &'static str {
    match why {
        Why::Uniform => "one size for all",
        Why::BringsInside => "the others' size would lie outside new here",
        Why::NothingFits { .. } => "nothing fits; nearest is shown",
    }
}

fn shell_row(set: &ShellSet, place: &ShellPlace, choice: &ShellChoice, why: &str, unit: Unit) -> Vec<Cell> {
    let measured = if choice.measured { " (measured)" } else { "" };
    let ground = if place.to_be_ground { ", once ground" } else { "" };
    vec![
        place.name.as_str().into(),
        format!("{}{measured}", shells_words(set, choice, unit)).into(),
        format!("{}{ground}", between(choice.ends(), unit)).into(),
        choice.expected.uncertainty_words(unit).into(),
        sure(&choice.expected),
        why.into(),
    ]
}

/// Name of a position of a part: `2`.
pub(in crate::pages) fn label(view: &JobView, part: &str, position: usize) -> String {
    let part = view.job.sheet.as_ref().and_then(|sheet| sheet.part(part));
    part.and_then(|(_, part)| part.positions.get(position)).cloned().unwrap_or_default()
}

fn of_singles(view: &JobView, set: &SingleSet, unit: Unit, section: &mut Section) {
    let window = format!("{} {}", words::limits(&set.window, unit), unit.symbol());
    section.line(format!(
        "{}: new clearance {window}; each new part goes where all of them lie nearest its middle.",
        set.pair
    ));
    if !set.left_over.is_empty() {
        let text = format!("Fits nowhere that is free: {}.", set.left_over.join(", "));
        section.blocks.push(Block::Strong(text));
    }
    let head = ["Place", "Part", "Clearance", "Uncertainty", "How sure", "Finish the bore to"];
    let mut table = Table::of(set.part.as_str(), &head);
    for place in &set.places {
        table.row(vec![
            place.name.as_str().into(),
            single_words(view, set, place).into(),
            between(place.ends(), unit).into(),
            place.expected.uncertainty_words(unit).into(),
            sure(&place.expected),
            place
                .hone_to
                .map_or_else(String::new, |to| format!("{} {}", to.show(unit), unit.symbol()))
                .into(),
        ]);
    }
    section.table(table);
    ask_for(&set.unmeasured, section);
}

/// `the new one labelled 3`, `its own, it has run here`.
fn single_words(view: &JobView, set: &SingleSet, place: &SinglePlace) -> String {
    if place.kept {
        return "its own, it has run here".to_owned();
    }
    let by_grade = if place.by_grade { ", by its grade" } else { "" };
    format!("the new one labelled {}{by_grade}", label(view, &set.part, place.label))
}

fn of_rings(view: &JobView, set: &RingSet, unit: Unit, section: &mut Section) {
    if !set.left_over.is_empty() {
        let text = format!("Too wide for every bore that is free: {}.", set.left_over.join(", "));
        section.blocks.push(Block::Strong(text));
    }
    let head = [
        "Place",
        "Ring",
        "Gap along the travel",
        "File off at least",
        "File until it is, at the smallest diameter",
        "Wider at the largest by",
    ];
    let mut table = Table::of(set.feature.as_str(), &head);
    set.places.iter().for_each(|place| table.row(ring_row(view, set, place, unit)));
    // Before a ring is measured all bores say much the same.
    let first = set.places.first().and_then(|place| place.file_to);
    if set.places.iter().all(|place| place.ring.is_none() && place.file_to == first) {
        if let Some(to) = first {
            let bores: Vec<&str> = set.places.iter().map(|place| place.name.as_str()).collect();
            let to = between(to, unit);
            section.line(format!(
                "{}: no ring measured yet; at the smallest diameter file until it is {to}.",
                bores.join(", ")
            ));
        }
        section.more_table(table);
    } else {
        section.table(table);
    }
    ask_for(&set.unmeasured, section);
}

fn ring_row(view: &JobView, set: &RingSet, place: &RingPlace, unit: Unit) -> Vec<Cell> {
    let length = |value: Exact| format!("{} {}", rough(value, unit), unit.symbol());
    let ring = place.ring;
    let off = ring.filter(|ring| Exact::ZERO < ring.file_off);
    let file_to = place.file_to.filter(|_| ring.is_none() || off.is_some());
    let to = match (file_to, place.file_to) {
        (Some(to), _) => between(to, unit).into(),
        (None, Some(_)) => Cell::from("nothing to file"),
        (None, None) => Cell::strong("no gap is right along all of this travel"),
    };
    let whose = ring.map_or_else(
        || "not measured".to_owned(),
        |ring| format!("the one labelled {}", ring_label(view, set, ring.label)),
    );
    let gap = ring.map_or_else(String::new, |ring| {
        let (low, high) = (rough(ring.gap.0, unit), rough(ring.gap.1, unit));
        if low == high { length(ring.gap.0) } else { format!("{low} to {}", length(ring.gap.1)) }
    });
    vec![
        place.name.as_str().into(),
        whose.into(),
        gap.into(),
        off.map_or_else(String::new, |ring| length(ring.file_off)).into(),
        to,
        length(place.wider).into(),
    ]
}

/// With the usual decimals: what comes with pi is no decimal fraction.
fn rough(value: Exact, unit: Unit) -> String {
    let decimals = usize::try_from(unit.usual_decimals()).unwrap_or(4);
    format!("{:.decimals$}", value.to_mm() / unit.scale())
}

/// Name of the position a ring was labelled for.
pub(in crate::pages) fn ring_label(view: &JobView, set: &RingSet, position: usize) -> String {
    let feature = view.job.sheet.as_ref().and_then(|sheet| sheet.feature(&set.feature));
    feature.and_then(|(_, feature)| feature.positions.get(position)).cloned().unwrap_or_default()
}

fn of_weights(set: &WeightSet, section: &mut Section) {
    let unit = set.unit;
    let show = |value: Exact| format!("{} {}", value.show(unit), unit.symbol());
    let is_wide = set.allowed < set.spread;
    let line = format!("{}: {} apart, {} allowed", set.feature, show(set.spread), show(set.allowed));
    if is_wide {
        let text = format!("{line}: take off, down to the lightest, never below.");
        section.blocks.push(Block::Strong(text));
    } else {
        section.line(format!("{line}."));
    }
    let head = ["Part", "Weight", "Take off at least", "Down to the lightest"];
    let mut table = Table::of(set.feature.as_str(), &head);
    for place in &set.places {
        let off = |value: Exact| if Exact::ZERO < value { show(value) } else { String::new() };
        table.row(vec![
            place.name.as_str().into(),
            show(place.weight).into(),
            off(place.at_least).into(),
            off(place.to_lightest).into(),
        ]);
    }
    if is_wide {
        section.table(table)
    } else {
        section.more_table(table)
    }
    ask_for(&set.unmeasured, section);
}
