//! Inspection: a finding that matters has a decision.
//!
//! Severity 3 and more asks what becomes of the part: a word on it that was said when the finding was known, or agreed
//! work that takes the defect away. Severity 5 stops the job or is a hazard: the owner decides by name, or the customer's
//! approver.
//!
//! What somebody saw and somebody else did not see later, with nothing done between, is asked whatever its severity: the later
//! word does not win by being later.

use crate::facts::{Defect, DispositionWord, Role};
use crate::judgement::Judgement;
use crate::sheets::{RemedyKind, Sheet, fold_name};
use crate::shop::{Agreed, FindingNow, Job, PartPlace, SurfaceKey};
use crate::stages::blocker::{Actor, Blocker, BlockerRule, Stage};
use crate::stages::inspection::denied::denied;
use crate::stages::lines::Line;
use crate::stages::people::has_role;

/// From here on a finding asks for a decision.
const MATTERS: u8 = 3;
/// Stops the job or is a hazard.
const STOPS: u8 = 5;

pub(in crate::stages) fn blockers(job: &Job, _: &Judgement) -> Vec<Blocker> {
    let items = job.parts.keys().flat_map(|place| {
        let open = job.found_on(*place).filter_map(move |finding| open(job, finding, *place));
        open.map(|(actor, what)| (*place, actor, what))
    });
    Line::of(Stage::Inspection, BlockerRule::Disposed).parts(job, items)
}

fn open(job: &Job, finding: &FindingNow, place: PartPlace) -> Option<(Actor, String)> {
    let denied = denied(job, finding, place);
    if finding.severity < MATTERS && denied.is_none() {
        return None;
    }
    let stops = finding.severity >= STOPS;
    let seen = match &denied {
        Some(denied) => denied.words.clone(),
        None => format!("{}, severity {}", finding.defect.word(), finding.severity),
    };
    let known = denied.as_ref().map_or(finding.said.at, |denied| denied.said.at.max(finding.said.at));
    let last = job.last_word_on(place);
    // What was said of the part before it was seen says nothing of it.
    let (since, before) = match last {
        Some(word) if word.said.at >= known => (Some(word), None),
        Some(word) => (None, Some(word)),
        None => (None, None),
    };
    let before = before.map_or_else(String::new, |word| {
        format!(" (\"{}\" by {} was said before it was seen)", word.what.word(), word.by)
    });
    match since {
        Some(word) if word.what == DispositionWord::HoldForOwner => Some((
            Actor::Owner,
            format!("{seen}, held for the owner by {}: decide what becomes of it", word.by),
        )),
        Some(word) if stops && !may_decide(job, &word.by) => Some((
            Actor::Owner,
            format!(
                "{seen}, \"{}\" by {}, who is not an owner: the owner decides what becomes of it",
                word.what.word(),
                word.by
            ),
        )),
        Some(_) => None,
        None if stops => {
            Some((Actor::Owner, format!("{seen}: the owner decides what becomes of it{before}")))
        }
        None if denied.is_some() => {
            Some((Actor::Owner, format!("{seen}: somebody decides by name what becomes of it{before}")))
        }
        None if is_taken_away(job, finding, place) => None,
        None => {
            let agree = if job.agreed.keys().any(|key| job.part_of(*key) == place) {
                "the work agreed on it does not take that away: say what becomes of it"
            } else {
                "say what becomes of it, or agree work that takes it away"
            };
            Some((Actor::Bench, format!("{seen}: {agree}{before}")))
        }
    }
}

/// An owner of the shop, or who the check-in says may decide for the customer.
fn may_decide(job: &Job, by: &str) -> bool {
    let named = job.check_in.as_ref().filter(|check_in| !check_in.approver.is_empty());
    let approver = named.is_some_and(|check_in| check_in.is_approver(by));
    approver || has_role(job.shop(), by, Role::Owner)
}

/// Work was agreed since it was seen, where it was seen, that leaves nothing of it.
fn is_taken_away(job: &Job, finding: &FindingNow, place: PartPlace) -> bool {
    job.agreed.iter().any(|(key, agreed)| {
        job.part_of(*key) == place
            && agreed.order.0 >= finding.said.at
            && removes(agreed, finding.defect)
            && lies_on(job, finding, *key)
    })
}

/// Does a piece of work leave nothing of a defect? Cutting takes a worn surface away, never what goes deeper; what is bent
/// is straightened, a thread gets an insert.
fn removes(agreed: &Agreed, defect: Defect) -> bool {
    let kind = RemedyKind::of(&agreed.operation);
    match defect {
        Defect::Abrasion
        | Defect::Scratch
        | Defect::Scoring
        | Defect::Grooving
        | Defect::Galling
        | Defect::Pitting
        | Defect::Fretting
        | Defect::Brinelling
        | Defect::Peening
        | Defect::Erosion
        | Defect::Corrosion
        | Defect::Worn => kind != RemedyKind::Straighten,
        Defect::Bent => kind == RemedyKind::Straighten,
        Defect::DamagedThread => fold_name(&agreed.operation).contains("insert"),
        Defect::NothingFound
        | Defect::Spalling
        | Defect::Burning
        | Defect::Crack
        | Defect::Break
        | Defect::Stretched
        | Defect::Seized
        | Defect::Deposits
        | Defect::Blocked
        | Defect::Loose
        | Defect::Leaking
        | Defect::MaterialState
        | Defect::PreviousRepair
        | Defect::WrongPart
        | Defect::Missing => false,
    }
}

/// Can a finding lie on a surface: on the one its score is on, on one that its place names, on any where it names none?
fn lies_on(job: &Job, finding: &FindingNow, key: SurfaceKey) -> bool {
    if let Some(score) = &finding.score {
        return score.surface == key;
    }
    let Some(sheet) = job.sheet.as_deref() else { return false };
    let named = named_in(sheet, &finding.r#where);
    named.is_empty() || named.contains(&key)
}

/// Surfaces that a place in words names: `bore 2, thrust side`.
fn named_in(sheet: &Sheet, r#where: &str) -> Vec<SurfaceKey> {
    let words = r#where.to_lowercase();
    let names = sheet
        .features
        .iter()
        .enumerate()
        .map(|(index, feature)| (index, feature, feature.key.to_lowercase()));
    let found: Vec<_> = names.filter(|(_, _, name)| words.contains(name.as_str())).collect();
    // `cam bearing bore` is no `bore`.
    let longest = found.iter().filter(|(_, _, name)| {
        !found.iter().any(|(_, _, other)| other.len() > name.len() && other.contains(name.as_str()))
    });
    longest
        .flat_map(|(index, feature, name)| {
            let after = words.split_once(name.as_str()).map_or("", |(_, after)| after).trim_start();
            let word: String = after.chars().take_while(|c| c.is_alphanumeric()).collect();
            let at = feature.position(&word);
            (0..feature.positions.len())
                .filter(move |position| at.is_none_or(|at| at == *position))
                .map(|position| SurfaceKey { feature: *index, position })
        })
        .collect()
}
