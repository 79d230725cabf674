//! A work order for the person who does the work: what parts, what operation, to which size and tolerance, what not to
//! touch, what was measured before and how much metal is left, when it is wanted and who decides when it will not clean up.
//!
//! `before` has the readings it went with, `goes_with` what goes along. Whether it may be cut yet is decided elsewhere
//! (`stages`); the page only says so.

mod before;
mod goes_with;

use crate::facts::Digest;
use crate::metrology::Exact;
use crate::pages::JobView;
use crate::pages::bolt_drawing::order_of_bolts;
use crate::pages::frame::page;
use crate::pages::plan::clearance_words;
use crate::pages::section::{Cell, Section, Table};
use crate::pages::sections::{care_of_order, stages_words, unit_of};
use crate::planning::foreseen_at;
use crate::shop::{Job, Order};
use maud::html;

/// The name of an order's page without its ending, safe in a file system: letters, digits, hyphens and a digest.
#[must_use]
pub fn order_file(order: &Order) -> String {
    let plain = |c: char| if c.is_ascii_alphanumeric() { c.to_ascii_lowercase() } else { '-' };
    let name: String = order.number.chars().map(plain).take(24).collect();
    let digest = Digest::of(order.number.as_bytes()).hex();
    format!("order-{name}-{}", digest.get(..8).unwrap_or_default())
}

/// What whoever does the work must know.
fn said(view: &JobView, order: &Order) -> [Section; 5] {
    let job = &view.job;
    [
        wanted(view, order),
        parts(job, order),
        before::before(view, order),
        bolts(job, order),
        care_of_order(job, order),
    ]
}

/// The page of one order.
#[must_use]
pub fn work_order(view: &JobView, order: &Order) -> String {
    let job = &view.job;
    let title = format!("Work order {}, job {}", order.number, job.written);
    let content = html! {
        @let holds = view.standing.holds(order);
        @if !holds.is_empty() {
            p { strong.out { "Held: nothing of it may be cut yet." } }
            ul { @for hold in &holds { li { (hold) } } }
        }
        p { strong { "Wanted by " (order.out.due.to_string()) } ", for " (order.out.to) "." }
        @for part in said(view, order) { (part.html(false)) }
        (back(job, order).html(false))
        p.quiet { a href={ "../../jobs/" (job.key.slug()) ".html" } { "Job " (job.written) } }
    };
    page(&title, "../../", &content)
}

/// What the page says, for a letter: headings with their lines.
#[must_use]
pub fn order_words(view: &JobView, order: &Order) -> Vec<(String, Vec<String>)> {
    let parts = said(view, order);
    let words = parts.iter().filter(|part| !part.is_empty()).map(|part| {
        let mut text = String::new();
        part.text(true, &mut text);
        // The heading stands above its lines.
        let lines = text.lines().map(str::trim).filter(|line| !line.is_empty()).skip(1);
        (part.title.to_owned(), lines.map(str::to_owned).collect())
    });
    words.collect()
}

fn wanted(view: &JobView, order: &Order) -> Section {
    let (job, out) = (&view.job, &order.out);
    let unit = unit_of(job);
    let size = out.finished.map_or_else(String::new, |size| size.show(unit));
    let engine = job.sheet.as_ref().map_or_else(String::new, |sheet| sheet.name.clone());
    let serial = job.check_in.as_ref().map_or_else(String::new, |c| c.engine.serial.clone());
    let castings = job.check_in.as_ref().map_or_else(String::new, |c| c.engine.castings.join(", "));
    let told = [
        ("Whose", job.check_in.as_ref().map_or_else(String::new, |c| c.customer.name.clone())),
        ("Engine", engine),
        ("Serial", serial),
        ("Castings", castings),
        ("Work", out.operation.clone()),
        ("Finished size", size),
        ("Finished limits", finished(job, order)),
        ("For the clearance", for_the_clearance(view, order)),
        ("Tolerance and fit", out.tolerance.clone()),
        ("Finish", out.finish.clone()),
        ("Do not touch", out.untouched.clone()),
        ("Fillet radius", goes_with::fillets(job, order)),
        ("Goes with it", goes_with::words(job, order)),
        ("Price agreed", out.price.map_or_else(String::new, |price| price.to_string())),
        ("Sent by", order.said.words()),
        ("Carried by", out.carried_by.clone()),
        ("Pictures", out.pictures.join(", ")),
        ("If it will not clean up, ask", who_decides(job)),
    ];
    let mut section = Section::new("wanted", "What is wanted");
    let mut table = Table::of("", &["", ""]);
    for (what, words) in told {
        if !words.is_empty() {
            table.row(vec![Cell::strong(what), words.into()]);
        }
    }
    section.table(table);
    section
}

/// The sheet's finished limits at the ordered size, feature by feature.
fn finished(job: &Job, order: &Order) -> String {
    let mut lines: Vec<String> = Vec::new();
    for key in &order.surfaces {
        let Some(feature) = job.feature(*key) else { continue };
        let Some(series) = &feature.sizes else { continue };
        let step = order.out.finished.and_then(|size| size.step()).unwrap_or(Exact::ZERO);
        let limits = crate::judgement::words::limits(&series.finished(step), feature.unit);
        let line = format!("{} {limits} {}", feature.key, feature.unit.symbol());
        if !lines.contains(&line) {
            lines.push(line);
        }
    }
    lines.join("\n")
}

/// Where a journal must be finished closer than its size says, so that it runs right in its housing.
fn for_the_clearance(view: &JobView, order: &Order) -> String {
    let Some(size) = order.out.finished.filter(|_| order.is_out()) else { return String::new() };
    let found = foreseen_at(&view.job, &view.judgement, &order.surfaces, size);
    let words = found.iter().filter_map(|(key, foreseen)| clearance_words(&view.job, *key, foreseen));
    words.collect::<Vec<_>>().join("\n")
}

fn who_decides(job: &Job) -> String {
    let ask = job.rules.as_ref().map_or("", |rules| rules.customer.ask.as_str());
    let shop = if ask.is_empty() { "the shop".to_owned() } else { format!("the shop ({ask})") };
    let Some(check_in) = &job.check_in else { return shop };
    let approver = check_in.may_approve();
    let reach = if check_in.customer.reach.is_empty() {
        String::new()
    } else {
        format!(", {}", check_in.customer.reach)
    };
    format!("{shop}; {approver} may approve more money{reach}")
}

fn parts(job: &Job, order: &Order) -> Section {
    let mut section = Section::new("parts", "Parts that go");
    let mut table = Table::of("", &["Part", "Positions", "How many", "Tag"]);
    for part in &order.out.parts {
        let positions: Vec<&str> = part.positions.iter().map(|p| p.0.as_str()).collect();
        let positions = if positions.is_empty() { "all".to_owned() } else { positions.join(", ") };
        table.row(vec![
            part.part.as_str().into(),
            positions.into(),
            part.count.to_string().into(),
            job.written.as_str().into(),
        ]);
    }
    section.table(table);
    section
}

/// Bolts that clamp what is worked on: they must be in, tightened as in the engine.
fn bolts(job: &Job, order: &Order) -> Section {
    let mut section = Section::new("bolts", "Tighten these for the work");
    let mut table = Table::of("", &["Bolts", "Stages", "Lubricant", "Order"]);
    let groups = job.sheet.iter().flat_map(|sheet| goes_with::tight_meanwhile(job, sheet, order));
    for f in groups {
        let order = if f.has_order() { order_of_bolts(&f.tightening()) } else { String::new() };
        table.row(vec![
            format!("{}, {}", f.group, f.name).into(),
            stages_words(f).into(),
            f.lubricant.as_str().into(),
            order.into(),
        ]);
    }
    section.table(table);
    section
}

fn back(job: &Job, order: &Order) -> Section {
    let mut section = Section::new("back", "Back in the shop");
    if order.backs.is_empty() {
        section.line(
            "Not back yet. Counted against the list above and measured again by the shop when it comes.",
        );
    }
    let mut table = Table::of("", &["When", "Result", "Size", "Remark"]);
    for back in &order.backs {
        let size = back.back.finished.map_or_else(String::new, |size| size.show(unit_of(job)));
        table.row(vec![
            back.said.words().into(),
            back.back.result.word().into(),
            size.into(),
            back.back.note.as_str().into(),
        ]);
    }
    section.table(table);
    section
}
