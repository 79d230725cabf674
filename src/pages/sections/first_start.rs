//! What was looked at and read before the engine was handed over: priming, first start, run-in.

use crate::pages::section::{Section, Table};
use crate::pages::sections::joined;
use crate::sheets::{Check, CheckStage, Reads, fold_name};
use crate::shop::{CheckNow, Job};

/// The numbers of the first start, and what was answered beside them; what was not asked of this engine is left out.
pub(in crate::pages) fn first_start(job: &Job) -> Section {
    let mut section = Section::new("first-start", "First start and run-in");
    let mut table = Table::of("", &["What", "Found", "Asked for", "By"]);
    for check in first_start_checks(job) {
        let answers = job.checks.get(&fold_name(&check.key)).map_or(&[][..], Vec::as_slice);
        let Some((now, before)) = answers.split_last() else { continue };
        let found = |now: &CheckNow| joined(&[now.result.word(), &now.value, &now.why], ", ");
        // What was read before it was put right is asked about when it comes back.
        let before: Vec<String> = before
            .iter()
            .map(|earlier| format!("before: {} ({})", found(earlier), earlier.said.words()))
            .collect();
        let found = joined(&[&found(now), &before.join("\n")], "\n");
        let asked = check.reads.as_ref().map_or_else(String::new, Reads::words);
        table.row(vec![check.words.as_str().into(), found.into(), asked.into(), now.said.words().into()]);
    }
    section.table(table);
    section
}

/// What is asked of this engine once it is together.
pub(in crate::pages) fn first_start_checks(job: &Job) -> impl Iterator<Item = &Check> {
    let checks = job.sheet.iter().flat_map(|sheet| &sheet.checks);
    checks.filter(|check| check.stage == CheckStage::Released && job.concerns(&check.scopes))
}
