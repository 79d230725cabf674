//! The lines of a plan in words: what is the same on several places is one row.

use crate::facts::{Code, SizeWord, SupplyState};
use crate::metrology::Unit;
use crate::pages::JobView;
use crate::pages::plan::clearance::{foreseen, narrowed};
use crate::pages::plan::reasons;
use crate::pages::section::{Cell, Table};
use crate::pages::sections::unit_of;
use crate::planning::effects::Effect;
use crate::planning::{Alternative, Deed, How, PlanLine, Refused};
use crate::sheets::{Feature, Limits};
use crate::shop::{Piece, SurfaceKey};

/// Millimetres as a figure in a unit, two digits that count.
pub(super) fn small(mm: f64, unit: Unit) -> String {
    let value = mm / unit.scale();
    let decimals = if unit == Unit::Millimetre { 3 } else { 4 };
    format!("{value:.decimals$}")
}

/// The surface a line is about.
pub(super) fn surface(line: &PlanLine) -> Option<SurfaceKey> {
    match &line.deed {
        Deed::Keep(surface) | Deed::Work { surface, .. } => Some(*surface),
        Deed::Once { .. }
        | Deed::Afterwards { .. }
        | Deed::Mend { .. }
        | Deed::Replace(_)
        | Deed::Buy { .. }
        | Deed::Hours { .. }
        | Deed::Nothing { .. } => None,
    }
}

fn feature(view: &JobView, index: usize) -> Option<&Feature> {
    view.job.sheet.as_ref()?.features.get(index)
}

/// The group a refused size is of.
pub(super) fn group(view: &JobView, refused: &Refused) -> String {
    feature(view, refused.feature).map_or_else(String::new, |feature| feature.group.clone())
}

/// Lines of work that differ in the position alone.
pub(super) struct SameWork<'a> {
    pub(super) feature: &'a Feature,
    pub(super) index: usize,
    pub(super) operation: &'a str,
    pub(super) to: Option<SizeWord>,
    pub(super) how: &'a How,
    pub(super) lines: Vec<&'a PlanLine>,
}

impl SameWork<'_> {
    fn narrowed(&self) -> Option<&Limits> {
        self.lines.first().and_then(|line| narrowed(line))
    }

    /// `bore 1, 3, 4`, `every bore`, `head flatness` where there is one.
    pub(super) fn places(&self) -> String {
        let positions: Vec<&str> = self.positions().collect();
        match (positions.len(), self.feature.positions.len()) {
            (1, 1) => self.feature.key.clone(),
            (some, all) if some == all => format!("every {}", self.feature.key),
            (_, _) => format!("{} {}", self.feature.key, positions.join(", ")),
        }
    }

    pub(super) fn positions(&self) -> impl Iterator<Item = &str> {
        let keys = self.lines.iter().filter_map(|line| surface(line));
        keys.filter_map(|key| self.feature.positions.get(key.position)).map(String::as_str)
    }
}

/// As [`same_work`], whatever the reason: what is done to which places, in as few words as can be.
pub(super) fn same_deeds<'a>(view: &'a JobView, alternative: &'a Alternative) -> Vec<SameWork<'a>> {
    let mut all: Vec<SameWork<'a>> = Vec::new();
    for work in same_work(view, &alternative.lines.iter().collect::<Vec<_>>()) {
        let same = all.iter_mut().find(|known| {
            known.index == work.index && known.operation == work.operation && known.to == work.to
        });
        match same {
            Some(known) => known.lines.extend(work.lines),
            None => all.push(work),
        }
    }
    for work in &mut all {
        work.lines.sort_by_key(|line| surface(line));
    }
    all
}

pub(super) fn same_work<'a>(view: &'a JobView, lines: &[&'a PlanLine]) -> Vec<SameWork<'a>> {
    let mut all: Vec<SameWork<'a>> = Vec::new();
    for line in lines.iter().copied() {
        let Deed::Work { surface, operation, to, how } = &line.deed else { continue };
        let Some(feature) = feature(view, surface.feature) else { continue };
        let same = all.iter_mut().find(|known| {
            known.index == surface.feature
                && known.operation == operation
                && known.to == *to
                && known.how == how
                && known.narrowed() == narrowed(line)
        });
        match same {
            Some(known) => known.lines.push(line),
            None => all.push(SameWork {
                feature,
                index: surface.feature,
                operation,
                to: *to,
                how,
                lines: vec![line],
            }),
        }
    }
    all
}

/// One line of work alone.
pub(super) fn same_work_of<'a>(view: &'a JobView, line: &'a PlanLine) -> Option<SameWork<'a>> {
    let Deed::Work { surface, operation, to, how } = &line.deed else { return None };
    let feature = feature(view, surface.feature)?;
    Some(SameWork { feature, index: surface.feature, operation, to: *to, how, lines: vec![line] })
}

/// How a size comes about, for programs.
pub(super) const fn how_word(how: &How) -> &'static str {
    match how {
        How::CleansUp => "cleans up",
        How::NotMeasured => "not measured",
        How::Again => "again to the same size",
        How::BuiltUp => "built up",
        How::Cut(_) => "cut flat",
        How::Otherwise => "by the operation",
    }
}

/// The code to quote by whoever agrees to exactly the work of this plan.
pub(super) fn agreement_code(view: &JobView, alternative: &Alternative) -> Code {
    let mut pieces: Vec<Piece> = Vec::new();
    for line in &alternative.lines {
        if let Deed::Work { surface, operation, to, .. } = &line.deed {
            pieces.push(Piece { surface: *surface, operation: operation.clone(), finished: *to });
        }
    }
    pieces.sort_unstable();
    crate::stages::agreement_code(&view.job, &view.judgement, &pieces)
}

/// What is done, in a sentence.
pub(super) fn in_short(view: &JobView, alternative: &Alternative) -> String {
    let unit = unit_of(&view.job);
    let mut words: Vec<String> = Vec::new();
    for work in same_deeds(view, alternative) {
        let to = work.to.map_or_else(String::new, |size| format!(" to {}", size.show(unit)));
        words.push(format!("{} {}{to}", work.operation, work.places()));
    }
    for line in &alternative.lines {
        match &line.deed {
            Deed::Replace(place) => words.push(format!("another {}", view.job.parts_name(&[*place]))),
            Deed::Mend { part, operation } => {
                words.push(format!("{operation} {}", view.job.parts_name(&[*part])));
            }
            Deed::Keep(_) | Deed::Work { .. } | Deed::Once { .. } | Deed::Afterwards { .. } => {}
            Deed::Buy { .. } | Deed::Hours { .. } | Deed::Nothing { .. } => {}
        }
    }
    if words.is_empty() {
        return if alternative.cost.unsolved > 0 {
            "Nothing known helps with what is beyond its limit.".to_owned()
        } else {
            "Nothing needs machining or replacing by what is measured and found so far.".to_owned()
        };
    }
    sentence(&words.join("; "))
}

/// With a capital letter and a full stop.
pub(super) fn sentence(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| format!("{}{}.", first.to_uppercase(), letters.as_str()))
}

/// What nothing helps, and why.
pub(super) fn unsolved(alternative: &Alternative) -> impl Iterator<Item = (&str, &str)> {
    alternative.lines.iter().filter_map(|line| match &line.deed {
        Deed::Nothing { about, why } => Some((about.as_str(), why.as_str())),
        Deed::Keep(_) | Deed::Work { .. } | Deed::Once { .. } | Deed::Afterwards { .. } => None,
        Deed::Mend { .. } | Deed::Replace(_) | Deed::Buy { .. } | Deed::Hours { .. } => None,
    })
}

/// Work, with what it is finished to and why.
pub(super) fn work(view: &JobView, lines: &[&PlanLine]) -> Table {
    let unit = unit_of(&view.job);
    let mut table = Table::of("Work", &["Work", "On", "Finished to", "Why", "Price", "Days"]);
    for work in same_work(view, lines) {
        let to = finish(&work, unit);
        let mut why = reasons::of_work(view, &work);
        why.extend(thinnest(&work, unit));
        why.extend(work.lines.iter().filter_map(|line| foreseen(view, line)));
        table.row(vec![
            work.operation.into(),
            work.places().into(),
            to.into(),
            why.join("\n").into(),
            price(view, &work.lines),
            days(&work.lines).into(),
        ]);
    }
    for line in lines {
        let cells: Option<[String; 4]> = match &line.deed {
            Deed::Replace(place) => {
                let why = [reasons::of_part(view, *place), vec![known(line)]].concat().join("\n");
                Some(["replace".to_owned(), view.job.parts_name(&[*place]), "new, standard".to_owned(), why])
            }
            Deed::Mend { part, operation } => {
                let why = reasons::of_mended(view, line, *part).join("\n");
                Some([operation.clone(), view.job.parts_name(&[*part]), reasons::MENDED.to_owned(), why])
            }
            Deed::Once { feature: index, operation } => {
                let on = feature(view, *index).map_or_else(String::new, |feature| feature.key.clone());
                Some([
                    format!("{operation}, setting up"),
                    on,
                    String::new(),
                    "once, however many places".to_owned(),
                ])
            }
            Deed::Afterwards { part, operation } => Some([
                operation.clone(),
                view.job.parts_name(&[*part]),
                String::new(),
                reasons::of_afterwards(view, *part, operation),
            ]),
            Deed::Hours { what, hundredths } => {
                let hours = format!("{}.{:02} hours", hundredths / 100, hundredths % 100);
                Some([what.clone(), String::new(), hours, "the shop's hours for such an engine".to_owned()])
            }
            Deed::Keep(_) | Deed::Work { .. } | Deed::Buy { .. } | Deed::Nothing { .. } => None,
        };
        if let Some([what, on, to, why]) = cells {
            table.row(vec![
                what.into(),
                on.into(),
                to.into(),
                why.into(),
                price(view, &[line]),
                days(&[line]).into(),
            ]);
        }
    }
    table
}

/// Of the walls on each side the thinnest that would be left.
fn thinnest(work: &SameWork<'_>, unit: Unit) -> Vec<String> {
    let walls = || work.lines.iter().flat_map(|line| &line.walls);
    let mut sides: Vec<&str> = walls().map(|wall| wall.feature.as_str()).collect();
    sides.sort_unstable();
    sides.dedup();
    let of_side = |side: &str| {
        let there = || walls().filter(move |wall| wall.feature == side);
        let unread: Vec<&str> = there().filter(|wall| wall.left.is_none()).map(|w| w.name.as_str()).collect();
        if !unread.is_empty() {
            return Some(format!("not measured, and walls get thinner: {}", unread.join(", ")));
        }
        let thinnest = there().min_by_key(|wall| wall.left)?;
        let (left, least) = (thinnest.left?.show(unit), thinnest.least.show(unit));
        Some(format!("thinnest {} left: {left} ({}), at least {least}", thinnest.feature, thinnest.name))
    };
    sides.into_iter().filter_map(of_side).collect()
}

/// Size class and finished limits.
pub(super) fn finish(work: &SameWork<'_>, unit: Unit) -> String {
    let of_size = work
        .to
        .and_then(|size| work.feature.new_limits(size.step()).filter(|_| work.feature.sizes.is_some()));
    let limits = work.narrowed().copied().or(of_size);
    let size = work.to.map_or_else(String::new, |size| size.show(unit));
    match (limits.and_then(|l| Some((l.min?, l.max?))), work.how) {
        (Some((min, max)), _) => {
            format!("{size}: {} to {} {}", min.show(unit), max.show(unit), unit.symbol())
        }
        (None, How::Cut(cut)) => format!("at least {} {} off, until flat", cut.show(unit), unit.symbol()),
        (None, _) => size,
    }
}

fn price(view: &JobView, lines: &[&PlanLine]) -> Cell {
    let all: Option<Vec<_>> = lines.iter().map(|line| line.price.money).collect();
    match all {
        Some(all) => view.money(all.into_iter().sum()).into(),
        None => Cell::strong("no price"),
    }
}

fn days(lines: &[&PlanLine]) -> String {
    let longest = lines.iter().filter_map(|line| line.price.days).max();
    match longest {
        None => "not known".to_owned(),
        Some(0) => String::new(),
        Some(days) => days.to_string(),
    }
}

/// Parts to buy.
pub(super) fn bought(view: &JobView, lines: &[&PlanLine]) -> Table {
    let unit = unit_of(&view.job);
    let mut table = Table::of("Parts", &["Part", "Size", "Count", "Known", "Price", "Days"]);
    for line in lines {
        let Deed::Buy { item, size, count } = &line.deed else { continue };
        let size = size.map_or_else(String::new, |size| size.show(unit));
        let known = known(line);
        table.row(vec![
            item.as_str().into(),
            size.into(),
            count.to_string().into(),
            known.into(),
            price(view, &[line]),
            days(&[line]).into(),
        ]);
    }
    table
}

/// Whether it can be had, as far as anybody said.
pub(super) fn known(line: &PlanLine) -> String {
    let Some(found) = &line.obtainable else { return String::new() };
    let size = match &line.deed {
        Deed::Buy { size, .. } => *size,
        Deed::Replace(_) => Some(SizeWord::Standard),
        Deed::Keep(_) | Deed::Work { .. } | Deed::Once { .. } | Deed::Afterwards { .. } => None,
        Deed::Mend { .. } | Deed::Hours { .. } | Deed::Nothing { .. } => None,
    };
    let from = if found.supplier.is_empty() { String::new() } else { format!(" {}", found.supplier) };
    let short = match found.short {
        0 => String::new(),
        short => format!("; {short} fewer than needed: ask for the rest"),
    };
    match (found.state, size) {
        (Some(state), _) if from.is_empty() => format!("{}{short}", SupplyState::word(state)),
        (Some(state), _) => format!("{},{from}{short}", SupplyState::word(state)),
        (None, Some(_)) => format!("ask{from} before anything is cut"),
        (None, None) if from.is_empty() => "nobody has asked yet".to_owned(),
        (None, None) => format!("to be had from{from}, not asked yet"),
    }
}

/// What the cuts move elsewhere, what breaks a limit first.
pub(super) fn effects(alternative: &Alternative) -> Table {
    let mut table = Table::of("What it moves", &["What", "Where", "Now", "Then", "Limit", "How it stands"]);
    let mut effects: Vec<&Effect> = alternative.effects.iter().collect();
    effects.sort_by_key(|effect| effect.inside != Some(false));
    for effect in effects {
        let stands = match effect.inside {
            Some(true) => "holds".into(),
            Some(false) => Cell::strong("beyond the limit"),
            None => Cell::from(if effect.limit.is_some() { "not sure" } else { "" }),
        };
        table.row(vec![
            effect.what.word().into(),
            effect.position.as_str().into(),
            effect.now.as_deref().unwrap_or_default().into(),
            effect.then.as_str().into(),
            effect.limit.as_deref().unwrap_or_default().into(),
            stands,
        ]);
    }
    table
}

/// `one thing without a price`, `4 things without a time`.
pub(super) fn things(count: u32, what: &str) -> String {
    if count == 1 {
        format!("one thing without a {what}")
    } else {
        format!("{count} things without a {what}")
    }
}
