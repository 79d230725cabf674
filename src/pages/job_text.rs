//! One job for a terminal.

use crate::judgement::Verdict;
use crate::pages::JobView;
use crate::pages::job_page::sections_of;
use crate::pages::section::Block;
use crate::pages::sections;

/// Stage, blockers, and everything the job page says at once; with `all`, what it folds away too, and every verdict
/// that stands.
#[must_use]
pub fn job_text(view: &JobView, all: bool) -> String {
    let job = &view.job;
    let customer = job.check_in.as_ref().map_or_else(String::new, |c| format!(", {}", c.customer.name));
    let mut out = format!("Job {}{customer}\nStage: {}\n", job.written, view.standing.words());
    for block in sections::about(view) {
        if let Block::Line(text) | Block::Strong(text) | Block::Quiet(text) = block {
            out.push_str(&format!("{text}\n"));
        }
    }
    for section in sections_of(view) {
        section.text(all, &mut out);
    }
    if all {
        out.push_str("\nEvery verdict\n");
        for verdict in view.judgement.standing() {
            out.push_str(&format!("  {}\n", line(verdict)));
        }
    }
    out
}

/// A verdict on one line, with limit, margin and how sure.
pub(super) fn line(verdict: &Verdict) -> String {
    let unit = verdict.unit;
    match &verdict.judged {
        None => format!("{}: incomplete, missing {}", verdict.title(), verdict.missing.join(", ")),
        Some(judged) => {
            let so_far = if verdict.is_incomplete() { "incomplete; so far " } else { "" };
            let p = judged.probability_words();
            let p = if p.is_empty() { p } else { format!("; {p}") };
            let generic = verdict.fallback.as_ref().map(|generic| format!("; {}", generic.words(unit)));
            let generic = generic.unwrap_or_default();
            let value = format!("{}: {}", verdict.title(), judged.value_words(unit));
            if judged.deciding.is_none() {
                return format!("{value}; {so_far}{}{generic}", judged.state());
            }
            let (limit, margin) = (judged.limit_words(unit), judged.margin_words(unit));
            let doubts = verdict.doubts().map(|(mark, flag)| format!("; {mark} {}", flag.words));
            format!(
                "{value}, {limit}, {margin}; {so_far}{}{p}{}{generic}",
                judged.state(),
                doubts.collect::<String>()
            )
        }
    }
}
