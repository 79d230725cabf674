//! What papers would do if they were dropped now: each paper's fate, and what would change on each engine.

use crate::pages::JobView;
use crate::pages::job_text::line;
use serde_json::{Value, json};

/// Everything that would happen, for all papers together.
#[derive(Clone, Debug, Default)]
pub struct Foreseen {
    /// The papers, in the order given.
    pub papers: Vec<ForeseenPaper>,
    /// Engines on which something would change, by number.
    pub jobs: Vec<ForeseenJob>,
    /// Engines beside those that would be judged anew, too many to say how.
    pub more_jobs: usize,
}

/// One paper.
#[derive(Clone, Debug)]
pub struct ForeseenPaper {
    /// Its name, as given.
    pub name: String,
    /// Kind of the drop; empty where it cannot be read so far.
    pub kind: String,
    /// The job as written; empty for the shop.
    pub job: String,
    /// Short digest of its bytes.
    pub digest: String,
    /// What would become of it.
    pub fate: ForeseenFate,
}

/// What would become of a paper.
#[derive(Clone, Debug)]
pub enum ForeseenFate {
    /// Filed; with the reasons why it, or a part of it, would wait for history.
    Filed {
        /// Reasons; empty when all of it is understood.
        held: Vec<String>,
    },
    /// Filed as a copy: it was said before.
    Copy,
    /// Returned with this slip.
    Returned {
        /// The slip.
        slip: String,
    },
    /// Not all there; it would wait, and go back with this slip if nothing more came.
    Unfinished {
        /// The slip.
        slip: String,
    },
}

/// What would change on one engine. Lines are sentences for people.
#[derive(Clone, Debug, Default)]
pub struct ForeseenJob {
    /// Its number.
    pub job: String,
    /// Stage before and after; the first is empty for an engine that is new.
    pub stage: (String, String),
    /// Verdicts that are new or other than before, and those that no longer stand.
    pub verdicts: Change,
    /// Readings that would be questioned, and those no longer.
    pub questions: Change,
    /// What would keep the engine, and what no longer would.
    pub blockers: Change,
    /// Letters: to whom, and the subject.
    pub letters: Vec<(String, String)>,
}

/// Lines that come and lines that go.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Change {
    /// Come.
    pub comes: Vec<String>,
    /// Go.
    pub goes: Vec<String>,
}

impl Change {
    fn between(before: &[String], after: &[String]) -> Self {
        let lacking = |from: &[String], other: &[String]| -> Vec<String> {
            from.iter().filter(|line| !other.contains(line)).cloned().collect()
        };
        Self { comes: lacking(after, before), goes: lacking(before, after) }
    }

    fn is_empty(&self) -> bool {
        self.comes.is_empty() && self.goes.is_empty()
    }
}

impl ForeseenJob {
    /// What differs between two views of an engine.
    #[must_use]
    pub fn between(before: Option<&JobView>, after: &JobView, letters: Vec<(String, String)>) -> Self {
        let change = |lines: fn(&JobView) -> Vec<String>| {
            Change::between(&before.map(lines).unwrap_or_default(), &lines(after))
        };
        Self {
            job: after.job.written.clone(),
            stage: (
                before.map_or_else(String::new, |view| view.standing.words().to_owned()),
                after.standing.words().to_owned(),
            ),
            verdicts: change(verdicts),
            questions: change(questions),
            blockers: change(blockers),
            letters,
        }
    }

    /// Would anything be different?
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.stage.0 == self.stage.1
            && self.verdicts.is_empty()
            && self.questions.is_empty()
            && self.blockers.is_empty()
            && self.letters.is_empty()
    }
}

/// Verdicts that rest on readings; what is still missing shows among the blockers.
fn verdicts(view: &JobView) -> Vec<String> {
    view.judgement.standing().filter(|verdict| verdict.judged.is_some()).map(line).collect()
}

fn questions(view: &JobView) -> Vec<String> {
    let standing = view.judgement.questions.iter().filter(|question| question.stands);
    standing.map(|q| format!("{} read {} by {}: {}", q.name, q.digits, q.who, q.why)).collect()
}

fn blockers(view: &JobView) -> Vec<String> {
    let line = |b: &crate::stages::Blocker| {
        let about = if b.about.is_empty() { String::new() } else { format!("{}: ", b.about) };
        format!("{}, {}: {about}{}", b.stage.word(), b.actor.word(), b.what)
    };
    view.standing.blockers.iter().map(line).collect()
}

/// For a terminal.
#[must_use]
pub fn foreseen_text(foreseen: &Foreseen) -> String {
    let mut text = String::new();
    for paper in &foreseen.papers {
        let about = [paper.kind.as_str(), paper.job.as_str()];
        let about: Vec<&str> = about.into_iter().filter(|word| !word.is_empty()).collect();
        let about = if about.is_empty() { String::new() } else { format!(" ({})", about.join(", ")) };
        match &paper.fate {
            ForeseenFate::Filed { held } => {
                text.push_str(&format!("{}{about}: would be filed, drop {}\n", paper.name, paper.digest));
                for why in held {
                    text.push_str(&format!("  held: {why}\n"));
                }
            }
            ForeseenFate::Copy => {
                text.push_str(&format!(
                    "{}{about}: a copy; it was said before and changes nothing\n",
                    paper.name
                ));
            }
            ForeseenFate::Returned { slip } => {
                text.push_str(&format!("{}: would be returned\n\n{slip}\n", paper.name))
            }
            ForeseenFate::Unfinished { slip } => {
                text.push_str(&format!("{}: not all there yet, would wait\n\n{slip}\n", paper.name));
            }
        }
    }
    for job in &foreseen.jobs {
        job_lines(job, &mut text);
    }
    if foreseen.more_jobs > 0 {
        text.push_str(&format!("\n{} more engines would be judged anew.\n", foreseen.more_jobs));
    }
    text.push_str("\nNothing was recorded.\n");
    text
}

fn job_lines(job: &ForeseenJob, text: &mut String) {
    let stage = match &job.stage {
        (before, after) if before == after => format!("stays at {after}"),
        (before, after) if before.is_empty() => format!("new, at {after}"),
        (before, after) => format!("from {before} to {after}"),
    };
    text.push_str(&format!("\nJob {}: {stage}\n", job.job));
    if job.is_empty() {
        text.push_str("  nothing else would change\n");
    }
    let mut section = |title: &str, lines: &[String]| {
        if !lines.is_empty() {
            text.push_str(&format!("  {title}\n"));
            lines.iter().for_each(|line| text.push_str(&format!("    {line}\n")));
        }
    };
    section("Verdicts, new or changed", &job.verdicts.comes);
    section("No longer so", &job.verdicts.goes);
    section("Would be questioned", &job.questions.comes);
    section("No longer questioned", &job.questions.goes);
    section("Would wait for", &job.blockers.comes);
    section("No longer waits for", &job.blockers.goes);
    let letters: Vec<String> =
        job.letters.iter().map(|(to, subject)| format!("to {to}: {subject}")).collect();
    section("Letters", &letters);
}

/// For programs; the shape is in DEVELOPERS.md.
#[must_use]
pub fn foreseen_json(foreseen: &Foreseen) -> Value {
    let paper = |paper: &ForeseenPaper| {
        let (fate, held, slip) = match &paper.fate {
            ForeseenFate::Filed { held } if held.is_empty() => ("filed", Vec::new(), None),
            ForeseenFate::Filed { held } => ("held", held.clone(), None),
            ForeseenFate::Copy => ("copy", Vec::new(), None),
            ForeseenFate::Returned { slip } => ("returned", Vec::new(), Some(slip)),
            ForeseenFate::Unfinished { slip } => ("unfinished", Vec::new(), Some(slip)),
        };
        json!({"name": paper.name, "kind": paper.kind, "job": paper.job, "drop": paper.digest, "fate": fate,
               "held": held, "slip": slip})
    };
    let change = |change: &Change| json!({"comes": change.comes, "goes": change.goes});
    let job = |job: &ForeseenJob| {
        json!({
            "job": job.job, "stage-before": job.stage.0, "stage": job.stage.1, "verdicts": change(&job.verdicts),
            "questions": change(&job.questions), "blockers": change(&job.blockers),
            "letters": job.letters.iter().map(|(to, subject)| json!({"to": to, "subject": subject})).collect::<Vec<_>>(),
        })
    };
    json!({
        "papers": foreseen.papers.iter().map(paper).collect::<Vec<_>>(),
        "engines": foreseen.jobs.iter().map(job).collect::<Vec<_>>(),
        "more-engines": foreseen.more_jobs,
    })
}
