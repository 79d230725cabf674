//! What people put their names to, held against its evidence: signatures, approvals, accepted values.
//!
//! What was said on other evidence does not count any more: a signature is asked for again, money and values too. It is
//! kept and shown, with what became of it.

use crate::facts::{Checked, Digest, Step};
use crate::judgement::Verdict;
use crate::sheets::{fold_name, same_name};
use crate::shop::{Accepted, Agreed, Job, SurfaceKey};
use crate::stages::agreed_on;
use crate::stages::blocker::{Blocker, BlockerRule, Stage};
use crate::stages::lines::surfaces_name;
use crate::stages::seen::{Seen, option_of};
use crate::stages::waived::About;
use std::borrow::Cow;
use std::collections::BTreeMap;

/// What somebody put a name to.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Act {
    /// A step is signed.
    Signed(Step),
    /// Money is approved or declined.
    Approved {
        /// Approved, not declined.
        granted: bool,
    },
    /// Work is agreed.
    Agreed {
        /// On these surfaces.
        surfaces: Vec<SurfaceKey>,
    },
    /// A value that is not proven is accepted.
    Accepted {
        /// Feature or pair, folded.
        name: String,
        /// Index of the position.
        position: usize,
    },
}

/// A statement and how it stands.
#[derive(Clone, Debug)]
pub struct StatementNow {
    /// What was done.
    pub act: Act,
    /// In words: `inspection signed`.
    pub what: String,
    /// Who is named.
    pub by: String,
    /// When it was recorded, as written.
    pub written: String,
    /// The drop.
    pub fact: Digest,
    /// Held against its evidence; `None` for what rests on nothing but itself.
    pub checked: Option<Checked>,
}

impl StatementNow {
    /// It counts.
    #[must_use]
    pub fn stands(&self) -> bool {
        self.checked.as_ref().is_none_or(Checked::stands)
    }

    /// What a reader should know of it; empty where there is nothing.
    #[must_use]
    pub fn words(&self) -> String {
        self.checked.as_ref().map_or_else(String::new, Checked::words)
    }
}

/// The gate a step closes; `None` for what rests on nothing but itself: that it was handed over, or set aside.
#[must_use]
pub const fn gate_of_step(step: Step) -> Option<Stage> {
    match step {
        Step::Teardown => Some(Stage::Teardown),
        Step::Inspection => Some(Stage::Inspection),
        Step::Machining => Some(Stage::Machining),
        Step::Reassembly => Some(Stage::Reassembly),
        Step::Engine => Some(Stage::Released),
        Step::Delivered | Step::Stored => None,
    }
}

/// Every signature, approval and accepted value, as it stands.
pub(super) fn weigh(seen: &Seen<'_>) -> Vec<StatementNow> {
    let job = seen.job;
    let signed = job.signed.iter().map(|(step, signed)| StatementNow {
        act: Act::Signed(*step),
        what: format!("{} signed", step.word()),
        by: signed.name.clone(),
        written: signed.written.clone(),
        fact: signed.fact,
        checked: gate_of_step(*step)
            .map(|gate| seen.signature(gate, signed.evidence.as_deref(), signed.recorded)),
    });
    let approved = job.books.approvals.iter().map(|now| {
        let option = option_of(job, now);
        let quoted = now.approval.evidence.as_deref();
        let granted = now.approval.granted;
        StatementNow {
            act: Act::Approved { granted },
            what: format!("money {}", if granted { "approved" } else { "declined" }),
            by: now.approval.by.clone(),
            written: now.said.written.clone(),
            fact: now.said.fact,
            checked: Some(seen.approval(option, quoted, now.said.at)),
        }
    });
    let accepted = job.accepted.iter().map(|accepted| acceptance(seen, accepted));
    signed.chain(approved).chain(agreements(seen)).chain(accepted).collect()
}

/// Agreed work rests on the readings of its surfaces; of a surface that was agreed on again the latest word counts.
fn agreements(seen: &Seen<'_>) -> Vec<StatementNow> {
    let by_fact: BTreeMap<Digest, &Agreed> =
        seen.job.agreed.values().map(|agreed| (agreed.fact, agreed)).collect();
    let statement = |(fact, agreed): (Digest, &Agreed)| {
        let pieces = seen.job.pieces_agreed(fact);
        let keys: Vec<SurfaceKey> = agreed_on::keys(&pieces).into_iter().collect();
        StatementNow {
            act: Act::Agreed { surfaces: keys.clone() },
            what: format!("work agreed on {}", surfaces_names(seen.job, &keys)),
            by: agreed.by.clone(),
            written: agreed.written.clone(),
            fact,
            checked: Some(seen.agreement(&pieces, agreed.evidence.as_deref(), agreed.order.0)),
        }
    };
    by_fact.into_iter().map(statement).collect()
}

/// `bore, main journal 1, 3`: features with their positions, all of them where no position is named.
fn surfaces_names(job: &Job, keys: &[SurfaceKey]) -> String {
    let mut names: Vec<String> = Vec::new();
    let mut features: Vec<usize> = keys.iter().map(|key| key.feature).collect();
    features.dedup();
    for feature in features {
        let own: Vec<SurfaceKey> = keys.iter().filter(|key| key.feature == feature).copied().collect();
        let all = own.first().and_then(|key| job.feature(*key)).map_or(0, |feature| feature.positions.len());
        names.push(match own.first().and_then(|key| job.feature(*key)) {
            Some(feature) if own.len() == all => feature.key.clone(),
            Some(_) | None => surfaces_name(job, &own),
        });
    }
    names.join(", ")
}

/// An accepted value rests on the readings of its verdicts. Who accepts several at once may quote the code of all.
fn acceptance(seen: &Seen<'_>, accepted: &Accepted) -> StatementNow {
    let own = |verdict: &Verdict| verdict.is_accepted_by(accepted);
    let set = |verdict: &Verdict| {
        seen.job.accepted.iter().any(|other| other.fact == accepted.fact && verdict.is_accepted_by(other))
    };
    let (quoted, at) = (accepted.evidence.as_deref(), accepted.recorded);
    let alone = seen.acceptance(own, quoted, at);
    let all = seen.acceptance(set, quoted, at);
    let better = if all.evidence < alone.evidence { all } else { alone };
    let characteristic = accepted.characteristic.map_or_else(String::new, |c| format!(" {}", c.word()));
    StatementNow {
        act: Act::Accepted { name: accepted.name.clone(), position: accepted.position },
        what: format!("{}{characteristic} accepted", place_name(seen.job, &accepted.name, accepted.position)),
        by: accepted.by.clone(),
        written: accepted.written.clone(),
        fact: accepted.fact,
        checked: Some(better),
    }
}

/// The job without what does not count any more; the rules of the gates see only what does.
pub(super) fn heard<'j>(job: &'j Job, statements: &[StatementNow]) -> Cow<'j, Job> {
    if statements.iter().all(StatementNow::stands) {
        return Cow::Borrowed(job);
    }
    let mut heard = job.clone();
    for statement in statements.iter().filter(|statement| !statement.stands()) {
        match &statement.act {
            Act::Signed(step) => {
                heard.signed.remove(step);
            }
            Act::Agreed { .. } => heard.agreed.retain(|_, agreed| agreed.fact != statement.fact),
            Act::Approved { .. } => heard.books.approvals.retain(|now| now.said.fact != statement.fact),
            Act::Accepted { name, position } => heard.accepted.retain(|accepted| {
                accepted.fact != statement.fact || accepted.name != *name || accepted.position != *position
            }),
        }
    }
    Cow::Owned(heard)
}

/// Says on a blocker who had lifted it on other evidence.
pub(super) fn remind(job: &Job, statements: &[StatementNow], blocker: &mut Blocker) {
    let gone = |statement: &&StatementNow| !statement.stands() && is_lifted_by(job, blocker, &statement.act);
    let Some(last) = statements.iter().rfind(gone) else { return };
    let word = match &last.act {
        Act::Signed(_) => {
            return blocker.what = format!(
                "{} by {}, {}, on other evidence: look again, and drop a new sign-off",
                last.what, last.by, last.written
            );
        }
        Act::Agreed { .. } => "agreed",
        Act::Approved { granted: true } => "approved",
        Act::Approved { granted: false } => "declined",
        Act::Accepted { .. } => "accepted",
    };
    blocker.what.push_str(&format!("; was {word} by {}, {}, on other evidence", last.by, last.written));
}

fn is_lifted_by(job: &Job, blocker: &Blocker, act: &Act) -> bool {
    match act {
        Act::Signed(step) => {
            let asked = blocker.what.starts_with(step.word());
            blocker.rule == BlockerRule::Signed && gate_of_step(*step) == Some(blocker.stage) && asked
        }
        Act::Approved { .. } => is_money(blocker.rule),
        Act::Agreed { surfaces } => is_work(blocker.rule) && is_on(job, blocker, surfaces),
        Act::Accepted { name, position } => {
            is_verdict(blocker.rule) && same_name(&blocker.about, &place_name(job, name, *position))
        }
    }
}

/// Is a blocker about one of these surfaces, or about a pair that one of them is in?
fn is_on(job: &Job, blocker: &Blocker, surfaces: &[SurfaceKey]) -> bool {
    let about = About::of(&blocker.about);
    let is_named = |printed: &str| About::of(printed).is_part_of(&about);
    let order = blocker.about.strip_prefix("work order ").and_then(|name| job.orders.get(&fold_name(name)));
    if let Some(order) = order {
        return surfaces.iter().any(|key| order.surfaces.contains(key));
    }
    surfaces.iter().any(|key| {
        let pairs = job.sheet.iter().flat_map(|sheet| &sheet.pairs);
        let mut own = pairs.filter(|pair| pair.members().any(|member| member.feature == key.feature));
        is_named(&job.surface_name(*key))
            || own.any(|pair| is_named(&place_name(job, &pair.key, key.position)))
    })
}

/// `main journal 3`, as verdicts are named: a feature or a pair, with its position where it has several.
fn place_name(job: &Job, name: &str, position: usize) -> String {
    let of_sheet = job.sheet.as_deref().and_then(|sheet| {
        let pair = sheet.pair(name);
        match (sheet.feature(name), pair) {
            (Some((_, feature)), _) => Some((&feature.key, feature)),
            (None, Some(pair)) => Some((&pair.key, sheet.features.get(pair.inner.feature)?)),
            (None, None) => None,
        }
    });
    of_sheet.map_or_else(
        || name.to_owned(),
        |(key, feature)| match feature.positions.get(position) {
            Some(position) if feature.positions.len() > 1 => format!("{key} {position}"),
            Some(_) | None => key.clone(),
        },
    )
}

const fn is_verdict(rule: BlockerRule) -> bool {
    matches!(
        rule,
        BlockerRule::Decided | BlockerRule::Remeasured | BlockerRule::AsFitted | BlockerRule::Gauged
    )
}

const fn is_work(rule: BlockerRule) -> bool {
    matches!(rule, BlockerRule::Decided | BlockerRule::Agreed | BlockerRule::Ordered)
}

const fn is_money(rule: BlockerRule) -> bool {
    matches!(rule, BlockerRule::Approved | BlockerRule::CutTooSoon)
}
