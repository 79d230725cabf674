//! What was seen and tested on the parts, what becomes of them, and what is still open.

use crate::facts::TestResult;
use crate::pages::JobView;
use crate::pages::section::{Block, Cell, Section, Table};
use crate::pages::sections::{headed, joined};
use crate::shop::{FindingNow, Job, Problem, Tried};
use crate::stages::{Usual, usual};
use std::collections::BTreeSet;

/// Problems that stay until a named person closes them; closed ones are folded away.
pub(in crate::pages) fn problems(view: &JobView) -> Section {
    let mut section = Section::new("problems", "Open problems");
    let mut open = Table::of("", &["About", "What", "Open since", "Tried", "Waits on", "Close it by"]);
    let mut closed = Table::of("Closed", &["About", "What", "Opened", "Tried", "Closed"]);
    for problem in &view.job.problems {
        let what: Cell = problem.what.as_str().into();
        match &problem.closed {
            None => open.row(vec![
                Cell::strong(problem.about.as_str()),
                what,
                problem.said.words().into(),
                tried(problem).into(),
                problem.waits_on.as_deref().unwrap_or_default().into(),
                format!("drop {}, item {}", problem.said.fact.short(), problem.item).into(),
            ]),
            Some((said, how)) => closed.row(vec![
                problem.about.as_str().into(),
                what,
                problem.said.words().into(),
                tried(problem).into(),
                joined(&[how, &said.words()], "\n").into(),
            ]),
        }
    }
    section.table(open);
    section.more_table(closed);
    section
}

/// The pictures a finding names, and what each of them is.
fn pictures_of(job: &Job, finding: &FindingNow) -> String {
    let one = |name: &String| match job.picture(name, finding.said.fact) {
        Some(now) => format!("{name} ({})", now.picture.words()),
        None => format!("{name} (not embedded)"),
    };
    finding.pictures.iter().map(one).collect::<Vec<_>>().join("\n")
}

/// Every picture that is kept; each has a file beside the pages, named by the hash of its bytes.
fn pictures(job: &Job) -> Table {
    let mut table = Table::of("Pictures", &["Picture", "What it is", "Hash of its bytes", "By"]);
    for now in &job.pictures {
        let picture = &now.picture;
        table.row(vec![
            Cell::link(picture.name.as_str(), format!("../pictures/{}/{}", job.key.slug(), picture.file())),
            picture.words().into(),
            picture.hash.short().into(),
            now.said.words().into(),
        ]);
    }
    table
}

/// Every try, a line each.
fn tried(problem: &Problem) -> String {
    let one = |tried: &Tried| format!("{} ({})", tried.what, tried.said.words());
    problem.tries.iter().map(one).collect::<Vec<_>>().join("\n")
}

/// Findings and tests, the worst first, and what becomes of the parts.
pub(in crate::pages) fn findings(view: &JobView) -> Section {
    let job = &view.job;
    let mut section = Section::new("findings", "Found and tested");
    let mut worst: Vec<&FindingNow> = job.findings.iter().filter(|f| f.stands && f.severity > 0).collect();
    worst.sort_by_key(|finding| std::cmp::Reverse(finding.severity));
    let mut bad = Table::of("", &["Part", "Found", "Severity", "What becomes of it", "Pictures", "By"]);
    for finding in worst {
        bad.row(vec![
            Cell::strong(finding.about.as_str()),
            words(finding).into(),
            finding.severity.to_string().into(),
            becomes(view, finding).into(),
            pictures_of(job, finding).into(),
            finding.said.words().into(),
        ]);
    }
    section.table(bad);
    section.table(tests(job));
    section.table(pictures(job));
    let mut good = Table::of("Looked at, nothing found", &["Part", "Remark", "By"]);
    let mut said: BTreeSet<(String, String, String)> = BTreeSet::new();
    for finding in job.findings.iter().filter(|f| f.stands && f.severity == 0) {
        let note = joined(&[&finding.r#where, &finding.note], ", ");
        // Two tests of one part are two findings and one look.
        if said.insert((finding.about.clone(), note.clone(), finding.said.words())) {
            good.row(vec![finding.about.as_str().into(), note.into(), finding.said.words().into()]);
        }
    }
    section.more_table(good);
    let mut history = Table::of("On parts that were replaced", &["Part", "Found", "Severity", "By"]);
    for finding in job.findings.iter().filter(|f| !f.stands) {
        history.row(vec![
            finding.about.as_str().into(),
            words(finding).into(),
            finding.severity.to_string().into(),
            finding.said.words().into(),
        ]);
    }
    section.more_table(history);
    if section.blocks.is_empty() && !section.more.is_empty() {
        section.blocks.push(Block::Line("Nothing bad was found on what was looked at.".to_owned()));
    }
    section
}

fn words(finding: &FindingNow) -> String {
    joined(&[finding.defect.word(), &finding.r#where, &finding.note], ", ")
}

/// The latest word on the parts of a finding, else what is suggested.
fn becomes(view: &JobView, finding: &FindingNow) -> String {
    let job = &view.job;
    let shares = |places: &[crate::shop::PartPlace]| places.iter().any(|p| finding.places.contains(p));
    let decided = job.disposed.iter().filter(|disposed| shares(&disposed.places));
    let decided: Vec<String> = decided
        .map(|disposed| {
            format!("{}: {} ({}; {})", disposed.about, disposed.what.word(), disposed.by, disposed.why)
        })
        .collect();
    let mut agreed: Vec<&str> = job
        .agreed
        .iter()
        .filter(|(key, _)| {
            finding.places.contains(&job.part_of(**key)) && view.standing.is_agreed(job, **key)
        })
        .map(|(_, agreed)| agreed.operation.as_str())
        .collect();
    agreed.dedup();
    if decided.is_empty() && !agreed.is_empty() {
        return format!("agreed: {}", agreed.join(", "));
    }
    if decided.is_empty() {
        let suggested = finding.suggested.map_or_else(
            || "not decided".to_owned(),
            |word| format!("not decided; suggested: {}", word.word()),
        );
        let usual =
            usual_of(job, finding).map_or_else(String::new, |usual| format!("usual here: {}", usual.words()));
        return joined(&[&suggested, &usual], "\n");
    }
    decided.join("\n")
}

/// What is usual of a part with such a finding.
pub(in crate::pages) fn usual_of(job: &Job, finding: &FindingNow) -> Option<Usual> {
    let (kind, _) = finding.places.first()?;
    usual(&job.sheet.as_ref()?.parts.get(*kind)?.key)(finding.defect)
}

/// Crack, pressure and other tests of the pieces that are there now; the same over several positions is one row.
fn tests(job: &Job) -> Table {
    let mut table = Table::of("Tests", &["Part", "Test", "Result", "By"]);
    let mut rows: Vec<(Vec<crate::shop::PartPlace>, [String; 3], bool)> = Vec::new();
    for (place, life) in &job.parts {
        let part = job.sheet.as_deref().and_then(|sheet| sheet.parts.get(place.0));
        for test in &life.tests {
            let vain = part.filter(|part| test.shows_nothing_on(part)).and_then(|part| part.metal);
            let vain = vain.map_or_else(String::new, |metal| {
                format!("; counts for nothing: {} is not magnetic", metal.word())
            });
            let cells = [
                format!("{}{}", test.kind.word(), headed(", ", &test.how)),
                format!("{}{vain}", test.result.word()),
                test.said.words(),
            ];
            let same = rows
                .iter_mut()
                .find(|(places, known, _)| *known == cells && places.first().map(|p| p.0) == Some(place.0));
            match same {
                Some((places, _, _)) => places.push(*place),
                None => rows.push((vec![*place], cells, test.result == TestResult::Failed)),
            }
        }
    }
    for (places, [test, result, by], failed) in rows {
        let result = if failed { Cell::strong(result) } else { result.into() };
        table.row(vec![job.parts_name(&places).into(), test.into(), result, by.into()]);
    }
    table
}
