//! Readings that their gauge puts in doubt.

use crate::judgement::{Doubt, GaugeUsed, Verdict};
use crate::pages::JobView;
use crate::pages::section::{Block, Cell, Section, Table};
use crate::shop::Job;

/// Which readings, with which gauge, and why; those that stand first.
pub(in crate::pages) fn doubts(view: &JobView) -> Section {
    let mut section = Section::new("doubts", "Gauges in doubt");
    let mut table = Table::of("", &["Where", "Gauge", "Read", "Name it by"]);
    let (standing, history): (Vec<&Doubt>, Vec<&Doubt>) =
        view.judgement.doubts.iter().partition(|doubt| doubt.stands);
    for doubt in standing.into_iter().chain(history) {
        table.row(vec![
            Cell::strong(place(&view.job, doubt)),
            format!("{}: {}", doubt.gauge.mark, doubt.why()).into(),
            doubt.readings.join("\n").into(),
            format!("drop {}", doubt.fact.short()).into(),
        ]);
    }
    if !table.rows.is_empty() {
        let kept = "Band and value stand as read. What was read with a gauge found bad, off at zero or unfit for the \
                    surface proves nothing until a correction replaces it.";
        section.blocks.push(Block::Quiet(kept.to_owned()));
    }
    section.table(table);
    section
}

/// `main journal 3, as received`; history says so, and so does what is asked about.
pub(in crate::pages) fn place(job: &Job, doubt: &Doubt) -> String {
    let idle = if doubt.stands { "" } else { " (no verdict rests on it now)" };
    format!("{}, {}{idle}", job.surface_name(doubt.surface), doubt.set.condition.word())
}

/// The gauges of a verdict, each with its state and whatever is the matter, a line each.
pub(in crate::pages) fn gauges_of(verdict: &Verdict) -> Vec<String> {
    let one = |used: &GaugeUsed| {
        let flags = used.flags().map(|flag| format!("; {}", flag.words));
        format!("{}{}", used.words(), flags.collect::<String>())
    };
    verdict.gauges.iter().map(one).collect()
}
