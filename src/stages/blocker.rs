//! A blocker: what is missing, and who must act.

/// Where an engine stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Stage {
    /// Received, not yet taken apart.
    CheckedIn,
    /// Coming apart.
    Teardown,
    /// Being looked at and measured.
    Inspection,
    /// Being machined, inside or outside.
    Machining,
    /// Going together.
    Reassembly,
    /// Done.
    Released,
}

impl Stage {
    /// As printed.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::CheckedIn => "checked in",
            Self::Teardown => "teardown",
            Self::Inspection => "inspection",
            Self::Machining => "machining",
            Self::Reassembly => "reassembly",
            Self::Released => "released",
        }
    }
}

/// Who must act.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Actor {
    /// The shop's owner.
    Owner,
    /// Whoever is at the bench.
    Bench,
    /// The machinist, inside or outside.
    Machinist,
}

impl Actor {
    /// As printed.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Owner => "owner",
            Self::Bench => "bench",
            Self::Machinist => "machinist",
        }
    }
}

/// The rule a blocker comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum BlockerRule {
    /// No check-in, no sheet, no house rules, nothing that came.
    Received,
    /// Places the sheet asks for are not measured.
    Measured,
    /// Readings are questioned.
    Questioned,
    /// Something is beyond its limit and nobody has decided.
    Decided,
    /// Work was done that was not agreed, or to another size.
    Agreed,
    /// Agreed work is not done.
    Done,
    /// What was worked on is not measured again, or does not pass.
    Remeasured,
    /// A step is not signed.
    Signed,
}

impl BlockerRule {
    /// As printed.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Received => "received",
            Self::Measured => "measured",
            Self::Questioned => "questioned",
            Self::Decided => "decided",
            Self::Agreed => "agreed",
            Self::Done => "done",
            Self::Remeasured => "measured again",
            Self::Signed => "signed",
        }
    }
}

/// Something that keeps an engine from passing a gate.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Blocker {
    /// The gate.
    pub stage: Stage,
    /// The rule.
    pub rule: BlockerRule,
    /// Who must act.
    pub actor: Actor,
    /// What it is about: `main journal 3`; empty for the whole engine.
    pub about: String,
    /// What is missing and what to do.
    pub what: String,
}
