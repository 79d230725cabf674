//! Inspection: a crack that somebody saw, or a test that a part failed, and a later look or test that shows nothing there,
//! with nothing done to it between. One of the two is wrong, and a person says which.

use crate::facts::{Defect, TestKind, TestResult};
use crate::sheets::{Part, same_name};
use crate::shop::{FindingNow, Job, PartPlace, Said};

/// What was said against a finding.
pub(super) struct Denied<'j> {
    /// By whom, the first time.
    pub(super) said: &'j Said,
    /// What stands against what.
    pub(super) words: String,
}

/// The first that was said against a finding on a part; `None` of a finding that is no crack and no failed test, and where work
/// lies between the two. A word that gives the part up has settled it.
pub(super) fn denied<'j>(job: &'j Job, finding: &FindingNow, place: PartPlace) -> Option<Denied<'j>> {
    let part = job.sheet.as_deref()?.parts.get(place.0)?;
    let bad = bad(part, finding)?;
    let life = job.parts.get(&place)?;
    let worked = |good: &FindingNow| {
        let between = |at| finding.said.at <= at && at <= good.said.at;
        life.worked.iter().any(|work| between(work.said.at) && can_mend(&work.operation))
    };
    let since = job.found_on(place).filter(|good| order(finding) <= order(good) && !worked(good));
    let (good, how) = since.filter(|good| is_there(finding, good)).find_map(|good| {
        let how = good_against(part, finding, good)?;
        Some((good, how))
    })?;
    if job.last_word_on(place).is_some_and(|word| word.said.at >= finding.said.at && word.what.gives_up()) {
        return None;
    }
    let words = format!(
        "{bad} ({}), and then {how} ({}) with nothing done to it between: one of the two is wrong. Look and test it once \
         more, withdraw what was wrong",
        finding.said.words(),
        good.said.words()
    );
    Some(Denied { said: &good.said, words })
}

/// What stands against what, until somebody has said since what becomes of the part.
#[must_use]
pub fn undecided(job: &Job, finding: &FindingNow, place: PartPlace) -> Option<String> {
    let denied = denied(job, finding, place)?;
    let decided = job.last_word_on(place).is_some_and(|word| word.said.at >= denied.said.at);
    (!decided).then_some(denied.words)
}

/// In words, of a crack or a failed test.
fn bad(part: &Part, finding: &FindingNow) -> Option<String> {
    let place = if finding.r#where.is_empty() { String::new() } else { format!(" at {}", finding.r#where) };
    match finding.test {
        Some((kind, TestResult::Failed)) if shows(part, kind) => {
            Some(format!("failed its {} test{place}", name(kind)))
        }
        Some(_) | None => (finding.defect == Defect::Crack)
            .then(|| format!("{}{place}, severity {}", finding.defect.word(), finding.severity)),
    }
}

/// Such a test says something of such a part: magnetic particles show nothing on what is not magnetic.
fn shows(part: &Part, kind: TestKind) -> bool {
    kind != TestKind::MagneticParticle || part.metal.is_none_or(crate::sheets::Metal::is_magnetic)
}

const fn name(kind: TestKind) -> &'static str {
    match kind {
        TestKind::PressureTest => "pressure",
        TestKind::MagneticParticle | TestKind::DyePenetrant | TestKind::Ultrasonic | TestKind::Hardness => {
            kind.word()
        }
    }
}

/// How a later finding says that there is nothing: it passed the same test, or one for cracks where there was a crack, or
/// somebody looked and found nothing.
fn good_against(part: &Part, bad: &FindingNow, good: &FindingNow) -> Option<String> {
    let cracks = |kind: TestKind| kind.finds_cracks() && shows(part, kind);
    match good.test {
        Some((kind, TestResult::Passed)) => {
            let same = match bad.test {
                Some((failed, TestResult::Failed)) => failed == kind || (cracks(failed) && cracks(kind)),
                Some(_) | None => cracks(kind),
            };
            same.then(|| format!("passed its {} test", name(kind)))
        }
        Some((_, TestResult::Failed)) => None,
        None => (good.defect == Defect::NothingFound).then(|| "looked at, nothing found".to_owned()),
    }
}

/// Both speak of one spot, as far as their words say.
fn is_there(one: &FindingNow, other: &FindingNow) -> bool {
    one.r#where.is_empty() || other.r#where.is_empty() || same_name(&one.r#where, &other.r#where)
}

const fn order(finding: &FindingNow) -> (jiff::Timestamp, crate::facts::Digest, usize) {
    let (at, fact) = finding.said.order();
    (at, fact, finding.item)
}

/// Work that can take a crack or a leak away; cutting beside it does not (common practice).
fn can_mend(operation: &str) -> bool {
    let operation = operation.to_lowercase();
    ["weld", "braz", "stitch", "repair", "sleeve", "insert", "plug", "patch"]
        .iter()
        .any(|word| operation.contains(word))
}
