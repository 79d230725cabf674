//! One job for a terminal.

use crate::judgement::Verdict;
use crate::metrology::Unit;
use crate::pages::JobView;

/// Stage, blockers, what is out of limits, what is asked; with `all`, every verdict that stands.
#[must_use]
pub fn job_text(view: &JobView, all: bool) -> String {
    let job = &view.job;
    let unit = job.sheet.as_ref().map_or(Unit::Inch, |sheet| sheet.unit);
    let customer = job.check_in.as_ref().map_or_else(String::new, |c| format!(", {}", c.customer.name));
    let engine = job
        .sheet
        .as_ref()
        .map_or_else(String::new, |s| format!(", {} (sheet {} revision {})", s.name, s.key, s.revision));
    let mut out = format!("Job {}{customer}{engine}\nStage: {}\n", job.written, view.standing.words());
    section(
        &mut out,
        "Waits for",
        view.standing.here().map(|blocker| {
            let about = if blocker.about.is_empty() { String::new() } else { format!("{}: ", blocker.about) };
            format!("{}: {about}{}", blocker.actor.word(), blocker.what)
        }),
    );
    section(
        &mut out,
        "Signed",
        view.standing.statements.iter().map(|now| {
            let words = now.words();
            let words = if words.is_empty() { words } else { format!("; {words}") };
            format!("{} by {}, {}{words}", now.what, now.by, now.written)
        }),
    );
    section(
        &mut out,
        "Set aside",
        view.standing.waived.iter().map(|now| {
            let about =
                if now.waiver.about.is_empty() { String::new() } else { format!(", {}", now.waiver.about) };
            let (rule, by, why) = (&now.waiver.rule, &now.waiver.by, &now.waiver.why);
            format!("{rule}{about}, waived by {by}, {}: {why}; {}", now.said.written, now.words())
        }),
    );
    let questions = view.judgement.questions.iter().filter(|question| question.stands);
    section(
        &mut out,
        "Questioned",
        questions.map(|q| format!("{} read {} by {}: {}", q.name, q.digits, q.who, q.why)),
    );
    section(&mut out, "Out of limits", view.judgement.standing().filter(|v| v.is_beyond()).map(line));
    section(
        &mut out,
        "Proposed",
        view.plans.iter().map(|plan| {
            let size = plan.step.map_or_else(
                || "no size of the sheet cleans up all of them".to_owned(),
                |s| format!("all to {}", s.show(unit)),
            );
            format!("{}: {size}, because of {}", plan.group, plan.because.join(", "))
        }),
    );
    if all {
        section(&mut out, "Every verdict", view.judgement.standing().map(line));
    }
    section(
        &mut out,
        "Held",
        job.held.iter().map(|held| format!("{} {}: {}", held.kind, held.fact.short(), held.why)),
    );
    out
}

fn section(out: &mut String, title: &str, lines: impl Iterator<Item = String>) {
    let lines: Vec<String> = lines.collect();
    if !lines.is_empty() {
        out.push_str(&format!("\n{title}\n"));
        for line in lines {
            out.push_str(&format!("  {line}\n"));
        }
    }
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
            format!(
                "{}: {}, {}, {}; {so_far}{}{p}",
                verdict.title(),
                judged.value_words(unit),
                judged.limit_words(unit),
                judged.margin_words(unit),
                judged.state()
            )
        }
    }
}
