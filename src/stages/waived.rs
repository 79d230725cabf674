//! Blockers that a named person set aside.
//!
//! A waiver names gate, rule and thing as the blocker prints them, and quotes the evidence code beside it. It covers the
//! blockers of that rule on that thing, or on part of it, and stands on for ever on the job page, whatever becomes of
//! it. Nobody can set aside that an engine is not checked in, or a signature: both are one drop away. A failed crack or
//! pressure test, and damage that stops the job, are the owner's to set aside.

use crate::facts::{Checked, Evidence, Role, Waiver};
use crate::sheets::fold_name;
use crate::shop::{Job, Said, Thing, Touched};
use crate::stages::blocker::{Actor, Blocker, BlockerRule, Stage};
use crate::stages::people::has_role;
use crate::stages::seen::Seen;

/// What became of a waiver.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum WaiverState {
    /// Its blocker is set aside.
    Holds,
    /// Nothing of that name blocks now.
    Idle,
    /// Facts and outcome have changed since: the blocker is back.
    Void,
    /// Whoever gave it may not.
    Refused,
}

impl WaiverState {
    /// As printed.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Holds => "holds",
            Self::Idle => "idle",
            Self::Void => "void",
            Self::Refused => "refused",
        }
    }
}

/// A waiver and how it stands.
#[derive(Clone, Debug)]
pub struct WaiverNow {
    /// Who recorded it, and when.
    pub said: Said,
    /// What it says.
    pub waiver: Waiver,
    /// What became of it.
    pub state: WaiverState,
    /// Held against its evidence.
    pub checked: Checked,
    /// The blockers it sets aside.
    pub blockers: Vec<Blocker>,
}

impl WaiverNow {
    /// How it stands, in words.
    #[must_use]
    pub fn words(&self) -> String {
        let more = self.checked.words();
        match self.state {
            WaiverState::Holds if more.is_empty() => "holds".to_owned(),
            WaiverState::Holds => format!("holds; {more}"),
            WaiverState::Idle => "nothing of that name blocks now".to_owned(),
            WaiverState::Void => "void: given on other evidence, the blocker is back".to_owned(),
            WaiverState::Refused => "does not count: only an owner may set this aside".to_owned(),
        }
    }
}

/// A blocker as a waiver names it; without gate or rule where the waiver names none that there is.
#[derive(Clone, Copy)]
pub(super) struct Named<'a> {
    pub(super) gate: Option<Stage>,
    pub(super) rule: Option<BlockerRule>,
    pub(super) about: &'a str,
}

impl<'a> Named<'a> {
    pub(super) fn of(waiver: &'a Waiver) -> Self {
        let (gate, rule) = (Stage::of_word(&waiver.gate), BlockerRule::of_word(&waiver.rule));
        Self { gate, rule, about: &waiver.about }
    }

    pub(super) fn by(blocker: &'a Blocker) -> Self {
        Self { gate: Some(blocker.stage), rule: Some(blocker.rule), about: &blocker.about }
    }

    /// The same gate, and a rule that can be set aside.
    pub(super) fn is_of(&self, blocker: &Blocker) -> bool {
        self.gate == Some(blocker.stage) && self.rule == Some(blocker.rule) && can_be_waived(blocker.rule)
    }
}

/// Can anybody set a blocker of this rule aside?
pub(super) const fn can_be_waived(rule: BlockerRule) -> bool {
    !matches!(rule, BlockerRule::Received | BlockerRule::Signed)
}

/// Is it about this blocker: the same gate and rule, the same thing or all of which it is a part?
fn covers(named: &Named<'_>, blocker: &Blocker) -> bool {
    named.is_of(blocker) && About::of(&blocker.about).is_part_of(&About::of(named.about))
}

/// A printed name of a thing, with its positions, as it is compared.
pub(super) struct About {
    whole: String,
    name: String,
    positions: Vec<String>,
}

impl About {
    pub(super) fn of(printed: &str) -> Self {
        let (name, positions) = Job::split_name(printed);
        Self {
            whole: fold_name(printed),
            name: fold_name(name),
            positions: positions.map(fold_name).collect(),
        }
    }

    /// `bore 2` is part of `bore 1, 2` and of `bore`.
    pub(super) fn is_part_of(&self, other: &Self) -> bool {
        if self.whole == other.whole {
            return true;
        }
        let is_whole = self.name == other.whole;
        (is_whole || self.name == other.name)
            && !self.positions.is_empty()
            && (is_whole || self.positions.iter().all(|position| other.positions.contains(position)))
    }
}

/// The waivers as they stand, and the blockers that are left.
pub(super) fn apply(seen: &Seen<'_>, blockers: Vec<Blocker>) -> (Vec<WaiverNow>, Vec<Blocker>) {
    let mut waivers: Vec<WaiverNow> =
        seen.job.waived.iter().map(|(said, waiver)| weigh(seen, said, waiver, &blockers)).collect();
    let mut left = Vec::new();
    for mut blocker in blockers {
        let mut set_aside = false;
        let about = |now: &&mut WaiverNow| covers(&Named::of(&now.waiver), &blocker);
        let mut was = None;
        for now in waivers.iter_mut().filter(about) {
            match now.state {
                WaiverState::Holds => {
                    now.blockers.push(blocker.clone());
                    set_aside = true;
                }
                WaiverState::Void => {
                    was = Some(format!("{}, {}, on other evidence", now.waiver.by, now.said.written))
                }
                WaiverState::Refused => {
                    was = Some(format!("{}, {}, who may not: an owner may", now.waiver.by, now.said.written));
                }
                WaiverState::Idle => {}
            }
        }
        if !set_aside {
            if let Some(was) = was {
                blocker.what.push_str(&format!("; was waived by {was}"));
            }
            left.push(blocker);
        }
    }
    (waivers, left)
}

fn weigh(seen: &Seen<'_>, said: &Said, waiver: &Waiver, blockers: &[Blocker]) -> WaiverNow {
    let named = Named::of(waiver);
    let mut mine = blockers.iter().filter(|blocker| covers(&named, blocker)).peekable();
    let idle = mine.peek().is_none();
    let owners = mine.any(|blocker| is_owners(seen.job, blocker));
    let checked = seen.waiver(&named, waiver.evidence.as_deref(), said.at);
    let state = match checked.evidence {
        _ if idle => WaiverState::Idle,
        _ if owners && !has_role(seen.job.shop(), &waiver.by, Role::Owner) => WaiverState::Refused,
        Evidence::Other => WaiverState::Void,
        Evidence::Same | Evidence::OtherOutcome | Evidence::OtherFacts => WaiverState::Holds,
    };
    WaiverNow { said: said.clone(), waiver: waiver.clone(), state, checked, blockers: Vec::new() }
}

/// A failed test, and a part with a finding that stops the job, are the owner's alone.
fn is_owners(job: &Job, blocker: &Blocker) -> bool {
    const STOPS_THE_JOB: u8 = 5;
    let failed = blocker.actor == Actor::Owner
        && matches!(blocker.rule, BlockerRule::Tested | BlockerRule::TestedAgain);
    let about_damage =
        matches!(blocker.rule, BlockerRule::Decided | BlockerRule::Disposed | BlockerRule::Tested);
    let about = job.things_named(&blocker.about);
    let stops = || job.findings.iter().filter(|f| f.stands && f.severity >= STOPS_THE_JOB);
    let met = || {
        stops().any(|finding| {
            let things = finding.places.iter().map(|place| Thing::Part(*place)).collect();
            job.meet(&about, &Touched::Things(things))
        })
    };
    failed || (about_damage && met())
}
